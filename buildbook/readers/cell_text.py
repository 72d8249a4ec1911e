"""A cell of a workbook as the text that a file of text would have there, for the column that it stands in."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from buildbook.readers.units import NO_UNIT
from buildbook.readers.xlsx import SheetCell

DIGITS = 15  # that count: as many as a spreadsheet shows; what is behind them is dust of its arithmetic
_MIDNIGHT = time()
_ZEROS = re.compile(r"0{2,}")
_CLOCK = re.compile(r"[hs]", re.I)
_QUOTED = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')


@dataclass(frozen=True, slots=True)
class Wish:
    """What a column wants: the type of its values (None where the table has no such column), the unit of its head."""

    kind: Any = None
    unit: str = ""


def text_of(cell: SheetCell, wish: Wish) -> str:
    """The text of a cell, as a table of text would have it.

    A number has 15 digits that count, as the sheet shows it; a share that is shown in per cent is in per cent in a
    column of per cent. A day has its time where the column wants one, or where it is not midnight.

    >>> text_of(SheetCell(0.1 + 0.2), Wish()), text_of(SheetCell(0.55, "0 %"), Wish(float, "%"))
    ('0.3', '55')
    """
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        yes, no = ("yes", "no") if wish.kind is bool else ("TRUE", "FALSE")
        return yes if value else no
    if isinstance(value, float):
        return _number(value, cell.form, wish)
    return _when(value, cell.form, wish)


def in_per_cent(cell: SheetCell) -> bool:
    """Whether a number is shown in per cent, so that 0.55 stands there as 55 %."""
    number = isinstance(cell.value, float)
    return number and "%" in _QUOTED.sub("", cell.form.partition(";")[0])


def plain_digits(value: float) -> str:
    """A number to 15 digits that count, the shortest text for it, without an exponent where that can be.

    >>> plain_digits(0.1 + 0.2), plain_digits(12.0), plain_digits(1e-05), plain_digits(1e300)
    ('0.3', '12', '0.00001', '1e+300')
    """
    if not math.isfinite(value):
        return str(value)
    short = float(f"{value:.{DIGITS}g}")
    if short and not 1e-9 <= abs(short) < 1e15:
        return repr(short)
    text = format(Decimal(repr(short)), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _number(value: float, form: str, wish: Wish) -> str:
    if in_per_cent(SheetCell(value, form)):
        if _of(wish.kind, (float, int)) and wish.unit in NO_UNIT:
            return plain_digits(value)
        hundred = plain_digits(float(Decimal(repr(float(f"{value:.{DIGITS}g}"))) * 100))
        return hundred if wish.unit == "%" else f"{hundred} %"
    text = plain_digits(value)
    if not _of(wish.kind, (float, int)) and _ZEROS.fullmatch(form) and text.isdigit():
        return text.zfill(len(form))  # an id like 0042
    return text


def _of(kind: Any, kinds: tuple[type, ...]) -> bool:
    return any(kind is one for one in kinds)


def _when(value: datetime | date | time | timedelta, form: str, wish: Wish) -> str:
    if isinstance(value, timedelta):
        minutes, seconds = divmod(round(value.total_seconds()), 60)
        return f"{minutes // 60}:{minutes % 60:02}" + (f":{seconds:02}" if seconds else "")
    if isinstance(value, time):
        return _clock(value)
    if not isinstance(value, datetime):
        value = datetime.combine(value, _MIDNIGHT)
    at = _to_the_second(value)
    timed = at.time() != _MIDNIGHT or wish.kind is datetime
    if wish.kind not in (date, datetime):
        timed = timed or bool(_CLOCK.search(_QUOTED.sub("", form)))
    return f"{at:%Y-%m-%d} {_clock(at.time())}" if timed else f"{at:%Y-%m-%d}"


def _to_the_second(value: datetime) -> datetime:
    """The same moment; a spreadsheet counts days, so that a second is off by some microseconds."""
    near = (value + timedelta(milliseconds=500)).replace(microsecond=0)
    return near if abs(near - value) <= timedelta(milliseconds=1) else value


def _clock(at: time) -> str:
    seconds = f":{at.second:02}" if at.second or at.microsecond else ""
    part = f".{at.microsecond:06}".rstrip("0") if at.microsecond else ""
    return f"{at.hour:02}:{at.minute:02}{seconds}{part}"
