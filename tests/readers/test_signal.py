"""Long records in blocks. The records are sines written here; scipy and the standard library write the WAV files."""

import io
import math
import struct
import tracemalloc
import wave

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.io import wavfile

from buildbook.readers import signal as signal_module
from buildbook.readers import text_record
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK, read_wav
from buildbook.readers.text_record import read_column
from tests.readers.synthetic import folder_of

RATE = 8000
LENGTH = BLOCK + 1234
SINE = 0.5 * np.sin(2 * np.pi * 50.0 * np.arange(LENGTH) / RATE)
STEPS = {2: 2.0**15, 3: 2.0**23, 4: 2.0**31}


def whole(signal):
    return np.concatenate(list(signal.blocks()))


def integers(width, channels=1):
    """A WAV file of integers, written by the standard library."""
    stored = np.round(SINE * STEPS[width]).astype("<i4")
    data = np.frombuffer(stored.tobytes(), np.uint8).reshape(-1, 4)[:, :width]
    frames = np.concatenate([data if n == channels - 1 else np.zeros_like(data) for n in range(channels)], axis=1)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(RATE)
        file.writeframes(frames.tobytes())
    return out.getvalue()


def floats(values):
    """A WAV file of floats, written by scipy."""
    out = io.BytesIO()
    wavfile.write(out, RATE, np.asarray(values, np.float32))
    return out.getvalue()


@pytest.mark.parametrize("width", [2, 3, 4])
def test_integers_as_fractions_of_full_scale_times_the_calibration(tmp_path, width):
    folder = folder_of(tmp_path, {"a.wav": integers(width)})
    signal = read_wav(folder, "a.wav", "m/s2", 20.0)
    assert (signal.rate, signal.unit, signal.length, signal.calibration) == (8000.0, "m/s2", LENGTH, 20.0)
    assert signal.duration == LENGTH / 8000
    assert whole(signal) == pytest.approx(20.0 * SINE, abs=20.0 / STEPS[width])


def test_integers_as_scipy_reads_them(tmp_path):
    folder = folder_of(tmp_path, {"a.wav": integers(2)})
    _, oracle = wavfile.read(io.BytesIO(integers(2)))
    assert np.array_equal(whole(read_wav(folder, "a.wav", "1", 32768.0)), oracle)


def test_floats_as_they_are_times_the_calibration(tmp_path):
    folder = folder_of(tmp_path, {"a.wav": floats(SINE * 3)})
    assert whole(read_wav(folder, "a.wav", "V", 0.1)) == pytest.approx(0.3 * SINE, abs=1e-7)


def test_one_channel_of_several(tmp_path):
    folder = folder_of(tmp_path, {"a.wav": integers(2, channels=3)})
    assert not whole(read_wav(folder, "a.wav", "V", 1.0, channel=1)).any()
    third = read_wav(folder, "a.wav", "V", 1.0, channel=3)
    assert third.length == LENGTH
    assert whole(third) == pytest.approx(SINE, abs=1e-4)
    for channel in (0, 4):
        with pytest.raises(Refused, match="a channel from 1 to 3"):
            read_wav(folder, "a.wav", "V", 1.0, channel=channel)


def test_blocks_can_be_asked_for_again_and_are_bounded(tmp_path):
    folder = folder_of(tmp_path, {"a.wav": integers(2)})
    signal = read_wav(folder, "a.wav", "V", 1.0)
    first, second = list(signal.blocks()), list(signal.blocks())
    assert [len(block) for block in first] == [BLOCK, 1234]
    assert all(block.dtype == np.float64 and block.ndim == 1 for block in first)
    assert all(np.array_equal(a, b) for a, b in zip(first, second, strict=True))


def test_a_long_record_is_never_held_whole(tmp_path):
    long = np.zeros(40 * BLOCK, np.int16)
    out = io.BytesIO()
    wavfile.write(out, RATE, long)
    folder = folder_of(tmp_path, {"a.wav": out.getvalue()})
    del out
    signal = read_wav(folder, "a.wav", "V", 1.0)
    tracemalloc.start()
    for _ in signal.blocks():
        pass
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 0.25 * 8 * len(long)


@pytest.mark.parametrize("calibration", [None, 0.0, math.nan, math.inf])
def test_without_a_calibration_a_record_means_nothing(tmp_path, calibration):
    folder = folder_of(tmp_path, {"a.wav": integers(2)})
    with pytest.raises(Refused, match="calibration"):
        read_wav(folder, "a.wav", "V", calibration)


