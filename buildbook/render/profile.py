"""Where on her: profile and plan to scale, with numbered marks.

Her own outline where the folder has one, else a plain form from her main dimensions, labelled `schematic`. x runs from
the transom at the left to the bow at the right; in the plan starboard is below, as seen from above.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull, encloses
from buildbook.core.wording import fixed, plain_number
from buildbook.render.svg import name_of, number, told

Point = tuple[float, float]

WIDTH = 467.7  # 165 mm [pt]
LEFT, RIGHT, TOP = 12.0, 50.0, 18.0
FOOT = 30.0
RADIUS = 7.6
TEXT = 'font-family="\'IBM Plex Sans\', sans-serif" font-size="8.5" fill="currentColor"'
HULL = "#0077bb"
# The colours of `verdict.css` in the light scheme; the figure on the mark is white or stands on white.
COLOURS = {
    Verdict.PASS: "#08534b",
    Verdict.CONDITIONAL_PASS: "#5d4c00",
    Verdict.CONDITIONAL_FAIL: "#7f3500",
    Verdict.FAIL: "#941030",
    Verdict.INCONCLUSIVE: "#573687",
    Verdict.NOT_MEASURED: "#414d5c",
    Verdict.NO_RECORD: "#414d5c",
    Verdict.NOT_APPLICABLE: "#474e56",
    Verdict.INFORMATION: "#1d4a66",
}
RULER_STEP = 5
MOST_FIGURES = 40  # of the ruler
SCHEMATIC = "schematic, from her main dimensions only"
NOTHING = "Neither an outline nor her length is on record: not drawn."


@dataclass(frozen=True, slots=True)
class Mark:
    """One numbered place: metres forward of the transom, to starboard, above the waterline; None where not known.

    `words` say what is there; `anchor` is the id of the row it belongs to, empty for none. `verdict` gives the mark its
    shape and colour; None where nothing was found.
    """

    number: int
    words: str
    anchor: str = ""
    x: float | None = None
    y: float | None = None
    z: float | None = None
    verdict: Verdict | None = None


def profile_svg(hull: Hull, marks: Sequence[Mark] = (), *, key: str = "profile", width: float = WIDTH) -> str:
    """Her profile with the marks that have x and z.

    Args:
        hull: outline points (x, z) [m], or length, draught and waterline length [m] for the plain form.
        marks: what to mark; each is a link to its row and has the id `<key>-mark-<number>`.
        key: prefix of all ids.
        width: how wide the picture is meant to be shown [pt], so that its words keep their size.

    Returns:
        An `<svg>` element with a viewBox in points and no size of its own. Without outline and length it only says so.
    """
    placed = [(mark, (mark.x, mark.z)) for mark in marks if mark.x is not None and mark.z is not None]
    own = encloses(hull.outline)
    forms = [hull.outline] if own else _plain_profile(hull)
    return _view(hull, forms, placed, key=key, own=own, what="profile", width=width)


def plan_svg(hull: Hull, marks: Sequence[Mark] = (), *, key: str = "plan", width: float = WIDTH) -> str:
    """Her plan from above with the marks that have x and y; arguments and result as for `profile_svg`.

    An outline given for one side only is mirrored.
    """
    placed = [(mark, (mark.x, mark.y)) for mark in marks if mark.x is not None and mark.y is not None]
    own = encloses(hull.plan_outline)
    forms = [_both_sides(hull.plan_outline)] if own else _plain_plan(hull)
    return _view(hull, forms, placed, key=key, own=own, what="plan", width=width)


def _both_sides(outline: Sequence[Point]) -> tuple[Point, ...]:
    sides = [y for _, y in outline]
    if min(sides) < 0.0 < max(sides):
        return tuple(outline)
    return (*outline, *((x, -y) for x, y in reversed(outline)))


def _plain_profile(hull: Hull) -> list[tuple[Point, ...]]:
    """A hull and a deckhouse in common proportions (practice, no source): length, waterline and draught are hers."""
    length = hull.length_hull
    if length is None:
        return []
    draught = hull.draught if hull.draught is not None else 0.06 * length
    waterline = min(hull.length_waterline or 0.92 * length, length)

    def sheer(share: float) -> Point:
        return share * length, (0.09 + 0.06 * share**2) * length

    deck = [sheer(tenth / 10.0) for tenth in range(10, -1, -1)]
    body = ((0.0, -0.35 * draught), (0.3 * length, -draught), (0.65 * length, -draught), (waterline, 0.0), *deck)
    roof = ((0.25 * length, 0.215 * length), (0.52 * length, 0.215 * length))
    house = (*roof, *(sheer(share / 100.0) for share in range(66, 19, -2)))
    return [body, house]


def _plain_plan(hull: Hull) -> list[tuple[Point, ...]]:
    length = hull.length_hull
    if length is None:
        return []
    half = (hull.beam if hull.beam is not None else 0.27 * length) / 2.0
    shares = [(0.0, 0.9), (0.2, 0.98), (0.4, 1.0), (0.6, 0.95), (0.75, 0.8), (0.88, 0.5), (0.96, 0.2), (1.0, 0.0)]
    return [_both_sides([(x * length, y * half) for x, y in shares])]


def _view(
    hull: Hull,
    forms: Sequence[Sequence[Point]],
    placed: Sequence[tuple[Mark, Point]],
    *,
    key: str,
    own: bool,
    what: Literal["profile", "plan"],
    width: float,
) -> str:
    """One view: forms in metres to strokes in points, with waterline or centreline, ruler and marks."""
    key = name_of(key)
    if not forms:
        words = f'<text x="2" y="14" {TEXT}>{NOTHING}</text>'
        return _root(key, width, 22.0, (what.capitalize(), NOTHING), words, linked=False)
    down = -1.0 if what == "profile" else 1.0
    points = [point for form in forms for point in form] + [point for _, point in placed]
    left, right = min(0.0, *(x for x, _ in points)), max(x for x, _ in points)
    heights = [down * y for _, y in points]
    scale = (width - LEFT - RIGHT) / (right - left)
    high = min(heights)
    height = TOP + (max(heights) - high) * scale + 14.0 + FOOT

    def at(point: Point) -> Point:
        return LEFT + (point[0] - left) * scale, TOP + (down * point[1] - high) * scale

    body = "".join(_form(form, at) for form in forms)
    body += _level_line(at((left, 0.0))[1], "waterline" if what == "profile" else "centreline", width)
    body += _ruler(at((0.0, 0.0))[0], scale, right, height)
    if not own:
        body += f'<text class="schematic" x="{number(width - 2)}" y="10" text-anchor="end" {TEXT}>{SCHEMATIC}</text>'
    body += _marks([(mark, at(point)) for mark, point in placed], key, (width, height))
    return _root(key, width, height, _words(hull, placed, own, what), body, linked=any(m.anchor for m, _ in placed))


def _root(key: str, width: float, height: float, words: tuple[str, str], body: str, *, linked: bool) -> str:
    """A picture with links in it is a group to a reader's program, one without them an image."""
    title, description = words
    role = "group" if linked else "img"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hull" viewBox="0 0 {number(width)} {number(height)}" '
        f'role="{role}" aria-labelledby="{key}-title {key}-description"><title id="{key}-title">{told(title)}</title>'
        f'<desc id="{key}-description">{told(description)}</desc>{body}</svg>'
    )


