"""The margin strip and the verdict signs, as SVG for page and print.

Allowed side paper, forbidden side tinted, the guard band hatched, the limit a line; the reading a dot with its expanded
uncertainty (k = 2) as a whisker, an earlier attempt hollow and joined by a thin line. The scale is explained in
`strip_scale`. Further forms:

- dashed outline: nothing measured; with an empty dashed ring: said to be done, no record;
- a bar: not applicable; a bare line with a dot: no limit, for information;
- two boxes with a square: a fact in words, met or not met; it has no distance from a limit (`strip_fact`);
- a ring with a point: a reading that does not settle the matter; a dashed stroke across the line: no usable reading;
- a dot with an arrow: the true value is at least (at most) this; a triangle at the edge: beyond the strip;
- a dot with a dotted whisker: nobody stated the uncertainty. A count has none and is a plain dot.

Ink is `currentColor` and tints are translucent, so light and dark pages and grey print need no style sheet; the classes
(`strip-forbidden`, `strip-marks` …) let a style sheet do more. Custom properties are left out on purpose: the PDF
library paints them black.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.core.finding import Finding, Verdict
from buildbook.core.quantity import Kind
from buildbook.render import strip_marks as draw
from buildbook.render.strip_fact import SIGN_WIDTH, fact, is_fact
from buildbook.render.strip_marks import Frame
from buildbook.render.strip_scale import ONLY_HIGH, Scale, comparable, limit_places, scale
from buildbook.render.svg import hatch, name_of, number, told

WIDTH, HEIGHT = 180.0, 18.0
MISSING_PLACE = 0.31


def strip(
    finding: Finding,
    earlier: Finding | None = None,
    *,
    key: str,
    words: str,
    among: Iterable[Finding] = (),
    width: float = WIDTH,
    height: float = HEIGHT,
) -> str:
    """One margin strip as inline SVG.

    Args:
        finding: what to draw; its verdict is taken as it is.
        earlier: an earlier attempt at the same thing, or None.
        key: prefix of the ids, unique on the page (the finding's anchor).
        words: the text alternative, as `56.0 ± 0.8 %, at least 50.0 %: pass`.
        among: the findings of the same table; those of the same check and quantity share one step of the scale.
        width: width of the picture [px, 96 to the inch]; a style sheet may stretch it. A fact has a width of its own.
        height: height of the picture [px].

    Returns:
        An `<svg>` element that is named by its `<title>`.
    """
    sign_only = is_fact(finding)
    frame = Frame(SIGN_WIDTH if sign_only else width, height)
    parts = fact(finding, earlier, frame) if sign_only else _form(finding, earlier, tuple(among), frame)
    key, wide = name_of(key), number(frame.width)
    size = f'viewBox="0 0 {wide} {number(height)}" width="{wide}" height="{number(height)}"'
    kind = "strip strip-fact" if sign_only else "strip"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind} strip-{_slug(finding.verdict)}" {size} role="img" '
        f'aria-labelledby="{key}-strip"><title id="{key}-strip">{told(words)}</title>'
        f"{''.join(parts)}</svg>"
    )


def _form(finding: Finding, earlier: Finding | None, among: tuple[Finding, ...], frame: Frame) -> list[str]:
    """The ground that a finding asks for, and the marks on it."""
    if finding.verdict is Verdict.NOT_APPLICABLE:
        return [draw.bar(frame)]
    low, high = limit_places(finding.limit)
    axis = scale(finding, earlier, among)
    if low is not None or high is not None:
        ground = _ground(finding, axis, low, high, frame)
    else:
        ground = [draw.base_line(frame)]
    if finding.verdict is Verdict.NO_RECORD:
        ground.append(_missing(finding, frame))
    return [*ground, draw.marks("".join(_marks(finding, earlier, axis, frame)))]


def _ground(finding: Finding, axis: Scale | None, low: float | None, high: float | None, frame: Frame) -> list[str]:
    """The strip without any reading: tint, guard band, outline, limit lines."""
    parts = []
    if low is not None:
        parts.append(draw.tint(0.0, low, frame))
    if high is not None:
        parts.append(draw.tint(high, 1.0, frame))
    if axis is not None and finding.guard:
        bands = _guard_bands(finding.guard / axis.length, low, high)
        parts += [draw.guard_band(*band, frame) for band in bands]
    parts.append(draw.outline(frame, dashed=finding.verdict.unshown))
    return parts + [draw.limit_line(place, frame) for place in dict.fromkeys((low, high)) if place is not None]


def _guard_bands(width: float, low: float | None, high: float | None) -> list[tuple[float, float]]:
    """The stretch inside each limit where a reading is too near to be clear of it; two that meet become one."""
    far_left = 0.0 if low is None else low
    far_right = 1.0 if high is None else high
    bands = []
    if low is not None:
        bands.append((low, min(low + width, far_right)))
    if high is not None:
        bands.append((max(high - width, far_left), high))
    if len(bands) == 2 and bands[0][1] >= bands[1][0]:
        return [(far_left, far_right)]
    return bands


def _marks(finding: Finding, earlier: Finding | None, axis: Scale | None, frame: Frame) -> list[str]:
    """The earlier mark, the thread to the present one, the present one or what stands for it."""
    here = _place(finding, finding, axis)
    before = None if earlier is None else _place(earlier, finding, axis)
    parts = []
    if earlier is not None and before is not None:
        if here is not None:
            parts.append(draw.thread(before, here, frame))
        parts.append(draw.mark(before, frame, hollow=True))
    if here is None:
        low, high = limit_places(finding.limit)
        line = next((place for place in (low, high) if place is not None), ONLY_HIGH)
        return parts if finding.verdict.unshown else [*parts, draw.no_usable_reading(line, frame)]
    return parts + (_reading(finding, here, axis, frame) if finding.measured else [draw.mark(here, frame)])


def _missing(finding: Finding, frame: Frame) -> str:
    """The ring where the reading should have been: on allowed ground."""
    low, high = limit_places(finding.limit)
    one_sided = (low is None) != (high is None)
    place = MISSING_PLACE if one_sided else 0.5
    return draw.missing_mark(1.0 - place if low is not None else place, frame)


def _place(finding: Finding, on: Finding, axis: Scale | None) -> float | None:
    """Where a finding's mark stands on its own strip or that of a later attempt; None where it has none."""
    if finding.verdict.unshown or finding.verdict is Verdict.NOT_APPLICABLE:
        return None
    if finding.measured is not None:
        return _place_of_reading(finding, on, axis)
    return 0.5 if finding is on else None  # a fact has no place on a scale


def _place_of_reading(finding: Finding, on: Finding, axis: Scale | None) -> float | None:
    if not comparable(finding, on.limit) or finding.measured is None:
        return None
    if axis is not None:
        return axis.at(finding.measured.value)
    low, high = limit_places(on.limit)
    line = low if low is not None else high
    return (0.5 if line is None else line) if finding is on else None


def _reading(finding: Finding, place: float, axis: Scale | None, frame: Frame) -> list[str]:
    """The whisker, the arrow of a mere bound, the dot."""
    measured = finding.measured
    assert measured is not None
    parts = []
    if measured.at_two is not None and axis is not None:
        reach = measured.at_two / axis.length
        parts.append(draw.whisker(place - reach, place + reach, frame))
    elif measured.at_two is None and measured.kind is Kind.MEASURED and 0.0 <= place <= 1.0:
        parts.append(draw.whisker_of_unknown_length(place, frame))
    direction = {Kind.AT_LEAST: 1, Kind.AT_MOST: -1}.get(measured.kind, 0)
    if direction and 0.0 <= place <= 1.0:
        parts.append(draw.open_end(place, direction, frame))
    return [*parts, draw.mark(place, frame, settled=finding.verdict is not Verdict.INCONCLUSIVE)]


def sign(verdict: Verdict, words: str = "") -> str:
    """The sign of a verdict, 1 em high and in the colour of the text around it.

    A small strip, forbidden side left: the dot clear of the line (pass), at the hatching (conditional pass), across the
    line (conditional fail), crossed out beyond it (fail); a whisker over both sides (inconclusive); a dashed outline
    (not measured), with an empty ring (no record); a bar (not applicable); a dot on a bare line (information).

    Args:
        verdict: which sign.
        words: the text alternative; empty where the verdict's word stands beside the sign.

    Returns:
        An `<svg>` element without ids.
    """
    named = f'role="img" aria-label="{told(words)}"' if words else 'aria-hidden="true"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sign sign-{_slug(verdict)}" viewBox="0 0 22 14" '
        f'width="1.571em" height="1em" focusable="false" {named} fill="none" stroke="currentColor" '
        f'stroke-width="1.2">{_SIGNS[verdict]}</svg>'
    )


