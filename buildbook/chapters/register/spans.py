"""Sums of days: a day so many months earlier, and the person-days in people, days and hours."""

from __future__ import annotations

import calendar
from datetime import date

from buildbook.formulas import require_range


def months_before(day: date, months: int) -> date:
    """The day so many months earlier: the same day of the month, or the last of a shorter month.

    Args:
        day: the later day [date].
        months: how many [month].
    Returns:
        The earlier day [date].
    Range:
        0 to 600 months.
    Source:
        Calendar; that a shorter month ends earlier is common practice.
    Example:
        >>> months_before(date(2026, 6, 15), 12), months_before(date(2024, 2, 29), 12)
        (datetime.date(2025, 6, 15), datetime.date(2023, 2, 28))
    """
    require_range("months", months, "", 0, 600)
    count = day.year * 12 + day.month - 1 - months
    year, month = divmod(count, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def person_days(people: int, days: int, hours: float, hours_of_a_day: float) -> float:
    """What people, days and hours come to: people × days × hours, over the hours of one day.

    Args:
        people: how many worked [1].
        days: on how many days [d].
        hours: how long each of them worked on such a day [h].
        hours_of_a_day: what counts as one day of one person [h].
    Returns:
        Person-days [d].
    Range:
        Nothing below zero; a day of at least one hour.
    Source:
        Common practice, no source.
    Example:
        >>> person_days(4, 10, 6.0, 8.0)
        30.0
    """
    require_range("people", people, "", 0, 1e6)
    require_range("days", days, "d", 0, 1e6)
    require_range("hours", hours, "h", 0, 24)
    require_range("hours of a day", hours_of_a_day, "h", 1, 24)
    return people * days * hours / hours_of_a_day
