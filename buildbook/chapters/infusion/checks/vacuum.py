"""INF-01 drop test before resin, INF-02 bag pressure held until after gel and cool-down."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import timedelta

from buildbook.chapters.infusion.formulas.vacuum import MINUTE, rise_rate, stretches
from buildbook.chapters.infusion.records import DropReading, Infusion, LogReading
from buildbook.chapters.infusion.subjects import (
    INTERVAL,
    NO_INFUSION,
    agreed_interval,
    customary,
    lasted,
    logged,
    parts,
    rule,
)
from buildbook.chapters.looser import looser_note
from buildbook.chapters.readings import smallest_step, standard_of
from buildbook.chapters.subjects import Used, absent, attempts, limits, period, used
from buildbook.core.decide import cap
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.wording import fixed, limit_text, moment, period_text, plain_number
from buildbook.sources import reference_limit

RISE = "rise of pressure"
LARGEST = "largest bag pressure after fill"
AFTER_GEL = "time under vacuum after gel"
COOLED = "temperature when the vacuum was let go"
BELOW = "below resolution"
NOT_WRITTEN = "The time of {} was not written down."


def drop_tests(evidence: Evidence) -> Iterable[Finding]:
    """INF-01: with the pump shut off, the bag held before resin was let in."""
    for part in parts(evidence, "INF-01"):
        for attempt in attempts(evidence, DropReading, part=part):
            key = Key("INF-01", RISE, part, "", attempt)
            rows = sorted(evidence.of(DropReading, part=part, attempt=attempt), key=lambda row: row.at)
            fewest = int(rule("fewest readings"))
            if not rows:
                words = "No drop test before resin is on record."
                yield absent(evidence, DropReading, key, Verdict.NOT_MEASURED, words)
            elif len(rows) < fewest or rows[-1].at == rows[0].at:
                about = About(at=tuple(row.where for row in rows))
                words = f"Fewer than {fewest} readings: the last part of the curve cannot be told from the first."
                yield unjudged(key, Verdict.INCONCLUSIVE, words, about, limits(evidence, "INF-01", RISE, place=part))
            else:
                yield from _rise(evidence, key, rows)


def last_part(rows: Sequence[DropReading]) -> tuple[DropReading, DropReading]:
    """The readings between which a drop test is judged: the last half of its time, or a little more."""
    share = rule("last part of the curve") / 100.0
    start = rows[-1].at - share * (rows[-1].at - rows[0].at)
    return max((row for row in rows if row.at <= start), key=lambda row: row.at), rows[-1]


def _rise(evidence: Evidence, key: Key, rows: Sequence[DropReading]) -> Iterable[Finding]:
    first, last = last_part(rows)
    minutes = (last.at - first.at) / MINUTE
    rise = last.absolute - first.absolute
    use = used(evidence, rows, "gauge", "bag pressure", "mbar", "reading")
    barometer = used(evidence, [first, last], "barometer_gauge", "barometric pressure", "mbar", "barometer")
    outside = barometer if any(row.reads != "absolute" for row in rows) else None
    made = _of_both_ends((first, last), use, barometer, minutes)
    measured, below = _measured(evidence, rows, rise, minutes, made)
    over = f"over {plain_number(minutes)} min"
    whole = plain_number((last.at - rows[0].at) / MINUTE)
    about = About(
        method=f"pump shut off, last {plain_number(minutes)} min of {whole} min",
        period=period(row.at for row in rows),
        instruments=(*use.instruments, *(outside.instruments if outside else ())),
        at=tuple(row.where for row in rows),
        working=_working(rows, first, last, minutes),
        notes=(
            *below,
            *_beside_the_log(evidence, key.place, rows, (use, *((outside,) if outside else ()))),
            customary("last part of the curve"),
            *use.notes,
            *(outside.notes if outside else ()),
        ),
        caps=(
            *use.caps,
            *(outside.caps if outside else ()),
            *_after_resin(evidence, key.place, last),
            *_fell(evidence, rows, rise, minutes * (measured.expanded or 0.0)),
        ),
    )
    observed = f"{BELOW}, {over}" if below else over
    yield from _beside_the_published(evidence, key, measured, about, observed)


def _of_both_ends(
    ends: tuple[DropReading, DropReading], gauge: Used, barometer: Used, minutes: float
) -> tuple[Part, ...]:
    """What gauge and barometer bring to the rise in a minute, at either end; none where one of them states nothing."""
    made = []
    for name, row in zip(("start", "end"), ends, strict=True):
        tools = [("gauge", gauge)] if row.reads == "absolute" else [("gauge", gauge), ("barometer", barometer)]
        for tool, use in tools:
            if not use.parts:
                return ()
            made.append(Part(f"{tool} at the {name}", standard_of(use.parts) / minutes))
    return tuple(made)


def _fell(evidence: Evidence, rows: Sequence[DropReading], rise: float, unsure: float) -> tuple[str, ...]:
    """That the pressure fell by more than the gauge explains [mbar], which no shut bag does; empty where it did not."""
    if -rise <= max(unsure, rule("digits that show") * _digit(evidence, rows)):
        return ()
    return (f"The pressure fell by {fixed(-rise, 1)} mbar: the pump was not shut off, or a reading is wrong.",)


def _measured(
    evidence: Evidence, rows: Sequence[DropReading], rise: float, minutes: float, made: tuple[Part, ...]
) -> tuple[Quantity, tuple[str, ...]]:
    """The rise in a minute; only a bound, and why, where it is smaller than two digits of the gauge."""
    shown = rule("digits that show") * _digit(evidence, rows)
    if shown > 0.0 and rise < shown:
        words = f"The rise of {fixed(rise, 2)} mbar is less than two digits of the gauge, {plain_number(shown)} mbar."
        return Quantity.combined(shown / minutes, "mbar/min", made, kind=Kind.AT_MOST), (words,)
    return Quantity.combined(rise / minutes, "mbar/min", made), ()


def _digit(evidence: Evidence, rows: Sequence[DropReading]) -> float:
    """The smallest step of the gauges [mbar], the coarsest one's; 0 where none is stated."""
    steps = (smallest_step(evidence, gauge, "bag pressure", "mbar") or 0.0 for gauge in {row.gauge for row in rows})
    return max(steps, default=0.0)