_DOT = 'cy="7" r="2.8" fill="currentColor" stroke="none"/>'
_OUTLINE = '<rect x="1" y="2" width="20" height="10" stroke-width="0.8"/>'
_GROUND = (
    '<rect x="1" y="2" width="8" height="10" fill="currentColor" fill-opacity="0.3" stroke="none"/>'
    f'{_OUTLINE}<path d="M9 0V14" stroke-width="1.6"/>'
)
_DASHED = '<rect x="1" y="2" width="20" height="10" stroke-dasharray="3 2"/>'
_SIGNS = {
    Verdict.PASS: f'{_GROUND}<circle cx="16.5" {_DOT}',
    Verdict.CONDITIONAL_PASS: f'{_GROUND}<path d="{hatch(9, 2, 15, 12, step=2.5)}"/><circle cx="14.6" {_DOT}',
    Verdict.CONDITIONAL_FAIL: f'{_GROUND}<circle cx="8.6" {_DOT}',
    Verdict.FAIL: f'{_GROUND}<path d="M2.4 4.4L7.6 9.6M7.6 4.4L2.4 9.6" stroke-width="2.2"/>',
    Verdict.INCONCLUSIVE: (
        f'{_OUTLINE}<path d="M11 0V4.4M11 9.6V14" stroke-width="1.6"/>'
        '<path d="M3 7H8.4M13.6 7H19" stroke-width="2"/><circle cx="11" cy="7" r="2.6" stroke-width="1.4"/>'
    ),
    Verdict.NOT_MEASURED: _DASHED,
    Verdict.NO_RECORD: f'{_DASHED}<circle cx="11" cy="7" r="2.4"/>',
    Verdict.NOT_APPLICABLE: '<path d="M5 7H17" stroke-width="2.4"/>',
    Verdict.INFORMATION: f'<path d="M1 7H21"/><circle cx="11" {_DOT}',
}


def _slug(verdict: Verdict) -> str:
    return verdict.value.replace(" ", "-")
