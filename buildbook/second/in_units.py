"""A comparison as page and print tell it: figures in the units asked for. Its data stay in those of the columns."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.finding import Finding
from buildbook.core.finding_words import result_text
from buildbook.core.shown_units import ShownUnits
from buildbook.core.wording import limit_text
from buildbook.restated.figures import finding_in, size_of
from buildbook.restated.pairs import Pair as Units
from buildbook.restated.pairs import pair_of
from buildbook.restated.texts import Telling
from buildbook.second.comparing import Compared
from buildbook.second.comparison import Allowed, Drawn, Lone, Pair, Side, Stated


def in_units(compared: Compared, shown: ShownUnits) -> Compared:
    """The same comparison with every figure in these units; outcomes and verdicts are those that were found."""
    if shown is ShownUnits.METRIC:
        return compared
    drawn = {number: _drawn(two) for number, two in compared.drawn.items()}
    comparison = compared.comparison
    told = replace(
        comparison,
        pairs=tuple(_pair(pair, compared.drawn[pair.number]) for pair in comparison.pairs),
        in_words=tuple(_pair(pair, compared.drawn[pair.number]) for pair in comparison.in_words),
        surveyor_only=tuple(map(_lone, comparison.surveyor_only)),
        yard_only=tuple(map(_lone, comparison.yard_only)),
        limitations=tuple(map(Telling(), comparison.limitations)),
    )
    return replace(compared, comparison=told, drawn=drawn)


def _drawn(two: Drawn) -> Drawn:
    return Drawn(*(finding_in(it, Telling(it.key.check)) for it in (two.yard, two.surveyor)))


def _pair(pair: Pair, two: Drawn) -> Pair:
    tell, size = Telling(pair.subject.check), max(size_of(two.yard), size_of(two.surveyor))
    units = pair_of(pair.yard.unit, pair.subject.check, size)
    return replace(
        pair,
        subject=replace(pair.subject, quantity=tell(pair.subject.quantity)),
        surveyor=_side(pair.surveyor, units, tell, two.surveyor),
        yard=_side(pair.yard, units, tell, two.yard),
        limit=_allowed(pair.limit, tell, two.yard),
        why=tuple(map(tell, pair.why)),
        difference=_apart(pair.difference, units),
        joint=_apart(pair.joint, units),
        matters=_apart(pair.matters, units),
        without_limit=replace(tell, difference=True)(pair.without_limit),
        claims=tell(pair.claims),
        notes=tuple(map(tell, pair.notes)),
    )


def _lone(line: Lone) -> Lone:
    check = line.subject.check
    tell = Telling(check)
    units = pair_of(line.side.unit, check, abs(line.side.value or 0.0))
    return replace(
        line,
        subject=replace(line.subject, quantity=tell(line.subject.quantity)),
        side=_side(line.side, units, tell),
        limit=tell(line.limit),
        notes=tuple(map(tell, line.notes)),
    )


def _side(side: Side, units: Units | None, tell: Telling, finding: Finding | None = None) -> Side:
    text = tell(side.text) if finding is None else result_text(finding_in(finding, tell))
    told = replace(
        side,
        text=text,
        parts=tuple(replace(part, name=tell(part.name)) for part in side.parts),
        method=tell(side.method),
        instruments=tuple(map(tell, side.instruments)),
        stated=tuple(_stated(it, tell.check) for it in side.stated),
    )
    if units is None:
        return told
    return replace(
        told,
        value=None if side.value is None else units.number(side.value),
        unit=units.us,
        expanded=_apart(side.expanded, units),
        standard=_apart(side.standard, units),
        parts=tuple(replace(part, standard=units.number(part.standard, difference=True)) for part in told.parts),
        expanded_at_95=_apart(side.expanded_at_95, units),
    )


def _stated(it: Stated, check: str) -> Stated:
    units = pair_of(it.unit, check)
    if units is None:
        return it
    return replace(
        it, unit=units.us, resolution=_apart(it.resolution, units), uncertainty=_apart(it.uncertainty, units)
    )


def _allowed(limit: Allowed | None, tell: Telling, yard: Finding) -> Allowed | None:
    made = finding_in(yard, tell).limit
    if limit is None or made is None:
        return limit
    words = limit_text(made) if limit.words == limit_text(yard.limit) else tell(limit.words)
    return replace(limit, low=made.low, high=made.high, unit=made.unit, words=words)


def _apart(value: float | None, units: Units | None) -> float | None:
    return value if value is None or units is None else units.number(value, difference=True)