def _working(rows: Sequence[DropReading], first: DropReading, last: DropReading, minutes: float) -> tuple[str, ...]:
    below = [row for row in (first, last) if row.reads != "absolute" and row.barometer is not None]
    told = [
        f"{moment(row.at)}: barometer {row.barometer:g} − gauge {row.reading:g} = {fixed(row.absolute, 1)} mbar"
        for row in below
    ]
    start = f"{counted(len(rows), 'reading')}, {fixed(rows[0].absolute, 1)} mbar when the pump was shut off"
    ends = f"{fixed(last.absolute, 1)} − {fixed(first.absolute, 1)}"
    rate = rise_rate(first.absolute, last.absolute, minutes)
    return (start, *told, f"({ends}) mbar / {plain_number(minutes)} min = {fixed(rate, 3)} mbar/min")


def _beside_the_log(
    evidence: Evidence, part: str, rows: Sequence[DropReading], tools: Sequence[Used]
) -> tuple[str, ...]:
    """That log and test of one bag differ at one moment by more than U of both; empty where they agree or one lacks."""
    log = {row.at: row for row in evidence.of(LogReading, part=part) if row.pressure is not None}
    both = [(row, log[row.at]) for row in rows if row.at in log]
    if not both:
        return ()
    logger = used(evidence, [one for _, one in both], "gauge", "bag pressure", "mbar", "pressure")
    if not all(use.parts for use in (logger, *tools)):
        return ()
    read, logged_as = max(both, key=lambda pair: abs(pair[0].absolute - (pair[1].pressure or 0.0)))
    apart = abs(read.absolute - (logged_as.pressure or 0.0))
    unsure = 2.0 * math.hypot(*(standard_of(use.parts) for use in (logger, *tools)))
    if apart <= unsure:
        return ()
    return (
        f"At {moment(read.at)} the log has {fixed(logged_as.pressure or 0.0, 1)} mbar and the test "
        f"{fixed(read.absolute, 1)} mbar. They differ by more than both are unsure of, {fixed(unsure, 1)} mbar: one of "
        f"them is wrong ({logged_as.where}).",
    )


