"""INF-03 shop, mould and resin while the resin ran and gelled; INF-07 how hot the laminate became."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from buildbook.chapters.infusion.records import Area, Infusion, LogReading, Mix, ResinSheet
from buildbook.chapters.infusion.subjects import NO_INFUSION, logged, parts, sheet_limit, sheet_of
from buildbook.chapters.looser import looser_note
from buildbook.chapters.schedule_records import Ply
from buildbook.chapters.subjects import absent, limits, period, used
from buildbook.core.decide import nearest
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import moment

AIR, MOULD, RESIN, HUMIDITY = "air temperature", "mould temperature", "resin temperature", "relative humidity"
PEAK = "largest laminate temperature"
NO_FOAM = "This part has no core, so no limit for foam applies."
NOWHERE = "Where the thermometer lay is not on record: a thicker or deeper place may have been hotter."
LEAST = "So the hottest reading is a least value: it may fail the laminate and cannot pass it."
COOLER = f"The thermometer lay {{}}, where it is cooler than between the plies. {LEAST}"
LAY_UNKNOWN = f"Whether the thermometer lay between the plies is not on record. {LEAST}"
STILL_RISING = "The last reading is the hottest: the peak may have come after it."


@dataclass(frozen=True, slots=True)
class Watched:
    """What a quantity is read from: column, unit, instrument column and the instrument's own word for it."""

    column: str
    unit: str
    instrument: str
    read_as: str


IN_THE_LOG = {
    AIR: Watched("air", "degC", "hygrometer", "air temperature"),
    MOULD: Watched("mould", "degC", "thermometer", "temperature"),
    HUMIDITY: Watched("humidity", "%", "hygrometer", "relative humidity"),
}
OF_A_MIX = Watched("temperature", "degC", "thermometer", "temperature")


def conditions(evidence: Evidence) -> Iterable[Finding]:
    """INF-03: air, mould, resin and humidity, smallest and largest from the first resin to gel."""
    for part in parts(evidence, "INF-03"):
        infusion = evidence.one(Infusion, part=part)
        for quantity, watched in IN_THE_LOG.items():
            yield from _in_the_log(evidence, Key("INF-03", quantity, part), infusion, watched)
        key = Key("INF-03", RESIN, part)
        mixes = [row for row in evidence.of(Mix, part=part) if row.temperature is not None]
        if not mixes:
            yield absent(evidence, Mix, key, Verdict.NO_RECORD, "No temperature of the resin is on record.")
            continue
        without = [row.mix for row in evidence.of(Mix, part=part) if row.temperature is None]
        caps = tuple(f"The temperature of mix {mix} was not written down." for mix in without)
        yield from _nearest(evidence, key, mixes, OF_A_MIX, period(row.mixed for row in mixes), caps)


def _in_the_log(evidence: Evidence, key: Key, infusion: Infusion | None, watched: Watched) -> Iterable[Finding]:
    if infusion is None:
        yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION)
        return
    end, caps = _until_gel(infusion)
    if end is None:
        yield absent(evidence, Infusion, key, Verdict.NO_RECORD, "Neither fill nor gel was written down.")
        return
    log = logged(evidence, key.place, watched.column, infusion.started, end)
    if not log.rows:
        yield absent(evidence, LogReading, key, Verdict.NO_RECORD, "No reading while the resin ran and gelled.")
        return
    yield from _nearest(evidence, key, log.rows, watched, log.period, (*log.caps, *caps))


def _until_gel(infusion: Infusion) -> tuple[datetime | None, tuple[str, ...]]:
    if infusion.gelled is not None:
        return infusion.gelled, ()
    return infusion.filled, ("The time of gel was not written down: looked at until fill only.",)


def _nearest(
    evidence: Evidence, key: Key, rows: Sequence[Any], watched: Watched, span: Period | None, caps: tuple[str, ...]
) -> Iterable[Finding]:
    """The governing finding and the reference one, each for the reading nearest to its own limit."""
    use = used(evidence, rows, watched.instrument, watched.read_as, watched.unit, watched.column)
    wanted, unsure = _wanted(evidence, key)
    asked = [(key, Limits(wanted.specified, None if wanted.specified else wanted.reference))]
    if wanted.specified is not None and wanted.reference is not None:
        asked.append((replace(key, role=Role.REFERENCE), Limits(wanted.reference)))
    values = [getattr(row, watched.column) for row in rows]
    unit = "%" if watched.unit == "%" else "°C"
    for its, one in asked:
        at = rows[nearest(values, one.specified or one.reference)]
        when = moment(getattr(at, at.table.time))
        about = About(
            method="readings from the first resin to gel; the one nearest to its limit counts",
            period=span,
            instruments=use.instruments,
            at=tuple(row.where for row in rows),
            working=(f"{counted(len(rows), 'reading')}; nearest to the limit {when} ({at.where})",),
            notes=(*use.notes, *looser_note(wanted)),
            caps=(*caps, *unsure, *use.caps),
        )
        observed = f"smallest {min(values):g} {unit}, largest {max(values):g} {unit}"
        measured = Quantity.combined(getattr(at, watched.column), watched.unit, use.parts)
        yield from judge(its, measured, one, about, observed=observed)


