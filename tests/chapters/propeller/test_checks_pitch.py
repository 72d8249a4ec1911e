"""PRO-01 to PRO-05: every verdict, on synthetic rows; windows of ISO 484-2 as in `published/propeller_classes.csv`."""

from __future__ import annotations

import pytest

from buildbook.chapters.propeller.checks.accuracy import CLASS, PITCH_CLASS, classed
from buildbook.chapters.propeller.checks.pitch import at_radii, local, of_blades, of_propellers
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.propeller.subjects import BLADE, LOCAL, RADIUS, WHOLE
from buildbook.chapters.shared_records import Instrument, Planned
from tests.chapters.propeller.blade_folder import BENCH, RADII, Rows, blade, given, judged, ordered, whole
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    GOVERNING,
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

FILE = "propeller/pitch.csv"


# --- PRO-01 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off", "verdict"), [(0.0, PASS), (16.0, CONDITIONAL_PASS), (24.0, CONDITIONAL_FAIL), (30.0, FAIL), (-30.0, FAIL)]
)
def test_pro_01_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_step(off, verdict):
    """Class I: 2 % of 1000 mm. U over 18 degrees: 20 x sqrt(2) x 0.2 = 5.66 mm (worked by hand)."""
    first = blade("B1")
    first[13]["height"] += off * 18.0 / 360.0  # second station at 0.7 R: the steps before and after it
    found = one(judged(local, {PitchReading: whole(first)}), condition="B1")
    assert abs(value(found) - 1000.0) == near(abs(off))
    assert expanded(found) == near(5.657, abs=0.001)
    assert (limit_of(found).low, limit_of(found).high) == (980.0, 1020.0)
    assert found.verdict is verdict


def test_pro_01_not_measured_where_the_shop_gives_pitches_only():
    found = one(judged(local, {PitchReading: whole(given("B1"))}), condition="B1")
    assert found.verdict is NOT_MEASURED
    assert said(found, "needs angles and heights")


def test_pro_01_information_in_class_three_and_without_a_class():
    for accuracy in ("III", "none"):
        found = one(judged(local, {Propeller: [ordered(accuracy=accuracy)]}), condition="B1")
        assert found.verdict is INFORMATION


def test_pro_01_no_record_or_inconclusive_without_rows():
    assert one(judged(local, {PitchReading: []})).verdict is NO_RECORD
    lost: Rows = {PitchReading: [{"propeller": "P1", "blade": "B1", "attempt": 1, "number": 1, "radius": 70.0}]}
    found = judged(local, {PitchReading: [*blade("B2"), *blade("B3")]}, (), lost)
    assert one(found, condition="B1").verdict is INCONCLUSIVE
    assert {f.verdict for f in judged(local, {Propeller: [ordered(propeller="P9")]}) if f.key.place == "P1"} == {
        INCONCLUSIVE
    }


def test_a_cup_is_left_out():
    """The last station of each section on the cup: 36 degrees there would read 1100 mm."""
    first = [{**row, "on": "cup", "height": 110.0} if row["angle"] == 36.0 else row for row in blade("B1")]
    assert value(one(judged(local, {PitchReading: whole(first)}), condition="B1")) == near(1000.0)


# --- PRO-02 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pitch", "verdict"), [(1005.0, PASS), (1013.0, CONDITIONAL_PASS), (1017.0, CONDITIONAL_FAIL), (1030.0, FAIL)]
)
def test_pro_02_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_worst_radius(pitch, verdict):
    """Class I: 1.5 % of 1000 mm; U over 36 degrees: 2.83 mm."""
    found = one(judged(at_radii, {PitchReading: whole(blade("B1", r80=pitch))}), condition="B1")
    assert value(found) == near(pitch)
    assert found.observed == "0.8 R"
    assert expanded(found) == near(2.828, abs=0.001)
    assert (limit_of(found).low, limit_of(found).high) == (985.0, 1015.0)
    assert found.verdict is verdict


def test_end_to_end_is_the_angle_weighted_mean_of_unequal_steps():
    """0, 9 and 36 degrees with 1100 and 966.67 mm: (27.5 + 72.5) mm over 36 degrees are 1000 mm (worked by hand)."""
    first = blade("B1")
    first[13] |= {"angle": 9.0, "height": 27.5}
    assert value(one(judged(at_radii, {PitchReading: whole(first)}), condition="B1")) == near(1000.0)


def test_the_design_pitch_of_the_radius_counts():
    drawn = [{"propeller": "P1", "radius": radius, "pitch": 950.0 if radius == 30.0 else 1000.0} for radius in RADII]
    found = one(judged(at_radii, {PitchReading: whole(blade("B1", r30=950.0)), DesignSection: drawn}), condition="B1")
    assert found.verdict is PASS
    lost: Rows = {DesignSection: [{"propeller": "P1", "radius": None}]}
    assert one(judged(at_radii, None, (), lost), condition="B1").verdict is INCONCLUSIVE
    assert one(judged(at_radii, {DesignSection: []}), condition="B1").verdict is INCONCLUSIVE
    gap = [row for row in drawn if row["radius"] != 70.0]
    assert said(one(judged(at_radii, {DesignSection: gap}), condition="B1"), "no design pitch at 0.7 R")


