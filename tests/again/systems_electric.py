"""Bonding, insulation and voltage drop: SYS-07 to SYS-09, from the tables as received."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.again.common_rules import REFERENCE, Limit, Own, Package
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of
from tests.again.systems_tanks import attempt, yes

BONDED = Limit(high=1.0, high_strict=True)  # ohm, a boating magazine (second-hand)
MAINS, AT_LEAST = ("230 V AC", "400 V AC"), 1.0  # megohm, a textbook on installations ashore (second-hand)
TEST_VOLTAGE = 500.0  # V, the same
SHARES = {"yes": 3.0, "no": 10.0}  # % on critical circuits and on others, ABYC E-11 as articles report it (second-hand)
ENOUGH = 0.9  # of the design current; a rule of the book, no source


def bonds(package: Package) -> Iterator[Own]:
    """SYS-07: reading less that of the leads, by one meter: its step d counts twice, u = sqrt(2) d / sqrt(12).

    Of its calibration counts what an error of gain leaves, since an offset leaves nothing (GUM 5.2.2).
    """
    for row in package.rows("systems/bonding.csv"):
        fitting = row.text("fitting")
        leads = row.number("leads")
        calibration, step = package.parts(row.text("instrument"), "resistance")
        value = row.value("resistance") - (leads or 0.0)
        by_gain = calibration.standard * value / row.value("resistance")
        kind, U = "measured", 2.0 * math.hypot(by_gain, step.standard * math.sqrt(2.0))
        if leads is None:
            kind, U = "at most", 2.0 * math.hypot(calibration.standard, step.standard)
        limit = agreed(package, "SYS-07", "resistance of the bond", fitting) or BONDED
        about = ("SYS-07", "resistance of the bond", fitting, "", attempt(row))
        doubt = not yes(row, "ashore")
        yield judged(about, figure(value, "ohm", U, kind=kind), above(limit), doubt=doubt, rows=rows_of([row]))


def insulations(package: Package) -> Iterator[Own]:
    """SYS-08: circuits of the mains at 500 V or more; a reading beyond the range is a lower bound."""
    circuits = {row.text("circuit"): row for row in package.rows("systems/circuits.csv")}
    for row in package.rows("systems/insulation.csv"):
        circuit = row.text("circuit")
        mains = circuits[circuit].text("supply") in MAINS
        printed = Limit(low=AT_LEAST) if mains else NO_LIMIT
        limit = agreed(package, "SYS-08", "insulation resistance", circuit) or printed
        U = 2.0 * package.standard(row.text("instrument"), "insulation resistance")
        kind = "at least" if yes(row, "beyond") else "measured"
        about = ("SYS-08", "insulation resistance", circuit, "", attempt(row))
        doubt = mains and row.value("voltage") < TEST_VOLTAGE
        number = figure(row.value("resistance"), "Mohm", U, kind=kind)
        seen = "more than the tester can read" if yes(row, "beyond") else ""
        yield judged(about, number, above(limit), doubt=doubt, observed=seen, rows=rows_of([row]))


def drops(package: Package) -> Iterator[Own]:
    """SYS-09: D = 100 (S - L) / S, with dD/dS = 100 L / S^2 and dD/dL = -100 / S; times drawn over measured current.

    The step of the voltmeter counts by each slope. Of its calibration counts what an offset leaves, the sum of the
    slopes: (100 / S) (L / S - 1), since an error of gain leaves nothing of a ratio. The ammeter counts by D / I (GUM
    5.1.2, and 5.2.2 for what is wholly correlated). Below nine tenths of the drawn current D stays as it is.
    """
    circuits = {row.text("circuit"): row for row in package.rows("systems/circuits.csv")}
    for row in package.rows("systems/voltage_drop.csv"):
        name = row.text("circuit")
        circuit = circuits[name]
        source, load = row.value("source"), row.value("load")
        calibration, step = package.parts(row.text("instrument"), "voltage")
        apart, alike = step.standard * math.hypot(1.0, load / source), calibration.standard * (1.0 - load / source)
        drop, u = 100.0 * (source - load) / source, 100.0 / source * math.hypot(apart, alike)
        now, full = row.number("current"), circuit.number("current")
        doubt = now is None or full is None or now < ENOUGH * full
        if not doubt and now and full:
            drop, u = drop * full / now, u * full / now
            u = math.hypot(u, drop / now * package.standard(row.text("ammeter"), "current"))
        own = agreed(package, "SYS-09", "voltage drop", name)
        direct = circuit.text("supply").endswith("DC")  # the shares were published for direct current
        usual = Limit(high=SHARES[circuit.text("critical")]) if direct else None
        about = ("SYS-09", "voltage drop", name, "", attempt(row))
        number = figure(drop, "%", 2.0 * u)
        governing = own or usual
        assert governing, "the demonstration has no circuit of alternating current without a limit of its builder"
        yield judged(about, number, above(governing), doubt=doubt, rows=rows_of([row]))
        if own and usual:
            yield judged(about, number, above(usual), role=REFERENCE, doubt=doubt, rows=rows_of([row]))
