"""Where on her: profile and plan to scale, with numbered marks.

Her own outline where the folder has one, else a plain form from her main dimensions, labelled `schematic`. x runs from
the transom at the left to the bow at the right; in the plan starboard is below, as seen from above.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from buildbook.core.hull import Hull, encloses
from buildbook.core.wording import listed
from buildbook.render.cutting import cut, held
from buildbook.render.marks import Mark, Point, free_cut, marks_drawn
from buildbook.render.ruler import METRES, TEXT, Ruler, ruler_svg
from buildbook.render.svg import name_of, number, told

View = Literal["profile", "plan"]
VIEWS: tuple[View, ...] = ("profile", "plan")

WIDTH = 467.7  # 165 mm [pt]
LEFT, RIGHT, TOP = 12.0, 50.0, 20.0
FOOT = 30.0
HULL = "#0077bb"
FILL = f'fill="{HULL}" fill-opacity="0.1"'
STROKE = f'stroke="{HULL}" stroke-width="1.3"'
CLOSEST = 0.5  # of her: a drawing of a part of her never shows less
ROUND_ABOUT = 0.8  # m shown before the first mark and after the last
SCHEMATIC = "schematic, from her main dimensions only"
NOTHING = "Neither an outline nor her length is on record: not drawn."


@dataclass(frozen=True, slots=True)
class Pictures:
    """One view of her, drawn once: whole, and in two halves that are set side by side or one below the other.

    Together the halves are the whole picture: each mark stands in one of them, with the same id.
    """

    whole: str
    aft: str = ""
    forward: str = ""
    cut: float = 0.5  # the share of the width that is the aft half's


def pictures(
    hull: Hull,
    what: View,
    marks: Sequence[Mark] = (),
    *,
    key: str = "",
    width: float = WIDTH,
    close: bool = False,
    ruler: Ruler = METRES,
) -> Pictures:
    """Her profile, seen from starboard, with the marks that have x and z; or her plan from above, with x and y.

    Args:
        hull: outline points (x, z) or (x, y) [m], or her main dimensions [m] for the plain form; a plan given for one
            side only is mirrored.
        what: which view.
        marks: what to mark; each is a link to its row and has the id `<key>-mark-<number>`.
        key: prefix of all ids; empty for the name of the view.
        width: how wide the picture is meant to be shown [pt], so that its words keep their size.
        close: whether to show only the part of her where the marks are.
        ruler: what the ruler below her counts.

    Returns:
        `<svg>` elements with a viewBox in points and no size of their own. Without outline and length there is only a
        whole, which says so.
    """
    across = ((mark, mark.x, mark.z if what == "profile" else mark.y) for mark in marks)
    placed = [(mark, (x, other)) for mark, x, other in across if x is not None and other is not None]
    own = encloses(hull.outline if what == "profile" else hull.plan_outline)
    window = _window(hull, marks, close=close)
    return _view(hull, placed, window, key=key or what, own=own, what=what, width=width, ruler=ruler)


def drawn(hull: Hull, what: View) -> bool:
    """Whether a view can be drawn at all."""
    return bool(_forms(hull, what))


def _window(hull: Hull, marks: Sequence[Mark], *, close: bool) -> Point:
    """From where to where along her both views reach [m], so that they stand above each other to one scale."""
    forms = [x for form in (*_forms(hull, "profile"), *_forms(hull, "plan")) for x, _ in form]
    shown = [mark.x for mark in marks if mark.x is not None and (mark.y is not None or mark.z is not None)]
    left, right = min([0.0, *forms, *shown]), max([0.0, *forms, *shown])
    if not (close and shown):
        return left, right
    aside = max(0.0, CLOSEST * (right - left) - (max(shown) - min(shown))) / 2.0
    reach = max(aside, ROUND_ABOUT)
    first, last = min(shown) - reach, max(shown) + reach
    return max(left, first + min(0.0, right - last)), min(right, last + max(0.0, left - first))


def _forms(hull: Hull, what: View) -> list[tuple[Point, ...]]:
    if what == "profile":
        return [hull.outline] if encloses(hull.outline) else _plain_profile(hull)
    return [_both_sides(hull.plan_outline)] if encloses(hull.plan_outline) else _plain_plan(hull)


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
    placed: Sequence[tuple[Mark, Point]],
    window: Point,
    *,
    key: str,
    own: bool,
    what: View,
    width: float,
    ruler: Ruler,
) -> Pictures:
    """One view: forms in metres to strokes in points, with waterline or centreline, ruler and marks."""
    key, forms = name_of(key), _forms(hull, what)
    if not forms:
        words = f'<text x="2" y="14" {TEXT}>{NOTHING}</text>'
        return Pictures(_root(key, (0.0, width), 22.0, (what.capitalize(), NOTHING), words, linked=False))
    down = -1.0 if what == "profile" else 1.0
    heights = [down * y for form in forms for _, y in form] + [down * y for _, (_, y) in placed]
    left, right = window
    scale = (width - LEFT - RIGHT) / (right - left)
    high = min(heights)
    height = TOP + (max(heights) - high) * scale + 14.0 + FOOT

    def at(point: Point) -> Point:
        return LEFT + (point[0] - left) * scale, TOP + (down * point[1] - high) * scale

    body = "".join(_form(form, at, window) for form in forms)
    body += _level_line(at((left, 0.0))[1], "waterline" if what == "profile" else "centreline", width)
    cut = free_cut([at(point)[0] for _, point in placed], width)
    body += ruler_svg(ruler, at((0.0, 0.0))[0], scale, window, (height, cut))
    body += _directions(what, own, width, height)
    room = (TOP - 4.0, width, height - FOOT + 4.0)
    drawn = marks_drawn([(mark, at(point)) for mark, point in placed], key, room, cut=cut)

    def picture(part: str, start: float, end: float) -> str:
        inside = [mark for (mark, _), (x, _) in zip(placed, drawn.circles, strict=True) if start <= x < end]
        words = _words(hull, inside, own, what, part)
        linked = any(mark.anchor for mark in inside)
        name = f"{key}-{part}" if part else key
        return _root(name, (start, end), height, words, body + drawn.between(start, end), linked=linked)

    halves = picture("aft", 0.0, cut), picture("forward", cut, width)
    return Pictures(picture("", 0.0, width), *halves, cut=cut / width)


def _directions(what: View, own: bool, width: float, height: float) -> str:
    """Which way is ahead, and on which side port lies or from which side she is seen."""
    side = "port side above, starboard below" if what == "plan" else "both sides, seen from starboard"
    words = [
        f'<text class="hull-aft" x="2" y="10" {TEXT}>← aft</text>',
        f'<text class="hull-sides" x="46" y="10" {TEXT}>{side}</text>',
        f'<text class="hull-ahead" x="{number(width - 2)}" y="{number(height - 5)}" text-anchor="end" {TEXT}>'
        "ahead →</text>",
    ]
    if not own:
        words.append(
            f'<text class="schematic" x="{number(width - 2)}" y="10" text-anchor="end" {TEXT}>{SCHEMATIC}</text>'
        )
    return "".join(words)


def _root(key: str, part: Point, height: float, words: tuple[str, str], body: str, *, linked: bool) -> str:
    """What lies from one x to another [pt]; with links in it a group to a reader's program, without them an image."""
    title, description = words
    left, right = part
    role = "group" if linked else "img"
    box = f"{number(left)} 0 {number(right - left)} {number(height)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hull" viewBox="{box}" '
        f'role="{role}" aria-labelledby="{key}-title {key}-description"><title id="{key}-title">{told(title)}</title>'
        f'<desc id="{key}-description">{told(description)}</desc>{body}</svg>'
    )


