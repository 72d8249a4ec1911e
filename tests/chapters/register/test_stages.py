"""The stage that hull.toml gives, against her dates and her records. All data are synthetic."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType

import pytest

from buildbook.chapters.register.stages import held_by_her_stage, stage_fits
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.fault import Severity
from buildbook.core.hull import Hull, Specification
from buildbook.core.stage import EVERYTHING_DUE, Stage
from buildbook.core.where import Where

DAY = date(2026, 3, 1)


def folder(stage: str, dates: Mapping[str, str] = MappingProxyType({}), *, lost: bool = False) -> Evidence:
    days = tuple((name, date.fromisoformat(day)) for name, day in dates.items())
    hull = Hull(stage=stage, as_of=DAY, dates=days, lines=(("stage", 3),))
    row = Unread(TrialRun, Where("trial/runs.csv", 2), {}, "not a number")
    return Evidence(hull, Specification(), unread={TrialRun: (row,)} if lost else {}, missing={})


@pytest.mark.parametrize(
    ("stage", "dates", "shown", "why"),
    [
        ("lay-up", {"moulded": "2025-09-26"}, "'moulded' or a later stage", "moulded is 2025-09-26"),
        ("lay-up", {"paint_started": "2026-02-01"}, "'moulded' or a later stage", "paint_started is 2026-02-01"),
        ("painted", {"launched": "2026-02-12"}, "'launched' or a later stage", "launched is 2026-02-12"),
        ("on trial", {"delivered": "2026-03-01"}, "'delivered', or no stage", "delivered is 2026-03-01"),
    ],
)
def test_a_date_of_a_later_stage_is_a_fault_and_makes_everything_due(
    stage: str, dates: dict[str, str], shown: str, why: str
) -> None:
    given = folder(stage, dates)
    (fault,) = stage_fits(given)
    assert (str(fault.where), fault.severity) == ("hull.toml:3, stage", Severity.FAULT)
    assert (fault.expected, fault.found, fault.effect) == (shown, f"'{stage}', but {why}", EVERYTHING_DUE)
    assert held_by_her_stage(given).hull.stage == ""


@pytest.mark.parametrize("stage", [stage.value for stage in Stage if stage.before(Stage.ON_TRIAL)])
def test_rows_that_only_a_trial_gives_contradict_an_earlier_stage_also_where_they_cannot_be_read(stage: str) -> None:
    (fault,) = stage_fits(folder(stage, lost=True))
    assert fault.found == f"'{stage}', but trial/runs.csv has rows"


@pytest.mark.parametrize(
    ("stage", "dates"),
    [
        ("", {"delivered": "2026-02-28"}),
        ("delivered", {"delivered": "2026-02-28"}),
        ("moulded", {"lay_up_started": "2025-08-18", "moulded": "2025-09-26"}),
        ("moulded", {"launched": "2026-05-12"}),  # a day that has not come: told as a date after as_of, not here
    ],
)
def test_what_fits_is_no_fault_and_stays(stage: str, dates: dict[str, str]) -> None:
    given = folder(stage, dates)
    assert list(stage_fits(given)) == []
    assert held_by_her_stage(given) is given
