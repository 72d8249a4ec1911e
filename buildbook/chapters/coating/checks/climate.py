"""COA-04 dew-point margin, COA-05 temperature and humidity: the air and the surface while a coat went on and set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from buildbook.chapters.coating.formulas.climate import Gap, dew_point, dew_point_margin, gaps, longest_stretch
from buildbook.chapters.coating.logged import logged_hours
from buildbook.chapters.coating.records import Climate, Coat, Product
from buildbook.chapters.coating.subjects import NO_COAT, coats, sheet_limit
from buildbook.chapters.looser import looser_note
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import Used, absent, limits, used
from buildbook.core.decide import nearest
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.wording import fixed, limit_text, moment, period_text, plain_number
from buildbook.formulas import OutOfRange

MARGIN = "dew-point margin"
INTERVAL = "interval between readings"
QUANTITIES = (
    ("air temperature", "air", "degC", "instrument"),
    ("surface temperature", "surface", "degC", "surface_instrument"),
    ("relative humidity", "humidity", "%", "instrument"),
)


@dataclass(frozen=True, slots=True)
class Agreed:
    """The longest time between two readings [h], the limits that say so, and why they may not be used as they stand."""

    hours: float
    limits: Limits
    caps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Watched:
    """One coat with the climate readings of its zone while it went on and through its first cure.

    `gaps` are the stretches longer than the agreed interval without a reading, `agreed` that interval.
    """

    coat: Coat
    product: Product | None
    end: datetime
    readings: tuple[Climate, ...]
    gaps: tuple[Gap, ...]
    agreed: Agreed

    @property
    def caps(self) -> tuple[str, ...]:
        """Why the readings say less than they should, in words."""
        said = (
            f"No reading from {moment(gap.start)} to {moment(gap.end)}, longer than the agreed "
            f"{plain_number(self.agreed.hours)} h: that stretch is not recorded."
            for gap in self.gaps
        )
        return (*said, *self.open_end)

    @property
    def open_end(self) -> tuple[str, ...]:
        """Why it is not known how long the readings had to go on, or how often they were due."""
        if self.product is None:
            words = f"Product {self.coat.product} has no readable data sheet row, so its first cure is not known."
            return (words, *self.agreed.caps)
        if self.product.first_cure is None:
            words = f"The data sheet row of {self.coat.product} gives no first cure, so its end is not known."
            return (words, *self.agreed.caps)
        return self.agreed.caps


def watch(evidence: Evidence, coat: Coat) -> Watched:
    """The climate readings that belong to one coat."""
    product = evidence.one(Product, product=coat.product)
    cure = product.first_cure if product is not None and product.first_cure is not None else 0.0
    end = coat.finished + timedelta(hours=cure)
    interval = agreed(evidence, coat.zone)
    zone = sorted(evidence.of(Climate, zone=coat.zone), key=lambda reading: reading.at)
    readings = tuple(reading for reading in zone if coat.started <= reading.at <= end)
    allowed = timedelta(hours=interval.hours)
    holes = gaps([reading.at for reading in zone], coat.started, end, allowed) if zone else ()
    return Watched(coat, product, end, readings, tuple(holes), interval)


def agreed(evidence: Evidence, zone: str) -> Agreed:
    """The longest time between two readings that the builder agreed to, else the published one.

    A limit that no log can be held to (no greatest time, none above zero, longer than the calendar) is not used: the
    published one is, and nothing that rests on it is better than inconclusive. The same holds where an entry of the
    specification that may have set it could not be read: it may have been shorter than the published one.
    """
    wanted = limits(evidence, "COA-04", INTERVAL, place=zone)
    specified, reference = wanted.specified, wanted.reference
    published = reference.high if reference is not None else None
    if published is None:
        raise LookupError(f"the table of limits holds no greatest {INTERVAL}")
    if specified is None:
        return Agreed(published, wanted, evidence.specification.unusable("COA-04"))
    if specified.high is None or not _can_be_kept(specified.high):
        words = f"The builder's limit for the {INTERVAL} ({limit_text(specified)}) cannot be kept by any log: not used."
        return Agreed(published, Limits(None, reference), (words,))
    return Agreed(specified.high, Limits(replace(specified, guard=0.0), reference))


def _can_be_kept(hours: float) -> bool:
    try:
        return timedelta(hours=hours) > timedelta(0)
    except OverflowError:
        return False


def dew_point_margins(evidence: Evidence) -> Iterable[Finding]:
    """COA-04: the surface was far enough above the dew point, at every reading of every coat."""
    for name, coat, zone in coats(evidence):
        key = Key("COA-04", MARGIN, zone, name)
        if coat is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NO_COAT)
            continue
        watched = watch(evidence, coat)
        if not watched.readings:
            yield _unwatched(evidence, key)
        else:
            yield from _margin(evidence, key, watched)
        yield from _how_often(evidence, replace(key, quantity=INTERVAL), watched)


def _how_often(evidence: Evidence, key: Key, watched: Watched) -> Iterable[Finding]:
    """The longest stretch without a reading against what was agreed.

    A row whose time can be made out was a reading, whatever else in it cannot be read.
    """
    lost = {row.where: row.get("at") for row in evidence.lost(Climate, zone=key.place) if row.get("zone") == key.place}
    at = {**lost, **{row.where: row.at for row in evidence.of(Climate, zone=key.place)}}
    times = [time for time in at.values() if isinstance(time, datetime)]
    if evidence.missing.get(Climate):
        yield _unwatched(evidence, key)
        return
    start, end = watched.coat.started, watched.end
    longest = longest_stretch(times, start, end)
    shown = any(start <= time <= end for time in times) or {longest.start, longest.end} <= set(times)
    hours = logged_hours(longest.start, longest.end)
    between = period_text(Period(longest.start, longest.end))
    about = About(
        method="times of the climate log, from the start of the coat to the end of its first cure",
        period=Period(start, end),
        at=tuple(where for where, time in at.items() if time in (longest.start, longest.end)),
        working=(f"longest stretch without a reading: {between}, {fixed(longest.hours, 2)} h",),
        notes=looser_note(watched.agreed.limits),
        caps=watched.open_end,
    )
    measured = hours if shown else replace(hours, kind=Kind.AT_LEAST)
    observed = between if shown else "no reading while the coat went on and set"
    yield from judge(key, measured, watched.agreed.limits, about, observed=observed)


def _unwatched(evidence: Evidence, key: Key) -> Finding:
    words = "No climate reading was taken in this zone while the coat went on and set."
    return absent(evidence, Climate, key, Verdict.NO_RECORD, words)


def _margin(evidence: Evidence, key: Key, watched: Watched) -> Iterable[Finding]:
    readings = watched.readings
    margins, refused = margins_of(readings)
    if not margins:
        yield unjudged(key, Verdict.INCONCLUSIVE, refused[0], About(at=tuple(row.where for row in readings)))
        return
    least, worst = min(margins, key=lambda pair: pair[0])
    air = used(evidence, readings, "instrument", "air temperature", "degC", "air")
    humidity = used(evidence, readings, "instrument", "relative humidity", "%", "humidity")
    surface = used(evidence, readings, "surface_instrument", "surface temperature", "degC", "surface")
    parts = _propagated(worst, air.parts, humidity.parts, surface.parts)
    product = watched.product
    specified = evidence.specification.limit("COA-04", MARGIN, place=key.place, condition=key.condition)
    if specified is None and product is not None:
        words = "smallest dew-point margin of the data sheet"
        specified = sheet_limit(product, "K", words, low=product.margin_low, high=None)
    dew = fixed(dew_point(worst.air, worst.humidity), 2)
    wanted = Limits(specified, limits(evidence, "COA-04", MARGIN).reference)
    about = About(
        method="dew point from air temperature and relative humidity (Magnus formula, WMO-No. 8)",
        period=Period(watched.coat.started, watched.end),
        instruments=tuple(dict.fromkeys((*air.instruments, *surface.instruments))),
        at=tuple(row.where for row in readings),
        working=(
            f"smallest of {len(readings)} readings, {moment(worst.at)} ({worst.where})",
            f"dew point of {worst.air:g} °C at {worst.humidity:g} %: {dew} °C",
            f"margin = {worst.surface:g} − {dew} = {fixed(least, 2)} K",
        ),
        notes=(*air.notes, *humidity.notes, *surface.notes, *looser_note(wanted)),
        caps=(*watched.caps, *refused, *air.caps, *humidity.caps, *surface.caps),
    )
    yield from judge(key, Quantity.combined(least, "K", parts), wanted, about)


def margins_of(readings: Sequence[Climate]) -> tuple[list[tuple[float, Climate]], tuple[str, ...]]:
    """The margin [K] of each reading, and which readings the formula does not hold for."""
    found, refused = [], []
    for row in readings:
        try:
            found.append((dew_point_margin(row.surface, row.air, row.humidity), row))
        except OutOfRange as reason:
            refused.append(f"{row.where}: {reason}.")
    return found, tuple(refused)


def _propagated(
    worst: Climate, air: Sequence[Part], humidity: Sequence[Part], surface: Sequence[Part]
) -> tuple[Part, ...]:
    """Parts of the margin's uncertainty [K]; none when one of the three instruments states none."""
    if not (air and humidity and surface):
        return ()
    return carried(
        dew_point_margin,
        {
            "surface_temperature": (worst.surface, surface, "surface temperature"),
            "air_temperature": (worst.air, air, "air temperature"),
            "relative_humidity": (worst.humidity, humidity, "relative humidity"),
        },
    )


