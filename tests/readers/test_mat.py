"""MATLAB files of level 5: put together by hand and read back; then cut and made to lie.

What is no vector of numbers is written by scipy: here it only has to be named and refused.
"""

from __future__ import annotations

import io
import resource
import struct
import subprocess
import sys
import zlib
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest
from scipy.io import savemat
from scipy.sparse import csr_matrix

from buildbook.readers import mat
from buildbook.readers.mat import read_mat
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK
from tests.readers.mat_bytes import array, element, packed, padded, written
from tests.readers.synthetic import folder_of

RATE = 1024.0
SINE = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(2000) / RATE)
FOUR = np.arange(4.0).tobytes()
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


@pytest.mark.parametrize(  # in this order those that run quickly are of either kind
    ("length", "pack"), [(1, True), (3, True), (3, False), (1, False), (BLOCK + 7, False), (BLOCK + 7, True)]
)
def test_every_kind_of_number_comes_back_as_it_was_written(tmp_path, length, pack):
    kinds = ["f8", "f4", "i1", "i2", "i4", "i8", "u1", "u2", "u4", "u8"]
    values = {kind: np.random.default_rng(1).uniform(0.0, 100.0, length).astype(kind) for kind in kinds}
    data = written(pack, fs=RATE, words="deck", **values)
    for kind, expected in values.items():
        signal = read(tmp_path, data, kind)
        assert (signal.rate, signal.unit, signal.length, signal.name) == (RATE, "m/s2", length, kind)
        assert np.array_equal(whole(signal), expected.astype(float))


@pytest.mark.parametrize("shape", [(2000, 1), (1, 2000), (1, 1, 2000)])
def test_rows_and_columns_are_vectors(tmp_path, shape):
    assert np.array_equal(whole(read(tmp_path, written(acc=SINE.reshape(shape)))), SINE)


def test_whole_doubles_that_were_stored_as_small_numbers(tmp_path):
    """Programs store a double that is whole in fewer bytes; up to four stand in the tag itself."""
    data = element(array(6, (1, 5), "acc", 1, struct.pack("<5b", 1, -2, 3, -4, 5)))
    assert whole(read(tmp_path, data)).tolist() == [1.0, -2.0, 3.0, -4.0, 5.0]
    one = array(6, (1, 2), "acc", 1, b"")[8:-8] + struct.pack("<I2bxx", 1 | 2 << 16, 7, -8)
    assert whole(read(tmp_path, element(struct.pack("<II", 14, len(one)) + one))).tolist() == [7.0, -8.0]


def test_the_calibration_is_the_value_of_one(tmp_path):
    assert whole(read(tmp_path, written(acc=SINE), calibration=9.80665)) == pytest.approx(9.80665 * SINE)
    for none in (None, 0.0):
        refused(
            tmp_path,
            written(acc=SINE),
            "a calibration in the cell `calibration` of its row",
            "the value of the number 1",
            calibration=none,
        )


def test_the_other_order_of_bytes(tmp_path):
    data = element(array(6, (1, 2000), "acc", 9, SINE.astype(">f8").tobytes(), ">"), order=">")
    assert np.array_equal(whole(read(tmp_path, data)), SINE)


HOLDS = "this file holds: acc [1×2000 double], fs [1×1 double], words [1×4 char]"


@pytest.mark.parametrize("pack", [False, True])
@pytest.mark.parametrize(("variable", "found"), [(None, "none"), ("", "none"), ("ACC", "'ACC', which is not there")])
def test_what_the_file_holds_is_told(tmp_path, variable, found, pack):
    data = written(pack, acc=SINE, fs=RATE, words="deck")
    refused(tmp_path, data, "in the cell `variable`", f"found {found}; {HOLDS}.", variable=variable)


def test_only_some_of_many_are_told(tmp_path):
    data = written(False, **{f"v{number}": number for number in range(30)})
    refused(tmp_path, data, "v7 [1×1 int64] and 22 more", variable="acc")
    refused(tmp_path, element(), "this file holds: nothing")


@pytest.mark.parametrize("pack", [False, True])
def test_anything_but_a_vector_of_real_numbers(tmp_path, pack):
    out = io.BytesIO()
    savemat(out, OTHERS, do_compression=pack, oned_as="row")
    kinds = {"run": "[1×1 struct]", "cells": "[1×2 cell]", "words": "[1×4 char]", "where": "[2×2 sparse]",
             "on": "[1×2 logical]", "three": "[3×4 double]", "none": "[0×0 double]",
             "mode": "[1×2 double], whose numbers are complex"}  # fmt: skip
    assert kinds.keys() == OTHERS.keys()
    for variable, what in kinds.items():
        refused(tmp_path, out.getvalue(), "a vector", "a variable of their own", f"{variable} {what}.",
                variable=variable)  # fmt: skip


