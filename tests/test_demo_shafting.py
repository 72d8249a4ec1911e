"""Shafts and rudders of the demonstration go together with the rest of her: propellers, drive, engines, dates."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

import pytest

HULL = Path(__file__).parent.parent / "demo_build" / "hull"


def rows(name: str) -> list[dict[str, str]]:
    with (HULL / name).open(encoding="utf-8", newline="") as file:
        return [{head.split(" [")[0]: cell for head, cell in row.items()} for row in csv.DictReader(file)]


HER = tomllib.loads((HULL / "hull.toml").read_text(encoding="utf-8"))
SHAFTS = rows("shafting/shafts.csv")
PLACES = {row["place"]: row for row in rows("places.csv")}


def test_power_speed_and_propeller_are_those_of_the_drive():
    (power,) = {row["power"] for row in rows("propeller/drives.csv")}
    (ratio,) = {float(row["ratio"]) for row in rows("propeller/drives.csv")}
    (diameter,) = {row["diameter"] for row in rows("propeller/propellers.csv")}
    assert {(row["power"], row["propeller"]) for row in SHAFTS} == {(power, diameter)}
    for row in SHAFTS:
        assert float(row["speed"]) == pytest.approx(2300.0 / ratio, abs=1.0)  # hull.toml: 735 kW each at 2300 rpm


def test_the_shafts_are_as_thick_as_hull_toml_says():
    assert HER["machinery"]["shafts"].startswith("70 mm")
    assert {round(float(row["diameter"])) for row in rows("shafting/shaft_ends.csv")} == {70}
    assert {float(row["shaft_diameter"]) for row in rows("shafting/bearings.csv")} == {70.0}


def test_what_stands_on_one_side_stands_on_the_side_of_its_propeller_and_in_order():
    """From forward aft: shaft, strut bearing, propeller, rudder; all below the water."""
    for line in (("SH1", "BE1", "P1", "R1"), ("SH2", "BE2", "P2", "R2")):
        assert len({PLACES[name]["y"] for name in line}) == 1
        along = [float(PLACES[name]["x"]) for name in line]
        assert along == sorted(along, reverse=True)
        assert all(float(PLACES[name]["z"]) < 0.0 for name in line)


def test_what_was_read_ashore_was_read_before_she_was_launched():
    launched = HER["dates"]["launched"].isoformat()
    for row in rows("shafting/couplings.csv"):
        assert (row["afloat"] == "yes") == (row["at"][:10] >= launched)
    for name in ("shaft_ends", "run_out", "bearings", "rudder_stocks"):
        assert all(row["at"][:10] < launched for row in rows(f"shafting/{name}.csv"))


def test_one_shaft_was_straightened_and_no_other():
    again = {row["part"] for row in rows("shafting/run_out.csv") if row["attempt"] == "2"}
    reported = {row["place"] for row in rows("nonconformities.csv") if row["report"].startswith("NCR-S")}
    assert again == reported == {"SH2"}


def test_both_pictures_of_the_slots_say_that_they_are_drawings():
    slots = [row for row in rows("photographs.csv") if row["check"] == "SHA-09"]
    assert {row["place"] for row in slots} == {"R1", "R2"}
    assert all(row["alternative"].startswith("Drawing, not a photograph") for row in slots)
    assert len({(HULL / row["file"]).read_bytes() for row in slots}) == 2
