"""First page, exceptions, listing sheet and print speak of the same matters, findings and rows, in the same numbers."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from buildbook.core.matter import State
from buildbook.pipeline import make_book
from buildbook.render import pdf
from buildbook.render.html import Facts
from buildbook.render.package import contents
from tests.render.site_reader import squeezed

HULL = Path(__file__).parent.parent / "demo_build" / "hull"
STATE = r"(?P<state>[A-Z][a-z ,]+): (?P<matters>\d+) matters?, in (?P<findings>\d+) findings?"


@pytest.fixture(scope="module")
def files() -> Mapping[str, str]:
    """The site as text, the data, and the printed book before it is set, by name."""
    made = make_book(HULL)
    given = {**made.received, **made.pictures}
    written, digest, *_ = contents(made.book, given, pdf=False)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pdf, "book_pdf", lambda html, *_: html.encode())
        facts = Facts(digest, made.received, "her-book.pdf")
        printed = pdf.printed(made.book, facts, {**given, **written})
    texts = {name: data.decode() for name, data in written.items() if name.endswith((".html", ".json"))}
    return {**texts, "print": printed.decode()}


@pytest.fixture(scope="module")
def data(files: Mapping[str, str]) -> dict[str, Any]:
    return json.loads(files["book.json"])


def words(page: str) -> str:
    return squeezed(re.sub(r"<[^>]*>", "", re.sub(r"</?(p|li|h[1-6]|td|tr)\b[^>]*>", " ", page)))


def by_state(page: str) -> dict[str, tuple[int, int]]:
    return {it["state"].strip(): (int(it["matters"]), int(it["findings"])) for it in re.finditer(STATE, words(page))}


def expected(data: dict[str, Any]) -> dict[str, tuple[int, int]]:
    """Matters and findings of each state, counted in the data."""
    matters: Counter[str] = Counter()
    findings: Counter[str] = Counter()
    for it in data["matters"]:
        matters[it["state"].capitalize()] += 1
        findings[it["state"].capitalize()] += len(it["findings"])
    return {state: (number, findings[state]) for state, number in matters.items()}


def parts(files: Mapping[str, str]) -> dict[str, str]:
    """The page of exceptions, on the site and in print."""
    printed = files["print"]
    start = printed.index('id="exceptions"')
    return {"site": files["exceptions.html"], "print": printed[start : printed.index('id="coverage"')]}


def test_each_state_has_the_same_matters_and_findings_everywhere(
    files: Mapping[str, str], data: dict[str, Any]
) -> None:
    (sheet,) = (page for name, page in files.items() if name.endswith("-listing.html"))
    wanted = expected(data)
    assert len(wanted) == len(State), "each state stands in the demonstration"
    for page in (*parts(files).values(), sheet):
        assert by_state(page) == wanted


def test_the_sums_are_the_same_everywhere(files: Mapping[str, str], data: dict[str, Any]) -> None:
    matters, findings = len(data["matters"]), len(data["exceptions"])
    failed = sum(it["number"] for it in data["counts"] if it["verdict"] in ("fail", "conditional fail"))
    every = sum(it["number"] for it in data["counts"])
    assert sum(shown for _, shown in expected(data).values()) == findings
    assert f"{matters} matters, which show in {findings} findings" in words(files["index.html"])
    for page in parts(files).values():
        assert f"{matters} matters show in {findings} findings, of which {failed} failed." in words(page)
    (sheet,) = (page for name, page in files.items() if name.endswith("-listing.html"))
    for page in (files["index.html"], files["print"], sheet):
        assert f"{failed} of {every} findings failed." in words(page)


def test_what_is_said_of_the_matters_is_what_their_states_count(files: Mapping[str, str], data: dict[str, Any]) -> None:
    """`26 matters went wrong`: those open, accepted, settled otherwise, put right or scrapped."""
    told = re.search(r"(\d+) matters went wrong. Of these, ", words(files["index.html"]))
    assert told is not None
    heads = {state: number for state, (number, _) in by_state(files["exceptions.html"]).items()}
    ended = ("Open today", "Accepted as found", "Settled otherwise", "Put right and measured again", "Scrapped")
    assert int(told[1]) == sum(heads[state] for state in ended)


def _findings(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [it for chapter in data["chapters"] for check in chapter["checks"] for it in check["governing"]]


def test_the_rows_of_each_list_are_the_findings_and_the_later_results_that_it_names(
    files: Mapping[str, str], data: dict[str, Any]
) -> None:
    """On the site the script counts these rows; so the page says what they are."""
    for page in parts(files).values():
        sections = re.split(r'<h2 id="exceptions-', page)[1:]
        looked_at = 0
        for section in sections:
            head = re.search(STATE, words(f'<h2 id="{section}'))
            if head is None:
                continue
            rows = len(re.findall(r'<tr[^>]*class="[^"]*\bfinding\b', section))
            told = re.search(r"The list has (\d+) rows: (\d+) such findings?, and (\d+) results?", words(section))
            given = tuple(map(int, told.groups())) if told else (rows, rows, 0)
            assert given == (rows, int(head["findings"]), rows - int(head["findings"])), head["state"]
            looked_at += 1
        assert looked_at == len(State)
