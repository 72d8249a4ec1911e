"""What `check` prints of a folder with many faults: every line named, and what was expected said once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.book import Book
from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.daily import alike, daily
from buildbook.readers.cells import CellError, number
from buildbook.terminal import show
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


def printed(given: Book, faults: tuple[Fault, ...], capsys: pytest.CaptureFixture[str]) -> str:
    show(daily(replace(given, faults=faults, matters=())), everything=True)
    return " ".join(capsys.readouterr().out.split())


def test_thirty_decimal_commas_are_one_thing_to_do_that_names_every_row(
    sample_book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    assert len(COMMAS) == 30
    told = printed(sample_book, tuple(fault(line, cell) for line, cell in enumerate(COMMAS, start=2)), capsys)
    assert "In the way: 30 faults." in told
    assert told.count("expected a number") == told.count("This row is not used.") == 1
    assert "likewise line 3: '20,230', which may be 20230 or 20.230 (write 20230 or 20.230) | line 4: " in told
    assert [f"line {line}: '{cell}'" in told for line, cell in enumerate(COMMAS[1:], start=3)] == [True] * 29


def test_what_is_not_alike_stands_alone_in_its_file(sample_book: Book, capsys: pytest.CaptureFixture[str]) -> None:
    other = Fault(Where(FILE, 3, "humidity [%]"), "a number", "'x'", "This row is not used.")
    whole = [Fault(Where(f"{name}.csv"), "a table", "nothing", "It is not read.") for name in "abcd"]
    told = printed(sample_book, (fault(2, "20,100"), other, fault(4, "20,230"), *whole), capsys)
    assert "likewise" not in told
    assert [
        f"{name}.csv Fault. found nothing; expected a table It is not read. -> Add the file." in told for name in "abcd"
    ]
    told = printed(sample_book, (fault(2, "20,100"), other, fault(4, "20,230"), fault(5, "21,500"), *whole), capsys)
    assert told.count("likewise") == 1


def test_signs_that_would_command_a_terminal_are_not_printed(
    sample_book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    hostile = Fault(Where("a.csv", 2), "a word", "\x1b[31mred[bold]\x9b", "It is not read.")
    show(daily(replace(sample_book, faults=(hostile,))))
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "\x9b" not in out
    assert "red[bold]" in out


def test_lines_for_columns_toml_can_be_copied_as_they_stand(
    sample_book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = ('["a.csv".heads]', f'"Länge [mm] {"sehr " * 30}" = "length"  # line 1: looks like \'length [mm]\'')
    show(daily(sample_book, (), lines))
    told = capsys.readouterr().out
    assert "\n".join(lines) in told
    assert "Nothing of it is used until it stands there." in told.replace("\n", " ")
    show(daily(sample_book))
    assert "columns.toml" not in capsys.readouterr().out


def test_faults_of_one_column_of_a_sheet_are_told_together_with_their_cells() -> None:
    places = [Where("a.csv", line, "x", "a.xlsx[a]", f"B{line}") for line in (2, 3, 4)]
    (together,) = alike([Fault(where, "a number", f"'{where.line}x'", "Not used.") for where in places])
    assert [str(fault.where) for fault in together] == [f"a.xlsx[a] B{line}, column 'x'" for line in (2, 3, 4)]
