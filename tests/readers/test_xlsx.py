"""Workbooks that are none, are locked, hold macros or unpack to too much. All data are synthetic."""

from __future__ import annotations

import io
import random
import zipfile
from datetime import datetime
from typing import ClassVar

import pytest

from buildbook.core.record import Record, Table, column
from buildbook.core.stand import Stand
from buildbook.core.where import Where
from buildbook.readers import xlsx, xlsx_package
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather, parsed
from buildbook.readers.refused import Refused
from buildbook.readers.workbook import _Sheet, sheet_table
from buildbook.readers.xlsx import Merged, Sheet, SheetCell, taken_apart
from tests.as_workbooks import saved, workbook
from tests.readers.books import ROW, faults, logs, put, read, rows, spoiled
from tests.readers.synthetic import Log, Spot

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how a compound file begins: [MS-CFB] 2.2
SHEET = "xl/worksheets/sheet1.xml"


def archive(**parts: bytes) -> bytes:
    """A ZIP file of these parts."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as other:
        for name, data in parts.items():
            other.writestr(name.replace("__", "/"), data)
    return made.getvalue()


def with_part(data: bytes, name: str, content: bytes) -> bytes:
    """The same workbook with one more part."""
    made = io.BytesIO(data)
    with zipfile.ZipFile(made, "a", zipfile.ZIP_DEFLATED) as other:
        other.writestr(name, content)
    return made.getvalue()


def sharing(data: bytes, strings: str) -> bytes:
    """The same workbook with texts that its cells may share."""
    target = '<Relationship Id="shared" Type="x/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
    data = spoiled(data, "xl/_rels/workbook.xml.rels", "</Relationships>", target)
    return with_part(data, "xl/sharedStrings.xml", f"<sst>{strings}</sst>".encode())


def sheets_of(data: bytes, file: str) -> tuple[Sheet, ...]:
    return taken_apart(data, file).sheets


def refusal(data: bytes, file: str = "logs.xlsx") -> str:
    with pytest.raises(Refused) as refused:
        sheets_of(data, file)
    assert refused.value.fault.where.file == file
    return str(refused.value.fault)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"spot,height\nS1,2\n", "a file that is no workbook; save it anew as .xlsx"),
        (b"", "a file that is no workbook"),
        (logs()[:900], "a file that is no workbook"),
        (OLE + b"\x00" * 600, "an old workbook; save it anew as .xlsx"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "a password; take the password off"),
        (archive(readme=b"hello"), "an archive that is no workbook"),
        (archive(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "a sheet of another program"),
        (with_part(logs(), "xl/vbaProject.bin", b"x"), "one for macros; save it as .xlsx, without them"),
        (spoiled(logs(), SHEET, "<sheetData>", "<sheetData><broken>"), "damaged"),
        (spoiled(logs(), SHEET, "^", '<!DOCTYPE x [<!ENTITY a "b">]>'), "entities"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(data, words):
    told = refusal(data)
    assert words in told
    assert "Nothing in this workbook is read." in told


def test_a_macro_workbook_is_refused_by_its_name_too():
    assert "save it as .xlsx, without them" in refusal(logs(), "logs.xlsm")


def test_a_part_that_unpacks_to_far_more_than_its_size_is_refused_before_it_is_unpacked():
    bomb = with_part(logs(), "xl/worksheets/sheet9.xml", b"<row/>" * 2_000_000)
    assert "unpacks to more than 250 times its size" in refusal(bomb)


def test_caps_on_parts_size_sheets_cells_rows_and_columns(monkeypatch):
    data = logs()
    monkeypatch.setattr(xlsx_package, "MOST_MEMBERS", 3)
    assert "at most 3 parts" in refusal(data)
    monkeypatch.undo()
    monkeypatch.setattr(xlsx_package, "MOST_UNPACKED", 1_000)
    assert "at most 0.001 MB, unpacked" in refusal(data)
    monkeypatch.undo()
    monkeypatch.setattr(xlsx, "MOST_SHEETS", 1)
    assert "at most 1 sheets in a workbook; found 2" in refusal(data, "a.xlsx")
    monkeypatch.undo()
    monkeypatch.setattr(xlsx, "MOST_CELLS", 5)
    assert "at most 5 cells" in refusal(data, "b.xlsx")
    monkeypatch.undo()
    monkeypatch.setattr(xlsx, "MOST_ROWS", 1)
    assert "at most 1 rows; found more, in sheet 'logs.readings'" in refusal(logs(["S1"], ["S2"], ["S3"]), "c.xlsx")


def test_two_sheets_that_are_one_part_are_refused_unread():
    data = spoiled(logs(), "xl/_rels/workbook.xml.rels", "worksheets/sheet2.xml", "worksheets/sheet1.xml")
    assert "expected each sheet of a workbook by itself; found two sheets that are one" in refusal(data)


def test_caps_on_elements_texts_and_merged_cells(monkeypatch):
    """Rows without a cell, empty texts and merged ranges cost time, too, though nothing stands in them."""
    hollow = spoiled(logs(), SHEET, "</sheetData>", "<row/>" * 3_000 + "</sheetData>")
    wide = spoiled(logs(), SHEET, "</sheetData>", f"<row>{'<x/>' * 3_000}</row></sheetData>")
    texts = sharing(logs(), "<si/>" * 3_000)
    merged = logs(ROW, ["S1"], change=lambda sheet: [sheet.merge_cells(f"A{at}:B{at}") for at in (2, 3)])
    for data in (hollow, wide, texts, merged):
        assert len(sheets_of(data, "a.xlsx")) == 2
    monkeypatch.setattr(xlsx_package, "MOST_ELEMENTS", 2_000)
    assert "at most 2000 elements in a workbook" in refusal(hollow, "b.xlsx")
    monkeypatch.undo()
    monkeypatch.setattr(xlsx_package, "MOST_HELD", 2_000)
    assert "too many in one row" in refusal(wide, "c.xlsx")
    assert len(sheets_of(hollow, "d.xlsx")) == len(sheets_of(texts, "d.xlsx")) == 2  # each is let go when it is read
    monkeypatch.undo()
    monkeypatch.setattr(xlsx, "MOST_STRINGS", 2_000)
    assert "at most 2000 texts in a workbook" in refusal(texts, "e.xlsx")
    monkeypatch.setattr(xlsx, "MOST_MERGED", 1)
    assert "at most 1 ranges of merged cells; found more, in sheet 'logs.readings'" in refusal(merged, "f.xlsx")


def test_merged_cells_and_hidden_columns_are_looked_at_once_each(monkeypatch):
    """As many merged ranges as rows, each over all that follow: the work grows with their number, not its square."""
    looked: list[int] = []
    many = tuple(Merged(f"A{line}:B2001", line, 1, 2_001, 2) for line in range(2, 2_002))
    cells = {1: {1: SheetCell("spot")}, **{line: {1: SheetCell("S1")} for line in range(2, 2_002)}}

    def at(_: object, line: int, head: object = None) -> Where:
        looked.append(line)
        return Where("x", line)

    monkeypatch.setattr(_Sheet, "at", at)
    table = sheet_table(Log, Sheet("x", False, cells, many), Stand("x.xlsx", "x"))
    assert (len(table.rows), all(row.fault for row in table.rows)) == (2_000, True)
    assert len(looked) < 3 * len(many)
    column = '<col min="2" max="16384" hidden="1"/>'
    columns = f"<cols>{column}{column}</cols><sheetData>"
    (hidden, _) = sheets_of(spoiled(logs(), SHEET, "<sheetData>", columns), "hidden.xlsx")
    assert hidden.hidden_columns == frozenset(range(2, 502))


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ('<row r="2"/><row r="2"><c r="A2"><v>2</v></c></row>', "found row 2 again, in sheet 'plan'"),
        ('<row r="2"><c r="A2"><v>1</v></c><c r="A2"><v>2</v></c></row>', "found two in column 1, in row 2"),
        ('<row r="2"><c r="B2"><v>1</v></c><c r="A2"/><c><v>2</v></c></row>', "found two in column 2, in row 2"),
        ('<row r="2"><c r="A9"><v>1</v></c></row>', "each cell in the row that it names; found cell A9, in row 2"),
        ('<row r="0"/>', "each row of a sheet once, from 1 to 1048576; found row 0"),
        ('<row r="-3"/>', "damaged"),
        ('<row r="2_0"/>', "damaged"),
        ('<row r="2"><c r="A2"><v>1_000</v></c></row>', "damaged"),
        ('<row r="2"><c r="A2"><v>nan</v></c></row>', "damaged"),
        ('<row r="2"><c r="A2" t="s"><v>-1</v></c></row>', "damaged"),
    ],
)
def test_rows_and_cells_that_no_spreadsheet_writes_are_refused(rows, words):
    """Each row and cell once and in its place (ECMA-376-1, 18.3.1.4 and 73), numbers as XML Schema 2 has them."""
    data = spoiled(saved(workbook({"plan": [["a"]]})), SHEET, "</sheetData>", f"{rows}</sheetData>")
    assert words in refusal(data)


def test_a_cell_in_the_last_corner_costs_nothing():
    """A sheet has 1 048 576 rows and 16 384 columns (ECMA-376-1, 18.3.1.73): none is made for a cell far out."""
    far = saved(workbook({"plan": [["a"]]}))
    far = spoiled(far, SHEET, "</sheetData>", '<row r="1048576"><c r="A1048576"><v>1</v></c></row></sheetData>')
    assert list(sheets_of(far, "far.xlsx")[0].rows) == [1, 1048576]
    wide = spoiled(far, SHEET, '<c r="A1048576">', '<c r="XFD1048576">')
    assert "something in column 16384, in row 1048576" in refusal(wide)
    merged = spoiled(
        far, SHEET, "</sheetData>", '</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    )
    assert sheets_of(merged, "merged.xlsx")[0].merged[0].right == 16384


def test_a_locked_workbook_holds_what_it_may_concern(tmp_path):
    """What rests on a table that it may hold is no better than inconclusive."""
    found = read(tmp_path, logs_xlsx=OLE + "EncryptedPackage".encode("utf-16-le"), spots_csv="spot\nS1\n")
    (fault,) = faults(found)
    assert str(fault).startswith("logs.xlsx: expected a workbook (.xlsx); found a workbook with a password")
    (lost,) = found.evidence.unread[Log]
    assert set(lost.cells.values()) == {None}
    assert Log not in found.evidence.missing


def test_a_locked_workbook_beside_the_table_leaves_its_rows_and_caps_them(tmp_path):
    put(tmp_path, "logs/readings.csv", "spot,attempt,number,at,film [um]\nS1,1,1,2026-03-18 08:00,182\n")
    found = read(tmp_path, logs_xlsx=OLE, spots_csv="spot\nS1\n")
    assert (len(rows(found)), len(found.evidence.unread[Log])) == (1, 1)


def test_a_locked_workbook_may_hold_every_table_whatever_its_name(tmp_path):
    """A sheet `logs.readings` may stand in any workbook, also in one called like another table."""
    for name in ("records of March.xlsx", "spots.xlsx", "logs/readings.xlsx", "old/pictures.xlsx"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        put(tmp_path, name, logs()[:900])
        found = read(tmp_path, spots_csv="spot\nS1\n")
        assert [len(found.evidence.unread[kind]) for kind in (Spot, Log)] == [1, 1], name
        assert Log not in found.evidence.missing
        (told,) = faults(found)
        assert (told.where.file, "It may hold any table" in told.effect) == (name, True)
        (tmp_path / name).unlink()


def test_a_locked_workbook_that_a_row_names_is_a_document_and_holds_what_its_name_says(tmp_path):
    class Paper(Record):
        table: ClassVar[Table] = Table("papers.csv", "Papers", "one paper", ("file",))

        file: str = column("File", example="a.xlsx")

    put(tmp_path, "offer.xlsx", OLE)
    put(tmp_path, "logs.xlsx", OLE)
    put(tmp_path, "papers.csv", "file\noffer.xlsx\nlogs.xlsx\n")
    put(tmp_path, "spots.csv", "spot\nS1\n")
    found = gather(Folder(tmp_path), (Spot, Log, Paper))
    assert {kind: len(found.evidence.unread[kind]) for kind in (Spot, Log, Paper)} == {Spot: 0, Log: 1, Paper: 0}
    assert [fault.effect for fault in faults(found)] == ["Nothing in this workbook is read."] * 2


def test_texts_of_all_kinds():
    """Shared and inline strings, runs, reading aids, escaped signs: ECMA-376-1, 18.4.8, 18.4.6, 22.9.2.19."""
    text = "<si><t>none</t></si><si><r><t>sha</t></r><r><t>red</t></r><rPh sb='0' eb='1'><t>NO</t></rPh></si>"
    data = sharing(saved(workbook({"plan": [["a", "x"]]})), text)
    data = spoiled(data, SHEET, '<c r="A1".*?</c>', '<c r="A1" t="s"><v>1</v></c>')
    inline = '<c r="C1" t="inlineStr"><is><t>in_x000A_line</t><rPh sb="0" eb="1"><t>NO</t></rPh></is></c>'
    inline += '<c r="D1" t="str"><f>A1</f><v></v></c></row>'
    (sheet,) = sheets_of(spoiled(data, SHEET, "</row>", inline), "texts.xlsx")
    assert [cell.value for cell in sheet.rows[1].values()] == ["shared", "x", "in\nline"]


def test_a_spoiled_workbook_is_read_or_refused_and_never_breaks_off():
    """Bytes of single parts cut out, doubled or exchanged for what a number, a place or a style cannot be."""
    words = (b"1e999", b"nan", b"-1", b"", b"<c/>", b'r="ZZZ9"', b't="s"', b't="d"', b's="99999"', b"_xD800_", b"&lt;")
    whole, draw = logs(ROW, ["S1", 1, 2, datetime(2026, 3, 18), "=1+1"]), random.Random(4)
    with zipfile.ZipFile(io.BytesIO(whole)) as given:
        parts = {name: given.read(name) for name in given.namelist()}
    outcomes = set()
    for _ in range(150):
        name = draw.choice(sorted(parts))
        data, at = bytearray(parts[name]), draw.randrange(len(parts[name]))
        data[at : at + draw.randint(0, 9)] = draw.choice((*words, bytes(data[at : at + 40])))
        spoilt = archive(**{**parts, name: bytes(data)})
        try:
            for sheet in sheets_of(spoilt, "x.xlsx"):
                if sheet.rows:
                    parsed(Log, spoilt, stand=Stand("x.xlsx", sheet.name))
            outcomes.add("read")
        except Refused:
            outcomes.add("refused")
    assert outcomes == {"read", "refused"}
