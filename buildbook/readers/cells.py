"""One cell to one value: numbers in either convention, dates, yes and no, choices.

A cell that could mean two things is refused, never guessed.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable
from datetime import date, datetime

from buildbook.readers.as_typed import date_remedy, time_remedy
from buildbook.readers.table import folded

FIRST_YEAR, LAST_YEAR = 1950, 2100  # a date outside them is a typing error

_DATE_TYPED = "YYYY-MM-DD, like 2026-03-18"
_TIME_TYPED = "YYYY-MM-DD HH:MM, like 2026-03-18 08:10"
YES, NO = ("yes", "y", "true"), ("no", "n", "false")

_SPACED = re.compile(r"[+-]?[0-9]{1,3}(?:[ \u00a0\u2009\u202f][0-9]{3})+(?:[.,][0-9]{1,25})?")
_WHOLE = re.compile(r"[+-]?[0-9]{1,25}")
_DECIMAL = re.compile(r"[+-]?(?P<before>[0-9]{0,25})(?P<mark>[.,])(?P<after>[0-9]{1,25})")
_POWER = re.compile(r"(?P<number>.+?)[eE](?P<power>[+-]?[0-9]{1,3})")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:(?P<group>[.,])[0-9]{3})(?:(?P=group)[0-9]{3})*(?P<rest>[.,][0-9]{1,25})?")
_TWO_WAYS = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}")

_ISO_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_ISO_TIME = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})[ T]+([0-9]{2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]{1,6}))?)?")
_OFFSET = re.compile(r"(?:Z|z|[+-][0-9]{2}:?[0-9]{2}|\b(?:UTC|GMT|CET|CEST))$")
_MONTHS = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|mrz|mär|mai|okt|dez)"
_DATE_LIKE = re.compile(
    r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{2,4}(?:[ T].*)?|[0-9]{1,2}:[0-9]{2}.*"
    rf"|[0-9]{{1,2}}[.\- ]+{_MONTHS}.*",
    re.I,
)

UNIT_ASIDE = "the unit belongs in the head"

# What a cell that is not a number looks like, and what to do about it; the first that fits is said.
_REMEDIES = (
    (re.compile(r"#.*"), "an error left by a spreadsheet"),
    (re.compile(r"=.*"), "a formula; give its result"),
    (re.compile(r"[0-9]{1,3}:[0-9]{2}"), "something like a date or a time; write a decimal number"),
    (re.compile(r"(?:[0-9]+ )?[0-9]{1,2}/[0-9]{1,3}\"?"), "a fraction; write it as a decimal number"),
    (re.compile(r"±.*[0-9].*"), "a sign in front; give the number alone"),
    (re.compile(r"[<>≤≥~≈].*"), "a bound; give the reading itself, or leave the row out and say why"),
    (re.compile(r"[+-]?(?:nan|inf|infinity|∞)", re.I), "not a finite number"),
    (_DATE_LIKE, "something like a date (a spreadsheet may have changed it)"),
    (re.compile(r".*[0-9]\s*±.*"), "a number with its uncertainty; give the number alone"),
    (re.compile(r"[+-]?[0-9][0-9.,]*\s*(?:-|–|—|…|\.\.+|to|bis)\s*[0-9][0-9.,]*.*"), "a range; one number per row"),
    (re.compile(r"[+-]?[0-9][0-9., ]*[%°µμA-Za-z].{0,20}"), f"more than a number; {UNIT_ASIDE}"),
    (re.compile(r"n\.?/?a\.?|none|nil|-+|–|—|\?+|x", re.I), "a word for nothing; leave it empty where that is allowed"),
    (re.compile(r"[^0-9]*"), "a word; write the number in digits, or leave it empty where that is allowed"),
    (re.compile(r"[^0-9.,+-].*[0-9].*"), "words around a number; give the number alone"),
)  # fmt: skip


class CellError(ValueError):
    """A cell that does not hold what its column wants: `expected` and `found` as a fault says them."""

    def __init__(self, expected: str, found: str) -> None:
        super().__init__(f"expected {expected}; found {found}")
        self.expected = expected
        self.found = found


Parser = Callable[[str], object]


def readable(parse: Parser, cell: str) -> bool:
    """Whether a cell holds what a column wants that is read so."""
    try:
        parse(cell)
    except CellError:
        return False
    return True


def decimal_mark(cells: Iterable[str], delimiter: str) -> str:
    """The decimal mark of a file, from the cells that can mean one thing only.

    Args:
        cells: the cells of its number columns, as received.
        delimiter: what parts its cells.
    Returns:
        "." or ","; empty where nothing tells, or where the cells disagree. A file parted by commas has decimal points
        unless a cell shows otherwise.
    Example:
        >>> decimal_mark(["1.250", "12,5"], ";"), decimal_mark(["1.250"], ";"), decimal_mark(["1.250"], ",")
        (',', '', '.')
    """
    seen = {mark for mark in map(_shown_mark, cells) if mark}
    if len(seen) == 1:
        return seen.pop()
    return "." if not seen and delimiter == "," else ""


def number(cell: str, mark: str) -> float:
    """A number, where the file's decimal mark is `mark` ("." or ",", empty where unknown). CellError otherwise.

    >>> number("12,5", "."), number("1 250,5", ","), number("1.234,5", "")
    (12.5, 1250.5, 1234.5)
    """
    text = _tidy(cell)
    power = _POWER.fullmatch(text)
    if power:
        return _finite(cell, f"{_digits(power['number'], mark, cell)}e{power['power']}")
    return _finite(cell, _digits(text, mark, cell))


def whole_number(value: float, cell: str) -> int:
    """The number of a cell as a whole one; 12.0 counts as one. CellError otherwise."""
    if not value.is_integer():
        raise CellError("a whole number", _quoted(cell))
    return int(value)


def day(cell: str) -> date:
    """A date as YYYY-MM-DD. CellError otherwise."""
    text = cell.strip()
    match = _ISO_DATE.fullmatch(text)
    if match is None:
        raise CellError(f"a date as {_DATE_TYPED}", f"{_quoted(cell)}; {date_remedy(text)}")
    try:
        value = date(*map(int, match.groups()))
    except ValueError:
        raise CellError("a day that is in the calendar", _quoted(cell)) from None
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise CellError(f"a year from {FIRST_YEAR} to {LAST_YEAR}", f"{_quoted(cell)} (is this a typing error?)")
    return value


def moment(cell: str) -> datetime:
    """A date and time as YYYY-MM-DD HH:MM[:SS], local time of the yard. CellError otherwise."""
    text = cell.strip()
    match = _ISO_TIME.fullmatch(text)
    if match is None:
        if _OFFSET.search(text) and not _ISO_DATE.fullmatch(text):
            raise CellError(f"local time of the yard as {_TIME_TYPED}", f"{_quoted(cell)}, with a time zone")
        raise CellError(f"a date and time as {_TIME_TYPED}", f"{_quoted(cell)}; {time_remedy(text)}")
    on = day(match[1])
    hour, minute, second = int(match[2]), int(match[3]), int(match[4] or 0)
    try:
        return datetime(on.year, on.month, on.day, hour, minute, second, int((match[5] or "0").ljust(6, "0")))
    except ValueError:
        raise CellError("a time from 00:00 to 23:59", _quoted(cell)) from None


def yes_or_no(cell: str) -> bool:
    """True for yes, y, true; False for no, n, false. CellError otherwise."""
    text = cell.strip().lower()
    if text in YES or text in NO:
        return text in YES
    raise CellError("yes or no", _quoted(cell))


def choice(cell: str, choices: tuple[str, ...]) -> str:
    """One of some words, whatever its capitals, spaces and hyphens. CellError, with the nearest word, otherwise."""
    wanted = folded(cell)
    for known in choices:
        if folded(known) == wanted:
            return known
    meant = _meant(wanted, choices)
    words = [f"'{known}'" for known in choices] if any("," in known for known in choices) else list(choices)
    expected = ", ".join(words[:-1]) + f" or {words[-1]}" if len(words) > 1 else words[0]
    raise CellError(expected, _quoted(cell) + (f" (did you mean '{meant}'?)" if meant else ""))


def _meant(wanted: str, choices: tuple[str, ...]) -> str:
    """The choice that a word was probably meant for: the nearest, or the only one that holds it, or that it holds."""
    near = difflib.get_close_matches(wanted, [folded(known) for known in choices], 1, 0.7)
    if near:
        return next(known for known in choices if folded(known) == near[0])
    if len(wanted) < 3:
        return ""
    held = [
        known for known in choices if _solid(wanted) in _solid(folded(known)) or f"_{folded(known)}_" in f"_{wanted}_"
    ]
    return held[0] if len(held) == 1 else ""


def _solid(text: str) -> str:
    return text.replace("_", "")


def two_ways(cell: str) -> bool:
    """Whether a cell is a number that may mean two things, a thousand times apart.

    >>> two_ways("1.125"), two_ways("12.5")
    (True, False)
    """
    return _TWO_WAYS.fullmatch(_tidy(cell)) is not None


def beyond_doubt(number: str) -> str:
    """A number with a decimal point so that it can mean nothing else, whatever the mark of other cells is.

    >>> beyond_doubt("1.125"), beyond_doubt("12.5")
    ('1.1250', '12.5')
    """
    return f"{number}0" if _TWO_WAYS.fullmatch(number) else number


def _tidy(cell: str) -> str:
    """The text of a number without group spaces and with a plain minus."""
    text = cell.strip().replace("\u2212", "-")
    return "".join(text.split()) if _SPACED.fullmatch(text) else text


def _shown_mark(cell: str) -> str:
    """The decimal mark that this cell shows beyond doubt, or nothing."""
    text = _tidy(cell)
    power = _POWER.fullmatch(text)
    sure = bool(power) or _SPACED.fullmatch(cell.strip().replace("\u2212", "-")) is not None
    text = power["number"] if power else text
    decimal = _DECIMAL.fullmatch(text)
    if decimal:
        return decimal["mark"] if sure or not _TWO_WAYS.fullmatch(text) else ""
    group = _group_mark(text)
    return {".": ",", ",": "."}.get(group, "")


def _group_mark(text: str) -> str:
    """The mark between groups of three digits, as in 1.234.567,8; nothing where the number has none."""
    grouped = _GROUPED.fullmatch(text)
    if grouped is None or (grouped["rest"] and grouped["rest"].startswith(grouped["group"])):
        return ""
    return grouped["group"]


def _digits(text: str, mark: str, cell: str) -> str:
    """The number with a decimal point and without group marks."""
    if _WHOLE.fullmatch(text):
        return text
    if _DECIMAL.fullmatch(text):
        if not _shown_mark(cell) and (not mark or mark not in text):
            plain = text.replace(",", "").replace(".", "")
            other = text.replace(",", ".")
            sure = text.replace(",", mark).replace(".", mark) if mark else f"{text}0"
            found = f"{_quoted(cell)}, which may be {plain} or {other} (write {plain} or {sure})"
            raise CellError("a number that can mean one thing only", found)
        return text.replace(",", ".")
    group = _group_mark(text)
    if group:
        return text.replace(group, "").replace(",", ".")
    raise CellError("a number", _not_a_number(cell))


def _finite(cell: str, digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise CellError("a finite number", _quoted(cell))
    return value


def _not_a_number(cell: str) -> str:
    text = cell.strip()
    why = next((words for pattern, words in _REMEDIES if pattern.fullmatch(text)), "")
    return _quoted(cell) + (f", {why}" if why else "")


def _quoted(cell: str) -> str:
    """The cell between quotes, on one line, at a length that can be read."""
    text = " ".join(cell.split())
    return f"'{text}'" if len(text) <= 60 else f"'{text[:57]}…'"