def _words(hull: Hull, placed: Sequence[tuple[Mark, Point]], own: bool, what: str) -> tuple[str, str]:
    """Title and text alternative: every mark with its place in metres."""
    name = " ".join(part for part in (hull.name, hull.number) if part) or "the hull"
    title = f"{what.capitalize()} of {name}, to scale" + ("" if own else f" ({SCHEMATIC})")
    sides = ("above the waterline", "below the waterline") if what == "profile" else ("to starboard", "to port")
    told = []
    for mark, (x, other) in placed:
        side = sides[0] if other >= 0.0 else sides[1]
        told.append(f"{mark.number}: {mark.words}, {fixed(x, 1)} m from the transom, {fixed(abs(other), 1)} m {side}.")
    return title, " ".join(told) or "No marks."


def _form(form: Sequence[Point], at: Callable[[Point], Point]) -> str:
    path = "L".join(f"{number(x)} {number(y)}" for x, y in map(at, form))
    return (
        f'<path class="hull-form" d="M{path}Z" fill="{HULL}" fill-opacity="0.1" stroke="{HULL}" stroke-width="1.3" '
        f'stroke-linejoin="round"/>'
    )


def _level_line(y: float, words: str, width: float) -> str:
    dash = ' stroke-dasharray="8 2.5 1.5 2.5"' if words == "centreline" else ""
    return (
        f'<line class="hull-{words}" x1="2" x2="{number(width - 2)}" y1="{number(y)}" y2="{number(y)}" '
        f'stroke="currentColor" stroke-opacity="0.6" stroke-width="0.7"{dash}/>'
        f'<text x="{number(width - 2)}" y="{number(y - 3)}" text-anchor="end" {TEXT}>{words}</text>'
    )


def _ruler(zero: float, scale: float, right: float, height: float) -> str:
    """Metres forward of the transom, the first five as a bar."""
    y = height - 18.0
    step = _ruler_step(right)
    end = zero + right * scale
    parts = [
        f'<line x1="{number(zero)}" x2="{number(end)}" y1="{number(y)}" y2="{number(y)}" stroke="currentColor" '
        f'stroke-width="0.7"/><line class="hull-scale" x1="{number(zero)}" x2="{number(zero + step * scale)}" '
        f'y1="{number(y)}" y2="{number(y)}" stroke="currentColor" stroke-width="3"/>'
    ]
    for metre in range(0, math.floor(right) + 1, step):
        x = zero + metre * scale
        words = plain_number(metre) + (" m" if metre == step else "")
        parts.append(
            f'<line x1="{number(x)}" x2="{number(x)}" y1="{number(y)}" y2="{number(y + 4)}" stroke="currentColor" '
            f'stroke-width="0.7"/><text x="{number(x)}" y="{number(y + 13)}" text-anchor="middle" {TEXT}>{words}</text>'
        )
    return "".join(parts)


