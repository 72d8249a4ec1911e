"""SHA-01: the shaft that was fitted beside the diameters that three rules ask for, each for its own service."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.shafting.formulas.diameter import (
    class_diameter,
    passenger_diameter,
    torsional_yield,
    yacht_diameter,
)
from buildbook.chapters.shafting.records import Shaft, ShaftEnd
from buildbook.chapters.shafting.subjects import RULES, Subject, about, not_drawn, reading, rule
from buildbook.chapters.subjects import by_paper, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.sources import printed_rule, term

CHECK = "SHA-01"
FITTED = "shaft diameter"
YACHT, PASSENGER, SHIP = "yacht", "small passenger vessel", "seagoing ship"
BY_RULE = {
    YACHT: "diameter by the rule for yachts",
    PASSENGER: "diameter by the rule for small passenger vessels",
    SHIP: "diameter by the class rule for seagoing ships",
}
NOT_HER_SERVICE = "This rule is for another service than hers. A yacht's shaft is not judged by it."
NOT_NAMED = "The specification names no rule. So no rule judges the diameter; each is shown for information."
NOTHING = "No diameter of this shaft was measured."


def fitted(evidence: Evidence) -> Iterable[Finding]:
    """SHA-01: the diameter of every shaft, and what the rules ask for."""
    return Subject(CHECK, ShaftEnd, (FITTED,), NOTHING, _attempt).findings(evidence)


def asked_by(shaft: Shaft, service: str) -> float | None:
    """The diameter that the rule for a service asks of a shaft [mm]; None for yachts without a service factor."""
    if service == PASSENGER:
        protection = rule("corrosion resistant")
        return passenger_diameter(shaft.power, shaft.speed, shaft.strength, shaft.propeller, protection)
    if service == SHIP:
        return class_diameter(shaft.power, shaft.speed, shaft.strength, rule("keyed"))
    if shaft.factor is None:
        return None
    return yacht_diameter(shaft.power, shaft.factor, torsional_yield(shaft.tensile_yield), shaft.speed)


def _attempt(evidence: Evidence, part: str, attempt: int, rows: Sequence[ShaftEnd]) -> Iterable[Finding]:
    row, key = rows[0], Key(CHECK, FITTED, part, "", attempt)
    shaft = evidence.one(Shaft, part=part)
    if shaft is None:
        yield not_drawn(evidence, key, rows)
        return
    use = reading(evidence, [row], "diameter", "micrometer", "diameter")
    measured = Quantity.combined(row.diameter, "mm", use.parts)
    wanted = limits(evidence, CHECK, FITTED, place=part)
    governing, working = _named(shaft)
    told = about("smallest of several at the top of the taper", [row], use, working)
    if governing is None:
        yield from judge(key, measured, wanted, replace(told, notes=(*told.notes, NOT_NAMED)))
    else:
        yield from judge(key, measured, Limits(wanted.specified, governing), told)
    for service, quantity in BY_RULE.items():
        if service != shaft.service:
            yield from _other(shaft, replace(key, quantity=quantity), service)


def _named(shaft: Shaft) -> tuple[Limit | None, tuple[str, ...]]:
    """The diameter by the rule that the specification names, as a limit with its paper and its source."""
    least = asked_by(shaft, shaft.service) if shaft.service is not None else None
    if shaft.service is None or least is None:
        return None, ()
    paper = by_paper(_named_words(shaft), shaft, "service")
    source = term(printed_rule(RULES, shaft.service))
    words = f"At least {fixed(least, 1)} mm by the rule for {_many(shaft.service)}."
    return Limit("mm", (paper, source), low=least, natural_low=0.0, words=words), (_figures(shaft, least),)


def _named_words(shaft: Shaft) -> str:
    factor = f", service factor {plain_number(shaft.factor)}" if shaft.factor is not None else ""
    return f"rule for {_many(shaft.service or '')}{factor}"


def _many(service: str) -> str:
    return f"{service}s"


def _figures(shaft: Shaft, least: float) -> str:
    given = f"{plain_number(shaft.power)} kW at {plain_number(shaft.speed)} r/min"
    if shaft.service == YACHT:
        torsion = fixed(torsional_yield(shaft.tensile_yield), 0)
        given += f", service factor {plain_number(shaft.factor or 0.0)}, yield in torsion {torsion} MPa"
    return f"{given}: at least {fixed(least, 1)} mm"


def _other(shaft: Shaft, key: Key, service: str) -> Iterable[Finding]:
    """What a rule for another service would ask for: for information, never a verdict on this shaft."""
    least = asked_by(shaft, service)
    if least is None:
        return
    at = About(
        method=f"worked out by the rule for {_many(service)}",
        at=(shaft.where,),
        working=(_figures(shaft.model_copy(update={"service": service}), least),),
        notes=(NOT_HER_SERVICE,) if shaft.service is not None else (),
    )
    yield from judge(key, Quantity.count(least, "mm"), Limits(), at)
