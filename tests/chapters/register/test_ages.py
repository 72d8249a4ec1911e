"""REG-06: rows that are more than 12 months old on the day of the book. All inputs are synthetic."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.register.ages import NO_DAY, NOTHING_SINCE, age_findings
from buildbook.chapters.register.records import Work
from buildbook.chapters.register.spans import months_before
from buildbook.chapters.shared_records import Hardness, Moisture, Planned
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence, spoiled

AS_OF = Hull(as_of=date(2026, 6, 15))


def read(*days):
    return [{"place": "Z1", "number": n, "at": f"{day} 10:00"} for n, day in enumerate(days, 1)]


def found(moisture, hardness=(), hull=AS_OF):
    return list(age_findings(evidence({Moisture: read(*moisture), Hardness: read(*hardness)}, hull=hull)))


def test_reg_06_information_where_all_is_young():
    (whole,) = found(["2025-06-15", "2026-01-02"], ["2026-02-02"])
    assert whole.verdict is Verdict.INFORMATION
    assert whole.observed == (
        "3 dated rows in 2 tables of readings, the oldest of 2025-06-15 in moisture.csv; "
        "none has rows older than 12 months"
    )


def test_reg_06_information_of_a_table_with_old_and_young_rows():
    whole, table = found(["2025-06-14", "2024-01-02", "2026-01-02"])
    assert whole.observed.endswith("; 1 has rows older than 12 months")
    assert (table.key.place, table.verdict) == ("moisture.csv", Verdict.INFORMATION)
    assert table.observed == "2 of 3 rows are more than 12 months old on 2026-06-15; the oldest is of 2024-01-02"
    assert [where.line for where in table.at] == [3, 2]


def test_reg_06_inconclusive_where_no_row_is_younger():
    _, table = found(["2025-06-14"], ["2026-01-02"])
    assert table.verdict is Verdict.INCONCLUSIVE
    assert NOTHING_SINCE in table.notes
    assert table.observed.startswith("1 of 1 row is more than 12 months old")


def test_reg_06_inconclusive_without_a_day_of_the_book():
    (whole,) = found(["2025-06-14"], hull=Hull())
    assert (whole.verdict, whole.notes[0]) == (Verdict.INCONCLUSIVE, NO_DAY)


def test_the_day_a_light_or_an_extinguisher_was_tried_counts():
    tables: dict[type[Record], Any] = {Tried: [{"place": "Y20", "on": "2025-05-01"}]}
    tables |= {SafetyDevice: [{"place": "Y5", "on": "2026-05-28"}]}
    whole, old = age_findings(evidence(tables, hull=AS_OF))
    assert whole.observed.startswith("2 dated rows in 2 tables of readings, the oldest of 2025-05-01 in systems/lights")
    assert (old.verdict, old.key.place) == (Verdict.INCONCLUSIVE, Tried.table.file)


def test_days_of_work_and_papers_are_named_as_left_out():
    """Work of 2024 and a batch made then are no old readings; the finding says which tables it leaves out."""
    tables: dict[type[Record], Any] = {Moisture: read("2026-01-02")}
    tables |= {Work: [{"begun": "2024-01-08", "ended": "2024-01-12", "days": 5}]}
    tables |= {Batch: [{"made": "2024-01-08", "expires": "2027-01-08", "received": "2024-02-01"}]}
    (whole,) = age_findings(evidence(tables, hull=AS_OF))
    assert whole.observed.startswith("1 dated row in 1 table of readings")
    assert any(note.endswith("such as those of batches.csv and effort.csv.") for note in whole.notes)


def test_a_row_without_its_date_may_be_older():
    given = spoiled(evidence({Moisture: read("2026-01-02", "2026-01-03")}, hull=AS_OF), Moisture, 0, ["at"])
    (whole,) = age_findings(given)
    assert whole.verdict is Verdict.INCONCLUSIVE
    assert "1 row of moisture.csv" in whole.notes[0]


def test_a_planned_table_that_is_not_there_may_be_older():
    plan = {"line": "1", "check": "COA-16", "record": "hardness.csv", "readings": None}
    given = evidence({Moisture: read("2026-01-02"), Hardness: [], Planned: [plan]}, hull=AS_OF)
    (whole,) = age_findings(given)
    assert whole.verdict is Verdict.INCONCLUSIVE
    assert "hardness.csv is planned for and is not there." in whole.notes


def test_nothing_is_said_where_no_row_bears_a_day():
    assert found([], []) == []


@pytest.mark.parametrize("day", [date(2024, 2, 29), date(2026, 6, 15), date(2026, 12, 31), date(2025, 3, 31)])
@pytest.mark.parametrize("months", [0, 1, 12, 13, 25])
def test_months_are_those_of_the_calendar_library(day, months):
    assert months_before(day, months) == day - relativedelta(months=months)