def _after_resin(evidence: Evidence, part: str, last: DropReading) -> tuple[str, ...]:
    infusion = evidence.one(Infusion, part=part)
    if infusion is None:
        return (NO_INFUSION,)
    return ("The test ended after resin was let in.",) if last.at > infusion.started else ()


def _beside_the_published(
    evidence: Evidence, key: Key, measured: Quantity, about: About, observed: str
) -> Iterable[Finding]:
    """Against the builder's limit, else practice with large hulls; the published criterion stands beside."""
    wanted = limits(evidence, "INF-01", RISE, place=key.place)
    published = reference_limit("INF-01", RISE, "published")
    practice = wanted.reference
    told = looser_note(wanted)
    if wanted.specified is not None and practice is not None:
        told = (*told, f"Common practice with large hulls, no source: {limit_text(practice)}.")
    governing = Limits(wanted.specified) if wanted.specified is not None else Limits(None, practice)
    yield from judge(key, measured, governing, replace(about, notes=(*told, *about.notes)), observed=observed)
    beside = replace(key, role=Role.REFERENCE)
    yield from judge(beside, measured, Limits(published), about, observed=observed)


def vacuum_held(evidence: Evidence) -> Iterable[Finding]:
    """INF-02: the bag was under vacuum from bag-up until the laminate had gelled and cooled down."""
    for part in parts(evidence, "INF-02"):
        infusion = evidence.one(Infusion, part=part)
        keys = {name: Key("INF-02", name, part) for name in (INTERVAL, LARGEST, AFTER_GEL, COOLED)}
        if infusion is None:
            for key in keys.values():
                yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION)
            continue
        yield from _stretch(evidence, keys[INTERVAL], infusion)
        yield from _largest(evidence, keys[LARGEST], infusion)
        yield from _after_gel(evidence, keys[AFTER_GEL], infusion)
        yield from _cooled(evidence, keys[COOLED], infusion)


def _unwritten(evidence: Evidence, key: Key, infusion: Infusion, **events: object) -> Finding | None:
    """A finding that says which moment was not written down; None where all were."""
    gone = [words for words, at in events.items() if at is None]
    if not gone:
        return None
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    words = NOT_WRITTEN.format(gone[0].replace("_", " "))
    return unjudged(key, Verdict.NO_RECORD, words, About(at=(infusion.where,)), wanted)


def _stretch(evidence: Evidence, key: Key, infusion: Infusion) -> Iterable[Finding]:
    """The longest time from bag-up to the end of the vacuum without a reading."""
    unwritten = _unwritten(evidence, key, infusion, the_end_of_the_vacuum=infusion.released)
    if unwritten is not None or infusion.released is None:
        yield from (unwritten,) if unwritten is not None else ()
        return
    of_part = evidence.of(LogReading, part=key.place)
    rows = [row for row in of_part if row.pressure is not None and infusion.bagged <= row.at <= infusion.released]
    if not rows:
        yield absent(evidence, LogReading, key, Verdict.NO_RECORD, "No bag pressure of this part is on record.")
        return
    pairs = stretches([row.at for row in rows], infusion.bagged, infusion.released)
    start, end = max(pairs, key=lambda pair: pair[1] - pair[0])
    about = About(
        method="times of the infusion log, from bag-up to the end of the vacuum",
        period=Period(infusion.bagged, infusion.released),
        at=(infusion.where, *(row.where for row in rows if row.at in (start, end))),
        working=(f"{counted(len(rows), 'reading')}; longest stretch without one: {period_text(Period(start, end))}",),
    )
    wanted = agreed_interval(evidence, key.place)[1]
    yield from judge(key, lasted(start, end), wanted, about, observed=period_text(Period(start, end)))