def _words(hull: Hull, marks: Sequence[Mark], own: bool, what: str, part: str) -> tuple[str, str]:
    """Title and text alternative: what is shown, how many marks, which of them are missed. The list has the rest."""
    name = " ".join(part for part in (hull.name, hull.number) if part) or "the hull"
    half = f", {part} half" if part else ""
    title = f"{what.capitalize()} of {name}{half}, to scale" + ("" if own else f" ({SCHEMATIC})")
    if not marks:
        return title, "No marks."
    missed = [str(mark.number) for mark in marks if mark.verdict is not None and mark.verdict.missed]
    count = f"{len(marks)} numbered {'mark' if len(marks) == 1 else 'marks'}"
    told = f"missed and not put right: {listed(missed)}" if missed else "none is missed and not put right"
    return title, f"{count}; {told}."


def _form(form: Sequence[Point], at: Callable[[Point], Point], window: Point) -> str:
    """A closed form, as far as it lies in the window; where it is cut it has no stroke."""
    if all(window[0] <= x <= window[1] for x, _ in form):
        line = 'stroke-linejoin="round"'
        return f'<path class="hull-form" d="{_path(form, at)}Z" {FILL} {STROKE} {line}/>'
    sides = [cut(one, other, window) for one, other in pairwise([*form, form[0]])]
    strokes = "".join(_path(side, at) for side in sides if side)
    return (
        f'<path class="hull-part" d="{_path(held(form, window), at)}Z" {FILL} stroke="none"/>'
        f'<path class="hull-form" d="{strokes}" fill="none" {STROKE} stroke-linecap="round"/>'
    )


def _path(points: Sequence[Point], at: Callable[[Point], Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in map(at, points))


def _level_line(y: float, words: str, width: float) -> str:
    dash = ' stroke-dasharray="8 2.5 1.5 2.5"' if words == "centreline" else ""
    return (
        f'<line class="hull-{words}" x1="2" x2="{number(width - 2)}" y1="{number(y)}" y2="{number(y)}" '
        f'stroke="currentColor" stroke-opacity="0.6" stroke-width="0.7"{dash}/>'
        f'<text x="{number(width - 2)}" y="{number(y - 3)}" text-anchor="end" {TEXT}>{words}</text>'
    )