def test_pitches_as_the_shop_worked_them_out_are_judged_too():
    found = one(judged(at_radii, {PitchReading: whole(given("B1", 1005.0))}), condition="B1")
    assert value(found) == near(1005.0)
    assert expanded(found) == near(2.0)
    assert found.verdict is PASS


def test_pro_02_information_or_inconclusive_or_not_measured_or_no_record():
    assert one(judged(at_radii, {Propeller: [ordered(accuracy="none")]}), condition="B1").verdict is INFORMATION
    short = blade("B1", radii=[radius for radius in RADII if radius != 90.0])
    found = one(judged(at_radii, {PitchReading: whole(short)}), condition="B1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "Other blades were read at 0.9 R")
    unknown = judged(at_radii, {Instrument: BENCH[1:]})
    assert {f.verdict for f in unknown} == {INCONCLUSIVE}
    plan: Rows = {Planned: [planned("PRO-02", "P2", FILE, 24)]}
    assert one(judged(at_radii, plan), place="P2").verdict is NOT_MEASURED
    assert one(judged(at_radii, {PitchReading: []})).verdict is NO_RECORD


# --- PRO-03 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pitch", "verdict"), [(1005.0, PASS), (1009.0, CONDITIONAL_PASS), (1011.0, CONDITIONAL_FAIL), (1020.0, FAIL)]
)
def test_pro_03_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_mean(pitch, verdict):
    """Class I: 1 %; the mean is no surer than one radius, since the bench may err alike in all."""
    found = one(judged(of_blades, {PitchReading: whole(blade("B1", pitch))}), condition="B1")
    assert value(found) == near(pitch)
    assert expanded(found) == near(2.828, abs=0.001)
    assert found.verdict is verdict


def test_the_mean_is_plain():
    """Seven radii of 1000 mm and one of 1040: 1005 mm (worked by hand)."""
    assert value(one(judged(of_blades, {PitchReading: whole(blade("B1", r95=1040.0))}), condition="B1")) == near(1005.0)


def test_every_attempt_is_shown():
    rows = [*whole(blade("B1", 1030.0)), *blade("B1", 1000.0, attempt=2)]
    found = [
        f for f in judged(of_blades, {PitchReading: rows}) if f.key.condition == "B1" and f.key.role is not REFERENCE
    ]
    assert [(f.key.attempt, f.verdict) for f in found] == [(1, FAIL), (2, PASS)]


def test_below_the_scope_the_shares_govern_and_the_millimetres_stand_beside():
    """600 mm pitch, class I: 1 % are 6 mm, the standard's least tolerance is 7.5 mm; below 0.80 m by agreement."""
    small = ordered(diameter=700.0, pitch=600.0)
    drawn = [{"propeller": "P1", "radius": radius, "pitch": 600.0} for radius in RADII]
    tables: Rows = {Propeller: [small], DesignSection: drawn, PitchReading: whole(blade("B1", 603.0), 600.0)}
    found = judged(of_blades, tables)
    governing, beside = (one(found, condition="B1", role=role) for role in (GOVERNING, REFERENCE))
    assert (limit_of(governing).low, limit_of(governing).high) == (594.0, 606.0)
    assert (limit_of(beside).low, limit_of(beside).high) == (592.5, 607.5)
    agreed = judged(of_blades, {**tables, Propeller: [{**small, "minima": "yes"}]})
    assert limit_of(one(agreed, condition="B1")).high == 607.5


def test_pro_03_information_or_inconclusive_or_not_measured_or_no_record():
    assert one(judged(of_blades, {Propeller: [ordered(accuracy="none")]}), condition="B1").verdict is INFORMATION
    short = blade("B1", radii=RADII[:-1])
    assert one(judged(of_blades, {PitchReading: whole(short)}), condition="B1").verdict is INCONCLUSIVE
    plan: Rows = {Planned: [planned("PRO-03", "P2", FILE, 24)]}
    assert one(judged(of_blades, plan), place="P2").verdict is NOT_MEASURED
    assert one(judged(of_blades, {PitchReading: []})).verdict is NO_RECORD


# --- PRO-04 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pitch", "verdict"), [(1004.0, PASS), (1006.0, CONDITIONAL_PASS), (1009.0, CONDITIONAL_FAIL), (1020.0, FAIL)]
)
def test_pro_04_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_mean(pitch, verdict):
    """Class I: 0.75 % of 1000 mm, with U = 2.83 mm."""
    found = one(judged(of_propellers, {PitchReading: whole(None, pitch)}))
    assert value(found) == near(pitch)
    assert (limit_of(found).low, limit_of(found).high) == (992.5, 1007.5)
    assert found.verdict is verdict


