"""book.json: complete, steady, valid by its own schema. The outside measure is the jsonschema library."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import rfc8785

from buildbook.core.book import Book
from buildbook.core.finding import Verdict
from buildbook.core.where import Where
from buildbook.render.figures import chart_figure
from buildbook.render.jsonfile import NotABook, book_json, plain, read_book, schema
from buildbook.render.package import contents
from tests.sample_book import received


@pytest.fixture(scope="module")
def data(made: Mapping[str, bytes]) -> dict[str, object]:
    return json.loads(made["book.json"])


def faults(data: object) -> list[str]:
    validator = jsonschema.Draft202012Validator(schema())
    return [error.message for error in validator.iter_errors(data)]


def test_schema_is_a_valid_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


def test_book_is_valid_by_its_schema(data: dict[str, object]) -> None:
    assert faults(data) == []


@pytest.mark.parametrize("spoil", ["extra", "lost", "verdict", "deep"])
def test_schema_notices_a_spoiled_book(data: dict[str, object], spoil: str) -> None:
    spoiled = copy.deepcopy(data)
    finding = spoiled["exceptions"][0]["finding"]  # type: ignore[index]
    if spoil == "extra":
        spoiled["score"] = 97
    elif spoil == "lost":
        del spoiled["limitations"]
    elif spoil == "verdict":
        finding["verdict"] = "excellent"
    else:
        finding["measured"]["value"] = "1.2"
    assert len(faults(spoiled)) > 0


def test_the_file_is_in_the_canonical_form_of_rfc_8785(made: Mapping[str, bytes], data: dict[str, object]) -> None:
    """RFC 8785, 3.2: no blanks between tokens, keys sorted, nothing escaped that need not be; numbers have no `.0`."""
    text = made["book.json"].decode("utf-8")
    assert text == json.dumps(_whole(data), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert re.search(r'"value":[0-9]+[,}]', text)
    assert str(Path.cwd()) not in text


def _whole(value: object) -> object:
    """Whole numbers as such; the standard library writes all others up to 1e16 as ECMAScript does."""
    if isinstance(value, dict):
        return {key: _whole(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_whole(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def test_the_example_of_rfc_8785() -> None:
    """Section 3.2.2, its input and 3.2.3, its output (2020)."""
    given: dict[str, Any] = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    wanted = (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
    assert rfc8785.dumps(given) == wanted.encode("utf-8")


def test_a_book_comes_back_as_it_was_written(sample_book: Book) -> None:
    again = read_book(book_json(sample_book), "book.json")
    assert again == sample_book
    assert book_json(again) == book_json(sample_book)


def test_the_site_is_the_same_when_it_is_made_from_the_data_alone(sample_book: Book, made: Mapping[str, bytes]) -> None:
    again, files = read_book(made["book.json"], "book.json"), received()
    chart_figure.cache_clear()
    from_data = contents(again, files, pdf=False)[0]
    chart_figure.cache_clear()  # drawn anew
    assert from_data == contents(sample_book, files, pdf=False)[0]


@pytest.mark.parametrize(
    ("form", "words"),
    [
        (b'"1.2"', "later edition"),
        (b'"2.0"', "later edition"),
        (b'"0.9"', "no longer reads"),
        (b'"1"', "trial edition"),
        (b"1.0", "trial edition"),
        (b"null", "trial edition"),
    ],
)
def test_another_form_is_refused_in_words(made: Mapping[str, bytes], form: bytes, words: str) -> None:
    with pytest.raises(NotABook, match=words):
        read_book(re.sub(rb'"form":"[0-9.]+"', b'"form":' + form, made["book.json"]), "old/book.json")


def test_what_an_earlier_edition_did_not_know_has_what_stands_for_none(
    sample_book: Book, data: dict[str, object]
) -> None:
    known = {key: value for key, value in data.items() if key not in ("raw_files", "runs")}
    again = read_book(json.dumps(known).encode(), "book.json")
    assert again == replace(sample_book, raw_files=(), runs=())


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[1]", b"null", b'{"form": "1.1"}', b"\xff\xfe", b"[" * 100_000, b'{"form": "1.1", "chapters": 3}'],
)
def test_what_is_no_book_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(NotABook, match=r"^b\.json (is not|does not)"):
        read_book(content, "b.json")


def test_a_verdict_that_is_none_is_refused_with_its_place(made: Mapping[str, bytes]) -> None:
    spoiled = made["book.json"].replace(b'"verdict":"pass"', b'"verdict":"splendid"', 1)
    with pytest.raises(NotABook, match=r"at chapters\.[0-9]+\.checks"):
        read_book(spoiled, "book.json")


def test_every_finding_is_there_with_its_texts(sample_book: Book, data: dict[str, object]) -> None:
    checks = [check for chapter in data["chapters"] for check in chapter["checks"]]  # type: ignore[attr-defined]
    got = [
        (item["number"], item["value"], item["verdict"]) for c in checks for item in c["governing"] + c["references"]
    ]
    wanted = [
        (item.number, item.value, item.verdict)
        for chapter in sample_book.chapters
        for check in chapter.checks
        for item in (*check.governing, *check.references)
    ]
    assert got == wanted
    assert len(got) == 76


def test_cautions_travel_with_the_data(sample_book: Book, data: dict[str, object]) -> None:
    assert data["limitations"] == list(sample_book.limitations)


def test_equal_books_give_equal_bytes(sample_book: Book) -> None:
    assert book_json(sample_book) == book_json(replace(sample_book))


def test_a_number_that_is_not_finite_is_refused(sample_book: Book) -> None:
    with pytest.raises(ValueError, match="not representable"):
        book_json(replace(sample_book, hull=replace(sample_book.hull, beam=float("nan"))))


def test_kinds_of_values() -> None:
    assert plain(Verdict.NO_RECORD) == "no record"
    assert plain(datetime(2026, 3, 2, 8, 5)) == "2026-03-02T08:05:00"
    assert plain({"b": (date(2026, 3, 2), None, True, 1.5)}) == {"b": ["2026-03-02", None, True, 1.5]}
    assert plain(Where("a.csv", 3)) == {"file": "a.csv", "line": 3, "column": "", "sheet": "", "part": ""}


def test_an_unknown_kind_is_refused_and_not_guessed() -> None:
    @dataclass(frozen=True)
    class Odd:
        inside: object

    with pytest.raises(TypeError, match="set"):
        plain(Odd({1, 2}))
