"""LAM-11 the core is bonded to the skins."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.laminate.formulas.strength import flatwise_strength
from buildbook.chapters.laminate.records import BondFinding, BondSurvey, CoreBond, Material
from buildbook.chapters.laminate.subjects import rule, rule_term
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import absent, asked_places, attempts, limits, used
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import fixed, plain_number

STRENGTH, IN_CORE, AREA, OPEN = "flatwise strength", "share broken in the core", "area looked at", "place found open"
HALF = "share broken in the core"  # the printed rule
GLUED = "The glue of the test blocks let go first, so the bond holds at least this much."


def core_bond(evidence: Evidence) -> Iterable[Finding]:
    """LAM-11: pieces pulled apart, and the survey of the whole area."""
    for row in evidence.of(CoreBond):
        yield from _pulled(evidence, row)
    for gone in evidence.lost(CoreBond):
        name = gone.get("specimen") or str(gone.where.row)
        for quantity in (STRENGTH, IN_CORE):
            key = Key("LAM-11", quantity, gone.get("zone") or "", name, gone.get("attempt") or 1)
            wanted = limits(evidence, "LAM-11", quantity, place=key.place)
            words = "The row of this specimen cannot be used."
            yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=(gone.where,)), wanted)
    for zone, asked in asked_places(evidence, "LAM-11", CoreBond.table.file, STRENGTH, IN_CORE).items():
        if zone not in evidence.values(CoreBond, "zone"):
            words = f"{asked}, and no piece of this zone was pulled apart."
            for quantity in (STRENGTH, IN_CORE):
                yield absent(evidence, CoreBond, Key("LAM-11", quantity, zone), Verdict.NOT_MEASURED, words)
    yield from _surveys(evidence)
    yield from _places(evidence)


def _pulled(evidence: Evidence, row: CoreBond) -> Iterable[Finding]:
    machine = used(evidence, [row], "machine", "force", "N", "force")
    size = used(evidence, [row], "caliper", "length", "mm")
    stress = flatwise_strength(row.force, row.length, row.width)
    given = {
        "force": (row.force, machine.parts, "force"),
        "length": (row.length, size.parts, "length"),
        "width": (row.width, size.parts, "width"),
    }
    stated = machine.parts and size.parts
    parts = tuple(part for part in carried(flatwise_strength, given) if part.standard) if stated else ()
    glued = row.at_glue > rule(HALF)
    broke = f"{row.in_core:g} % in the core, {row.at_skin:g} % between core and skin, {row.at_glue:g} % at the glue"
    about = About(
        method="pulled apart after ASTM C297",
        period=Period(row.at, row.at),
        instruments=tuple(dict.fromkeys((*machine.instruments, *size.instruments))),
        at=(row.where,),
        working=(
            f"{row.force:g} N / ({row.length:g} mm × {row.width:g} mm) = {fixed(stress, 3)} MPa",
            f"broke {broke}",
        ),
        notes=(*((GLUED,) if glued else ()), *machine.notes, *size.notes),
        caps=(*machine.caps, *size.caps),
    )
    measured = Quantity.combined(stress, "MPa", parts, kind=Kind.AT_LEAST if glued else Kind.MEASURED)
    key = Key("LAM-11", STRENGTH, row.zone, row.specimen, row.attempt)
    asked = limits(evidence, key.check, STRENGTH, place=row.zone)
    sheet = _of_the_core(evidence, row)
    yield from judge(key, measured, Limits(asked.specified, sheet), about, observed=broke)
    shared = replace(about, notes=(GLUED,) if glued else (), caps=())
    share = _share(row)
    key = replace(key, quantity=IN_CORE)
    asked = limits(evidence, key.check, IN_CORE, place=row.zone)
    yield from judge(key, share, Limits(asked.specified, _mostly_core()), shared, observed=broke)


def _share(row: CoreBond) -> Quantity:
    """The share that broke in the core [%]; what broke at the glue might have broken there or at the skin."""
    most = row.in_core + row.at_glue
    parts = () if row.unsure is None else (Part("estimate of the share", row.unsure / 2.0),)
    if row.at_glue > 0 and decide(Quantity(most, "%", kind=Kind.AT_MOST), _mostly_core()).verdict.missed:
        return Quantity.combined(most, "%", parts, kind=Kind.AT_MOST)
    return Quantity.combined(row.in_core, "%", parts, kind=Kind.AT_LEAST if row.at_glue > 0 else Kind.MEASURED)


def _mostly_core() -> Limit:
    return Limit("%", (rule_term(HALF),), low=rule(HALF), low_strict=True, guard=0.0,
                 natural_low=0.0, natural_high=100.0)  # fmt: skip


def _of_the_core(evidence: Evidence, row: CoreBond) -> Limit | None:
    """The strength that the maker gives for the core: a good bond is stronger than that."""
    core = evidence.one(Material, material=row.core)
    if core is None or core.strength is None:
        return None
    words = f"{core.strength:g} MPa across the sheet for the core {core.material}"
    who = "the core maker's data sheet in the builder's folder"
    sheet = Term(words, Standing.BUILDER, who, core.sheet or "", core.revision or "", at=core.where)
    return Limit("MPa", (sheet, rule_term("bond stronger than the core")), low=core.strength)


def _surveys(evidence: Evidence) -> Iterable[Finding]:
    asked = asked_places(evidence, "LAM-11", BondSurvey.table.file, AREA)
    zones = sorted({*evidence.values(BondSurvey, "zone"), *asked})
    for zone in zones:
        for attempt in attempts(evidence, BondSurvey, zone=zone):
            key = Key("LAM-11", AREA, zone, attempt=attempt)
            row = evidence.one(BondSurvey, zone=zone, attempt=attempt)
            if row is None:
                words = "No survey of the bond in this zone."
                yield absent(evidence, BondSurvey, key, Verdict.NOT_MEASURED, words)
            else:
                yield from _survey(evidence, key, row)


def _survey(evidence: Evidence, key: Key, row: BondSurvey) -> Iterable[Finding]:
    about = About(
        method=f"{row.method}, {row.tool}, every {plain_number(row.pitch)} mm",
        period=Period(row.at, row.at),
        at=(row.where,),
        working=(f"{row.covered:g} m² of {row.area:g} m²; {counted(row.found, 'place')} found",),
        notes=_missing_places(evidence, row),
    )
    share = 100.0 * row.covered / row.area
    observed = f"{counted(row.found, 'place')} found"
    wanted = limits(evidence, key.check, AREA, place=row.zone)
    unsure = () if row.uncertainty is None else (Part("estimate of the area", 50.0 * row.uncertainty / row.area),)
    yield from judge(key, Quantity.combined(share, "%", unsure), wanted, about, observed=observed)


def _missing_places(evidence: Evidence, row: BondSurvey) -> tuple[str, ...]:
    """That the list is shorter than what this survey and those before it found."""
    found = sum(one.found for one in evidence.of(BondSurvey, zone=row.zone) if one.attempt <= row.attempt)
    listed = len(evidence.of(BondFinding, zone=row.zone))
    lost = {one.where for one in evidence.lost(BondFinding, zone=row.zone)}
    if len(lost.union(one.where for one in evidence.of(BondFinding, zone=row.zone))) >= found:
        return ()
    surveys = "The survey" if row.attempt == 1 else f"The surveys up to attempt {row.attempt}"
    return (f"{surveys} found {counted(found, 'place')}; {BondFinding.table.file} lists {listed}.",)


def _places(evidence: Evidence) -> Iterable[Finding]:
    for survey in evidence.of(BondSurvey):
        for words in _missing_places(evidence, survey):
            key = Key("LAM-11", OPEN, survey.zone, attempt=survey.attempt)
            about = About(at=(survey.where,))
            yield unjudged(key, Verdict.NO_RECORD, words, about, limits(evidence, "LAM-11", OPEN, place=survey.zone))
    for row in evidence.of(BondFinding):
        yield from _place(row, limits(evidence, "LAM-11", OPEN, place=row.zone))
    for gone in evidence.lost(BondFinding):
        yield from _unreadable(evidence, gone)


def _place(row: BondFinding, wanted: Limits) -> Iterable[Finding]:
    """One place, twice: as it was found, which no repair undoes, and as it was left."""
    size = f"{row.length:g} mm × {row.width:g} mm, {row.what}"
    found = Key("LAM-11", OPEN, row.zone, row.finding)
    about = About(method="list of places found open", at=(row.where,), working=(f"found {row.found_on}: {size}",))
    yield from judge_fact(found, False, size, wanted, about)
    left = replace(found, attempt=2)
    if row.result is None:
        words = "Repaired, and not looked at again." if row.repair else "No repair is on record."
        yield unjudged(left, Verdict.NO_RECORD if row.repair else Verdict.NOT_MEASURED, words, about, wanted)
        return
    day = f" {row.repaired_on}" if row.repaired_on else ""
    said = f"Repaired{day}: {row.repair}." if row.repair else "No repair is on record."
    worked = (*about.working, f"looked at again {row.tested_on}: {row.result}")
    about = replace(about, working=worked, notes=(said,), work=row.repair or "")
    yield from judge_fact(left, row.result == "sound" and bool(row.repair), row.result, wanted, about)


def _unreadable(evidence: Evidence, gone: Unread) -> Iterable[Finding]:
    """A place whose row cannot be used: that it is in the list says that it was found open; how it was left is lost."""
    found = Key("LAM-11", OPEN, gone.get("zone") or "", gone.get("finding") or str(gone.where.row))
    wanted, about = limits(evidence, "LAM-11", OPEN, place=found.place), About(at=(gone.where,))
    words = "The row of this place cannot be used."
    yield from judge_fact(found, False, "in the list of places found open", wanted, replace(about, notes=(words,)))
    yield unjudged(replace(found, attempt=2), Verdict.INCONCLUSIVE, words, about, wanted)
