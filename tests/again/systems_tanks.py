"""Filling, pressure, hose and bilges: SYS-01 to SYS-06, from the tables as received."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.again.common_rules import Limit, Own, Package, Row, parts, standard
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of, worded

GRAVITY = 9.80665  # m/s2, standard gravity (ISO 80000-3, from memory)
ATMOSPHERE = 101.325  # kPa, from memory
LEAST_FOR_FUEL = 20.7  # kPa, 3 psi: 33 CFR 183.542 (read)
TIMES_THE_HEAD = 1.5  # the same
JET, FARTHEST = 0.2, 1.5  # MPa and m, rules of a class society (read)
NARROWEST = 12.0  # mm, IACS UR S14 (from memory)
MINUTE = 1.0  # min: a clock is read to the minute, at start and end
WORDS = Limit(guard=0.0)  # a requirement in words


def attempt(row: Row) -> int:
    """The number of the trial."""
    return int(row.value("attempt"))


def yes(row: Row, head: str) -> bool | None:
    """A cell with yes or no; None where it is empty."""
    return {"yes": True, "no": False, "": None}[row.text(head)]


def three_ways(answers: list[bool | None]) -> str:
    """A requirement of several answers: one no fails, one that is not known leaves it open."""
    if False in answers:
        return "fail"
    return "inconclusive" if None in answers else "pass"


def metered(package: Package, fill: Row, volume: float) -> tuple[float, float]:
    """The share [%] of a volume by the meter, and its standard uncertainty.

    s = 100 V / C. Step and moment of reading are unsure of each reading by itself:
    (100 / C)^2 a^2 (1 + (V / C)^2). Of the calibration c of the one meter counts what an offset leaves, ds/dV + ds/dC:
    (100 / C)^2 c^2 (1 - V / C)^2, since an error of gain leaves nothing of a ratio.
    Source: GUM (JCGM 100:2008) 5.1.2, and 5.2.2 for what is wholly correlated.
    """
    full = fill.value("full")
    calibration, step = package.parts(fill.text("instrument"), "volume of fuel")
    apart = math.hypot(step.standard, fill.value("uncertainty") / 2.0) * math.hypot(1.0, volume / full)
    alike = calibration.standard * (1.0 - volume / full)
    return 100.0 * volume / full, 100.0 / full * math.hypot(apart, alike)


def fills(package: Package) -> Iterator[Own]:
    """SYS-01 and SYS-02: level at the alarm in the builder's window, the three steps, and the vents."""
    for row in package.rows("systems/fuel_fills.csv"):
        tank, n, rows = row.text("tank"), attempt(row), rows_of([row])
        share, u = metered(package, row, row.value("alarm"))
        window = agreed(package, "SYS-01", "level at the alarm", tank) or NO_LIMIT
        doubt = not yes(row, "emptied") or row.number("heel") is None or row.number("trim") is None
        litres = f"{row.value('alarm'):g} L of {row.value('full'):g} L"
        about = ("SYS-01", "level at the alarm", tank, "", n)
        yield judged(about, figure(share, "%", 2.0 * u), window, doubt=doubt, observed=litres, rows=rows)
        verdict = three_ways([yes(row, head) for head in ("silenced", "slowed", "shut")])
        steps = ("SYS-01", "alarm silenced, flow slowed, shut off at full", tank, "", n)
        yield worded(steps, verdict, "all three done", rows, WORDS)
        vents = {"dry the whole time": "pass", "fuel came out": "fail"}.get(row.text("vents"), "inconclusive")
        yield worded(("SYS-02", "no fuel from the vents", tank, "", n), vents, row.text("vents"), rows, WORDS)


