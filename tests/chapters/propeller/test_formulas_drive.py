"""Balance, room and slip against published and worked examples; units against the registry that pint ships."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.propeller.checks.balance import class_allowance
from buildbook.chapters.propeller.checks.clearance import BRACKET, GAP, class_recommendation
from buildbook.chapters.propeller.checks.slip import turned
from buildbook.chapters.propeller.drive_records import Drive
from buildbook.chapters.propeller.drive_subjects import rule
from buildbook.chapters.propeller.formulas.balance import (
    angular_speed,
    balance_grade,
    permissible_unbalance,
    static_allowance,
    tip_mass,
)
from buildbook.chapters.propeller.formulas.clearance import clearance_factor, recommended_share
from buildbook.chapters.propeller.formulas.slip import apparent_slip, no_slip_speed
from buildbook.chapters.propeller.records import Propeller
from buildbook.formulas import OutOfRange
from buildbook.sources import table
from tests.chapters.evidence_builder import evidence, record
from tests.chapters.propeller.blade_folder import ordered
from tests.published_values import rows

BALANCE = {row["example"]: row for row in rows("propeller_balance")}


@pytest.fixture(scope="module")
def ureg() -> pint.UnitRegistry:
    return pint.UnitRegistry()


# --- balance ------------------------------------------------------------------------------------------------------


def test_unbalance_of_a_grade_as_a_tool_catalogue_prints_it():
    """W10: 2 kg, G 6.3, 10 000 r/min: 12 g mm, and 6 g mm for each kilogram."""
    row = BALANCE["W10"]
    found = permissible_unbalance(float(row["class or grade"]), float(row["mass [kg]"]), float(row["speed [r/min]"]))
    assert found == pytest.approx(float(row["allowed"]), abs=float(row["tolerance"]))
    assert found / 2.0 == pytest.approx(6.0, abs=0.5)


@pytest.mark.parametrize("name", [name for name in BALANCE if name != "W10"])
def test_static_balance_of_each_class(name: str):
    row = BALANCE[name]
    wheel = record(Propeller, ordered(diameter=2000.0 * float(row["tip radius [m]"]), accuracy=row["class or grade"]))
    limit = class_allowance(wheel, float(row["mass [kg]"]), float(row["speed [r/min]"]))
    assert limit is not None
    assert limit.high == pytest.approx(float(row["allowed"]), abs=float(row["tolerance"]))
    assert {term.standing.value for term in limit.terms} == {"builder", "memory"}


def test_a_class_is_a_grade_that_gets_finer_with_the_speed():
    """G = 104.72 C / N (worked by hand): at 900 r/min 1.75, 2.91, 4.65 and 8.73 mm/s for S, I, II and III."""
    printed = {"S": 1.75, "I": 2.91, "II": 4.65, "III": 8.73}
    for row in table("propeller_balance"):
        most = static_allowance(float(row["speed_constant"]), float(row["mass_share"]), 85.0, 0.40, 900.0)
        assert balance_grade(most * 400.0, 85.0, 900.0) == pytest.approx(printed[row["class"]], abs=0.005)


def test_grade_in_the_units_of_pint(ureg: pint.UnitRegistry):
    unbalance, mass, speed = 2584.0 * ureg.g * ureg.mm, 62.4 * ureg.kg, 1127.0 * ureg.revolution / ureg.minute
    grade = (unbalance / mass * speed.to("rad/s") / ureg.rad).to("mm/s")
    assert balance_grade(2584.0, 62.4, 1127.0) == pytest.approx(grade.magnitude)
    assert angular_speed(1127.0) == pytest.approx(speed.to("rad/s").magnitude)


@given(st.floats(0.1, 40.0), st.floats(1.0, 5000.0), st.floats(50.0, 5000.0))
def test_grade_and_unbalance_are_one_thing(grade, mass, speed):
    assert balance_grade(permissible_unbalance(grade, mass, speed), mass, speed) == pytest.approx(grade)


def test_a_mass_at_half_the_radius_is_half_of_it_at_the_tip():
    assert tip_mass(6.0, 190.0, 380.0) == 3.0


# --- room ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("propeller_clearance"), ids=lambda row: row["example"])
def test_class_recommendation(row: dict[str, str]):
    """From the tables of the folder to the least gap; the standing is as weak as that of the letters of the figure."""
    sides = (("P1", "port"), ("P2", "starboard"))[: int(row["screws"])]
    size = {"diameter": 1000.0 * float(row["diameter [m]"]), "blades": int(row["blades"])}
    drive = {"ratio": 2.0, "power": row["power [kW]"], "rule_length": row["rule length [m]"]}
    folder = evidence(
        {
            Propeller: [ordered(propeller=name, side=side, **size) for name, side in sides],
            Drive: [{"propeller": name, "block": row["block coefficient"], **drive} for name, _ in sides],
        }
    )
    for quantity, name in ((GAP, "tip"), (BRACKET, "bracket")):
        limit, told = class_recommendation(folder, folder.of(Propeller)[0], quantity)
        assert limit is not None
        assert limit.low is not None
        metres = limit.low / 100.0 * float(row["diameter [m]"])
        assert metres == pytest.approx(float(row[f"{name} [m]"]), abs=0.0005)
        assert metres >= float(row[f"{name} least [m]"])
        assert limit.standing.value == "memory"
        assert row["K"] in told[0]


def test_the_least_share_governs_where_little_power_drives_a_long_hull():
    """A hull of 24 m with 100 kW: K = 0.0405 (worked by hand); five blades never less than 16 %."""
    factor = clearance_factor(rule("twin screws"), 24.0, 0.45, 100.0)
    assert factor == pytest.approx((0.1 + 24 / 3050) * (2.56 * 0.45 * 100 / 576 + 0.3))
    assert factor == pytest.approx(0.0539, abs=0.0001)
    assert recommended_share(0.85, factor, 16.0) == 16.0


def test_a_single_screw_asks_for_more_room():
    assert clearance_factor(rule("single screw"), 24.0, 0.45, 900.0) > clearance_factor(
        rule("twin screws"), 24, 0.45, 900
    )


# --- slip ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("propeller_slip"), ids=lambda row: row["example"])
def test_slip(row: dict[str, str]):
    found = no_slip_speed(float(row["pitch [m]"]), float(row["speed [r/min]"]))
    assert found == pytest.approx(float(row["without slip [kn]"]), abs=0.005)
    assert apparent_slip(float(row["ship [kn]"]), found) == pytest.approx(
        float(row["slip [%]"]), abs=float(row["tolerance"])
    )


@pytest.mark.parametrize(("advance", "slip", "digits"), [(18.0, 5.26, 0.005), (17.0, 10.52, 0.01)])
def test_slip_by_its_definition(advance, slip, digits):
    """W9, a boating forum (read): pitch 19 in, 18 in and 17 in in each turn; it prints 10.52, exact is 10.526."""
    assert apparent_slip(advance, 19.0) == pytest.approx(slip, abs=digits)


def test_a_day_by_the_engine():
    """W8: 257.054 miles in 24 hours."""
    assert 24.0 * no_slip_speed(3.8, 87.0) == pytest.approx(257.054, abs=0.0005)


def test_speed_without_slip_in_the_units_of_pint(ureg: pint.UnitRegistry):
    speed = (0.96 * ureg.m * 1050.0 / ureg.minute).to("nautical_mile / hour")
    assert no_slip_speed(0.96, 1050.0) == pytest.approx(speed.magnitude)


@given(st.floats(0.0, 360.0), st.floats(0.0, 360.0))
def test_the_short_way_between_two_courses(one, other):
    """By the cosine of the angle between two unit vectors, which is another way to the same figure."""
    cosine = math.cos(math.radians(one)) * math.cos(math.radians(other))
    cosine += math.sin(math.radians(one)) * math.sin(math.radians(other))
    assert turned(one, other) == pytest.approx(math.degrees(math.acos(max(-1.0, min(1.0, cosine)))), abs=1e-4)


# --- out of range -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (angular_speed, (0.0,)),
        (balance_grade, (-1.0, 1.0, 1.0)),
        (balance_grade, (1.0, 0.0, 1.0)),
        (permissible_unbalance, (0.0, 1.0, 1.0)),
        (tip_mass, (1.0, 0.0, 1.0)),
        (static_allowance, (25.0, 0.001, 85.0, 0.0, 900.0)),
        (clearance_factor, (2.56, 0.0, 0.45, 900.0)),
        (clearance_factor, (2.56, 24.0, 1.1, 900.0)),
        (recommended_share, (0.0, 0.2, 16.0)),
        (no_slip_speed, (0.0, 100.0)),
        (apparent_slip, (10.0, 0.0)),
        (apparent_slip, (math.nan, 10.0)),
    ],
)
def test_what_cannot_be_is_refused(formula, arguments):
    with pytest.raises(OutOfRange):
        formula(*arguments)
