"""Balance, room and trial of the demonstration: what the book finds, worked out again from the tables alone."""

from __future__ import annotations

import csv
import math
import re
import tomllib
from collections import defaultdict
from pathlib import Path
from statistics import fmean

import pytest

from buildbook.core.finding import Key, Role
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import findings

HULL = Path(__file__).parents[1] / "demo_build" / "hull"
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    """The rows of a table, heads without their units."""
    with (HULL / name).open(encoding="utf-8", newline="") as handle:
        return [{head.split(" [")[0]: cell for head, cell in row.items()} for row in csv.DictReader(handle)]


@pytest.fixture(scope="module")
def judged() -> dict[Key, float]:
    return {key: one.measured.value for key, one in findings(demonstration().book).items() if one.measured is not None}


def mean_pitch(propeller: str) -> float:
    """Mean of the blades as left, of the radii, from the first to the last station [mm]."""
    sections: dict[tuple[str, str], dict[int, list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    for row in rows("propeller/pitch.csv"):
        if row["propeller"] == propeller:
            station = (float(row["angle"]), float(row["height"]))
            sections[row["blade"], row["radius"]][int(row["attempt"])].append(station)
    blades: dict[str, list[float]] = defaultdict(list)
    for (blade, _), attempts in sections.items():
        (a, h), (b, k) = (end(attempts[max(attempts)]) for end in (min, max))
        blades[blade].append(360.0 * (k - h) / (b - a))
    return fmean(fmean(radii) for radii in blades.values())


def test_slip_is_what_the_log_of_the_trial_gives(judged: dict[Key, float]) -> None:
    runs = {row["run"]: row for row in rows("trial/runs.csv")}
    for propeller in ("P1", "P2"):
        metres = mean_pitch(propeller) / 1000.0
        slips: dict[str, dict[str, float]] = defaultdict(dict)
        for row in rows("trial/shafts.csv"):
            if row["propeller"] == propeller:
                run = runs[row["run"]]
                no_slip = metres * float(row["shaft_speed"]) * 60.0 / 1852.0
                slips[run["setting"]][run["run"]] = 100.0 * (1.0 - float(run["speed"]) / no_slip)
        for setting, each in slips.items():
            found = judged[Key("PRO-16", "apparent slip", propeller, setting)]
            assert found == pytest.approx(fmean(each.values()), abs=1e-6)
        assert 12.0 < fmean(slips["full"].values()) < 18.0  # plausible for a planing yacht: common practice, no source


def test_grade_and_mass_at_the_tip_are_what_the_balance_gives(judged: dict[Key, float]) -> None:
    diameter = {row["propeller"]: float(row["diameter"]) for row in rows("propeller/propellers.csv")}
    for row in rows("propeller/balance.csv"):
        planes = 2.0 if row["way"].endswith(" plane") and "one" not in row["way"] else 1.0
        unbalance = planes * float(row["residual"]) * float(row["radius"])
        grade = unbalance * 2.0 * math.pi * float(row["speed"]) / 60.0 / (1000.0 * float(row["mass"]))
        key = Key("PRO-12", "balance grade", row["propeller"], row["way"], int(row["attempt"]))
        assert judged[key] == pytest.approx(grade)
        if row["way"] == "static":
            tip = float(row["residual"]) * float(row["radius"]) / (diameter[row["propeller"]] / 2.0)
            named = Key("PRO-12", "unbalance at the blade tip", row["propeller"], "static", int(row["attempt"]))
            assert judged[named] == pytest.approx(tip)


def test_reports_tell_the_figures_of_the_balance_they_are_about() -> None:
    told = {row["quantity"]: row["as_found"] for row in rows("nonconformities.csv") if row["check"] == "PRO-12"}
    (row,) = [
        row
        for row in rows("propeller/balance.csv")
        if (row["propeller"], row["way"], row["attempt"]) == ("P2", "static", "1")
    ]
    mass, speed = float(row["mass"]), float(row["speed"])
    grade = float(row["residual"]) * float(row["radius"]) * 2.0 * math.pi * speed / 60.0 / (1000.0 * mass)
    allowed = 1000.0 * 25.0 * mass / (0.380 * speed**2)  # class I of ISO 484-2, constants from memory
    assert f"G {grade:.1f} at {speed:g} r/min" in told["balance grade"]
    assert f"{allowed:.1f} g" in told["unbalance at the blade tip"]


def test_room_at_the_tips_is_16_to_18_per_cent(judged: dict[Key, float]) -> None:
    for row in rows("propeller/clearances.csv"):
        share = 100.0 * float(row["tip"]) / 760.0
        assert judged[Key("PRO-15", "tip clearance", row["propeller"])] == pytest.approx(share)
        assert 16.0 < share < 18.0
        beside = Key("PRO-15", "tip clearance", row["propeller"], role=Role.REFERENCE)
        assert judged[beside] == pytest.approx(share)


def test_drive_and_trial_fit_the_machinery_that_hull_toml_names() -> None:
    """735 kW at 2300 rpm, 2.04 to 1: 1127 r/min of the shaft at full power; on trial within 2 %."""
    machinery = tomllib.loads((HULL / "hull.toml").read_text("utf-8"))["machinery"]
    power, engine = map(int, re.findall(r"\d+", machinery["engines"]))
    (ratio,) = map(float, re.findall(r"\d+\.\d+", machinery["gearboxes"]))
    for row in rows("propeller/drives.csv"):
        assert float(row["ratio"]) == ratio
        assert 0.94 * power < float(row["power"]) < power
    assert {float(row["speed"]) for row in rows("propeller/balance.csv")} == {round(engine / ratio)}
    for row in rows("trial/shafts.csv"):
        assert float(row["shaft_speed"]) == pytest.approx(float(row["engine_speed"]) / ratio, rel=0.005)
    fastest = max(float(row["shaft_speed"]) for row in rows("trial/shafts.csv"))
    assert fastest == pytest.approx(engine / ratio, rel=0.02)
