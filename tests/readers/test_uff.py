"""Universal files, dataset 58: written here by the library and by hand, then torn, turned and mislabelled."""

from __future__ import annotations

import math
import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import pyuff

from buildbook.readers import uff
from buildbook.readers.refused import Refused
from buildbook.readers.uff import read_uff
from tests.readers.synthetic import folder_of

RATE = 1000.0
SINE = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(2000) / RATE)
# Sixteen samples at 64 Hz, mean 0.02, 4 Hz of 0.1 peak, after the published layout of the format (from memory).
BY_HAND = """    -1
    58
P1 vertical
NONE
01-Jan-25 10:00:00
NONE
NONE
    1         0    0         0         P1         1   3       NONE         0   0
         4        16         1  0.00000e+00  1.56250e-02  0.00000e+00
        17    0    0    0 NONE                 s
        12    0    0    0 NONE                 m/s2
         0    0    0    0 NONE                 NONE
         0    0    0    0 NONE                 NONE
   2.00000000000e-02   5.82683432365e-02   9.07106781187e-02   1.12387953251e-01
   1.20000000000e-01   1.12387953251e-01   9.07106781187e-02   5.82683432365e-02
   2.00000000000e-02  -1.82683432365e-02  -5.07106781187e-02  -7.23879532511e-02
  -8.00000000000e-02  -7.23879532511e-02  -5.07106781187e-02  -1.82683432365e-02
    -1
"""


def written(path: Path, *records, **more) -> bytes:
    """The bytes of a universal file as text with these records, by the library."""
    target = path / "written.uff"
    target.unlink(missing_ok=True)
    for values in records:
        one = {
            "type": 58, "binary": 0, "func_type": 1, "id1": "P1 vertical", "rsp_node": 1, "rsp_dir": 3,
            "ref_node": 0, "ref_dir": 0, "ord_data_type": 4, "abscissa_spacing": 1, "abscissa_min": 0.0,
            "abscissa_inc": 1.0 / RATE, "num_pts": len(values), "z_axis_value": 0, "data": values,
            "x": np.arange(len(values)) / RATE, "abscissa_spec_data_type": 17, "ordinate_spec_data_type": 12,
            "ordinate_axis_units_lab": "m/s2", "orddenom_spec_data_type": 0, **more,
        }  # fmt: skip
        pyuff.UFF(str(target)).write_sets([one], mode="add")
    return target.read_bytes()


def packed(*records, order="<", single=False) -> bytes:
    """The same in binary, after the published layout (from memory): the library leaves such a file open."""
    out = b""
    for values in records:
        kind = "f" if single else "d"
        data = struct.pack(f"{order}{len(values)}{kind}", *values)
        head = f"    58b{1 if order == '<' else 2:6d}{2:6d}{11:12d}{len(data):12d}{0:6d}{0:6d}{0:12d}{0:12d}"
        lines = BY_HAND.splitlines()[2:13]
        lines[6] = f"{2 if single else 4:10d}{len(values):10d}{1:10d}  0.00000e+00  1.00000e-03  0.00000e+00"
        text = "\n".join(["    -1", head, *(line.ljust(80) for line in lines), ""])
        out += text.encode() + data + b"\n    -1\n"
    return out


def whole(signal):
    return np.concatenate(list(signal.blocks()))


def read(tmp_path, data: bytes, channel=1, unit="m/s2"):
    return read_uff(folder_of(tmp_path, {"a.uff": data}), "a.uff", channel, unit)


def refused(tmp_path, data: bytes, *words: str, channel=1, unit="m/s2"):
    """The reading is refused with file, and these words stand in the message."""
    with pytest.raises(Refused) as stopped:
        whole(read(tmp_path, data, channel, unit))
    text = str(stopped.value)
    assert text.startswith("a.uff")
    assert all(word in text for word in words), text


def test_a_file_typed_by_hand(tmp_path):
    signal = read(tmp_path, BY_HAND.encode())
    values = whole(signal)
    assert (signal.rate, signal.unit, signal.length) == (64.0, "m/s2", 16)
    assert float(values.mean()) == pytest.approx(0.02)
    assert float(values.std()) == pytest.approx(0.1 / math.sqrt(2.0), abs=1e-6)
    assert "P1 vertical" in signal.name


def test_what_the_library_wrote(tmp_path):
    signal = read(tmp_path, written(tmp_path, SINE))
    assert (signal.rate, signal.length) == (1000.0, 2000)
    assert whole(signal) == pytest.approx(SINE, abs=1e-9)


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("single", [False, True])
def test_binary_of_either_order_of_bytes(tmp_path, order, single):
    signal = read(tmp_path, packed(SINE, order=order, single=single))
    assert (signal.rate, signal.length) == (1000.0, 2000)
    assert whole(signal) == pytest.approx(SINE, abs=1e-8 if single else 0.0)


def test_the_second_record_of_a_file(tmp_path):
    data = packed(SINE, 2.0 * SINE)
    assert whole(read(tmp_path, data, 2)) == pytest.approx(2.0 * SINE)
    refused(tmp_path, data, "a channel from 1 to 2", channel=3)


def test_gravity_is_converted_and_the_label_is_believed_not_the_code(tmp_path):
    """Code 15, pressure, beside the label g: some programs write it so."""
    signal = read(tmp_path, written(tmp_path, SINE, ordinate_axis_units_lab="g", ordinate_spec_data_type=15))
    assert whole(signal) == pytest.approx(9.80665 * SINE, abs=1e-9)


def test_a_step_of_six_digits_is_a_whole_rate(tmp_path):
    assert read(tmp_path, BY_HAND.replace("1.56250e-02", "1.52588e-05").encode()).rate == 65536.0


