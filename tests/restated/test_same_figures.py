"""A figure of a finding is the same wherever it is printed, and no verdict is contradicted by the figures beside it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from buildbook.core.book import Book, Numbered
from buildbook.core.decide import decide
from buildbook.core.finding import Finding, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind
from buildbook.core.shown_units import ShownUnits
from buildbook.restated.book import restated
from tests.demonstration import demonstration
from tests.restated.test_pages_in_us_units import NAMES, as_received, own_words, pages, told

NUMBER = r"[−-]?\d+(?:[ ,]\d{3})*(?:\.\d+)?"
SPREAD = re.compile(rf"({NUMBER}) ± ({NUMBER})")
OUTCOMES = (Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL, Verdict.FAIL)
EXAMPLES = {"49.00 ± 0.80", "49.60 ± 0.80", "50.50 ± 0.80", "51.20 ± 0.80"}  # invented, in how readings are judged


@cache
def book(units: ShownUnits) -> Book:
    return restated(replace(demonstration().book, shown=units))


def _values(items: tuple[Numbered, ...]) -> set[str]:
    return {match[0] for item in items for match in SPREAD.finditer(item.value)}


@pytest.mark.parametrize("name", NAMES)
def test_every_value_with_its_uncertainty_is_that_of_a_finding(name: str) -> None:
    """The web pages and the listing sheet: a value that was rounded twice would be that of no finding."""
    known = _values(tuple(told().findings)) | EXAMPLES
    other = []
    for text in own_words(pages()[name]):
        own = as_received().sub("", re.sub(r"“[^”]*”", "", text.replace("\u00a0", " ")))
        other += [(match[0], own) for match in SPREAD.finditer(own) if match[0] not in known]
    assert not [(figure, text) for figure, text in other if figure not in _received()]


@cache
def _received() -> str:
    """The words of reports and cells, where a figure may stand with the yard's own uncertainty."""
    made = demonstration().book
    cells = (cell for table in made.tables for row in table.rows for cell in row.cells)
    return " ".join((*cells, *(text for it in made.reports for text in (it.as_found, it.result, it.work))))


@pytest.mark.parametrize("units", ShownUnits)
def test_what_tells_one_finding_has_its_figures(units: ShownUnits) -> None:
    its = {item.number: item for item in book(units).findings}
    listing = book(units).listing
    for line in (line for group in listing.opened for line in group.told):
        first, *later = [match[0] for match in SPREAD.finditer(line.short)] or [""]
        assert first in its[line.finding].value, line
        key = its[line.finding].finding.key
        again = [
            it.value
            for it in its.values()
            if (it.finding.key.quantity, it.finding.key.place) == (key.quantity, key.place)
        ]
        assert [figure for figure in later if not any(figure in value for value in again)] == [], line
    for saying in listing.sayings:
        assert saying.value.startswith(its[saying.finding].value), saying.finding
        total = its[saying.finding].uncertainty.partition(" (")[0]
        assert not total or total in saying.record, (saying.finding, saying.record)


@pytest.mark.parametrize("units", ShownUnits)
def test_the_uncertainty_behind_a_value_is_the_one_told_of_it(units: ShownUnits) -> None:
    for item in book(units).findings:
        found = SPREAD.search(item.value)
        if found and item.uncertainty:
            assert item.uncertainty.startswith(f"U = {found[2]}"), item.number


@pytest.mark.parametrize("units", ShownUnits)
def test_printed_value_limit_and_verdict_do_not_contradict_each_other(units: ShownUnits) -> None:
    """Each of the four outcomes is worked out again from the digits alone, by the rule of ILAC-G8:09/2019, 4.2."""
    looked_at, wrong = 0, []
    for item in book(units).findings:
        finding, verdict = item.finding, item.verdict.split(",")[0]
        numbers = _numbers(item)
        if numbers is None or finding.verdict not in OUTCOMES or finding.verdict is not _alone(finding):
            continue
        looked_at += 1
        worked_out = _by_digits(*numbers)
        if finding.measured and finding.measured.kind is not Kind.COUNTED and finding.measured.at_two is None:
            worked_out = {"pass": "conditional pass"}.get(worked_out, worked_out)  # nobody stated its uncertainty
        if worked_out != verdict:
            wrong.append((item.number, item.value, item.limit, verdict))
    assert not wrong
    assert looked_at > 1000


def _alone(finding: Finding) -> Verdict | None:
    """The verdict of the numbers alone; a report or a lost row may have made it worse."""
    assert finding.measured
    return decide(finding.measured, finding.limit).verdict


def _numbers(item: Numbered) -> tuple[float, float, Limit, list[float]] | None:
    limit, measured = item.finding.limit, item.finding.measured
    if limit is None or limit.in_words or measured is None:
        return None
    found = re.match(rf"(?:at least |at most )?({NUMBER})(?: ± ({NUMBER}))?", item.value)
    assert found
    ends = [_number(text) for text in re.findall(NUMBER, item.limit)]
    return _number(found[1]), limit.guard * _number(found[2] or "0"), limit, ends


def _number(text: str) -> float:
    return float(text.replace("−", "-").replace(" ", "").replace(",", ""))


def _by_digits(value: float, guard: float, limit: Limit, ends: list[float]) -> str:
    low, high = (ends[0] if limit.low is not None else None), (ends[-1] if limit.high is not None else None)
    margins = [(value - low, limit.low_strict)] if low is not None else []
    margins += [(high - value, limit.high_strict)] if high is not None else []
    margin, slack = min(each for each, _ in margins), 1e-9 * max(1.0, abs(value))
    missed = margin < -slack or any(strict and abs(each) <= slack for each, strict in margins)
    if missed:
        return "conditional fail" if guard > 0 and margin >= -guard - slack else "fail"
    return "pass" if margin >= guard - slack else "conditional pass"
