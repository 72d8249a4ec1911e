"""LAM-07 the resin is hard, by readings enough for their scatter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from buildbook.chapters.laminate.formulas.hardness import readings_needed
from buildbook.chapters.laminate.records import Material, Ply
from buildbook.chapters.laminate.subjects import (
    MAYBE_PAINT,
    paint_unknown,
    plan_of_readings,
    rule,
    rule_term,
    scheduled_zones,
)
from buildbook.chapters.shared_records import Hardness, Place
from buildbook.chapters.subjects import absent, asked_places, attempts, limits, mean_of, used
from buildbook.chapters.surplus import judged_as_planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import fixed
from buildbook.formulas import OutOfRange
from buildbook.sources import table, term

WITHOUT = "is not there, so the hardness that the resin maker gives is not known."
MEAN, NUMBER = "mean hardness", "readings for the scatter"


def hard_enough(evidence: Evidence) -> Iterable[Finding]:
    """LAM-07: mean Barcol hardness of every zone, and whether the readings are enough for their scatter."""
    painted = {place.place for place in evidence.of(Place) if place.painted}
    read = set(evidence.values(Hardness, "place")) - (painted - set(scheduled_zones(evidence)))
    for zone in sorted({*asked_places(evidence, "LAM-07", Hardness.table.file, MEAN, NUMBER), *read}):
        for attempt in attempts(evidence, Hardness, place=zone):
            rows = evidence.of(Hardness, place=zone, attempt=attempt)
            if not rows:
                for quantity in (MEAN, NUMBER):
                    words = "No hardness reading of this zone."
                    key = Key("LAM-07", quantity, zone, attempt=attempt)
                    yield absent(evidence, Hardness, key, Verdict.NOT_MEASURED, words)
                continue
            if paint_unknown(evidence, zone):
                for quantity in (MEAN, NUMBER):
                    key, at = Key("LAM-07", quantity, zone, attempt=attempt), tuple(row.where for row in rows)
                    wanted = limits(evidence, key.check, quantity, place=zone)
                    yield unjudged(key, Verdict.INCONCLUSIVE, MAYBE_PAINT, About(at=at), wanted)
                continue
            yield from judged_as_planned(evidence, "LAM-07", rows, lambda some: _mean(evidence, some))
            yield from _number(evidence, rows)


def _mean(evidence: Evidence, rows: Sequence[Hardness]) -> Iterable[Finding]:
    use = used(evidence, rows, "instrument", "Barcol hardness", "1", "barcol")
    measured, about = mean_of(rows, "barcol", "1", use, "Barcol impressor 934-1, ")
    key = Key("LAM-07", MEAN, rows[0].place, attempt=rows[0].attempt)
    gone = [kind.table.file for kind in (Ply, Material) if kind in evidence.missing]
    unknown = tuple(f"{file} {WITHOUT}" for file in gone)
    about = replace(about, caps=(*about.caps, *unknown))
    asked = limits(evidence, key.check, MEAN, place=key.place)
    return judge(key, measured, Limits(asked.specified, _by_the_maker(evidence, key.place)), about)


def _by_the_maker(evidence: Evidence, zone: str) -> Limit | None:
    """The share of the maker's hardness that counts as cured, of two resins the harder; None without a sheet."""
    names = {row.resin for row in evidence.of(Ply, zone=zone)}
    resins = [evidence.one(Material, material=name) for name in sorted(names)]
    given = [row for row in resins if row is not None and row.hardness is not None]
    if not given or len(given) < len(names):
        return None
    hardest = max(given, key=lambda row: row.hardness or 0.0)
    words = f"{hardest.hardness:g} Barcol for the cured resin {hardest.material}"
    sheet = Term(
        words, Standing.BUILDER, "the resin maker's data sheet", hardest.sheet or "", hardest.revision or "",
        at=hardest.where,
    )  # fmt: skip
    share = rule("share of the maker's hardness") / 100.0
    return Limit("1", (sheet, rule_term("share of the maker's hardness")), low=share * (hardest.hardness or 0.0))


def _number(evidence: Evidence, rows: Sequence[Hardness]) -> Iterable[Finding]:
    use = used(evidence, rows, "instrument", "Barcol hardness", "1", "barcol")
    measured, about = mean_of(rows, "barcol", "1", use, "readings counted, ")
    key = Key("LAM-07", NUMBER, rows[0].place, attempt=rows[0].attempt)
    asked = limits(evidence, key.check, NUMBER, place=key.place)
    try:
        needed = readings_needed(measured.value, plan_of_readings())
    except OutOfRange as reason:
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", about, asked)
        return
    printed = term(table("barcol_readings")[0])
    words = f"{needed} readings at a mean of {fixed(measured.value, 1)} Barcol"
    about = replace(about, working=(*about.working, _by_the_table(measured.value, needed)))
    limit = Limit("1", (Term(words, printed.standing, printed.set_by, clause=printed.clause, source=printed.source),),
                  low=float(needed))  # fmt: skip
    yield from judge(key, Quantity.count(len(rows)), Limits(asked.specified, limit), about)


def _by_the_table(level: float, needed: int) -> str:
    """The printed levels beside a mean, and what the line between them gives."""
    plan = plan_of_readings()
    near: Sequence[tuple[float, int]] = next((pair for pair in pairwise(plan) if level <= pair[1][0]), plan[-1:])
    words = " and ".join(f"{number} at {at:g}" for at, number in near)
    between = ", a straight line between, rounded up" if len(near) > 1 else ""
    return f"readings by table 1 of the method: {words} Barcol{between}: {needed} at {fixed(level, 2)}"
