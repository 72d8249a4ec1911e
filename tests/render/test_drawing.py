"""Charts as SVG: where things stand is measured in the picture against its own ticks. All readings are SYNTHETIC."""

from __future__ import annotations

import hashlib
import itertools
import math
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.chart import Axis, Chart, Rule, Series, Span
from buildbook.render.drawing import chart_svg
from buildbook.render.drawing_labels import lanes, moved_apart, text_width, wrapped
from buildbook.render.drawing_marks import COLOURS, FORBIDDEN, FORBIDDEN_ALPHA, look
from buildbook.render.drawing_places import thinned
from buildbook.render.templates import fonts_dir, templates_dir
from tests.render.contrast import blended, contrast, theme_colours

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
START = datetime(2026, 3, 2, 7, 0)
ROOT = Path(__file__).parents[2]
ZONES = ("Topsides port", "Foredeck and side decks", "Transom")


def chart(x: Axis, y: Axis, *series: Series, rules: tuple[Rule, ...] = (), spans: tuple[Span, ...] = ()) -> Chart:
    return Chart("k", "COA-00", "The finding", "In words", x, y, series, rules, spans)


class Picture:
    """A drawn chart with its ticks read back: text of the tick and place in the picture."""

    def __init__(self, of: Chart) -> None:
        self.text = chart_svg(of)
        self.root = ElementTree.fromstring(self.text)
        self.words = [(e.text or "", *position(e)) for e in self.root.iter(f"{SVG}text")]

    def group(self, name: str) -> ElementTree.Element:
        (found,) = [element for element in self.root.iter() if element.get("id") == f"k-{name}"]
        return found

    def has(self, name: str) -> bool:
        return any(element.get("id") == f"k-{name}" for element in self.root.iter())

    def line(self, name: str) -> list[list[tuple[float, float]]]:
        """The pieces of a group's first path."""
        path = next(self.group(name).iter(f"{SVG}path")).get("d", "")
        pieces: list[list[tuple[float, float]]] = []
        for command, x, y in re.findall(r"([ML])\s*([-\d.]+)\s+([-\d.]+)", path):
            if command == "M":
                pieces.append([])
            pieces[-1].append((float(x), float(y)))
        return pieces

    def box(self, name: str) -> tuple[float, float, float, float]:
        points = list(itertools.chain(*self.line(name)))
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)

    def dots(self, name: str) -> list[tuple[float, float]]:
        uses = self.group(name).iter(f"{SVG}use")
        return [(float(use.get("x", "")), float(use.get("y", ""))) for use in uses]

    def ticks(self, across: int) -> list[tuple[float, float]]:
        """Numbers at one axis with their place: those words that are numbers, left of the plot (1) or below it (0)."""
        found = []
        for words, x, y in self.words:
            plain = words.replace("−", "-").replace("\u00a0", "")
            if re.fullmatch(r"-?\d+(\.\d+)?", plain) and self.is_tick(x, y, across):
                found.append((float(plain), y - 0.34 * 8.5 if across else x))
        return found

    def is_tick(self, x: float, y: float, across: int) -> bool:
        left, _, _, bottom = self.plot()
        return x < left if across else y > bottom

    def plot(self) -> tuple[float, float, float, float]:
        """The plot from its two spines."""
        spines = [
            [float(number) for number in re.findall(r"[-\d.]+", path.get("d", ""))]
            for path in self.root.iter(f"{SVG}path")
            if "stroke-width: 0.7" in path.get("style", "") and "stroke-linecap: square" in path.get("style", "")
        ]
        xs, ys = [v for s in spines for v in s[::2]], [v for s in spines for v in s[1::2]]
        return min(xs), min(ys), max(xs), max(ys)

    def value(self, place: float, across: int = 1) -> float:
        """The value at a place, by a straight line through the ticks."""
        ticks = self.ticks(across)
        slope, offset = np.polyfit([at for _, at in ticks], [number for number, _ in ticks], 1)
        return float(slope * place + offset)


def position(element: ElementTree.Element) -> tuple[float, float]:
    return float(element.get("x", "nan")), float(element.get("y", "nan"))


def days(count: int, step: float = 0.25) -> tuple[datetime, ...]:
    return tuple(START + timedelta(days=step * number) for number in range(count))


