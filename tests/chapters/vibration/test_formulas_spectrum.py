"""Spectra against the burst table of the meter standard, another program, a filter in time, and sines by hand."""

from __future__ import annotations

import math
import tracemalloc

import numpy as np
import pyoctaveband
import pytest
import scipy.signal
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.chapters.vibration import rules
from buildbook.chapters.vibration.formulas.spectrum import spectrum, tones
from buildbook.chapters.vibration.formulas.weighting import HIGH, LOW, STEP, band_limit, third_octave, whole_body
from buildbook.formulas import OutOfRange
from buildbook.sources import figure
from tests.published_values import rows

RATE = 2048.0


def of(record, rate=RATE, seconds=8.0, cuts=7):
    """The spectrum of a record that is handed over in pieces."""
    return spectrum(lambda: np.array_split(record, cuts), len(record), rate, seconds, float(record.mean()))


def rms(found, weight=None):
    return math.sqrt(found.mean_square(weight))


def time(seconds, rate=RATE):
    return np.arange(round(seconds * rate)) / rate


def sawtooth_bursts(cycles, rate=8192.0):
    """Bursts of whole saw-tooth cycles of 100 rad/s and +-1 m/s2, each 10 s for a minute, the first at 1 s."""
    t = time(60.0, rate)
    since = t if not cycles else (t - 1.0) % 10.0
    phase = since * 100.0 / (2.0 * math.pi)
    saw = np.where(phase % 1.0 < 0.5, 2.0 * (phase % 1.0), 2.0 * (phase % 1.0) - 2.0)
    return saw if not cycles else np.where((t >= 1.0) & (phase < cycles), saw, 0.0)


@pytest.mark.parametrize("row", rows("vibration_bursts"), ids=lambda row: row["cycles"])
def test_bursts_of_the_meter_standard(row):
    """The standard allows 10 %; what is printed is rounded to three digits."""
    found = of(sawtooth_bursts(int(row["cycles"])), 8192.0)
    assert rms(found, whole_body) == pytest.approx(float(row["weighted [m/s2]"]), rel=0.005)
    if row["band only [m/s2]"]:
        assert rms(found, band_limit) == pytest.approx(float(row["band only [m/s2]"]), rel=0.005)


def biquads(rate):
    """W_m as a filter in time: high-pass, low-pass and step by the bilinear transform (ISO 8041-1, second-hand)."""
    low, high, step = (2.0 * math.pi * f for f in (LOW, HIGH, STEP))
    root = math.sqrt(2.0)
    analog = (
        ([1.0, 0.0, 0.0], [1.0, root * low, low**2]),
        ([high**2], [1.0, root * high, high**2]),
        ([1.0], [1.0 / step, 1.0]),
    )
    return [scipy.signal.bilinear(*one, fs=rate) for one in analog]


@pytest.mark.parametrize("seed", [1, 2])
def test_a_filter_in_time_gives_the_same_level(seed):
    """Noise and two tones through three biquads, the first 5 s dropped: within 2 %."""
    rng = np.random.default_rng(seed)
    t = time(120.0)
    record = (
        0.05 * rng.standard_normal(len(t)) + 0.1 * np.sin(2 * np.pi * 17.3 * t) + 0.2 * np.sin(2 * np.pi * 91.0 * t)
    )
    filtered = record
    for b, a in biquads(RATE):
        filtered = scipy.signal.lfilter(b, a, filtered)
    assert rms(of(record), whole_body) == pytest.approx(float(np.std(filtered[round(5 * RATE) :])), rel=0.02)


def test_whole_segments_are_those_of_another_program():
    """scipy.signal.welch with the same window and overlap."""
    record = np.random.default_rng(3).standard_normal(100_000)
    found = of(record, 1000.0, 4.0)
    _, density = scipy.signal.welch(record - record.mean(), 1000.0, "hann", 4000, noverlap=3000, detrend=False)
    assert found.sharp == pytest.approx(density, rel=1e-9)


@settings(deadline=None)
@given(st.integers(2, 5000), st.integers(0, 10), st.floats(0.05, 20.0), st.integers(1, 9))
def test_lines_add_up_to_the_mean_square_of_the_record(length, seed, seconds, cuts):
    """Parseval's theorem, exactly, for any length, segment and way of handing over."""
    record = np.random.default_rng(seed).standard_normal(length) + 3.0
    assert of(record, 100.0, seconds, cuts).mean_square() == pytest.approx(float(record.var()), rel=1e-9)


