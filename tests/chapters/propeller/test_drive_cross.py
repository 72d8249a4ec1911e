"""Rows about balance, room, drive and trial that contradict each other, on synthetic rows."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.propeller.drive_cross import DRIVE_CROSS_CHECKS, one_drive, shafts_together
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.records import Propeller
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.fault import Fault
from buildbook.core.hull import Hull
from tests.chapters.propeller.blade_folder import Rows
from tests.chapters.propeller.drive_folder import afloat, balance, gap, run, shaft, trial

HULL = Hull(length_hull=20.0, dates=(("launched", date(2026, 5, 12)),))


def faults(tables: Rows | None = None, **more: Any) -> list[Fault]:
    evidence = afloat(tables, **more)
    return [fault for check in DRIVE_CROSS_CHECKS for fault in check(evidence)]


def columns(found: list[Fault]) -> set[str]:
    return {fault.where.column for fault in found}


def test_a_sound_folder_is_not_complained_of():
    assert faults() == []
    assert faults(hull=HULL) == []


def test_a_correction_before_what_it_corrects():
    late: dict[str, Any] = {"at": "2026-03-06 09:00", "speed": 930.0}
    rows = [balance(**late), balance(attempt=2, **{**late, "at": "2026-03-04 09:00"})]
    found = faults({Balance: rows})
    assert columns(found) == {"at"}
    assert len(found) == 2
    other_way = [balance(**late), balance(attempt=2, way="dynamic in one plane", speed=930.0)]
    assert faults({Balance: other_way}) == []
    gaps = [gap(at="2026-05-09 10:00"), gap(attempt=2, at="2026-05-08 10:00")]
    assert columns(faults({Clearance: gaps})) == {"at"}


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"mass": 20.0}, "mass [kg]"),  # 1 m of diameter: 30 to 500 kg
        ({"mass": 100_000.0}, "mass [kg]"),  # tonnes under a head of kilograms
        ({"radius": 25.0}, "radius [mm]"),  # in inches
        ({"radius": 900.0}, "radius [mm]"),  # beyond the tip
    ],
)
def test_a_balance_of_another_propeller(cells, column):
    found = faults({Balance: [balance(speed=930.0, **cells)]})
    assert columns(found) == {column}
    assert not any(fault.row_kept for fault in found)


def test_masses_and_speeds_of_one_propeller_agree():
    one = balance(speed=930.0)
    other: dict[str, Any] = {"way": "dynamic in one plane", "speed": 930.0}
    assert len(faults({Balance: [one, balance(**other, mass=90.0)]})) == 2
    assert faults({Balance: [one, balance(**other, mass=97.0)]}) == []
    found = faults({Balance: [one, balance(way="dynamic in one plane", speed=1100.0)]})
    assert columns(found) == {"speed [rpm]"}
    assert len(found) == 2


def test_a_grade_for_less_speed_than_the_shaft_reaches():
    (found,) = faults({Balance: [balance(speed=800.0)]})
    assert found.row_kept
    assert (found.expected, found.found) == ("the shaft speed at full power, 926 r/min on trial or more", "800 r/min")


def test_a_residual_at_another_radius_than_before():
    """380 mm under a head of millimetres, typed in centimetres, makes a tenth of the unbalance."""
    one = balance(speed=930.0, radius=400.0, at="2026-03-04 09:00")
    later: dict[str, Any] = {"attempt": 2, "speed": 930.0, "at": "2026-03-06 09:00"}
    assert columns(faults({Balance: [one, balance(**later, radius=300.0)]})) == {"radius [mm]"}
    assert faults({Balance: [one, balance(**later, radius=330.0)]}) == []  # 17.5 % apart
    assert faults({Balance: [one, balance(way="dynamic in one plane", speed=930.0, radius=300.0)]}) == []


def test_a_drive_that_its_machines_or_the_trial_contradict():
    engine = {"machine": "E", "kind": "engine", "propeller": "P1", "cylinders": 8, "strokes": 4, "ratio": 1.75}
    screw = {"machine": "S", "kind": "propeller", "propeller": "P1", "blades": 4}
    both = [{**row, "name": "x", "document": "D"} for row in (engine, screw)]
    assert columns(faults({Machine: both})) == {"ratio", "blades"}
    right = [{**both[0], "ratio": 2.0}, {**both[1], "blades": afloat().of(Propeller)[0].blades}]
    assert faults({Machine: right}) == []
    drives = [{"propeller": "P1", "ratio": 1.75}, {"propeller": "P2", "ratio": 2.0}]
    (found,) = one_drive(afloat({Drive: drives}))
    assert (found.where.column, found.expected[:10]) == ("ratio", "about 2.00")


@pytest.mark.parametrize("tip", [15.0, 1200.0])
def test_a_gap_that_cannot_be(tip):
    assert columns(faults({Clearance: [gap(tip)]})) == {"tip [mm]"}
    assert columns(faults({Clearance: [gap(200.0, bracket=tip)]})) == {"bracket [mm]"}


def test_two_hulls_in_one_table_and_a_length_beyond_her_own():
    rows = [
        {"propeller": "P1", "ratio": 2.0, "rule_length": 16.0},
        {"propeller": "P2", "ratio": 2.0, "rule_length": 17.0},
    ]
    assert columns(faults({Drive: rows})) == {"rule_length [m]"}
    long = [{"propeller": name, "ratio": 2.0, "rule_length": 21.0} for name in ("P1", "P2")]
    assert len(faults({Drive: long}, hull=HULL)) == 2
    assert faults({Drive: long}) == []


def test_speeds_that_were_mixed_up():
    rows = [*trial()[ShaftSpeed][1:], shaft("R1", speed=1400.0, engine_speed=926.0)]
    found = [fault for fault in faults({ShaftSpeed: rows}) if fault.where.column == "engine_speed [rpm]"]
    assert len(found) == 1
    assert "in each other's column?" in found[0].found
    read_wrong = [*trial()[ShaftSpeed][1:], shaft("R1", speed=926.0, engine_speed=1900.0)]
    told = faults({ShaftSpeed: read_wrong})
    assert columns(told) == {"shaft_speed [rpm]", "engine_speed [rpm]"}
    assert "about 950 r/min" in told[0].expected  # 1900 / 2
    assert not any("in each other's column" in fault.found for fault in told)
    near = [*trial()[ShaftSpeed][1:], shaft("R1", speed=926.0, engine_speed=1880.0)]
    assert faults({ShaftSpeed: near}) == []


def test_the_speed_of_an_engine_as_that_of_its_shaft():
    """1852 r/min beside 926 r/min in one run, with no engine speed to set it against; 20 % apart may be a slow turn."""
    both = trial()[ShaftSpeed]
    lone = [{**row, "engine_speed": None} for row in both]
    wrong = [{**lone[0], "shaft_speed": 1852.0}, *lone[1:]]
    assert columns(list(shafts_together(afloat({ShaftSpeed: wrong})))) == {"shaft_speed [rpm]"}
    assert list(shafts_together(afloat({ShaftSpeed: [{**lone[0], "shaft_speed": 1111.0}, *lone[1:]]}))) == []


def test_a_speed_that_no_slip_explains():
    """50 kn where 30 would be without slip, or 5: in kilometres an hour, or of another run."""
    for speed in (50.0, 5.0):
        runs = [run("R1", 60.0, speed), run("R2", 240.0, 25.5)]
        found = faults({TrialRun: runs})
        assert columns(found) == {"speed [kn]", "shaft_speed [rpm]"}


def test_a_run_without_one_of_the_shafts():
    rows = [row for row in trial()[ShaftSpeed] if (row["run"], row["propeller"]) != ("R2", "P2")]
    (found,) = faults({ShaftSpeed: rows})
    assert found.row_kept
    assert found.expected == "a shaft speed of P2 in trial/shafts.csv"


def test_a_shaft_read_on_another_day_than_its_run_and_a_trial_before_launching():
    rows = [*trial()[ShaftSpeed][1:], shaft("R1", at="2026-05-21 09:40")]
    assert columns(faults({ShaftSpeed: rows})) == {"at"}
    early = [run("R1", 60.0, 25.8, at="2026-05-02 09:40"), run("R2", 240.0, 25.2)]
    told = [fault for fault in faults({TrialRun: early}, hull=HULL) if "launched" in fault.expected]
    assert len(told) == 1
