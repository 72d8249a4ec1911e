"""LAM-08 test coupons: as strong as the designer counted on."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.laminate.checks.stiff import STIFFNESS, Expected, default_beside, stiffness_asked, stiffness_of
from buildbook.chapters.laminate.formulas.samples import (
    design_scatter,
    design_value,
    normality,
    outliers,
    tolerance_factor,
    tolerance_limit,
)
from buildbook.chapters.laminate.formulas.strength import flexural_strength, short_beam_strength, tensile_strength
from buildbook.chapters.laminate.records import StrengthTest
from buildbook.chapters.laminate.subjects import rule
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import Used, absent, asked_places, limits, period, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed
from buildbook.formulas import OutOfRange

DESIGN, BASIS = "design value", "B-basis value"
NOT_NORMAL = "The factor holds for a normal sample, and this one is not shown to be one."
ONE_ALONE = "One specimen alone has no scatter."
NO_DESIGN_VALUE = "So the value a designer may use cannot be worked out."
ALIKE = ("kind", "method", "direction", "conditioning", "speed")


def strength(evidence: Evidence) -> Iterable[Finding]:
    """LAM-08: every series of test coupons by itself; never pooled across methods, directions, conditioning, speeds."""
    for series in evidence.values(StrengthTest, "series"):
        rows = evidence.of(StrengthTest, series=series)
        if rows:
            yield from judged_as_planned(evidence, "LAM-08", rows, lambda some: _series(evidence, some))
        else:
            yield from _lost_series(evidence, series)
    tested = evidence.values(StrengthTest, "zone")
    for zone, asked in asked_places(evidence, "LAM-08", StrengthTest.table.file, DESIGN, BASIS, STIFFNESS).items():
        if zone not in tested:
            words = f"{asked}, and no specimen of this zone was tested."
            limited = [one for one in (BASIS, STIFFNESS) if limits(evidence, "LAM-08", one, place=zone).specified]
            for quantity in (DESIGN, *limited):
                yield absent(evidence, StrengthTest, Key("LAM-08", quantity, zone), Verdict.NOT_MEASURED, words)


def _lost_series(evidence: Evidence, series: str) -> Iterable[Finding]:
    """A series of which no row can be used: whatever is asked of it cannot be told."""
    lost = evidence.lost(StrengthTest, series=series)
    key = Key("LAM-08", DESIGN, next((row.get("zone") for row in lost if row.get("zone")), ""), series)
    kinds = {row.get("kind") for row in lost if row.get("kind")}
    stiff = replace(key, quantity=STIFFNESS)
    quantities = [DESIGN, *([BASIS] if _basis_limit(evidence, key).specified is not None else [])]
    quantities += [STIFFNESS] if stiffness_asked(evidence, stiff, kinds) else []
    for quantity in quantities:
        wanted = limits(evidence, key.check, quantity, place=key.place, condition=series)
        words = "No row of this series can be used."
        yield unjudged(replace(key, quantity=quantity), Verdict.INCONCLUSIVE, words, None, wanted)


def of_force(row: StrengthTest, force: float, width: float, thickness: float) -> float:
    """Strength of one specimen from force and size [MPa], by the formula of its kind of test."""
    if row.kind == "flexure":
        return flexural_strength(force, row.span or 0.0, width, thickness)
    if row.kind == "short beam":
        return short_beam_strength(force, width, thickness)
    return tensile_strength(force, width, thickness)


def _series(evidence: Evidence, rows: Sequence[StrengthTest]) -> Iterable[Finding]:
    first = rows[0]
    key = Key("LAM-08", DESIGN, first.zone, first.series)
    values = [of_force(row, row.force, row.width, row.thickness) for row in rows]
    asked = limits(evidence, key.check, DESIGN, place=first.zone, condition=first.series)
    like = Expected.of(evidence, rows)
    wanted, doubts = default_beside(like, asked, rows)
    machine = used(evidence, rows, "machine", "force", "N", "force")
    size = used(evidence, rows, "caliper", "length", "mm", "thickness")
    about = _about(rows, values, (machine, size))
    if len(values) < 2:
        alone = replace(about, caps=(*about.caps, ONE_ALONE))
        return (
            unjudged(key, Verdict.INCONCLUSIVE, f"{ONE_ALONE} {NO_DESIGN_VALUE}", about, wanted),
            *_basis(evidence, key, values, (), about),
            *stiffness_of(evidence, like, rows, alone),
        )
    parts = _of_design(_parts(rows, design_value, machine, size), values)
    return (
        *judge(
            key,
            Quantity.combined(design_value(values), "MPa", parts),
            wanted,
            replace(about, caps=(*about.caps, *doubts)),
        ),
        *_basis(evidence, key, values, _parts(rows, tolerance_limit, machine, size), about),
        *stiffness_of(evidence, like, rows, about),
    )


def _basis(
    evidence: Evidence, key: Key, values: Sequence[float], parts: tuple[Part, ...], about: About
) -> tuple[Finding, ...]:
    basis, limit = replace(key, quantity=BASIS), _basis_limit(evidence, key)
    fewest = rule("fewest for a basis value")
    if len(values) < fewest:
        words = f"A limit is set for it, and it takes {fewest:g} specimens; there are {len(values)}."
        return (unjudged(basis, Verdict.INCONCLUSIVE, words, about, limit),) if limit.specified is not None else ()
    level = _normality(values)
    if level is None or level < rule("significance of normality"):
        about = replace(about, caps=(*about.caps, NOT_NORMAL))
    return judge(basis, Quantity.combined(tolerance_limit(values), "MPa", parts), limit, about)


def _basis_limit(evidence: Evidence, key: Key) -> Limits:
    return limits(evidence, key.check, BASIS, place=key.place, condition=key.condition)


def _parts(
    rows: Sequence[StrengthTest], result: Callable[[Sequence[float]], float], machine: Used, size: Used
) -> tuple[Part, ...]:
    """Machine and caliper carried into a result of the whole series: an error of either is the same in all specimens.

    So each specimen's force, width and thickness is shifted by as much, and the result is taken of them all.
    """
    if not machine.parts or not size.parts:
        return ()
    middle = {name: statistics.fmean(getattr(row, name) for row in rows) for name in ("force", "width", "thickness")}

    def of_all(**moved: float) -> float:
        by = {name: value - middle[name] for name, value in moved.items()}
        return result([of_force(row, **{name: getattr(row, name) + by[name] for name in by}) for row in rows])

    given = {name: (value, machine.parts if name == "force" else size.parts, name) for name, value in middle.items()}
    return tuple(part for part in carried(of_all, given) if part.standard)


def _of_design(parts: tuple[Part, ...], values: Sequence[float]) -> tuple[Part, ...]:
    """The parts of the design value: those of the instruments, and that a few specimens stand for all."""
    if not parts:
        return ()
    return (*parts, Part(f"sampling, {len(values)} specimens", design_scatter(values), len(values) - 1))


def _normality(values: Sequence[float]) -> float | None:
    """Observed significance level of normality; None where it cannot be had."""
    try:
        return normality(values)
    except OutOfRange:
        return None


def _about(rows: Sequence[StrengthTest], values: Sequence[float], uses: tuple[Used, Used]) -> About:
    machine, size = uses
    mean = statistics.fmean(values)
    first = rows[0]
    shown = ", ".join(f"{row.number}: {fixed(value, 1)}" for row, value in zip(rows, values, strict=True))
    caps = [*machine.caps, *size.caps]
    for name in ALIKE:
        words = sorted({str(getattr(row, name)) for row in rows})
        if len(words) > 1:
            caps.append(f"The series mixes {listed(words)} ({name}): results are never pooled across them.")
    places = sorted({row.zone for row in rows})
    if len(places) > 1:
        caps.append(f"The series names {listed(places)}: it cannot stand for two zones.")
    held = f"direction {first.direction}, {first.conditioning}, {first.speed:g} mm/min"
    return About(
        method=f"{first.method}, {first.kind}, {held}, {first.laboratory}",
        period=period(row.at for row in rows),
        instruments=tuple(dict.fromkeys((*machine.instruments, *size.instruments))),
        at=tuple(row.where for row in rows),
        working=(f"strengths in MPa, {shown}", *_worked(values, mean)),
        notes=(*_said(rows, values), *machine.notes, *size.notes),
        caps=tuple(caps),
    )


def _worked(values: Sequence[float], mean: float) -> tuple[str, ...]:
    if len(values) < 2:
        return ()
    scatter = statistics.stdev(values)
    return (
        f"n {len(values)}, mean {fixed(mean, 1)}, least {fixed(min(values), 1)}, s {fixed(scatter, 2)}, "
        f"CV {fixed(100.0 * scatter / mean, 1)} %",
        f"0.9 × mean = {fixed(0.9 * mean, 1)}, mean − 2 s = {fixed(mean - 2.0 * scatter, 1)}: the lesser counts",
        f"sampling: {_how_sampled(values)} = {fixed(design_scatter(values), 2)}",
    )


def _how_sampled(values: Sequence[float]) -> str:
    """The standard uncertainty of a design value from sampling, in letters: of whichever form counts."""
    nine_tenths = 0.9 * statistics.fmean(values) <= statistics.fmean(values) - 2.0 * statistics.stdev(values)
    return "0.9 × s / √n" if nine_tenths else "s × √(1 / n + 2 / (n − 1))"


def _said(rows: Sequence[StrengthTest], values: Sequence[float]) -> tuple[str, ...]:
    broke = listed(dict.fromkeys(row.failure for row in rows if row.failure))
    notes = [f"How they broke: {broke}."] if broke else []
    odd = outliers(values)
    if odd:
        rest = [value for i, value in enumerate(values) if i not in odd]
        names = listed(str(rows[i].number) for i in odd)
        without = fixed(design_value(rest), 1) if len(rest) > 1 else "none"
        notes.append(
            f"Specimen {names} lies farther out than chance puts it (5 %). It is kept; "
            f"without it the value is {without} MPa."
        )
    fewest = rule("fewest for a basis value")
    if len(values) < fewest:
        notes.append(f"No B-basis value is shown: with fewer than {fewest:g} specimens it says more of their number.")
    else:
        k = tolerance_factor(len(values))
        notes.append(f"B-basis: mean − {fixed(k, 3)} s, for {len(values)} specimens.")
        level = _normality(values)
        if level is not None:
            fits = "fits" if level >= rule("significance of normality") else "does not fit"
            notes.append(f"The sample {fits} the normal distribution (observed significance level {fixed(level, 3)}).")
    return tuple(notes)