def test_a_packed_matrix_and_packed_complex_numbers(tmp_path):
    """Of the above what is read and not only named, so that it runs quickly too."""
    out = io.BytesIO()
    savemat(out, {name: OTHERS[name] for name in ("three", "mode")}, do_compression=True, oned_as="row")
    for variable, what in (("three", "[3×4 double]."), ("mode", "[1×2 double], whose numbers are complex.")):
        refused(tmp_path, out.getvalue(), "a vector of real numbers", f"found {variable} {what}", variable=variable)


def test_functions_are_named_and_never_opened(tmp_path):
    one = array(6, (1, 1), "acc", 9, struct.pack("<d", 2.0))
    data = element(array(3, (1, 1), "machine", 9, b""), array(16, (1, 1), "handle", 9, b""), one)
    assert whole(read(tmp_path, data)).tolist() == [2.0]
    refused(tmp_path, data, "machine [1×1 object]", variable="machine")
    refused(tmp_path, data, "handle [1×1 function]", variable="handle")


def test_objects_hide_what_stands_beside_them(tmp_path):
    """A table or a string of newer programs, after files of such a program (from memory): the library lists no more."""
    one = array(6, (1, 1), "acc", 9, struct.pack("<d", 2.0))
    parts = padded(6, struct.pack("<II", 17, 0)) + padded(1, b"log") + padded(1, b"MCOS") + padded(1, b"table") + one
    data = element(one, struct.pack("<II", 14, len(parts)) + parts)
    refused(tmp_path, data, "save the samples alone, with the option -v7", "an object such as a table or a string")


def test_one_name_twice(tmp_path):
    one = array(6, (1, 1), "acc", 9, struct.pack("<d", 2.0))
    refused(tmp_path, element(one, one), "which is there 2 times")


LEVEL_4 = io.BytesIO()
savemat(LEVEL_4, {"acc": SINE}, format="4")
DAMAGED = ("a whole MATLAB file", "with the option -v7", "one that ends early, is damaged")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ("an empty file",)),
        (b"time,acc\n0,1\n", ("another kind of file", "-v7")),
        (b"MATLAB 7.3 MAT-file, synthetic".ljust(124) + b"\x00\x02IM" + b"\0" * 400, ("one of level 7.3", "-v7")),
        (b"\x89HDF\r\n\x1a\n" + b"\0" * 400, ("one of level 7.3", "-v7")),
        (LEVEL_4.getvalue(), ("level 4", "-v7")),
        (element(struct.pack("<II", 9, 8) + b"\0" * 8), DAMAGED),
        (element(packed(padded(9, b"\0" * 8))), DAMAGED),
        (element(struct.pack("<II", 15, 8) + b"notzipped"[:8]), DAMAGED),
        (element(struct.pack("<II", 14, 0)), DAMAGED),
    ],
    ids=["empty", "text", "7.3", "HDF5", "level 4", "number alone", "packed number", "not packed", "nothing"],
)
def test_what_is_no_such_file(tmp_path, data, words):
    refused(tmp_path, data, *words)


@pytest.mark.parametrize("pack", [False, True])
@pytest.mark.parametrize("share", [0.001, 0.3, 0.999])
def test_a_file_that_ends_early(tmp_path, pack, share):
    data = written(pack, acc=SINE)
    refused(tmp_path, data[: 129 + int(share * (len(data) - 129))], "ends early")


def test_a_packed_variable_with_a_wrong_sum(tmp_path):
    data = bytearray(written(True, acc=SINE))
    data[-1] ^= 0xFF
    refused(tmp_path, bytes(data), "is damaged")


ASKS_FOR_MEMORY = """
import json, runpy, sys, types

def whosmat(file, **_):  # in place of the library
    return [("acc", (len(bytearray(int(file.read()))), 1), "double")]

made = {"scipy": types.ModuleType("scipy"), "scipy.io": types.ModuleType("scipy.io")}
made["scipy.io"].whosmat, made["scipy.io"].loadmat = whosmat, None
sys.modules.update(made)
program, sys.argv = sys.argv[1], sys.argv[:1]
runpy.run_path(program, run_name="__main__")
"""