def test_a_sine_by_hand():
    """0.1 m/s2 peak at 10 Hz: 70.711 mm/s2 r.m.s., 1.12540 mm/s, weighted 34.940 mm/s2 and 0.97832 mm/s."""
    found = of(0.1 * np.sin(2 * np.pi * 10.0 * time(60.0)) + 9.8)
    assert 1000 * rms(found) == pytest.approx(70.711, abs=0.001)
    assert 1000 * rms(found, whole_body) == pytest.approx(34.940, rel=0.001)
    assert 28 * rms(found, whole_body) == pytest.approx(0.97832, rel=0.001)
    assert 1000 * rms(found.velocity(1.0)) == pytest.approx(1.12540, rel=0.003)  # the ends of the record leak downwards


def test_a_tone_between_two_lines_keeps_its_size():
    """0.1 peak at 58.37 Hz, segments of 4 s at 512 Hz: r.m.s. 0.0707 from the lines around it (worked by hand)."""
    record = 0.1 * np.sin(2 * np.pi * 58.37 * time(60.0, 512.0))
    (tone,) = tones(of(record, 512.0, 4.0), 1.0, 200.0, above=4.0, share=3.0)
    assert tone.frequency == pytest.approx(58.37, abs=0.02)
    assert tone.rms == pytest.approx(0.070711, rel=0.003)


def test_tones_stand_out_of_noise_and_noise_does_not():
    rng = np.random.default_rng(5)
    t = time(120.0)
    noise = 0.01 * rng.standard_normal(len(t))
    found = tones(of(noise + 0.05 * np.sin(2 * np.pi * 109.5 * t) + 0.02 * np.sin(2 * np.pi * 21.9 * t)), 1.0, 500.0,
                  above=4.0, share=3.0)  # fmt: skip
    assert [round(tone.frequency, 1) for tone in found] == [109.5, 21.9]
    assert tones(of(noise), 1.0, 500.0, above=4.0, share=3.0) == ()


def test_a_band_takes_its_share_of_the_lines_at_its_edges():
    """White noise: the mean square between two frequencies grows with the distance of the edges."""
    found = of(np.random.default_rng(6).standard_normal(400_000), 1000.0, 4.0)
    whole = found.mean_square()
    assert found.between(0.0, 500.0) == pytest.approx(whole, rel=1e-3)
    parts = [found.between(0.0, 100.03), found.between(100.03, 500.0)]
    assert sum(parts) == pytest.approx(found.between(0.0, 500.0), rel=1e-9)
    assert parts[0] == pytest.approx(whole * 0.20006, rel=0.02)


@pytest.mark.parametrize("rate", [1024.0, 192_000.0])
def test_memory_does_not_grow_with_the_rate(rate):
    """30 s in blocks: at 192 kHz a segment of 8 s is 12 MB, of which a window, samples and lines are held."""
    block = np.random.default_rng(4).standard_normal(65_536)
    number = math.ceil(30.0 * rate / len(block))
    tracemalloc.start()
    found = spectrum(lambda: (block for _ in range(number)), number * len(block), rate, 8.0, 0.0)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found.step == pytest.approx(0.125)
    assert peak < max(5e6, 8 * 8 * 8.0 * rate)


def two_tones(apart):
    """Two sines as strong, some lines of 1/8 Hz apart."""
    t = time(60.0, 512.0)
    return of(np.sin(2 * np.pi * 40.0 * t) + np.sin(2 * np.pi * (40.0 + apart / 8.0) * t), 512.0)


@pytest.mark.parametrize(("rule", "value", "many"), [("", "", 2), ("lines that merge", "5", 1)])
def test_how_near_two_tones_are_one_stands_in_the_table(monkeypatch, rule, value, many):
    changed(monkeypatch, rule, value)
    assert len(tones(two_tones(4), 1.0, 200.0, above=4.0, share=3.0)) == many


