"""Angles from blade to blade, and how far a dimension may be off."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from buildbook.formulas import require_range

WHOLE_TURN = 360.0


def steps_round(angles: Sequence[float]) -> tuple[float, ...]:
    """The angles from each blade to the next one round, the last of them back to the first blade.

    Args:
        angles: of the blades about the bore axis, in any order [deg].
    Returns:
        One step for each blade, beginning at the smallest angle [deg]; together they are a whole turn.
    Range:
        Two angles or more, each from 0 to 360 degrees.
    Source:
        Elementary geometry: the angles round a point make a whole turn (practice).
    Example:
        >>> steps_round([0.0, 121.0, 239.0])
        (121.0, 118.0, 121.0)
    """
    require_range("number of blades", float(len(angles)), "", 2.0)
    for angle in angles:
        require_range("angle", angle, "deg", 0.0, WHOLE_TURN)
    ordered = sorted(angles)
    return (*(other - one for one, other in pairwise(ordered)), WHOLE_TURN - (ordered[-1] - ordered[0]))


def even_step(blades: int) -> float:
    """The angle from blade to blade where all stand evenly.

    Args:
        blades: number of blades [count].
    Returns:
        Angle: 360 / blades [deg].
    Range:
        Two blades or more.
    Source:
        Elementary geometry: a whole turn shared out evenly (practice).
    Example:
        >>> even_step(5)
        72.0
    """
    require_range("number of blades", float(blades), "", 2.0)
    return WHOLE_TURN / blades


def class_tolerance(share: float, least: float, base: float) -> float:
    """How far a dimension may be off: a share of some base, but never less than so many millimetres.

    Args:
        share: of the base [%].
        least: tolerance that is allowed in any case [mm]; 0 where the share stands alone.
        base: what the share is of: a design thickness, the diameter, half of it, or the diameter over the blades [mm].
    Returns:
        Tolerance to one side: share / 100 x base, or the least one where that is more [mm].
    Range:
        Share and least tolerance of zero or more; base above zero.
    Source:
        ISO 484-2, clauses 8, 9, 11 and 13 (as two propeller makers restate the values of 1981; some of it from memory).
    Example:
        >>> class_tolerance(2.0, 10.0, 760.0 / 5), class_tolerance(2.0, 0.0, 760.0 / 5)
        (10.0, 3.04)
    """
    require_range("share", share, "%", 0.0)
    require_range("least tolerance", least, "mm", 0.0)
    require_range("base", base, "mm", 0.0, above=True)
    return max(share / 100.0 * base, least)
