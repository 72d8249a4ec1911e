"""Pitch and its tolerances against worked examples and the published table."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.propeller.formulas.pitch import helix_pitch, pitch_angle, pitch_tolerance
from buildbook.chapters.propeller.subjects import CLASSES, class_limit, pitch_aim
from buildbook.formulas import OutOfRange
from tests.published_values import rows


@pytest.mark.parametrize("row", rows("propeller_pitch"), ids=lambda row: row["example"])
def test_pitch_of_a_helix(row):
    found = helix_pitch(float(row["rise [mm]"]), float(row["turn [deg]"]))
    assert found == pytest.approx(float(row["pitch [mm]"]), abs=float(row["tolerance"]))


def test_at_the_radius_of_the_string_method_height_over_the_circumference_is_the_pitch():
    """A public owners' note: at 3.5 in the circumference is 22 in, so 45 degrees are 22 in of pitch (22/7 for pi)."""
    assert pitch_angle(22.0 * 25.4, 3.5 * 25.4) == pytest.approx(45.0, abs=0.02)


@given(st.floats(100.0, 3000.0), st.floats(50.0, 1500.0))
def test_angle_and_pitch_are_one_thing(pitch, radius):
    assert 2.0 * math.pi * radius * math.tan(math.radians(pitch_angle(pitch, radius))) == pytest.approx(pitch)


@pytest.mark.parametrize("row", rows("propeller_classes"), ids=lambda row: f"{row['quantity']} {row['class']}")
def test_windows_of_the_classes(row):
    """Shares and least tolerances as printed; at the pitch where both are alike neither governs."""
    share, least = float(row["share [%]"]), float(row["least [mm]"])
    limit = class_limit(row["quantity"], row["class"], pitch_aim(10_000.0), least=True)
    assert limit is not None
    assert limit.high == pytest.approx(10_000.0 + 100.0 * share)
    assert limit.low == pytest.approx(10_000.0 - 100.0 * share)
    small = class_limit(row["quantity"], row["class"], pitch_aim(400.0), least=True)
    assert small is not None
    assert small.high == pytest.approx(400.0 + least)
    bare = class_limit(row["quantity"], row["class"], pitch_aim(400.0), least=False)
    assert bare is not None
    assert bare.high == pytest.approx(400.0 + 4.0 * share)
    alike = float(row["pitch from which the share counts [mm]"])
    assert least / (share / 100.0) == pytest.approx(alike, abs=0.5)
    assert pitch_tolerance(share, least, alike) == pytest.approx(least, rel=0.002)


def test_every_class_and_level_is_in_the_printed_table():
    """All but the local pitch of class III, which has no limit."""
    printed = {(row["quantity"], row["class"]) for row in rows("propeller_classes")}
    mine = {(quantity, one) for quantity in {q for q, _ in printed} for one in CLASSES
            if class_limit(quantity, one, pitch_aim(1000.0), least=True) is not None}  # fmt: skip
    assert mine == printed
    assert ("local pitch", "III") not in printed


@pytest.mark.parametrize("turn", [0.0, -10.0, 361.0, math.nan])
def test_a_turn_that_is_none_is_refused(turn):
    with pytest.raises(OutOfRange, match="turn"):
        helix_pitch(10.0, turn)
