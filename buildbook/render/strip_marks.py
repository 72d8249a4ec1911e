"""The strokes that margin strips are made of: each function draws one thing at a place (0 left edge, 1 right edge)."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.render.svg import hatch, number

FORBIDDEN = 'fill="#b4532a" fill-opacity="0.2"'
READING = "#0077bb"
EDGE = 6.0
HATCH_STEP = 3.0


@dataclass(frozen=True, slots=True)
class Frame:
    """The drawing area of one strip [picture units]: the body lies between top and bottom, marks on the middle."""

    width: float
    height: float

    @property
    def top(self) -> float:
        return self.height / 6.0

    @property
    def bottom(self) -> float:
        return self.height * 5.0 / 6.0

    @property
    def middle(self) -> float:
        return self.height / 2.0

    @property
    def dot(self) -> float:
        return self.height * 0.19

    def x(self, place: float) -> float:
        """From a place on the strip to a coordinate."""
        return EDGE + place * (self.width - 2.0 * EDGE)

    def box(self, start: float, end: float) -> str:
        """The attributes of a rectangle as high as the body."""
        return (
            f'x="{number(self.x(start))}" y="{number(self.top)}" width="{number(self.x(end) - self.x(start))}" '
            f'height="{number(self.bottom - self.top)}"'
        )


def tint(start: float, end: float, frame: Frame) -> str:
    """Forbidden ground."""
    return f'<rect class="strip-forbidden" {frame.box(start, end)} {FORBIDDEN}/>'


def outline(frame: Frame, *, dashed: bool) -> str:
    """The edge of the strip; dashed where nothing was measured."""
    dashes = ' stroke-dasharray="4 3"' if dashed else ' stroke-opacity="0.55"'
    width = "1" if dashed else "0.7"
    look = f'fill="none" stroke="currentColor" stroke-width="{width}"{dashes}'
    return f'<rect class="strip-outline" {frame.box(0.0, 1.0)} {look}/>'


def guard_band(start: float, end: float, frame: Frame) -> str:
    """The hatched ground between acceptance limit and tolerance limit."""
    strokes = hatch(frame.x(start), frame.top, frame.x(end), frame.bottom, step=HATCH_STEP)
    return (
        f'<rect class="strip-guard" {frame.box(start, end)} fill="currentColor" fill-opacity="0.06"/>'
        f'<path class="strip-hatch" d="{strokes}" fill="none" stroke="currentColor" stroke-width="0.7" '
        f'stroke-opacity="0.6"/>'
    )


def limit_line(place: float, frame: Frame) -> str:
    """The limit, standing out above and below the body."""
    x = number(frame.x(place))
    return (
        f'<line class="strip-limit" x1="{x}" x2="{x}" y1="0.5" y2="{number(frame.height - 0.5)}" '
        f'stroke="currentColor" stroke-width="1.5"/>'
    )


def marks(drawn: str) -> str:
    """Everything that stands for readings, in one colour that a style sheet can change: `.strip-marks {color: …}`."""
    return f'<g class="strip-marks" color="{READING}">{drawn}</g>' if drawn else ""


def base_line(frame: Frame) -> str:
    """The bare line of a reading that nobody set a limit for."""
    return _level("strip-base", 0.0, 1.0, frame, 'stroke="currentColor" stroke-width="0.8" stroke-opacity="0.6"')


def bar(frame: Frame) -> str:
    """Not applicable."""
    return _level("strip-bar", 0.38, 0.62, frame, 'stroke="currentColor" stroke-width="2.4" stroke-opacity="0.7"')


def whisker(start: float, end: float, frame: Frame) -> str:
    """The expanded uncertainty, as far as it lies on the strip."""
    start, end = max(0.0, start), min(1.0, end)
    if end <= start:
        return ""
    return _level("strip-whisker", start, end, frame, 'stroke="currentColor" stroke-width="2"')


def whisker_of_unknown_length(place: float, frame: Frame) -> str:
    """Dotted: there is an uncertainty, but nobody stated it."""
    reach = 3.2 * frame.dot / (frame.width - 2.0 * EDGE)
    look = 'stroke="currentColor" stroke-width="1.4" stroke-dasharray="1.2 1.6"'
    return _level("strip-unstated", max(0.0, place - reach), min(1.0, place + reach), frame, look)


def no_usable_reading(place: float, frame: Frame) -> str:
    """A dashed stroke across the line without a dot."""
    look = 'stroke="currentColor" stroke-width="1.6" stroke-dasharray="3 2"'
    return _level("strip-unusable", place - 0.14, place + 0.14, frame, look)


def missing_mark(place: float, frame: Frame) -> str:
    """The dashed ring where a reading should have been."""
    return (
        f'<circle class="strip-missing" cx="{number(frame.x(place))}" cy="{number(frame.middle)}" '
        f'r="{number(frame.dot)}" fill="none" stroke="currentColor" stroke-width="1.1" stroke-dasharray="2 1.4"/>'
    )


def thread(start: float, end: float, frame: Frame) -> str:
    """The thin line from the earlier mark to the later one, from rim to rim."""
    gap = frame.dot / (frame.width - 2.0 * EDGE)
    start, end = _onto(start), _onto(end)
    if abs(end - start) <= 2.0 * gap:
        return ""
    step = gap if end > start else -gap
    look = 'stroke="currentColor" stroke-width="0.9" stroke-dasharray="2 1.6"'
    return _level("strip-thread", start + step, end - step, frame, look)


def open_end(place: float, direction: int, frame: Frame) -> str:
    """The arrow of a value that is only a bound: +1 at least, -1 at most."""
    x, y, size = frame.x(place), frame.middle, frame.dot
    tip = min(max(x + direction * 5.0 * size, 1.0), frame.width - 1.0)
    back = tip - direction * size
    return (
        f'<path class="strip-bound" d="M{number(x)} {number(y)}H{number(tip)}M{number(back)} {number(y - size)}'
        f'L{number(tip)} {number(y)}L{number(back)} {number(y + size)}" fill="none" stroke="currentColor" '
        f'stroke-width="1.5"/>'
    )


def mark(place: float, frame: Frame, *, hollow: bool = False, settled: bool = True) -> str:
    """The dot of a reading; beyond the strip a triangle at the edge points to it."""
    name = "strip-earlier" if hollow else "strip-reading"
    look = 'fill="none" stroke="currentColor" stroke-width="1.4"' if hollow or not settled else 'fill="currentColor"'
    if not 0.0 <= place <= 1.0:
        return _pointer(name, place, look, frame)
    x, y, radius = frame.x(place), frame.middle, frame.dot - (0.5 if hollow or not settled else 0.0)
    centre = f'cx="{number(x)}" cy="{number(y)}"'
    point = "" if settled or hollow else f'<circle {centre} r="{number(radius * 0.38)}" fill="currentColor"/>'
    return f'<circle class="{name}" {centre} r="{number(radius)}" {look}/>{point}'


def _pointer(name: str, place: float, look: str, frame: Frame) -> str:
    edge, inward = (frame.x(0.0) - 4.0, 1) if place < 0.0 else (frame.x(1.0) + 4.0, -1)
    y, half, length = frame.middle, frame.dot * 1.15, 2.2 * frame.dot
    return (
        f'<path class="{name} strip-beyond" d="M{number(edge)} {number(y)}L{number(edge + inward * length)} '
        f'{number(y - half)}V{number(y + half)}Z" {look}/>'
    )


def _level(name: str, start: float, end: float, frame: Frame, look: str) -> str:
    y = number(frame.middle)
    ends = f'x1="{number(frame.x(start))}" x2="{number(frame.x(end))}" y1="{y}" y2="{y}"'
    return f'<line class="{name}" {ends} {look}/>'


def _onto(place: float) -> float:
    return min(max(place, 0.0), 1.0)
