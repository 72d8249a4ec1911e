"""What the checks are given: rows by their values, rows that cannot be used, and which finding those may belong to."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.evidence import Evidence, Unread
from buildbook.core.fault import Fault
from buildbook.core.hull import ChosenRule, Hull, Specification, SpecifiedLimit
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record, Table, column
from buildbook.core.source import Standing
from buildbook.core.where import Where


class Series(Record):
    """Readings by zone, coat and attempt."""

    table: ClassVar[Table] = Table("series.csv", "", "", ("zone", "number"), "zone", "coat", "attempt", "at", "number")
    zone: str = column("zone")
    coat: str = column("coat")
    attempt: int = column("attempt")
    number: int = column("number")
    value: float = column("value", unit="um")


class Log(Record):
    """A logger that runs on through many jobs."""

    table: ClassVar[Table] = Table("log.csv", "", "", ("zone", "at"), "zone", time="at", windowed=True)
    zone: str = column("zone")
    at: datetime = column("when")


class Shift(Record):
    """A stretch of work between two times."""

    table: ClassVar[Table] = Table("shift.csv", "", "", ("zone",), "zone")
    zone: str = column("zone")
    began: datetime = column("first")
    ended: datetime = column("last")
    crew: int = column("people")


class Nowhere(Record):
    """A table without a place."""

    table: ClassVar[Table] = Table("days.csv", "", "", ("day",))
    day: str = column("day")


def reading(line: int, zone="Z1", coat="Z1-1", attempt=1, number=1, value=100.0) -> Series:
    where = Where("series.csv", line)
    return Series(where=where, zone=zone, coat=coat, attempt=attempt, number=number, value=value)


def lost(kind, line: int, **cells: Any) -> Unread:
    every: Mapping[str, Any] = {**dict.fromkeys(kind.columns()), **cells}
    return Unread(kind, Where(kind.table.file, line), every, "expected a number; found 'thick'")


def hold(records=(), unread=(), missing=None) -> Evidence:
    kinds = (Series, Log, Nowhere)
    return Evidence(
        Hull(),
        Specification(),
        {kind: tuple(row for row in records if type(row) is kind) for kind in kinds},
        {kind: tuple(row for row in unread if row.kind is kind) for kind in kinds},
        missing or {},
    )


ROWS = (reading(2), reading(3, number=2), reading(4, zone="Z2"), reading(5, attempt=2))


# Rows by their values


def test_rows_come_in_the_order_of_the_file():
    found = hold(ROWS).of(Series, zone="Z1")
    assert [row.where.line for row in found] == [2, 3, 5]
    assert hold(ROWS).of(Series, zone="Z1", attempt=1) == ROWS[:2]
    assert hold(ROWS).of(Series) == ROWS
    assert hold(ROWS).of(Series, zone="Z9") == ()
    assert hold().of(Log) == ()


def test_one_row_or_none():
    assert hold(ROWS).one(Series, attempt=2) == ROWS[3]
    assert hold(ROWS).one(Series, attempt=3) is None


@given(st.lists(st.tuples(st.sampled_from("ABC"), st.integers(1, 3)), max_size=12), st.sampled_from("ABCD"))
def test_looking_up_is_the_same_as_reading_through(pairs, zone):
    rows = tuple(reading(line, zone=z, attempt=a) for line, (z, a) in enumerate(pairs, start=2))
    evidence = hold(rows)
    for attempt in (1, 2, 3):
        plainly = tuple(row for row in rows if row.zone == zone and row.attempt == attempt)
        assert evidence.of(Series, zone=zone, attempt=attempt) == plainly
        assert evidence.of(Series, attempt=attempt, zone=zone) == plainly


def test_values_come_from_unreadable_rows_too():
    evidence = hold(ROWS, [lost(Series, 1, zone="Z0"), lost(Series, 9, zone="Z3"), lost(Series, 10, zone=None)])
    assert evidence.values(Series, "zone") == ("Z0", "Z1", "Z2", "Z3")


# Unreadable rows


def test_a_lost_row_may_be_anything_that_was_not_made_out():
    unread = [lost(Series, 9, zone="Z1", attempt=None), lost(Series, 10, zone="Z2", attempt=1), lost(Series, 11)]
    evidence = hold(unread=unread)
    assert [row.where.line for row in evidence.lost(Series, zone="Z1", attempt=2)] == [9, 11]
    assert [row.where.line for row in evidence.lost(Series, zone="Z2", attempt=2)] == [11]
    assert len(evidence.lost(Series)) == 3


@pytest.mark.parametrize(
    ("cells", "concerned"),
    [
        ({"zone": "Z1", "coat": "Z1-1", "attempt": 1}, True),
        ({"zone": "Z2", "coat": "Z1-1", "attempt": 1}, False),
        ({"zone": "Z1", "coat": "Z1-2", "attempt": 1}, False),
        ({"zone": "Z1", "coat": "Z1-1", "attempt": 2}, False),
        ({"coat": "Z1-1", "attempt": 1}, True),
        ({"zone": "Z1", "attempt": 1}, True),
        ({"zone": "Z1", "coat": "Z1-1"}, True),
        ({}, True),
    ],
)
def test_a_lost_row_concerns_the_findings_it_may_belong_to(cells, concerned):
    evidence = hold(unread=[lost(Series, 9, **cells)])
    assert (evidence.concerning(Series, "Z1", "Z1-1", 1, None, None) != ()) is concerned


def test_a_finding_without_a_place_or_condition_is_concerned_by_all_of_its_attempt():
    evidence = hold(unread=[lost(Series, 9, zone="Z2", coat="Z2-1", attempt=1)])
    assert evidence.concerning(Series, "", "", 1, None, None) != ()
    assert evidence.concerning(Series, "", "", 2, None, None) == ()


def test_a_table_without_a_place_concerns_everything():
    evidence = hold(unread=[lost(Nowhere, 3, day="Monday")])
    assert evidence.concerning(Nowhere, "Z1", "Z1-1", 1, None, None) != ()


START, END = datetime(2026, 3, 18, 8), datetime(2026, 3, 18, 12)


@pytest.mark.parametrize(
    ("at", "concerned"),
    [
        (START, True),
        (END, True),
        (datetime(2026, 3, 18, 7, 59), False),
        (datetime(2026, 3, 18, 12, 1), False),
        (None, True),
    ],
)
def test_a_lost_row_of_a_log_concerns_a_finding_only_while_its_period_lasts(at, concerned):
    evidence = hold(unread=[lost(Log, 9, zone="Z1", at=at)])
    assert (evidence.concerning(Log, "Z1", "Z1-4", 1, START, END) != ()) is concerned
    assert evidence.concerning(Log, "Z1", "Z1-4", 1, None, None) != ()  # no period: any time may be meant
    assert evidence.concerning(Log, "Z2", "Z2-4", 1, START, END) == ()


# Rows that contradict each other


def fault(line: int, column: str = "value [um]", file: str = "series.csv") -> Fault:
    return Fault(Where(file, line, column), "one coat", "two", "Neither is used.")


def test_rows_that_a_fault_names_are_not_used_and_not_forgotten():
    before = hold(ROWS, [lost(Series, 20, zone="Z3")])
    assert before.of(Series, zone="Z1") == (ROWS[0], ROWS[1], ROWS[3])  # looked at before, so that an index exists
    after = before.without([fault(3), fault(3, "number")])
    assert after.of(Series, zone="Z1") == (ROWS[0], ROWS[3])
    gone = after.lost(Series, zone="Z1", attempt=1)
    assert [(row.where.line, row.get("number"), row.get("value"), row.why) for row in gone] == [
        (3, None, None, "expected one coat; found two")
    ]
    assert len(after.lost(Series)) == 2
    assert before.of(Series) == ROWS  # nothing is changed in place


def test_a_cell_that_a_fault_names_is_not_believed():
    after = hold(ROWS).without([fault(3, "zone")])
    assert [row.where.line for row in after.lost(Series, zone="Z9", attempt=1)] == [3]  # any zone may be meant
    assert after.lost(Series, zone="Z1", attempt=2) == ()
    assert hold(ROWS).without([fault(3)]).lost(Series, zone="Z9") == ()  # the zone itself is believed


@pytest.mark.parametrize("column", ["", "no such column"])
def test_where_a_fault_names_no_column_no_cell_is_believed(column):
    (row,) = hold(ROWS).without([fault(3, column)]).lost(Series)
    assert set(row.cells) == set(Series.columns())
    assert set(row.cells.values()) == {None}


def test_a_row_with_a_mistyped_year_still_concerns_the_hours_it_belongs_to():
    """The typed year is what is wrong: it must not take the row out of the time in which it was read."""
    at = datetime(2062, 3, 18, 9)
    mistyped = Log(where=Where("log.csv", 4), zone="Z1", at=at)
    after = hold([mistyped]).without([fault(4, "at", "log.csv")])
    assert [row.where.line for row in after.concerning(Log, "Z1", "", 1, START, END)] == [4]
    assert after.concerning(Log, "Z2", "", 1, START, END) == ()


def test_of_two_dates_that_contradict_each_other_neither_is_believed():
    row = Shift(where=Where("shift.csv", 2), zone="Z1", began=START, ended=END, crew=3)
    before = Evidence(Hull(), Specification(), {Shift: (row,)})
    (lost_row,) = before.without([fault(2, "ended", "shift.csv")]).lost(Shift)
    assert lost_row.cells == {"zone": "Z1", "began": None, "ended": None, "crew": 3}
    (lost_row,) = before.without([fault(2, "crew", "shift.csv")]).lost(Shift)
    assert lost_row.cells == {"zone": "Z1", "began": START, "ended": END, "crew": None}


def test_without_faults_nothing_changes():
    before = hold(ROWS)
    assert before.without([]) is before
    assert before.without([fault(99)]) == before


def test_an_unread_row_answers_no_question_about_nothing():
    assert lost(Series, 9, zone="Z1").get("") is None


# What the builder specified


def specified(high: float, place: str = "", condition: str = "") -> SpecifiedLimit:
    limit = Limit("um", (Term("x", Standing.BUILDER),), high=high)
    return SpecifiedLimit("COA-08", "largest film thickness", limit, place, condition)


SPECIFICATION = Specification(
    limits=(specified(1.0), specified(2.0, place="Z1"), specified(3.0, condition="high"), specified(4.0, "Z1", "high")),
    unread=(("COA-08", "hull.toml:12: high is not a number."), ("REG", "hull.toml:30: no unit.")),
)


@pytest.mark.parametrize(
    ("place", "condition", "expected"),
    [("Z2", "", 1), ("Z1", "", 2), ("Z2", "high", 3), ("Z1", "high", 4), ("", "", 1)],
)
def test_the_most_particular_limit_counts(place, condition, expected):
    found = SPECIFICATION.limit("COA-08", "largest film thickness", place=place, condition=condition)
    assert found is not None
    assert found.high == expected


def test_a_limit_for_something_else_does_not_count():
    assert SPECIFICATION.limit("COA-08", "smallest film thickness") is None
    assert SPECIFICATION.limit("COA-09", "largest film thickness") is None
    only_z1 = Specification(limits=(specified(2.0, place="Z1"),))
    assert only_z1.limit("COA-08", "largest film thickness", place="Z2") is None


def test_entries_that_could_not_be_used_are_remembered_by_check_or_prefix():
    assert SPECIFICATION.unusable("COA-08") == ("hull.toml:12: high is not a number.",)
    assert SPECIFICATION.unusable("REG-03") == ("hull.toml:30: no unit.",)
    assert SPECIFICATION.unusable("COA-09") == ()


def test_the_rule_chosen_for_a_check():
    term = Term("x", Standing.BUILDER)
    chosen = Specification(rules=(ChosenRule("COA-03", "number rule", term), ChosenRule("COA-08", "iso-19840", term)))
    assert chosen.rule("COA-08") == ChosenRule("COA-08", "iso-19840", term)
    assert chosen.rule("COA-09") is None


def test_what_a_record_alone_gives_is_worked_out_once_and_what_rests_on_rows_again():
    first = Evidence(Hull(), Specification(), {Series: (reading(2), reading(3))})
    fewer = first.without([Fault(Where("series.csv", 3), "x", "y", "")])
    passes: list[str] = []

    def spectrum() -> int:
        passes.append("pass")
        return len(passes)

    assert [evidence.once_of_signals("spectrum", spectrum) for evidence in (first, fewer, first)] == [1, 1, 1]
    assert first.once("rows", lambda: len(first.of(Series))) == 2
    assert fewer.once("rows", lambda: len(fewer.of(Series))) == 1
