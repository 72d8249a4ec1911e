"""Charts of the coating chapter as plain values: what is drawn, what the title claims, and when nothing is drawn."""

from __future__ import annotations

import math
from datetime import datetime

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.chapters.coating.charts import charts
from buildbook.chapters.coating.checks import CHECKS
from buildbook.chapters.coating.checks.climate import MARGIN, dew_point_margins
from buildbook.chapters.coating.checks.film import film_thickness
from buildbook.chapters.coating.checks.overcoating import SINCE
from buildbook.chapters.coating.records import Climate, Coat, FilmReading, Gloss, Preparation, Product, Window
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.chart import Chart
from buildbook.core.finding import Role
from buildbook.pipeline import judge
from tests.chapters.coating.drawn_charts import drawn
from tests.chapters.coating.whole_folder import whole
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, near, specification, specified, zone

Z1 = zone(area=2.0)
KEYS = ["coa-03-grits", "coa-04-margins", "coa-04-coat", "coa-06-windows", "coa-08-film", "coa-11-gloss"]


# All of them, on the small folder with something of everything


@pytest.fixture(scope="module")
def whole_charts() -> dict[str, Chart]:
    held = whole()
    return {chart.key: chart for chart in charts(held, judge(held, CHAPTERS))}


def test_every_chart_is_drawn_once_and_belongs_to_a_check(whole_charts):
    assert list(whole_charts) == KEYS
    assert {chart.check for chart in whole_charts.values()} <= {check.id for check in CHECKS}


@pytest.mark.parametrize("key", KEYS)
def test_a_chart_is_whole(whole_charts, key):
    """As many x as y; labels, errors and breaks fit; all categories are on the axis; the text alternative is there."""
    chart = whole_charts[key]
    assert chart.series
    assert chart.title
    assert chart.description.endswith(".")
    for series in chart.series:
        assert len(series.x) == len(series.y) > 0
        assert len(series.y_error) in (0, len(series.y))
        assert len(series.labels) in (0, len(series.x))
        assert all(0 < at < len(series.x) for at in series.breaks)
        if series.style == "spans":
            assert len(series.x) % 2 == 0
    for axis, values in (
        (chart.x, [v for s in chart.series for v in s.x]),
        (chart.y, [v for s in chart.series for v in s.y]),
    ):
        if axis.kind == "category":
            assert set(axis.categories) == set(values)
            assert len(set(axis.categories)) == len(axis.categories)
        if axis.low is not None and axis.kind == "number":
            assert all(value >= axis.low for value in values if isinstance(value, float))


def test_every_value_drawn_is_a_value_of_the_folder(whole_charts):
    held = whole()
    film, gloss = whole_charts["coa-08-film"].series, whole_charts["coa-11-gloss"].series
    assert sorted(film[0].y) == sorted(row.thickness for row in held.of(FilmReading))
    assert sorted(y for series in gloss for y in series.y) == sorted(row.gloss for row in held.of(Gloss))


def test_every_margin_drawn_is_that_of_its_finding(whole_charts):
    found = [
        finding
        for finding in judge(whole(), CHAPTERS)
        if (finding.key.check, finding.key.quantity, finding.key.role) == ("COA-04", MARGIN, Role.GOVERNING)
    ]
    expected = sorted((f.period.start, f.measured.value, f.measured.at_two) for f in found if f.measured and f.period)
    points = [
        point
        for series in whole_charts["coa-04-margins"].series
        for point in zip(series.x, series.y, series.y_error, strict=True)
    ]
    assert sorted(points) == expected
    assert len(points) == 5


def test_nothing_is_drawn_when_there_is_nothing():
    assert charts(evidence({}), ()) == ()
    rows: Tables = {Place: [Z1], Coat: [{"coat": "Z1-1"}], Preparation: [{"id": "P-1", "step": "wash"}]}
    assert drawn(evidence(rows)) == {}


# Grit sequence


