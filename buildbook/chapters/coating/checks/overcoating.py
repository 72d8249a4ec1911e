"""COA-06 overcoating window: each coat went on in time, or late on a surface abraded again as the sheet says."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from buildbook.chapters.coating.checks.climate import agreed
from buildbook.chapters.coating.formulas.climate import gaps
from buildbook.chapters.coating.formulas.preparation import grade_number
from buildbook.chapters.coating.formulas.schedule import Window as OpenWindow
from buildbook.chapters.coating.formulas.schedule import WindowRow, overcoat_window
from buildbook.chapters.coating.logged import logged_hours
from buildbook.chapters.coating.records import Climate, Coat, Preparation, Window
from buildbook.chapters.coating.records.work import ANY_GRADE
from buildbook.chapters.coating.subjects import NO_COAT, coats, sheet_term
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.core.wording import fixed, moment, period_text, plain_number
from buildbook.formulas import Malformed, OutOfRange

SINCE = "time since the coat below"
CLEANING = ("wash", "vacuum", "wipe", "de-wax")
SILENT = (
    "The data sheet does not say that abrading reopens the window; that it does is common practice without a source."
)


@dataclass(frozen=True, slots=True)
class Reopened:
    """What lifted the longest time of a window: the terms, the rows that show it, and what is not shown."""

    terms: tuple[Term, ...]
    at: tuple[Where, ...] = ()
    caps: tuple[str, ...] = ()


def overcoating(evidence: Evidence) -> Iterable[Finding]:
    """COA-06: each coat went on inside its window, or late on a surface that was abraded again."""
    for name, coat, zone in coats(evidence):
        key = Key("COA-06", SINCE, zone, name)
        if coat is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_COAT)
            continue
        below = coat_below(evidence, coat)
        if below is not None:
            yield from _since(evidence, key, below, coat)
        elif coat.layer > 1:
            words = f"Coat {coat.layer - 1} of this zone has no usable row, so the time since it is not known."
            lost = (row.where for row in evidence.lost(Coat, zone=coat.zone, layer=coat.layer - 1))
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(coat.where, *lost)))


def coat_below(evidence: Evidence, coat: Coat) -> Coat | None:
    """The coat that this one went on, None for the first or where its row is lost."""
    return evidence.one(Coat, zone=coat.zone, layer=coat.layer - 1)


def time_since(below: Coat, coat: Coat) -> Quantity:
    """Time from the end of one coat to the start of the next [h]."""
    return logged_hours(below.finished, coat.started)


def missed_end(since: Quantity, limit: Limit) -> str:
    """Which end of its window a coat missed: `early`, `late` or neither (empty)."""
    for end, one_sided in (("early", replace(limit, high=None)), ("late", replace(limit, low=None))):
        one = one_sided.low if end == "early" else one_sided.high
        if one is not None and decide(since, one_sided).verdict.missed:
            return end
    return ""


def window_of(evidence: Evidence, below: Coat, coat: Coat) -> tuple[OpenWindow, tuple[Window, ...]] | str:
    """The window between two coats with the rows of the data sheet, or the reason why there is none."""
    rows = evidence.of(Window, product=below.product, next_product=coat.product)
    if not rows:
        return f"{Window.table.file} holds no usable window for {coat.product} on {below.product}."
    temperatures = between(evidence, below, coat)
    if not temperatures:
        return "No surface temperature was read between the two coats, so no line of the window table can be chosen."
    lines = [WindowRow(row.surface, row.surface, row.shortest, row.longest) for row in rows]
    lowest = min(reading.surface for reading in temperatures)
    highest = max(reading.surface for reading in temperatures)
    try:
        return overcoat_window(lowest, highest, lines), rows
    except OutOfRange as reason:
        return f"{reason}."


def limit_between(evidence: Evidence, below: Coat, coat: Coat) -> Limit | None:
    """Shortest and longest time between two coats [h] before any abrading is thought of; None where none is known."""
    specified = evidence.specification.limit("COA-06", SINCE, place=coat.zone, condition=coat.coat)
    if specified is not None:
        return specified
    found = window_of(evidence, below, coat)
    return None if isinstance(found, str) or found[0].never_open else _window_limit(*found)


def ends_of(limit: Limit) -> tuple[float, float]:
    """Both ends of a window for a drawing [h]: zero where there is no shortest, infinity where there is no longest."""
    return limit.low or 0.0, math.inf if limit.high is None else limit.high


def between(evidence: Evidence, below: Coat, coat: Coat) -> tuple[Climate, ...]:
    """The climate readings of a zone from the end of one coat to the start of the next."""
    zone = evidence.of(Climate, zone=coat.zone)
    return tuple(row for row in zone if below.finished <= row.at <= coat.started)


def _since(evidence: Evidence, key: Key, below: Coat, coat: Coat) -> Iterable[Finding]:
    about = About(
        method="times in the coating log", period=Period(below.finished, coat.started), at=(below.where, coat.where)
    )
    specified = evidence.specification.limit(key.check, SINCE, place=key.place, condition=key.condition)
    if specified is not None:
        yield from _in_time(evidence, key, below, coat, specified, about)
        return
    found = window_of(evidence, below, coat)
    if isinstance(found, str):
        yield _without_window(evidence, key, found, about)
        return
    window, rows = found
    if window.never_open:
        yield unjudged(key, Verdict.INCONCLUSIVE, _never_open(window), about)
        return
    readings = between(evidence, below, coat)
    unread, beside = _not_known(evidence, below, coat)
    about = replace(
        about,
        at=(*about.at, *(row.where for row in _gave(rows, window)), *beside),
        working=_window_working(readings, window),
        caps=(*unread, *_lost_lines(evidence, below, coat)),
    )
    yield from _in_time(evidence, key, below, coat, _window_limit(window, rows), about)


def _window_limit(window: OpenWindow, rows: Sequence[Window]) -> Limit:
    terms = tuple(sheet_term(row, f"overcoating window at {row.surface:g} °C") for row in _gave(rows, window))
    return Limit("h", terms, low=window.minimum, high=window.maximum, natural_low=0.0)


def _in_time(evidence: Evidence, key: Key, below: Coat, coat: Coat, limit: Limit, about: About) -> Iterable[Finding]:
    """Judge the time between two coats; the longest time does not bind a surface abraded and cleaned as the sheet says.

    Where the sheet names other grades than were used, the longest time binds.
    """
    since = time_since(below, coat)
    said = (f"{period_text(Period(below.finished, coat.started))}: {fixed(since.value, 2)} h", *about.working)
    about = replace(about, working=said)
    if coat.abraded and missed_end(since, limit) == "late":
        reopened = _reopened(evidence, below, coat)
        if isinstance(reopened, str):
            about = replace(about, notes=(*about.notes, reopened))
        else:
            words = f"Late, and abraded again with {coat.abraded}; the longest time ({_longest(limit)}) is not applied."
            limit = replace(limit.without_high(reopened.terms[0]), terms=(*limit.terms, *reopened.terms))
            notes, at = (words, *about.notes), (*about.at, *reopened.at)
            about = replace(about, notes=notes, at=tuple(dict.fromkeys(at)), caps=(*about.caps, *reopened.caps))
    yield from judge(key, since, Limits(limit), about)


def _longest(limit: Limit) -> str:
    return f"{plain_number(limit.high)} h" if limit.high is not None else "none"


def _reopened(evidence: Evidence, below: Coat, coat: Coat) -> Reopened | str:
    """What reopened the window after its longest time, or why it stayed shut: the sheet asks for other grades."""
    at, caps = _re_keying(evidence, below, coat)
    rows = evidence.of(Window, product=below.product, next_product=coat.product)
    unclear = tuple(
        f"{row.where}: which grade the data sheet asks for after the longest time cannot be made out."
        for row in rows
        if row.reopening_unclear
    )
    caps = (*caps, *_lost_lines(evidence, below, coat), *unclear)
    asked = [row for row in rows if row.reopening_grades is not None]
    for row in asked:
        if not _is_asked_for(coat.abraded or "", row):
            return f"Abraded with {coat.abraded}; the data sheet asks for {row.reopening_grit} ({row.where})."
    if not rows or any(row.longest is not None and row.reopened_by is None for row in rows):
        practice = Term("abraded again after the longest time", Standing.PRACTICE, source="common-practice")
        return Reopened((practice,), at, (*caps, SILENT))
    told = asked[0] if asked else rows[0]
    grade = "unknown" if told.reopening_unclear else told.reopening_grit or ANY_GRADE
    words = f"reopened by abrading, {grade} grade, after the longest time"
    return Reopened((sheet_term(told, words),), (*at, told.where), caps)


def _is_asked_for(grade: str, row: Window) -> bool:
    """Whether a grade is among those that a line of the sheet asks for."""
    try:
        number = Quantity.count(float(grade_number(grade)))
    except Malformed:
        return False
    coarsest, finest = row.reopening_grades or (0, 0)
    asked = Limit("1", (sheet_term(row, "reopening grades"),), float(coarsest), float(finest))
    return decide(number, asked).verdict is Verdict.PASS


def _re_keying(evidence: Evidence, below: Coat, coat: Coat) -> tuple[tuple[Where, ...], tuple[str, ...]]:
    """The abrading and the cleaning after it in the preparation log, and what of it the log does not show."""
    steps = sorted(
        (s for s in evidence.of(Preparation, zone=coat.zone) if below.finished <= s.started <= coat.started),
        key=lambda step: (step.started, step.finished, step.where.order),
    )
    abraded = [step for step in steps if step.step == "sand"]
    ended = max((step.finished for step in abraded), default=below.finished)
    cleaned = [step for step in steps if step.step in CLEANING and ended <= step.started]
    caps = [
        f"{row.where}: a step of the preparation log that may lie between the two coats cannot be used."
        for row in evidence.lost(Preparation, zone=coat.zone)
        if row.get("started") is None or below.finished <= row.get("started") <= coat.started
    ]
    if not any(step.grit == coat.abraded and step.finished <= coat.started for step in abraded):
        caps.append(f"No abrading with {coat.abraded} between the two coats is in the preparation log.")
    if not any(step.finished <= coat.started for step in cleaned):
        caps.append("No cleaning after the abrading is in the preparation log.")
    return tuple(step.where for step in (*abraded, *cleaned)), tuple(caps)


def _lost_lines(evidence: Evidence, below: Coat, coat: Coat) -> tuple[str, ...]:
    lost = evidence.lost(Window, product=below.product, next_product=coat.product)
    return tuple(f"{row.where}: a line of the window table for these products cannot be used." for row in lost)


def _without_window(evidence: Evidence, key: Key, reason: str, about: About) -> Finding:
    if evidence.missing.get(Window) or reason.startswith(Window.table.file):
        return unjudged(key, Verdict.NO_RECORD, reason, about)
    return unjudged(key, Verdict.INCONCLUSIVE, reason, about)


def _never_open(window: OpenWindow) -> str:
    return (
        f"Between the coldest and the warmest reading the shortest time ({window.minimum:g} h) is longer than the "
        f"longest ({window.maximum:g} h): the table gives no window for so wide a range."
    )


def _gave(rows: Sequence[Window], window: OpenWindow) -> tuple[Window, ...]:
    """The rows that gave one of the ends."""
    lows = {line.low for line in (*window.minimum_from, *window.maximum_from)}
    return tuple(row for row in rows if row.surface in lows)


def _window_working(readings: Sequence[Climate], window: OpenWindow) -> tuple[str, ...]:
    surfaces = [row.surface for row in readings]
    read = counted(len(readings), "reading")
    longest = "no longest time" if window.maximum is None else f"longest {window.maximum:g} h"
    return (
        f"surface from {min(surfaces):g} to {max(surfaces):g} °C in {read} between the coats",
        f"shortest {window.minimum:g} h by the coldest reading, {longest} by the warmest",
    )


def _not_known(evidence: Evidence, below: Coat, coat: Coat) -> tuple[tuple[str, ...], tuple[Where, ...]]:
    """For how much of the time between two coats nobody read the surface, by the interval agreed between readings.

    With the rows of the log before and after each such stretch, which show it.

    It may have been colder or warmer then, which only makes the window narrower: a coat inside it is not shown to be.
    """
    if coat.started < below.finished:
        return (), ()
    interval = agreed(evidence, coat.zone)
    zone = sorted(evidence.of(Climate, zone=coat.zone), key=lambda row: row.at)
    holes = gaps([row.at for row in zone], below.finished, coat.started, timedelta(hours=interval.hours))
    if not holes:
        return interval.caps, ()
    ends = ([row.where for row in zone if row.at <= it.start][-1:] for it in holes)
    starts = ([row.where for row in zone if row.at >= it.end][:1] for it in holes)
    beside = tuple(dict.fromkeys(row for pair in zip(ends, starts, strict=True) for rows in pair for row in rows))
    unknown, longest = math.fsum(gap.hours for gap in holes), max(holes, key=lambda gap: gap.hours)
    words = (
        f"For {fixed(unknown, 1)} of the {fixed(time_since(below, coat).value, 1)} h between the coats the surface "
        "temperature is not known. The longest stretch without a reading between them is from "
        f"{moment(longest.start)} to {moment(longest.end)}."
    )
    return (words, *interval.caps), beside
