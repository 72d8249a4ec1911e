"""Where a level stands out of its neighbourhood when a yacht speeds up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from buildbook.formulas import OutOfRange


@dataclass(frozen=True, slots=True)
class Hump:
    """A level that both sides fall away from: speed of its top [r/min], its level, both feet, and from where to where.

    `foot_below` and `foot_above` are the levels the fall was measured to [unit of the level]; `start` and `end` are the
    nearest speeds to either side at which the level is lower than the top by more than its uncertainty [r/min].
    """

    speed: float
    level: float
    foot_below: float
    foot_above: float
    start: float
    end: float


def humps(speeds: Sequence[float], levels: Sequence[float], uncertainties: Sequence[float]) -> tuple[Hump, ...]:
    """The humps of a sweep: levels that fall away to both sides by more than their uncertainty before they rise again.

    Args:
        speeds: of the shafts, each higher than the one before [r/min].
        levels: one for each speed [unit].
        uncertainties: expanded uncertainty of each level [same unit].
    Returns:
        The humps from the lowest speed to the highest [r/min, unit].
    Range:
        As many levels and uncertainties as speeds, speeds in order.
    Source:
        Levels normally grow with speed, a hump at one speed means resonance: practice of surveys (common practice, no
        source).
    Example:
        >>> (hump,) = humps([700, 750, 800, 850, 900], [1.0, 1.4, 1.6, 1.3, 1.9], [0.1] * 5)
        >>> hump.speed, hump.foot_above, hump.start, hump.end
        (800, 1.3, 750, 850)
    """
    if not len(speeds) == len(levels) == len(uncertainties) or any(
        after <= before for before, after in pairwise(speeds)
    ):
        raise OutOfRange("number of speeds", len(speeds), "as many as levels, each higher than the one before")
    found = (_hump(at, speeds, levels, uncertainties[at]) for at in range(1, len(speeds) - 1))
    return tuple(hump for hump in found if hump is not None)


def _hump(at: int, speeds: Sequence[float], levels: Sequence[float], least: float) -> Hump | None:
    before = _side(levels[at], zip(reversed(speeds[:at]), reversed(levels[:at]), strict=True), least, ties=True)
    after = _side(levels[at], zip(speeds[at + 1 :], levels[at + 1 :], strict=True), least, ties=False)
    if before is None or after is None:
        return None
    return Hump(speeds[at], levels[at], before[0], after[0], before[1], after[1])


def _side(top: float, points: Iterable[tuple[float, float]], least: float, *, ties: bool) -> tuple[float, float] | None:
    """How low it falls on one side and where it first is lower by more than `least`; None where it is not.

    Of two equal tops the first counts: `ties` says that an equal level ends the fall.
    """
    foot, edge = top, None
    for speed, level in points:
        if level > top or (ties and level == top):
            break
        foot = min(foot, level)
        if edge is None and top - level > least:
            edge = speed
    return None if edge is None else (foot, edge)