def sanding(*grades, where="Z1", start=6):
    return [
        {
            "id": f"{where}-{number}",
            "zone": where,
            "step": "sand",
            "started": f"2026-03-02 {start + number:02}:00",
            "finished": f"2026-03-02 {start + number:02}:30",
            "grit": grade,
        }
        for number, grade in enumerate(grades)
    ]


def test_grits_by_particle_size():
    """P80 201, P120 125, P180 82 um: 201 / 125 = 1.608 is the wider of two steps."""
    chart = drawn(evidence({Place: [Z1], Preparation: sanding("P80", "P120", "P180")}))["coa-03-grits"]
    (series,) = chart.series
    assert (series.name, series.x, series.y) == ("Z1", (1.0, 2.0, 3.0), (201.0, 125.0, 82.0))
    assert series.labels == ("P80", "P120", "P180")
    assert chart.y.kind == "log"
    assert chart.title == "Grit by grit: the widest step, P80 to P120, makes the grain 1.61 times finer"


def test_grits_of_a_second_layer_have_a_line_of_their_own():
    coats = [
        {"coat": "Z1-1", "mixed": "2026-03-02 07:40", "started": "2026-03-02 07:45", "finished": "2026-03-02 07:50"}
    ]
    rows: Tables = {Place: [Z1], Preparation: sanding("P80", "P120", "P240", "P320", "P400"), Coat: coats}
    chart = drawn(evidence(rows))["coa-03-grits"]
    assert [(series.name, series.labels) for series in chart.series] == [
        ("Z1", ("P80", "P120")),
        ("Z1, layer 2", ("P240", "P320", "P400")),
    ]
    assert chart.x.high is not None
    assert chart.x.high > 3.0  # as wide as the longer one


def test_grits_that_go_back_are_said():
    chart = drawn(evidence({Place: [Z1], Preparation: sanding("P80", "P180", "P120")}))["coa-03-grits"]
    assert chart.title.endswith("P80 to P180, makes the grain 2.45 times finer; P180 to P120 is not finer")


def test_grits_of_two_zones_alike_are_one_line():
    rows = [*sanding("P80", "P120"), *sanding("P80", "P120", where="Z2")]
    chart = drawn(evidence({Place: [Z1, zone("Z2")], Preparation: rows}))["coa-03-grits"]
    assert [series.name for series in chart.series] == ["2 sequences alike"]


# Dew-point margin. 20 degC at 60 %: dew point 11.9955 degC (WMO-No. 8).

COAT = {
    "coat": "Z1-1",
    "zone": "Z1",
    "layer": 1,
    "product": "PU-T",
    "mixed": "2026-03-18 07:45",
    "started": "2026-03-18 08:00",
    "finished": "2026-03-18 09:00",
}
SHEET = {"product": "PU-T", "first_cure": 2}
METERS = (
    instrument("TH-01", "air temperature", "degC", 0.4),
    instrument("TH-01", "relative humidity", "%", 2.0),
    instrument("ST-01", "surface temperature", "degC", 0.6),
)


def climate(*hours, surface=18.0, **more):
    return [
        {"zone": "Z1", "at": f"2026-03-18 {hour:02}:00", "air": 20, "humidity": 60, "surface": surface, **more}
        for hour in hours
    ]


def weathered(*readings, coats=(COAT,), sheets=(SHEET,), mine=None):
    rows: Tables = {Place: [Z1], Coat: coats, Climate: readings, Product: sheets, Instrument: METERS}
    return drawn(evidence(rows, specification=mine))


