"""Rows about systems that contradict each other: both are told, and neither is used."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from buildbook.chapters.systems.cross import (
    ashore_before_she_was_launched,
    current_near_the_design,
    later_attempts_are_later,
    no_more_than_full,
)
from buildbook.core.hull import Hull
from tests.chapters.evidence_builder import evidence
from tests.chapters.systems.systems_folder import (
    Bonding,
    Circuit,
    FuelFill,
    HoseTest,
    PressureTest,
    SenderReading,
    VoltageDrop,
    bond,
    circuit,
    drop,
    fill,
    hosed,
    pressed,
    sender_rows,
)

ONE, OTHER = datetime(2026, 5, 13, 8, 0), datetime(2026, 5, 14, 8, 0)


@pytest.mark.parametrize(
    ("kind", "row"),
    [(FuelFill, fill), (PressureTest, pressed), (HoseTest, hosed), (Bonding, bond), (VoltageDrop, drop)],
)
def test_a_second_attempt_that_is_not_later_than_the_first_is_told_of_both(kind: Any, row: Any):
    right = evidence({kind: [row(attempt=1, at=ONE), row(attempt=2, at=OTHER)]})
    wrong = evidence({kind: [row(attempt=1, at=OTHER), row(attempt=2, at=ONE)]})
    assert list(later_attempts_are_later(right)) == []
    assert {fault.where.line for fault in later_attempts_are_later(wrong)} == {2, 3}


def test_no_reading_holds_more_than_filled_the_tank():
    rows = sender_rows()
    assert list(no_more_than_full(evidence({FuelFill: [fill()], SenderReading: rows}))) == []
    (fault,) = no_more_than_full(
        evidence({FuelFill: [fill()], SenderReading: [*rows[:-1], {**rows[-1], "metered": 1001.0}]})
    )
    assert "1000 L that filled the tank" in fault.expected


def test_before_she_was_launched_she_stood_ashore():
    row = bond(ashore=False, at=datetime(2026, 5, 11, 9, 0))
    launched = Hull(dates=(("launched", date(2026, 5, 12)),))
    (fault,) = ashore_before_she_was_launched(evidence({Bonding: [row]}, hull=launched))
    assert "2026-05-12" in fault.expected
    assert list(ashore_before_she_was_launched(evidence({Bonding: [row]}))) == []
    afloat = {**row, "at": datetime(2026, 5, 12, 9, 0)}
    assert list(ashore_before_she_was_launched(evidence({Bonding: [afloat]}, hull=launched))) == []


@pytest.mark.parametrize(("current", "told"), [(9.8, 0), (20.0, 0), (98.0, 1)])
def test_a_current_far_above_the_design_is_told(current: float, told: int):
    """Designed for 10 A: twice as much is the most that is believed (house rule)."""
    faults = list(current_near_the_design(evidence({Circuit: [circuit()], VoltageDrop: [drop(current=current)]})))
    assert len(faults) == told
    assert all(fault.where.column == "current [A]" and "98 A" in fault.found for fault in faults)