def test_the_program_is_given_so_much_memory_and_no_more():
    """What asks for it stands in place of the library, so that no file has to be unpacked to so much."""
    command = [sys.executable, "-I", "-c", ASKS_FOR_MEMORY, str(Path(mat.__file__).with_name("mat_program.py"))]
    for asked, given in ((100_000_000, True), (600_000_000, False)):
        done = subprocess.run(command, input=str(asked).encode(), capture_output=True, timeout=60)
        assert (done.returncode == 0, b"MemoryError" in done.stderr) == (given, not given)
        assert done.stdout == (f'[["acc", [{asked}, 1], "double"]]\n'.encode() if given else b"")


def held_by_programs() -> int:
    """Most memory [bytes] that a program started by this one has held so far."""
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024


@pytest.mark.parametrize("shape", [(1, 3), (1, 5), (1, 2**31 - 1), (-1, -4), (2**31 - 1, 2**31 - 1)])
@pytest.mark.parametrize("pack", [False, True])
def test_a_head_that_lies_about_its_shape(tmp_path, shape, pack):
    one = array(6, shape, "acc", 9, FOUR)
    refused(tmp_path, element(packed(one) if pack else one), "acc")


def with_numbers(tag: bytes, more: bytes = b"") -> bytes:
    """A packed variable of four numbers with this tag before them and this behind them."""
    parts = array(6, (1, 4), "acc", 9, b"")[8:-8] + tag + FOUR + more
    return element(packed(struct.pack("<II", 14, len(parts)) + parts))


@pytest.mark.parametrize("said", [2**32 - 8, 2**31, 40])
def test_a_packed_head_that_lies_about_its_bytes(tmp_path, said):
    """The library asks for as much memory as the head says; its program is not given it."""
    refused(tmp_path, with_numbers(struct.pack("<II", 9, said)), "4 numbers, as its head says")


@pytest.mark.parametrize("kind", [0, 8, 10, 11, 15, 19, 20, 200, 60_000])
@pytest.mark.parametrize("pack", [False, True])
def test_numbers_of_an_unknown_kind(tmp_path, kind, pack):
    """On some of them the library crashes: its program ends, and the build goes on."""
    one = array(6, (1, 4), "acc", kind, FOUR)
    refused(tmp_path, element(packed(one) if pack else one), "4 numbers, as its head says")


def test_more_behind_the_numbers(tmp_path):
    refused(tmp_path, with_numbers(struct.pack("<II", 9, 32), b"\0" * 8), "4 numbers, as its head says")


@pytest.mark.slow
def test_a_small_file_that_unpacks_to_much(tmp_path):
    """100 MB of noughts in 100 kB are read; a gigabyte of them behind a head that names four numbers is not held."""
    data = written(True, acc=np.zeros(12_500_000))
    assert len(data) < 150_000
    assert sum(len(block) for block in read(tmp_path, data).blocks()) == 12_500_000
    bomb = zlib.compressobj()
    parts = array(6, (1, 4), "acc", 9, b"")[:-8] + struct.pack("<II", 9, 1_000_000_000)
    data = bomb.compress(parts) + b"".join(bomb.compress(bytes(10_000_000)) for _ in range(100)) + bomb.flush()
    packed_data = element(struct.pack("<II", 15, len(data)) + data)
    with ProcessPoolExecutor(1, get_context("spawn")) as alone:  # of which no program was started before
        assert alone.submit(held_when_refused, tmp_path, packed_data).result() < 600_000_000


def held_when_refused(folder, data) -> int:
    refused(folder, data, "4 numbers, as its head says")
    return held_by_programs()


def test_the_caps(tmp_path, monkeypatch):
    monkeypatch.setattr(mat, "MOST_UNPACKED", 10_000)
    for pack in (False, True):
        refused(tmp_path, written(pack, acc=SINE), "at most 0.01 MB", "once unpacked", "acc [1×2000 double]")
    monkeypatch.setattr(mat, "MOST_BYTES", 5_000)
    refused(tmp_path, written(acc=SINE), "at most 0.005 MB")


def test_values_that_cannot_be(tmp_path):
    for wrong in (np.nan, np.inf, 1e30):
        values = SINE.copy()
        values[1500] = wrong
        refused(tmp_path, written(acc=values), "numbers that can be", "1501")


def test_a_rate_that_no_record_has(tmp_path):
    with pytest.raises(Refused, match="a rate from 1 to"):
        read_mat(folder_of(tmp_path, {"a.mat": written(acc=SINE)}), "a.mat", "acc", "m/s2", 0.0, 1.0)
