"""REG-05, REG-06 and REG-07 again: does the data look real, how old is it, and how much work is behind her?

What the book says of limits is taken from its own list of findings, since other scripts recompute those. Pictures are
not in the package: that no two are alike byte for byte is seen from their sums, and likeness is not computed again.
"""

from __future__ import annotations

import json
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from itertools import combinations, pairwise
from typing import NamedTuple

import numpy as np
from dateutil.relativedelta import relativedelta
from scipy import stats

from tests.again.common_rules import GOVERNING, Key, Own, Package, Row, Value
from tests.again.register_instruments import USES

CHANCE = 0.001  # the page of REG-05: one in a thousand
SHORTEST = 4  # rows in a row
FEWEST = 50  # readings for last digits
BESIDE = 5  # steps inside a limit
HOURS = 8.0  # of a person-day, the page of REG-07
STEPPED = {("propeller/pitch.csv", "angle"), ("systems/sender_readings.csv", "metered")}  # set, not found
LOGGED = ("coating/climate.csv", "infusion/log.csv")  # an instrument wrote them by itself
TIMES = ("at", "bagged", "mixed", "prepared_at", "started")  # heads that bear the time of a row
ON = ("systems/lights_and_stops.csv", "systems/safety_devices.csv")  # its day stands under `on`
# What parts the rows of a table into series, the running number last; without one the second is empty.
SERIES: Mapping[str, tuple[tuple[str, ...], str]] = {
    "coating/appearance.csv": (("zone", "attempt"), "number"),
    "coating/colour.csv": (("zone", "role"), "number"),
    "coating/film_thickness.csv": (("zone", "attempt"), "number"),
    "coating/gloss.csv": (("zone", "angle", "attempt"), "number"),
    "coating/metal_parts.csv": (("part",), ""),
    "coating/pull_off.csv": (("zone", "specimen", "attempt"), ""),
    "coating/water_break.csv": (("zone", "attempt"), ""),
    "hardness.csv": (("place", "attempt"), "number"),
    "infusion/drop_tests.csv": (("part", "attempt"), "number"),
    "infusion/infusions.csv": (("part",), ""),
    "infusion/mixes.csv": (("part", "mix"), ""),
    "laminate/burn_off.csv": (("zone", "coupon", "attempt"), ""),
    "laminate/core_bond.csv": (("zone", "specimen", "attempt"), ""),
    "laminate/strength.csv": (("zone", "series"), "number"),
    "laminate/thickness.csv": (("zone",), "number"),
    "moisture.csv": (("place",), "number"),
    "propeller/balance.csv": (("propeller", "way", "attempt"), ""),
    "propeller/blade_sections.csv": (("propeller", "blade", "attempt"), "number"),
    "propeller/blades.csv": (("propeller", "blade", "attempt"), ""),
    "propeller/clearances.csv": (("propeller", "attempt"), ""),
    "propeller/pitch.csv": (("propeller", "blade", "attempt"), "number"),
    "shafting/bearings.csv": (("part", "attempt"), ""),
    "shafting/couplings.csv": (("part", "attempt"), "number"),
    "shafting/rudder_stocks.csv": (("part", "attempt"), ""),
    "shafting/run_out.csv": (("part", "attempt"), "number"),
    "shafting/shaft_ends.csv": (("part", "attempt"), ""),
    "sound/levels.csv": (("place", "run", "attempt"), "number"),
    "systems/bilge_pumps.csv": (("pump", "attempt"), ""),
    "systems/bonding.csv": (("fitting", "attempt"), ""),
    "systems/engine_readings.csv": (("place", "attempt"), ""),
    "systems/fuel_fills.csv": (("tank", "attempt"), ""),
    "systems/gas_tests.csv": (("place", "attempt"), ""),
    "systems/hose_tests.csv": (("opening", "attempt"), ""),
    "systems/insulation.csv": (("circuit", "attempt"), ""),
    "systems/pressure_tests.csv": (("tank", "attempt"), ""),
    "systems/residual_current.csv": (("place", "attempt"), ""),
    "systems/sender_readings.csv": (("tank", "attempt"), "number"),
    "systems/steering.csv": (("place", "attempt"), ""),
    "systems/trial_fuel.csv": (("place",), ""),
    "systems/voltage_drop.csv": (("circuit", "attempt"), ""),
    "systems/weighing.csv": (("attempt",), ""),
    "trial/runs.csv": (("setting",), ""),
    "trial/shafts.csv": (("propeller",), ""),
    "vibration/sweep.csv": (("position", "axis"), "number"),
}


Sheet = tuple[Row, float, int, date, date]  # a row, its person-days, people, first and last day


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    return _series(package) | _steps(package) | _pictures(package) | _ages(package) | _work(package)


