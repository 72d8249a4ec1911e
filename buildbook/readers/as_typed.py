"""Cells as a hand in a hurry types them: what such a cell looks like, and what to write instead. Never for values."""

from __future__ import annotations

import re
from datetime import date

from buildbook.core.wording import MINUS, plain_number

_DATED = re.compile(r"([0-9]{1,4})[./-]([0-9]{1,2})[./-]([0-9]{1,4})(?:[ T,]+(.*))?")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::[0-9]{2})?")
_HALF_DAY = re.compile(r".*[0-9]\s*[ap]\.?m\.?", re.I)
_SERIAL = re.compile(r"[2-6][0-9]{4}(?:[.,][0-9]+)?")  # 1954 to 2091 as days since the end of 1899
_NOTHING = re.compile(r"n\.?/?a\.?|none|nil|-+|–|—|\?+|x|tbd|open", re.I)
_YEAR_FIRST = "write the year first in four digits, then month and day, all in digits"


def in_digits(value: float) -> str:
    """A number as a hand writes it, to six digits that count, never with an exponent.

    >>> in_digits(2e-05), in_digits(-0.5), in_digits(1234567.0)
    ('0.00002', '-0.5', '1234567')
    """
    return plain_number(value, 6).replace(MINUS, "-")


def date_remedy(text: str) -> str:
    """What to write instead of a cell that was meant as a date; it may mean two days, and then both are said.

    >>> date_remedy("16.09.2025")
    'write 2025-09-16'
    >>> date_remedy("02/09/2025")
    'write 2025-09-02 or 2025-02-09, whichever it is'
    """
    match = _DATED.fullmatch(text)
    if match is None:
        return _without_parts(text)
    days = _days(*match.group(1, 2, 3))
    if not days:
        return _YEAR_FIRST
    if match[4] is not None:
        return f"the day alone, without a time: write {days[0]}" if len(days) == 1 else f"the day alone; {_YEAR_FIRST}"
    return f"write {_either(days)}"


def time_remedy(text: str) -> str:
    """What to write instead of a cell that was meant as a date with a time.

    >>> time_remedy("09:00")
    'a time without its day; write both'
    >>> time_remedy("9/16/2025 6:00")
    'write 2025-09-16 06:00'
    """
    match = _DATED.fullmatch(text)
    if _HALF_DAY.fullmatch(text):
        return "write the hour from 00 to 23, without am and pm"
    if match is None:
        return "a time without its day; write both" if _CLOCK.fullmatch(text) else _without_parts(text)
    days = _days(*match.group(1, 2, 3))
    if not days:
        return _YEAR_FIRST
    if match[4] is None:
        return f"a day without its time; write {_either(days)} with the time behind it"
    clock = _CLOCK.fullmatch(match[4])
    if clock is None:
        return "write the time with a colon, like 08:10"
    return f"write {_either([f'{one} {int(clock[1]):02}:{clock[2]}' for one in days])}"


def _either(days: list[str]) -> str:
    return days[0] if len(days) == 1 else f"{days[0]} or {days[1]}, whichever it is"


def _without_parts(text: str) -> str:
    if _NOTHING.fullmatch(text):
        return "a word for nothing; leave it empty where that is allowed"
    if _SERIAL.fullmatch(text):
        return "a date as a spreadsheet counts days; give its cells the form YYYY-MM-DD before saving"
    return _YEAR_FIRST if re.search(r"[0-9]", text) else "a word; write the day in digits"


def _days(first: str, second: str, third: str) -> list[str]:
    """The days that three numbers may mean, the day before the month first; none where the year has two digits."""
    if len(first) == 4:
        orders = [(first, second, third)]
    elif len(third) == 4:
        orders = [(third, second, first), (third, first, second)]
    else:
        return []
    days = [_day(*map(int, order)) for order in orders]
    return list(dict.fromkeys(one for one in days if one))


def _day(year: int, month: int, day: int) -> str:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return ""
