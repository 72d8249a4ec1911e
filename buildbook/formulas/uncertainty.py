"""Measurement uncertainty after the GUM: its parts and their combination.

"U" is the expanded uncertainty, "u" the standard uncertainty, "k" the coverage factor: U = k u.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.formulas import OutOfRange, require_range

_STEP = 1e-5  # of the larger of value and uncertainty: small against both, large against rounding


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one input adds to a result.

    `sensitivity` is the slope [unit of result per unit of input], `in_result` slope times standard
    uncertainty [unit of result, signed], `share` its part of the variance [1].
    """

    name: str
    label: str
    value: float
    standard_uncertainty: float
    sensitivity: float
    in_result: float
    share: float


@dataclass(frozen=True, slots=True)
class Propagated:
    """A computed value, its standard uncertainty [both in the unit of the result], the parts by size."""

    value: float
    standard_uncertainty: float
    contributions: tuple[Contribution, ...]


def propagate(function: Callable[..., float], inputs: Mapping[str, tuple[float, float, str]]) -> Propagated:
    """Carry the uncertainty of independent inputs through a formula, to first order.

    The formula is called with its inputs by name; slopes are numerical, and one-sided at the end of a
    formula's range. Where a formula has a corner (the difference between two equal colours) a slope says
    nothing: do not use it there.

    Args:
        function: the formula, plain numbers in and out [function].
        inputs: argument name to (value, standard uncertainty, label) [unit of each argument].
    Returns:
        Value, standard uncertainty and parts [unit of the formula's result].
    Range:
        Standard uncertainties of zero or more; values inside the range of the formula.
    Source:
        JCGM 100:2008 (GUM), clauses 5.1.2 and 5.1.3 (from memory).
    Example:
        >>> area = propagate(lambda a, b: a * b, {"a": (3.0, 0.1, "length"), "b": (2.0, 0.1, "breadth")})
        >>> round(area.standard_uncertainty, 3), [part.name for part in area.contributions]
        (0.361, ['b', 'a'])
    """
    from uncertainties import ufloat, wrap

    for name, (value, standard, _) in inputs.items():
        require_range(name, value, "")
        require_range(f"standard uncertainty of {name}", standard, "", 0.0)
    plain = {name: value for name, (value, _, _) in inputs.items()}
    expected = float(function(**plain))
    uncertain = {name: given for name, given in inputs.items() if given[1] > 0}
    if not uncertain:
        return Propagated(expected, 0.0, _parts(inputs, {}, 0.0))
    slopes = {name: _slope(function, name, standard) for name, (_, standard, _) in uncertain.items()}
    tagged = {name: ufloat(value, standard) for name, (value, standard, _) in uncertain.items()}
    wrapped = wrap(lambda **arguments: float(function(**arguments)), derivatives_kwargs=slopes)
    result = wrapped(**{**plain, **tagged})
    sensitivities = {name: float(result.derivatives[tagged[name]]) for name in uncertain}
    total = float(result.std_dev)
    return Propagated(expected, total, _parts(inputs, sensitivities, total))


def _slope(function: Callable[..., float], name: str, standard: float) -> Callable[..., float]:
    """The numerical slope for one argument: central, or from the inside at the end of the formula's range."""

    def slope(**arguments: float) -> float:
        step = _STEP * max(abs(arguments[name]), standard)

        def at(steps: float) -> float:
            return float(function(**{**arguments, name: arguments[name] + steps * step}))

        try:
            return (at(1.0) - at(-1.0)) / (2.0 * step)
        except OutOfRange:
            pass
        try:
            return (-3.0 * at(0.0) + 4.0 * at(1.0) - at(2.0)) / (2.0 * step)
        except OutOfRange:
            return (3.0 * at(0.0) - 4.0 * at(-1.0) + at(-2.0)) / (2.0 * step)

    return slope


def _parts(
    inputs: Mapping[str, tuple[float, float, str]], sensitivities: Mapping[str, float], total: float
) -> tuple[Contribution, ...]:
    parts = []
    for name, (value, standard, label) in inputs.items():
        slope = sensitivities.get(name, 0.0)
        share = (slope * standard / total) ** 2 if total > 0 else 0.0
        parts.append(Contribution(name, label, value, standard, slope, slope * standard, share))
    return tuple(sorted(parts, key=lambda part: (-abs(part.in_result), part.name)))