def test_the_margin_of_one_coat_over_time():
    """Readings from two hours before to two hours after are shown; the coat and its first cure are marked."""
    chart = weathered(*climate(*range(5, 15)))["coa-04-coat"]
    (series,) = chart.series
    assert [at.hour for at in series.x] == [6, 7, 8, 9, 10, 11, 12, 13]
    assert series.y == near((6.0045,) * 8, abs=5e-4)
    assert series.breaks == ()
    spans = [(span.start.hour, span.end.hour, span.words, span.style) for span in chart.spans]
    assert spans == [(8, 9, "coat applied", "stage"), (9, 11, "first cure", "stage")]
    assert chart.title == "Coat Z1-1, Z1: 6.00 ± 0.87 K at its smallest, at least 3 K: pass"
    assert [(rule.value, rule.forbidden, rule.words) for rule in chart.rules] == [
        (3.0, "below", "at least 3 K (paint-manual-1)")
    ]


def test_a_gap_is_a_gap_in_the_line_a_span_and_the_title():
    chart = weathered(*climate(8, 9, 11, 12))["coa-04-coat"]
    (series,) = chart.series
    assert series.breaks == (2,)  # before the reading of 11:00
    gaps = [(span.start, span.end) for span in chart.spans if span.style == "gap"]
    assert gaps == [(datetime(2026, 3, 18, 9), datetime(2026, 3, 18, 11))]
    assert chart.title == "Coat Z1-1, Z1: no reading from 09:00 to 11:00, and a gap is no pass"


def test_the_longer_of_two_gaps_is_told():
    long = {**SHEET, "first_cure": 6}
    chart = weathered(*climate(8, 10, 11, 14, 15), sheets=(long,))["coa-04-coat"]
    assert chart.series[0].breaks == (1, 3)
    assert [span.start.hour for span in chart.spans if span.style == "gap"] == [8, 11]
    assert chart.title == "Coat Z1-1, Z1: no reading from 11:00 to 14:00, and a gap is no pass"


def test_two_readings_make_a_line_and_one_does_not():
    assert len(weathered(*climate(8, 9))["coa-04-coat"].series[0].x) == 2
    assert "coa-04-coat" not in weathered(*climate(8))


def test_a_fail_beside_a_gap_is_what_the_title_tells():
    chart = weathered(*climate(8, surface=13.0), *climate(9, 11))["coa-04-coat"]
    assert chart.title == "Coat Z1-1, Z1: 1.00 ± 0.87 K at its smallest, at least 3 K: fail"


def test_a_wet_surface_is_not_cut_off():
    found = weathered(*climate(8, surface=10.0), *climate(9, 10, 11))
    assert found["coa-04-coat"].y.low == near(-1.9955, abs=5e-4)
    assert found["coa-04-margins"].y.low == near(-1.9955, abs=5e-4)
    assert found["coa-04-margins"].title == (
        "Smallest dew-point margin of each coat: the least that was read is −2.00 ± 0.87 K"
    )


def test_a_reading_that_the_formula_does_not_hold_for_is_left_out():
    strange = climate(10, surface=-20.0, air=-28, humidity=2)
    chart = weathered(*climate(8, 9, 11), *strange)["coa-04-coat"]
    assert [at.hour for at in chart.series[0].x] == [8, 9, 11]


def test_the_coat_to_look_at_is_the_worst_one():
    """Two coats pass and one is a conditional pass: 15.5 - 11.9955 = 3.5 K."""
    second = {**COAT, "coat": "Z1-2", "layer": 2, "mixed": "2026-03-18 11:45", "started": "2026-03-18 12:00"}
    second["finished"] = "2026-03-18 13:00"
    readings = (*climate(*range(8, 12)), *climate(12, surface=15.5), *climate(13, 14, 15))
    found = weathered(*readings, coats=(COAT, second))
    assert found["coa-04-coat"].title.startswith("Coat Z1-2, Z1: 3.50 ± 0.87 K at its smallest")
    assert [y for series in found["coa-04-margins"].series for y in series.y] == near((6.0045, 3.5045), abs=5e-4)
    assert found["coa-04-margins"].title.endswith("each coat: the least that was read is 3.50 ± 0.87 K")
    assert found["coa-04-margins"].y.low == 0.0