def other_order(data: bytes) -> bytes:
    """The same file, its head naming the other order of bytes."""
    at = data.index(b"58b") + 3
    one, other = (b"     1", b"     2") if data[at : at + 6] == b"     1" else (b"     2", b"     1")
    return data[:at] + data[at : at + 6].replace(one, other) + data[at + 6 :]


def test_the_wrong_order_of_bytes_is_noticed(tmp_path):
    for single in (False, True):
        data = packed(SINE, single=single)
        assert other_order(data) != data
        refused(tmp_path, other_order(data), "order of bytes")


def said_fewer(data: bytes, there: int, said: int) -> bytes:
    """The same file whose head says fewer numbers than are there."""
    assert f"{there:10d}{1:10d}".encode() in data
    return data.replace(f"{there:10d}{1:10d}".encode(), f"{said:10d}{1:10d}".encode())


@pytest.mark.parametrize("said", [8, 12, 13, 15])
def test_a_text_longer_than_its_head_says(tmp_path, said):
    """Sixteen numbers, four on a line: the last ones are none of the record only where they are noughts."""
    refused(tmp_path, said_fewer(BY_HAND.encode(), 16, said), f"{said} numbers", "left out")


def test_a_last_line_of_text_that_is_filled_with_noughts(tmp_path):
    data = BY_HAND.replace(
        "-5.07106781187e-02  -1.82683432365e-02\n    -1", " 0.00000000000e+00   0.00000000000e+00\n    -1"
    )
    assert whole(read(tmp_path, said_fewer(data.encode(), 16, 14)))[-1] == pytest.approx(-7.23879532511e-02)
    refused(tmp_path, said_fewer(data.encode(), 16, 12), "left out")  # a whole line more


@pytest.mark.parametrize("single", [False, True])
@pytest.mark.parametrize("said", [1000, 1998, 1999])
def test_a_binary_longer_than_its_head_says(tmp_path, single, said):
    refused(tmp_path, said_fewer(packed(SINE, single=single), 2000, said), f"{said} numbers", "left out")


@pytest.mark.parametrize("single", [False, True])
def test_blanks_before_the_end_are_no_number(tmp_path, single):
    """Eight or four bytes between the numbers and the end, read as one number more; twice that is refused."""
    blank = b" " * (3 if single else 7)
    data = packed(SINE, single=single)
    longer = data.removesuffix(b"\n    -1\n") + blank + b"\n    -1\n"
    assert whole(read(tmp_path, longer)) == pytest.approx(SINE, abs=1e-8)
    longer = data.removesuffix(b"\n    -1\n") + 2 * (blank + b" ") + b"\n    -1\n"
    refused(tmp_path, longer, "left out")


@pytest.mark.parametrize("step", ["1.0000e-310", "1.0000e-300", "1.00000e-07", "1.00000e+03"])
def test_a_step_of_time_that_no_record_has(tmp_path, step):
    refused(tmp_path, BY_HAND.replace("1.56250e-02", step).encode(), "a rate from 1 to")


def test_a_large_file_is_read_anew_and_not_held(tmp_path):
    values = np.random.default_rng(1).standard_normal(400_000)
    data = packed(values)
    assert len(data) > uff.KEPT
    folder = folder_of(tmp_path, {"a.uff": data})
    tracemalloc.start()
    signal = read_uff(folder, "a.uff", 1, "m/s2")
    left, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert left < 0.1 * values.nbytes
    assert np.array_equal(whole(signal), values)


@pytest.mark.parametrize("binary", [False, True])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.995])
def test_a_file_that_ends_early(tmp_path, binary, share):
    data = packed(SINE) if binary else written(tmp_path, SINE)
    refused(tmp_path, data[: int(share * len(data))])
    refused(tmp_path, data[: int(share * len(data))] + b"\n    -1\n")


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "universal file"),
        (b"at,value\n1,2\n", "universal file"),
        (b"    -1\n   151\nmodel\n    -1\n", "dataset 58"),
        (BY_HAND.replace("m/s2", "NONE").encode(), "a unit beside the values"),
        (BY_HAND.replace("m/s2", "degC").encode(), "another kind of quantity"),
        (BY_HAND.replace("         4        16         1", "         6        16         1").encode(), "real numbers"),
        (BY_HAND.replace("         4        16         1", "         4        16         0").encode(), "even steps"),
        (BY_HAND.replace("         4        16 ", "         4        17 ").encode(), "17 numbers"),
        (BY_HAND.replace("1.56250e-02", "0.00000e+00").encode(), "a step of time"),
        (BY_HAND.replace("    1         0    0 ", "    9         0    0 ").encode(), "a record over time"),
        (BY_HAND.replace("1.20000000000e-01", "             damp").encode(), "records that can be read"),
        (BY_HAND.replace("1.20000000000e-01", "              nan").encode(), "numbers that can be"),
    ],
    ids=["empty", "text", "none of 58", "no unit", "degrees", "complex", "uneven", "one short", "no step", "density",
         "a word", "not a number"],
)  # fmt: skip
def test_what_is_no_record_is_refused_with_the_reason(tmp_path, data, word):
    refused(tmp_path, data, word)


def test_a_file_larger_than_the_cap(tmp_path, monkeypatch):
    monkeypatch.setattr(uff, "MOST_BYTES", 1000)
    refused(tmp_path, written(tmp_path, SINE), "at most 0.001 MB", "WAV")


def test_no_link_is_followed(tmp_path):
    outside = tmp_path / "outside.uff"
    outside.write_bytes(BY_HAND.encode())
    folder = folder_of(tmp_path / "hull", {"other.txt": b""})
    (tmp_path / "hull" / "a.uff").symlink_to(outside)
    with pytest.raises(Refused):
        read_uff(folder, "a.uff", 1, "m/s2")
