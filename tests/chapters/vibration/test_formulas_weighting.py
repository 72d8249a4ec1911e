"""Weightings against the printed factors, for a deck and for the ear; edges of bands; orders and levels by hand."""

from __future__ import annotations

import math

import numpy as np
import pyoctaveband
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.vibration import rules
from buildbook.chapters.vibration.formulas import orders, sound
from buildbook.chapters.vibration.formulas.weighting import ear, third_octave, whole_body, whole_body_velocity
from buildbook.formulas import OutOfRange
from tests.published_values import rows


def at(weight, frequency):
    return float(weight(np.array([frequency]))[0])


@pytest.mark.parametrize("row", rows("vibration_weighting"), ids=lambda row: row["band"])
def test_printed_factor_of_each_band(row):
    """37 factors at the exact middles of the bands. The second table is printed with three digits."""
    middle, low, high = third_octave(int(row["band"]))
    assert at(whole_body, middle) == pytest.approx(float(row["factor"]), rel=0.001)
    assert (low, high) == pytest.approx((float(row["lower edge [Hz]"]), float(row["upper edge [Hz]"])), abs=0.00006)
    if row["velocity factor"]:
        assert at(whole_body_velocity, middle) == pytest.approx(float(row["velocity factor"]), abs=0.0016)


@pytest.mark.parametrize(("acceleration", "velocity"), [(71.5, 2), (107, 3), (143, 4), (214, 6), (286, 8)])
def test_both_columns_of_the_guideline_are_one(acceleration, velocity):
    """ISO 6954:2000, table 1 (read on a public page): limits in mm/s2 and mm/s differ by 0.028 s."""
    assert 0.028 * acceleration == pytest.approx(velocity, rel=0.003)
    assert at(whole_body_velocity, 5.0) / at(whole_body, 5.0) == pytest.approx(0.028 * 2 * math.pi * 5.0)


def test_three_lines_of_velocity_together():
    """0.5 mm/s at 8 Hz, 1.0 at 16 Hz, 2.0 at 40 Hz: 2.2083 mm/s (worked by hand)."""
    lines = ((8.0, 0.5), (16.0, 1.0), (40.0, 2.0))
    assert math.hypot(*(at(whole_body_velocity, f) * v for f, v in lines)) == pytest.approx(2.2083, abs=0.0001)


def test_a_tone_above_80_hz_still_counts():
    """3 mm/s at 95 Hz: 2.22 mm/s with the whole weighting (worked by hand)."""
    assert 3.0 * at(whole_body_velocity, 95.0) == pytest.approx(2.22, abs=0.005)


@pytest.mark.parametrize("row", rows("sound_weighting"), ids=lambda row: row["nominal [Hz]"])
def test_printed_level_of_each_band_for_the_ear(row):
    middle, _, _ = third_octave(int(row["band"]))
    assert 20.0 * math.log10(at(ear, middle)) == pytest.approx(float(row["level [dB]"]), abs=0.06)


def test_edges_of_the_bands_of_another_library():
    """PyOctaveBand, IEC 61260-1: middles, lower and upper edges of every band from 1 Hz to 10 kHz."""
    middles, lower, upper = pyoctaveband.getansifrequencies(3, [1.0, 10_000.0])[:3]
    assert len(middles) == 41
    for number, edges in enumerate(zip(middles, lower, upper, strict=True)):
        assert third_octave(number) == pytest.approx(edges, rel=1e-9)


def test_level_of_octave_bands():
    """Octave bands 31.5 Hz to 8 kHz with the printed weighting: 59.71 dB(A) (worked by hand)."""
    printed = (-39.4, -26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1)
    levels = (80, 78, 70, 62, 55, 50, 45, 40, 35)
    whole = 10.0 * math.log10(sum(10.0 ** ((one + more) / 10.0) for one, more in zip(levels, printed, strict=True)))
    assert whole == pytest.approx(59.71, abs=0.005)
    exact = [20.0 * math.log10(at(ear, third_octave(15 + 3 * n)[0])) for n in range(9)]
    mine = 10.0 * math.log10(sum(10.0 ** ((one + more) / 10.0) for one, more in zip(levels, exact, strict=True)))
    assert mine == pytest.approx(whole, abs=0.05)


def test_orders_of_one_drive():
    """2000 r/min, gear 2.0, four blades, V12 of four strokes (by hand): half an engine order is a shaft order."""
    shaft = 2000.0 / 2.0
    assert orders.turning_rate(shaft) == pytest.approx(16.667, abs=0.0005)
    assert orders.blade_rate(shaft, 4) == pytest.approx(66.667, abs=0.0005)
    assert orders.blade_rate(shaft, 4, 2) == pytest.approx(133.33, abs=0.005)
    assert orders.firing_rate(2000.0, 12, 4) == 200.0
    assert 0.5 * orders.turning_rate(2000.0) == pytest.approx(orders.turning_rate(shaft))


def test_energy_mean():
    """70, 65 and 60 dB: 66.74 dB (worked by hand); twice the time counts like a second reading."""
    assert sound.energy_mean([70.0, 65.0, 60.0]) == pytest.approx(66.74, abs=0.005)
    assert sound.energy_mean([70.0, 60.0], [2.0, 1.0]) == pytest.approx(sound.energy_mean([70.0, 70.0, 60.0]))


@given(st.floats(40, 100), st.floats(3.01, 9.99))
def test_background_put_back_gives_the_level_again(total, above):
    background = total - above
    alone, bound = sound.without_background(total, background)
    assert not bound
    both = 10.0 * math.log10(10.0 ** (alone / 10.0) + 10.0 ** (background / 10.0))
    assert both == pytest.approx(total, abs=1e-6)


@pytest.mark.parametrize(("above", "expected"), [(10.0, (60.0, False)), (2.9, (60.0, True)), (-1.0, (60.0, True))])
def test_background_far_below_or_too_near(above, expected):
    assert sound.without_background(60.0, 60.0 - above) == expected


def test_how_far_the_background_lies_below_stands_in_the_table(monkeypatch):
    """60 dB over 52 dB: 10 lg(10^6 - 10^5.2) = 59.25 dB (by hand), unless the table says that 8 dB are enough."""
    alone, bound = sound.without_background(60.0, 52.0)
    assert alone == pytest.approx(59.25, abs=0.005)
    assert not bound
    printed = {"background that adds nothing": 8.0, "background too near": 7.0}
    monkeypatch.setattr(rules, "figure", lambda _, name: printed[name])
    assert sound.without_background(60.0, 52.0) == (60.0, False)
    assert sound.without_background(60.0, 54.0) == (60.0, True)


@pytest.mark.parametrize(
    "call",
    [
        lambda: orders.blade_rate(1000.0, 0),
        lambda: orders.firing_rate(1000.0, 6, 3),
        lambda: orders.turning_rate(-1.0),
        lambda: sound.energy_mean([]),
        lambda: sound.energy_mean([60.0], [0.0]),
        lambda: third_octave(99),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(OutOfRange):
        call()
