"""A run of part numbers: which are missing, and which were given twice."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.formulas import Malformed

_NUMBER = re.compile(r"(?P<series>.*?)(?P<count>[0-9]{1,9})\Z", re.ASCII | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Run:
    """One series of numbers: its first and last as written, what is missing between, and what stands twice."""

    series: str
    first: str
    last: str
    missing: tuple[str, ...]
    twice: tuple[tuple[str, str], ...]


def part_number(text: str) -> tuple[str, int]:
    """A part number taken apart: what stands before its last digits, and those digits as a number.

    Args:
        text: the number as written [text].
    Returns:
        The series and the count in it [text, whole number].
    Range:
        Texts that end in one to nine digits.
    Source:
        Common practice, no source: a series and a running count.
    Example:
        >>> part_number("N7014")
        ('N', 7014)
    """
    match = _NUMBER.match(text)
    if match is None:
        raise Malformed("part number", text, ("does not end in digits",))
    return match["series"], int(match["count"])


def runs(numbers: Iterable[str]) -> tuple[Run, ...]:
    """The series among some part numbers, with the gaps in each and the counts that stand in it twice.

    Args:
        numbers: part numbers as written [text].
    Returns:
        One run for each series, in the order of the series [text].
    Range:
        Texts that end in one to nine digits.
    Source:
        Common practice, no source: a gap is a count between the lowest and the highest that no number has.
    Example:
        >>> [(run.first, run.last, run.missing) for run in runs(["N7001", "N7002", "N7005"])]
        [('N7001', 'N7005', ('N7003', 'N7004'))]
    """
    by_series: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for text in numbers:
        series, count = part_number(text)
        by_series[series].append((count, text))
    return tuple(_run(series, sorted(found)) for series, found in sorted(by_series.items()))


def _run(series: str, found: list[tuple[int, str]]) -> Run:
    (lowest, first), (highest, last) = found[0], found[-1]
    width = len(first) - len(series)
    times = Counter(count for count, _ in found)
    missing = tuple(f"{series}{count:0{width}}" for count in range(lowest, highest) if count not in times)
    same = [[text for count, text in found if count == one] for one, number in times.items() if number > 1]
    return Run(series, first, last, missing, tuple((texts[0], texts[1]) for texts in same))
