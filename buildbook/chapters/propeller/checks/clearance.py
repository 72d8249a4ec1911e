"""PRO-15: the gap between blade tips and hull, beside customary practice and a class recommendation."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.propeller.checks.found import NOT_ORDERED
from buildbook.chapters.propeller.drive_records import Clearance, Drive
from buildbook.chapters.propeller.drive_subjects import EACH, RULES, asked, rule, rule_limit
from buildbook.chapters.propeller.formulas.clearance import clearance_factor, recommended_share
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.readings import scaled
from buildbook.chapters.subjects import Used, absent, attempts, limits, period, used
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number
from buildbook.sources import printed_rule, table, term

CHECK = "PRO-15"
GAP, BRACKET = "tip clearance", "clearance to the bracket"
COLUMNS = {GAP: "tip", BRACKET: "bracket"}
PRINTED = {GAP: ("tip_multiple", "tip_least"), BRACKET: ("bracket_multiple", "bracket_least")}
SCREWS = {1: "single screw", 2: "twin screws"}
ADVICE = (
    "This is a recommendation of a class society against vibration, not a requirement. It is stricter than what is "
    "usual on yachts; to miss it is no defect by itself."
)
NO_GAP_SET = "The builder's drawing sets no gap here. So the figure that is usual for yachts in general counts."
QUIET, BY_CLASS = "is usual for high power or a quiet boat", "is what a class society recommends against vibration"
NO_ROW = "No row of this measurement can be used."
NOT_TO_THE_BRACKET = "The distance to the shaft bracket is not on record."


def cleared(evidence: Evidence) -> Iterable[Finding]:
    """PRO-15: every measurement of every propeller; the class recommendation as a reference beside it."""
    for propeller in asked(evidence, CHECK, Clearance):
        rows = evidence.of(Clearance, propeller=propeller)
        lost = [row for row in evidence.lost(Clearance, propeller=propeller) if row.get("propeller") == propeller]
        for attempt in attempts(evidence, Clearance, propeller=propeller) if rows or lost else ():
            yield from _attempt(evidence, propeller, attempt)
        if not rows and not lost:
            words = "No gap between this propeller and the hull is on record."
            for quantity in _quantities(evidence, propeller):
                yield absent(evidence, Clearance, Key(CHECK, quantity, propeller), Verdict.NOT_MEASURED, words)


def _quantities(evidence: Evidence, propeller: str) -> tuple[str, ...]:
    """What is asked of a propeller: the tips; the bracket where the builder limits it or any row holds it."""
    limited = limits(evidence, CHECK, BRACKET, place=propeller).specified is not None
    return (GAP, BRACKET) if limited or any(row.bracket for row in evidence.of(Clearance)) else (GAP,)


def _attempt(evidence: Evidence, propeller: str, attempt: int) -> Iterable[Finding]:
    rows = evidence.of(Clearance, propeller=propeller, attempt=attempt)
    key = Key(CHECK, GAP, propeller, "", attempt)
    ordered = evidence.one(Propeller, propeller=propeller)
    if not rows or ordered is None:
        why = NO_ROW if not rows else NOT_ORDERED
        at = About(at=tuple(row.where for row in rows))
        for quantity in _quantities(evidence, propeller):
            wanted = limits(evidence, CHECK, quantity, place=propeller)
            yield unjudged(replace(key, quantity=quantity), Verdict.INCONCLUSIVE, why, at, wanted)
        return
    for row in rows:
        for quantity in _quantities(evidence, propeller):
            its = replace(key, quantity=quantity)
            if getattr(row, COLUMNS[quantity]) is not None:
                yield from _gap(evidence, its, ordered, row)
            else:
                wanted = limits(evidence, CHECK, quantity, place=propeller)
                yield unjudged(its, Verdict.NOT_MEASURED, NOT_TO_THE_BRACKET, About(at=(row.where,)), wanted)


def _gap(evidence: Evidence, key: Key, ordered: Propeller, row: Clearance) -> Iterable[Finding]:
    column = COLUMNS[key.quantity]
    gap = getattr(row, column)
    use = used(evidence, [row], "instrument", "distance", "mm", column)
    found = Part("finding the nearest place", row.uncertainty / 2.0)
    parts = (*use.parts, found) if use.parts else ()
    share = EACH / ordered.diameter
    measured = Quantity.combined(share * gap, "%", scaled(parts, share))
    about = _about(row, use, f"{plain_number(gap)} mm of {plain_number(ordered.diameter)} mm diameter")
    wanted, practice = _without_practice_beside(limits(evidence, CHECK, key.quantity, place=key.place))
    by_class, told = class_recommendation(evidence, ordered, key.quantity)
    why_not = () if by_class is not None else told
    stricter = (*_why_practice(wanted), *_stricter(wanted, key.quantity, measured, by_class))
    yield from judge(key, measured, wanted, replace(about, notes=(*stricter, *about.notes, *practice, *why_not)))
    if by_class is not None:
        beside = replace(about, working=(*about.working, *told), notes=(*about.notes, ADVICE))
        yield from judge(replace(key, role=Role.REFERENCE), measured, Limits(by_class), beside)


def _why_practice(wanted: Limits) -> tuple[str, ...]:
    """Why the usual figure counts: nobody set another one."""
    return (NO_GAP_SET,) if wanted.specified is None and wanted.reference is not None else ()


def _stricter(wanted: Limits, quantity: str, measured: Quantity, by_class: Limit | None) -> tuple[str, ...]:
    """The figures beyond the governing one that are missed, in words; none of them is required."""
    governing = wanted.specified or wanted.reference
    asked = governing.low if governing is not None and governing.low is not None else 0.0
    figures = [(rule_limit("gap for a quiet boat"), QUIET)] if quantity == GAP else []
    figures += [(by_class, BY_CLASS)] if by_class is not None else []
    missed = [
        f"{plain_number(round(limit.low or 0.0, 1))} % {words}"
        for limit, words in figures
        if (limit.low or 0.0) > asked and decide(measured, limit).verdict.missed
    ]
    if not missed:
        return ()
    one = len(missed) == 1
    told = f"{'A stricter figure is' if one else 'Stricter figures are'} missed: {listed(missed)}."
    return (f"{told} Nobody asked for {'it' if one else 'them'} here.",)


def _without_practice_beside(wanted: Limits) -> tuple[Limits, tuple[str, ...]]:
    """Where the builder sets a limit, practice is told in words: the place beside it is the class recommendation's.

    Else a recommendation that is missed would give way to practice that is met, once a figure of the hull is lost.
    """
    if wanted.specified is None or wanted.reference is None:
        return wanted, ()
    return Limits(wanted.specified), (f"Common practice, no source: {wanted.reference.words}",)


def _about(row: Clearance, use: Used, words: str) -> About:
    return About(
        method="measured at the nearest place",
        period=period([row.at]),
        instruments=use.instruments,
        at=(row.where,),
        working=(words,),
        notes=use.notes,
        caps=use.caps,
    )


def class_recommendation(evidence: Evidence, ordered: Propeller, quantity: str) -> tuple[Limit | None, tuple[str, ...]]:
    """The least gap that a class society recommends, and its figures; or None, and why it cannot be worked out."""
    drive = evidence.one(Drive, propeller=ordered.propeller)
    if drive is None or drive.power is None or drive.rule_length is None or drive.block is None:
        gone = "rule length, block coefficient and power on one shaft are not all on record"
        return None, (f"The class recommendation is not worked out: {gone} in {Drive.table.file}.",)
    printed = next((row for row in table("propeller_clearance") if row["blades"] == str(ordered.blades)), None)
    screws = SCREWS.get(len(evidence.values(Propeller, "propeller")))
    if printed is None or screws is None:
        return None, ("The class recommendation is for one or two propellers of 3 to 6 blades.",)
    factor = clearance_factor(rule(screws), drive.rule_length, drive.block, drive.power)
    multiple, least = (float(printed[name]) for name in PRINTED[quantity])
    share = recommended_share(multiple, factor, least)
    words = f"K = {fixed(factor, 4)}: at least {fixed(share, 1)} % of the diameter."
    rows = (printed, *(printed_rule(RULES, name) for name in (screws, "letters of the figure")))
    limit = Limit("%", tuple(term(row) for row in rows), low=share, natural_low=0.0, words=words)
    return limit, (_figures(drive, factor),)


def _figures(drive: Drive, factor: float) -> str:
    """The figures of the hull and of the shaft that a recommendation is worked out with, and who gave them."""
    given = (
        f"rule length {plain_number(drive.rule_length or 0.0)} m, block coefficient {plain_number(drive.block or 0.0)}"
    )
    paper = f"{drive.drawing} {drive.revision or ''}".strip()
    return f"{given}, {plain_number(drive.power or 0.0)} kW on one shaft ({paper}): K = {fixed(factor, 4)}"
