"""Charts of the blades beside their pitch, on synthetic rows: what the title says and where the limits stand."""

from __future__ import annotations

from typing import Any, cast

from buildbook.chapters.propeller.blade_charts import blade_charts
from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.charts import charts as pitch_charts
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.core.chart import Chart
from buildbook.render.drawing_marks import looks
from tests.chapters.propeller.blade_folder import (
    RADII,
    Rows,
    across,
    all_across,
    all_standing,
    blade,
    drawn,
    folder,
    ordered,
    whole,
)
from tests.chapters.small_folder import near


def charts(tables: Rows | None = None) -> dict[str, Chart]:
    return {chart.key: chart for chart in blade_charts(folder(tables))}


def pitches(tables: Rows | None = None) -> dict[str, Chart]:
    return {chart.key: chart for chart in pitch_charts(folder(tables), ())}


def test_the_title_names_the_thinnest_place_in_per_cent_of_its_design():
    """9.4 for 10 mm is 6 % under, 10.3 mm is 3 % over (worked by hand)."""
    rows = all_across(across("B1", r95={"thickness": 9.4}, r50={"thickness": 10.3}))
    chart = charts({SectionReading: rows})["pro-07-p1"]
    assert "blade B1 at 0.95 R, thinner by 6.0 %; the thickest place is thicker by 3.0 %" in chart.title
    assert [series.name for series in chart.series] == ["the other blades", "B1, thinnest"]
    assert chart.x.categories == tuple(f"{radius / 100:g} R" for radius in reversed(RADII))  # the tip at the left
    assert chart.series[1].x == tuple(f"{radius / 100:g} R" for radius in RADII)
    assert chart.series[1].y_error[0] == 1.0  # U of 0.1 mm on 10 mm
    assert chart.y.title == "Propeller, port: thickness less design thickness"


def test_one_line_for_each_end_where_the_shares_are_the_same_everywhere():
    """Without the millimetres class I allows 1.5 % under and 2.5 % over at every radius."""
    rules = charts({Propeller: [ordered(minima="no")]})["pro-07-p1"].rules
    ends = [(rule.value, rule.forbidden, rule.start, rule.end) for rule in rules]
    assert ends == [(-1.5, "below", "0.95 R", "0.3 R"), (2.5, "above", "0.95 R", "0.3 R")]


def test_a_short_line_at_each_radius_where_the_millimetres_count_for_more_on_thin_sections():
    """1.5 mm of 20 mm are 7.5 %, of 10 mm 15 % (worked by hand)."""
    design = [drawn(radius, thickness=20.0 if radius == 30.0 else 10.0) for radius in RADII]
    rules = charts({DesignSection: design})["pro-07-p1"].rules
    below = [(rule.value, rule.start, rule.end) for rule in rules if rule.forbidden == "below"]
    assert below[:2] == [(-7.5, "0.3 R", "0.3 R"), (-15.0, "0.4 R", "0.4 R")]
    assert below[-1] == (-15.0, "0.95 R", "0.95 R")


def both(tables: Rows) -> Rows:
    """The same tables about two propellers; rows that name none are about the first."""
    return {Propeller: [ordered(), ordered(propeller="P2", side="starboard")], **tables}


def of_two(first: list[dict[str, Any]], second: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [*first, *({**row, "propeller": "P2"} for row in second)]


def test_both_propellers_have_one_scale_and_as_many_looks_as_can_be_told_apart():
    """P1 down to 9.4 of 10 mm, 6 % under with 1 % for U: both axes reach beyond -7 % (worked by hand)."""
    thin = all_across(across("B1", r95={"thickness": 9.4}))
    sections = of_two([drawn(radius) for radius in RADII], [drawn(radius) for radius in RADII])
    made = charts(both({SectionReading: of_two(thin, all_across()), DesignSection: sections}))
    one, other = made["pro-07-p1"], made["pro-07-p2"]
    assert (one.y.low, one.y.high, one.x) == (other.y.low, other.y.high, other.x)
    assert one.y.low == -16.0  # the window, 15 %, reaches farther than the reading
    pitch = pitches(both({PitchReading: of_two(whole(blade("B1", 1036.0)), whole()), DesignSection: sections}))
    assert (pitch["pro-02-p1"].y.low, pitch["pro-02-p1"].y.high) == (-2.0, 5.0)  # 3.6 % and U 0.28 %, class I 1.5 %
    assert pitch["pro-02-p1"].y.high == pitch["pro-02-p2"].y.high


def test_a_corrected_blade_is_drawn_as_left_and_as_received_and_no_look_comes_twice():
    rows = [*whole(blade("B1", 1036.0)), *blade("B1", 1001.0, attempt=2)]
    chart = pitches({PitchReading: rows})["pro-02-p1"]
    assert [(one.name, one.style) for one in chart.series] == [
        ("the other blades", "dots"),
        ("B1, farthest off", "dots"),
        ("B1 as received", "hollow dots"),
    ]
    assert len({(own.colour, own.marker) for own in looks(chart.series)}) == 3
    assert [cast(float, off) for off in chart.series[2].y] == near([3.6] * len(RADII))
    assert chart.title.endswith("blade B1 at 0.3 R, higher by 0.1 %")
    assert [rule.value for rule in chart.rules] == near([-1.5, 1.5])
    assert {(rule.start, rule.end) for rule in chart.rules} == {("0.95 R", "0.3 R")}


def test_roughness_is_drawn_with_the_class_that_was_agreed():
    chart = charts({BladeReading: all_standing(B2={"roughness": 4.4})})["pro-11-blades"]
    assert chart.title == "Roughest of 3 blades is P1 B2, Ra 4.4 µm"
    assert [(rule.value, rule.words) for rule in chart.rules] == [(6.0, "class I (DWG-1)")]
    assert charts({BladeReading: all_standing(), Propeller: [ordered(accuracy="none")]})["pro-11-blades"].rules == ()


def test_nothing_is_drawn_where_nothing_was_measured():
    assert charts({BladeReading: [], SectionReading: []}) == {}
