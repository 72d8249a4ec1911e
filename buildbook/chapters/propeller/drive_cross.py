"""Rows about balance, room, drive and trial that contradict each other, or cannot be true of this propeller."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations, pairwise
from statistics import median

from buildbook.chapters.contradictions import EFFECT, not_later
from buildbook.chapters.machine_records import Machine
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.drive_subjects import EACH, fastest_on_trial, mean_pitch, rule
from buildbook.chapters.propeller.formulas.slip import apparent_slip, no_slip_speed
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import fixed, listed, moment
from buildbook.formulas import OutOfRange

WITH_SLIP = "a speed and a shaft speed that go together with the pitch"
HELD = "Its numbers are judged, and nothing better than inconclusive is said of them."


def later_attempts_are_later(evidence: Evidence) -> Iterable[Fault]:
    """A later attempt at the same thing is later."""
    rows: list[Balance | Clearance] = [*evidence.of(Balance), *evidence.of(Clearance)]
    for one, other in combinations(rows, 2):
        alike = type(one) is type(other) and one.propeller == other.propeller
        if not alike or getattr(one, "way", "") != getattr(other, "way", "") or one.attempt == other.attempt:
            continue
        before, after = sorted((one, other), key=lambda row: row.attempt)
        yield from not_later(before, after)


def a_balance_of_this_propeller(evidence: Evidence) -> Iterable[Fault]:
    """Mass and radius are those of a propeller of this size."""
    for row in evidence.of(Balance):
        ordered = evidence.one(Propeller, propeller=row.propeller)
        if ordered is None:
            continue
        cubed = (ordered.diameter / 1000.0) ** 3
        least, most = rule("least mass") * cubed, rule("greatest mass") * cubed
        if not least <= row.mass <= most:
            expected = f"{fixed(least, 1)} to {fixed(most, 1)} kg, for a diameter of {ordered.diameter:g} mm"
            yield Fault(row.cell("mass"), expected, f"{row.mass:g} kg", EFFECT)
        near, far = (rule(name) / EACH * ordered.diameter / 2.0 for name in ("least radius", "greatest radius"))
        if not near <= row.radius <= far:
            expected = f"{fixed(near, 0)} to {fixed(far, 0)} mm, on a propeller of {ordered.diameter:g} mm diameter"
            yield Fault(row.cell("radius"), expected, f"{row.radius:g} mm", EFFECT)


def _unlike(one: Balance, other: Balance, name: str, unit: str) -> Iterable[Fault]:
    """Two numbers that should be about alike: each row is told of the other, since nobody knows which is wrong."""
    for row, twin in ((one, other), (other, one)):
        expected = f"about {getattr(twin, name):g} {unit}, as in {twin.where}"
        yield Fault(row.cell(name), expected, f"{getattr(row, name):g} {unit}", EFFECT)


def one_mass(evidence: Evidence) -> Iterable[Fault]:
    """All balancings of one propeller are of one mass, but for what a correction takes off."""
    for one, other in pairwise(sorted(evidence.of(Balance), key=lambda row: (row.propeller, row.where.order))):
        if one.propeller == other.propeller and abs(one.mass - other.mass) > rule("mass alike") / EACH * one.mass:
            yield from _unlike(one, other, "mass", "kg")


def one_radius(evidence: Evidence) -> Iterable[Fault]:
    """One way of balancing a propeller states its residual at one radius; a smaller one would flatter it."""
    for one, other in combinations(evidence.of(Balance), 2):
        apart = abs(one.radius - other.radius) > rule("radius alike") / EACH * max(one.radius, other.radius)
        if (one.propeller, one.way) == (other.propeller, other.way) and apart:
            yield from _unlike(one, other, "radius", "mm")


def one_speed(evidence: Evidence) -> Iterable[Fault]:
    """The grade of one propeller is stated for one speed; a lower one would flatter it."""
    for one, other in pairwise(sorted(evidence.of(Balance), key=lambda row: (row.propeller, row.where.order))):
        apart = abs(one.speed - other.speed) > rule("speeds agree") / EACH * one.speed
        if one.propeller == other.propeller and apart:
            yield from _unlike(one, other, "speed", "r/min")


def balanced_for_the_speed_on_trial(evidence: Evidence) -> Iterable[Fault]:
    """A grade is stated for the speed that the shaft really reaches."""
    for row in evidence.of(Balance):
        fastest = fastest_on_trial(evidence, row)
        if fastest is not None:
            expected = f"the shaft speed at full power, {fastest:g} r/min on trial or more"
            yield Fault(row.cell("speed"), expected, f"{row.speed:g} r/min", HELD, row_kept=True)


def room_of_this_propeller(evidence: Evidence) -> Iterable[Fault]:
    """A gap is a share of the diameter that can be."""
    for row in evidence.of(Clearance):
        ordered = evidence.one(Propeller, propeller=row.propeller)
        if ordered is None:
            continue
        for name in ("tip", "bracket"):
            gap = getattr(row, name)
            low, high = (rule(end) / EACH * ordered.diameter for end in ("least clearance", "greatest clearance"))
            if gap is not None and not low <= gap <= high:
                expected = f"{fixed(low, 0)} to {fixed(high, 0)} mm, beside a propeller of {ordered.diameter:g} mm"
                yield Fault(row.cell(name), expected, f"{gap:g} mm", EFFECT)


def one_hull(evidence: Evidence) -> Iterable[Fault]:
    """Rule length and block coefficient are those of the hull, whichever shaft the row is about."""
    for one, other in pairwise(evidence.of(Drive)):
        for name in ("rule_length", "block"):
            if None not in (getattr(one, name), getattr(other, name)) and getattr(one, name) != getattr(other, name):
                for row, twin in ((one, other), (other, one)):
                    expected = f"{getattr(twin, name):g}, as in {twin.where}"
                    yield Fault(row.cell(name), expected, f"{getattr(row, name):g}", EFFECT)
    length = evidence.hull.length_hull
    for row in evidence.of(Drive):
        if length is not None and row.rule_length is not None and row.rule_length > length:
            expected = f"at most the length of the hull, {length:g} m"
            yield Fault(row.cell("rule_length"), expected, f"{row.rule_length:g} m", EFFECT)


def one_drive(evidence: Evidence) -> Iterable[Fault]:
    """Gear ratio and number of blades are the same in the table of machines, the order and the trial."""
    for machine in evidence.of(Machine):
        drive = evidence.one(Drive, propeller=machine.propeller) if machine.kind == "engine" else None
        ordered = evidence.one(Propeller, propeller=machine.propeller) if machine.kind == "propeller" else None
        if drive is not None and machine.ratio != drive.ratio:
            yield Fault(machine.cell("ratio"), f"{drive.ratio:g}, as in {drive.where}", f"{machine.ratio:g}", EFFECT)
        if ordered is not None and machine.blades != ordered.blades:
            words = f"{ordered.blades} blades, as in {ordered.where}"
            yield Fault(machine.cell("blades"), words, f"{machine.blades}", EFFECT)
    for drive in evidence.of(Drive):
        both = [row for row in evidence.of(ShaftSpeed, propeller=drive.propeller) if row.engine_speed is not None]
        ratios = [(row.engine_speed or 0.0) / row.shaft_speed for row in both]
        usual, room = median(ratios) if len(ratios) > 1 else drive.ratio, rule("speeds agree") / EACH
        swapped = abs(1.0 / usual - drive.ratio) <= room * drive.ratio  # told of the speeds
        alike = all(abs(one - usual) <= room * usual for one in ratios)
        if abs(usual - drive.ratio) > room * drive.ratio and alike and not swapped:
            words = f"about {fixed(usual, 2)}, as all {len(ratios)} speeds of {drive.propeller} on trial say"
            yield Fault(drive.cell("ratio"), words, f"{drive.ratio:g}", EFFECT)


def engine_and_shaft_agree(evidence: Evidence) -> Iterable[Fault]:
    """Engine speed over gear ratio is the shaft speed; else two speeds were mixed up."""
    for row in evidence.of(ShaftSpeed):
        drive = evidence.one(Drive, propeller=row.propeller)
        if drive is None or row.engine_speed is None:
            continue
        wanted = row.engine_speed / drive.ratio
        if abs(row.shaft_speed - wanted) > rule("speeds agree") / EACH * wanted:
            expected = f"about {fixed(wanted, 0)} r/min: {row.engine_speed:g} r/min of the engine over {drive.ratio:g}"
            yield Fault(row.cell("shaft_speed"), expected, f"{row.shaft_speed:g} r/min{_mixed(row)}", EFFECT)
            back = f"about {fixed(row.shaft_speed * drive.ratio, 0)} r/min: {drive.ratio:g} times the shaft speed"
            yield Fault(row.cell("engine_speed"), back, f"{row.engine_speed:g} r/min{_mixed(row)}", EFFECT)


def _mixed(row: ShaftSpeed) -> str:
    """What may have happened where the shaft seems to turn as fast as its engine, or faster."""
    return " (engine and shaft in each other's column?)" if row.shaft_speed >= (row.engine_speed or 0.0) else ""


def _pitch_or_ordered(evidence: Evidence, ordered: Propeller) -> float:
    """The mean pitch as left [mm]; that of the order where none was read, or its readings cannot be."""
    try:
        found = mean_pitch(evidence, ordered)
    except OutOfRange:  # told by the check of the stations; their rows still stand here
        found = None
    return found.pitch.value if found is not None else ordered.pitch


def slip_that_can_be(evidence: Evidence) -> Iterable[Fault]:
    """Speed, shaft speed and pitch go together; where the slip cannot be, one of the two speeds of the run is wrong."""
    for row in evidence.of(ShaftSpeed):
        run = evidence.one(TrialRun, run=row.run)
        ordered = evidence.one(Propeller, propeller=row.propeller)
        if run is None or ordered is None:
            continue
        pitch = _pitch_or_ordered(evidence, ordered)
        no_slip = no_slip_speed(pitch / 1000.0, row.shaft_speed)
        slip = apparent_slip(run.speed, no_slip)
        if not rule("least slip") <= slip <= rule("greatest slip"):
            low, high = (no_slip * (1.0 - rule(end) / EACH) for end in ("greatest slip", "least slip"))
            found = f"{run.speed:g} kn and {row.shaft_speed:g} r/min, a slip of {fixed(slip, 0)} %"
            could = f"{fixed(low, 1)} to {fixed(high, 1)} kn at this shaft speed"
            yield Fault(run.cell("speed"), WITH_SLIP, f"{found} ({could}, {row.where})", EFFECT)
            yield Fault(row.cell("shaft_speed"), WITH_SLIP, f"{found} ({could}, {run.where})", EFFECT)


def shafts_together(evidence: Evidence) -> Iterable[Fault]:
    """The shafts of one run turn about alike; else the speed of an engine stands for one of them."""
    for one, other in combinations(evidence.of(ShaftSpeed), 2):
        slow, fast = sorted((one.shaft_speed, other.shaft_speed))
        if one.run == other.run and fast > slow * (1.0 + rule("shafts alike") / EACH):
            for row, twin in ((one, other), (other, one)):
                found = f"{row.shaft_speed:g} r/min beside {twin.shaft_speed:g} r/min in {twin.where}"
                yield Fault(row.cell("shaft_speed"), "shafts of one run that turn about alike", found, EFFECT)


def every_shaft_in_every_run(evidence: Evidence) -> Iterable[Fault]:
    """All shafts are read in every run; and on its day."""
    names = dict.fromkeys(row.propeller for row in evidence.of(ShaftSpeed))
    for run in evidence.of(TrialRun):
        gone = [name for name in names if not evidence.of(ShaftSpeed, run=run.run, propeller=name)]
        if gone:
            expected = f"a shaft speed of {listed(gone)} in {ShaftSpeed.table.file}"
            yield Fault(run.cell("run"), expected, f"none for {run.run}", HELD, row_kept=True)
        for row in evidence.of(ShaftSpeed, run=run.run):
            if row.at.date() != run.at.date():
                yield Fault(row.cell("at"), f"the day of its run, {run.at.date()}", f"{row.at.date()}", EFFECT)
                yield Fault(run.cell("at"), f"the day of its shaft, {row.at.date()}", f"{run.at.date()}", EFFECT)


def on_trial_afloat(evidence: Evidence) -> Iterable[Fault]:
    """She runs trials after she was launched."""
    launched = evidence.hull.date_of("launched")
    for run in evidence.of(TrialRun):
        if launched is not None and run.at.date() < launched:
            expected = f"a day after she was launched, {launched.isoformat()}"
            yield Fault(run.cell("at"), expected, moment(run.at), EFFECT)


DRIVE_CROSS_CHECKS = (
    later_attempts_are_later,
    a_balance_of_this_propeller,
    one_mass,
    one_radius,
    one_speed,
    balanced_for_the_speed_on_trial,
    room_of_this_propeller,
    one_hull,
    one_drive,
    engine_and_shaft_agree,
    shafts_together,
    slip_that_can_be,
    every_shaft_in_every_run,
    on_trial_afloat,
)
