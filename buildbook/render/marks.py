"""The numbered marks on a drawing of her: their form tells a verdict, and each finds room for its number."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from buildbook.core.finding import Verdict
from buildbook.core.position import position_text
from buildbook.render.svg import number, told

Point = tuple[float, float]

FACE = "font-family=\"'IBM Plex Sans', sans-serif\""
RADIUS, BROAD = 7.6, 10.4  # pt; the broader one where a number has four figures
CORNER = 4.4  # pt; side of the small square of what was put right
MANY = 1000
NEAR_MIDDLE = 0.06  # of the width: so far from its middle a picture is parted at most; `site.css` knows it
RINGS = 6  # of spots around a place; beyond them any free spot of the picture, the nearest first
# The colours of `verdict.css` in the light scheme, for print; the figure on the mark is white or stands on white. On
# the site `site.css` gives each mark the colours of its classes, and paper for white, in both schemes.
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


@dataclass(frozen=True, slots=True)
class Mark:
    """One numbered place: metres forward of the transom, to starboard, above the waterline; None where not known.

    `words` say what is there; `anchor` is the id of the row it belongs to, empty for none. `verdict` gives the mark its
    shape and colour; None where nothing was found. `put_right` adds the corner that says a limit was missed at first.
    `accepted` leaves the square of a missed limit empty: it is not open. `position` says in words where it is, in other
    units; empty for metres. `later` stands behind the word of a verdict where something is not due yet.
    """

    number: int
    words: str
    anchor: str = ""
    x: float | None = None
    y: float | None = None
    z: float | None = None
    verdict: Verdict | None = None
    put_right: bool = False
    accepted: bool = False
    position: str = ""
    later: str = ""


@dataclass(frozen=True, slots=True)
class MarksDrawn:
    """The marks of a drawing as SVG: the leaders of those moved aside, and each mark with the x of its middle [pt]."""

    leaders: str
    circles: tuple[tuple[float, str], ...]

    def between(self, left: float, right: float) -> str:
        """The marks whose middle lies from `left` up to `right` [pt], with all leaders."""
        return self.leaders + "".join(circle for x, circle in self.circles if left <= x < right)


def marks_drawn(
    placed: Sequence[tuple[Mark, Point]], key: str, room: tuple[float, float, float], cut: float = -math.inf
) -> MarksDrawn:
    """The numbers in their forms; where they would crowd, moved aside with a leader to the place itself.

    Args:
        placed: each mark with its place in the picture [pt].
        key: prefix of the ids.
        room: upper edge, right edge and lower edge of the room for them [pt].
        cut: where the picture is parted in two [pt from its left edge]; no mark lies across it.
    """
    radius = BROAD if any(mark.number >= MANY for mark, _ in placed) else RADIUS
    top, width, bottom = room
    centres = spread([point for _, point in placed], width, bottom, top=top, radius=radius, cut=cut)
    leaders: list[str] = []
    circles: list[tuple[float, str]] = []
    for (mark, place), centre in zip(placed, centres, strict=True):
        if centre != place:
            leaders.append(_leader(place, centre))
        circle = _circle(mark, centre, radius)
        looks = classes(mark.verdict, accepted=mark.accepted)
        name = f'id="{key}-mark-{mark.number}" class="mark {looks}" data-mark="{mark.number}"'
        if mark.anchor:
            circles.append((centre[0], f'<a {name} href="#{told(mark.anchor)}">{circle}</a>'))
        else:
            circles.append((centre[0], f"<g {name}>{circle}</g>"))
    return MarksDrawn("".join(leaders), tuple(circles))


def free_cut(places: Sequence[float], width: float) -> float:
    """Where to part a picture in two: its middle, or a little aside where no mark stands; the middle if none is free.

    >>> free_cut([100.0, 195.0], 400.0)
    204.0
    """
    middle, rim = width / 2.0, RADIUS + 0.5
    reach = int(NEAR_MIDDLE * width)
    for aside in sorted(range(-reach, reach + 1), key=abs):
        if all(abs(middle + aside - x) >= rim for x in places):
            return middle + aside
    return middle


def _leader(place: Point, centre: Point) -> str:
    x, y = (number(value) for value in place)
    to_x, to_y = (number(value) for value in centre)
    return (
        f'<line class="mark-leader" x1="{x}" x2="{to_x}" y1="{y}" y2="{to_y}" stroke="currentColor" '
        f'stroke-width="0.6"/>'
        f'<circle class="mark-place" cx="{x}" cy="{y}" r="1.6" fill="currentColor"/>'
    )


def _circle(mark: Mark, centre: Point, radius: float) -> str:
    """The figure in its form: a square where a limit was missed, else round; full where it is open or all passed."""
    verdict = mark.verdict
    form = form_name(verdict, accepted=mark.accepted)
    size = "8" if mark.number < 100 else "7"
    colour = COLOURS[verdict or Verdict.NOT_APPLICABLE]
    full = form.startswith("full")
    return (
        f"<title>{told(_title(mark))}</title>"
        f'{_form_of(form, centre, radius)} fill="{colour if full else "#ffffff"}" stroke="{colour}"/>'
        f'<text x="{number(centre[0])}" y="{number(centre[1] + 2.9)}" text-anchor="middle" '
        f'{FACE} font-size="{size}" fill="{"#ffffff" if full else colour}">{mark.number}</text>'
        f"{_corner(centre, radius) if mark.put_right else ''}"
    )


def _corner(centre: Point, radius: float) -> str:
    """A small square at the rim: a limit was missed at first. It stays inside the room that the mark has."""
    x, y = centre[0] + radius - CORNER, centre[1] - radius
    return (
        f'<rect class="put-right" x="{number(x)}" y="{number(y)}" width="{number(CORNER)}" height="{number(CORNER)}" '
        f'fill="{COLOURS[Verdict.FAIL]}" stroke="#ffffff" stroke-width="0.8"/>'
    )


def _title(mark: Mark) -> str:
    """What the mark is, its verdict, and where it is."""
    again = ", missed at first and put right" if mark.put_right else ""
    accepted = ", accepted or settled otherwise" if mark.accepted else ""
    words = f"{mark.number}: {mark.words}" + (
        f": {mark.verdict.value}{mark.later}{accepted}{again}" if mark.verdict else ""
    )
    where = mark.position or position_text(mark.x, mark.y, mark.z)
    return f"{words}; {where}" if where else words


def form_name(verdict: Verdict | None, *, accepted: bool = False) -> str:
    """The form of a mark in words for a style sheet: square, broken, ring or thin; full before it where it is filled.

    What was accepted is a square whatever its verdict: a report alone may tell of it.

    >>> form_name(Verdict.FAIL), form_name(Verdict.FAIL, accepted=True), form_name(Verdict.CONDITIONAL_PASS)
    ('full square', 'square', 'ring')
    """
    if accepted:
        return "square"
    if verdict is None:
        return "thin"
    if verdict.missed:
        return "full square"
    if verdict.rank == Verdict.INCONCLUSIVE.rank:
        return "broken"
    if verdict is Verdict.PASS:
        return "full ring"
    return "ring" if verdict.judged else "thin"


def classes(verdict: Verdict | None, *, accepted: bool = False) -> str:
    """Form and colour of a mark as classes: the pages colour both the mark and its number beside a row by them.

    >>> classes(Verdict.FAIL), classes(None)
    ('full square is-fail', 'thin is-not-applicable')
    """
    return f"{form_name(verdict, accepted=accepted)} is-{(verdict or Verdict.NOT_APPLICABLE).value.replace(' ', '-')}"


def _form_of(form: str, centre: Point, radius: float) -> str:
    """The form of a mark, left open for its colours."""
    x, y = centre
    rim = radius - 0.8
    if form.endswith("square"):
        corner = f'x="{number(x - rim)}" y="{number(y - rim)}"'
        return f'<rect {corner} width="{number(2 * rim)}" height="{number(2 * rim)}" stroke-width="1.6"'
    inner = f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(rim)}"'
    if form == "broken":
        return f'{inner} stroke-width="1.6" stroke-dasharray="3 2"'
    return f'{inner} stroke-width="{"0.6" if form == "thin" else "1.6"}"'


def spread(
    places: Sequence[Point],
    width: float,
    height: float,
    *,
    top: float = 0.0,
    radius: float = RADIUS,
    cut: float = -math.inf,
) -> list[Point]:
    """Centres of circles for some places: the place itself where there is room, else the nearest free spot around it.

    Args:
        places: where the things are [pt].
        width: right edge of the room, which begins at 0 [pt].
        height: lower edge of the room [pt].
        top: upper edge of the room [pt].
        radius: of the circles [pt].
        cut: an upright line that no circle lies across [pt].

    >>> spread([(50.0, 50.0), (100.0, 50.0)], 200.0, 100.0)
    [(50.0, 50.0), (100.0, 50.0)]
    """
    rim, apart = radius + 0.5, 2.0 * radius + 1.0
    centres: list[Point] = []
    for index, (x, y) in enumerate(places):
        others = [place for number, place in enumerate(places) if number != index and place != (x, y)]

        def free(spot: Point, others: Sequence[Point] = tuple(others)) -> bool:
            inside = rim <= spot[0] <= width - rim and top + rim <= spot[1] <= height - rim
            clear = all(math.dist(spot, centre) >= apart for centre in centres)
            whole = abs(spot[0] - cut) >= rim
            return inside and whole and clear and all(math.dist(spot, other) >= rim + 1.5 for other in others)

        spots = chain(_spots(x, y, radius), _anywhere((x, y), (width, height), radius))
        centres.append(next((spot for spot in spots if free(spot)), (x, y)))
    return centres


def _spots(x: float, y: float, radius: float) -> list[Point]:
    """The place itself, then rings around it, each from straight up outwards."""
    spots = [(x, y)]
    for ring in range(1, RINGS + 1):
        far = radius * (1.2 + ring)
        turns = [0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6]
        spots += [(x + far * math.sin(t * math.pi / 6), y - far * math.cos(t * math.pi / 6)) for t in turns]
    return spots


def _anywhere(place: Point, room: Point, radius: float) -> Iterator[Point]:
    """Spots all over the picture, half a circle apart, the nearest first."""
    across, down = (math.ceil(size / radius) for size in room)
    grid = [(column * radius, row * radius) for column in range(across) for row in range(down)]
    yield from sorted(grid, key=lambda spot: (math.dist(spot, place), spot))