def riff(kind=1, channels=1, bits=16, data=b"\0" * 20, said=None, align=None):
    head = struct.pack("<HHIIHH", kind, channels, RATE, 0, align or channels * bits // 8, bits)
    body = b"WAVEfmt " + struct.pack("<I", 16) + head + b"odd \x03\x00\x00\x00abc\x00"
    body += b"data" + struct.pack("<I", len(data) if said is None else said) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


@pytest.mark.parametrize("said", [4, 65_536 * 2, (LENGTH - 1) * 2])
def test_more_data_than_the_head_says(tmp_path, said):
    data = integers(2)
    at = data.index(b"data") + 4
    folder = folder_of(tmp_path, {"a.wav": data[:at] + struct.pack("<I", said) + data[at + 4 :]})
    with pytest.raises(Refused, match="left out"):
        read_wav(folder, "a.wav", "V", 1.0)


def test_parts_behind_the_data_are_skipped(tmp_path):
    behind = b"LIST\x03\x00\x00\x00abc\x00" + b"id3 \x00\x00\x00\x00" + b"note\x01\x00\x00\x00a"
    folder = folder_of(tmp_path, {"a.wav": integers(2) + behind})
    assert read_wav(folder, "a.wav", "V", 1.0).length == LENGTH


def test_unknown_chunks_are_skipped(tmp_path):
    folder = folder_of(tmp_path, {"a.wav": riff(data=struct.pack("<hh", 16384, -16384))})
    assert whole(read_wav(folder, "a.wav", "V", 2.0)).tolist() == [1.0, -1.0]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "an empty file"),
        (b"RIFX0000WAVE", "another kind"),
        (b"OggS" + b"\0" * 40, "another kind"),
        (riff()[:30], "damaged|no data"),
        (riff(bits=8), "16, 24 or 32 bit"),
        (riff(kind=3, bits=64), "16, 24 or 32 bit"),
        (riff(kind=6, bits=16), "16, 24 or 32 bit"),
        (riff(channels=0), "damaged"),
        (riff(channels=500), "damaged"),
        (riff(align=7), "damaged"),
        (riff(said=2000), "ends early"),
        (riff(data=b""), "whole samples"),
        (riff(data=b"abc"), "whole samples"),
    ],
)
def test_other_wav_files_are_refused(tmp_path, data, words):
    folder = folder_of(tmp_path, {"a.wav": data})
    with pytest.raises(Refused, match=words):
        read_wav(folder, "a.wav", "V", 1.0)


def test_a_sample_that_is_no_number_is_refused_when_it_comes(tmp_path):
    values = SINE.copy()
    values[BLOCK + 5] = np.nan
    signal = read_wav(folder_of(tmp_path, {"a.wav": floats(values)}), "a.wav", "V", 1.0)
    blocks = signal.blocks()
    assert len(next(blocks)) == BLOCK
    with pytest.raises(Refused, match="finite"):
        next(blocks)


def test_a_float_that_traps_is_refused_without_a_warning(tmp_path):
    """IEEE 754-2008, 6.2.1 (from memory): a signaling NaN has the first bit of its fraction clear."""
    data = bytearray(floats(np.ones(50)))
    data[-4:] = b"\x01\x00\x80\x7f"
    with pytest.raises(Refused, match="finite"):
        whole(read_wav(folder_of(tmp_path, {"a.wav": bytes(data)}), "a.wav", "m/s2", 1.0))


@pytest.mark.parametrize("mark", [".", ","])
def test_a_column_of_text_in_both_conventions(tmp_path, mark):
    text = "acceleration [m/s2]\n" + "".join(f"{value:.6f}\n".replace(".", mark) for value in SINE)
    signal = read_column(folder_of(tmp_path, {"a.csv": text}), "a.csv", 8000.0, "m/s2")
    assert (signal.length, signal.rate, signal.name, signal.unit) == (LENGTH, 8000.0, "acceleration", "m/s2")
    assert max(len(block) for block in signal.blocks()) <= BLOCK
    assert whole(signal) == pytest.approx(SINE, abs=1e-6)
    assert np.array_equal(whole(signal), whole(signal))


@settings(max_examples=200, deadline=None)
@given(
    values=st.lists(st.floats(-1e9, 1e9), min_size=1, max_size=30),
    end=st.sampled_from(["", "\n", "\n\n"]),
    line=st.sampled_from(["\n", "\r\n"]),
)
def test_numbers_come_back_to_the_last_bit_however_they_are_read(tmp_path_factory, values, end, line):
    """Python's own conversion is the oracle, for blocks of bytes and line by line alike."""
    texts = [f"{value:.17f}" for value in values]
    text = line.join(["v [m/s]", *texts]) + end.replace("\n", line)
    signal = read_column(folder_of(tmp_path_factory.mktemp("column"), {"a.csv": text}), "a.csv", 10.0, "m/s")
    assert whole(signal).tolist() == [float(text) for text in texts]
    assert signal.length == len(texts)


def test_lines_are_put_together_where_a_block_of_bytes_ends(tmp_path, monkeypatch):
    monkeypatch.setattr(text_record, "AT_ONCE", 7)
    text = "v [m/s]\n" + "".join(f"{value:.4f}\n" for value in SINE[:200])
    signal = read_column(folder_of(tmp_path, {"a.csv": text}), "a.csv", 10.0, "m/s")
    assert whole(signal) == pytest.approx(SINE[:200], abs=1e-4)
    assert signal.length == 200