def temperature_and_humidity(evidence: Evidence) -> Iterable[Finding]:
    """COA-05: air, surface and humidity stayed inside what the paint asks for."""
    for name, coat, zone in coats(evidence):
        watched = watch(evidence, coat) if coat is not None else None
        for quantity, column, unit, instrument in QUANTITIES:
            key = Key("COA-05", quantity, zone, name)
            if watched is None:
                yield unjudged(key, Verdict.INCONCLUSIVE, NO_COAT)
            elif not watched.readings:
                yield _unwatched(evidence, key)
            else:
                yield from _condition(evidence, key, watched, (column, unit, instrument))


def _condition(evidence: Evidence, key: Key, watched: Watched, how: tuple[str, str, str]) -> Iterable[Finding]:
    """The governing finding and the reference one, each for the reading nearest to its own limit."""
    column, unit, instrument = how
    use = used(evidence, watched.readings, instrument, key.quantity, unit, column)
    wanted = limits(evidence, "COA-05", key.quantity, place=key.place, condition=key.condition)
    specified, reference = wanted.specified, wanted.reference
    if specified is None and watched.product is not None:
        specified = _sheet(watched.product, column, unit)
    asked = [(key, Limits(specified, None if specified else reference))]
    if specified is not None and reference is not None:
        asked.append((replace(key, role=Role.REFERENCE), Limits(reference)))
    for its, one in asked:
        worst, about = _nearest(watched, column, one.specified or one.reference, use)
        about = replace(about, notes=(*about.notes, *looser_note(Limits(specified, reference))))
        yield from judge(its, Quantity.combined(getattr(worst, column), unit, use.parts), one, about)


def _nearest(watched: Watched, column: str, limit: Limit | None, use: Used) -> tuple[Climate, About]:
    rows = watched.readings
    values = [getattr(row, column) for row in rows]
    worst = rows[nearest(values, limit)]
    about = About(
        method="readings during application and first cure; the one nearest to its limit counts",
        period=Period(watched.coat.started, watched.end),
        instruments=use.instruments,
        at=tuple(row.where for row in rows),
        working=(
            f"{counted(len(rows), 'reading')} from {min(values):g} to {max(values):g}; nearest to the limit at "
            f"{moment(worst.at)} ({worst.where})",
        ),
        notes=use.notes,
        caps=(*watched.caps, *use.caps),
    )
    return worst, about


def _sheet(product: Product, column: str, unit: str) -> Limit | None:
    low, high = {
        "air": (product.air_low, product.air_high),
        "surface": (product.surface_low, product.surface_high),
        "humidity": (None, product.humidity_high),
    }[column]
    return sheet_limit(product, unit, "range of the data sheet", low=low, high=high)
