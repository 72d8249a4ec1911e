"""Nothing on record may lie after the day the book describes. All rows are synthetic."""

from __future__ import annotations

from datetime import date

import pytest

from buildbook.chapters.register.dates import MOST_ROWS, held_by_the_day, nothing_from_the_future, years_ahead
from buildbook.chapters.shared_records import Instrument, Moisture
from buildbook.core.hull import Hull
from tests.chapters.evidence_builder import evidence

HULL = Hull(as_of=date(2026, 6, 15), lines=(("as_of", 2),))
CALIBRATED = {"instrument": "MM-01", "quantity": "moisture", "calibrated": date(2026, 1, 5), "due": date(2027, 1, 5)}


def moisture(number, day):
    return {"place": "Z1", "number": number, "at": f"{day} 10:00"}


def test_a_date_that_may_lie_ahead_is_no_fault():
    assert list(nothing_from_the_future(evidence({Instrument: [CALIBRATED]}, hull=HULL))) == []


def test_the_day_itself_is_no_fault_and_the_next_day_is_one():
    rows = [moisture(1, "2026-06-15"), moisture(2, "2026-06-16")]
    (fault,) = nothing_from_the_future(evidence({Moisture: rows}, hull=HULL))
    assert (fault.where.file, fault.where.line, fault.where.column) == ("moisture.csv", 3, "at")
    assert fault.found == "2026-06-16"


def test_such_a_row_is_not_used():
    found = evidence({Moisture: [moisture(1, "2026-06-15"), moisture(2, "2062-06-15")]}, hull=HULL)
    left = found.without(nothing_from_the_future(found))
    assert [row.number for row in left.of(Moisture)] == [1]
    assert [row.get("number") for row in left.lost(Moisture)] == [2]


def test_many_such_rows_are_one_fault_of_the_day_itself():
    rows = [moisture(number, "2026-07-01") for number in range(1, MOST_ROWS + 2)]
    (fault,) = nothing_from_the_future(evidence({Moisture: rows}, hull=HULL))
    assert (fault.where.file, fault.where.line) == ("hull.toml", 2)
    assert len(list(nothing_from_the_future(evidence({Moisture: rows[1:]}, hull=HULL)))) == MOST_ROWS


def test_without_the_day_nothing_is_said():
    assert list(nothing_from_the_future(evidence({Moisture: [moisture(1, "2099-06-16")]}))) == []


def test_without_the_day_every_check_is_held():
    """Rows after the day cannot be told from others, so a failing one could be missing anywhere."""
    held = held_by_the_day(evidence({Moisture: [moisture(1, "2026-06-15")]}))
    for check in ("COA-04", "COA-16", "REG-03"):
        (why,) = held.specification.unusable(check)
        assert why.startswith("hull.toml")
        assert "is not known" in why


@pytest.mark.parametrize(("rows", "held"), [(0, False), (MOST_ROWS, False), (MOST_ROWS + 1, True)])
def test_a_day_in_doubt_holds_every_check(rows, held):
    """Up to so many rows each row is in doubt by itself and not used; with more it is the day, which holds all."""
    given = evidence({Moisture: [moisture(number, "2026-07-01") for number in range(1, rows + 1)]}, hull=HULL)
    after = held_by_the_day(given.without(nothing_from_the_future(given)))
    assert bool(after.specification.unusable("COA-16")) is held
    assert all("hull.toml:2" in why for why in after.specification.unusable("COA-16"))


@pytest.mark.parametrize(("due", "told"), [("2046-12-31", False), ("2047-01-01", True), ("2062-01-05", True)])
def test_a_year_more_than_twenty_years_ahead_is_asked_about(due, told):
    """Dates that may lie ahead are no fault, so a year like 2062 for 2026 would pass unseen (house rule: 20 years)."""
    faults = list(years_ahead(evidence({Instrument: [{**CALIBRATED, "due": date.fromisoformat(due)}]}, hull=HULL)))
    assert [(f.where.line, f.where.column, f.severity.value) for f in faults] == [(2, "due", "notice")] * told
    assert all("is the year right?" in fault.found for fault in faults)
