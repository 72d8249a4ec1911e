"""MATLAB files of level 5: written by scipy, an independent library, and read back; then cut and made to lie."""

from __future__ import annotations

import io
import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from scipy.io import loadmat, savemat
from scipy.sparse import csr_matrix

from buildbook.readers import mat
from buildbook.readers.mat import read_mat
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK
from tests.readers.synthetic import folder_of

RATE = 1024.0
SINE = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(2000) / RATE)
OTHERS = {
    "run": {"speed": 985.0},
    "cells": np.array([1.0, "a"], object),
    "words": "deck",
    "mode": np.array([1.0 + 2.0j, 3.0]),
    "where": csr_matrix([[0.0, 1.0], [2.0, 0.0]]),
    "on": np.array([True, False]),
    "three": np.ones((3, 4)),
    "none": np.zeros((0, 0)),
}


def written(packed=False, **variables):
    """The bytes of a file with these variables, by the independent library."""
    out = io.BytesIO()
    savemat(out, variables, do_compression=packed, oned_as="row")
    return out.getvalue()


def whole(signal):
    return np.concatenate(list(signal.blocks()))


def read(tmp_path, data, variable="acc", calibration=1.0):
    return read_mat(folder_of(tmp_path, {"a.mat": data}), "a.mat", variable, "m/s2", RATE, calibration)


def refused(tmp_path, data, *words, **more):
    """The reading is refused with the file, and these words stand in the message."""
    with pytest.raises(Refused) as stopped:
        whole(read(tmp_path, data, **more))
    text = str(stopped.value)
    assert text.startswith("a.mat")
    assert all(word in text for word in words), text


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("kind", ["f8", "f4", "i1", "i2", "i4", "i8", "u1", "u2", "u4", "u8"])
@pytest.mark.parametrize("length", [1, 3, 2000, BLOCK + 7])
def test_every_kind_of_number_comes_back_as_it_was_written(tmp_path, kind, packed, length):
    values = np.random.default_rng(1).uniform(0.0, 100.0, length).astype(kind)
    signal = read(tmp_path, written(packed, fs=RATE, acc=values, **OTHERS))
    assert (signal.rate, signal.unit, signal.length, signal.name) == (RATE, "m/s2", length, "acc")
    assert np.array_equal(whole(signal), values.astype(float))


@pytest.mark.parametrize("shape", [(2000, 1), (1, 2000), (1, 1, 2000)])
def test_rows_and_columns_are_vectors(tmp_path, shape):
    assert np.array_equal(whole(read(tmp_path, written(acc=SINE.reshape(shape)))), SINE)


def test_whole_doubles_that_were_stored_as_small_numbers(tmp_path):
    """Programs store a double that is whole in fewer bytes; here by hand, after the published layout of the format."""
    data = element(array(6, (1, 5), "acc", 1, struct.pack("<5b", 1, -2, 3, -4, 5)))
    assert loadmat(io.BytesIO(data))["acc"].tolist() == [[1, -2, 3, -4, 5]]
    assert whole(read(tmp_path, data)).tolist() == [1.0, -2.0, 3.0, -4.0, 5.0]


def test_the_calibration_is_the_value_of_one(tmp_path):
    assert whole(read(tmp_path, written(acc=SINE), calibration=9.80665)) == pytest.approx(9.80665 * SINE)
    for none in (None, 0.0):
        refused(tmp_path, written(acc=SINE), "a calibration in the row", "the value of the number 1", calibration=none)


def padded(kind: int, data: bytes, order="<") -> bytes:
    return struct.pack(order + "II", kind, len(data)) + data + b"\0" * (-len(data) % 8)


def array(code, shape, name, kind, numbers, order="<", signs=0) -> bytes:
    """A variable by hand, after the published layout of the format: flags, shape, name, numbers."""
    parts = padded(6, struct.pack(order + "II", code | signs << 8, 0), order)
    parts += padded(5, struct.pack(f"{order}{len(shape)}i", *shape), order)
    parts += padded(1, name.encode(), order) + padded(kind, numbers, order)
    return struct.pack(order + "II", 14, len(parts)) + parts


def element(*variables, order="<") -> bytes:
    """A file of these variables."""
    signs = b"\x00\x01IM" if order == "<" else b"\x01\x00MI"
    return b"MATLAB 5.0 MAT-file, synthetic".ljust(124) + signs + b"".join(variables)


def packed(variable: bytes) -> bytes:
    data = zlib.compress(variable)
    return struct.pack("<II", 15, len(data)) + data


@pytest.mark.parametrize("order", ["<", ">"])
def test_either_order_of_bytes(tmp_path, order):
    data = element(array(6, (1, 2000), "acc", 9, SINE.astype(order + "f8").tobytes(), order), order=order)
    assert np.array_equal(loadmat(io.BytesIO(data))["acc"][0], SINE)
    assert np.array_equal(whole(read(tmp_path, data)), SINE)


HOLDS = "this file holds: acc [1×2000 double], fs [1×1 double], words [1×4 char]"


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize(("variable", "found"), [(None, "none"), ("", "none"), ("ACC", "'ACC', which is not there")])
def test_what_the_file_holds_is_told(tmp_path, variable, found, packed):
    data = written(packed, acc=SINE, fs=RATE, words="deck")
    refused(tmp_path, data, "in the cell `variable`", f"found {found}; {HOLDS}.", variable=variable)