MARGIN = chart(
    Axis("Time", kind="time"),
    Axis("Surface above dew point", "K"),
    Series("margin", days(41), tuple(6.0 + 3.0 * math.sin(n / 3.0) for n in range(41)), "line", breaks=(20,)),
    rules=(Rule(4.0, "at least 4 K (invented)", forbidden="below"),),
    spans=(
        Span(START + timedelta(days=1), START + timedelta(days=1.5), "primer"),
        Span(START + timedelta(days=4.75), START + timedelta(days=5), "no reading", "gap"),
    ),
)
FILM = chart(
    Axis("Zone", kind="category", categories=ZONES),
    Axis("Dry film thickness", "um"),
    Series("as left", ZONES * 5, tuple(240.0 + 7 * n for n in range(15)), y_error=(5.0,) * 15),
    Series("as found", ("Transom",) * 4, (190.0, 200.0, 210.0, 205.0), "hollow dots"),
    rules=tuple(
        Rule(value, words, forbidden=side, start=zone, end=zone)  # type: ignore[arg-type]
        for zone, nominal in zip(ZONES, (300.0, 300.0, 250.0), strict=True)
        for value, words, side in ((nominal, "nominal", "none"), (0.8 * nominal, "0.8 × nominal", "below"))
    ),
)
WINDOW = chart(
    Axis("Time since the coat before", "h", low=0.0, high=80.0),
    Axis("", kind="category", categories=("filler on primer", "topcoat on filler")),
    Series(
        "allowed",
        (4.0, 48.0, 12.0, math.inf),
        ("filler on primer",) * 2 + ("topcoat on filler",) * 2,
        "spans",
        labels=("", "", "no upper end", ""),
    ),
    Series("actual", (20.0, 61.0), ("filler on primer", "topcoat on filler")),
)
GRIT = chart(
    Axis("Step", kind="category", categories=("1", "2", "3", "4")),
    Axis("Particle size", "um", kind="log"),
    Series("port", ("1", "2", "3", "4"), (200.0, 100.0, 50.0, 20.0), "line and dots"),
    Series("starboard", ("1", "2", "3", "4"), (200.0, 100.0, 50.0, 20.0), "line and dots"),
    Series("transom", ("1", "2"), (125.0, 46.2), "line and dots"),
)
EFFORT = chart(
    Axis("Step", kind="category", categories=("wash", "sand")),
    Axis("Work", "person-days"),
    Series("planned", ("wash", "sand"), (3.0, 40.0), "bars"),
    Series("spent", ("wash", "sand"), (4.0, 38.0), "bars", labels=("4", "38")),
)
STAGES = chart(
    Axis("Time", kind="time"),
    Axis("Surface above dew point", "K"),
    Series("port", days(41), tuple(6.0 + math.sin(n / 3.0) for n in range(41)), "line"),
    Series("starboard", days(41), tuple(6.1 + math.sin(n / 3.0) for n in range(41)), "line"),
    rules=(Rule(5.9, "at least 5.9 K (invented)", forbidden="below"),),
    spans=tuple(Span(START + timedelta(days=n), START + timedelta(days=n + 0.2), f"undercoat {n}") for n in range(8)),
)
CODES = tuple(f"XC-{n:02d} ({1 + n // 9})" for n in range(18))
COUPONS = chart(
    Axis("Coupon", kind="category", categories=CODES),
    Axis("Void content", "%"),
    Series("voids", CODES, tuple(0.1 * n for n in range(18)), y_error=(0.2,) * 18),
)
ALL = {
    "coupons": COUPONS,
    "stages": STAGES,
    "margin": MARGIN,
    "film": FILM,
    "window": WINDOW,
    "grit": GRIT,
    "effort": EFFORT,
}


@pytest.fixture(params=sorted(ALL))
def any_chart(request: pytest.FixtureRequest) -> Chart:
    return ALL[request.param]


# --- places -------------------------------------------------------------------------------------------------------


def test_rule_stands_at_its_value_and_forbidden_ground_below_it() -> None:
    picture = Picture(MARGIN)
    left, top, right, bottom = picture.plot()
    (rule,) = picture.line("rule-1")
    assert {round(picture.value(y), 2) for _, y in rule} == {4.0}
    assert (rule[0][0], rule[-1][0]) == pytest.approx((left, right), abs=0.05)
    ground = picture.box("rule-1-forbidden")
    assert ground == pytest.approx((left, rule[0][1], right, bottom), abs=0.05)
    assert top < ground[1]


