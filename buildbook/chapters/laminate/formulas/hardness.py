"""How many readings of hardness make a mean that can be trusted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from buildbook.formulas import OutOfRange


def readings_needed(level: float, plan: Sequence[tuple[float, int]]) -> int:
    """Number of readings whose mean is as sure at this hardness as at any other.

    Args:
        level: mean hardness [Barcol units].
        plan: hardness and number of readings of the printed table, in order of hardness [Barcol units, count].
    Returns:
        Number of readings; between the printed levels on a straight line, rounded up [count].
    Range:
        From the lowest printed level on; harder than the highest counts as the highest.
    Source:
        ASTM D2583, table 1 (from memory); the straight line between is common practice.
    Example:
        >>> readings_needed(45.0, [(40.0, 22), (50.0, 16)])
        19
    """
    if not plan:
        raise OutOfRange("number of printed levels", 0, "1 or more")
    if level < plan[0][0]:
        raise OutOfRange("mean hardness", level, f"{plan[0][0]:g} or more")
    for (low, many), (high, few) in pairwise(plan):
        if level <= high:
            return math.ceil(many + (few - many) * (level - low) / (high - low) - 1e-9)
    return plan[-1][1]
