"""What the charts of the laminate say and hold, on synthetic rows."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from buildbook.chapters.laminate.charts import charts
from buildbook.chapters.laminate.checks.burned import VOIDS
from buildbook.chapters.laminate.checks.thickness import OWN
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.shared_records import Place
from buildbook.core.chart import Chart
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Hull
from buildbook.core.quantity import Part, Quantity
from tests.chapters.laminate.cut_folder import coupon, folder
from tests.chapters.small_folder import near, specified


def drawn(found: list[Finding], evidence: Evidence | None = None) -> dict[str, Chart]:
    return {chart.check: chart for chart in charts(evidence or folder(), tuple(found))}


def of(check: str, quantity: str, name: str, value: float, standard: float) -> Finding:
    """A finding of one coupon with its limits; `standard` is half of U."""
    limit = specified(check, quantity, "%", 92.0, 108.0).limit if check == "LAM-06" else None
    measured = Quantity.combined(value, "%", (Part("weighings", standard),))
    return Finding(Key(check, quantity, "L1", name), Verdict.PASS, measured, limit)


def test_thickness_is_drawn_as_what_it_is_off_its_prediction():
    """101.4 % of the prediction is 1.4 % above it: a tenth of a millimetre on a line from 0 to 10 mm."""
    chart = drawn([of("LAM-06", OWN, "C-01", 99.5, 0.5), of("LAM-06", OWN, "C-02", 101.4, 1.0)])["LAM-06"]
    (shown,) = chart.series
    assert shown.x == ("C-01", "C-02")
    assert [cast(float, off) for off in shown.y] == near([-0.5, 1.4])
    assert shown.y_error == near((1.0, 2.0))
    assert "C-02, thicker by 1.4 %" in chart.title
    ends = [(rule.value, rule.forbidden) for rule in chart.rules if rule.start == rule.end == "C-01"]
    assert ends == [(-8.0, "below"), (8.0, "above")]


def test_an_interval_of_voids_below_zero_meets_the_line_of_none():
    unsure = drawn([of("LAM-03", VOIDS, "C-01", 0.7, 0.6)])["LAM-03"]
    assert [(rule.value, rule.words) for rule in unsure.rules] == [(0.0, "no voids: less there cannot be")]
    assert "cannot tell the voids from none" in unsure.description
    assert drawn([of("LAM-03", VOIDS, "C-01", 1.3, 0.6)])["LAM-03"].rules == ()


SPOTS = (("O2", 0.9, -1.95), ("O3", 0.9, 1.95), ("O4", 9.8, None))


def cut(hull: Hull) -> Chart:
    """Two outlets abreast and a window whose side is not on record; O2 gave a coupon."""
    places = [
        {"place": name, "name": name, "kind": "opening", "painted": "no", "x": x, "y": y, "z": 0.2}
        for name, x, y in SPOTS
    ]
    given = folder({Place: places, BurnOff: [coupon(opening="O2")]})
    return drawn([], replace(given, hull=hull))["LAM-10"]


def test_openings_abreast_stand_apart_in_the_plan_of_her():
    """Port stands above the centreline, so its y is turned round."""
    chart = cut(Hull(plan_outline=((0.0, 0.0), (0.0, 2.3), (19.0, 0.0))))
    outline, tested, never = chart.series
    assert (tested.x, tested.y, tested.labels) == ((0.9,), (1.95,), ("O2",))
    assert (never.x, never.y, never.labels) == ((0.9,), (-1.95,), ("O3",))
    assert (outline.style, outline.x[0], outline.y[0]) == ("line", outline.x[-1], outline.y[-1])
    assert {(0.0, -2.3), (0.0, 2.3)} <= set(
        zip(outline.x, outline.y, strict=True)
    )  # given for one side, drawn for both
    assert "stern at the left" in chart.x.title
    assert chart.y.title.startswith("Her outline from above: port above")


def test_without_an_outline_a_box_of_length_and_beam_stands_for_her():
    chart = cut(Hull(length_hull=18.9, beam=5.1))
    assert set(zip(chart.series[0].x, chart.series[0].y, strict=True)) == {
        (0.0, 2.55), (0.0, -2.55), (18.9, 2.55), (18.9, -2.55),
    }  # fmt: skip
    assert chart.y.title.startswith("Her length and beam from above")
    assert [one.name for one in cut(Hull()).series] == ["coupon burned", "never tested"]