def senders(package: Package) -> Iterator[Own]:
    """SYS-03: the largest difference of sender and display from the metered share; a step has u = d/sqrt(12).

    The first of equal differences counts. Five readings, one at a tenth or less, one at nine tenths or more.
    """
    filled = {(row.text("tank"), attempt(row)): row for row in package.rows("systems/fuel_fills.csv")}
    read: dict[tuple[str, int], list[Row]] = {}
    for row in package.rows("systems/sender_readings.csv"):
        read.setdefault((row.text("tank"), attempt(row)), []).append(row)
    for (tank, n), rows in read.items():
        fill = filled[tank, n]
        shares = [metered(package, fill, row.value("metered"))[0] for row in rows]
        doubt = len(rows) < 5 or min(shares) > 10.0 or max(shares) < 90.0 or not yes(fill, "emptied")
        for name in ("sender", "display"):
            off = [abs(row.value(name) - share) for row, share in zip(rows, shares, strict=True)]
            at = off.index(max(off))
            row = rows[at]
            u = math.hypot(metered(package, fill, row.value("metered"))[1], row.value(f"{name}_step") / math.sqrt(12.0))
            about = ("SYS-03", f"{name} off the meter", tank, "", n)
            seen = f"{name} {row.value(name):g} % at {row.value('metered'):g} L"
            limit = agreed(package, about[0], about[1], tank) or NO_LIMIT
            number = figure(off[at], "%", 2.0 * u)
            yield judged(about, number, limit, doubt=doubt, observed=seen, rows=rows_of([*rows, fill]))


def two_readings(tool: Row, first: float, second: float) -> float:
    """The standard uncertainty of the difference of two readings of one instrument.

    Its step of each, and of its calibration what an error of gain leaves: u x difference / larger (GUM 5.2.2).
    """
    calibration, step = parts(tool)
    larger = max(abs(first), abs(second))
    return math.hypot(calibration.standard * abs(first - second) / larger, step.standard * math.sqrt(2.0))


def of_thermometer(package: Package, row: Row, cold: float, warm: float) -> float:
    """The same for the thermometer that a row names [K]; two steps of a tenth where it names none."""
    named = row.text("thermometer")
    return two_readings(package.instrument(named, "air temperature"), cold, warm) if named else 0.1 / math.sqrt(6.0)


def pressures(package: Package) -> Iterator[Own]:
    """SYS-04: pressure at the start, what one gauge lost (of its certificate an error of gain is left), and the time.

    For fuel at least the greater of 20.7 kPa and 1.5 times density x g x head (33 CFR 183.542). The gauge falls by no
    more than its step d; of two readings u = sqrt(2) d / sqrt(12). Warmth dT alone changes p by p dT / T: it is taken
    out, and the thermometer counts as the gauge does, times p / T. A rise beyond U shows nothing.
    """
    for row in package.rows("systems/pressure_tests.csv"):
        tank, n, rows = row.text("tank"), attempt(row), rows_of([row])
        gauge = package.instrument(row.text("instrument"), "pressure")
        own = agreed(package, "SYS-04", "test pressure", tank)
        head = row.value("density") * GRAVITY * row.value("head") / 1000.0
        fuel = Limit(low=max(LEAST_FOR_FUEL, TIMES_THE_HEAD * head)) if row.text("content") == "fuel" else None
        number = figure(row.value("start"), "kPa", 2.0 * standard(gauge))
        yield judged(("SYS-04", "test pressure", tank, "", n), number, own or fuel or NO_LIMIT, rows=rows)
        if own and fuel:
            yield judged(("SYS-04", "test pressure", tank, "", n), number, fuel, role="reference", rows=rows)
        step = gauge.value("resolution")
        cold, warm = row.number("air_start"), row.number("air_end")
        if cold is None or warm is None:
            yield worded(("SYS-04", "pressure lost", tank, "", n), "inconclusive", "", rows, Limit(high=step))
        else:
            each_kelvin = (ATMOSPHERE + row.value("start")) / (cold + 273.15)
            U = 2.0 * math.hypot(
                two_readings(gauge, row.value("start"), row.value("end")),
                each_kelvin * of_thermometer(package, row, cold, warm),
            )
            fell = row.value("start") + each_kelvin * (warm - cold) - row.value("end")
            about, lost = ("SYS-04", "pressure lost", tank, "", n), figure(fell, "kPa", U)
            yield judged(about, lost, above(Limit(high=step)), rows=rows, doubt=fell < -U)
        time = agreed(package, "SYS-04", "time under pressure", tank) or NO_LIMIT
        minutes = figure(row.value("minutes"), "min", 2.0 * MINUTE * math.sqrt(2.0 / 12.0))
        yield judged(("SYS-04", "time under pressure", tank, "", n), minutes, time, rows=rows)


