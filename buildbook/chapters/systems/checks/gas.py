"""SYS-10: the gas system holds its test pressure, and is tight."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.readings import instrument_part, smallest_step
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.subjects import limits, used
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.subjects import Test, at_once, each_test, rule, rule_term
from buildbook.chapters.systems.warmth import Warmth, by_warmth, fall_of_one_gauge, never_below_nought, rises
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import fixed, plain_number

CHECK, UNIT, GAUGE = "SYS-10", "mbar", "gas pressure"
STRENGTH, DROP = "strength test pressure", "pressure drop in the tightness test"
TEST = Test(CHECK, GasTest, (STRENGTH, DROP))
MULTIPLE = "strength pressure over working pressure"
NO_STRENGTH, NO_TIGHTNESS = "No strength test is on record.", "No tightness test is on record."
NO_STEP = "The smallest step of the gauge is not stated, so no drop can be told from none."
ONE_GAUGE = (
    "One gauge read both pressures, which are nearly equal, so hardly any of its calibration is left; its smallest "
    "step counts twice."
)
NO_AIR = "The temperature beside the pipe is not on record for both readings: air that gets warmer hides a leak."


def gas(evidence: Evidence) -> Iterable[Finding]:
    """SYS-10: of every test the pressure that the pipe held, and how far it fell while it was shut."""
    return each_test(evidence, TEST, lambda row: (*_strength(evidence, row), *_tightness(evidence, row)))


def _strength(evidence: Evidence, row: GasTest) -> Iterable[Finding]:
    key = Key(CHECK, STRENGTH, row.place, "", row.attempt)
    asked = rule(MULTIPLE) * row.working
    words = f"{plain_number(row.working)} mbar on the plate of the appliance"
    plate = Term(words, Standing.BUILDER, "the appliance maker's plate", at=row.cell("working"))
    own = limits(evidence, CHECK, STRENGTH, place=row.place).specified
    wanted = Limits(own, Limit(UNIT, (plate, rule_term(MULTIPLE)), low=asked))
    at = About(period=at_once(row.at), at=(row.where,))
    if row.strength is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NO_STRENGTH, at, wanted)
        return
    use = used(evidence, [row], "instrument", GAUGE, UNIT, "strength")
    held = "" if row.strength_minutes is None else f", held {plain_number(row.strength_minutes)} min"
    about = replace(
        at,
        method=f"pipe filled with {row.medium}{held}",
        instruments=use.instruments,
        working=(f"{plain_number(rule(MULTIPLE))} × {plain_number(row.working)} mbar = {plain_number(asked)} mbar",),
        notes=(*use.notes, *(() if held else ("How long it was held is not recorded.",))),
        caps=use.caps,
    )
    yield from judge(key, Quantity.combined(row.strength, UNIT, use.parts), wanted, about)


def _tightness(evidence: Evidence, row: GasTest) -> Iterable[Finding]:
    key = Key(CHECK, DROP, row.place, "", row.attempt)
    own = limits(evidence, CHECK, DROP, place=row.place).specified
    at = About(period=at_once(row.at), at=(row.where,))
    if row.tight_start is None or row.tight_end is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NO_TIGHTNESS, at, Limits(own))
        return
    gauge = evidence.one(Instrument, instrument=row.instrument, quantity=GAUGE)
    step = smallest_step(evidence, row.instrument, GAUGE, UNIT)
    use = instrument_part(evidence, row.instrument, GAUGE, UNIT, [row.at], [row.tight_start, row.tight_end])
    if step is None or gauge is None:
        if own is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_STEP, at)
        else:
            plain = Quantity(row.tight_start - row.tight_end, UNIT)
            yield from judge(key, plain, Limits(own), replace(at, caps=(*use.caps, NO_STEP)))
        return
    below = Term(f"smallest step of {row.instrument}: {plain_number(step)} mbar", Standing.BUILDER,
                 "the table of instruments", at=gauge.cell("resolution"))  # fmt: skip
    smaller = Limit(UNIT, (below, rule_term("no drop that the gauge can show")), high=step, high_strict=True)
    parts = fall_of_one_gauge(row.instrument, step, row.tight_start, row.tight_end, use.parts[:1])
    warmth = by_warmth(evidence, row, row.tight_start, UNIT)
    wanted = Limits(*never_below_nought((own, smaller)))
    minutes = "" if row.tight_minutes is None else f" in {plain_number(row.tight_minutes)} min"
    change = warmth.change if warmth else 0.0
    drop = row.tight_start + change - row.tight_end
    warmed = f" + {fixed(change, 2)}" if change else ""
    about = replace(
        at,
        method=f"pipe shut off{minutes}",
        instruments=(row.instrument, *(warmth.instruments if warmth else ())),
        working=(
            f"{plain_number(row.tight_start)}{warmed} - {plain_number(row.tight_end)} = {fixed(drop, 2)} mbar{minutes}",
            *((warmth.line,) if warmth else ()),
        ),
        notes=(ONE_GAUGE, *use.notes, *(warmth.notes if warmth else ())),
        caps=(*use.caps, *(warmth.caps if warmth else ()), *(() if warmth else (NO_AIR,))),
    )
    parts = (*parts, *(warmth.parts if warmth else ()))
    measured = Quantity.combined(drop, UNIT, parts)
    about = replace(about, caps=(*about.caps, *rises(row, "tight_start", "tight_end", measured)))
    hidden = _hidden(warmth, measured, row.tight_start - row.tight_end, own or smaller)
    if hidden:
        yield unjudged(key, Verdict.INCONCLUSIVE, hidden, about, wanted)
        return
    yield from judge(key, measured, wanted, about)


def _hidden(warmth: Warmth | None, measured: Quantity, shown: float, limit: Limit) -> str:
    """Why warmth leaves it open; empty where it is small, or where the gauge and the corrected drop both miss."""
    if warmth is None or decide(Quantity.count(abs(warmth.change), UNIT), limit).verdict.met:
        return ""
    if all(decide(one, limit).verdict.missed for one in (measured, replace(measured, value=shown))):
        return ""
    return f"Warming or cooling alone changed the pressure by {fixed(warmth.change, 2)} mbar, more than is allowed."