def test_readings_stand_at_their_values_over_time() -> None:
    picture = Picture(MARGIN)
    first, second = picture.line("series-1-1"), picture.line("series-1-2")
    points = [point for piece in (*first, *second) for point in piece]
    assert len(points) == 41
    assert [picture.value(y) for _, y in points] == pytest.approx(MARGIN.series[0].y, abs=0.02)
    left, _, right, _ = picture.plot()
    steps = np.diff([x for x, _ in points])
    assert steps == pytest.approx(np.full(40, steps[0]), abs=0.03)
    assert left < points[0][0] < points[-1][0] < right


def test_line_is_interrupted_where_there_is_a_gap() -> None:
    picture = Picture(MARGIN)
    (first,), (second,) = picture.line("series-1-1"), picture.line("series-1-2")
    assert (len(first), len(second)) == (20, 21)
    gap = picture.box("span-2")
    assert first[-1][0] == pytest.approx(gap[0], abs=0.05)
    assert second[0][0] == pytest.approx(gap[2], abs=0.05)


def test_spans_lie_between_their_ends_and_are_named_above_the_plot() -> None:
    picture = Picture(MARGIN)
    (first,) = picture.line("series-1-1")
    per_day = (first[4][0] - first[0][0]) / 1.0
    _, top, _, bottom = picture.plot()
    for name, start, end, words in (("span-1", 1.0, 1.5, "primer"), ("span-2", 4.75, 5.0, "no reading")):
        box = picture.box(name)
        assert box == pytest.approx((first[0][0] + start * per_day, top, first[0][0] + end * per_day, bottom), abs=0.1)
        ((_, _, y),) = [entry for entry in picture.words if entry[0] == words]
        assert y < top
    assert "url(#k-" in ElementTree.tostring(picture.group("span-2"), encoding="unicode"), "a gap is hatched"


def test_dots_stay_in_their_category_and_show_their_uncertainty() -> None:
    picture = Picture(FILM)
    left, _, right, _ = picture.plot()
    slot = (right - left) / 3.0
    for name, series in (("series-1", FILM.series[0]), ("series-2", FILM.series[1])):
        dots = picture.dots(name)
        assert len(dots) == len(series.y)
        assert [picture.value(y) for _, y in dots] == pytest.approx(series.y, abs=0.5)
        for (x, _), zone in zip(dots, series.x, strict=True):
            assert abs(x - (left + (ZONES.index(str(zone)) + 0.5) * slot)) < 0.5 * slot
    found, transom = picture.dots("series-2"), [picture.dots("series-1")[n] for n in range(2, 15, 3)]
    assert max(x for x, _ in transom) < min(x for x, _ in found), "two series in one category do not mix"
    whiskers = [path.get("d", "") for path in picture.group("series-1-whiskers").iter(f"{SVG}path")]
    ends = [[float(y) for y in re.findall(r"[ML]\s*[-\d.]+\s+([-\d.]+)", path)] for path in whiskers]
    assert [abs(picture.value(a) - picture.value(b)) for a, b in ends] == pytest.approx([10.0] * 15, abs=0.5)


def test_rule_of_one_category_is_as_wide_as_its_place_and_explained_by_a_key() -> None:
    picture = Picture(FILM)
    left, top, right, _ = picture.plot()
    slot = (right - left) / 3.0
    for number, rule in enumerate(FILM.rules, 1):
        (line,) = picture.line(f"rule-{number}")
        index = ZONES.index(str(rule.start))
        assert [x for x, _ in line] == pytest.approx([left + (index + a) * slot for a in (0.05, 0.95)], abs=0.05)
        assert picture.value(line[0][1]) == pytest.approx(rule.value, abs=0.3)
    for words in ("nominal", "0.8 × nominal", "as left", "as found"):
        assert [y < top for text, _, y in picture.words if text == words] == [True]


