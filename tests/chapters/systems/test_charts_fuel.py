"""What the charts of the filling say and hold, on synthetic rows."""

from __future__ import annotations

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.charts_fuel import fuel_charts
from buildbook.chapters.systems.checks.fuel import DISPLAY, SENDER, shown
from buildbook.core.chart import Chart
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import near, specification, specified
from tests.chapters.systems.systems_folder import PLACES, TOOLS, FuelFill, Rows, SenderReading, fill, sender_rows


def drawn(tables: Rows) -> tuple[Chart, ...]:
    mine = [specified("SYS-03", name, "%", high=4.0) for name in (SENDER, DISPLAY)]
    given = evidence({Place: PLACES, Instrument: TOOLS, **tables}, specification=specification(*mine))
    return tuple(fuel_charts(given, tuple(shown(given))))


def test_sender_and_display_stand_by_what_they_are_off_with_limits_and_alarm():
    (chart,) = drawn({FuelFill: [fill()], SenderReading: sender_rows(-3.0, 2.0)})
    assert chart.title == "T1, trial 1: sender off by up to 3.0 %, display off by up to 2.0 %"
    sender, display = chart.series
    assert sender.x == display.x == (50.0, 250.0, 500.0, 750.0, 950.0)
    assert sender.y == near((0.0, -3.0, 0.0, 0.0, 0.0))
    assert display.y == near((0.0, 2.0, 0.0, 0.0, 0.0))
    assert [(rule.value, rule.axis, rule.forbidden) for rule in chart.rules] == [
        (4.0, "y", "above"),
        (-4.0, "y", "below"),
        (950.0, "x", "none"),
    ]


def test_without_an_alarm_none_is_marked_and_without_readings_nothing_is_drawn():
    (chart,) = drawn({FuelFill: [fill(None)], SenderReading: sender_rows()})
    assert [rule for rule in chart.rules if rule.axis == "x"] == []
    assert drawn({FuelFill: [fill()], SenderReading: sender_rows()[:1]}) == ()
    assert drawn({FuelFill: [], SenderReading: sender_rows()}) == ()


def test_each_trial_has_a_chart_of_its_own():
    rows = [*sender_rows(), *sender_rows(attempt=2)]
    both = drawn({FuelFill: [fill(), fill(attempt=2)], SenderReading: rows})
    assert [chart.key for chart in both] == ["sys-03-t1-1", "sys-03-t1-2"]
