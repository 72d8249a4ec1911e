"""What an uncertainty means beside a limit, and beside another measurement."""

from __future__ import annotations

import math

from buildbook.formulas import OutOfRange, require_range


def conformance_probability(
    value: float, standard_uncertainty: float, low: float | None = None, high: float | None = None
) -> float:
    """Chance that the true value lies within its limits, given the reading and a normal distribution.

    Args:
        value: measured value [unit of the limit].
        standard_uncertainty: u of the value [unit of the limit].
        low: lower limit, if there is one [unit of the limit].
        high: upper limit, if there is one [unit of the limit].
    Returns:
        Probability from 0 to 1 [1].
    Range:
        u above zero; at least one limit; low not above high.
    Source:
        JCGM 106:2012, clause 7 (from memory).
    Example:
        >>> round(conformance_probability(50.5, 0.4, low=50.0), 4)
        0.8944
    """
    require_range("value", value, "")
    require_range("standard uncertainty", standard_uncertainty, "", 0.0, above=True)
    if low is None and high is None:
        raise OutOfRange("limits", "not given", "a lower limit, an upper limit or both")
    if low is not None and high is not None and low > high:
        raise OutOfRange("lower limit", low, f"the upper limit {high:g} or less")
    to_low = math.inf if low is None else (value - low) / standard_uncertainty
    to_high = math.inf if high is None else (high - value) / standard_uncertainty
    near, far = sorted((to_low, to_high))
    return _normal(near) - _normal(-far)


def _normal(z: float) -> float:
    """Cumulative normal distribution, exact in the lower tail too."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def uncertainty_ratio(low: float, high: float, expanded_uncertainty: float) -> float:
    """Test uncertainty ratio: how fine a measurement is for a two-sided tolerance, (high - low) / (2 U).

    Args:
        low: lower limit [unit of the limit].
        high: upper limit [unit of the limit].
        expanded_uncertainty: U at k = 2 [unit of the limit].
    Returns:
        Test uncertainty ratio; at 1 or below no reading leaves room for a clear pass when the guard band is
        U [1].
    Range:
        low not above high; U above zero.
    Source:
        ILAC-G8:09/2019, definition of TUR (from memory).
    Example:
        >>> round(uncertainty_ratio(703.9, 718.1, 3.0), 2)
        2.37
    """
    require_range("lower limit", low, "", high=high)
    require_range("upper limit", high, "")
    require_range("expanded uncertainty", expanded_uncertainty, "", 0.0, above=True)
    return (high - low) / (2.0 * expanded_uncertainty)


def en_number(first: float, second: float, first_expanded: float, second_expanded: float) -> float:
    """Difference of two results in units of their joint expanded uncertainty; within -1 to 1 they agree.

    Args:
        first: one result, a surveyor's [unit of the results].
        second: the other result, the yard's [unit of the results].
        first_expanded: U of the first at k = 2 [unit of the results].
        second_expanded: U of the second at k = 2 [unit of the results].
    Returns:
        En, with the sign of first minus second [1].
    Range:
        Both U zero or more, one of them above zero; the two results independent.
    Source:
        ISO 13528 and ISO/IEC 17043 (from memory); the formula and the limit of 1 also on a proficiency-test
        provider's public page (read).
    Example:
        >>> round(en_number(51.2, 49.9, 0.8, 1.2), 2)
        0.9
    """
    require_range("first result", first, "")
    require_range("second result", second, "")
    require_range("first expanded uncertainty", first_expanded, "", 0.0)
    require_range("second expanded uncertainty", second_expanded, "", 0.0)
    joint = math.hypot(first_expanded, second_expanded)
    require_range("joint expanded uncertainty", joint, "", 0.0, above=True)
    return (first - second) / joint
