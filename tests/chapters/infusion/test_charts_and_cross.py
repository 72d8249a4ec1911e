"""What the charts of the infusion hold, and which rows contradict each other, on synthetic rows."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.infusion import CHAPTER
from buildbook.chapters.infusion.charts import charts
from buildbook.chapters.infusion.checks.climate import peaks
from buildbook.chapters.infusion.checks.vacuum import LARGEST, vacuum_held
from buildbook.chapters.infusion.cross import CROSS_CHECKS
from buildbook.chapters.infusion.records import Area, DropReading, Infusion, LogReading, Mix, ResinSheet
from buildbook.core.chart import Chart
from tests.chapters.evidence_builder import record
from tests.chapters.infusion.infusion_folder import SHEET, area, at, drop, folder, infusion, log, mix
from tests.chapters.small_folder import specified


def drawn(tables: Any = None, mine: Any = ()) -> dict[str, Chart]:
    given = folder(tables, mine)
    found = (*vacuum_held(given), *peaks(given))
    return {chart.check: chart for chart in charts(given, found)}


def told(tables: Any) -> set[tuple[str, str]]:
    """File and column of every fault."""
    given = folder(tables)
    return {(fault.where.file, fault.where.column) for check in CROSS_CHECKS for fault in check(given)}


# --- charts -------------------------------------------------------------------------------------------------------


def test_the_whole_curve_from_bag_up_to_the_end_with_what_was_done_when():
    chart = drawn(mine=[specified("INF-02", LARGEST, "mbar", high=100.0)])["INF-02"]
    (line,) = chart.series
    assert (line.x[0], line.x[-1], len(line.x)) == (at(6), at(16), 61)
    stages = [(span.words, span.start, span.end) for span in chart.spans]
    assert stages == [
        ("drop test", at(7), at(7, 20)),
        ("resin runs in", at(8), at(9)),
        ("full, not yet gelled", at(9), at(10)),
        ("gelled, vacuum on", at(10), at(16)),
    ]
    (rule,) = chart.rules
    assert (rule.value, rule.start, rule.forbidden) == (100.0, at(9), "above")
    assert "30.0 ± 1.0 mbar" in chart.title


def test_a_gap_breaks_the_line_and_is_shown():
    holed = [row for row in log() if not at(12) < row["at"] < at(13)]
    chart = drawn({LogReading: holed})["INF-02"]
    (line,) = chart.series
    (broken,) = line.breaks
    assert line.x[broken - 1 : broken + 1] == (at(12), at(13))
    assert [(span.start, span.end) for span in chart.spans if span.style == "gap"] == [(at(12), at(13))]


def test_temperatures_with_the_hottest_reading_and_the_limit_beside_foam():
    chart = drawn()["INF-07"]
    assert [line.name for line in chart.series] == ["laminate", "mould", "air of the shop", "hottest"]
    assert (chart.series[-1].x, chart.series[-1].y) == ((at(11),), (60.0,))
    assert [rule.value for rule in chart.rules] == [80.0]
    assert "hottest 60.0 ± 1.0 °C" in chart.title


def test_no_chart_without_a_log_and_none_of_what_was_not_read():
    assert drawn({LogReading: []}) == {}
    bare = [{**row, "laminate": None} for row in log()]
    assert [line.name for line in drawn({LogReading: bare})["INF-07"].series] == ["mould", "air of the shop"]
    assert "peak not known" in drawn({LogReading: bare})["INF-07"].title


# --- rows that contradict each other -------------------------------------------------------------------------------


def test_rows_in_order_are_left_alone():
    assert told({}) == set()
    assert CHAPTER.cross_checks == CROSS_CHECKS


def test_a_mix_belongs_between_bag_up_and_fill():
    for hour in (5, 9):
        late = mix("B", mixed=at(hour), closed=at(hour, 30), gelled=at(hour + 1))
        assert told({Mix: [mix(), late]}) == {("infusion/mixes.csv", "mixed")}


def test_a_later_reading_and_a_later_attempt_are_later():
    rows = drop()
    rows[2] = {**rows[2], "at": rows[1]["at"]}
    assert told({DropReading: rows}) == {("infusion/drop_tests.csv", "at")}
    again = [{**row, "attempt": 2} for row in drop()]
    assert told({DropReading: [*drop(), *again]}) == {("infusion/drop_tests.csv", "at")}


def test_a_test_before_bag_up_and_a_log_of_another_day_are_told():
    early = [{**row, "at": row["at"].replace(hour=5)} for row in drop()]
    assert told({DropReading: early}) == {("infusion/drop_tests.csv", "at")}
    other = [{**row, "at": row["at"].replace(year=2024)} for row in log()]
    assert told({LogReading: other}) == {("infusion/log.csv", "at")}


def test_gauge_and_log_of_one_bag_read_alike():
    """A factor of three between readings of one moment is another unit: 30 mbar in the log, 9 or 91 at the gauge."""
    both = {("infusion/drop_tests.csv", "reading"), ("infusion/log.csv", "pressure [mbar]")}
    for other in (9.0, 91.0):
        found = {(file, column.split(" [")[0]) for file, column in told({DropReading: drop((20, 24, 25, 26, other))})}
        assert found == {(file, column.split(" [")[0]) for file, column in both}
    assert told({DropReading: drop((20, 24, 25, 26, 89.0))}) == set()
    assert told({DropReading: drop((9, 9, 9, 9, 9)), LogReading: []}) == set()


@pytest.mark.parametrize(
    ("kind", "cells", "words"),
    [
        (Infusion, infusion(filled=at(7)), "filled: a time after `started`"),
        (Infusion, infusion(filled=None, gelled=at(7)), "gelled: a time after `started`"),
        (DropReading, drop()[0] | {"reads": "below the barometer"}, "barometer: the pressure of the air outside"),
        (
            DropReading,
            drop()[0] | {"reads": "below the barometer", "barometer": 1000.0, "reading": 1001.0},
            "not more than the barometer",
        ),
        (Mix, mix(closed=at(8)), "closed: a time after `mixed`"),
        (Mix, mix(gelled=at(7)), "gelled: a time after `mixed`"),
        (ResinSheet, {**SHEET, "hardener_high": 0.5}, "hardener_high: not less"),
        (ResinSheet, {**SHEET, "temperature_high": 15.0}, "temperature_high: not less"),
        (Area, area(cut_width=1.0), "all three or none"),
        (Area, area(hole_pitch=40.0), "beside every diameter"),
        (Area, area(core=None, surface=0.3), "which core it is"),
        (Area, area(hole_diameter=2.0, hole_pitch=40.0), "how deep the holes are"),
        (Area, area(core_thickness=10.0, cut_width=1.0, cut_depth=12.0, cut_spacing=30.0), "not deeper than"),
    ],
)
def test_a_row_that_cannot_be_true_is_refused(kind: Any, cells: dict[str, Any], words: str):
    with pytest.raises(ValueError, match=words):
        record(kind, cells)


def test_a_beaker_that_gelled_after_the_vacuum_was_let_go_is_told():
    ends = {Infusion: [infusion(released=at(14))]}
    assert told({**ends, Mix: [mix(gelled=at(14))]}) == set()
    assert told({**ends, Mix: [mix(gelled=at(14, 1))]}) == {("infusion/mixes.csv", "gelled")}