def _columns(file: str) -> tuple[str, ...]:
    """The measured columns of a table, in no order that matters."""
    found = (column for use in USES if use.file == file for column in use.columns if (file, column) not in STEPPED)
    return tuple(dict.fromkeys(found))


def _of_table(package: Package, file: str) -> list[list[Row]]:
    """The rows of a table, series by series in the order of the file, each by its running number."""
    by, number = SERIES[file]
    found: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in package.rows(file):
        found[tuple(row.text(name) for name in by)].append(row)
    rows = list(found.values())
    return [sorted(its, key=lambda row: row.value(number)) for its in rows] if number else rows


def _whole(quantity: str, looked: str, asked: int = 0) -> dict[Key, Own]:
    seen = f"{asked} thing{'s' if asked > 1 else ''} to explain in " if asked else "nothing to explain"
    return {Key("REG-05", quantity, "whole hull"): Own("information", seen=(f"{looked}: {seen}",))}


def _series(package: Package) -> dict[Key, Own]:
    """Series that stand twice, longer than chance explains, and times against running numbers."""
    notices: dict[Key, Own] = {}
    numbered = {file: _of_table(package, file) for file, (_, running) in SERIES.items() if running}
    found = {file: its for file, its in numbered.items() if _columns(file)}
    backwards = [
        after.where for its in numbered.values() for rows in its for before, after in pairwise(rows)
        if after.when() < before.when()
    ]  # fmt: skip
    assert backwards == []
    for file, its in found.items():
        twice = _twice(its, _columns(file), SERIES[file])
        if twice is not None:
            notices[Key("REG-05", "series of readings that recurs", file)] = twice
    return (
        _whole("series of readings that recurs", _counted(found), len(notices)) | notices
        | _whole("order of time", f"{_counted(numbered)} and times")
    )  # fmt: skip


def _counted(tables: Mapping[str, list[list[Row]]]) -> str:
    return f"{sum(len(its) for its in tables.values())} series of {len(tables)} tables with running numbers"


def _twice(its: list[list[Row]], columns: tuple[str, ...], table: tuple[tuple[str, ...], str]) -> Own | None:
    """The longest stretches of one series that stand again in another; None where chance explains them.

    p is the larger of two shares: of all pairs of rows that agree, and of those at the same place of two series. A
    series that is a copy from end to end is left out of both. L rows agree with p^L, and N (N - 1) / 2 pairs can begin.
    """
    read = [[row for row in rows if any(row.text(column) for column in columns)] for rows in its]
    values = [[tuple(row.number(column) for column in columns) for row in rows] for rows in read]
    own = [one for at, one in enumerate(values) if one not in values[:at]]
    flat = [reading for one in own for reading in one]
    agree = [a == b for a, b in combinations(flat, 2)]
    longest = max((len(one) for one in own), default=0)
    aligned = [
        a == b for place in range(longest) for a, b in combinations([one[place] for one in own if len(one) > place], 2)
    ]
    p = max(float(np.mean(agree)), float(np.mean(aligned)) if aligned else 0.0)
    total = sum(len(one) for one in values)
    if p == 1:
        return None
    pairs = math.comb(total, 2)
    least = next(length for length in range(SHORTEST, 10_000) if pairs * p**length <= CHANCE * (1 + 1e-9))
    found = list(_stretches(values, least))
    if not found:
        return None
    ((one, at), (other, there), length) = found[0]
    name = [
        " ".join(read[which][0].text(column) for column in table[0] if column != "attempt") for which in (one, other)
    ]
    first = [read[one][at], read[one][at + length - 1], read[other][there], read[other][there + length - 1]]
    numbers = [row.text(table[1]) for row in first]
    words = (
        f"rows {numbers[2]} to {numbers[3]} of {name[1]} are the same as rows {numbers[0]} to {numbers[1]} of {name[0]}"
    )
    rows = frozenset(
        row.where for (which, begin), again, many in found for w, b in ((which, begin), again)
        for row in read[w][b : b + many]
    )  # fmt: skip
    return Own("inconclusive", seen=(words,), rows=rows)


def _stretches(values: list[list[tuple]], least: int) -> Iterable[tuple[tuple[int, int], tuple[int, int], int]]:
    """Every pair of places at which the same values begin and go on for so many rows, as long as they do.

    All diagonals of every pair of series are walked, which is slow and simple.
    """
    for one, other in combinations(range(len(values)), 2):
        a, b = values[one], values[other]
        for shift in range(-len(b) + 1, len(a)):
            run = 0
            low, high = max(0, shift), min(len(a), len(b) + shift)
            for at in range(low, high + 1):
                if at < high and a[at] == b[at - shift]:
                    run += 1
                    continue
                if run >= least:
                    yield (one, at - run), (other, at - run - shift), run
                run = 0