def test_pieces_that_would_look_alike_bear_their_own_words() -> None:
    rules = tuple(
        Rule(n, f"at least {n:g}", forbidden="below", start=z, end=z) for n, z in zip((1, 2, 3), ZONES, strict=True)
    )
    words = [
        text for text, _, _ in Picture(chart(FILM.x, FILM.y, Series("a", ZONES, (2.0, 3.0, 4.0)), rules=rules)).words
    ]
    for rule in rules:
        assert words.count(rule.words) == 1


def test_window_is_a_bar_from_end_to_end_and_an_open_end_an_arrow() -> None:
    picture = Picture(WINDOW)
    _, top, right, bottom = picture.plot()
    first, second = picture.box("series-1-1"), picture.box("series-1-2")
    assert (picture.value(first[0], 0), picture.value(first[2], 0)) == pytest.approx((4.0, 48.0), abs=0.2)
    assert (picture.value(second[0], 0), second[2]) == pytest.approx((12.0, right), abs=0.2)
    assert first[3] < (top + bottom) / 2.0 < second[1], "the first category stands above the second"
    dots = picture.dots("series-2")
    assert [picture.value(x, 0) for x, _ in dots] == pytest.approx((20.0, 61.0), abs=0.2)
    assert first[1] < dots[0][1] < first[3]
    assert [text for text, _, _ in picture.words].count("no upper end") == 1
    at = {words: y for words, _, y in picture.words}
    assert first[1] < at["filler on primer"] < first[3]
    assert second[1] < at["topcoat on filler"] < second[3]


def test_logarithmic_axis_puts_equal_ratios_at_equal_distances() -> None:
    picture = Picture(GRIT)
    ticks = picture.ticks(1)
    assert {20.0, 50.0, 100.0, 200.0} <= {number for number, _ in ticks}
    slope, offset = np.polyfit([y for _, y in ticks], [math.log10(number) for number, _ in ticks], 1)
    (line,) = picture.line("series-1-1")
    assert [10 ** (slope * y + offset) for _, y in line] == pytest.approx((200.0, 100.0, 50.0, 20.0), rel=0.01)


def test_lines_that_coincide_can_both_be_seen() -> None:
    picture = Picture(GRIT)
    (port,), (starboard,) = picture.line("series-1-1"), picture.line("series-2-1")
    assert all(abs(a[0] - b[0]) > 2.0 for a, b in zip(port, starboard, strict=True))


def test_lines_are_labelled_where_they_end() -> None:
    picture = Picture(GRIT)
    _, _, right, _ = picture.plot()
    at = {words: (x, y) for words, x, y in picture.words}
    assert at["port"][0] > right
    assert at["starboard"][0] > right
    end = picture.line("series-3-1")[0][-1]
    assert at["transom"][0] < right
    assert math.dist(at["transom"], end) < 30.0, "a line that ends early is labelled there"


def test_bars_start_at_zero_and_stand_side_by_side() -> None:
    picture = Picture(EFFORT)
    boxes = [picture.box(f"series-{series}-{bar}") for bar in (1, 2) for series in (1, 2)]
    assert [picture.value(box[3]) for box in boxes] == pytest.approx([0.0] * 4, abs=0.1)
    assert [picture.value(box[1]) for box in boxes] == pytest.approx([3.0, 4.0, 40.0, 38.0], abs=0.2)
    assert all(one[2] < other[0] for one, other in itertools.pairwise(boxes))
    at = {words: (x, y) for words, x, y in picture.words}
    assert boxes[3][0] < at["38"][0] < boxes[3][2]
    assert at["38"][1] < boxes[3][1]


def test_words_at_readings_stand_at_them_and_clear_of_the_line() -> None:
    grits = Series("all zones", (1.0, 2.0, 3.0), (201.0, 82.0, 46.2), "line and dots", labels=("P80", "P180", "P320"))
    picture = Picture(chart(Axis("Step"), Axis("Particle size", "um", kind="log"), grits))
    (line,) = picture.line("series-1-1")
    boxes = {box[0]: box[1:] for box in boxes_of_words(picture)}
    for words, (x, y) in zip(grits.labels, line, strict=True):
        left, top, right, bottom = boxes[words]
        assert math.dist((x, y), ((left + right) / 2.0, (top + bottom) / 2.0)) < 25.0
        for one, other in itertools.pairwise(line):
            for share in np.linspace(0.0, 1.0, 200):
                a, b = one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])
                assert not (left < a < right and top < b < bottom), f"the line runs through {words}"
    ticks = [number for number, _ in picture.ticks(0)]
    assert ticks == [1.0, 2.0, 3.0], "steps are whole"


