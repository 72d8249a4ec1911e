"""Profile and plan to scale: lengths are measured in the picture. Outlines and marks are SYNTHETIC."""

from __future__ import annotations

import itertools
import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull
from buildbook.render.marks import COLOURS, NEAR_MIDDLE, RADIUS, Mark, spread
from buildbook.render.profile import NOTHING, SCHEMATIC, VIEWS, WIDTH, Pictures, View, pictures
from buildbook.render.templates import templates_dir
from tests.render.contrast import contrast, theme_colours

SVG = "{http://www.w3.org/2000/svg}"
OUTLINE = ((0.0, -0.4), (0.0, 1.6), (19.0, 2.8), (17.0, 0.0), (10.0, -1.2))
HALF_PLAN = ((0.0, 2.3), (10.0, 2.5), (19.0, 0.0))
HULL = Hull(name="Synthetic", number="XX-EXY00007H526", outline=OUTLINE, plan_outline=HALF_PLAN, length_hull=19.0)
PLAIN = Hull(length_hull=19.0, beam=5.2, draught=1.3, length_waterline=17.0)
MARKS = (
    Mark(1, "film, topsides", "row-1", x=4.0, y=-2.3, z=1.0),
    Mark(2, "film, topsides", "row-2", x=4.1, y=2.3, z=1.0),
    Mark(3, "pull-off", x=12.0, y=0.5, z=-0.5),
    Mark(4, "in no place", "row-4"),
)


def drawn_whole(
    what: View, hull: Hull, marks: tuple[Mark, ...] | list[Mark] = (), *, width: float = WIDTH, close: bool = False
) -> str:
    return pictures(hull, what, marks, width=width, close=close).whole


