"""What `check` prints of a folder with many faults: every line named, and what was expected said once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.book import Book
from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.readers.cells import CellError, number
from buildbook.terminal import alike, show
from tests.sample_book import book

FILE, COLUMN = "coating/climate.csv", "air [degC]"
COMMAS = [f"{degrees},{rest}" for degrees in range(20, 26) for rest in ("100", "230", "370", "400", "590")]


@pytest.fixture
def sample_book() -> Book:
    return book()


def fault(line: int, cell: str) -> Fault:
    with pytest.raises(CellError) as no:
        number(cell, ".")
    return Fault(Where(FILE, line, COLUMN), no.value.expected, no.value.found, "This row is not used.")


def printed(given: Book, faults: tuple[Fault, ...], capsys: pytest.CaptureFixture[str]) -> list[str]:
    show(replace(given, faults=faults))
    lines = capsys.readouterr().out.splitlines()
    start = next(at for at, line in enumerate(lines) if line.startswith("Faults in the folder"))
    return lines[start : lines.index("", start)]


def test_thirty_decimal_commas_are_two_lines_that_name_every_row(
    sample_book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    assert len(COMMAS) == 30
    faults = tuple(fault(line, cell) for line, cell in enumerate(COMMAS, start=2))
    head, first, others = printed(sample_book, faults, capsys)
    assert head == "Faults in the folder: 30"
    assert first == f"  {faults[0]}"
    second = "line 3: '20,230', which may be 20230 or 20.230 (write 20230 or 20.230)"
    assert others.startswith(f"      likewise {second} | line 4: ")
    assert [f"line {line}: '{cell}'" in others for line, cell in enumerate(COMMAS[1:], start=3)] == [True] * 29


def test_what_is_not_alike_stands_alone_in_its_place(sample_book: Book, capsys: pytest.CaptureFixture[str]) -> None:
    other = Fault(Where(FILE, 3, "humidity [%]"), "a number", "'x'", "This row is not used.")
    whole = [Fault(Where(f"{name}.csv"), "a table", "nothing", "It is not read.") for name in "abcd"]
    faults = (fault(2, "20,100"), other, fault(4, "20,230"), *whole)
    told = printed(sample_book, faults, capsys)
    assert told[1:] == [f"  {it}" for it in faults]
    told = printed(sample_book, (*faults[:3], fault(5, "21,500"), *whole), capsys)
    assert told[1].startswith(f"  {FILE}:2, ")
    assert told[2].startswith("      likewise line 4: '20,230', ")
    assert told[3:] == [f"  {it}" for it in (other, *whole)]


def test_faults_of_one_column_of_a_sheet_are_told_together_with_their_cells() -> None:
    places = [Where("a.csv", line, "x", "a.xlsx[a]", f"B{line}") for line in (2, 3, 4)]
    (together,) = alike([Fault(where, "a number", f"'{where.line}x'", "Not used.") for where in places])
    assert [str(fault.where) for fault in together] == [f"a.xlsx[a] B{line}, column 'x'" for line in (2, 3, 4)]
