"""The scale of a margin strip: where on a strip of length 1 a value stands.

The limit sets the scale, so that strips with the same limit can be compared at a glance:

- Two limits: the lower always stands at 1/4, the upper at 3/4; the tolerance is half the strip.
- One limit: an upper limit always stands at 0.62, a lower one at 0.38, so that the allowed side has 0.62 of the strip.
  The natural bound of the quantity, else zero, is an edge of the strip. That is the plain scale. It is then magnified
  by a step of `STEPS`, only as far as the guard band needs to be seen and never so far that a reading leaves the
  strip; or reduced by one, where a reading would otherwise stand beyond the edge and no natural bound forbids it.
  All strips of the same check and quantity in one table (`among`) share the step.
- No limit: the readings of one table share a scale of their own; a single one stands in the middle, without a scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.core.finding import Finding
from buildbook.core.limit import Limit

LOW_OF_TWO, HIGH_OF_TWO = 0.25, 0.75
ONLY_HIGH, ONLY_LOW = 0.62, 0.38
ALLOWED = 0.62
FORBIDDEN = 0.38
STEPS = (100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
GUARD_TO_BE_SEEN = 0.05
ROOM = 0.97


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale: the value at the left edge and the value per strip length [both in the unit of the limit]."""

    left: float
    length: float

    def at(self, value: float) -> float:
        """Where a value stands: 0 at the left edge, 1 at the right edge, beyond them off the strip.

        >>> Scale(40.0, 20.0).at(55.0)
        0.75
        """
        return (value - self.left) / self.length


def limit_places(limit: Limit | None) -> tuple[float | None, float | None]:
    """Where the lower and the upper limit stand on every strip, before any reading is known."""
    if limit is None or limit.in_words:
        return None, None
    if limit.low is not None and limit.high is not None:
        return (0.5, 0.5) if limit.low == limit.high else (LOW_OF_TWO, HIGH_OF_TWO)
    return (ONLY_LOW, None) if limit.low is not None else (None, ONLY_HIGH)


def scale(finding: Finding, earlier: Finding | None = None, among: Iterable[Finding] = ()) -> Scale | None:
    """The scale of one strip, or None where nothing sets one.

    Args:
        finding: the finding to be drawn.
        earlier: an earlier attempt at the same thing, drawn on the same strip.
        among: the findings of the same table; those of the same check and quantity compare with this one.
    """
    about = (finding.key.check, finding.key.quantity)
    alike = (other for other in among if (other.key.check, other.key.quantity) == about)
    table = (finding, *((earlier,) if earlier is not None else ()), *alike)
    limit = finding.limit
    if limit is None or limit.in_words:
        return _scale_of_readings(finding, table)
    if limit.low is not None and limit.high is not None:
        if limit.high > limit.low:
            return Scale(limit.low - (limit.high - limit.low) / 2.0, 2.0 * (limit.high - limit.low))
        half = _reach_of_readings(limit, limit.low, 1, 1.0, table)
        return Scale(limit.low - half, 2.0 * half) if half else None
    return _one_sided(limit, table)


def comparable(finding: Finding, limit: Limit | None) -> bool:
    """True where a finding has a reading that can stand on the scale of a limit."""
    return finding.measured is not None and (limit is None or finding.measured.unit == limit.unit)


def _one_sided(limit: Limit, table: tuple[Finding, ...]) -> Scale | None:
    """The limit stands still; `reach` is what the allowed side shows [unit of the limit]."""
    line, upper = _line(limit)
    base = plain_reach(limit)
    if base is None:
        reach = _reach_of_readings(limit, line, -1 if upper else 1, ALLOWED / FORBIDDEN, table)
    else:
        reach = base / _shared_step(table)
    length = reach / ALLOWED
    return Scale(line - (ONLY_HIGH if upper else ONLY_LOW) * length, length) if reach else None


def _reach_of_readings(limit: Limit, line: float, allowed: int, weight: float, table: tuple[Finding, ...]) -> float:
    """A round reach for a limit that gives no scale itself, from all readings judged by it; 0 where there are none."""
    alike = [
        finding
        for finding in table
        if comparable(finding, limit)
        and finding.limit is not None
        and (finding.limit.low, finding.limit.high) == (limit.low, limit.high)
    ]
    return _rounded_up(1.25 * max((_needed(finding, line, allowed, weight) for finding in alike), default=0.0))


