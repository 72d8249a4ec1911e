"""COA-06 overcoating window, COA-07 pot life and batches, COA-15 people and days."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from buildbook.chapters.coating.formulas.schedule import Window as OpenWindow
from buildbook.chapters.coating.formulas.schedule import WindowRow, overcoat_window, pot_life
from buildbook.chapters.coating.records import Batch, Climate, Coat, Effort, Preparation, Product, Window
from buildbook.chapters.coating.subjects import NO_COAT, absent, coats, sheet_term
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import moment
from buildbook.formulas import OutOfRange
from buildbook.sources import reference_limit, table, term

SINCE = "time since the coat below"
POT = "time from mixing to end"
BATCHES = "batches in date"
EFFORT = "people and days"
HOUR = timedelta(hours=1)
CLEANING = ("wash", "vacuum", "wipe", "de-wax")


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
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(coat.where,)))


def coat_below(evidence: Evidence, coat: Coat) -> Coat | None:
    """The coat that this one went on, None for the first or where its row is lost."""
    return evidence.one(Coat, zone=coat.zone, layer=coat.layer - 1)


def hours_since(below: Coat, coat: Coat) -> float:
    """Time from the end of one coat to the start of the next [h]."""
    return (coat.started - below.finished) / HOUR


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


def ends_between(evidence: Evidence, below: Coat, coat: Coat) -> tuple[float, float] | None:
    """Shortest and longest time between two coats [h] as they were judged; infinity where there is no longest."""
    specified = evidence.specification.limit("COA-06", SINCE, place=coat.zone, condition=coat.coat)
    if specified is not None:
        return specified.low or 0.0, math.inf if specified.high is None else specified.high
    found = window_of(evidence, below, coat)
    if isinstance(found, str) or found[0].never_open:
        return None
    window, _ = found
    return window.minimum, math.inf if window.maximum is None else window.maximum


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
    gave = [row for row in rows if _gave(row, window)]
    terms = tuple(sheet_term(row, f"overcoating window at {row.surface:g} °C") for row in gave)
    readings = between(evidence, below, coat)
    about = replace(
        about,
        at=(*about.at, *(row.where for row in gave)),
        working=_window_working(below, coat, readings, window),
        notes=_partly_known(below, coat, readings),
        caps=_lost_lines(evidence, below, coat),
    )
    limit = Limit("h", terms, low=window.minimum, high=window.maximum, natural_low=0.0)
    yield from _in_time(evidence, key, below, coat, limit, about)


def _in_time(evidence: Evidence, key: Key, below: Coat, coat: Coat, limit: Limit, about: About) -> Iterable[Finding]:
    """Judge the time between two coats; the longest time does not bind a surface that was abraded and cleaned."""
    hours = hours_since(below, coat)
    if limit.high is not None and hours > limit.high and coat.abraded:
        words = f"The longest time does not bind after abrading; the surface was abraded with {coat.abraded}."
        notes = (f"Late, and abraded again. {words}", *about.notes)
        limit = limit.without_high(replace(limit.terms[0], words="abraded again after the longest time"))
        about = replace(about, notes=notes, caps=(*about.caps, *_not_cleaned(evidence, below, coat)))
    said = (f"{moment(below.finished)} to {moment(coat.started)}: {hours:.2f} h", *about.working)
    yield from judge(key, Quantity(hours, "h", 0.0), Limits(limit), replace(about, working=said))


def _not_cleaned(evidence: Evidence, below: Coat, coat: Coat) -> tuple[str, ...]:
    steps = evidence.of(Preparation, zone=coat.zone)
    if any(step.step in CLEANING and below.finished <= step.started <= coat.started for step in steps):
        return ()
    return ("No cleaning after the abrading is in the preparation log.",)


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


def _gave(row: Window, window: OpenWindow) -> bool:
    return any(row.surface == line.low for line in (*window.minimum_from, *window.maximum_from))


def _window_working(below: Coat, coat: Coat, readings: Sequence[Climate], window: OpenWindow) -> tuple[str, ...]:
    surfaces = [row.surface for row in readings]
    longest = "no longest time" if window.maximum is None else f"longest {window.maximum:g} h"
    return (
        f"surface from {min(surfaces):g} to {max(surfaces):g} °C in {len(readings)} readings between the coats",
        f"shortest {window.minimum:g} h by the coldest reading, {longest} by the warmest",
    )


def _partly_known(below: Coat, coat: Coat, readings: Sequence[Climate]) -> tuple[str, ...]:
    known = (max(row.at for row in readings) - min(row.at for row in readings)) / HOUR
    hours = hours_since(below, coat)
    if known >= 0.5 * hours:
        return ()
    return (f"The surface temperature is known for {known:.1f} of the {hours:.1f} h between the coats.",)


def pot_life_and_batches(evidence: Evidence) -> Iterable[Finding]:
    """COA-07: the paint was used up before its pot life ended, and every tin was in date."""
    for name, coat, zone in coats(evidence):
        for quantity, judged in ((POT, _pot), (BATCHES, _batches)):
            key = Key("COA-07", quantity, zone, name)
            if coat is None:
                yield unjudged(key, Verdict.INCONCLUSIVE, NO_COAT)
            else:
                yield from judged(evidence, key, coat)


def _pot(evidence: Evidence, key: Key, coat: Coat) -> Iterable[Finding]:
    about = About(at=(coat.where,))
    if coat.mixed is None:
        yield unjudged(key, Verdict.NO_RECORD, "The time of mixing was not written down.", about)
        return
    product = evidence.one(Product, product=coat.product)
    hours = (coat.finished - coat.mixed) / HOUR
    about = About(
        method="times in the coating log",
        period=Period(coat.mixed, coat.finished),
        at=(coat.where,),
        working=(f"{moment(coat.mixed)} to {moment(coat.finished)}: {hours:.2f} h",),
    )
    specified = evidence.specification.limit("COA-07", POT, place=key.place, condition=key.condition)
    if specified is None:
        found = _pot_limit(evidence, coat, product)
        if isinstance(found, str):
            yield unjudged(key, Verdict.INCONCLUSIVE, found, about)
            return
        specified = found
    yield from judge(key, Quantity(hours, "h", 0.0), Limits(specified), about)


def _pot_limit(evidence: Evidence, coat: Coat, product: Product | None) -> Limit | str:
    """Pot life of the data sheet, brought to the warmest air during the coat where the sheet's temperature differs."""
    if product is None:
        return f"Product {coat.product} has no usable row in {Product.table.file}."
    if product.pot_life is None or product.pot_life_at is None:
        return f"The row of {coat.product} in {Product.table.file} gives no pot life."
    readings = [row for row in evidence.of(Climate, zone=coat.zone) if coat.started <= row.at <= coat.finished]
    if not readings:
        return "No air temperature was read while the coat went on, so the pot life at that temperature is not known."
    warmest = max(row.air for row in readings)
    sheet = sheet_term(product, f"pot life {product.pot_life:g} h at {product.pot_life_at:g} °C")
    try:
        life = pot_life(product.pot_life, product.pot_life_at, warmest)
    except OutOfRange as reason:
        return f"{reason}."
    rule = term(table("pot_life_rule")[0])
    return Limit("h", (sheet, rule), high=life, natural_low=0.0, words=f"pot life at {warmest:g} °C")


