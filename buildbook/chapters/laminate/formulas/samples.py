"""Statistics of a few test coupons: outliers, tolerance factors, normality, the value a designer may use."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

from buildbook.formulas import OutOfRange, require_range

SHARE, DEVIATIONS = 0.9, 2.0  # ISO 12215-5:2008, from memory: 90 % of the mean, the mean less two deviations


def tolerance_factor(number: int, share: float = 0.90, confidence: float = 0.95) -> float:
    """Factor k of a one-sided normal tolerance limit: with this confidence, this share lies above mean - k s.

    Args:
        number: of specimens [count].
        share: of the population that lies beyond the limit [1].
        confidence: that it does [1].
    Returns:
        k [1]; with the default values the B-basis factor.
    Range:
        Two specimens or more; share and confidence between 0 and 1.
    Source:
        Noncentral t; the factors of CMH-17-1G are its values (second-hand).
    Example:
        >>> round(tolerance_factor(10), 3)
        2.355
    """
    from scipy.stats import nct, norm

    _few(number, 2)
    for name, value in (("share", share), ("confidence", confidence)):
        if not 0.0 < value < 1.0:
            raise OutOfRange(name, value, "between 0 and 1")
    root = math.sqrt(number)
    return float(nct.ppf(confidence, df=number - 1, nc=float(norm.ppf(share)) * root)) / root


def tolerance_limit(values: Sequence[float], share: float = 0.90, confidence: float = 0.95) -> float:
    """Lower normal tolerance limit of some test results: mean - k s.

    Args:
        values: results of one group: same method, direction, conditioning and speed [any unit].
        share: of the population that lies above [1].
        confidence: that it does [1].
    Returns:
        The limit [unit of the values]; with the default values the B-basis value.
    Range:
        Two values or more; a normal population.
    Source:
        CMH-17-1G, normal distribution (second-hand).
    Example:
        >>> round(tolerance_limit([98.0, 100.0, 102.0]), 1)
        87.7
    """
    _few(len(values), 2)
    return statistics.fmean(values) - tolerance_factor(len(values), share, confidence) * statistics.stdev(values)


def normed_residual(values: Sequence[float]) -> tuple[float, int]:
    """The greatest distance of a value from the mean, in standard deviations, and which value it is.

    Args:
        values: results of one group [any unit].
    Returns:
        Maximum normed residual [1] and the position of its value, from 0 [count].
    Range:
        Three values or more, not all alike.
    Source:
        CMH-17-1G, 8.3.3 (second-hand).
    Example:
        >>> found, at = normed_residual([10.0, 11.0, 10.5, 20.0])
        >>> round(found, 2), at
        (1.49, 3)
    """
    _few(len(values), 3)
    mean, scatter = statistics.fmean(values), statistics.stdev(values)
    if scatter == 0.0:
        raise OutOfRange("scatter", 0.0, "above 0")
    distances = [abs(value - mean) / scatter for value in values]
    return max(distances), distances.index(max(distances))


def critical_residual(number: int, significance: float = 0.05) -> float:
    """The greatest normed residual that a value of a normal sample still has by chance.

    Args:
        number: of specimens [count].
        significance: share of good samples that are called odd all the same [1].
    Returns:
        Critical value [1].
    Range:
        Three specimens or more; significance between 0 and 1.
    Source:
        CMH-17-1G, table 8.5.7 (second-hand); computed from Student's t.
    Example:
        >>> round(critical_residual(5), 3)
        1.715
    """
    from scipy.special import stdtrit

    _few(number, 3)
    if not 0.0 < significance < 1.0:
        raise OutOfRange("significance", significance, "between 0 and 1")
    t = float(stdtrit(number - 2, 1.0 - significance / (2.0 * number)))
    return (number - 1) / math.sqrt(number) * math.sqrt(t * t / (number - 2 + t * t))


def outliers(values: Sequence[float]) -> tuple[int, ...]:
    """The values of a sample that are farther out than chance puts them, one after the other.

    Args:
        values: results of one group [any unit].
    Returns:
        Their positions, from 0, farthest first [count]. They are shown, never deleted silently.
    Range:
        Any number of values; below three, and where all are alike, none is odd.
    Source:
        CMH-17-1G, 8.3.3, maximum normed residual at 5 % (second-hand).
    Example:
        >>> outliers([10.0, 10.1, 9.9, 10.0, 10.2, 9.8, 14.0])
        (6,)
    """
    left, found = dict(enumerate(values)), []
    while len(left) >= 3 and len(set(left.values())) > 1:
        residual, at = normed_residual(list(left.values()))
        if residual <= critical_residual(len(left)):
            break
        position = list(left)[at]
        found.append(position)
        del left[position]
    return tuple(found)


def normality(values: Sequence[float]) -> float:
    """How well a sample fits the normal distribution: the observed significance level of Anderson and Darling.

    Args:
        values: results of one group [any unit].
    Returns:
        Observed significance level [1]; below 0.05 the normal distribution is rejected.
    Range:
        Four values or more, not all alike (house rule: fewer tell nothing).
    Source:
        CMH-17-1G, Anderson-Darling test with the correction for small samples (second-hand).
    Example:
        >>> normality([9.0, 9.5, 10.0, 10.5, 11.0]) > 0.05
        True
    """
    from scipy.special import log_ndtr

    n = len(values)
    _few(n, 4)
    mean, scatter = statistics.fmean(values), statistics.stdev(values)
    if scatter == 0.0:
        raise OutOfRange("scatter", 0.0, "above 0")
    z = [(value - mean) / scatter for value in sorted(values)]
    total = math.fsum((2 * i + 1) * float(log_ndtr(z[i]) + log_ndtr(-z[n - 1 - i])) for i in range(n))
    star = (1.0 + 4.0 / n - 25.0 / n**2) * (-total / n - n)
    return 1.0 / (1.0 + math.exp(-0.48 + 0.78 * math.log(star) + 4.58 * star))


def design_value(values: Sequence[float]) -> float:
    """The strength a designer may count on: the lesser of 90 % of the mean and the mean less two standard deviations.

    Args:
        values: results of one group: same method, direction, conditioning and speed [any unit].
    Returns:
        The lesser of the two [unit of the values].
    Range:
        Two values or more.
    Source:
        ISO 12215-5:2008 (from memory); 90 % of the mean of first failures also in ISO/CD 12215-5 (1999), 8.1.1 (read).
    Example:
        >>> round(design_value([609.0, 639.0, 640.0]), 1)
        566.4
    """
    _few(len(values), 2)
    mean = statistics.fmean(values)
    return min(SHARE * mean, mean - DEVIATIONS * statistics.stdev(values))


def design_scatter(values: Sequence[float]) -> float:
    """How sure a design value is, since a few specimens stand for all: of whichever of its two forms is the lesser.

    Args:
        values: results of one group: same method, direction, conditioning and speed [any unit].
    Returns:
        Standard uncertainty of the design value from sampling [unit of the values].
    Range:
        Two values or more, of a normal population.
    Source:
        Variances of the mean, s^2 / n, and of the standard deviation, s^2 / (2 (n - 1)) (from memory).
    Example:
        >>> round(design_scatter([330.0, 300.0, 276.0, 312.0, 282.0]), 1)
        18.4
    """
    _few(len(values), 2)
    number, mean, scatter = len(values), statistics.fmean(values), statistics.stdev(values)
    if SHARE * mean <= mean - DEVIATIONS * scatter:
        return SHARE * scatter / math.sqrt(number)
    return scatter * math.sqrt(1.0 / number + DEVIATIONS**2 / (2.0 * (number - 1)))


def _few(number: int, least: int) -> None:
    if number < least:
        raise OutOfRange("number of specimens", number, f"{least} or more")
    require_range("number of specimens", float(number), "")