def _wanted(evidence: Evidence, key: Key) -> tuple[Limits, tuple[str, ...]]:
    """The builder's limit, for the resin else that of its data sheet; and why it may not be known."""
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    sheet = sheet_of(evidence, key.place)
    if key.quantity != RESIN or wanted.specified is not None:
        return wanted, ()
    if sheet is None:
        return wanted, (f"Its resin has no usable row in {ResinSheet.table.file}.",)
    low, high = sheet.temperature_low, sheet.temperature_high
    if low is None and high is None:
        return wanted, ()
    column = "temperature_low" if low is not None else "temperature_high"
    words = "temperature of the resin by its data sheet"
    return Limits(sheet_limit(sheet, column, "degC", words, low, high), wanted.reference), ()


def peaks(evidence: Evidence) -> Iterable[Finding]:
    """INF-07: the laminate did not become hotter than its foam bears."""
    for part in parts(evidence, "INF-07"):
        key = Key("INF-07", PEAK, part)
        infusion = evidence.one(Infusion, part=part)
        if infusion is None:
            yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION)
        elif infusion.released is None:
            words = "The end of the vacuum was not written down, so the time to look at is not known."
            yield absent(evidence, Infusion, key, Verdict.NO_RECORD, words)
        else:
            yield from _peak(evidence, key, infusion, infusion.released)


def _peak(evidence: Evidence, key: Key, infusion: Infusion, released: datetime) -> Iterable[Finding]:
    log = logged(evidence, key.place, "laminate", infusion.started, released)
    if not log.rows:
        yield absent(evidence, LogReading, key, Verdict.NO_RECORD, "No temperature of the laminate is on record.")
        return
    hottest = max(log.rows, key=lambda row: row.laminate or 0.0)
    use = used(evidence, log.rows, "thermometer", "temperature", "degC", "laminate")
    rising = (STILL_RISING,) if hottest is log.rows[-1] else ()
    wanted, notes, unsure = _for_foam(evidence, key)
    lay, cooler = infusion.thermometer_at, _cooler(infusion)
    about = About(
        method="thermometer in the laminate, from the first resin to the end of the vacuum; the hottest counts",
        period=log.period,
        instruments=use.instruments,
        at=tuple(row.where for row in log.rows),
        working=(
            f"hottest of {len(log.rows)} readings, {moment(hottest.at)} ({hottest.where})",
            *((f"thermometer: {lay}",) if lay else ()),
            *_solid(evidence, key.place, lay),
        ),
        notes=(*notes, *(() if lay else (NOWHERE,)), *cooler, *use.notes, *looser_note(wanted)),
        caps=(*log.caps, *use.caps, *rising, *unsure),
    )
    kind = Kind.AT_LEAST if cooler else Kind.MEASURED
    measured = Quantity.combined(hottest.laminate or 0.0, "degC", use.parts, kind=kind)
    yield from judge(key, measured, wanted, about, observed=f"thermometer: {lay}" if lay else "")


def _cooler(infusion: Infusion) -> tuple[str, ...]:
    """Why the laminate was hotter than the thermometer shows, or may have been; empty where it lay between plies."""
    if infusion.thermometer_lay == "between plies":
        return ()
    return (COOLER.format(infusion.thermometer_lay),) if infusion.thermometer_lay else (LAY_UNKNOWN,)


def _solid(evidence: Evidence, part: str, lay: str | None) -> tuple[str, ...]:
    """Which zones of a part with foam have none: the thermometer may have lain there."""
    zones = evidence.of(Area, part=part)
    bare = [zone.zone for zone in zones if zone.core is None]
    if not bare or len(bare) == len(zones):
        return ()
    where = "" if lay else "; nothing on record says in which zone the thermometer lay"
    return (f"solid, without foam: {', '.join(bare)}{where}",)


def _for_foam(evidence: Evidence, key: Key) -> tuple[Limits, tuple[str, ...], tuple[str, ...]]:
    """The limits of a part with a core; a part without one has none but the builder's own. Notes and caps besides."""
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    zones = evidence.of(Area, part=key.place)
    if not zones:
        return wanted, (), (f"Whether it has a core is not known: no usable row in {Area.table.file}.",)
    plies = [ply for zone in zones for ply in evidence.of(Ply, zone=zone.zone)]
    two_skins = any(ply.skin != "single skin" for ply in plies) or not plies
    if two_skins or any(zone.core is not None for zone in zones) or evidence.lost(Area, part=key.place):
        return wanted, (), ()
    return Limits(wanted.specified), (NO_FOAM,), ()
