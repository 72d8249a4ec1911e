"""Findings and charts in US units: numbers converted as numbers, each rounded once where it is printed."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from decimal import Decimal
from itertools import chain

from buildbook.core.chart import Axis, Chart, Coordinate, Rule, Series
from buildbook.core.finding import Finding
from buildbook.core.finding_words import MOST_FINER, outcome_of
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.wording import as_number, limit_number, plain_number
from buildbook.restated.pairs import Pair, apart, pair_of
from buildbook.restated.texts import NUMBER, Telling, plain

ALONE = re.compile(
    rf"(?:(?<=at most )|(?<=at least )|(?<=, )|^){NUMBER}(?=$|, | \()"
)  # a number of an axis without its unit


def finding_in(finding: Finding, tell: Telling) -> Finding:
    """A finding with value, uncertainty, limit and words in US units; its working stays in those of the columns.

    The verdict, and what it was judged by, is that of the finding as it was judged. A limit, and a value without an
    uncertainty, has more digits where the usual ones would give another outcome.
    """
    usual, wanted = _finding_in(finding, tell, 0), outcome_of(finding)
    finer = (_finding_in(finding, tell, more) for more in range(1, MOST_FINER))
    return next((it for it in chain((usual,), finer) if outcome_of(it) is wanted), usual)


def _finding_in(finding: Finding, tell: Telling, finer: int) -> Finding:
    size = size_of(finding)
    unit = finding.limit.unit if finding.limit and not finding.limit.in_words else ""
    pair = pair_of(unit, finding.key.check, size) if unit else None
    return replace(
        finding,
        key=replace(finding.key, quantity=tell(finding.key.quantity)),
        measured=measured_in(finding.measured, tell, size, finer),
        limit=limit_in(finding.limit, tell, size, finer),
        observed=tell(finding.observed),
        margin=apart(finding.margin, pair),
        guard=apart(finding.guard, pair),
        method=tell(finding.method),
        notes=tuple(map(tell, finding.notes)),
        work=tell(finding.work),
    )


def size_of(finding: Finding) -> float:
    """The largest number of a finding, by which the unit of all of them is chosen."""
    limit, measured = finding.limit, finding.measured
    ends = (limit.low, limit.high) if limit else ()
    return max((abs(end) for end in (*ends, measured.value if measured else None) if end is not None), default=0.0)


def measured_in(measured: Quantity | None, tell: Telling, size: float, finer: int = 0) -> Quantity | None:
    """A quantity in US units. One without an uncertainty has no more digits than it had."""
    if measured is None:
        return None
    measured = replace(measured, parts=tuple(replace(part, name=tell(part.name)) for part in measured.parts))
    pair = pair_of(measured.unit, tell.check, size)
    if pair is None:
        return measured
    alone = measured.kind is Kind.COUNTED or not measured.at_two
    shown = plain_number(measured.value, 4)
    value = _as_told(shown, pair, measured.value, finer) if alone else pair.number(measured.value)
    parts = (Part(part.name, pair.number(part.standard, difference=True), part.degrees) for part in measured.parts)
    return replace(measured, value=value, unit=pair.us, expanded=apart(measured.expanded, pair), parts=tuple(parts))


def limit_in(limit: Limit | None, tell: Telling, size: float, finer: int = 0) -> Limit | None:
    """A limit in US units, its ends as they are told in words, too."""
    if limit is None:
        return None
    terms = tuple(replace(term, words=tell(term.words)) for term in limit.terms)
    limit = replace(limit, terms=terms, words=tell(limit.words))
    pair = pair_of(limit.unit, tell.check, size)
    if pair is None:
        return limit
    low, high = (None if at is None else _as_told(limit_number(at), pair, at, finer) for at in (limit.low, limit.high))
    below, above = (None if at is None else pair.number(at) for at in (limit.natural_low, limit.natural_high))
    return replace(limit, unit=pair.us, low=low, high=high, natural_low=below, natural_high=above)


def _as_told(text: str, pair: Pair, value: float, finer: int) -> float:
    """The number that is told for a value, which stands as `text` in the unit of its column."""
    return as_number(plain(text, pair, value=Decimal(f"{value:.9g}"), finer=finer))


def chart_in(chart: Chart, tell: Telling) -> Chart:
    """A chart in US units: axes, readings, limits, words."""
    x, y = _pair_along(chart, "x"), _pair_along(chart, "y")
    return replace(
        chart,
        title=tell(chart.title),
        description=tell(chart.description),
        x=_axis(chart.x, x, tell),
        y=_axis(chart.y, y, tell),
        series=tuple(_series(series, x, y, tell) for series in chart.series),
        rules=tuple(_rule(rule, x, y, tell) for rule in chart.rules),
        spans=tuple(
            replace(it, start=_at(it.start, x, tell), end=_at(it.end, x, tell), words=tell(it.words))
            for it in chart.spans
        ),
    )


def _pair_along(chart: Chart, which: str) -> Pair | None:
    axis = chart.x if which == "x" else chart.y
    values = [value for series in chart.series for value in (series.x if which == "x" else series.y)]
    sizes = [abs(value) for value in values if isinstance(value, (int, float)) and math.isfinite(value)]
    return pair_of(axis.unit, chart.check, max(sizes, default=0.0)) if axis.unit else None


def _axis(axis: Axis, pair: Pair | None, tell: Telling) -> Axis:
    made = replace(axis, title=tell(axis.title), categories=tuple(map(tell, axis.categories)))
    if pair is None:
        return made
    low, high = (None if end is None else pair.number(end) for end in (axis.low, axis.high))
    return replace(made, unit=pair.us, low=low, high=high)


def _series(series: Series, x: Pair | None, y: Pair | None, tell: Telling) -> Series:
    return replace(
        series,
        name=tell(series.name),
        x=tuple(_at(value, x, tell) for value in series.x),
        y=tuple(_at(value, y, tell) for value in series.y),
        y_error=series.y_error if y is None else tuple(y.number(error, difference=True) for error in series.y_error),
        labels=tuple(tell(_alone(label, at, y)) for label, at in zip(series.labels, series.y, strict=False)),
    )


def _alone(words: str, value: Coordinate, pair: Pair | None) -> str:
    """Words with a number that stands for a reading or a limit of an axis, without its unit, told in the other unit.

    >>> _alone("at most 3.5, SPEC-06", 3.5, pair_of("mm/s"))
    'at most 0.138, SPEC-06'
    """
    found = ALONE.search(words)
    if pair is None or found is None or not isinstance(value, (int, float)):
        return words
    number, decimals = as_number(found[0].replace(" ", "")), len(found[0].partition(".")[2])
    if abs(number - value) > 0.51 * 10.0**-decimals:
        return words
    return words[: found.start()] + plain(found[0], pair) + words[found.end() :]


def _rule(rule: Rule, x: Pair | None, y: Pair | None, tell: Telling) -> Rule:
    own, other = (x, y) if rule.axis == "x" else (y, x)
    return replace(
        rule,
        value=rule.value if own is None else own.number(rule.value),
        words=tell(_alone(rule.words, rule.value, own)),
        start=None if rule.start is None else _at(rule.start, other, tell),
        end=None if rule.end is None else _at(rule.end, other, tell),
    )


def _at(value: Coordinate, pair: Pair | None, tell: Telling) -> Coordinate:
    """A coordinate: a number converted, a category told, a time as it is; the open end of a bar stays open."""
    if isinstance(value, str):
        return tell(value)
    if pair is None or not isinstance(value, (int, float)) or not math.isfinite(value):
        return value
    return pair.number(value)
