"""book.json: complete, steady, valid by its own schema. The outside measure is the jsonschema library."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

import jsonschema
import pytest

from buildbook.core.book import Book
from buildbook.core.finding import Verdict
from buildbook.core.where import Where
from buildbook.render.jsonfile import book_json, plain, schema


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


def test_keys_are_sorted_and_the_file_ends_with_one_newline(made: Mapping[str, bytes], data: object) -> None:
    text = made["book.json"].decode("utf-8")
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")
    # put on one line again it is what the standard library writes, so nothing but the breaking of lines is our own
    joined = re.sub(r",\n *", ", ", text[:-1])
    joined = re.sub(r"(?<=[{\[])\n *|\n *(?=[}\]])", "", joined)
    assert joined == json.dumps(data, sort_keys=True, ensure_ascii=False)
    together = [re.sub(r'^ *("\w+": (?=[{[]))?|,$', "", line) for line in text.splitlines() if line.count('": ') > 1]
    assert 80 < max(map(len, together)) <= 120
    assert len(together) > 300
    assert "\r" not in text
    assert str(Path.cwd()) not in text


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
    with pytest.raises(ValueError, match="JSON compliant"):
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
