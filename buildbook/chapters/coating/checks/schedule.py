"""COA-07 pot life and batches, COA-15 people and days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from buildbook.chapters.coating.checks.climate import agreed
from buildbook.chapters.coating.formulas.climate import gaps
from buildbook.chapters.coating.formulas.schedule import pot_life
from buildbook.chapters.coating.logged import logged_hours
from buildbook.chapters.coating.records import Batch, Climate, Coat, Effort, Product
from buildbook.chapters.coating.subjects import NO_COAT, coats, sheet_term
from buildbook.chapters.subjects import absent
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed, limit_number, moment, period_text, plain_number
from buildbook.formulas import OutOfRange
from buildbook.sources import reference_limit, table, term

POT = "time from mixing to end"
BATCHES = "batches in date"
EFFORT = "people and days"


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
    since = logged_hours(coat.mixed, coat.finished)
    span = Period(coat.mixed, coat.finished)
    about = About(
        method="times in the coating log",
        period=span,
        at=(coat.where,),
        working=(f"{period_text(span)}: {fixed(since.value, 2)} h",),
    )
    specified = evidence.specification.limit("COA-07", POT, place=key.place, condition=key.condition)
    if specified is None:
        found = _pot_limit(evidence, coat, product, span)
        if isinstance(found, str):
            yield unjudged(key, Verdict.INCONCLUSIVE, found, about)
            return
        specified, warmest = found
        said = (
            f"warmest air from mixing to end: {plain_number(warmest.air)} °C, {moment(warmest.at)}",
            _life(specified),
        )
        caps = _not_known_air(evidence, coat, span)
        about = replace(about, at=(coat.where, warmest.where), working=(*about.working, *said), caps=caps)
    yield from judge(key, since, Limits(specified), about)


def _pot_limit(evidence: Evidence, coat: Coat, product: Product | None, span: Period) -> tuple[Limit, Climate] | str:
    """Pot life of the data sheet with the reading it is for: shorter where the air was warmer than the sheet's
    temperature, never longer than the sheet's own where it was colder.
    """
    if product is None:
        return f"Product {coat.product} has no usable row in {Product.table.file}."
    if product.pot_life is None or product.pot_life_at is None:
        return f"The row of {coat.product} in {Product.table.file} gives no pot life."
    readings = [row for row in evidence.of(Climate, zone=coat.zone) if span.start <= row.at <= span.end]
    if not readings:
        return "No air temperature was read from mixing to end, so the pot life at that temperature is not known."
    warmest = max(readings, key=lambda row: row.air)
    sheet = sheet_term(product, f"pot life {product.pot_life:g} h at {product.pot_life_at:g} °C")
    try:
        life = pot_life(product.pot_life, product.pot_life_at, warmest.air)
    except OutOfRange as reason:
        return f"{reason}."
    words = f"pot life at {warmest.air:g} °C"
    if life < product.pot_life:
        rule = term(table("pot_life_rule")[0])
        return Limit("h", (sheet, rule), high=life, natural_low=0.0, words=words), warmest
    return Limit("h", (sheet,), high=product.pot_life, natural_low=0.0, words=words), warmest


def _life(limit: Limit) -> str:
    """Which number of the pot life was used, and why."""
    by_rule = len(limit.terms) > 1
    how = "shortened from the data sheet's by the rule" if by_rule else "the data sheet's own, never made longer"
    return f"{limit.words}: {limit_number(limit.high or 0.0)} h, {how}"


def _not_known_air(evidence: Evidence, coat: Coat, span: Period) -> tuple[str, ...]:
    """Stretches from mixing to end without a reading, by the interval agreed between readings; and why not by it.

    A hot hour that nobody logged makes the pot life shorter, so nothing better than inconclusive can be said.
    """
    interval = agreed(evidence, coat.zone)
    times = sorted(row.at for row in evidence.of(Climate, zone=coat.zone))
    holes = gaps(times, span.start, span.end, timedelta(hours=interval.hours))
    said = (
        f"No air temperature was read from {moment(gap.start)} to {moment(gap.end)}; it may have been warmer then."
        for gap in holes
    )
    return (*said, *interval.caps)


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
    wanted = Limits(None, reference_limit("COA-07", BATCHES))
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
            working=(f"sum of people × hours over {counted(len(rows), 'row')}: {hours:g} h",),
            notes=("Effort shows what was spent, not what came of it; the other checks show that.",),
        )
        observed = f"{crew} {'person' if most == 1 else 'people'} on {days} {'day' if days == 1 else 'days'}"
        kind = Kind.AT_LEAST if evidence.lost(Effort, stage=stage) else Kind.COUNTED
        yield from judge(key, Quantity(hours, "h", kind=kind), Limits(), about, observed=observed)