def from_repeats(readings: Sequence[float]) -> float:
    """Standard uncertainty of the mean of repeated readings (type A): s / sqrt(n).

    Args:
        readings: two or more repeats of the same measurement [unit of the readings].
    Returns:
        Standard uncertainty of their mean, with n - 1 degrees of freedom [unit of the readings].
    Range:
        Two readings or more.
    Source:
        JCGM 100:2008 (GUM), clause 4.2.3 (from memory).
    Example:
        >>> round(from_repeats([10.0, 12.0, 11.0]), 4)
        0.5774
    """
    import statistics

    if len(readings) < 2:
        raise OutOfRange("number of readings", len(readings), "2 or more")
    return statistics.stdev(readings) / math.sqrt(len(readings))


def from_known_scatter(standard_deviation: float, repeats: int) -> float:
    """Standard uncertainty of a mean where the scatter of the method is known beforehand: s / sqrt(n).

    Args:
        standard_deviation: scatter of single readings, from earlier work [unit of the readings].
        repeats: number of readings in this mean [count].
    Returns:
        Standard uncertainty of the mean [unit of the readings].
    Range:
        Scatter of zero or more; one reading or more.
    Source:
        JCGM 100:2008 (GUM), clause 4.2.4 (from memory).
    Example:
        >>> round(from_known_scatter(25.0, 3), 1)
        14.4
    """
    require_range("standard deviation", standard_deviation, "", 0.0)
    require_range("repeats", repeats, "", 1)
    return standard_deviation / math.sqrt(repeats)


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known only to lie within plus or minus a: a / sqrt(3).

    Args:
        half_width: a, half the width of the interval [unit of the value].
    Returns:
        Standard uncertainty [unit of the value].
    Range:
        Zero or more.
    Source:
        JCGM 100:2008 (GUM), clause 4.3.7 (from memory).
    Example:
        >>> round(rectangular(10.0), 2)
        5.77
    """
    require_range("half width", half_width, "", 0.0)
    return half_width / math.sqrt(3.0)


def triangular(half_width: float) -> float:
    """Standard uncertainty of a value within plus or minus a and more likely near the middle: a / sqrt(6).

    Args:
        half_width: a, half the width of the interval [unit of the value].
    Returns:
        Standard uncertainty [unit of the value].
    Range:
        Zero or more.
    Source:
        JCGM 100:2008 (GUM), clause 4.3.9 (from memory).
    Example:
        >>> round(triangular(10.0), 2)
        4.08
    """
    require_range("half width", half_width, "", 0.0)
    return half_width / math.sqrt(6.0)


def from_resolution(step: float) -> float:
    """Standard uncertainty from the last digit an instrument shows: d / sqrt(12).

    Args:
        step: d, smallest step of the display [unit of the value].
    Returns:
        Standard uncertainty [unit of the value].
    Range:
        Zero or more.
    Source:
        JCGM 100:2008 (GUM), clause F.2.2.1 (from memory).
    Example:
        >>> round(from_resolution(1.0), 3)
        0.289
    """
    require_range("resolution", step, "", 0.0)
    return step / math.sqrt(12.0)


def from_certificate(expanded_uncertainty: float, coverage_factor: float = 2.0) -> float:
    """Standard uncertainty from a calibration certificate: U / k.

    Args:
        expanded_uncertainty: U as printed on the certificate [unit of the value].
        coverage_factor: k as printed on the certificate [1].
    Returns:
        Standard uncertainty [unit of the value].
    Range:
        U of zero or more, k above zero.
    Source:
        JCGM 100:2008 (GUM), clause 4.3.3 (from memory).
    Example:
        >>> from_certificate(45.0, 2.0)
        22.5
    """
    require_range("expanded uncertainty", expanded_uncertainty, "", 0.0)
    require_range("coverage factor", coverage_factor, "", 0.0, above=True)
    return expanded_uncertainty / coverage_factor


def combine(contributions: Sequence[float], correlation: Mapping[tuple[int, int], float] | None = None) -> float:
    """Combined standard uncertainty: root of the sum of squares, plus 2 r c_i u_i c_j u_j for pairs that go together.

    Args:
        contributions: c_i u_i, slope times standard uncertainty, signed [unit of the result].
        correlation: correlation of pairs of them, by their positions (i, j); pairs not named are independent
            [1].
    Returns:
        Combined standard uncertainty [unit of the result].
    Range:
        Correlations from -1 to 1, such that the sum is not negative.
    Source:
        JCGM 100:2008 (GUM), clauses 5.1.2 and 5.2.2 (from memory).
    Example:
        >>> combine([3.0, 4.0])
        5.0
        >>> combine([3.0, 4.0], {(0, 1): 1.0})
        7.0
    """
    for value in contributions:
        require_range("contribution", value, "")
    total = math.fsum(value * value for value in contributions)
    for (first, second), r in (correlation or {}).items():
        require_range("correlation", r, "", -1.0, 1.0)
        if first == second or not {first, second} <= set(range(len(contributions))):
            raise OutOfRange("correlated pair", (first, second), "two different positions in the list")
        total += 2.0 * r * contributions[first] * contributions[second]
    if total < 0.0 and total < -1e-12 * math.fsum(value * value for value in contributions):
        raise OutOfRange("correlation", "not possible", "a set of correlations that can exist together")
    return math.sqrt(max(total, 0.0))


def effective_degrees_of_freedom(contributions: Sequence[float], degrees: Sequence[float]) -> float:
    """Degrees of freedom of a combined uncertainty after Welch and Satterthwaite, cut down to a whole number.

    Args:
        contributions: c_i u_i, slope times standard uncertainty [unit of the result].
        degrees: degrees of freedom of each; infinity where the part is taken as known [1].
    Returns:
        Whole number, or infinity where every part that counts is taken as known [1].
    Range:
        As many degrees as contributions, each above zero; at least one contribution other than zero.
    Source:
        JCGM 100:2008 (GUM), clause G.4.1, equation G.2b, and the cutting down in G.4.1 (from memory).
    Example:
        >>> effective_degrees_of_freedom([3.0, 4.0], [4.0, math.inf])
        30.0
    """
    if len(contributions) != len(degrees):
        each = f"{len(contributions)}, one for each part"
        raise OutOfRange("number of degrees of freedom", len(degrees), each)
    total = combine(contributions)
    require_range("combined uncertainty", total, "", 0.0, above=True)
    for nu in degrees:
        if not nu > 0:
            raise OutOfRange("degrees of freedom", nu, "above 0")
    below = math.fsum((part / total) ** 4 / nu for part, nu in zip(contributions, degrees, strict=True))
    if below == 0.0:
        return math.inf
    whole = 1.0 / below
    return float(math.floor(whole * (1.0 + 1e-12)))


def coverage_factor(degrees_of_freedom: float, coverage: float = 0.95) -> float:
    """Coverage factor k from Student's t: so wide that plus or minus k u covers the wanted share.

    Args:
        degrees_of_freedom: effective degrees of freedom; infinity gives the normal distribution [1].
        coverage: share of the values to be covered, on both sides together [1].
    Returns:
        k [1].
    Range:
        One degree of freedom or more; coverage between 0 and 1, neither included.
    Source:
        JCGM 100:2008 (GUM), clause G.3 and table G.2 (from memory); computed with scipy.
    Example:
        >>> round(coverage_factor(10, 0.95), 2), round(coverage_factor(math.inf, 0.9545), 2)
        (2.23, 2.0)
    """
    from scipy.special import stdtrit

    if not degrees_of_freedom >= 1:
        raise OutOfRange("degrees of freedom", degrees_of_freedom, "1 or more")
    if not 0.0 < coverage < 1.0:
        raise OutOfRange("coverage", coverage, "between 0 and 1")
    return float(stdtrit(degrees_of_freedom, 0.5 * (1.0 + coverage)))


def expanded(standard_uncertainty: float, factor: float = 2.0) -> float:
    """Expanded uncertainty U = k u.

    Args:
        standard_uncertainty: u [unit of the value].
        factor: coverage factor k [1].
    Returns:
        U [unit of the value].
    Range:
        u of zero or more, k above zero.
    Source:
        JCGM 100:2008 (GUM), clause 6.2.1 (from memory).
    Example:
        >>> expanded(29.25)
        58.5
    """
    require_range("standard uncertainty", standard_uncertainty, "", 0.0)
    require_range("coverage factor", factor, "", 0.0, above=True)
    return factor * standard_uncertainty