def test_each_limit_that_a_coat_was_judged_by_has_its_line():
    other = {**COAT, "coat": "Z1-2", "layer": 2, "product": "EP", "started": "2026-03-18 12:00"}
    other |= {"mixed": "2026-03-18 12:00", "finished": "2026-03-18 13:00"}
    sheets = ({**SHEET, "margin_low": 5}, {"product": "EP", "first_cure": 2, "margin_low": 3, "sheet": "TDS-EP"})
    found = weathered(*climate(*range(8, 16)), coats=(COAT, other), sheets=sheets)
    assert sorted(rule.value for rule in found["coa-04-margins"].rules) == [3.0, 5.0]


# Overcoating windows


def painted(*hours, table=((20, 8, 48),), mine=None, abraded=None, surface=20):
    """Coats one above the other, so many hours apart."""
    coats, at = [], 8
    for layer, wait in enumerate((0, *hours), 1):
        at += wait
        when = f"2026-03-{18 + at // 24:02} {at % 24:02}:00"
        row = {"coat": f"Z1-{layer}", "zone": "Z1", "layer": layer, "product": "PU-T", "abraded": abraded}
        coats.append({**row, "mixed": when, "started": when, "finished": when})
    lines = [
        {"product": "PU-T", "next_product": "PU-T", "surface": t, "shortest": low, "longest": high}
        | {"no_longest": None if high else "always abraded"}
        for t, low, high in table
    ]
    readings = [
        {"zone": "Z1", "at": f"2026-03-{18 + hour // 24:02} {hour % 24:02}:00", "surface": surface, "air": 20}
        for hour in range(8, at + 1, 2)
    ]
    rows: Tables = {Place: [Z1], Coat: coats, Window: lines, Climate: readings}
    return drawn(evidence(rows, specification=mine)).get("coa-06-windows")


def test_each_coats_gap_against_its_window():
    chart = painted(12, 30)
    bars, dots = chart.series
    assert (bars.style, bars.x, bars.y) == ("spans", (8, 48, 8, 48), ("Z1-2", "Z1-2", "Z1-3", "Z1-3"))
    assert (dots.name, dots.x, dots.y) == (SINCE, (12.0, 30.0), ("Z1-2", "Z1-3"))
    assert chart.title == "2 coats against their windows: every coat inside its window"


def test_a_coat_on_either_end_of_its_window_is_inside():
    assert painted(8, 48).title == "2 coats against their windows: every coat inside its window"


@pytest.mark.parametrize(
    ("hours", "abraded", "told"),
    [
        ((5, 12), None, "Z1-2 was too early"),
        ((60, 12), None, "Z1-2 was late"),
        ((60, 5), "P180", "Z1-2 was late and abraded again and Z1-3 was too early"),
    ],
)
def test_the_title_says_which_coat_missed_its_window(hours, abraded, told):
    assert painted(*hours, abraded=abraded).title == f"2 coats against their windows: {told}"


def test_a_window_without_a_longest_time_is_open():
    assert painted(12, table=((20, 8, None),)).series[0].x == (8, math.inf)


def test_the_window_the_builder_set_is_drawn_where_it_was_judged_by():
    mine = specification(specified("COA-06", SINCE, "h", 4.0, 24.0))
    chart = painted(30, mine=mine)
    assert chart.series[0].x == (4.0, 24.0)
    assert chart.title == "1 coat against its window: Z1-2 was late"


def test_a_coat_without_a_window_is_not_drawn():
    assert painted(12, surface=35) is None


def test_charts_use_what_the_checks_found():
    """The same functions, so that a drawing cannot disagree with a verdict."""
    rows: Tables = {Coat: [COAT], Climate: climate(8, 9, 10, 11), Product: [SHEET], Instrument: METERS}
    held = evidence(rows)
    (finding, _) = dew_point_margins(held)
    chart = next(chart for chart in charts(held, (finding,)) if chart.key == "coa-04-margins")
    assert finding.measured is not None
    assert chart.series[0].y == (finding.measured.value,)
    assert list(film_thickness(evidence({}))) == []