def _largest(evidence: Evidence, key: Key, infusion: Infusion) -> Iterable[Finding]:
    filled, released = infusion.filled, infusion.released
    unwritten = _unwritten(evidence, key, infusion, fill=filled, the_end_of_the_vacuum=released)
    if unwritten is not None or filled is None or released is None:
        yield from (unwritten,) if unwritten is not None else ()
        return
    log = logged(evidence, key.place, "pressure", filled, released)
    if not log.rows:
        yield absent(evidence, LogReading, key, Verdict.NO_RECORD, "No bag pressure after fill is on record.")
        return
    worst = max(log.rows, key=lambda row: row.pressure or 0.0)
    use = used(evidence, log.rows, "gauge", "bag pressure", "mbar", "pressure")
    about = About(
        method="absolute pressure in the log, from fill to the end of the vacuum; the largest counts",
        period=log.period,
        instruments=use.instruments,
        at=tuple(row.where for row in log.rows),
        working=(f"largest of {len(log.rows)} readings, {moment(worst.at)} ({worst.where})",),
        notes=use.notes,
        caps=(*log.caps, *use.caps),
    )
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    yield from judge(key, Quantity.combined(worst.pressure or 0.0, "mbar", use.parts), wanted, about)


def _after_gel(evidence: Evidence, key: Key, infusion: Infusion) -> Iterable[Finding]:
    gelled, released = infusion.gelled, infusion.released
    unwritten = _unwritten(evidence, key, infusion, gel=gelled, the_end_of_the_vacuum=released)
    if unwritten is not None or gelled is None or released is None:
        yield from (unwritten,) if unwritten is not None else ()
        return
    log = logged(evidence, key.place, "pressure", gelled, released)
    span, (start, end) = Period(gelled, released), max(log.unbroken, key=lambda pair: pair[1] - pair[0])
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    pieces = ", ".join(plain_number((other - one) / MINUTE) for one, other in log.unbroken)
    about = About(
        method="times in the table of infusions, as far as the log bears them out",
        period=span,
        at=(infusion.where, *(row.where for row in log.rows)),
        working=(
            f"{period_text(span)}: {plain_number((released - gelled) / MINUTE)} min",
            *((f"without a gap in the log: {pieces} min; the longest counts",) if log.gaps else ()),
        ),
        notes=looser_note(wanted),
    )
    whole = judge(key, lasted(gelled, released), wanted, about)
    shown = judge(key, replace(lasted(start, end), kind=Kind.AT_LEAST), wanted, about)
    for one, other in zip(whole, shown, strict=True):
        if one.verdict.missed or not log.gaps:  # too short even if the log had no gap
            yield one
        else:
            yield cap(other, log.caps) if other.verdict is Verdict.INCONCLUSIVE else other


def _cooled(evidence: Evidence, key: Key, infusion: Infusion) -> Iterable[Finding]:
    """The last temperature of the laminate before the vacuum was let go."""
    released = infusion.released
    unwritten = _unwritten(evidence, key, infusion, the_end_of_the_vacuum=released)
    if unwritten is not None or released is None:
        yield from (unwritten,) if unwritten is not None else ()
        return
    of_part = sorted(evidence.of(LogReading, part=key.place), key=lambda row: row.at)
    rows = [row for row in of_part if row.laminate is not None and infusion.started <= row.at <= released]
    if not rows:
        yield absent(evidence, LogReading, key, Verdict.NO_RECORD, "No temperature of the laminate is on record.")
        return
    last, hottest = rows[-1], max(rows, key=lambda row: row.laminate or 0.0)
    use = used(evidence, [last], "thermometer", "temperature", "degC", "laminate")
    interval, _ = agreed_interval(evidence, key.place)
    early = released - last.at > timedelta(minutes=interval)
    about = About(
        method="last reading of the laminate before the vacuum was let go",
        period=Period(infusion.started, released),
        instruments=use.instruments,
        at=(last.where, hottest.where),
        working=(
            f"hottest {moment(hottest.at)}: {hottest.laminate:g} °C; last {moment(last.at)}: {last.laminate:g} °C",
        ),
        notes=use.notes,
        caps=(*use.caps, *((f"The last reading is of {moment(last.at)}, too long before.",) if early else ())),
    )
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    yield from judge(key, Quantity.combined(last.laminate or 0.0, "degC", use.parts), wanted, about)