def _line(limit: Limit) -> tuple[float, bool]:
    """The only end of a limit and whether it is the upper one."""
    if limit.high is not None:
        return limit.high, True
    assert limit.low is not None
    return limit.low, False


def plain_reach(limit: Limit) -> float | None:
    """What the allowed side of a one-sided strip shows before any step [unit of the limit]; None for a limit of zero.

    >>> from buildbook.core.limit import Term
    >>> from buildbook.core.source import Standing
    >>> plain_reach(Limit("%", (Term("at most 2 %", Standing.BUILDER),), high=2.0, natural_low=0.0))
    2.0
    """
    line, upper = _line(limit)
    beyond, behind = (limit.natural_low, limit.natural_high) if upper else (limit.natural_high, limit.natural_low)
    if beyond is not None and beyond != line:
        return abs(line - beyond)
    if behind is not None and behind != line:
        return abs(line - behind) * ALLOWED / FORBIDDEN
    if line == 0.0:
        return None
    zero_is_allowed = (line > 0.0) == upper
    return abs(line) if zero_is_allowed else abs(line) * ALLOWED / FORBIDDEN


def _shared_step(table: tuple[Finding, ...]) -> float:
    """The step that all strips of a table use: the smallest that any of them asks for."""
    fits, guards = [], []
    for finding in table:
        limit = finding.limit
        if limit is None or (limit.low is None) == (limit.high is None) or not comparable(finding, limit):
            continue
        base = plain_reach(limit)
        fit = None if base is None else _largest_step_that_fits(finding, limit, base)
        if base is None or fit is None:
            continue
        fits.append(fit)
        if finding.guard:
            shown = [step for step in STEPS if finding.guard * step / base * ALLOWED >= GUARD_TO_BE_SEEN]
            guards.append(max(1.0, min(shown, default=STEPS[0])))
    return min([min(guards, default=1.0), *fits])


def _largest_step_that_fits(finding: Finding, limit: Limit, base: float) -> float | None:
    """None where no step brings the reading onto the strip: it gets an arrow and asks for nothing."""
    line, upper = _line(limit)
    bounded = (limit.natural_low if upper else limit.natural_high) is not None
    needed = _needed(finding, line, -1 if upper else 1, ALLOWED / FORBIDDEN)
    steps = [step for step in STEPS if step >= 1.0] if bounded else STEPS
    return next((step for step in steps if needed * step <= ROOM * base), None)


def _needed(finding: Finding, line: float, allowed: int, weight: float) -> float:
    """How much the allowed side must show for this reading, its uncertainty and its guard band to be on the strip.

    `allowed` is +1 where larger values are allowed, else -1; `weight` brings the forbidden side to the allowed one.
    """
    if finding.measured is None:
        return 0.0
    across = finding.measured.at_two or 0.0
    margin = allowed * (finding.measured.value - line)
    return max(margin + across, (across - margin) * weight, finding.guard or 0.0)


def _scale_of_readings(finding: Finding, table: tuple[Finding, ...]) -> Scale | None:
    """Readings without a limit: from the lowest to the highest of the table, with room at both ends."""
    if finding.measured is None:
        return None
    ends = []
    for other in table:
        if other.measured is not None and other.measured.unit == finding.measured.unit and _without_limit(other):
            across = other.measured.at_two or 0.0
            ends += [other.measured.value - across, other.measured.value + across]
    low, high = min(ends), max(ends)
    values = {f.measured.value for f in table if f.measured is not None and _without_limit(f)}
    if len(values) < 2 or high <= low:
        return None
    return Scale(low - 0.1 * (high - low), 1.2 * (high - low))


def _without_limit(finding: Finding) -> bool:
    return finding.limit is None or finding.limit.in_words


def _rounded_up(value: float) -> float:
    """The next of 1, 2, 5, 10 … that is not smaller; 0 for nothing.

    >>> _rounded_up(3.2)
    5.0
    """
    if value <= 0.0:
        return 0.0
    power: float = 10.0 ** math.floor(math.log10(value))
    return next(float(step * power) for step in (1.0, 2.0, 5.0, 10.0) if step * power >= value * (1.0 - 1e-12))