def read(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def named(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [element for element in root.iter() if name in element.get("class", "").split()]


def corners(root: ElementTree.Element, number: int = 0) -> list[tuple[float, float]]:
    found = re.findall(r"[ML]([-\d.]+) ([-\d.]+)", named(root, "hull-form")[number].get("d", ""))
    return [(float(x), float(y)) for x, y in found]


def points_per_metre(root: ElementTree.Element) -> float:
    """From the bar of five metres."""
    (bar,) = named(root, "hull-scale")
    return (float(bar.get("x2", "")) - float(bar.get("x1", ""))) / 5.0


def place_of(root: ElementTree.Element, number: int, key: str) -> tuple[float, float]:
    (group,) = [element for element in root.iter() if element.get("id") == f"{key}-mark-{number}"]
    circle = next(group.iter(f"{SVG}circle"))
    return float(circle.get("cx", "")), float(circle.get("cy", ""))


def test_outline_and_bar_have_one_scale_in_both_directions() -> None:
    root = read(drawn_whole("profile", HULL))
    scale = points_per_metre(root)
    drawn = corners(root)
    (line,) = named(root, "hull-waterline")
    (bar,) = named(root, "hull-scale")
    zero, water = float(bar.get("x1", "")), float(line.get("y1", ""))
    assert len(drawn) == len(OUTLINE)
    for (x, y), (metres, height) in zip(drawn, OUTLINE, strict=True):
        assert ((x - zero) / scale, (water - y) / scale) == pytest.approx((metres, height), abs=0.01)


def test_narrow_picture_keeps_the_size_of_its_words() -> None:
    wide, narrow = read(drawn_whole("profile", HULL, MARKS)), read(drawn_whole("profile", HULL, MARKS, width=240.0))
    assert narrow.get("viewBox", "").split()[2] == "240"
    assert points_per_metre(narrow) < points_per_metre(wide) / 1.8
    sizes = [{text.get("font-size") for text in root.iter(f"{SVG}text")} for root in (wide, narrow)]
    assert sizes[0] == sizes[1]
    for mark in (1, 2, 3):
        assert place_of(narrow, mark, "profile")[0] < 240.0


def test_plan_is_mirrored_and_starboard_is_below() -> None:
    root = read(drawn_whole("plan", HULL, MARKS))
    scale = points_per_metre(root)
    (line,) = named(root, "hull-centreline")
    middle = float(line.get("y1", ""))
    sides = sorted(round((y - middle) / scale, 2) for _, y in corners(root))
    assert sides == [-2.5, -2.3, 0.0, 0.0, 2.3, 2.5]
    assert place_of(root, 1, "plan")[1] < middle < place_of(root, 2, "plan")[1]


def test_mark_stands_at_its_place_and_links_to_its_row() -> None:
    root = read(drawn_whole("profile", HULL, MARKS))
    scale = points_per_metre(root)
    (line,) = named(root, "hull-waterline")
    (bar,) = named(root, "hull-scale")
    x, y = place_of(root, 3, "profile")
    metres = (x - float(bar.get("x1", ""))) / scale, (float(line.get("y1", "")) - y) / scale
    assert metres == pytest.approx((12.0, -0.5), abs=0.01)
    assert [link.get("href") for link in root.iter(f"{SVG}a")] == ["#row-1", "#row-2"]
    assert root.get("role") == "group", "an image would hide its links from a reader's program"


def test_crowded_mark_is_moved_with_a_leader_to_its_place() -> None:
    root = read(drawn_whole("profile", HULL, MARKS))
    scale = points_per_metre(root)
    (bar,) = named(root, "hull-scale")
    places = [float(dot.get("cx", "")) for dot in named(root, "mark-place")]
    metres = [(x - float(bar.get("x1", ""))) / scale for x in places]
    assert metres, "0.1 m apart is less than the circles need"
    assert all(min(abs(m - 4.0), abs(m - 4.1)) < 0.01 for m in metres)
    assert math.dist(place_of(root, 1, "profile"), place_of(root, 2, "profile")) >= 2.0 * RADIUS
    assert len(named(root, "mark-leader")) == len(places)


def test_mark_without_a_place_is_not_drawn_and_others_are_told_in_words() -> None:
    root = read(drawn_whole("profile", HULL, MARKS))
    assert not [element for element in root.iter() if element.get("id") == "profile-mark-4"]
    assert root.findtext(f"{SVG}desc") == "3 numbered marks; none is missed and not put right."
    titles = [title.text for mark in named(root, "mark") for title in mark.iter(f"{SVG}title")]
    assert titles[0] == "1: film, topsides; 4 m from the transom, 2.3 m to port, 1 m above the waterline"
    assert titles[2] == "3: pull-off; 12 m from the transom, 0.5 m to starboard, 0.5 m below the waterline"


def test_the_words_of_a_drawing_name_what_was_missed() -> None:
    verdicts = (Verdict.FAIL, Verdict.PASS, Verdict.CONDITIONAL_FAIL)
    marks = [Mark(n, "cabin", x=4.0 * n, y=0.0, z=1.0, verdict=verdict) for n, verdict in enumerate(verdicts, 1)]
    for what in VIEWS:
        assert (
            read(drawn_whole(what, HULL, marks)).findtext(f"{SVG}desc")
            == "3 numbered marks; missed and not put right: 1 and 3."
        )


def test_plain_form_has_her_dimensions_and_says_what_it_is() -> None:
    profile, plan = read(drawn_whole("profile", PLAIN)), read(drawn_whole("plan", PLAIN))
    for root in (profile, plan):
        assert [element.text for element in named(root, "schematic")] == [SCHEMATIC]
        assert SCHEMATIC in (root.findtext(f"{SVG}title") or "")
        xs = [x for x, _ in corners(root)]
        assert (max(xs) - min(xs)) / points_per_metre(root) == pytest.approx(19.0, abs=0.01)
    (line,) = named(profile, "hull-waterline")
    water = float(line.get("y1", ""))
    assert (max(y for _, y in corners(profile)) - water) / points_per_metre(profile) == pytest.approx(1.3, abs=0.01)
    ends = [x for x, y in corners(profile) if abs(y - water) < 0.01]
    assert (max(ends) - 12.0) / points_per_metre(profile) == pytest.approx(17.0, abs=0.01)
    ys = [y for _, y in corners(plan)]
    assert (max(ys) - min(ys)) / points_per_metre(plan) == pytest.approx(5.2, abs=0.01)


def test_own_outline_is_not_called_schematic() -> None:
    assert SCHEMATIC not in drawn_whole("profile", HULL)
    assert SCHEMATIC in drawn_whole("profile", PLAIN)


def test_without_outline_and_length_nothing_is_made_up() -> None:
    for text in (drawn_whole("profile", Hull(), MARKS), drawn_whole("plan", Hull(name="x"), MARKS)):
        root = read(text)
        assert not named(root, "hull-form")
        assert NOTHING in "".join(root.itertext())


def test_both_views_share_a_page_without_sharing_ids_and_words_stay_words() -> None:
    hostile = Hull(name="<script>x</script>", outline=OUTLINE, plan_outline=HALF_PLAN)
    marks = (Mark(1, '"><script>y</script>', 'a" onclick="z', x=3.0, y=1.0, z=1.0),)
    texts = [drawn_whole("profile", hostile, marks), drawn_whole("plan", hostile, marks)]
    ids = [element.get("id") for text in texts for element in read(text).iter() if element.get("id")]
    assert len(ids) == len(set(ids)) == 6
    for text in texts:
        root = read(text)
        assert not list(root.iter(f"{SVG}script"))
        assert not [name for element in root.iter() for name in element.attrib if name.startswith("on")]
        assert "#000000" not in text


@given(
    st.lists(st.tuples(st.floats(20.0, 400.0), st.floats(20.0, 130.0)), max_size=40),
)
def test_circles_never_cover_one_another(places: list[tuple[float, float]]) -> None:
    centres = spread(places, 467.7, 150.0)
    for one, other in itertools.combinations(centres, 2):
        assert math.dist(one, other) >= 2.0 * RADIUS
    for x, y in centres:
        assert RADIUS <= x <= 467.7 - RADIUS
        assert RADIUS <= y <= 150.0 - RADIUS


def test_the_figure_on_a_mark_is_legible_in_the_colour_of_its_verdict() -> None:
    theme = templates_dir() / "parts" / "verdict.css"
    for verdict, colour in COLOURS.items():
        assert contrast("#ffffff", colour) >= 7.0, verdict
        assert theme_colours(theme, verdict.value.replace(" ", "-"))[0] == colour


def test_verdicts_differ_by_the_form_of_the_mark_and_not_by_colour_alone() -> None:
    """Without colours: a square or a round, full or empty, whole or broken, and the word in its title."""

    def form(verdict: Verdict | None, *, accepted: bool = False) -> tuple[str, bool, bool, str]:
        svg = drawn_whole("profile", HULL, (Mark(1, "cabin", x=4.0, y=0.0, z=1.0, verdict=verdict, accepted=accepted),))
        root = read(svg)
        (mark,) = [it for it in root.iter() if it.get("id") == "profile-mark-1"]
        shape = next(it for it in mark if it.tag in (f"{SVG}rect", f"{SVG}circle"))
        title = next(mark.iter(f"{SVG}title")).text or ""
        stands = ", accepted or settled otherwise" if accepted else ""
        assert title.partition(";")[0] == (f"1: cabin: {verdict.value}{stands}" if verdict else "1: cabin")
        broken = shape.get("stroke-dasharray") is not None
        return shape.tag.removeprefix(SVG), shape.get("fill") == "#ffffff", broken, shape.get("stroke-width") or ""

    forms = {verdict: form(verdict) for verdict in (None, *Verdict)}
    accepted = form(Verdict.FAIL, accepted=True)
    assert forms[Verdict.FAIL][:2] == ("rect", False)
    assert accepted[:2] == ("rect", True)
    assert forms[Verdict.CONDITIONAL_FAIL] == forms[Verdict.FAIL], "both are open today"
    assert forms[Verdict.PASS][:3] == ("circle", False, False)
    assert forms[Verdict.NO_RECORD] == forms[Verdict.NOT_MEASURED] == forms[Verdict.INCONCLUSIVE]
    assert forms[Verdict.INCONCLUSIVE][2]
    assert forms[None] == forms[Verdict.INFORMATION] == forms[Verdict.NOT_APPLICABLE]
    assert len({*forms.values(), accepted}) == 6


NO_OUTLINES = (
    ((0.0, 0.0),),
    ((0.0, 0.0), (1.0, 1.0))[:1] * 3,
    ((0.0, 0.0), (12.0, 0.0)),
    ((3.0, 0.0), (3.0, 2.0)),
)


@pytest.mark.parametrize("outline", NO_OUTLINES)
def test_an_outline_that_encloses_nothing_is_not_drawn(outline: tuple[tuple[float, float], ...]) -> None:
    """One point stands in a fresh hull.toml; she is drawn from her main dimensions instead, or not at all."""
    for what in VIEWS:
        without = Hull(outline=outline, plan_outline=outline)
        assert NOTHING in drawn_whole(what, without, MARKS)
        root = read(drawn_whole(what, Hull(outline=outline, plan_outline=outline, length_hull=19.0), MARKS))
        assert named(root, "schematic")
        assert len(corners(root)) > 5


@pytest.mark.parametrize(("length", "step"), [(2.5, 1), (19.0, 5), (200.0, 5), (1000.0, 50), (1e8, 5_000_000)])
def test_a_ruler_of_any_length_has_few_figures(length: float, step: int) -> None:
    root = read(drawn_whole("profile", Hull(length_hull=length)))
    figures = [
        element.text for element in root.iter(f"{SVG}text") if re.fullmatch(r"[\d\s\u2009]+", element.text or "")
    ]
    assert 2 <= len(figures) <= 41
    assert f"{step} m" in [
        (element.text or "").replace("\u2009", "").replace("\u202f", "") for element in root.iter(f"{SVG}text")
    ]


def test_a_mark_stands_where_the_scale_puts_it() -> None:
    """Worked out by hand: 19.0 m over 467.7 − 12 − 50 = 405.7 pt, so 21.353 pt for a metre.

    Profile: the highest point, 2.8 m, lies 20 pt below the upper edge; a mark at x = 12.0 m, z = −0.5 m then lies
    12 + 12.0 × 21.353 = 268.2 pt from the left and 20 + (2.8 + 0.5) × 21.353 = 90.5 pt down. Plan: the widest point to
    port, −2.5 m, lies 20 pt below the edge; x = 4.0 m, y = 1.5 m: 12 + 85.4 = 97.4 and 20 + 4.0 × 21.353 = 105.4 pt.
    """
    marks = (Mark(1, "a", x=12.0, y=-1.0, z=-0.5), Mark(2, "b", x=4.0, y=1.5, z=1.0))
    assert place_of(read(drawn_whole("profile", HULL, marks)), 1, "profile") == pytest.approx((268.2, 90.5), abs=0.06)
    assert place_of(read(drawn_whole("plan", HULL, marks)), 2, "plan") == pytest.approx((97.4, 105.4), abs=0.06)


def test_both_views_stand_above_each_other_to_one_scale() -> None:
    longer = Hull(outline=((-1.4, 0.3), (0.0, 1.6), (19.0, 2.8), (17.0, 0.0)), plan_outline=HALF_PLAN)
    for close in (False, True):
        views = [read(drawn_whole(what, longer, MARKS, close=close)) for what in VIEWS]
        bars = [named(view, "hull-scale")[0] for view in views]
        assert [bar.get("x1") for bar in bars] == [bars[0].get("x1")] * 2
        assert [bar.get("x2") for bar in bars] == [bars[0].get("x2")] * 2


def test_a_drawing_of_a_part_of_her_shows_the_marks_larger_and_nothing_beyond_its_edges() -> None:
    marks = [Mark(n, "grid", x=5.0 + 0.6 * n, y=-2.0, z=0.5) for n in range(1, 9)]
    whole, part = read(drawn_whole("profile", HULL, marks)), read(drawn_whole("profile", HULL, marks, close=True))

    def apart(root: ElementTree.Element) -> float:
        return place_of(root, 8, "profile")[0] - place_of(root, 1, "profile")[0]

    assert apart(part) == pytest.approx(7 * 0.6 * 405.7 / 9.5, abs=0.1), "half of her, 9.5 m, over the whole width"
    assert apart(part) > 1.9 * apart(whole)
    assert len(named(part, "mark-leader")) == 0
    assert len(named(whole, "mark-leader")) > 0
    for element in [*named(part, "hull-form"), *named(part, "hull-part")]:
        xs = [float(x) for x in re.findall(r"[ML]([-\d.]+) ", element.get("d", ""))]
        assert min(xs) >= 12.0 - 0.01
        assert max(xs) <= 467.7 - 50.0 + 0.01
    assert [text.text for text in part.iter(f"{SVG}text") if (text.text or "").endswith(" m")] == ["4 m"], (
        "from 2.95 m to 12.45 m; the bar lies from 3 m to 4 m"
    )


HALVES = (pictures(HULL, "profile", MARKS), pictures(HULL, "plan", MARKS), pictures(PLAIN, "profile", MARKS))


@pytest.mark.parametrize("made", HALVES)
def test_the_two_halves_are_the_whole_drawing_with_each_mark_in_one_of_them(made: Pictures) -> None:
    """A phone shows them one below the other, so that nothing of her lies beyond its edge."""
    whole, aft, forward = (read(text) for text in (made.whole, made.aft, made.forward))
    boxes = [[float(part) for part in half.get("viewBox", "").split()] for half in (whole, aft, forward)]
    cut = boxes[1][2]
    assert boxes[1][:2] == boxes[0][:2] == [0.0, 0.0]
    assert boxes[2][0] == cut == pytest.approx(made.cut * boxes[0][2], abs=0.01)
    assert cut + boxes[2][2] == pytest.approx(boxes[0][2], abs=0.01)
    assert len({box[3] for box in boxes}) == 1, "one scale"
    ids = [[mark.get("id") for mark in named(half, "mark")] for half in (whole, aft, forward)]
    assert sorted(map(str, ids[1] + ids[2])) == sorted(map(str, ids[0]))
    every = [it.get("id") for half in (aft, forward) for it in half.iter() if it.get("id")]
    assert len(every) == len(set(every))
    for half, (start, end) in ((aft, (0.0, cut)), (forward, (cut, boxes[0][2]))):
        for mark in named(half, "mark"):
            x = float(next(mark.iter(f"{SVG}circle")).get("cx", ""))
            assert start + RADIUS <= x <= end - RADIUS, "no mark lies across the cut"


def test_a_drawing_is_parted_beside_its_middle_where_a_mark_stands_there() -> None:
    """A mark at 10.4 m stands at 12 + 10.4 × 21.353 = 234.1 pt, in the middle of 467.7 pt."""
    marks = [Mark(1, "mid", x=10.4, y=0.0, z=0.5)]
    assert place_of(read(drawn_whole("profile", HULL, marks)), 1, "profile")[0] == pytest.approx(234.1, abs=0.06)
    cut = pictures(HULL, "profile", marks).cut * 467.7
    assert RADIUS < abs(cut - 234.1) < 0.06 * 467.7
    crowd = [Mark(n, "mid", x=8.0 + 0.2 * n, y=0.0, z=0.5) for n in range(1, 25)]
    assert pictures(HULL, "profile", crowd).cut == 0.5, "no free spot: in the middle, and marks move aside"


def test_the_halves_of_a_phone_are_as_wide_as_the_broader_one_at_most() -> None:
    sheet = (templates_dir() / "site" / "site.css").read_text(encoding="utf-8")
    assert f"calc(100% * var(--share) / {0.5 + NEAR_MIDDLE})" in sheet


def test_directions_are_said_on_both_views() -> None:
    for what, side in zip(VIEWS, ("seen from starboard", "port side above, starboard below"), strict=True):
        for hull in (HULL, PLAIN):
            words = "|".join(read(drawn_whole(what, hull, MARKS)).itertext())
            assert "aft" in words
            assert "ahead" in words
            assert side in words


def test_marks_carry_their_number_for_rows_to_find() -> None:
    root = read(drawn_whole("plan", HULL, MARKS))
    assert [mark.get("data-mark") for mark in named(root, "mark")] == ["1", "2", "3"]


@pytest.mark.parametrize(("count", "first"), [(60, 1), (60, 941), (30, 1000)])
def test_marks_at_one_spot_find_room_and_their_figures_stay_inside_them(count: int, first: int) -> None:
    """Sixty at one spot, as many as one drawing ever has. A figure of the face is some 0.6 of its size wide."""
    marks = [Mark(first + n, "spot", x=9.0, y=0.0, z=0.5) for n in range(count)]
    root = read(drawn_whole("profile", HULL, marks))
    centres = [place_of(root, mark.number, "profile") for mark in marks if mark.number != first]
    shapes = [next(mark.iter(f"{SVG}circle")) for mark in named(root, "mark")]
    radius = float(shapes[0].get("r", ""))
    for one, other in itertools.combinations(centres, 2):
        assert math.dist(one, other) >= 2.0 * radius
    for mark in named(root, "mark"):
        text = next(mark.iter(f"{SVG}text"))
        assert 0.6 * float(text.get("font-size", "")) * len(text.text or "") <= 2.0 * radius + 0.5
        assert 142.0 / 165.0 * float(text.get("font-size", "")) >= 6.0, "printed 142 mm wide"


def test_what_was_put_right_has_a_corner_of_its_own_and_says_so() -> None:
    mended = Mark(1, "bond", x=4.0, y=0.0, z=1.0, verdict=Verdict.PASS, put_right=True)
    for what in VIEWS:
        root = read(drawn_whole(what, HULL, [mended, Mark(2, "bond", x=9.0, y=0.0, z=1.0, verdict=Verdict.PASS)]))
        (corner,) = named(root, "put-right")
        x, y = place_of(root, 1, what)
        assert x < float(corner.get("x", "")) < x + RADIUS
        assert y - RADIUS <= float(corner.get("y", "")) < y
        (title,) = [title.text for mark in named(root, "mark")[:1] for title in mark.iter(f"{SVG}title")]
        assert title is not None
        assert "pass, missed at first and put right" in title