class Stepped(NamedTuple):
    """A column by one instrument: its file, the readings in steps by row, the step and the scatter in steps."""

    file: str
    column: str
    steps: dict[str, int]
    step: float
    digits: int
    scatter: float


def _stepped(package: Package) -> Iterable[Stepped]:
    """Readings that are whole steps of their instrument, in the steps in which they were written."""
    for use in USES:
        if use.file in LOGGED or use.file not in SERIES:
            continue
        for column in (name for name in use.columns if (use.file, name) not in STEPPED):
            by_instrument: dict[str, list[list[Row]]] = defaultdict(list)
            for rows in _of_table(package, use.file):
                read = [row for row in rows if row.text(use.named) and row.text(column)]
                for name in dict.fromkeys(row.text(use.named) for row in read):
                    by_instrument[name].append([row for row in read if row.text(use.named) == name])
            for name, series in by_instrument.items():
                line = package.instrument(name, use.quantity)
                found = _in_steps(use.file, column, series, line.value("resolution"))
                head = next(head for head in series[0][0].whole if head.split("[")[0].strip() == column)
                unit = head.partition("[")[2].rstrip("]") or "1"
                if found is not None and line.text("unit") == unit:
                    yield found


def _in_steps(file: str, column: str, series: list[list[Row]], resolution: float) -> Stepped | None:
    values = {row.where: row.value(column) for rows in series for row in rows}
    read = np.array(list(values.values()))

    def whole(step: float) -> bool:
        return bool(np.allclose(read / step, np.round(read / step), rtol=1e-6, atol=1e-6))

    if not whole(resolution):
        return None
    step = resolution
    while read.any() and whole(step * 10):
        step *= 10
    mantissa = round(step / 10 ** math.floor(math.log10(step) + 1e-9), 6)
    if mantissa not in (1, 2, 5):
        return None
    left = sum(float(np.var([row.value(column) for row in rows])) * len(rows) for rows in series)
    free = len(read) - len(series)
    scatter = math.sqrt(left / free) / step if free else 0.0
    steps = {where: round(value / step) for where, value in values.items()}
    return Stepped(file, column, steps, step, round(10 / mantissa), scatter)


def _steps(package: Package) -> dict[Key, Own]:
    """Last digits by chi-square (NIST/SEMATECH e-Handbook, 1.3.5.15), and what stands on a limit (binomial tail)."""
    columns = list(_stepped(package))
    wide = [one for one in columns if len(one.steps) >= FEWEST and one.scatter >= one.digits / 2]
    for one in wide:
        counts = np.bincount([value % one.digits for value in one.steps.values()], minlength=one.digits)
        assert stats.chisquare(counts).pvalue > CHANCE, f"{one.file}: a digit is preferred"
    number = 0
    for one in (one for one in columns if one.scatter >= BESIDE):
        for end, inward, rows in _limits(package, one):
            if abs(end / one.step - round(end / one.step)) > 1e-6:
                continue
            number += 1
            inside = [(one.steps[row] - round(end / one.step)) * inward for row in rows]
            near = [steps for steps in inside if 0 <= steps <= BESIDE]
            chance = stats.binom.sf(near.count(0) - 1, len(near), 1 / (BESIDE + 1))
            assert chance > CHANCE, f"{one.file}: readings pile up on {end}"
    words = f"{len(wide)} columns with at least {FEWEST} readings that scatter widely enough"
    return _whole("last digits", words) | _whole(
        "readings on the limit", f"{number} limits that readings could stand on"
    )


def _limits(package: Package, one: Stepped) -> list[tuple[float, int, set[str]]]:
    """The ends of limits by which readings of a column were judged: same unit, and the rows each was for."""
    row = package.rows(one.file)[0]
    head = next(head for head in row.whole if head.split("[")[0].strip() == one.column)
    unit = head.partition("[")[2].rstrip("]") or "1"
    found: dict[tuple[float, int], set[str]] = defaultdict(set)
    for line in package.findings:
        rows = set(line["rows"].split("; ")) & one.steps.keys()
        if rows and line["limit_unit"] == unit and not line["check"].startswith("REG"):
            for name, inward in (("limit_low", 1), ("limit_high", -1)):
                if line[name]:
                    found[float(line[name]), inward] |= rows
    return [(end, inward, rows) for (end, inward), rows in found.items()]


def _pictures(package: Package) -> dict[Key, Own]:
    """Pictures by the sums of their bytes: all differ."""
    book = json.loads((package.root / "data/book.json").read_text(encoding="utf-8"))
    sums = [picture["sha256"] for picture in book["photographs"]]
    assert len(sums) == len(package.rows("photographs.csv")) == len(set(sums))
    return _whole("picture shown twice", f"{len(sums)} pictures")


