"""SYS-13: what all engines burned on trial."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from buildbook.chapters.readings import scaled, with_scatter
from buildbook.chapters.shared_records import Planned
from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.chapters.systems.engines_aboard import engines_aboard
from buildbook.chapters.systems.records.engine import EngineReading
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.subjects import planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed, listed, plain_number

CHECK, FUEL, FLOW = "SYS-13", "fuel rate", "fuel flow"
NO_FUEL = "No fuel meter was read at this setting."
ONE_RUN = "Fuel of one run only is on record, so how far runs scatter is not part of U."
NO_FUEL_OF = "{file} names {gone}, of which no fuel is on record. So this is only a part of what she burned."
ENGINES_LEFT_OUT = "Fuel is on record of {read}, and {file} names {aboard}. So this is only a part of what she burned."
ENGINES_UNKNOWN = (
    "No table but that of the fuel names her engines, and no plan counts its rows. So nobody can tell whether the fuel "
    "of all engines is on record."
)


def fuel(evidence: Evidence, key: Key, names: Sequence[str]) -> Iterable[Finding]:
    """The fuel of all engines at one setting: the mean of the runs with these names."""
    wanted = limits(evidence, CHECK, FUEL, condition=key.condition)
    rows = [row for row in evidence.of(FuelFlow) if row.run in names]
    if not rows:
        asked = planned(evidence, CHECK, FuelFlow.table.file, FUEL)
        if asked or evidence.of(FuelFlow) or evidence.lost(FuelFlow):
            yield absent(evidence, FuelFlow, key, Verdict.NOT_MEASURED, NO_FUEL, wanted)
        return
    engines = tuple(str(name) for name in evidence.values(FuelFlow, "place"))
    by_run = {name: [row for row in rows if row.run == name] for name in names}
    whole = {name: its for name, its in by_run.items() if {row.place for row in its} == set(engines)}
    if not whole:
        words = "No run at this setting has a reading of every engine."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=tuple(row.where for row in rows)), wanted)
        return
    left_out = _left_out(evidence, engines)
    measured, about = _burned_by(evidence, whole, len(engines), left_out)
    caps = (*about.caps, *_partly(names, whole), *_unknown(evidence))
    about = replace(about, caps=caps, lacks="" if len(whole) > 1 else ONE_RUN)
    yield from judge(key, measured, wanted, about)


def _burned_by(
    evidence: Evidence, whole: Mapping[str, Sequence[FuelFlow]], engines: int, left_out: str
) -> tuple[Quantity, About]:
    """The mean of the runs; where an engine is left out it is a lower bound of what all burned."""
    counted = [row for its in whole.values() for row in its]
    rates = {name: math.fsum(row.supply - row.back for row in its) for name, its in whole.items()}
    mean = math.fsum(rates.values()) / len(rates)
    use = used(evidence, counted, "instrument", FLOW, "L/h", "supply")
    readings = _readings(counted, len(rates))
    parts = with_scatter(scaled(use.parts, readings), list(rates.values()), "runs")
    runs = "one run" if len(rates) == 1 else f"mean of {len(rates)} runs"
    about = About(
        method=f"fuel to {'' if left_out or engines == 1 else 'all '}{_number(engines)} less what came back, {runs}",
        period=period(row.at for row in counted),
        instruments=use.instruments,
        at=tuple(row.where for row in counted),
        working=tuple(_burned(name, its, rates[name]) for name, its in whole.items()),
        notes=use.notes,
        caps=(*use.caps, *((left_out,) if left_out else ())),
    )
    kind = Kind.AT_LEAST if left_out else Kind.MEASURED
    return Quantity.combined(mean, "L/h", parts, kind=kind), about


def _number(engines: int) -> str:
    return f"{engines} engine{'s' if engines > 1 else ''}"


def _left_out(evidence: Evidence, read: Sequence[str]) -> str:
    """That the fuel of an engine is not on record; empty where every engine that a table names was read.

    Where a table uses the ids of the fuel, each of them is looked for: a generator stands for no engine.
    """
    aboard = engines_aboard(evidence)
    gone = sorted(aboard.ids - set(read))
    if gone:
        return NO_FUEL_OF.format(file=EngineReading.table.file, gone=listed(gone))
    if aboard.most > len(read):
        return ENGINES_LEFT_OUT.format(read=_number(len(read)), file=aboard.file, aboard=aboard.most)
    return ""


def _unknown(evidence: Evidence) -> tuple[str, ...]:
    """That nobody can tell how many engines she has; empty where a table names them or a plan counts the rows."""
    lines = evidence.of(Planned, check=CHECK, record=FuelFlow.table.file)
    told = engines_aboard(evidence).most or any(line.readings is not None for line in lines)
    return () if told else (ENGINES_UNKNOWN,)


def _readings(rows: Sequence[FuelFlow], runs: int) -> float:
    """How many readings of one meter stand in the rate of one run; what is unsure of each is added up.

    A meter that reads supply and return is unsure of both. An error that they share would partly cancel in the
    difference; nobody shows that it does, so this is the cautious side.
    """
    return math.fsum(2.0 if row.back > 0.0 else 1.0 for row in rows) / runs


def _burned(name: str, rows: Sequence[FuelFlow], rate: float) -> str:
    each = [
        f"{row.place} {plain_number(row.supply)} - {plain_number(row.back)}"
        if row.back > 0.0
        else f"{row.place} {plain_number(row.supply)}"
        for row in rows
    ]
    return f"{name}: {listed(each)} L/h, together {fixed(rate, 1)} L/h"


def _partly(names: Sequence[str], whole: dict[str, list[FuelFlow]]) -> tuple[str, ...]:
    gone = [name for name in names if name not in whole]
    return (f"Fuel was not read for every engine in {listed(gone)}.",) if gone else ()
