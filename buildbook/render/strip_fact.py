"""What stands for a fact: it was met or not. A fact has no distance from a limit, so it is drawn without any scale.

Two boxes side by side: the left one, of paper, for what was asked for; the right one, tinted, for what was not. A
square lies in the box that holds. Between them it is hollow where the matter is not settled; a dashed stroke where
nothing usable was seen. An earlier attempt is a hollow square, joined to the later one where the two lie apart. Boxes
are dashed where nothing was recorded, with a dashed ring where a record should have been.
"""

from __future__ import annotations

from buildbook.core.finding import Finding, Verdict
from buildbook.core.limit import Limit
from buildbook.render import strip_marks as draw
from buildbook.render.strip_marks import FORBIDDEN, Frame
from buildbook.render.svg import hatch, number

SIGN_WIDTH = 72.0
BOX, GAP = 26.0, 8.0
MET, MISSED, BETWEEN = 0, 1, None
SIDES = {
    Verdict.PASS: MET,
    Verdict.CONDITIONAL_PASS: MET,
    Verdict.CONDITIONAL_FAIL: MISSED,
    Verdict.FAIL: MISSED,
}
CONDITIONAL = (Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL)


def is_fact(finding: Finding) -> bool:
    """True for a finding that is drawn as met or not met, since no value stands on a scale.

    Without a reading, a limit in numbers is still drawn as a strip where the reading is missing, and only there.
    """
    if finding.measured is not None or finding.verdict in (Verdict.NOT_APPLICABLE, Verdict.INFORMATION):
        return False
    return not finding.verdict.unshown or not _in_numbers(finding.limit)


def fact(finding: Finding, earlier: Finding | None, frame: Frame) -> list[str]:
    """The two boxes and what lies in them.

    Args:
        finding: a fact; its verdict is taken as it is.
        earlier: an earlier attempt at the same thing, or None.
        frame: as wide as `SIGN_WIDTH`.

    Returns:
        Pieces of SVG.
    """
    unrecorded = finding.verdict.unshown
    parts = [_box(side, frame, dashed=unrecorded) for side in (MET, MISSED)]
    side = SIDES.get(finding.verdict)
    if side is not None and finding.verdict in CONDITIONAL:
        parts.append(_hatched(side, frame))
    return [*parts, draw.marks("".join(_inside(finding, side, earlier, frame)))]


def _in_numbers(limit: Limit | None) -> bool:
    return limit is not None and (limit.low is not None or limit.high is not None)


def _inside(finding: Finding, side: int | None, earlier: Finding | None, frame: Frame) -> list[str]:
    before = None if earlier is None else SIDES.get(earlier.verdict)
    apart = before != side
    parts = []
    if before is not None:
        parts.append(_square("strip-earlier", _middle(before) - (0.0 if apart else BOX / 4.0), frame, hollow=True))
        if apart and not finding.verdict.unshown:
            parts.append(_thread(_middle(before), _middle(side), frame))
    if finding.verdict is Verdict.NO_RECORD:
        parts.append(_ring(_middle(MET), frame))
    elif finding.verdict is Verdict.NOT_MEASURED:
        pass
    elif side is BETWEEN and not finding.observed:
        parts.append(_stroke(frame))
    else:
        shift = BOX / 4.0 if before is not None and not apart else 0.0
        parts.append(_square("strip-reading", _middle(side) + shift, frame, hollow=side is BETWEEN))
    return parts


def _left(side: int) -> float:
    return draw.EDGE + side * (BOX + GAP)


def _middle(side: int | None) -> float:
    return draw.EDGE + BOX + GAP / 2.0 if side is None else _left(side) + BOX / 2.0


def _box(side: int, frame: Frame, *, dashed: bool) -> str:
    box = (
        f'x="{number(_left(side))}" y="{number(frame.top)}" width="{number(BOX)}" '
        f'height="{number(frame.bottom - frame.top)}"'
    )
    tint = f'<rect class="strip-forbidden" {box} {FORBIDDEN}/>' if side == MISSED else ""
    dashes = ' stroke-dasharray="4 3"' if dashed else ' stroke-opacity="0.55"'
    look = f'fill="none" stroke="currentColor" stroke-width="{"1" if dashed else "0.7"}"{dashes}'
    return f'{tint}<rect class="strip-outline" {box} {look}/>'


def _hatched(side: int, frame: Frame) -> str:
    strokes = hatch(_left(side), frame.top, _left(side) + BOX, frame.bottom, step=draw.HATCH_STEP)
    look = 'fill="none" stroke="currentColor" stroke-width="0.7" stroke-opacity="0.6"'
    return f'<path class="strip-hatch" d="{strokes}" {look}/>'


def _square(name: str, x: float, frame: Frame, *, hollow: bool) -> str:
    radius = frame.dot + 0.6 - (0.6 if hollow else 0.0)
    look = 'fill="none" stroke="currentColor" stroke-width="1.4"' if hollow else 'fill="currentColor"'
    return (
        f'<rect class="{name}" x="{number(x - radius)}" y="{number(frame.middle - radius)}" '
        f'width="{number(2.0 * radius)}" height="{number(2.0 * radius)}" {look}/>'
    )


def _ring(x: float, frame: Frame) -> str:
    look = 'fill="none" stroke="currentColor" stroke-width="1.1" stroke-dasharray="2 1.4"'
    at = f'cx="{number(x)}" cy="{number(frame.middle)}" r="{number(frame.dot)}"'
    return f'<circle class="strip-missing" {at} {look}/>'


def _thread(start: float, end: float, frame: Frame) -> str:
    inward = frame.dot if end > start else -frame.dot
    y = number(frame.middle)
    ends = f'x1="{number(start + inward)}" x2="{number(end - inward)}" y1="{y}" y2="{y}"'
    look = 'stroke="currentColor" stroke-width="0.9" stroke-dasharray="2 1.6"'
    return f'<line class="strip-thread" {ends} {look}/>'


def _stroke(frame: Frame) -> str:
    y, middle = number(frame.middle), _middle(BETWEEN)
    ends = f'x1="{number(middle - BOX / 2.0)}" x2="{number(middle + BOX / 2.0)}" y1="{y}" y2="{y}"'
    return f'<line class="strip-unusable" {ends} stroke="currentColor" stroke-width="1.6" stroke-dasharray="3 2"/>'
