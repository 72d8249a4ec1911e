"""PRO-06 to PRO-11 and the class over everything, on synthetic rows: every verdict.

Windows of ISO 484-2 as in `published/propeller_geometry.csv`: class I, three blades, diameter 1000 mm, so that the
least tolerances in millimetres apply. All expected values are worked by hand beside the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.checks.accuracy import CLASS, PITCH_CLASS, classed
from buildbook.chapters.propeller.checks.geometry import length, placing, spacing, surface, thickness, tips
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.propeller.subjects import CUP, LENGTH, RAKE, ROUGHNESS, SPACING, THICK, THIN, TIP, TRACK
from buildbook.chapters.shared_records import Instrument, Planned
from tests.chapters.propeller.blade_folder import (
    BENCH,
    RADII,
    Rows,
    across,
    all_across,
    all_standing,
    blade,
    drawn,
    judged,
    ordered,
    standing,
    whole,
)
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    REFERENCE,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)

STANDING, ACROSS = "propeller/blades.csv", "propeller/blade_sections.csv"


def placed(**of: Any) -> Rows:
    return {BladeReading: all_standing(**of)}


def sized(**of: Any) -> Rows:
    return {SectionReading: all_across(across("B1", **of))}


def not_classed(check: Callable[..., Any], quantity: str) -> set[Any]:
    """The verdicts of one quantity where no class was agreed."""
    found = judged(check, {Propeller: [ordered(accuracy="none")]})
    return {finding.verdict for finding in found if finding.key.quantity == quantity}


def of_another(check: Callable[..., Any], name: str, file: str, quantity: str) -> Any:
    """The verdict for a propeller that the plan names and no table has."""
    return one(judged(check, {Planned: [planned(name, "P2", file, 3)]}), quantity, place="P2").verdict


# --- PRO-06 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "verdict"),
    [(120.5, PASS), (120.9, CONDITIONAL_PASS), (121.1, CONDITIONAL_FAIL), (122.0, FAIL), (118.0, FAIL)],
)
def test_pro_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_worst_step(angle, verdict):
    """Class I: 1 degree about 120. U of a step: sqrt(2) x 0.1 = 0.141 degrees; the step before and the one after it."""
    found = one(judged(spacing, placed(B2={"angle": angle})))
    assert abs(value(found) - 120.0) == near(abs(angle - 120.0))
    assert expanded(found) == near(0.1414, abs=0.0001)
    assert (limit_of(found).low, limit_of(found).high) == (119.0, 121.0)
    assert found.verdict is verdict


def test_the_step_back_to_the_first_blade_counts():
    """0, 120 and 238 degrees: 120, 118 and 122 (worked by hand); the first of the two equal ones is told."""
    found = one(judged(spacing, placed(B3={"angle": 238.0})))
    assert found.observed == "B2 to B3"
    assert any(line.startswith("B3 to B1: 122.00°") for line in found.working)


def test_pro_06_inconclusive_where_a_blade_was_not_read_and_the_gap_across_it_is_no_miss():
    found = one(judged(spacing, {BladeReading: all_standing()[:2]}))
    assert found.verdict is INCONCLUSIVE
    assert value(found) == near(120.0)
    assert said(found, "The blade angle of 2 of 3 blades was measured")
    assert one(judged(spacing, placed(B2={"angle": None}))).verdict is INCONCLUSIVE
    assert one(judged(spacing, {Propeller: [ordered(propeller="P9")]}), place="P1").verdict is INCONCLUSIVE


def test_a_miss_stays_a_miss_where_another_blade_is_not_read():
    """Four blades ordered, three read: 0, 93 and 180; the step of 93 degrees is beyond 91, that of 180 is a gap."""
    rows = [standing("B1"), standing("B2", angle=93.0), standing("B3", angle=180.0)]
    found = one(judged(spacing, {Propeller: [ordered(blades=4)], BladeReading: rows}))
    assert (value(found), found.observed) == (near(93.0), "B1 to B2")
    assert found.verdict is FAIL


def test_pro_06_not_measured_or_no_record_or_information():
    assert (
        one(judged(spacing, placed(**{mark: {"angle": None} for mark in ("B1", "B2", "B3")}))).verdict is NOT_MEASURED
    )
    assert of_another(spacing, "PRO-06", STANDING, SPACING) is NOT_MEASURED
    assert one(judged(spacing, {BladeReading: []})).verdict is NO_RECORD
    assert not_classed(spacing, SPACING) == {INFORMATION}


# --- PRO-07 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("thick", "verdict"), [(9.0, PASS), (8.55, CONDITIONAL_PASS), (8.45, CONDITIONAL_FAIL), (8.3, FAIL)]
)
def test_pro_07_pass_or_conditional_pass_or_conditional_fail_or_fail_where_thin(thick, verdict):
    """Class I: 1.5 % of 10 mm are 0.15 mm, less than the least tolerance of 1.5 mm. U = 0.1 mm."""
    found = one(judged(thickness, sized(r95={"thickness": thick})), THIN, condition="B1")
    assert value(found) == near(thick - 10.0)
    assert (limit_of(found).low, limit_of(found).high) == (-1.5, None)
    assert found.observed == "0.95 R"
    assert found.verdict is verdict


@pytest.mark.parametrize(
    ("thick", "verdict"), [(12.0, PASS), (12.45, CONDITIONAL_PASS), (12.55, CONDITIONAL_FAIL), (13.0, FAIL)]
)
def test_pro_07_pass_or_conditional_pass_or_conditional_fail_or_fail_where_thick(thick, verdict):
    """Class I: 2.5 % of 10 mm are 0.25 mm, less than the least tolerance of 2.5 mm. Thick is not thin."""
    found = judged(thickness, sized(r30={"thickness": thick}))
    assert limit_of(one(found, THICK, condition="B1")).high == 2.5
    assert one(found, THICK, condition="B1").verdict is verdict
    assert one(found, THIN, condition="B1").verdict is PASS


def test_below_the_scope_the_shares_govern_the_thickness_and_the_millimetres_stand_beside():
    """Diameter 700 mm: 1.5 % of 10 mm; 9.8 mm misses 0.15 mm by half of U and keeps the 1.5 mm."""
    tables = {Propeller: [ordered(diameter=700.0)], **sized(r95={"thickness": 9.8})}
    found = judged(thickness, tables)
    assert one(found, THIN, condition="B1").verdict is CONDITIONAL_FAIL
    assert limit_of(one(found, THIN, condition="B1")).low == near(-0.15)
    assert one(found, THIN, condition="B1", role=REFERENCE).verdict is PASS
    assert [f for f in found if f.key.role is REFERENCE and f.key.condition != "B1"] == []  # clear: nothing to add


def test_the_worst_radius_is_the_one_that_used_up_most_of_what_is_allowed_there():
    """Without the millimetres 0.55 mm is 92 % of the 0.6 mm for 40 mm, and 0.12 mm is 80 % of the 0.15 mm for 10 mm."""
    design = [drawn(radius, thickness=40.0 if radius == 30.0 else 10.0) for radius in RADII]
    rows = sized(r30={"thickness": 39.45}, r90={"thickness": 9.88})[SectionReading]
    others = [{**row, "thickness": 40.0} if row["radius"] == 30.0 and row["blade"] != "B1" else row for row in rows]
    tables: Rows = {Propeller: [ordered(minima="no")], DesignSection: design, SectionReading: others}
    assert one(judged(thickness, tables), THIN, condition="B1").observed == "0.3 R"


def test_pro_07_inconclusive_where_a_radius_or_its_design_is_missing():
    short = {SectionReading: all_across(across("B1", radii=RADII[:-1]))}
    found = one(judged(thickness, short), THIN, condition="B1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "B1 has no blade thickness at 0.95 R")
    blank = one(judged(thickness, sized(r95={"thickness": None})), THIN, condition="B1")
    assert blank.verdict is INCONCLUSIVE
    gap = [drawn(radius, thickness=None if radius == 70.0 else 10.0) for radius in RADII]
    found = one(judged(thickness, {DesignSection: gap}), THIN, condition="B1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "no thickness at 0.7 R, so it is not judged there")
    bare = [drawn(radius, thickness=None) for radius in RADII]
    assert one(judged(thickness, {DesignSection: bare}), THICK, condition="B1").verdict is INCONCLUSIVE
    assert one(judged(thickness, {DesignSection: []}), THICK, condition="B1").verdict is INCONCLUSIVE
    assert one(judged(thickness, {Instrument: BENCH}), THICK, condition="B1").verdict is INCONCLUSIVE


def test_a_miss_is_plain_where_a_radius_is_missing():
    """8.45 mm would be a conditional fail; with another section of the blade not measured it is a fail."""
    rows = across("B1", radii=RADII[:-1], r90={"thickness": 8.45})
    assert one(judged(thickness, {SectionReading: all_across(rows)}), THIN, condition="B1").verdict is FAIL


def test_pro_07_not_measured_or_no_record_or_information():
    none = sized(**{f"r{radius:g}": {"thickness": None} for radius in RADII})
    assert one(judged(thickness, none), THIN, condition="B1").verdict is NOT_MEASURED
    without = {SectionReading: [*across("B2"), *across("B3")]}
    assert one(judged(thickness, without), THIN, condition="B1").verdict is NOT_MEASURED
    assert of_another(thickness, "PRO-07", ACROSS, THIN) is NOT_MEASURED
    assert {f.verdict for f in judged(thickness, {SectionReading: []})} == {NO_RECORD}
    assert not_classed(thickness, THIN) == not_classed(thickness, THICK) == {INFORMATION}


def test_every_attempt_at_a_blade_is_shown():
    rows = [*all_across(across("B1", r95={"thickness": 8.0})), *across("B1", attempt=2)]
    found = [f for f in judged(thickness, {SectionReading: rows}) if (f.key.quantity, f.key.condition) == (THIN, "B1")]
    assert [(f.key.attempt, f.verdict) for f in found if f.key.role is not REFERENCE] == [(1, FAIL), (2, PASS)]


def test_the_builders_own_limit_of_the_thickness_comes_first():
    mine = [specified("PRO-07", THIN, "mm", -0.3)]
    found = one(judged(thickness, sized(r95={"thickness": 9.5}), mine), THIN, condition="B1")
    assert (limit_of(found).low, found.verdict) == (-0.3, FAIL)


# --- PRO-08 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("long", "verdict"),
    [(338.0, PASS), (339.5, CONDITIONAL_PASS), (319.5, CONDITIONAL_FAIL), (345.0, FAIL), (310.0, FAIL)],
)
def test_pro_08_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_length(long, verdict):
    """Class I: 2 % of 1000 / 3 mm are 6.67 mm, less than the least tolerance of 10 mm. U = 1 mm."""
    found = one(judged(length, sized(r60={"length": long})), LENGTH, condition="B1")
    assert value(found) == near(long - 330.0)
    assert (limit_of(found).low, limit_of(found).high) == (-10.0, 10.0)
    assert found.verdict is verdict


def test_the_length_is_limited_by_the_diameter_over_the_blades():
    """Without the millimetres: 2 % of 1000 / 3 mm. That the share is of this is from memory, and so is the verdict."""
    found = one(judged(length, {Propeller: [ordered(minima="no")]}), LENGTH, condition="B1")
    assert limit_of(found).high == near(6.666667)
    assert limit_of(found).standing.value == "memory"


def test_pro_08_inconclusive_or_not_measured_or_no_record_or_information():
    bare = [drawn(radius, length=None) for radius in RADII]
    assert one(judged(length, {DesignSection: bare}), LENGTH, condition="B1").verdict is INCONCLUSIVE
    none = sized(**{f"r{radius:g}": {"length": None} for radius in RADII})
    assert one(judged(length, none), LENGTH, condition="B1").verdict is NOT_MEASURED
    assert of_another(length, "PRO-08", ACROSS, LENGTH) is NOT_MEASURED
    assert {f.verdict for f in judged(length, {SectionReading: []})} == {NO_RECORD}
    assert not_classed(length, LENGTH) == {INFORMATION}


def cupped(**cups: float | None) -> Rows:
    """All blades cupped at 0.7 R."""
    return {SectionReading: [row for mark, cup in cups.items() for row in across(mark, r70={"cup": cup})]}


def test_cups_are_compared_with_each_other_for_information():
    """1.4 less 0.9 mm; both readings are unsure by 0.2 mm, so the difference by 0.28 (worked by hand)."""
    found = one(judged(length, cupped(B1=1.0, B2=0.9, B3=1.4)), CUP)
    assert value(found) == near(0.5)
    assert expanded(found) == near(0.2828, abs=0.0001)
    assert found.verdict is INFORMATION
    assert not any("class" in note for note in found.notes)
    assert [f for f in judged(length) if f.key.quantity == CUP] == []


def test_a_limit_on_the_cups_is_kept_and_a_cup_that_is_missing_holds_it():
    mine = [specified("PRO-08", CUP, "mm", None, 0.3)]
    assert one(judged(length, cupped(B1=1.0, B2=0.9, B3=1.8), mine), CUP).verdict is FAIL
    assert one(judged(length, cupped(B1=1.0, B2=1.0, B3=1.0), mine), CUP).verdict is PASS
    assert one(judged(length, cupped(B1=1.0, B2=1.0, B3=None), mine), CUP).verdict is INCONCLUSIVE
    assert one(judged(length, None, mine), CUP).verdict is NOT_MEASURED


# --- PRO-09 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("axial", "verdict"), [(38.0, PASS), (39.8, CONDITIONAL_PASS), (40.2, CONDITIONAL_FAIL), (41.0, FAIL), (19.0, FAIL)]
)
def test_pro_09_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_rake(axial, verdict):
    """Class I: 1 % of 1000 mm to either side of the 30 mm that are drawn; U = 0.5 mm."""
    found = one(judged(placing, placed(B2={"axial": axial})), RAKE, condition="B2")
    assert value(found) == near(axial - 30.0)
    assert (limit_of(found).low, limit_of(found).high) == (-10.0, 10.0)
    assert found.verdict is verdict


@pytest.mark.parametrize(
    ("axial", "verdict"), [(39.0, PASS), (39.5, CONDITIONAL_PASS), (40.5, CONDITIONAL_FAIL), (41.0, FAIL)]
)
def test_pro_09_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_track(axial, verdict):
    """Class I: 1 % of 1000 mm from blade to blade; U = sqrt(2) x 0.5 = 0.707 mm. From memory, and it says so."""
    found = one(judged(placing, placed(B2={"axial": axial})), TRACK)
    assert abs(value(found)) == near(axial - 30.0)
    assert expanded(found) == near(0.7071, abs=0.0001)
    assert limit_of(found).standing.value == "memory"
    assert found.verdict is verdict


def test_the_track_of_a_corrected_blade_is_that_of_its_last_reading():
    rows = [*all_standing(B2={"axial": 45.0}), standing("B2", attempt=2, axial=31.0)]
    found = [f for f in judged(placing, {BladeReading: rows}) if f.key.quantity == TRACK]
    assert [(f.key.attempt, f.verdict) for f in found] == [(1, FAIL), (2, PASS)]


def test_pro_09_inconclusive_without_a_drawn_position_or_at_another_radius():
    bare: Rows = {Propeller: [ordered(axial=None, axial_radius=None)]}
    found = one(judged(placing, bare), RAKE, condition="B1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "The order gives no axial position")
    assert one(judged(placing, bare), TRACK).verdict is PASS
    off = judged(placing, placed(B2={"axial_radius": 60.0}))
    assert one(off, RAKE, condition="B2").verdict is INCONCLUSIVE
    assert said(one(off, TRACK), "read of B2 at 0.6 R, and not at 0.7 R")
    assert one(off, TRACK).verdict is INCONCLUSIVE
    assert one(off, RAKE, condition="B1").verdict is PASS


def test_pro_09_not_measured_or_no_record_or_information():
    without = judged(placing, placed(B2={"axial": None}))
    assert one(without, RAKE, condition="B2").verdict is NOT_MEASURED
    assert one(without, TRACK).verdict is INCONCLUSIVE
    assert of_another(placing, "PRO-09", STANDING, TRACK) is NOT_MEASURED
    assert {f.verdict for f in judged(placing, {BladeReading: []})} == {NO_RECORD}
    assert not_classed(placing, RAKE) == not_classed(placing, TRACK) == {INFORMATION}


# --- PRO-10 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("radius", "verdict"),
    [(501.0, PASS), (501.3, CONDITIONAL_PASS), (498.3, CONDITIONAL_FAIL), (502.0, FAIL), (497.0, FAIL)],
)
def test_pro_10_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_tip(radius, verdict):
    """Class I: 0.3 % of 500 mm, which is the least tolerance of 1.5 mm too; U = 0.4 mm."""
    found = one(judged(tips, placed(B3={"tip_radius": radius})), TIP, condition="B3")
    assert value(found) == near(radius - 500.0)
    assert (limit_of(found).low, limit_of(found).high) == (-1.5, 1.5)
    assert limit_of(found).standing.value == "memory"
    assert found.verdict is verdict


def test_pro_10_inconclusive_or_not_measured_or_no_record_or_information():
    lost: Rows = {BladeReading: [{"propeller": "P1", "blade": "B1", "attempt": 1}]}
    left: Rows = {BladeReading: [standing("B2"), standing("B3")]}
    assert one(judged(tips, left, (), lost), condition="B1").verdict is INCONCLUSIVE
    assert one(judged(tips, left), condition="B1").verdict is NOT_MEASURED
    assert of_another(tips, "PRO-10", STANDING, TIP) is NOT_MEASURED
    assert {f.verdict for f in judged(tips, {BladeReading: []})} == {NO_RECORD}
    assert not_classed(tips, TIP) == {INFORMATION}


# --- PRO-11 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rough", "verdict"), [(5.0, PASS), (5.8, CONDITIONAL_PASS), (6.2, CONDITIONAL_FAIL), (9.0, FAIL)]
)
def test_pro_11_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_roughness(rough, verdict):
    """Class I: no more than 6 micrometres; U = 0.5."""
    found = one(judged(surface, placed(B1={"roughness": rough})), ROUGHNESS, condition="B1")
    assert (limit_of(found).low, limit_of(found).high) == (None, 6.0)
    assert limit_of(found).standing.value == "memory"
    assert found.verdict is verdict


def test_pro_11_inconclusive_or_not_measured_or_no_record_or_information():
    nobody = judged(surface, placed(B1={"roughness_tester": None}))
    assert one(nobody, condition="B1").verdict is INCONCLUSIVE
    assert one(judged(surface, placed(B1={"roughness": None})), condition="B1").verdict is NOT_MEASURED
    assert of_another(surface, "PRO-11", STANDING, ROUGHNESS) is NOT_MEASURED
    assert {f.verdict for f in judged(surface, {BladeReading: []})} == {NO_RECORD}
    assert not_classed(surface, ROUGHNESS) == {INFORMATION}


# --- PRO-05, over everything ---------------------------------------------------------------------------------------


def everything(tables: Rows | None = None, attempt: int = 1, **more: Any) -> Any:
    return one(judged(classed, tables, **more), CLASS, attempt=attempt)


@pytest.mark.parametrize(
    ("rough", "verdict", "shown"),
    [(2.0, PASS, "class S"), (5.0, PASS, "class I"), (5.8, CONDITIONAL_PASS, "class I"), (9.0, FAIL, "class II")],
)
def test_pro_05_pass_or_conditional_pass_or_fail_over_everything(rough, verdict, shown):
    """The pitch meets class S in all of them; the roughness of one blade decides (3, 6 and 12 micrometres)."""
    found = judged(classed, placed(B1={"roughness": rough}))
    assert (one(found, CLASS).observed, one(found, CLASS).verdict) == (shown, verdict)
    assert said(one(found, CLASS), "Class I is missed by: surface roughness.") is (verdict is FAIL)
    assert (one(found, PITCH_CLASS).observed, one(found, PITCH_CLASS).verdict) == ("class S", PASS)


def test_what_was_not_measured_leaves_the_class_open_unless_it_is_missed_already():
    found = judged(classed, {BladeReading: []})
    assert one(found, PITCH_CLASS).verdict is PASS
    assert one(found, CLASS).verdict is INCONCLUSIVE
    assert said(one(found, CLASS), "Not measured, though this class limits it: angle from blade to blade, axial")
    assert one(found, CLASS).observed == "not above class S, since not all of it was measured"
    steep = everything({BladeReading: [], PitchReading: whole(blade("B1", 1050.0))})
    assert steep.verdict is FAIL


@pytest.mark.parametrize(
    ("pitch", "shown"),
    [
        (1012.0, "not above class III, since not all of it was measured"),  # 1.2 %: more than 1 % of class II
        (1100.0, "no class"),  # 10 %: beyond class III, whatever the blades would show
    ],
)
def test_no_class_is_said_only_where_what_was_measured_misses_all(pitch, shown):
    found = everything({BladeReading: [], PitchReading: whole(None, pitch)})
    assert (found.verdict, found.observed) == (FAIL, shown)


def test_a_missing_blade_radius_or_design_holds_the_class():
    assert everything({BladeReading: all_standing()[:2]}).verdict is INCONCLUSIVE
    short = everything({SectionReading: [row for row in all_across() if row["radius"] != 40.0]})
    assert short.verdict is INCONCLUSIVE
    assert said(short, "Measured at too few radii for class I: none at 0.4 R")
    assert everything({Propeller: [ordered(axial=None, axial_radius=None)]}).verdict is INCONCLUSIVE


def test_a_blade_that_was_worked_on_is_to_be_measured_again():
    again = [*whole(), *blade("B1", attempt=2)]
    found = everything({PitchReading: again}, attempt=2)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "B1 was worked on after its readings in propeller/blades.csv and not read again there")
    rows: Rows = {
        PitchReading: again,
        BladeReading: [*all_standing(), standing("B1", attempt=2)],
        SectionReading: [*all_across(), *across("B1", attempt=2)],
    }
    assert everything(rows, attempt=2).verdict is PASS


def test_a_limit_that_names_a_propeller_without_a_reading_is_asked_for():
    mine = [specified("PRO-10", TIP, "mm", -1.0, 1.0, place="P9")]
    found = one(judged(tips, None, mine), TIP, "P9")
    assert found.verdict is NOT_MEASURED
    assert said(found, "A limit is set here")