def test_after_a_correction_the_other_blades_keep_their_readings():
    """As received (1030 + 1000 + 1000) / 3 = 1010 mm; with the first blade corrected to 1003 it is 1001 (by hand)."""
    found = judged(of_propellers, {PitchReading: [*whole(blade("B1", 1030.0)), *blade("B1", 1003.0, attempt=2)]})
    assert [value(f) for f in found if f.key.role is not REFERENCE] == [near(1010.0), near(1001.0)]


def test_pro_04_information_or_inconclusive_or_not_measured_or_no_record():
    assert one(judged(of_propellers, {Propeller: [ordered(accuracy="none")]})).verdict is INFORMATION
    two = judged(of_propellers, {PitchReading: [*blade("B1"), *blade("B2")]})
    assert one(two).verdict is INCONCLUSIVE
    assert said(one(two), "2 of 3 blades were measured")
    lost: Rows = {PitchReading: [{"propeller": "P1", "blade": None, "attempt": None}]}
    assert one(judged(of_propellers, None, (), lost)).verdict is INCONCLUSIVE
    more: Rows = {Propeller: [ordered(), ordered(propeller="P2", side="starboard")]}
    assert one(judged(of_propellers, more), place="P2").verdict is NOT_MEASURED
    assert one(judged(of_propellers, {PitchReading: []})).verdict is NO_RECORD


def test_the_builders_own_limit_comes_first():
    mine = [specified("PRO-04", WHOLE, "mm", 996.0, 1004.0)]
    assert one(judged(of_propellers, {PitchReading: whole(None, 1005.0)}, mine)).verdict is CONDITIONAL_FAIL


# --- PRO-05 -------------------------------------------------------------------------------------------------------


def pitch_class(findings, **key):
    """The class of the pitch alone; that of everything is tested with the other dimensions."""
    return one(findings, PITCH_CLASS, **key)


@pytest.mark.parametrize(
    ("pitch", "verdict", "shown"),
    [
        (1000.0, PASS, "class S"),
        (1004.0, PASS, "class S"),  # 0.4 % of 0.5 %: within S, not clearly; clear of I
        (1006.0, CONDITIONAL_PASS, "class I"),
        (1012.0, FAIL, "class III"),  # 1.2 %: more than the 1 % of class II for a propeller
        (1100.0, FAIL, "no class"),
    ],
)
def test_pro_05_pass_or_conditional_pass_or_fail_by_the_class_all_levels_meet(pitch, verdict, shown):
    found = pitch_class(judged(classed, {PitchReading: whole(None, pitch)}))
    assert found.observed == shown
    assert found.verdict is verdict
    assert said(found, "in the scope of ISO 484-2")
    assert said(found, "that of the pitch alone")


def test_pro_05_inconclusive_where_too_few_radii_were_read():
    """Only 0.5, 0.7 and 0.9 R and the hub: enough for class II, not for class I however good the numbers are."""
    few = [row for mark in ("B1", "B2", "B3") for row in blade(mark, radii=(30.0, 50.0, 70.0, 90.0))]
    found = pitch_class(judged(classed, {PitchReading: few}))
    assert found.verdict is INCONCLUSIVE
    assert found.observed == "class II"
    assert said(found, "Measured at too few radii for class I: none at 0.4 R, at 0.6 R, at 0.8 R and at 0.95 R")
    second = pitch_class(judged(classed, {PitchReading: few, Propeller: [ordered(accuracy="II")]}))
    assert second.verdict is PASS


def test_pro_05_not_measured_or_no_record_or_information():
    more: Rows = {Propeller: [ordered(), ordered(propeller="P2", side="starboard")]}
    assert pitch_class(judged(classed, more), place="P2").verdict is NOT_MEASURED
    assert pitch_class(judged(classed, {PitchReading: []})).verdict is NO_RECORD
    assert pitch_class(judged(classed, {Propeller: [ordered(accuracy="none")]})).verdict is INFORMATION


def test_without_stations_no_class_that_limits_the_steps_is_shown():
    rows = [row for mark in ("B1", "B2", "B3") for row in given(mark)]
    found = pitch_class(judged(classed, {PitchReading: rows}))
    assert found.verdict is INCONCLUSIVE
    assert found.observed == "class III"


def test_only_the_pitch_as_left_counts_for_the_class():
    rows = [*whole(blade("B1", 1050.0)), *blade("B1", 1000.0, attempt=2)]
    found = pitch_class(judged(classed, {PitchReading: rows}), attempt=2)
    assert found.verdict is PASS
    assert "below the scope" in " ".join(pitch_class(judged(classed, {Propeller: [ordered(diameter=760.0)]})).notes)


def test_the_names_of_the_levels_are_those_of_the_table():
    assert len({LOCAL, RADIUS, BLADE, WHOLE, CLASS, PITCH_CLASS}) == 6
