"""Lines that are no rows, and one mistake in many rows: named once, with what to do. All tables are synthetic."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import pytest

from buildbook.chapters import TABLES
from buildbook.chapters.shared_records import Instrument
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record, Table, column
from buildbook.core.spelling import nearest_word
from buildbook.core.where import Where
from buildbook.readers.told_once import told_once
from tests.readers.synthetic import HEADS, ROW, Log, Spot, gathered


class Pair(Record):
    table: ClassVar[Table] = Table("pairs.csv", "Pairs", "one pair", ("id",))

    id: str = column("Id", example="A")
    air: float = column("Air", unit="degC", example="20")
    surface: float = column("Surface", unit="degC", example="19")


SPOTS = "spot,height [m]\nS1,1.2\n"
LOG = "logs/readings.csv"


def rows(count: int, film: str = "182", spot: str = "S1") -> str:
    return "".join(f"{spot},1,{number},2026-03-18 08:00,{film}\n" for number in range(1, count + 1))


def told(found) -> list[Fault]:
    return [fault for fault in found.faults if fault.severity is Severity.FAULT]


def read(tmp_path: Path, log: str, **more: str):
    return gathered(tmp_path, {"spots.csv": SPOTS, LOG: log, **more})


@pytest.mark.parametrize(
    ("log", "line", "words", "kept"),
    [
        (f"{HEADS}\n{ROW}\n{HEADS}\n{ROW.replace('1,1,', '1,2,')}\n", 3, "the heads again; take this line out", 2),
        (f"{HEADS}\n{ROW}\n{HEADS.replace('um', 'mm')}\n{ROW}\n{ROW}\n", 3, "heads again, and not the same", 1),
        (f"{HEADS}\n{ROW}\nspot,number,attempt,at,film [um]\n{ROW}\n", 3, "heads again, and not the same", 1),
        (f"{HEADS}\n{ROW}\nTotal,,,,182\n", 3, "'Total', a line that sums up others; take it out", 1),
        (f"{HEADS}\n{ROW}\n,,,Mean:,182\n", 3, "'Mean:', a line that sums up others", 1),
        (f"{HEADS}\n{ROW}\nSumme,1,1,2026-03-18 08:00,182\n", 3, "'Summe', a line that sums up", 1),
        (f"{HEADS.replace(' [um]', '')}\n-,-,-,-,[um]\n{ROW}\n", 2, "units below the heads", 0),
        (f"{HEADS}\n-,1,1,h,µm\n{ROW}\n", 2, "units below the heads", 1),
    ],
)
def test_a_line_that_is_no_row_is_told_once_and_not_used(tmp_path, log, line, words, kept):
    found = read(tmp_path, log)
    faults = [fault for fault in told(found) if fault.where.line == line]
    assert [words in str(fault) for fault in faults] == [True]
    assert len(found.evidence.of(Log)) == kept
    assert any(row.where.line == line for row in found.evidence.lost(Log, spot="S1"))


METERS = "instrument,quantity,type,serial,certificate,calibrated,unit,resolution,uncertainty,coverage,note"
METER = "GL-01,gloss,gloss meter,77,C-1,2026-01-02,GU,0.1,1,2,"
SUMMING = ("SD", "MAX", "MIN", "AVG", "SUM", "TOTAL", "MEAN", "Count", "Mittel")


def table_of(file: str) -> type[Record]:
    return next(kind for kind in TABLES if kind.table.file == file)


@pytest.mark.parametrize("delimiter", [",", ";"])
@pytest.mark.parametrize("last", [True, False])
@pytest.mark.parametrize("name", SUMMING)
def test_an_instrument_that_is_called_like_a_sum_is_one(tmp_path, name, last, delimiter):
    """Words where words belong, a date where a date does; the note is left empty, and it may be the last line."""
    own = f"{name},resistance,ohmmeter,X-1,C-2,2026-01-02,ohm,0.01,0.02,2,"
    text = "\n".join((METERS, METER, own) if last else (METERS, own, METER)) + "\n"
    found = gathered(tmp_path, {"instruments.csv": text.replace(",", delimiter)}, (Instrument,))
    assert told(found) == []
    assert {row.instrument for row in found.evidence.of(Instrument)} == {"GL-01", name}
    assert found.evidence.lost(Instrument) == ()


@pytest.mark.parametrize(
    "line",
    [
        "MEAN,,,,,,,0.1,1,2,",  # numbers below columns of numbers
        "SD,,,,,,GU,0.1,1,2,",
        "COUNT,1,1,1,1,1,1,1,1,1,",  # a count of each column
        "MAX,0,0,77,0,2026-01-02,0,0.1,1,2,",  # what a spreadsheet makes of words, and of dates
        "SUM,#VALUE!,#VALUE!,77,0,46024,GU,0.1,1,2,",
        "Total,all,-,,,,GU,0.1,1,2,",
        "Mean,gloss,gloss meter,77,C-1,2026-01-02,,0.1,1,2,",  # one cell that a row must have is empty
        "MIN,MIN,MIN,MIN,MIN,MIN,MIN,0.1,1,2,",
    ],
)
def test_a_summing_line_below_instruments_is_none(tmp_path, line):
    found = gathered(tmp_path, {"instruments.csv": f"{METERS}\n{METER}\n{line}\n"}, (Instrument,))
    assert [fault.where.line for fault in told(found)] == [3]
    assert "a line that sums up others" in told(found)[0].found
    assert "needs another name" in told(found)[0].found
    assert [row.instrument for row in found.evidence.of(Instrument)] == ["GL-01"]
    assert found.evidence.lost(Instrument, instrument="GL-01")


@pytest.mark.parametrize(
    ("file", "heads", "line"),
    [
        (
            "systems/weighing.csv",
            "point,attempt,at,mass [kg],x [m],y [m],position_uncertainty [m],by,instrument",
            "SUM,1,2026-05-01 10:00,21400,6.1,0,0.01,NA KL,LC-01",
        ),
        (
            "effort.csv",
            "stage,kind,begun,days,people,hours,by",
            "Total,work,2026-01-12,90,6,4200,PM KL",
        ),
        (
            "coating/gloss.csv",
            "zone,attempt,number,angle [deg],gloss [GU],at,instrument",
            "MEAN,1,2,60,88.4,2026-04-09 10:02,GL-01",
        ),
        (
            "laminate/core_bond.csv",
            "specimen,zone,attempt,at,force [N],length [mm],width [mm],core,in_core,at_skin,at_glue,machine",
            "Mean,L1,1,2026-03-02 10:00,5200,50,50,PVC-80,80,20,0,TM-01",
        ),
    ],
)
def test_a_sum_below_readings_is_none_however_whole_it_looks(tmp_path, file, heads, line):
    """As a spreadsheet makes it that copies words and dates down: where every row has a number it stays a sum."""
    found = gathered(tmp_path, {file: f"{heads}\n{line}\n"}, (table_of(file),))
    assert any("a line that sums up others" in fault.found for fault in told(found))
    assert found.evidence.of(table_of(file)) == ()
    assert len(found.evidence.lost(table_of(file))) == 1


@pytest.mark.parametrize("delimiter", [",", ";"])
@pytest.mark.parametrize(
    "title", ["Film readings of hull 7\n", "Film readings\nshift 2\n\n", '"Film, all zones",,,,\n']
)
def test_a_title_above_the_heads_is_told_once_and_nothing_is_read(tmp_path, title, delimiter):
    log = (title + f"{HEADS}\n{rows(30)}").replace(",", delimiter)
    found = read(tmp_path, log)
    (fault,) = told(found)
    line = title.count("\n") + 1
    assert (fault.where.file, fault.where.line) == (LOG, 1)
    assert f"and the heads in line {line}" in fault.found
    assert f"take out what stands above line {line}" in fault.effect
    assert found.evidence.of(Log) == ()
    assert found.evidence.lost(Log, spot="S1")


@pytest.mark.parametrize(
    ("log", "column", "words"),
    [
        (f"{HEADS.replace('um', 'm')}\n{rows(100)}", "film [m]", "in 99 more rows, to line 101 (is its head right"),
        (f"{HEADS}\n{rows(100, film='thick')}", "film [um]", "where that is allowed; and likewise in 99 more rows"),
        (f"{HEADS}\n{rows(100)}".replace(",182", ",182,x"), "", "6 cells"),
        (f"{HEADS}\n{rows(100, spot='s1')}", "spot", "(did you mean 'S1'?); and likewise in 99 more rows"),
        ("spot,attempt,at,number,film [um]\n" + rows(100), "at", "and likewise in 99 more rows"),
    ],
)
def test_one_mistake_in_all_rows_is_told_once_for_its_column(tmp_path, log, column, words):
    found = read(tmp_path, log)
    faults = [fault for fault in told(found) if fault.where.column == column]
    assert len(faults) == 1
    assert faults[0].where.line == 2
    assert words in str(faults[0])
    assert len(told(found)) <= 3
    assert len({row.where.line for row in found.evidence.lost(Log)}) == 100  # each row still says why for itself


def test_a_few_mistakes_are_told_one_by_one(tmp_path):
    log = f"{HEADS}\n{rows(20)}".replace("S1,1,3,2026-03-18 08:00,182", "S1,1,3,2026-03-18 08:00,thick")
    log = log.replace("S1,1,9,2026-03-18 08:00,182", "S1,1,9,2026-03-18 08:00,thin")
    assert [fault.where.line for fault in told(read(tmp_path, log))] == [4, 10]


def test_what_is_alike_is_told_as_one_in_any_order():
    faults = [Fault(Where("t.csv", line, "a"), "a number", f"'{line}'", "lost") for line in range(2, 30)]
    (one,) = told_once(faults, {"t.csv": 1000})
    assert (one.where.line, one.found) == (2, "'2'; and likewise in 27 more rows, to line 29")
    assert told_once(reversed(faults), {"t.csv": 1000}) == (one,)
    assert told_once(faults[:20], {"t.csv": 1000}) == tuple(faults[:20])
    assert len(told_once(faults[:5], {"t.csv": 10})) == 1
    assert len(told_once(faults[:4], {"t.csv": 4})) == 4


@pytest.mark.parametrize("name", ["readings.csv", "logs/Readings.csv", "log/readings.csv", "logs/reading.csv"])
def test_a_table_in_another_place_is_told_with_where_it_belongs(tmp_path, name):
    found = gathered(tmp_path, {"spots.csv": SPOTS, name: f"{HEADS}\n{ROW}\n"})
    (fault,) = told(found)
    assert fault.where.file == name
    assert f"expected this table as {LOG}; found '{name}'" in str(fault)
    assert found.evidence.missing[Log] == f"is not in the folder (there is '{name}')"
    assert found.evidence.of(Log) == ()


def test_a_table_that_is_another_is_not_taken_for_a_misplaced_one(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS})
    assert told(found) == []
    assert found.evidence.missing[Log] == "is not in the folder"


@pytest.mark.parametrize(
    ("end", "line"), [(b"S\xc3\xbc,1\nS\xfc,2\n", 3), (b"S\xfc,1\n", 2), (b"S1,1\r\nS\xfc,1\r\n", 3)]
)
def test_another_encoding_and_two_in_one_file_are_told_with_the_line(tmp_path, end, line):
    found = gathered(tmp_path, {"spots.csv": b"spot,height [m]\n" + end})
    (notice,) = [fault for fault in found.faults if fault.where.file == "spots.csv"]
    assert (notice.severity, notice.where.line) == (Severity.NOTICE, line)
    assert ("two encodings" in notice.found) == (b"\xc3\xbc" in end)
    assert len(found.evidence.of(Spot)) == end.count(b"\n")


def test_the_nearest_word_does_not_depend_on_the_order_of_the_choices():
    choices = ["Z12", "Z11", "Z13", "z-11"]
    assert {nearest_word("Z1", order) for order in (choices, choices[::-1], set(choices))} == {
        nearest_word("Z1", choices)
    }
    assert nearest_word("z1", ["Z1", "Z2"]) == "Z1"
    assert nearest_word("£", ["Z1"]) == ""


def test_a_table_without_heads_is_told_once(tmp_path):
    found = read(tmp_path, rows(30))
    (fault,) = found.faults
    assert (fault.where.file, fault.where.line, fault.severity) == (LOG, 1, Severity.FAULT)
    assert f"the heads in the first line ({HEADS.replace(',', ', ')})" in fault.expected
    assert found.evidence.of(Log) == ()
    assert found.evidence.lost(Log, spot="S1")


def test_one_word_in_many_rows_of_a_long_table_is_told_once(tmp_path):
    more = rows(15).replace("S1", "S2")
    found = gathered(
        tmp_path, {"spots.csv": "spot\nS1\n", LOG: f"{HEADS}\n{rows(40)}{more}S3,1,1,2026-03-18 08:00,1\n"}
    )
    assert [(fault.where.line, fault.where.column) for fault in told(found)] == [(42, "spot"), (57, "spot")]
    assert "'S2', which is not there" in told(found)[0].found
    assert "and the same in 14 more rows, to line 56" in told(found)[0].found


def test_columns_of_one_unit_in_another_order_are_noticed(tmp_path):
    pairs = gathered(tmp_path / "b", {"pairs.csv": "id,surface [degC],air [degC]\nA,10,20\n"}, (Pair,))
    (notice,) = pairs.faults
    assert (notice.severity, notice.where.line, notice.where.column) == (Severity.NOTICE, 1, "surface [degC]")
    assert (notice.expected, notice.found) == ("air before surface", "surface before air")
    assert gathered(tmp_path / "c", {"pairs.csv": "id,air [degF],surface [degC]\nA,50,20\n"}, (Pair,)).evidence.of(Pair)
    assert pairs.evidence.of(Pair)[0].air == 20


def test_an_example_row_of_a_file_of_text_is_left_out_and_half_of_one_is_told(tmp_path):
    """As a sheet of `buildbook new --xlsx` has it, saved as a file of text."""
    from tests.readers.synthetic import Spot, gathered

    text = "spot,height [m]\nexample: S1,example: 1.2\nS2,example: 1.2\nS3,4\n"
    found = gathered(tmp_path, {"spots.csv": text}, (Spot,))
    assert [row.spot for row in found.evidence.of(Spot)] == ["S3"]
    (fault,) = found.faults
    assert (str(fault.where), "overwrite each cell that begins 'example:'" in fault.effect) == (
        "spots.csv:3, column 'height [m]'",
        True,
    )