def _tables(package: Package) -> dict[str, list[Row]]:
    """Every table of the package, by its name."""
    root = package.root / "data/evidence"
    names = [path.relative_to(root).as_posix().partition("/")[2] for path in sorted(root.rglob("*.csv"))]
    return {name: list(package.rows(name)) for name in names}


def _days(name: str, rows: list[Row]) -> list[date] | None:
    """The days on which the rows of a table were read; None where the table names no time of reading."""
    heads = ("on",) if name in ON else TIMES
    time = next((head for head in heads if rows and head in rows[0].cells), None)
    return None if time is None else [row.when(time).date() for row in rows if row.text(time)]


def days_left_out(package: Package) -> list[str]:
    """Tables with a cell that is a day, though none of a reading: papers, work and goods."""
    return [
        name
        for name, rows in _tables(package).items()
        if _days(name, rows) is None
        if any(re.fullmatch(r"\d{4}-\d\d-\d\d", cell) for row in rows for cell in row.cells.values())
    ]


def _ages(package: Package) -> dict[Key, Own]:
    """Rows of tables that name a time, against the same day a year earlier."""
    as_of: date = package.hull["as_of"]
    days = {name: its for name, rows in _tables(package).items() if (its := _days(name, rows)) is not None}
    oldest = min((day, name) for name, its in days.items() for day in its)
    assert oldest[0] >= as_of - relativedelta(months=12)
    words = f"{sum(len(its) for its in days.values())} dated rows in {len(days)} tables of readings, the oldest of "
    said = Own("information", seen=(words, f"{oldest[0]} in {oldest[1]}", "none has rows older than 12 months"))
    return {Key("REG-06", "age of the readings", "whole hull"): said}


def _sheets(package: Package) -> dict[str, list[Sheet]]:
    """People × days × hours over eight, by stage; day sheets of the paint count under the name of their folder."""
    sheets: dict[str, list[Sheet]] = defaultdict(list)
    for row in package.rows("effort.csv"):
        people, begun = int(row.value("people")), row.day("begun")
        assert begun
        effort = people * row.value("days") * row.value("hours") / HOURS
        sheets[row.text("stage")].append((row, effort, people, begun, row.day("ended") or begun))
    for row in package.rows("coating/effort.csv"):
        people, day = int(row.value("people")), row.day("day")
        assert day
        sheets["coating"].append((row, people * row.value("hours") / HOURS, people, day, day))
    return sheets


def _work(package: Package) -> dict[Key, Own]:
    """Person-days of each stage, with the crew and the days from first to last."""
    own = {}
    for stage, its in _sheets(package).items():
        crew = sorted({people for _, _, people, *_ in its})
        days = (max(ended for *_, ended in its) - min(begun for *_, begun, _ in its)).days + 1
        people = f"{crew[0]} to {crew[-1]}" if len(crew) > 1 else str(crew[0])
        value = Value(sum(effort for _, effort, *_ in its), kind="counted", unit="d")
        rows = frozenset(row.where for row, *_ in its)
        own[_stage(stage)] = Own("information", value, observed=f"{people} people within {days} days", rows=rows)
    return own


def told_of_stages(package: Package) -> dict[Key, str]:
    """The sentence about inspections, rejects and rework that the book gives as a note of each stage."""
    return {_stage(stage): _told(package, stage, its) for stage, its in _sheets(package).items()}


def _stage(stage: str) -> Key:
    return Key("REG-07", "person-days", "", stage)


def _told(package: Package, stage: str, its: list[Sheet]) -> str:
    shown = ";".join(row.cells.get("shown_by", "") for row, *_ in its)
    checks = {part.strip() for part in shown.split(";") if part.strip()}
    plan = [
        line
        for line in package.rows("plan.csv")
        if line.text("stage").lower() == stage
        or line.text("check") in checks
        or line.text("record").startswith(f"{stage}/")
    ]
    failed = [
        line
        for line in package.findings
        if line["check"] in checks and line["role"] == GOVERNING and line["verdict"] in ("fail", "conditional fail")
    ]
    reports = [
        row
        for row in package.rows("nonconformities.csv")
        if row.text("stage").lower() == stage or row.text("check") in checks
    ]
    again = sum(effort for row, effort, *_ in its if row.cells.get("kind") == "rework")
    first, last = min(begun for *_, begun, _ in its), max(ended for *_, ended in its)

    def number(many: int, what: str) -> str:
        return f"{many} {what}{'' if many == 1 else 's'}"

    redone = f"{round(again, 1):g} person-days of" if again else "no"
    told = f"{number(len(failed), 'finding')} failed in the checks named below"
    return (
        f"From {first} to {last}: {number(len(plan), 'inspection')} planned; "
        f"{told if checks else 'no check is named, so no failed finding is counted'}; "
        f"{number(len(reports), 'report')} about this stage{' or these checks' if checks else ''}; {redone} rework."
    )