def test_axes_name_their_units_and_time_its_year() -> None:
    words = [text for text, _, _ in Picture(MARGIN).words]
    assert "Surface above dew point [K]" in words
    assert "Time, 2026" in words
    assert "Dry film thickness [µm]" in [text for text, _, _ in Picture(FILM).words]


def test_times_are_told_in_their_own_zone() -> None:
    zone = timezone(timedelta(hours=2))
    noon = datetime(2026, 7, 1, 12, 0, tzinfo=zone)
    here = chart(
        Axis("Time", kind="time"), Axis("T"), Series("a", (noon, noon + timedelta(hours=2)), (1.0, 2.0), "line")
    )
    texts = [text for text, _, _ in Picture(here).words]
    assert "12:00" in texts
    assert "10:00" not in texts
    there = tuple(value.astimezone(UTC) for value in here.series[0].x if isinstance(value, datetime))
    other = chart(Axis("Time", kind="time"), Axis("T"), Series("a", there, (1.0, 2.0), "line"))
    assert Picture(here).line("series-1-1") == Picture(other).line("series-1-1"), "the same moments, the same line"


# --- words --------------------------------------------------------------------------------------------------------


def boxes_of_words(picture: Picture) -> Iterator[tuple[str, float, float, float, float]]:
    for element in picture.root.iter(f"{SVG}text"):
        if "rotate(-38" in element.get("transform", ""):
            continue
        words, (x, y) = element.text or "", position(element)
        anchor = re.search(r"text-anchor: (\w+)", element.get("style", ""))
        width = text_width(words)
        left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor.group(1) if anchor else "start"]
        yield words, left, y - 6.2, left + width, y + 0.5


def test_no_words_overlap_and_none_leave_the_picture(any_chart: Chart) -> None:
    picture = Picture(any_chart)
    _, _, width, height = (float(number) for number in picture.root.get("viewBox", "").split())
    boxes = list(boxes_of_words(picture))
    for words, left, top, right, bottom in boxes:
        assert -0.1 <= left <= right <= width + 0.1, words
        assert -0.1 <= top <= bottom <= height + 0.1, words
    for one, other in itertools.combinations(boxes, 2):
        apart = one[3] <= other[1] or other[3] <= one[1] or one[4] <= other[2] or other[4] <= one[2]
        assert apart, f"{one[0]!r} and {other[0]!r} overlap"


def test_many_short_names_stand_upright_in_two_rows() -> None:
    """Codes too wide for their slots are read without turning the head: every second one stands a row lower."""
    picture = Picture(COUPONS)
    assert not any("rotate(-38" in element.get("transform", "") for element in picture.root.iter(f"{SVG}text"))
    heights = {words.split()[0]: y for words, _, y in picture.words if words.startswith("XC-")}
    assert len(heights) == len(CODES)
    assert heights["XC-01"] > heights["XC-00"]
    assert heights["XC-02"] == pytest.approx(heights["XC-00"])


def test_words_are_text_of_at_least_8_points_at_print_size(any_chart: Chart) -> None:
    picture = Picture(any_chart)
    _, _, width, _ = (float(number) for number in picture.root.get("viewBox", "").split())
    assert width == pytest.approx(165.0 / 25.4 * 72.0, abs=0.1)
    styles = {element.get("style", "") for element in picture.root.iter(f"{SVG}text")}
    for style in styles:
        assert "IBM Plex Sans" in style
        (size,) = re.findall(r"([\d.]+)px", style)
        assert float(size) >= 8.0


@pytest.mark.parametrize("words", ["0123456789", "Surface above dew point", "≥ 3 K ± 0.5 °C − µm"])
def test_width_of_words_is_that_of_the_shipped_font(words: str) -> None:
    """Against the advance widths in the font file, read by fontTools; kerning may take a little off."""
    face = TTFont(fonts_dir() / "IBMPlexSans-Regular.ttf")
    glyphs, advances = face.getBestCmap(), face["hmtx"]
    expected = sum(advances[glyphs[ord(sign)]][0] for sign in words) / face["head"].unitsPerEm * 8.5
    chart_svg(MARGIN)  # registers the font
    assert text_width(words) == pytest.approx(expected, rel=0.03)


