"""How often chance alone would show what looks odd in a table of readings. Numbers in, numbers out."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Sequence

from buildbook.formulas import require_range


def chi_square_of_even(counts: Sequence[int]) -> float:
    """How far some counts are from all being alike: chi-square for equal expected counts.

    Chi-square is the sum of (count − expected)² / expected, with the same expected count for every digit.

    Args:
        counts: how often each digit was found, at least two of them [1].
    Returns:
        Chi-square [1]; its degrees of freedom are one fewer than the counts.
    Range:
        At least five expected for each digit.
    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.15 (from memory).
    Example:
        >>> chi_square_of_even([5, 8, 9, 8, 10, 20])
        13.4
    """
    require_range("number of digits", len(counts), "", 2, 100)
    expected = sum(counts) / len(counts)
    require_range("expected count of a digit", expected, "", 5)
    return math.fsum((count - expected) ** 2 for count in counts) / expected


def share_that_agrees(readings: Sequence[Hashable]) -> float:
    """How probable it is that two readings drawn from a table are the same: the index of coincidence.

    The sum of n (n − 1) over every value that stands n times, divided by N (N − 1).

    Args:
        readings: all N readings [any].
    Returns:
        Probability [1].
    Range:
        At least two readings.
    Source:
        Common practice, no source: pairs counted.
    Example:
        >>> share_that_agrees([1, 1, 2, 3])
        0.16666666666666666
    """
    number = len(readings)
    require_range("number of readings", number, "", 2, 1e9)
    return sum(n * (n - 1) for n in Counter(readings).values()) / (number * (number - 1))


def run_beyond_chance(number: int, agreeing: float, chance: float, shortest: int) -> int | None:
    """From what length on a series that stands twice is more than chance.

    Two readings agree with probability p, so a run of L pairs agrees with p to the power L. There are N (N − 1) / 2
    pairs of readings at which it could begin. L is the shortest length for which N (N − 1) / 2 × p^L is no more than
    the chance allowed.

    Args:
        number: N, readings in the table [1].
        agreeing: p, probability that two readings agree [1].
        chance: expected number of such runs that is allowed [1].
        shortest: a length that is never gone below [1].
    Returns:
        L [1]; None where all readings are alike, so that no length says anything.
    Range:
        N at least 2; p from 0 to 1; chance above 0 and below 1.
    Source:
        Common practice, no source: expected number of independent agreements.
    Example:
        >>> run_beyond_chance(100, 0.1, 0.001, 4)
        7
    """
    require_range("number of readings", number, "", 2, 1e9)
    require_range("probability of agreement", agreeing, "", 0, 1)
    require_range("chance allowed", chance, "", 1e-12, 1 - 1e-12)
    if agreeing >= 1:
        return None
    if agreeing <= 0:
        return shortest
    pairs = number * (number - 1) / 2
    return max(shortest, math.ceil(math.log(chance / pairs) / math.log(agreeing) - 1e-9))


def chance_of_so_many(hits: int, trials: int, share: float) -> float:
    """How probable it is to find so many hits or more: the upper tail of the binomial distribution.

    Args:
        hits: found [1].
        trials: of how many [1].
        share: probability of one hit [1].
    Returns:
        Probability [1].
    Range:
        0 to `trials` hits, share from 0 to 1.
    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.6.18 (from memory).
    Example:
        >>> round(chance_of_so_many(4, 4, 1 / 6), 6)
        0.000772
    """
    require_range("hits", hits, "", 0, trials)
    require_range("share", share, "", 0, 1)
    terms = (math.comb(trials, k) * share**k * (1 - share) ** (trials - k) for k in range(hits, trials + 1))
    return min(1.0, math.fsum(terms))


def likeness(one: Sequence[float], other: Sequence[float]) -> float | None:
    """How alike the tones of two pictures are: their correlation, which brightness and contrast do not change.

    Args:
        one: grey tones, point by point [any scale].
        other: as many of the other picture [any scale].
    Returns:
        Coefficient from −1 to 1 [1]; None where a picture is of one tone.
    Range:
        At least two points, the same number of both.
    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, linear correlation (from memory).
    Example:
        >>> likeness([0, 1, 2], [10, 30, 50])
        1.0
    """
    require_range("points of both pictures", len(one), "", max(2, len(other)), max(2, len(other)))
    middle, centre = math.fsum(one) / len(one), math.fsum(other) / len(other)
    own = math.fsum((tone - middle) ** 2 for tone in one)
    its = math.fsum((tone - centre) ** 2 for tone in other)
    if own <= 0 or its <= 0:
        return None
    both = math.fsum((a - middle) * (b - centre) for a, b in zip(one, other, strict=True))
    return both / math.sqrt(own * its)
