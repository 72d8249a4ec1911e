"""Speeds of runs there and back, averaged so that a current cancels."""

from __future__ import annotations

import math
from collections.abc import Sequence

from buildbook.chapters.systems.formulas.tanks import GRAVITY
from buildbook.formulas import OutOfRange, require_range

FEWEST_PAIR = 2
KNOT = 1852.0 / 3600.0  # m/s
REPEATED = 3  # runs: with fewer there is no second one on any course


def mean_of_means(speeds: Sequence[float]) -> float:
    """The mean of means of successive runs on alternating courses.

    Two runs: their mean. Three: (v1 + 2 v2 + v3) / 4. Four: (v1 + 3 v2 + 3 v3 + v4) / 8. With two runs a steady
    current cancels; with three also one that changes evenly in time, with four one that changes as its square.

    Args:
        speeds: the speed over ground of each run, in the order of time [kn].
    Returns:
        The speed through still water [kn].
    Range:
        Runs on courses that alternate, at about even times.
    Source:
        Customary method of measured-mile trials (from memory).
    Example:
        >>> round(mean_of_means([28.4, 30.2, 28.8]), 1)
        29.4
    """
    return math.fsum(weight * speed for weight, speed in zip(run_weights(len(speeds)), speeds, strict=True))


def run_weights(runs: int) -> tuple[float, ...]:
    """How much each of several runs counts in the mean of means: 1, 2, 1 over 4 of three; 1, 3, 3, 1 over 8 of four.

    Args:
        runs: how many runs there are [1].
    Returns:
        The weight of each; together they make one [1].
    Range:
        One run or more.
    Source:
        Customary method of measured-mile trials (from memory).
    Example:
        >>> run_weights(3)
        (0.25, 0.5, 0.25)
    """
    if runs < 1:
        raise ValueError("a mean of no runs")
    return tuple(math.comb(runs - 1, number) / 2.0 ** (runs - 1) for number in range(runs))


def mean_of_courses(speeds: Sequence[float]) -> float:
    """Half of what the runs of each course give in the mean; of pairs there and back it is the mean of the pairs.

    A steady current cancels, and nothing more is claimed: it asks nothing of the times of the runs.

    Args:
        speeds: the speed over ground of each run, in the order of time [kn].
    Returns:
        The speed through still water [kn].
    Range:
        Two runs or more on courses that alternate.
    Source:
        Arithmetic: a steady current adds on one course what it takes on the other (practice).
    Example:
        >>> mean_of_courses([28.0, 27.0, 29.0, 28.0])
        28.0
    """
    return math.fsum(weight * speed for weight, speed in zip(course_weights(len(speeds)), speeds, strict=True))


def course_weights(runs: int) -> tuple[float, ...]:
    """How much each of several runs counts where both courses count half: 1, 1, 1, 1 over 4 of four.

    Args:
        runs: how many runs there are [1].
    Returns:
        The weight of each; together they make one [1].
    Range:
        Two runs or more.
    Source:
        Arithmetic (practice).
    Example:
        >>> course_weights(3)
        (0.25, 0.5, 0.25)
    """
    if runs < FEWEST_PAIR:
        raise OutOfRange("number of runs", runs, f"{FEWEST_PAIR} or more")
    return tuple(0.5 / len(range(number % 2, runs, 2)) for number in range(runs))


def depth_froude(speed: float, depth: float) -> float:
    """The Froude number of the depth of water, which tells whether the bottom changes her speed.

    Args:
        speed: her speed [kn], of 1852 m in an hour.
        depth: depth of water [m].
    Returns:
        v / sqrt(g h), with g = 9.80665 m/s2 [1].
    Range:
        Speed from zero, depth above zero.
    Source:
        The definition, of hydraulics and of naval architecture (from memory).
    Example:
        >>> round(depth_froude(28.2, 24.0), 3)
        0.946
    """
    require_range("speed", speed, "kn", 0.0)
    require_range("depth of water", depth, "m", 0.0, above=True)
    return speed * KNOT / math.sqrt(GRAVITY * depth)


def scatter_of_mean(speeds: Sequence[float], weights: Sequence[float]) -> float:
    """What the scatter of the runs leaves unsure of their mean.

    Runs on the same course are repeats: each is set against the mean of its own course, so that a steady current is no
    scatter. A current that changes counts as scatter, though a mean of means largely takes it out.

    Args:
        speeds: the speed over ground of each run, in the order of time [kn].
        weights: how much each counts in the mean [1].
    Returns:
        The pooled standard deviation of the runs, with runs - 2 degrees of freedom, times the root of the sum of the
        squares of their weights [kn].
    Range:
        Three runs or more on courses that alternate.
    Source:
        JCGM 100:2008 (GUM), clauses 4.2.2 and 4.2.4 for a pooled deviation, 5.1.2 for the weights (from memory).
    Example:
        >>> round(scatter_of_mean([28.4, 30.2, 28.8], [0.25, 0.5, 0.25]), 4)
        0.1732
    """
    if len(speeds) < REPEATED:
        raise OutOfRange("number of runs", len(speeds), f"{REPEATED} or more")
    courses = (speeds[0::2], speeds[1::2])
    means = [math.fsum(course) / len(course) for course in courses]
    squares = math.fsum((one - mean) ** 2 for course, mean in zip(courses, means, strict=True) for one in course)
    return math.sqrt(squares / (len(speeds) - 2) * math.fsum(weight**2 for weight in weights))


def opposite(first: float, second: float) -> float:
    """How far two courses are from being opposite to each other.

    Args:
        first: one course [deg].
        second: the other course [deg].
    Returns:
        The angle that is missing to 180°, never negative [deg].
    Range:
        0° to 360° each.
    Source:
        Geometry of the compass card (practice).
    Example:
        >>> opposite(62.0, 242.0), opposite(350.0, 165.0)
        (0.0, 5.0)
    """
    return abs((second - first) % 360.0 - 180.0)
