"""The stages of a build. Their order is that in which boats are built; common practice, no source."""

from __future__ import annotations

from datetime import date

import pytest

from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Hull
from buildbook.core.stage import Stage, due_from, not_due, stage_named, waits

IN_ORDER = ("lay-up", "moulded", "fitting out", "painted", "launched", "on trial", "delivered")


def test_the_stages_come_in_the_order_of_the_build() -> None:
    assert tuple(Stage) == IN_ORDER
    ordered = [[one.before(other) for other in Stage] for one in Stage]
    assert ordered == [[at < later for later in range(len(IN_ORDER))] for at in range(len(IN_ORDER))]


def test_a_stage_is_found_by_its_name_alone() -> None:
    assert [stage_named(name) for name in IN_ORDER] == list(Stage)
    assert [stage_named(name) for name in ("", "Moulded", "afloat")] == [None] * 3


def test_what_is_not_due_keeps_the_reason_why_it_is_not_there() -> None:
    gap = Finding(Key("COA-08", "film", "Z1"), Verdict.NO_RECORD, notes=("No table.",))
    told = not_due(gap, Stage.PAINTED)
    assert (told.verdict, told.notes) == (Verdict.NOT_APPLICABLE, ("Not due before she is painted.", "No table."))
    assert (gap.due_later, told.due_later) == (False, True)


def test_the_stage_of_what_is_not_due_is_told_back() -> None:
    gap = Finding(Key("X-01", "gap"), Verdict.NO_RECORD)
    reading = Finding(Key("X-01", "reading"), Verdict.PASS)
    none = Finding(Key("X-01", "shape"), Verdict.NOT_APPLICABLE)
    later = [not_due(gap, stage) for stage in (Stage.ON_TRIAL, Stage.LAUNCHED)]
    assert [due_from(it) for it in (*later, gap)] == [Stage.ON_TRIAL, Stage.LAUNCHED, None]
    assert waits([*later, none]) == "launched and on trial"
    assert waits([*later, reading]) == waits([*later, gap]) == waits([none]) == waits([]) == ""


def test_what_does_not_apply_for_another_reason_is_not_called_not_due() -> None:
    assert not Finding(Key("COA-08", "film"), Verdict.NOT_APPLICABLE, notes=("No metal part.",)).due_later


@pytest.mark.parametrize("stage", [*IN_ORDER[:-1]])
def test_an_unfinished_hull_says_so_with_its_day(stage: str) -> None:
    hull = Hull(stage=stage, as_of=date(2025, 12, 15), demonstration="Invented.")
    assert hull.unfinished == f"She is not finished: this is how she stood on 2025-12-15, {Stage(stage).words}."
    assert hull.label == f"Invented. {hull.unfinished}"


@pytest.mark.parametrize("stage", ["", "delivered"])
def test_a_finished_hull_says_nothing_of_it(stage: str) -> None:
    hull = Hull(stage=stage, as_of=date(2025, 12, 15))
    assert (hull.unfinished, hull.label) == ("", "")