def _ruler_step(length: float) -> int:
    """Metres between two figures of the ruler: so many that a length of any size has not more than some ten."""
    if length < RULER_STEP:
        return 1
    step = RULER_STEP
    while length / step > MOST_FIGURES:
        step *= 10
    return step


def _marks(placed: Sequence[tuple[Mark, Point]], key: str, size: tuple[float, float]) -> str:
    """The numbers in circles; where they would crowd, moved aside with a leader to the place itself."""
    centres = spread([point for _, point in placed], size[0], size[1] - FOOT + 4.0)
    leaders, circles = [], []
    for (mark, place), centre in zip(placed, centres, strict=True):
        if centre != place:
            leaders.append(_leader(place, centre))
        circle = _circle(mark, centre)
        name = f'id="{key}-mark-{mark.number}" class="mark"'
        if mark.anchor:
            circles.append(f'<a {name} href="#{told(mark.anchor)}">{circle}</a>')
        else:
            circles.append(f"<g {name}>{circle}</g>")
    return "".join(leaders + circles)


def _leader(place: Point, centre: Point) -> str:
    x, y = (number(value) for value in place)
    to_x, to_y = (number(value) for value in centre)
    return (
        f'<line class="mark-leader" x1="{x}" x2="{to_x}" y1="{y}" y2="{to_y}" stroke="currentColor" '
        f'stroke-width="0.6"/>'
        f'<circle class="mark-place" cx="{x}" cy="{y}" r="1.6" fill="currentColor"/>'
    )


def _circle(mark: Mark, centre: Point) -> str:
    """The figure in its form: a square where a limit was missed, else round; full where it was clear."""
    verdict = mark.verdict
    size = "8" if mark.number < 100 else "7"
    colour = COLOURS[verdict or Verdict.NOT_APPLICABLE]
    full = verdict in (Verdict.PASS, Verdict.FAIL)
    words = f"{mark.number}: {mark.words}" + (f": {verdict.value}" if verdict else "")
    return (
        f"<title>{told(words)}</title>"
        f'{_form_of(verdict, centre)} fill="{colour if full else "#ffffff"}" stroke="{colour}"/>'
        f'<text x="{number(centre[0])}" y="{number(centre[1] + 2.9)}" text-anchor="middle" '
        f"font-family=\"'IBM Plex Sans', sans-serif\" "
        f'font-size="{size}" fill="{"#ffffff" if full else colour}">{mark.number}</text>'
    )


def _form_of(verdict: Verdict | None, centre: Point) -> str:
    """The form of a mark, left open for its colours."""
    x, y = centre
    if verdict is not None and verdict.missed:
        side = RADIUS - 0.8
        corner = f'x="{number(x - side)}" y="{number(y - side)}"'
        return f'<rect {corner} width="{number(2 * side)}" height="{number(2 * side)}" stroke-width="1.6"'
    inner = f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(RADIUS - 0.8)}"'
    if verdict is not None and verdict.rank == Verdict.INCONCLUSIVE.rank:
        return f'{inner} stroke-width="1.6" stroke-dasharray="3 2"'
    return f'{inner} stroke-width="{"1.6" if verdict is not None and verdict.judged else "0.6"}"'


def spread(places: Sequence[Point], width: float, height: float) -> list[Point]:
    """Centres of circles for some places: the place itself where there is room, else the nearest free spot around it.

    Args:
        places: where the things are [pt].
        width: right edge of the room, which begins at 0 [pt].
        height: lower edge of the room [pt].

    >>> spread([(50.0, 50.0), (100.0, 50.0)], 200.0, 100.0)
    [(50.0, 50.0), (100.0, 50.0)]
    """
    rim, apart = RADIUS + 0.5, 2.0 * RADIUS + 1.0
    centres: list[Point] = []
    for index, (x, y) in enumerate(places):
        others = [place for number, place in enumerate(places) if number != index and place != (x, y)]

        def free(spot: Point, others: Sequence[Point] = tuple(others)) -> bool:
            inside = rim <= spot[0] <= width - rim and rim <= spot[1] <= height - rim
            clear = all(math.dist(spot, centre) >= apart for centre in centres)
            return inside and clear and all(math.dist(spot, other) >= rim + 1.5 for other in others)

        centres.append(next((spot for spot in _spots(x, y) if free(spot)), (x, y)))
    return centres


def _spots(x: float, y: float) -> list[Point]:
    """The place itself, then rings around it, each from straight up outwards."""
    spots = [(x, y)]
    for ring in range(1, 14):
        radius = RADIUS * (1.2 + ring)
        turns = [0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6]
        spots += [(x + radius * math.sin(t * math.pi / 6), y - radius * math.cos(t * math.pi / 6)) for t in turns]
    return spots
