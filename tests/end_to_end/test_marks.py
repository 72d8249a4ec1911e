"""Every row with a position, and every finding there, leads to a mark on a drawing of her, and every mark leads back.

The demonstration site is walked without the program's own ideas of what has a position: tables are read with the csv
module, addresses are followed in the pages.
"""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate

import pytest

from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.pipeline import Made
from buildbook.render.on_her import of_chapter
from tests.demonstration import demonstration, site
from tests.end_to_end.spoiling import HULL, Sheet, Spoil, cell, tables

PLACES = Sheet.read(HULL / "places.csv")
NUMBERS = {place: number for number, place in enumerate(PLACES.values("place"), 1)}
# Columns that name a place, in the words of the tables; that a cell holds an id of places.csv is asked besides.
NAMING = (
    *("place", "zone", "opening", "part", "position", "propeller", "mirror"),
    *("bearing", "tank", "space", "pump", "circuit", "fitting", "shaft"),
)
# Columns of part numbers, of which a few are places besides.
NUMBERED = {f"parts/{name}.csv": ("part",) for name in ("batches", "register")}
OWN = {"laminate/thickness.csv", "laminate/bond_findings.csv"}


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its text, how often each id stands on it, and its rows by their ids."""

    text: str
    ids: Counter[str]
    rows: Mapping[str, str]


def read(text: str) -> Page:
    rows = {row.partition('"')[0]: row for row in re.findall(r'<tr (?:role="row" )?id="(.*?)</tr>', text, re.DOTALL)}
    return Page(text, Counter(re.findall(r' id="([^"]+)"', text)), rows)


@pytest.fixture(scope="module")
def made() -> Made:
    """The book of the demonstration."""
    return demonstration()


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Page]:
    """The pages of its site, made without the PDF."""
    out = site(tmp_path_factory)
    return {path.relative_to(out).as_posix(): read(path.read_text("utf-8")) for path in out.rglob("*.html")}


def followed(pages: Mapping[str, Page], page: str, address: str) -> tuple[str, str]:
    """The page and the element that an address leads to; it must be there once."""
    name, _, anchor = address.partition("#")
    target = posixpath.normpath(posixpath.join(posixpath.dirname(page), name)) if name else page
    assert pages[target].ids[anchor] == 1, f"{page}: {address}"
    return target, anchor


def links_of(text: str) -> list[tuple[str, str]]:
    """The links of a row to marks: number and address."""
    return [
        (number, address)
        for address, number in re.findall(r'<a class="at-mark[^"]*" href="([^"]+)" data-mark="(\d+)"', text)
    ]


def expected(file: str, sheet: Sheet, row: int) -> set[str]:
    """The places that a row of a table names."""
    names = [name for name in NAMING if name in sheet.names and name not in NUMBERED.get(file, ())]
    return {sheet.rows[row + 1][sheet.index(name)] for name in names} & set(NUMBERS)


def page_of(file: str) -> str:
    return f"evidence/{re.sub('[^a-z0-9]+', '-', file.removesuffix('.csv'))}.html"


def test_every_row_that_names_a_place_or_says_its_position_leads_to_its_mark(pages: Mapping[str, Page]) -> None:
    seen = own = 0
    for file in tables(HULL):
        sheet, page = Sheet.read(HULL / file), page_of(file)
        lines = accumulate((1 + max(cell.count("\n") for cell in cells) for cells in sheet.rows[:-1]), initial=1)
        for row, line in enumerate([*lines][1:]):
            wanted = expected(file, sheet, row)
            if not wanted:
                continue
            text = pages[page].rows[f"L{line}"]
            links = links_of(text)
            numbers = {NUMBERS[place] for place in wanted}
            said = file in OWN and sheet.number(row, "x") is not None
            assert numbers <= {int(number) for number, _ in links}, f"{file}:{line}"
            assert len(links) == len(numbers) + (1 if said else 0)
            assert f'data-mark="{links[0][0]}"' in text.partition(">")[0], "the row carries its first number"
            for number, address in links:
                _, anchor = followed(pages, page, address)
                assert anchor.endswith(f"-mark-{number}")
            seen, own = seen + 1, own + said
    assert seen > 4000
    assert own == 47


def test_every_mark_leads_to_its_line_and_every_line_to_rows_and_back_to_the_mark(pages: Mapping[str, Page]) -> None:
    marks = 0
    for name, its in pages.items():
        found = re.findall(r'<a id="[^"]+-mark-(\d+)" class="mark [^"]+" data-mark="\1" href="([^"]+)"', its.text)
        for number, address in found:
            page, anchor = followed(pages, name, address)
            line = pages[page].rows[anchor]
            assert f'data-mark="{number}"' in line.partition(">")[0]
            back = [address for n, address in links_of(line) if n == number]
            assert followed(pages, page, back[0])[0] == name, "back to the drawing on the same page"
            rows = re.findall(r'href="([^"]*evidence/[^"]*#L\d+)"', line)
            assert rows or page.startswith("evidence/")
            for row in rows:
                followed(pages, page, row)
            marks += 1
    assert marks > 2 * (39 + 47), "both views of the first page and of the positions of their own"


def test_every_finding_at_a_place_leads_to_its_mark(pages: Mapping[str, Page]) -> None:
    at_a_place = 0
    for name, its in pages.items():
        for attributes, row in re.findall(r'<tr role="row" class="finding([^>]*)>(.*?)</tr>', its.text, re.DOTALL):
            links = links_of(row)
            assert ("data-mark" in attributes) == bool(links) or "reference" in attributes
            for number, address in links:
                page, anchor = followed(pages, name, address)
                assert page in (name, "index.html") or name in ("exceptions.html", "register.html")
                assert anchor.endswith(f"-mark-{number}")
            at_a_place += bool(links)
    assert at_a_place > 1000


def test_findings_of_the_chapters_of_readings_have_marks_but_for_what_is_nowhere_on_her(made: Made) -> None:
    without = {
        item.finding.key.check
        for chapter in made.book.chapters
        for check in chapter.checks
        for item in check.governing
        if not item.marks
    }
    of_the_whole = {"VIB-04", "SYS-12", "SYS-13"}
    parts = {f"PAR-{number:02}" for number in range(1, 6)}
    papers = {"COA-15", "REG-01", "REG-02", "REG-03", "REG-04", "REG-05", "REG-07"}
    assert without == parts | papers | of_the_whole, (
        "most numbered parts, hours of work, the weather on trial, the whole boat, papers, instruments are at no place"
    )


def test_a_position_outside_her_is_told_with_its_cell_and_not_drawn(spoil: Spoil) -> None:
    made = spoil("places.csv", cell(0, "x", "42"))
    (notice,) = [fault for fault in made.book.faults if fault.found == "42 m"]
    assert (notice.where.file, notice.where.line, notice.where.column) == ("places.csv", 2, "x [m]")
    assert notice.severity is Severity.NOTICE
    first = made.book.places[0]
    assert first.unplaced == "x = 42 m lies outside her"
    assert "Only in the list, without a mark: 1." in made.book.drawings[0].says
    whole, *_ = of_chapter(made.book, "")  # the drawing with the first numbers
    for view in whole.views:
        assert 'data-mark="1"' not in view.svg
        assert 'data-mark="2"' in view.svg


def test_a_place_on_the_other_side_than_its_name_says_is_told(spoil: Spoil, sound: Book) -> None:
    rows = Sheet.read(HULL / "places.csv")
    row = rows.values("name").index("Topsides, port")
    assert not [fault for fault in sound.faults if "as it is called" in fault.expected]
    made = spoil("places.csv", cell(row, "y", rows.values("y")[row].removeprefix("-")))
    (notice,) = [fault for fault in made.book.faults if "as it is called" in fault.expected]
    assert (notice.where.line, notice.where.column, notice.severity) == (rows.line(row), "y [m]", Severity.NOTICE)
    assert notice.expected.startswith("a place to port, as it is called")


def test_a_reading_outside_her_is_told_and_its_number_stays_judged(spoil: Spoil) -> None:
    made = spoil("laminate/thickness.csv", cell(0, "x", "42"))
    (notice,) = [fault for fault in made.book.faults if fault.found == "42 m"]
    assert (notice.where.line, notice.where.column, notice.severity) == (2, "x [m]", Severity.NOTICE)
    (table,) = [table for table in made.book.tables if table.file == "laminate/thickness.csv"]
    assert not table.rows[0].fault
    assert table.rows[0].marks == (12,), "its zone"
    (own,) = [drawing for drawing in made.book.drawings if drawing.file == table.file]
    assert [line.number for line in own.lines if line.unplaced] == [own.lines[0].number]
