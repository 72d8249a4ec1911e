"""INF-06 resin used against resin predicted, INF-09 how fast it filled beside plain mat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from buildbook.chapters.infusion.formulas.flow import fill_time, glass_by_volume
from buildbook.chapters.infusion.formulas.vacuum import MINUTE
from buildbook.chapters.infusion.predicted import Predicted, predicted, stack_of
from buildbook.chapters.infusion.records import Area, Infusion, LogReading, Mix
from buildbook.chapters.infusion.subjects import NO_INFUSION, customary, parts, rule, sheet_of
from buildbook.chapters.looser import looser_note
from buildbook.chapters.readings import instrument_part, standard_of
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.chapters.subjects import Used, absent, limits, period, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.where import Where
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas import OutOfRange

RATIO = "resin used over resin predicted"
SPEED = "speed against plain mat"
NO_BALANCE = "Which balance weighed what was left over is not on record."
APART = (
    "One balance weighed mixes and what was left over. Both are far apart on its scale, so its error is not taken to "
    "cancel; where it is alike at both, the result is surer."
)
NOTHING_TO_PREDICT: dict[type[Ply] | type[Material], str] = {
    Ply: "The lay-up schedule holds no usable ply, so nobody can say how much resin the part should take.",
    Material: "No material is on record, so nobody can say how much resin the part should take.",
}
NOT_WHOLE = "A part of the prediction is not on record, so the part should take more than that and the ratio is lower."
ESTIMATED = "Open cells, mesh and hoses are reckoned with figures of experience"


def resin_used(evidence: Evidence) -> Iterable[Finding]:
    """INF-06: the part took about as much resin as its schedule says."""
    for part in parts(evidence, "INF-06"):
        key = Key("INF-06", RATIO, part)
        wanted = limits(evidence, key.check, RATIO, place=part)
        infusion = evidence.one(Infusion, part=part)
        zones, mixes = evidence.of(Area, part=part), evidence.of(Mix, part=part)
        if infusion is None:
            yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION)
        elif not mixes:
            yield absent(evidence, Mix, key, Verdict.NO_RECORD, "No mix of resin is on record.")
        elif not zones:
            yield absent(evidence, Area, key, Verdict.NO_RECORD, "No area of this part is on record.")
        elif infusion.left_over is None:
            at = About(at=(infusion.where,))
            yield unjudged(key, Verdict.NO_RECORD, "What was left over was not weighed.", at, wanted)
        elif gone := _not_there(evidence):
            yield absent(evidence, gone, key, Verdict.NO_RECORD, NOTHING_TO_PREDICT[gone])
        else:
            try:
                expected = predicted(evidence, infusion, zones)
            except OutOfRange as reason:
                at = About(at=tuple(row.where for row in zones))
                yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", at, wanted)
                continue
            yield from _ratio(evidence, key, infusion, expected)


def _not_there(evidence: Evidence) -> type[Ply] | type[Material] | None:
    """The first table without which nothing is predicted, of which no row can be used; None where both are there."""
    return next((kind for kind in NOTHING_TO_PREDICT if not evidence.of(kind)), None)


@dataclass(frozen=True, slots=True)
class Weighed:
    """What was mixed and what was left over [kg], with the balances of both; none where nothing was left."""

    mixes: Sequence[Mix]
    rest: float
    resin: Used
    hardener: Used
    left: Used | None

    @property
    def mixed(self) -> float:
        """All mixes [kg]."""
        return math.fsum(row.resin_mass + row.hardener_mass for row in self.mixes)

    @property
    def net(self) -> float:
        """What went into the part [kg]."""
        return self.mixed - self.rest

    @property
    def tools(self) -> tuple[Used, ...]:
        """The balances, of the mixes first."""
        return (self.resin, self.hardener, *((self.left,) if self.left is not None else ()))

    @property
    def one_for_both(self) -> bool:
        """Whether one balance weighed mixes and what was left over."""
        of_rest = self.left.instruments if self.left is not None else ()
        return bool({*of_rest} & {*self.resin.instruments, *self.hardener.instruments})

    def parts(self) -> tuple[Part, ...]:
        """What the balances leave open of the net mass [kg]; none where one of them states nothing."""
        if not all(use.parts for use in self.tools):
            return ()
        of_mixes = len(self.mixes) * (standard_of(self.resin.parts) + standard_of(self.hardener.parts))
        of_rest = (Part("balance of what was left over", standard_of(self.left.parts)),) if self.left else ()
        return (Part(f"balances, {counted(len(self.mixes), 'mix', 'mixes')}", of_mixes), *of_rest)


def _weighed(evidence: Evidence, infusion: Infusion) -> Weighed:
    mixes = evidence.of(Mix, part=infusion.part)
    resin = used(evidence, mixes, "resin_balance", "mass", "kg", "resin_mass")
    hardener = used(evidence, mixes, "hardener_balance", "mass", "kg", "hardener_mass")
    return Weighed(mixes, infusion.left_over or 0.0, resin, hardener, _balance_of_the_rest(evidence, infusion))


def _balance_of_the_rest(evidence: Evidence, infusion: Infusion) -> Used | None:
    """The balance of what was left over on the day of gel, after which that is weighed; None where nothing was left."""
    if not infusion.left_over:
        return None
    if infusion.left_balance is None:
        return Used((), (), (), (NO_BALANCE,))
    day = infusion.gelled or infusion.released or infusion.filled or infusion.started
    use = instrument_part(evidence, infusion.left_balance, "mass", "kg", [day], [infusion.left_over])
    return Used((infusion.left_balance,), use.parts, use.notes, use.caps)


def _ratio(evidence: Evidence, key: Key, infusion: Infusion, expected: Predicted) -> Iterable[Finding]:
    weighed, wanted = _weighed(evidence, infusion), limits(evidence, key.check, RATIO, place=key.place)
    if weighed.net <= 0.0 or expected.mass <= 0.0:
        at = About(at=_rows(evidence, infusion, expected))
        yield unjudged(key, Verdict.INCONCLUSIVE, "More was left over than was mixed, or none needed.", at, wanted)
        return
    ratio, balances = weighed.net / expected.mass, weighed.parts()
    made = (
        *(Part(part.name, ratio * part.standard / expected.mass) for part in expected.parts),
        *(Part(part.name, part.standard / expected.mass) for part in balances),
    )
    about = _about_ratio(evidence, infusion, expected, weighed, looser_note(wanted))
    observed = f"{fixed(weighed.net, 1)} kg used, {expected.least}{fixed(expected.mass, 1)} kg predicted"
    kind = Kind.AT_MOST if expected.least else Kind.MEASURED
    measured = Quantity.combined(ratio, "1", made if balances else (), kind=kind)
    yield from judge(key, measured, wanted, about, observed=observed)


def _rows(evidence: Evidence, infusion: Infusion, expected: Predicted) -> tuple[Where, ...]:
    """Where everything behind a ratio stands."""
    zones, mixes = evidence.of(Area, part=infusion.part), evidence.of(Mix, part=infusion.part)
    return (infusion.where, *(row.where for row in (*zones, *mixes)), *expected.at)


def _about_ratio(
    evidence: Evidence, infusion: Infusion, expected: Predicted, weighed: Weighed, looser: Sequence[str]
) -> About:
    mixes = counted(len(weighed.mixes), "mix", "mixes")
    share, net, tools = plain_number(rule("estimates of the designer")), fixed(weighed.net, 2), weighed.tools
    return About(
        method="weighed mixes less what was left, over schedule, core and mesh",
        period=period(row.mixed for row in weighed.mixes),
        instruments=tuple(dict.fromkeys(name for use in tools for name in use.instruments)),
        at=_rows(evidence, infusion, expected),
        working=(
            f"{mixes}, {fixed(weighed.mixed, 2)} kg, less {weighed.rest:g} kg left: {net} kg",
            *expected.working,
            f"{net} / {fixed(expected.mass, 2)} = {fixed(weighed.net / expected.mass, 3)}",
        ),
        notes=(
            *((NOT_WHOLE,) if expected.least else ()),
            f"{ESTIMATED}; they are taken as good to {share} % to either side (this book's own rule).",
            "A balance may err alike in all mixes, so its part grows with their number.",
            "The glass content is one figure for all zones, so its parts are added straight.",
            *((APART,) if weighed.one_for_both else ()),
            *dict.fromkeys(note for use in tools for note in use.notes),
            *looser,
        ),
        caps=(*expected.caps, *dict.fromkeys(cap for use in tools for cap in use.caps)),
    )


def fill_against_darcy(evidence: Evidence) -> Iterable[Finding]:
    """INF-09: how many times faster the part filled than plain mat would; information only."""
    for part in parts(evidence, "INF-09"):
        key = Key("INF-09", SPEED, part)
        infusion = evidence.one(Infusion, part=part)
        if infusion is None:
            yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION)
            continue
        lacks = _lacking(evidence, infusion)
        if lacks:
            at = About(at=(infusion.where,))
            yield unjudged(key, Verdict.NO_RECORD, f"Not on record: {lacks}.", at)
            continue
        assert infusion.filled is not None
        yield from _speed(evidence, key, infusion, infusion.filled)


def _lacking(evidence: Evidence, infusion: Infusion) -> str:
    """The first thing that the estimate needs and the folder does not hold; empty where it holds all."""
    sheet = sheet_of(evidence, infusion.part)
    if infusion.filled is None or infusion.flow_length is None:
        return "time of fill" if infusion.filled is None else "way of the resin"
    if sheet is None or sheet.viscosity is None:
        return "viscosity of the resin"
    if not _pressures(evidence, infusion, infusion.filled):
        return "bag pressure while the resin ran"
    return "" if _volume(evidence, infusion) is not None else "areas, glass and densities of the part"


def _pressures(evidence: Evidence, infusion: Infusion, filled: datetime) -> Sequence[LogReading]:
    rows = evidence.of(LogReading, part=infusion.part)
    return [row for row in rows if row.pressure is not None and infusion.started <= row.at <= filled]


def _volume(evidence: Evidence, infusion: Infusion) -> float | None:
    """Glass by volume [%] of a part, its zones by their areas; None where a figure is not on record."""
    resin = evidence.one(Material, material=infusion.resin)
    zones = evidence.of(Area, part=infusion.part)
    if resin is None or resin.density is None or not zones:
        return None
    shares = []
    for zone in zones:
        stack = stack_of(evidence, zone.zone)
        if stack.density is None:
            return None
        shares.append(zone.area * glass_by_volume(zone.glass, stack.density, resin.density))
    return math.fsum(shares) / math.fsum(zone.area for zone in zones)


def _speed(evidence: Evidence, key: Key, infusion: Infusion, filled: datetime) -> Iterable[Finding]:
    sheet, volume = sheet_of(evidence, key.place), _volume(evidence, infusion)
    rows = _pressures(evidence, infusion, filled)
    assert sheet is not None
    assert sheet.viscosity is not None
    assert volume is not None
    assert infusion.flow_length is not None
    bag = math.fsum(row.pressure or 0.0 for row in rows) / len(rows)
    pressure = rule("standard atmosphere") - bag
    porosity = 1.0 - volume / 100.0
    mat = fill_time(porosity, sheet.viscosity, infusion.flow_length, rule("permeability of mat"), pressure)
    took = (filled - infusion.started) / MINUTE
    least, most = (plain_number(rule(name)) for name in ("least help of mesh", "most help of mesh"))
    about = About(
        method="Darcy's law in one direction, an order of magnitude",
        period=Period(infusion.started, filled),
        at=(infusion.where, *(row.where for row in rows)),
        working=(
            f"glass {fixed(volume, 1)} % by volume, {sheet.viscosity:g} mPa·s, {infusion.flow_length:g} m, "
            f"{fixed(pressure, 0)} mbar, permeability of plain mat {rule('permeability of mat'):.3g} m²: "
            f"plain mat would take {fixed(mat, 0)} min",
            f"{fixed(mat, 0)} min / {plain_number(took)} min = {fixed(mat / took, 1)}",
        ),
        notes=(
            customary("least help of mesh"),
            f"Outside {least} to {most} a length, a viscosity or a clock is likely to be wrong.",
            "No uncertainty is stated: nothing is judged by this.",
        ),
    )
    yield from judge(key, Quantity(mat / took, "1"), Limits(), about)
