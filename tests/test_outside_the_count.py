"""References that are missed and limits wider than is customary: listed, although no count shows them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.chapters.looser import looser_limits
from buildbook.core.book import Book
from buildbook.core.finding import Role
from tests.demonstration import demonstration

HULL = Path(__file__).parents[1] / "demo_build" / "hull"


@pytest.fixture(scope="module")
def book() -> Book:
    return demonstration().book


def test_every_reference_that_is_missed_is_listed_once_with_what_governs(book: Book) -> None:
    checks = [check for chapter in book.chapters for check in chapter.checks]
    missed = {item.number for check in checks for item in check.references if item.finding.verdict.missed}
    assert len(missed) == len(book.references_missed)
    assert missed == {it.reference.number for it in book.references_missed}
    assert {"PRO-15/2", "PRO-15/4", "PRO-15/6", "PRO-15/8"} < missed
    for it in book.references_missed:
        assert it.counted is not None
        assert it.counted.finding.key.role is Role.GOVERNING
        assert it.counted.finding.measured == it.reference.finding.measured


def test_a_limit_wider_than_is_customary_names_both_numbers_and_what_rests_on_it(book: Book) -> None:
    told = {(it.check, it.limit): it for it in book.lenient}
    voids = told["LAM-03", "at most 2.5 %"]
    assert voids.beside == "at most 2 %, common practice"
    assert voids.what == "Void content"
    assert all(number.startswith("LAM-03/") for number in voids.findings)
    peel = told["COA-12", "at least 7"]
    assert peel.beside == "with the whole uncertainty as guard band; here there is none"
    assert told["SYS-10", "at most 0.5 mbar"].beside == "less than 0.1 mbar, common practice"
    assert len(told) == 6
    rest = {number: it.limit for it in book.lenient for number in it.findings}
    items = {item.number: item for chapter in book.chapters for check in chapter.checks for item in check.governing}
    assert rest
    assert all(items[number].limit == limit for number, limit in rest.items())


def test_what_the_builder_chose_is_not_among_what_could_not_be_read(book: Book) -> None:
    assert {fault.where.file for fault in book.unread} == {"coating/appearance.csv"}
    assert len([fault for fault in book.faults if fault.of_a_limit]) == len(book.lenient)


def test_whatever_check_shows_a_stricter_reference_beside_a_limit_of_the_builder_that_limit_is_listed(
    book: Book,
) -> None:
    """Each limit of hull.toml beside which some finding shows a reference is made looser than it, one after another."""
    made = demonstration()
    by_key = {finding.key: finding for finding in made.findings}
    checks = set()
    for entry in made.evidence.specification.limits:
        at = entry.limit.terms[0].at
        resting = [f for f in made.findings if f.limit is not None and any(term.at == at for term in f.limit.terms)]
        pairs = [(f, by_key.get(replace(f.key, role=Role.REFERENCE))) for f in resting if f.measured is not None]
        beside = [other.limit for _, other in pairs if other is not None and other.limit is not None]
        references = [one for one in beside if not one.in_words]
        if not references:
            continue
        low, high = (getattr(references[0], end) for end in ("low", "high"))
        wide = replace(entry.limit, low=None if low is None else low - 1.0, high=None if high is None else high + 1.0)
        specification = replace(made.evidence.specification, limits=(replace(entry, limit=wide),))
        told = list(looser_limits(replace(made.evidence, specification=specification), made.findings))
        assert [fault.where for fault in told] == [at], entry.check
        checks.add(entry.check)
    assert {"SYS-09", "SYS-10", "LAM-03", "LAM-08", "COA-04", "SHA-06"} <= checks
    assert len(checks) >= 15
