"""Days between two dates, as a use-before date is read."""

from __future__ import annotations

from datetime import date


def days_left(expires: date, used: date) -> int:
    """Days from the day a material was used to the last day it is good; below zero where it was used too late.

    Args:
        expires: use-before date: the last day it is good [date].
        used: day it was used [date].
    Returns:
        Days left, 0 on the last day itself [d].
    Range:
        Any dates of the calendar in use.
    Source:
        Calendar arithmetic. That the printed day itself still counts is common practice.
    Example:
        >>> days_left(date(2026, 3, 1), date(2026, 2, 27)), days_left(date(2026, 2, 28), date(2026, 3, 1))
        (2, -1)
    """
    return (expires - used).days
