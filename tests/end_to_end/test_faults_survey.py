"""Raw records and their table spoiled in a copy: message, file and line, and no better verdict."""

from __future__ import annotations

import struct
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from buildbook.core.finding import Verdict
from buildbook.pipeline import make_book
from tests.end_to_end.spoiling import HULL, Spoil, cell, findings, told
from tests.end_to_end.test_faults_drive import line, row_of
from tests.parcel.small_hull import RAW, small_hull
from tests.readers.tdms_bytes import channel
from tests.readers.tdms_bytes import written as tdms

RECORDS = "vibration/records.csv"
UNIVERSAL, SOUND, TEXT = (f"vibration/raw/{name}" for name in ("V4_R3.uff", "V2_R3.wav", "V3_R3.csv"))
RATE_AT = 24  # bytes into a WAV file (RIFF, fmt chunk): samples a second


def changed(how: Callable[[bytes], bytes]) -> Callable[[Path], object]:
    """The bytes of a file changed."""
    return lambda path: bool(path.write_bytes(how(path.read_bytes())))


def at_rate(rate: int) -> Callable[[bytes], bytes]:
    """A WAV file whose head gives another rate."""
    return lambda data: data[:RATE_AT] + struct.pack("<I", rate) + data[RATE_AT + 4 :]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        (lambda data: data[: len(data) // 2], "ends early"),
        (lambda data: data[:-1000] + b"\n    -1\n", ""),  # its end is there, and numbers before it are not
        (lambda data: data.replace(b"58b     1", b"58b     2"), "order of bytes"),
        (lambda data: b"", "a universal file"),
    ],
    ids=["cut in the middle", "numbers missing", "bytes in the wrong order", "empty"],
)
def test_a_universal_file_that_cannot_be_read(spoil: Spoil, how: Callable[[bytes], bytes], words: str) -> None:
    made = spoil(UNIVERSAL, changed(how))
    rows = [line(RECORDS, row_of(RECORDS, file=UNIVERSAL, channel=channel)) for channel in "123"]
    assert [row for row in rows if told(made, RECORDS, row, "column 'file'", UNIVERSAL, words)]
    mine = [one for key, one in findings(made.book).items() if key.place == "V4" and key.check == "VIB-02"]
    cruise = [one for one in mine if "R3" in one.key.condition or one.key.condition.startswith("A-")]
    assert cruise
    assert {one.verdict for one in cruise} == {Verdict.INCONCLUSIVE}


def test_a_sound_file_without_a_calibration(spoil: Spoil) -> None:
    row = row_of(RECORDS, file=SOUND)
    made = spoil(RECORDS, cell(row, "calibration", ""))
    assert told(made, RECORDS, line(RECORDS, row), "column 'calibration'", SOUND, "a calibration")
    assert SOUND not in made.book.unused_files
    assert [fault for fault in made.book.faults if fault.where.file == SOUND] == []  # a row does name it


@pytest.mark.parametrize("file", [UNIVERSAL, TEXT])
def test_a_calibration_beside_a_file_with_units_of_its_own(spoil: Spoil, file: str) -> None:
    row = row_of(RECORDS, file=file)
    made = spoil(RECORDS, cell(row, "calibration", "0.1"))
    assert told(made, RECORDS, line(RECORDS, row), "column 'calibration'", file, "an empty cell")


def test_a_sound_file_of_another_quantity_than_its_chain_is_listed_for(spoil: Spoil) -> None:
    """As velocity the numbers of an acceleration would make another level, and no unit in the file says so."""
    row = row_of(RECORDS, file=SOUND)
    levels = findings(spoil(RECORDS, cell(row, "quantity", "velocity")).book)
    level = next(one for key, one in levels.items() if key.check == "VIB-01" and key.place == "V2"
                 and "run R3" in key.condition)  # fmt: skip
    assert level.verdict is Verdict.INCONCLUSIVE


@pytest.mark.parametrize("rate", [512, 1000, 1100, 2048])
def test_another_rate_than_the_rest_of_the_survey(spoil: Spoil, rate: int) -> None:
    """At twice the rate every tone seems twice as high, and the velocity half of what it was."""
    row = row_of(RECORDS, file=SOUND)
    made = spoil(SOUND, changed(at_rate(rate)))
    assert told(made, RECORDS, line(RECORDS, row), "64 s, as long as")
    level = next(one for key, one in findings(made.book).items() if key.check == "VIB-01" and key.place == "V2"
                 and "run R3" in key.condition)  # fmt: skip
    assert not level.verdict.met