@pytest.mark.parametrize(("rule", "value", "share"), [("", "", 1.0), ("lines around a tone", "0", 2.0 / 3.0)])
def test_how_wide_a_tone_is_stands_in_the_table(monkeypatch, rule, value, share):
    """Of a tone on a line a Hann window puts 1 / (1 + 1/4 + 1/4) of the mean square there (by hand)."""
    changed(monkeypatch, rule, value)
    (tone,) = tones(of(np.sin(2 * np.pi * 40.0 * time(60.0, 512.0)), 512.0), 1.0, 200.0, above=4.0, share=3.0)
    assert tone.rms**2 == pytest.approx(0.5 * share, rel=1e-3)


@pytest.mark.parametrize(("rule", "value", "many"), [("", "", 1), ("neighbourhood of a tone", "2", 0)])
def test_how_wide_the_neighbourhood_of_a_tone_is_stands_in_the_table(monkeypatch, rule, value, many):
    """A narrow hump of noise at 100 Hz with a tone on it: it stands out of all around it and not out of the hump."""
    t = time(120.0, 512.0)
    hump = scipy.signal.sosfilt(scipy.signal.butter(4, (96.0, 104.0), "band", fs=512.0, output="sos"),
                                np.random.default_rng(7).standard_normal(len(t)))  # fmt: skip
    found = of(hump + 0.08 * np.sin(2 * np.pi * 100.0 * t), 512.0)
    changed(monkeypatch, rule, value)
    assert len(tones(found, 99.9, 100.1, above=4.0, share=3.0)) == many


def changed(monkeypatch, rule, value):
    """A figure of the printed rules changed; none where no rule is named."""
    monkeypatch.setattr(
        rules,
        "figure",
        lambda table, name: float(value) if name == rule else figure(table, name),
    )


def test_what_is_no_record_is_refused():
    with pytest.raises(OutOfRange):
        spectrum(lambda: [np.zeros(1)], 1, 100.0, 4.0, 0.0)
    with pytest.raises(OutOfRange):
        spectrum(lambda: [np.zeros(10)], 10, 0.0, 4.0, 0.0)
    assert tones(of(np.zeros(1000), 100.0, 2.0), 1.0, 40.0, above=4.0, share=3.0) == ()


def test_the_bands_of_a_spectrum_are_those_of_filters_in_time():
    """PyOctaveBand (order 6) on tones at 20, 40 and 80 Hz over noise: their bands within 0.5 %, quiet ones within 10 %.

    Next to a band with a tone a filter leaks and a spectrum does not, so those are left out; so are the lowest, in
    which a minute holds little noise.
    """
    t = time(60.0)
    heard = 0.02 * np.random.default_rng(1).standard_normal(len(t))
    for tone, size in ((20.0, 0.3), (40.0, 0.1), (80.0, 0.2)):
        heard += size * np.sin(2.0 * np.pi * tone * t)
    found = of(heard)
    levels = pyoctaveband.octavefilter(heard, int(RATE), fraction=3, order=6, limits=[12.0, 200.0])[0]
    filtered = dict(zip(range(11, 24), 20e-6 * 10.0 ** (np.asarray(levels) / 20.0), strict=True))  # over 20 uPa
    for number, within in {13: 0.005, 16: 0.005, 19: 0.005, 15: 0.1, 18: 0.1, 21: 0.1, 22: 0.1, 23: 0.1}.items():
        _, low, high = third_octave(number)
        assert math.sqrt(found.between(low, high)) == pytest.approx(float(filtered[number]), rel=within)


def test_the_docstring_of_tones_tells_the_figures_of_the_printed_rules():
    """A worked text prints the docstring, so what it says of a tone must be what the rules say."""
    words = {2.0: "two", 3.0: "three"}
    told = " ".join((tones.__doc__ or "").split())
    assert f"{words[figure('vibration_rules', 'lines around a tone')]} lines wide to either side" in told
    assert f"{figure('vibration_rules', 'neighbourhood of a tone'):g} % of its frequency and eight lines" in told
    assert f"at most {words[figure('vibration_rules', 'lines that merge')]} lines from a stronger one" in told
    assert f"{figure('vibration_rules', 'tone above its neighbours'):g} in this book [1]" in told
    assert f"{figure('vibration_rules', 'tone of the largest'):g} in this book [%]" in told