@given(
    wanted=st.lists(st.floats(0.0, 100.0), max_size=8),
    heights=st.lists(st.floats(1.0, 12.0), min_size=8, max_size=8),
)
def test_labels_are_moved_apart(wanted: list[float], heights: list[float]) -> None:
    heights = heights[: len(wanted)]
    middles = moved_apart(wanted, heights, 0.0, 100.0)
    order = sorted(range(len(wanted)), key=lambda n: (wanted[n], n))
    for one, other in itertools.pairwise(order):
        assert middles[other] - middles[one] >= (heights[one] + heights[other]) / 2.0 - 1e-6
    for number, middle in enumerate(middles):
        assert heights[number] / 2.0 - 1e-6 <= middle <= 100.0 - heights[number] / 2.0 + 1e-6
    free = all(abs(a - b) > 12.0 for a, b in itertools.combinations(wanted, 2))
    if free and all(6.0 <= place <= 94.0 for place in wanted):
        assert middles == pytest.approx(wanted), "nothing moves without need"


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(0.0, 30.0)), max_size=10))
def test_labels_in_one_row_do_not_overlap(entries: list[tuple[float, float]]) -> None:
    stretches = [(start, start + width) for start, width in entries]
    rows = lanes(stretches, 2.0)
    for (one, row), (other, beside) in itertools.combinations(zip(stretches, rows, strict=True), 2):
        assert row != beside or one[1] + 2.0 <= other[0] or other[1] + 2.0 <= one[0]


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    words = "at least 3 K above the dew point, by the paint maker's data sheet " + "x" * 60
    lines = wrapped(words, 90.0, cut=True)
    assert all(text_width(line) <= 90.0 for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


# --- thinning -----------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(-100.0, 100.0), min_size=1, max_size=300), st.floats(0.5, 40.0))
def test_thinning_keeps_ends_and_extremes(values: list[float], column: float) -> None:
    xs = [float(number) for number in range(len(values))]
    kept = thinned(xs, values, column)
    assert kept == sorted(set(kept))
    assert {0, len(values) - 1} <= set(kept)
    assert min(values[index] for index in kept) == min(values)
    assert max(values[index] for index in kept) == max(values)
    assert len(kept) <= 2 * math.ceil(len(values) / column + 1) + 2


def test_long_record_is_thinned_but_its_peak_stays() -> None:
    values = [5.0] * 30000
    values[12345] = 0.5
    times = tuple(START + timedelta(minutes=number) for number in range(30000))
    picture = Picture(chart(Axis("Time", kind="time"), Axis("K"), Series("a", times, tuple(values), "line")))
    (line,) = picture.line("series-1-1")
    assert len(line) < 1500
    assert min(picture.value(y) for _, y in line) == pytest.approx(0.5, abs=0.02)


# --- the file -----------------------------------------------------------------------------------------------------


def test_ids_are_unique_and_references_stay_inside_when_charts_share_a_page() -> None:
    texts = [chart_svg(Chart(f"coa-{n}", *fields(one))) for n, one in enumerate(ALL.values())]
    ids: list[str] = []
    for number, text in enumerate(texts):
        root = ElementTree.fromstring(text)
        own = [element.get("id", "") for element in root.iter() if element.get("id")]
        assert own
        assert all(name.startswith(f"coa-{number}-") for name in own)
        targets = [element.get(LINK, "#")[1:] for element in root.iter() if element.get(LINK)]
        targets += re.findall(r"url\(#([^)]+)\)", text)
        assert targets
        assert set(targets) <= set(own)
        ids += own
    assert len(ids) == len(set(ids))


def fields(one: Chart) -> tuple[str, str, str, Axis, Axis, tuple[Series, ...], tuple[Rule, ...], tuple[Span, ...]]:
    return one.check, one.title, one.description, one.x, one.y, one.series, one.rules, one.spans


def test_picture_names_itself_and_leaks_nothing_into_the_page(any_chart: Chart) -> None:
    picture = Picture(any_chart)
    root = picture.root
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "k-title k-description"
    assert (picture.group("title").text, picture.group("description").text) == ("The finding", "In words")
    assert root.get("width") is None
    assert root.get("height") is None
    assert not list(root.iter(f"{SVG}style"))
    assert "#000000" not in picture.text
    assert "currentColor" in picture.text
    assert not re.search(r"<\?xml|<!DOCTYPE|metadata|Matplotlib|matplotlib|\d{4}-\d\d-\d\dT", picture.text)


def test_hostile_words_stay_words() -> None:
    hostile = '<script>alert(1)</script>" onload="x & $\\frac{1}{2}$ ]]> \x07'
    one = Chart(
        hostile, "X", hostile, hostile, Axis(hostile), Axis("y"), (Series(hostile, (1.0, 2.0), (1.0, 2.0), "line"),)
    )
    root = ElementTree.fromstring(chart_svg(one))
    assert not list(root.iter(f"{SVG}script"))
    assert not any(name.startswith("on") for element in root.iter() for name in element.attrib)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == hostile.replace("\x07", "\ufffd")


SCRIPT = """
import hashlib
from tests.render.test_drawing import ALL
from buildbook.render.drawing import chart_svg
print(hashlib.sha256("".join(chart_svg(ALL[name]) for name in sorted(ALL)).encode()).hexdigest())
"""


def test_same_bytes_in_another_process_whatever_the_machine_is_set_to(tmp_path: Path) -> None:
    (tmp_path / "matplotlibrc").write_text("lines.linewidth: 9\nfont.size: 30\naxes.grid: True\nsvg.fonttype: path\n")
    here = hashlib.sha256("".join(chart_svg(ALL[name]) for name in sorted(ALL)).encode()).hexdigest()
    runs = []
    for seed, zone in (("1", "Asia/Tokyo"), ("2", "America/Lima")):
        more = {"PYTHONHASHSEED": seed, "TZ": zone, "MATPLOTLIBRC": str(tmp_path), "PYTHONPATH": str(ROOT)}
        command = [sys.executable, "-c", SCRIPT]
        runs.append(subprocess.Popen(command, env=os.environ | more, cwd=tmp_path, stdout=subprocess.PIPE, text=True))
    for run in runs:
        out, _ = run.communicate(timeout=120)
        assert (run.returncode, out.strip()) == (0, here)


ODD = {
    "nothing": chart(Axis("x"), Axis("y")),
    "no reading": chart(Axis("x", kind="category"), Axis("y"), Series("a", (), ())),
    "one moment": chart(Axis("x", kind="time"), Axis("y"), Series("a", (START,), (3.0,), "line")),
    "not numbers": chart(
        Axis("x"), Axis("y"), Series("a", (1.0, 2.0, 3.0), (math.nan, 2.0, math.inf), "line", breaks=(2,))
    ),
    "zero on a log axis": chart(Axis("x"), Axis("y", kind="log"), Series("a", (1.0, 2.0), (0.0, 5.0), "line")),
    "a word too long": chart(
        Axis("x" * 300, kind="category"), Axis("y" * 300), Series("n" * 300, ("w" * 300, "b"), (1.0, 2.0))
    ),
    "many names": chart(
        Axis("x"), Axis("y", kind="category"), Series("a", (1.0,) * 70, tuple(f"zone {n}" for n in range(70)))
    ),
    "signs the font lacks": chart(Axis("日本"), Axis("y"), Series("語", (1.0, 2.0), (1.0, 2.0), "line")),
}


@pytest.mark.parametrize("name", sorted(ODD))
def test_odd_charts_are_drawn_too(name: str) -> None:
    picture = Picture(ODD[name])
    numbers = re.findall(r'(?:x|y|d|cx|cy|points)="([^"]*)"', picture.text)
    assert not any(re.search(r"nan|inf", entry, re.IGNORECASE) for entry in numbers)
    empty = not any(series.x for series in ODD[name].series)
    assert ("no readings" in [text for text, _, _ in picture.words]) == empty


# --- colours ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", theme_colours(templates_dir() / "theme" / "theme.css", "paper"))
@pytest.mark.parametrize("colour", COLOURS)
def test_series_stand_out_on_light_and_dark_pages(colour: str, paper: str) -> None:
    """At least 3:1 (WCAG 2.1, success criterion 1.4.11, from memory); a little less where the ground is tinted."""
    assert contrast(colour, paper) >= 3.0
    assert contrast(colour, blended(FORBIDDEN, paper, FORBIDDEN_ALPHA)) >= 2.8


def test_theme_has_a_light_and_a_dark_page() -> None:
    light, dark = theme_colours(templates_dir() / "theme" / "theme.css", "paper")
    assert contrast(light, "#000000") > 15.0 > 3.0 > contrast(dark, "#000000")


def test_colour_is_never_alone() -> None:
    looks = [look(number) for number in range(12)]
    assert len({(one.marker, str(one.dash)) for one in looks}) == len(looks)
    assert len({one.marker for one in looks[:4]}) == len({str(one.dash) for one in looks[:4]}) == 4


def test_forbidden_ground_differs_from_paper_in_grey(any_chart: Chart) -> None:
    if any(rule.forbidden != "none" for rule in any_chart.rules):
        assert contrast(blended(FORBIDDEN, "#ffffff", FORBIDDEN_ALPHA), "#ffffff") > 1.1


# --- order, and words clear of readings ---------------------------------------------------------------------------


def test_readings_of_one_place_stand_in_their_order_from_left_to_right() -> None:
    """Else the run after a repair would stand before the one that called for it."""
    for count in range(2, 9):
        series = Series("cruise", ("Cabin",) * count, tuple(float(n) for n in range(count)))
        xs = [x for x, _ in Picture(chart(Axis("Place", kind="category"), Axis("Level"), series)).dots("series-1")]
        assert xs == sorted(xs)
        assert len(set(xs)) == count


def test_words_of_a_limit_are_not_struck_through_by_whiskers() -> None:
    """Two whiskers through the ground above the line, at its left and its middle; the words stand at the free end."""
    places = ("a", "b")
    first = Series("full", places[:1], (2.4,), y_error=(0.7,))
    others = Series("cruise", places[:1] * 2, (2.3, 1.2), y_error=(0.6, 0.2))
    rules = (Rule(2.0, "at most 2", "y", "above", "a", "a"), Rule(3.0, "at most 3", "y", "above", "b", "b"))
    picture = Picture(
        chart(Axis("Place", kind="category", categories=places), Axis("Level"), first, others, rules=rules)
    )
    ((_, left, base),) = [word for word in picture.words if word[0] == "at most 2"]
    right, top = left + text_width("at most 2"), base - 7.0
    whiskers = [
        [(float(x), float(y)) for x, y in re.findall(r"[ML]\s*([-\d.]+)\s+([-\d.]+)", path.get("d", ""))]
        for number in (1, 2)
        for path in picture.group(f"series-{number}-whiskers").iter(f"{SVG}path")
    ]
    assert len(whiskers) == 3
    for (x, one), (_, other) in whiskers:
        across = left - 1.0 < x < right + 1.0
        assert not (across and min(one, other) < base and max(one, other) > top)


@pytest.mark.parametrize("side", ["above", "below"])
def test_forbidden_ground_is_shown_beyond_the_outermost_limit(side: str) -> None:
    """A whisker that ends at the height of another place's limit must not make the axis end there."""
    sign = 1.0 if side == "above" else -1.0
    series = Series("a", ("p", "q"), (2.86 * sign, 1.6 * sign), y_error=(0.65, 0.3))
    rules = (Rule(3.5 * sign, "limit", "y", "above" if side == "above" else "below", "q", "q"),)
    picture = Picture(chart(Axis("Place", kind="category"), Axis("Level"), series, rules=rules))
    _, top, _, bottom = picture.box("rule-1-forbidden")
    assert bottom - top >= 12.0, "room for a line of words"


def test_an_upright_line_does_not_cover_the_peak_it_explains() -> None:
    xs = tuple(float(n) for n in range(301))
    ys = tuple(4.0 if n == 95 else 0.1 for n in range(301))
    rules = (Rule(95.0, "blade rate", "x"), Rule(200.0, "2 x", "x"))
    picture = Picture(
        chart(Axis("Frequency", "Hz"), Axis("Velocity", "mm/s"), Series("s", xs, ys, "line"), rules=rules)
    )
    assert min(picture.value(y) for _, y in picture.line("rule-1")[0]) > 4.0
    assert 0.1 < min(picture.value(y) for _, y in picture.line("rule-2")[0]) < 0.4
