"""A comparison as page and print tell it: figures in the units asked for. Its data stay in those of the columns."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.limit import Limit
from buildbook.core.shown_units import ShownUnits
from buildbook.core.wording import limit_text
from buildbook.restated.figures import finding_in, size_of
from buildbook.restated.pairs import Pair as Units
from buildbook.restated.pairs import apart, pair_of
from buildbook.restated.texts import Telling
from buildbook.second.comparing import Compared
from buildbook.second.comparison import Allowed, Drawn, Lone, Pair, Side, Stated
from buildbook.second.sides import text_of


def in_units(compared: Compared, shown: ShownUnits) -> Compared:
    """The same comparison with every figure in these units; outcomes and verdicts are those that were found."""
    if shown is ShownUnits.METRIC:
        return compared
    drawn = {number: _drawn(two) for number, two in compared.drawn.items()}
    comparison = compared.comparison
    told = replace(
        comparison,
        pairs=tuple(_pair(pair, compared.drawn[pair.number], drawn[pair.number]) for pair in comparison.pairs),
        in_words=tuple(_pair(pair, compared.drawn[pair.number], drawn[pair.number]) for pair in comparison.in_words),
        surveyor_only=tuple(map(_lone, comparison.surveyor_only)),
        yard_only=tuple(map(_lone, comparison.yard_only)),
        limitations=tuple(map(Telling(), comparison.limitations)),
    )
    return replace(compared, comparison=told, drawn=drawn)


def _drawn(two: Drawn) -> Drawn:
    return Drawn(*(finding_in(it, Telling(it.key.check)) for it in (two.yard, two.surveyor)))


def _pair(pair: Pair, two: Drawn, told: Drawn) -> Pair:
    """`two` are the findings behind it, `told` the same with their figures in the other units."""
    tell, size = Telling(pair.subject.check), max(size_of(two.yard), size_of(two.surveyor))
    units = pair_of(pair.yard.unit, pair.subject.check, size)
    return replace(
        pair,
        subject=replace(pair.subject, quantity=tell(pair.subject.quantity)),
        surveyor=_side(pair.surveyor, units, tell, text_of(told.surveyor)),
        yard=_side(pair.yard, units, tell, text_of(told.yard)),
        limit=_allowed(pair.limit, tell, two.yard.limit, told.yard.limit),
        why=tuple(map(tell, pair.why)),
        difference=apart(pair.difference, units),
        joint=apart(pair.joint, units),
        matters=apart(pair.matters, units),
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
        side=_side(line.side, units, tell, tell(line.side.text)),
        limit=tell(line.limit),
        notes=tuple(map(tell, line.notes)),
    )


def _side(side: Side, units: Units | None, tell: Telling, text: str) -> Side:
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
        expanded=apart(side.expanded, units),
        standard=apart(side.standard, units),
        parts=tuple(replace(part, standard=units.number(part.standard, difference=True)) for part in told.parts),
        expanded_at_95=apart(side.expanded_at_95, units),
    )


def _stated(it: Stated, check: str) -> Stated:
    units = pair_of(it.unit, check)
    if units is None:
        return it
    return replace(it, unit=units.us, resolution=apart(it.resolution, units), uncertainty=apart(it.uncertainty, units))


def _allowed(limit: Allowed | None, tell: Telling, before: Limit | None, after: Limit | None) -> Allowed | None:
    if limit is None or after is None:
        return limit
    words = limit_text(after) if limit.words == limit_text(before) else tell(limit.words)
    return replace(limit, low=after.low, high=after.high, unit=after.unit, words=words)
