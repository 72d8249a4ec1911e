"""Rows about shafts that contradict each other, and records that cannot be; all rows are synthetic."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from pydantic import ValidationError

from buildbook.chapters.shafting import cross
from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.charts import charts
from buildbook.chapters.shafting.checks import CHECKS
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft, ShaftEnd
from buildbook.core.hull import Hull
from tests.chapters.evidence_builder import record
from tests.chapters.shafting.shaft_folder import bearing, end, gaps, line, shaft, stock, turned


def test_an_angle_twice_is_told_on_both_rows():
    twice = [*gaps(0.1, 0.1, 0.1), {**gaps(0.1)[0], "number": 9}]
    assert len(list(cross.each_gap_once(line({CouplingGap: twice})))) == 2
    assert not list(cross.each_gap_once(line({CouplingGap: gaps(0.1, 0.1, 0.1, 0.1)})))
    again = [*turned(0.1), {**turned(0.1)[0], "number": 99}]
    assert len(list(cross.each_angle_once(line({RunOut: again})))) == 2


def test_one_place_along_the_shaft_has_one_name():
    mixed = [*turned(0.1), {**turned(0.1)[0], "number": 9, "station": "taper", "angle": 45.0}]
    assert len(list(cross.one_station_one_name(line({RunOut: mixed})))) == 1


@pytest.mark.parametrize(("launched", "told"), [(date(2026, 5, 12), 0), (date(2026, 5, 20), 1), (date(2026, 5, 14), 1)])
def test_she_is_afloat_from_the_launch_on(launched, told):
    """Read on 2026-05-14 after 53 h afloat."""
    given = line({CouplingGap: gaps(0.1, at="2026-05-14 15:30", hours=53.0)})
    given = replace(given, hull=Hull(dates=(("launched", launched),)))
    assert len({fault.where.row for fault in cross.afloat_after_the_launch(given)}) == told


def test_a_reading_afloat_before_the_launch_is_told_with_both_dates_and_no_hours_below_nothing():
    given = line({CouplingGap: gaps(0.1, at="2026-05-04 15:30", hours=53.0)})
    given = replace(given, hull=Hull(dates=(("launched", date(2026, 5, 12)),)))
    told = {fault.where.column: fault for fault in cross.afloat_after_the_launch(given)}
    assert list(told) == ["afloat"]
    assert "2026-05-04 15:30" in told["afloat"].found
    assert "2026-05-12" in told["afloat"].expected


def test_a_later_attempt_is_later():
    rows = [end(at="2026-04-14 09:00"), end(at="2026-04-13 09:00", attempt=2)]
    assert len(list(cross.later_attempts_are_later(line({ShaftEnd: rows})))) == 2
    rows[1]["at"] = "2026-04-15 09:00"
    assert not list(cross.later_attempts_are_later(line({ShaftEnd: rows})))


@pytest.mark.parametrize(
    ("kind", "cells"),
    [
        (Shaft, shaft(factor=None)),
        (Shaft, shaft(service=None)),
        (Shaft, shaft(strength=300.0)),
        (ShaftEnd, end(small=101.0)),
        (ShaftEnd, end(taper=None)),
    ],
)
def test_a_row_that_cannot_be_is_refused(kind, cells):
    with pytest.raises(ValidationError):
        record(kind, cells)


def test_a_drawing_for_each_check_that_has_one_and_none_without_rows():
    given = line(
        {
            ShaftEnd: [end()],
            RunOut: [*turned(0.05), *turned(0.02, "taper")],
            Bearing: [bearing()],
            RudderStock: [stock()],
        }
    )
    findings = tuple(finding for check in CHECKS for finding in check.judge(given))
    drawn = {chart.check: chart for chart in charts(given, findings)}
    assert set(drawn) == {"SHA-01", "SHA-03", "SHA-09"}
    assert "side pressure 14.7 MPa" in drawn["SHA-09"].title
    assert "times" not in drawn["SHA-09"].title
    (sizes,) = drawn["SHA-01"].series
    assert all(" mm" in f"{name} {label}" for name, label in zip(sizes.y, sizes.labels, strict=True)), (
        "each has a value"
    )
    (bars,) = drawn["SHA-09"].series
    assert len(bars.labels) == len(bars.x)
    assert all(label.endswith(" MPa") for label in bars.labels)
    empty = line({})
    assert charts(empty, tuple(finding for check in CHECKS for finding in check.judge(empty))) == ()
