"""What the charts of the filling say and hold, on synthetic rows."""

from __future__ import annotations

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.charts_fuel import fuel_charts
from buildbook.chapters.systems.checks.fuel import shown
from buildbook.core.chart import Chart
from tests.chapters.evidence_builder import evidence
from tests.chapters.systems.systems_folder import PLACES, TOOLS, FuelFill, Rows, SenderReading, fill, sender_rows


def drawn(tables: Rows) -> tuple[Chart, ...]:
    given = evidence({Place: PLACES, Instrument: TOOLS, **tables})
    return tuple(fuel_charts(given, tuple(shown(given))))


def test_sender_and_display_stand_beside_the_meter_with_the_alarm_marked():
    (chart,) = drawn({FuelFill: [fill()], SenderReading: sender_rows(-3.0, 2.0)})
    assert chart.title == "T1, trial 1: sender off by up to 3.0 %, display off by up to 2.0 %"
    meter, sender, display = chart.series
    assert (meter.x, meter.y) == ((0.0, 1000.0), (0.0, 100.0))
    assert sender.x == display.x == (50.0, 250.0, 500.0, 750.0, 950.0)
    assert (sender.y[1], display.y[1]) == (22.0, 27.0)
    assert [(rule.value, rule.axis, rule.words) for rule in chart.rules] == [(950.0, "x", "alarm at 950 L")]


def test_without_an_alarm_none_is_marked_and_without_readings_nothing_is_drawn():
    (chart,) = drawn({FuelFill: [fill(None)], SenderReading: sender_rows()})
    assert chart.rules == ()
    assert drawn({FuelFill: [fill()], SenderReading: sender_rows()[:1]}) == ()
    assert drawn({FuelFill: [], SenderReading: sender_rows()}) == ()


def test_each_trial_has_a_chart_of_its_own():
    rows = [*sender_rows(), *sender_rows(attempt=2)]
    both = drawn({FuelFill: [fill(), fill(attempt=2)], SenderReading: rows})
    assert [chart.key for chart in both] == ["sys-03-t1-1", "sys-03-t1-2"]