def test_only_some_of_many_are_told(tmp_path):
    data = written(**{f"v{number}": number for number in range(30)})
    refused(tmp_path, data, "v7 [1×1 int64] and 22 more", variable="acc")
    refused(tmp_path, element(), "this file holds: nothing")


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize(
    ("variable", "what"),
    [("run", "1×1 struct"), ("cells", "1×2 cell"), ("words", "1×4 char"), ("mode", "1×2 complex double"),
     ("where", "2×2 sparse"), ("on", "1×2 logical"), ("three", "3×4 double"), ("none", "0×0 double")],
)  # fmt: skip
def test_anything_but_a_vector_of_real_numbers(tmp_path, variable, what, packed):
    data = written(packed, acc=SINE, **OTHERS)
    refused(tmp_path, data, "a vector", "a variable of their own", f"{variable} [{what}]", variable=variable)


def test_objects_and_functions_are_named_and_never_opened(tmp_path):
    data = element(array(3, (1, 1), "machine", 9, b""), array(16, (1, 1), "handle", 9, b""), array(6, (1, 1), "acc", 9,
                   struct.pack("<d", 2.0)))  # fmt: skip
    assert whole(read(tmp_path, data)).tolist() == [2.0]
    refused(tmp_path, data, "machine [1×1 object]", variable="machine")
    refused(tmp_path, data, "handle [1×1 function]", variable="handle")


def test_one_name_twice(tmp_path):
    one = array(6, (1, 1), "acc", 9, struct.pack("<d", 2.0))
    refused(tmp_path, element(one, one), "which is there 2 times")


LEVEL_4 = io.BytesIO()
savemat(LEVEL_4, {"acc": SINE}, format="4")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ("an empty file",)),
        (b"time,acc\n0,1\n", ("another kind of file", "-v7")),
        (b"MATLAB 7.3 MAT-file, synthetic".ljust(124) + b"\x00\x02IM" + b"\0" * 400, ("one of level 7.3", "-v7")),
        (b"\x89HDF\r\n\x1a\n" + b"\0" * 400, ("one of level 7.3", "-v7")),
        (LEVEL_4.getvalue(), ("level 4", "-v7")),
        (element(struct.pack("<II", 9, 8) + b"\0" * 8), ("something else at byte 128",)),
        (element(packed(padded(9, b"\0" * 8))), ("something else than a variable",)),
        (element(struct.pack("<II", 15, 8) + b"notzipped"[:8]), ("cannot be unpacked",)),
        (element(struct.pack("<II", 14, 0)), ("whose heads can be read",)),
    ],
    ids=["empty", "text", "7.3", "HDF5", "level 4", "number alone", "packed number", "not packed", "nothing"],
)  # fmt: skip
def test_what_is_no_such_file(tmp_path, data, words):
    refused(tmp_path, data, *words)


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("share", [0.001, 0.05, 0.3, 0.9, 0.999])
def test_a_file_that_ends_early(tmp_path, packed, share):
    data = written(packed, acc=SINE)
    refused(tmp_path, data[: 129 + int(share * (len(data) - 129))], "ends early")


def test_a_packed_variable_with_a_wrong_sum(tmp_path):
    data = bytearray(written(True, acc=SINE))
    data[-1] ^= 0xFF
    refused(tmp_path, bytes(data), "2000 numbers, as its head says")


@pytest.mark.parametrize("shape", [(1, 3), (1, 5), (1, 2**31 - 1), (-1, -4), (2**31 - 1, 2**31 - 1)])
@pytest.mark.parametrize("pack", [False, True])
def test_a_head_that_lies_about_its_length(tmp_path, shape, pack):
    one = array(6, shape, "acc", 9, np.arange(4.0).tobytes())
    tracemalloc.start()
    refused(tmp_path, element(packed(one) if pack else one))
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


@pytest.mark.parametrize("pack", [False, True])
def test_more_behind_the_numbers(tmp_path, pack):
    one = array(6, (1, 4), "acc", 9, np.arange(4.0).tobytes())
    longer = struct.pack("<II", 14, len(one)) + one[8:] + b"\0" * 8
    refused(tmp_path, element(packed(longer) if pack else longer), "more than that")


def test_a_small_file_that_unpacks_to_much(tmp_path):
    """200 MB of noughts in 200 kB: read in blocks, and never held; one over the cap is not unpacked at all."""
    data = written(True, acc=np.zeros(25_000_000))
    assert len(data) < 300_000
    folder = folder_of(tmp_path, {"a.mat": data})
    tracemalloc.start()
    signal = read_mat(folder, "a.mat", "acc", "m/s2", RATE, 1.0)
    assert sum(len(block) for block in signal.blocks()) == 25_000_000
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


def test_the_cap_of_what_is_unpacked(tmp_path, monkeypatch):
    monkeypatch.setattr(mat, "MOST_UNPACKED", 10_000)
    refused(tmp_path, written(True, acc=SINE), "once unpacked")
    assert np.array_equal(whole(read(tmp_path, written(False, acc=SINE))), SINE)


def test_too_many_variables(tmp_path, monkeypatch):
    monkeypatch.setattr(mat, "MOST_VARIABLES", 5)
    refused(tmp_path, written(**{f"v{number}": number for number in range(6)}), "at most 5 variables")


def test_values_that_cannot_be(tmp_path):
    for wrong in (np.nan, np.inf, 1e30):
        values = SINE.copy()
        values[1500] = wrong
        refused(tmp_path, written(acc=values), "numbers that can be", "1501")


def test_a_rate_that_no_record_has(tmp_path):
    with pytest.raises(Refused, match="a rate from 1 to"):
        read_mat(folder_of(tmp_path, {"a.mat": written(acc=SINE)}), "a.mat", "acc", "m/s2", 0.0, 1.0)