def test_a_file_that_is_changed_while_it_is_read_is_refused(tmp_path):
    folder = folder_of(tmp_path, {"a.csv": "v [m/s]\n1.5\n2.5\n"})
    signal = read_column(folder, "a.csv", 10.0, "m/s")
    (tmp_path / "a.csv").write_text("v [m/s]\n1.5\nlost\n")
    with pytest.raises(Refused, match="the same numbers as when it was opened"):
        whole(signal)


def test_a_column_is_converted(tmp_path):
    folder = folder_of(tmp_path, {"a.csv": "\ufeffspeed [mm/s]\r\n1.5\r\n-2\r\n\r\n"})
    signal = read_column(folder, "a.csv", 10.0, "m/s")
    assert whole(signal).tolist() == pytest.approx([0.0015, -0.002])
    assert signal.calibration == pytest.approx(0.001)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("1.5\n2.5\n", 1, "a head with its unit"),
        ("", 1, "a head with its unit"),
        ("speed\n1.5\n", 1, "a head with its unit"),
        ("speed [degC]\n1.5\n", 1, "another kind"),
        ("speed [m/s]\n1.5\n\n2.5\n", 3, "a sample is missing"),
        ("speed [m/s]\n1.5\nlost\n", 3, "a number"),
        ("speed [m/s]\n1.5\nnan\n", 3, "a number"),
        ("speed [m/s]\n1.250\n3\n", 2, "one thing only"),
        ("speed [m/s]\n1.5\n1,250\n", 3, "one thing only"),
        ("speed [m/s]\n", None, "from 1 to"),
        ("speed [m/s]\n" + "1" * 300 + "\n", 2, "no text record"),
        (b"speed [m/s]\n1.5\n\xff\xfe\n", None, "binary"),
        (b"speed [m/s]\n\x00\n", 2, "no text record"),
    ],
)
def test_a_column_with_anything_else_in_it_is_refused(tmp_path, text, line, words):
    with pytest.raises(Refused, match=words) as refused:
        read_column(folder_of(tmp_path, {"a.csv": text}), "a.csv", 10.0, "m/s")
    assert line is None or refused.value.fault.where.line == line


def test_a_temperature_with_another_zero_is_refused(tmp_path):
    folder = folder_of(tmp_path, {"a.csv": "air [degF]\n70\n"})
    with pytest.raises(Refused, match="zero is elsewhere"):
        read_column(folder, "a.csv", 1.0, "degC")


@pytest.mark.parametrize("rate", [0.0, -1.0, 0.5, 1e7, math.nan, math.inf])
def test_a_rate_that_is_none(tmp_path, rate):
    with pytest.raises(Refused, match="a rate from 1 to"):
        read_column(folder_of(tmp_path, {"a.csv": "v [m/s]\n1\n"}), "a.csv", rate, "m/s")


def test_a_wav_file_whose_head_says_ten_million_samples_a_second(tmp_path):
    data = riff()
    assert data[24:28] == struct.pack("<I", RATE)
    data = data[:24] + struct.pack("<I", 10_000_000) + data[28:]
    with pytest.raises(Refused, match="a rate from 1 to"):
        read_wav(folder_of(tmp_path, {"a.wav": data}), "a.wav", "V", 1.0)


@pytest.mark.parametrize("value", ["1.0e200", "-1.0e13"])
def test_a_number_of_a_text_that_cannot_be_is_named(tmp_path, value):
    signal = read_column(folder_of(tmp_path, {"a.csv": f"v [m/s]\n1.5\n{value}\n2.5\n"}), "a.csv", 10.0, "m/s")
    with pytest.raises(Refused, match=f"{abs(float(value)):.3g} as number 2".replace("+", r"\+")):
        whole(signal)


@pytest.mark.parametrize(("level", "calibration"), [(3e38, 1e300), (3e38, 1e9), (3e38, -1.0), (1e-38, 1e-9)])
def test_a_calibration_that_makes_what_cannot_be(tmp_path, level, calibration):
    signal = read_wav(folder_of(tmp_path, {"a.wav": floats(level * SINE)}), "a.wav", "V", calibration)
    with pytest.raises(Refused, match="numbers that can be"):
        whole(signal)


def test_silence_can_be(tmp_path):
    assert not whole(read_wav(folder_of(tmp_path, {"a.wav": floats(0.0 * SINE)}), "a.wav", "V", 1.0)).any()


def test_too_many_samples(tmp_path, monkeypatch):
    for module in (signal_module, text_record):
        monkeypatch.setattr(module, "MOST_SAMPLES", 3)
    with pytest.raises(Refused, match="from 1 to 3"):
        read_column(folder_of(tmp_path, {"a.csv": "v [m/s]\n1\n2\n3\n4\n"}), "a.csv", 1.0, "m/s")
    with pytest.raises(Refused, match="from 1 to 3"):
        read_wav(folder_of(tmp_path, {"a.wav": riff()}), "a.wav", "V", 1.0)