def _batches(evidence: Evidence, key: Key, coat: Coat) -> Iterable[Finding]:
    named = {"base": coat.base_batch, "hardener": coat.hardener_batch, "thinner": coat.thinner_batch}
    rows = {number: evidence.of(Batch, batch=number) for number in named.values() if number}
    dated = {
        number: (min(row.expires for row in its if row.expires is not None), tuple(row.where for row in its))
        for number, its in rows.items()
        if any(row.expires is not None for row in its)
    }
    day = coat.finished.date()
    late = [number for number, (expires, _) in dated.items() if expires < day]
    about = About(
        method="batch numbers in the coating log against the batch table",
        period=Period(coat.started, coat.finished),
        at=(coat.where, *(where for _, its in dated.values() for where in its)),
        working=tuple(f"batch {number}: use before {expires}, used {day}" for number, (expires, _) in dated.items()),
    )
    lacks = _not_known(named, rows)
    if lacks and not late:
        yield unjudged(key, Verdict.NO_RECORD, lacks[0], about)
        return
    first = min(expires for expires, _ in dated.values())
    observed = f"out of date: {', '.join(late)}" if late else f"earliest use-before date {first.isoformat()}"
    wanted = Limits(None, reference_limit("coating_limits", "COA-07", BATCHES))
    yield from judge_fact(key, not late, observed, wanted, replace(about, notes=lacks))


def _not_known(named: Mapping[str, str | None], rows: Mapping[str, Sequence[Batch]]) -> tuple[str, ...]:
    """What the log and the batch table do not say about the paint of a coat, in sentences."""
    lacking = [part for part in ("base", "hardener") if not named[part]]
    unknown = [number for number, its in rows.items() if not its]
    undated = [number for number, its in rows.items() if any(row.expires is None for row in its)]
    return (
        *([f"No batch number of the {' and the '.join(lacking)}."] if lacking else []),
        *([f"Batch {', '.join(unknown)} has no usable row in {Batch.table.file}."] if unknown else []),
        *([f"Batch {', '.join(undated)} has no date in {Batch.table.file}."] if undated else []),
    )


def effort(evidence: Evidence) -> Iterable[Finding]:
    """COA-15: people and days of each stage; effort is never a result."""
    stages = evidence.values(Effort, "stage")
    if not stages:
        yield absent(evidence, Effort, Key("COA-15", EFFORT), Verdict.NO_RECORD, "No day sheet is on record.")
    for stage in stages:
        key = Key("COA-15", EFFORT, "", stage)
        rows = evidence.of(Effort, stage=stage)
        if not rows:
            yield absent(evidence, Effort, key, Verdict.NOT_MEASURED, "No usable row of this stage.")
            continue
        days = len({row.day for row in rows})
        hours = sum(row.people * row.hours for row in rows)
        most, least = max(row.people for row in rows), min(row.people for row in rows)
        crew = f"{most}" if most == least else f"{least} to {most}"
        about = About(
            method="yard's day sheets",
            at=tuple(row.where for row in rows),
            working=(f"sum of people × hours over {len(rows)} rows: {hours:g} h",),
            notes=("Effort shows what was spent, not what came of it; the other checks show that.",),
        )
        observed = f"{crew} {'person' if most == 1 else 'people'} on {days} {'day' if days == 1 else 'days'}"
        yield from judge(key, Quantity.count(hours, "h"), Limits(), about, observed=observed)
