"""Facts of hull.toml and of the reports that cannot be so. All data are synthetic."""

from __future__ import annotations

from datetime import date

import pytest

from buildbook.chapters.register.hull_facts import (
    events_in_order,
    held_by_her_dates,
    known_category,
)
from buildbook.chapters.register.records import Document
from buildbook.chapters.register.unlisted import unlisted_documents
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.fault import Severity
from buildbook.core.hull import Hull
from tests.chapters.evidence_builder import evidence

DATES = {
    "lay_up_started": date(2025, 8, 18),
    "moulded": date(2025, 9, 26),
    "paint_started": date(2026, 3, 5),
    "launched": date(2026, 5, 12),
    "delivered": date(2026, 6, 5),
}


def hull(category="B", **dates):
    lines = (("hull.category", 8), *((f"dates.{name}", n) for n, name in enumerate(DATES, start=20)))
    return Hull(category=category, as_of=date(2026, 6, 15), dates=tuple({**DATES, **dates}.items()), lines=lines)


@pytest.mark.parametrize("category", ["", "A", "B", "C", "D"])
def test_the_four_categories_and_none_are_no_fault(category):
    """Directive 2013/53/EU, annex I, part A 1: A, B, C, D (from memory)."""
    assert list(known_category(evidence({}, hull=hull(category)))) == []


@pytest.mark.parametrize(("category", "meant"), [("Z", ""), ("b", "'B'"), ("A/B", ""), ("Ocean", "")])
def test_another_category_is_told_at_its_line(category, meant):
    (fault,) = known_category(evidence({}, hull=hull(category)))
    assert str(fault.where).startswith("hull.toml:8")
    assert meant in fault.found


def test_dates_in_order_are_no_fault_and_hold_nothing():
    sound = evidence({}, hull=hull())
    assert list(events_in_order(sound)) == []
    assert held_by_her_dates(sound) == sound
    assert list(events_in_order(evidence({}, hull=hull(launched=DATES["delivered"])))) == []  # the same day


@pytest.mark.parametrize(
    ("name", "day", "line", "after"),
    [
        ("launched", date(2025, 9, 1), 23, "moulded"),
        ("delivered", date(2026, 5, 1), 24, "launched"),
        ("moulded", date(2025, 8, 1), 21, "lay_up_started"),
        ("delivered", date(2062, 6, 5), 24, "as_of"),
    ],
)
def test_dates_out_of_order_are_told_and_hold_her_identity(name, day, line, after):
    given = evidence({}, hull=hull(**{name: day}))
    told = [fault for fault in events_in_order(given) if fault.where.line == line]
    assert any(after in fault.expected for fault in told)
    assert held_by_her_dates(given).specification.unusable("REG-01")
    assert not held_by_her_dates(given).specification.unusable("REG-02")


@pytest.mark.parametrize(
    ("justification", "told"),
    [("TN-112", False), ("SPEC-07 C 6.5", False), (None, False), ("TN-1l2", True), ("SPEC-070", True)],
)
def test_a_paper_that_is_not_listed_is_noticed(justification, told):
    listed = [{"document": "TN-112"}, {"document": "SPEC-07"}]
    found = list(unlisted_documents(evidence({Document: listed, Nonconformity: [{"justification": justification}]})))
    assert [(fault.where.column, fault.severity) for fault in found] == (
        [("justification", Severity.NOTICE)] if told else []
    )


def test_without_a_list_of_documents_no_paper_is_missed():
    assert list(unlisted_documents(evidence({Nonconformity: [{"justification": "TN-112"}]}))) == []
