"""What curves say at each reading: the numbers of the chart at honest digits, at the places where they are drawn."""

from __future__ import annotations

import re
from datetime import datetime
from xml.etree import ElementTree

import pytest

from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.render.drawing import chart_svg
from buildbook.render.readout import readout


def chart(*series: Series, x: Axis | None = None, rules: tuple[Rule, ...] = ()) -> Chart:
    along = x or Axis("Frequency", "Hz", low=0.0)
    return Chart("k", "VIB-06", "t", "d", along, Axis("Velocity", "mm/s", low=0.0), series, rules)


SPECTRUM = Series("velocity", (0.5, 1.5, 2.5, 3.5), (0.004, 1.834, 2.818568, 0.1), "line")


def words(made: str) -> list[str]:
    return [line.partition("|")[2] for line in made.splitlines()[1:]]


def test_a_spectrum_tells_every_line_with_the_decimals_that_its_highest_bears() -> None:
    assert words(readout(chart(SPECTRUM))) == [
        "0.5 Hz: 0.00 mm/s",
        "1.5 Hz: 1.83 mm/s",
        "2.5 Hz: 2.82 mm/s",
        "3.5 Hz: 0.10 mm/s",
    ]


def test_an_upright_line_is_named_at_the_reading_nearest_to_it() -> None:
    rules = (
        Rule(2.2, "shaft rate", "x"),
        Rule(3.5, "2 × blade rate", "x"),
        Rule(1.0, "a limit", "y"),
        Rule(2.0, "", "x"),
    )
    told = words(readout(chart(SPECTRUM, rules=rules)))
    assert told[2] == "2.5 Hz: 2.82 mm/s; line at 2.2 Hz: shaft rate"
    assert told[3] == "3.5 Hz: 0.10 mm/s; line at 3.5 Hz: 2 × blade rate"
    assert [one for one in told if "limit" in one] == []


def test_several_curves_are_told_by_name_and_with_their_uncertainty() -> None:
    port = Series("port", (700.0, 850.0), (1.2, 1.9), "line and dots", y_error=(0.06, 0.06))
    starboard = Series("starboard", (700.0, 900.0), (1.3, 2.0), "line and dots", y_error=(0.1, 0.0))
    told = words(readout(chart(port, starboard, x=Axis("Speed of the shafts", "rpm"))))
    assert told == [
        "700 r/min: port 1.200 ± 0.060 mm/s; starboard 1.30 ± 0.10 mm/s",
        "850 r/min: port 1.900 ± 0.060 mm/s",
        "900 r/min: starboard 2.00 mm/s",
    ]


def test_times_are_told_as_everywhere_in_the_book_and_a_bare_number_by_its_axis() -> None:
    log = Series("margin", (datetime(2026, 3, 20, 9, 0), datetime(2026, 3, 20, 9, 10)), (7.7, 8.0), "line")
    assert words(readout(chart(log, x=Axis("Time", kind="time"))))[0] == "2026-03-20 09:00: 7.70 mm/s"
    steps = Series("grit", (1.0, 2.0), (7.7, 8.0), "line")
    assert words(readout(chart(steps, x=Axis("Step"))))[1] == "Step 2: 8.00 mm/s"


@pytest.mark.parametrize(
    "series",
    [
        Series("dots", (1.0, 2.0), (1.0, 2.0), "dots"),
        Series("", (1.0, 2.0), (1.0, 2.0), "line"),
        Series("there and back", (1.0, 2.0, 1.5), (1.0, 2.0, 1.0), "line"),
        Series("one", (1.0,), (1.0,), "line"),
    ],
)
def test_what_is_no_curve_is_not_read_out(series: Series) -> None:
    assert readout(chart(series)) == ""


def test_categories_are_not_read_out() -> None:
    places = Series("mean", ("bow", "stern"), (1.0, 2.0), "line")
    assert readout(chart(places, x=Axis("Place", kind="category", categories=("bow", "stern")))) == ""


def test_each_reading_is_where_the_curve_is_drawn() -> None:
    """The corners of the curve in the SVG, as the chart library put them there, are the places of the readings."""
    drawn = chart(SPECTRUM, rules=(Rule(2.2, "shaft rate", "x"),))
    root = ElementTree.fromstring(chart_svg(drawn))
    (group,) = [element for element in root.iter() if re.fullmatch(r"k-series-1(-\w+)*", element.get("id", ""))]
    paths = [one.get("d", "") for one in group.iter() if one.tag.endswith("path")] or [group.get("d", "")]
    corners = [(float(x), float(y)) for x, y in re.findall(r"[ML]\s*(\S+) (\S+)", paths[0])]
    places = [line.partition("|")[0].split() for line in readout(drawn).splitlines()[1:]]
    assert len(corners) == len(places) == 4
    for corner, place in zip(corners, places, strict=True):
        assert [float(number) for number in place] == pytest.approx(corner, abs=0.03)


def test_the_ends_of_the_plot_are_those_of_its_upright_axis() -> None:
    top, foot = (float(number) for number in readout(chart(SPECTRUM)).splitlines()[0].split())
    box = [float(number) for number in ElementTree.fromstring(chart_svg(chart(SPECTRUM))).get("viewBox", "").split()]
    assert 0.0 < top < foot < box[3]
    lowest = min(float(line.partition("|")[0].split()[1]) for line in readout(chart(SPECTRUM)).splitlines()[1:])
    assert top < lowest < foot
