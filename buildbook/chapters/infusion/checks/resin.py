"""INF-06 resin used against resin predicted, INF-09 how fast it filled beside plain mat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from buildbook.chapters.infusion.formulas.flow import fill_time, glass_by_volume
from buildbook.chapters.infusion.formulas.vacuum import MINUTE
from buildbook.chapters.infusion.predicted import Predicted, predicted, stack_of
from buildbook.chapters.infusion.records import Area, Infusion, LogReading, Mix
from buildbook.chapters.infusion.subjects import NO_INFUSION, customary, parts, rule, sheet_of
from buildbook.chapters.looser import looser_note
from buildbook.chapters.readings import standard_of
from buildbook.chapters.schedule_records import Material
from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas import OutOfRange

RATIO = "resin used over resin predicted"
SPEED = "speed against plain mat"
NO_BALANCE = "Which balance weighed what was left over is not on record."
APART = (
    "One balance weighed mixes and what was left over. Both are far apart on its scale, so its error is not taken to "
    "cancel; where it is alike at both, the result is surer."
)
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
        else:
            try:
                expected = predicted(evidence, infusion, zones)
            except OutOfRange as reason:
                at = About(at=tuple(row.where for row in zones))
                yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", at, wanted)
                continue
            yield from _ratio(evidence, key, infusion, expected)


def _ratio(evidence: Evidence, key: Key, infusion: Infusion, expected: Predicted) -> Iterable[Finding]:
    zones, mixes = evidence.of(Area, part=key.place), evidence.of(Mix, part=key.place)
    mixed = math.fsum(row.resin_mass + row.hardener_mass for row in mixes)
    net = mixed - (infusion.left_over or 0.0)
    wanted = limits(evidence, key.check, RATIO, place=key.place)
    about = About(at=(infusion.where, *(row.where for row in (*zones, *mixes)), *expected.at))
    if net <= 0.0 or expected.mass <= 0.0:
        yield unjudged(key, Verdict.INCONCLUSIVE, "More was left over than was mixed, or none needed.", about, wanted)
        return
    resin = used(evidence, mixes, "resin_balance", "mass", "kg", "resin_mass")
    other = used(evidence, mixes, "hardener_balance", "mass", "kg", "hardener_mass")
    left = used(evidence, [infusion], "left_balance", "mass", "kg", "left_over")
    if infusion.left_balance is None:
        left = replace(left, caps=(NO_BALANCE,))
    weighed = len(mixes) * (standard_of(resin.parts) + standard_of(other.parts))
    tools = (resin, other, left)
    ratio = net / expected.mass
    made = tuple(Part(part.name, ratio * part.standard / expected.mass) for part in expected.parts)
    made = (
        *made,
        Part(f"balances, {len(mixes)} mixes", weighed / expected.mass),
        Part("balance of what was left over", standard_of(left.parts) / expected.mass),
    )
    share = plain_number(rule("estimates of the designer"))
    about = About(
        method="weighed mixes less what was left, over schedule, core and mesh",
        period=period(row.mixed for row in mixes),
        instruments=tuple(dict.fromkeys(name for use in tools for name in use.instruments)),
        at=about.at,
        working=(
            f"{len(mixes)} mixes, {fixed(mixed, 2)} kg, less {infusion.left_over or 0.0:g} kg left: {fixed(net, 2)} kg",
            *expected.working,
            f"{fixed(net, 2)} / {fixed(expected.mass, 2)} = {fixed(ratio, 3)}",
        ),
        notes=(
            f"{ESTIMATED}; they are taken as good to {share} % to either side (this book's own rule).",
            "A balance may err alike in all mixes, so its part grows with their number.",
            "The glass content is one figure for all zones, so its parts are added straight.",
            *((APART,) if set(left.instruments) & {*resin.instruments, *other.instruments} else ()),
            *dict.fromkeys(note for use in tools for note in use.notes),
            *looser_note(wanted),
        ),
        caps=(*expected.caps, *dict.fromkeys(cap for use in tools for cap in use.caps)),
    )
    observed = f"{fixed(net, 1)} kg used, {fixed(expected.mass, 1)} kg predicted"
    complete = made if all(use.parts for use in tools) else ()
    yield from judge(key, Quantity.combined(ratio, "1", complete), wanted, about, observed=observed)


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