def test_another_rate_typed_beside_a_text(spoil: Spoil) -> None:
    row = row_of(RECORDS, file=TEXT)
    assert told(
        spoil(RECORDS, cell(row, "rate", "2048")), RECORDS, line(RECORDS, row), "65536 samples at 2048 a second"
    )


@pytest.mark.parametrize(
    ("file", "column", "text"),
    [
        (SOUND, "calibration", "2"),  # a tenth of the level
        (SOUND, "file", "vibration/raw/V1_R5.wav"),  # a quieter place
        (UNIVERSAL, "channel", "2"),  # the longitudinal direction in place of the upright one
        (UNIVERSAL, "axis", "transverse"),
        (SOUND, "at", "2026-05-20 10:51"),  # when another run was on
        (SOUND, "at", "2026-05-21 10:16"),
    ],
)
def test_a_row_that_others_contradict(spoil: Spoil, file: str, column: str, text: str) -> None:
    row = row_of(RECORDS, file=file)
    assert told(spoil(RECORDS, cell(row, column, text)), RECORDS, line(RECORDS, row), column)


def test_a_record_under_another_name(spoil: Spoil) -> None:
    """The quiet record of one place copied over that of another."""
    quiet = (HULL / "vibration/raw/V1_R5.wav").read_bytes()
    row = row_of(RECORDS, file=SOUND)
    assert told(spoil(SOUND, changed(lambda _: quiet)), RECORDS, line(RECORDS, row), "and not those of record A-18")


@pytest.mark.parametrize("name", ["vibration/raw/V9_R9.wav", "../../secret.wav", "/etc/hostname.wav"])
def test_a_file_that_is_not_there_or_not_in_the_folder(spoil: Spoil, name: str) -> None:
    row = row_of(RECORDS, file=SOUND)
    made = spoil(RECORDS, cell(row, "file", name))
    assert [text for text in map(str, made.book.faults) if f"{RECORDS}:{line(RECORDS, row)}" in text and name in text]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        (lambda data: data.replace(b"[g]", b"[furlong]"), "furlong"),
        (lambda data: data.replace(b"acceleration [g]", b"acceleration"), "a head with its unit"),
        (lambda data: data.replace(b"\n", b"\n\n", 500).replace(b"\n\n", b"\n", 499), "a blank line"),
        (lambda data: data[:4000] + b"high\n" + data[4000:], "high"),
        (lambda data: data[: data.index(b"\n", 4000)] + b"\n1.0e200" + data[data.index(b"\n", 4000) :], "1e+200"),
        (lambda data: b"\x00\x01" * 100, "no text record"),
    ],
    ids=["another unit", "no unit", "a sample missing", "a word", "a number that cannot be", "no text"],
)
def test_a_text_that_cannot_be_read(spoil: Spoil, how: Callable[[bytes], bytes], words: str) -> None:
    made = spoil(TEXT, changed(how))
    assert told(made, RECORDS, line(RECORDS, row_of(RECORDS, file=TEXT)), "column 'file'", TEXT, words)


def test_an_index_beside_a_record_is_no_file_that_nothing_uses(tmp_path: Path) -> None:
    """Programs write it beside a .tdms file; everything stands in the record. One without its record is told."""
    hull = small_hull(tmp_path / "hull")
    with wave.open(str(hull / RAW)) as heard:
        values = np.frombuffer(heard.readframes(heard.getnframes()), "<i2") * (20.0 / 2**15)
        rate = heard.getframerate()
    said = {"wf_increment": 1.0 / rate, "unit_string": "m/s2"}
    record = RAW.replace(".wav", ".tdms")
    (hull / record).write_bytes(tdms([channel(values, properties=said)]))
    for name in (f"{record}_index", "vibration/raw/V9_R9.tdms_index"):
        (hull / name).write_bytes(b"TDSh")
    (hull / RAW).unlink()
    table = hull / "vibration/records.csv"
    rows = table.read_text(encoding="utf-8").replace(RAW, record).replace(",20,", ",,")
    table.write_text(rows, encoding="utf-8")
    book = make_book(hull).book
    assert [fault for fault in book.faults if fault.where.file == "vibration/records.csv"] == []
    assert {it.file for it in book.raw_files} == {record}
    assert [name for name in book.unused_files if name.endswith("_index")] == ["vibration/raw/V9_R9.tdms_index"]