def hoses(package: Package) -> Iterator[Own]:
    """SYS-05: dry inside under a jet that was strong, near and wide enough, no surer than the jet; and the jet."""
    for row in package.rows("systems/hose_tests.csv"):
        about = (row.text("opening"), "", attempt(row))
        inside, rows = yes(row, "inside"), rows_of([row])
        said = {True: "water inside", False: "dry inside", None: "nobody wrote down what was found inside"}[inside]
        mild = row.value("distance") > FARTHEST or row.value("nozzle") < NARROWEST or row.value("pressure") < JET
        U = 2.0 * package.standard(row.text("instrument"), "pressure")
        limit = agreed(package, "SYS-05", "pressure of the jet", about[0]) or Limit(low=JET)
        number = figure(row.value("pressure"), "MPa", U)
        jet = judged(("SYS-05", "pressure of the jet", *about), number, above(limit), rows=rows)
        dry = "conditional pass" if jet.verdict == "conditional pass" else "pass"
        verdict = "fail" if inside else "inconclusive" if inside is None or mild else dry
        seen = f"{said}: {row.text('note')}" if row.text("note") else said
        yield worded(("SYS-05", "no water inside", *about), verdict, seen, rows, WORDS)
        yield jet


def bilges(package: Package) -> Iterator[Own]:
    """SYS-06: alarms heard and seen, flow Q = 60 V / t against the drawing, pumps that delivered when last run.

    u(Q)^2 = (60 / t)^2 u(V)^2 + (Q / t)^2 u(t)^2. Source: GUM (JCGM 100:2008) 5.1.2.
    """
    tried = package.rows("systems/bilge_alarms.csv")
    for row in tried:
        answers = [yes(row, head) for head in ("heard", "seen")]
        about = ("SYS-06", "alarm heard and seen at the helm", row.text("space"), "", attempt(row))
        yield worded(about, three_ways(answers), "heard, seen", rows_of([row]), WORDS)
    for line in package.rows("plan.csv"):
        asked = line.text("check") == "SYS-06" and line.text("record") == "systems/bilge_alarms.csv"
        if asked and line.text("place") not in {row.text("space") for row in tried}:
            about = ("SYS-06", "alarm heard and seen at the helm", line.text("place"), "", 1)
            yield worded(about, "not measured", limit=WORDS)
    last: dict[str, Row] = {}
    for row in sorted(package.rows("systems/bilge_pumps.csv"), key=attempt):
        last[row.text("pump")] = row
        time = row.value("time")
        flow = 60.0 * row.value("collected") / time
        u = math.hypot(
            60.0 / time * package.standard(row.text("instrument"), "volume of water"),
            flow / time * row.value("uncertainty") / 2.0,
        )
        limit = agreed(package, "SYS-06", "flow at the outlet", row.text("pump")) or Limit(low=row.number("wanted"))
        about = ("SYS-06", "flow at the outlet", row.text("pump"), "", attempt(row))
        yield judged(about, figure(flow, "L/min", 2.0 * u), above(limit), rows=rows_of([row]))
    ran = figure(float(sum(row.value("collected") > 0.0 for row in last.values())), "1", kind="counted")
    limit = agreed(package, "SYS-06", "pumps that ran") or NO_LIMIT
    yield judged(("SYS-06", "pumps that ran", "", "", 1), ran, limit, rows=rows_of(last.values()))
