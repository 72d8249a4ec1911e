"""Documents and what they support: both ends of every link."""

from __future__ import annotations

import hashlib
import io
import re
import shutil
from pathlib import Path

import pytest
from PIL import Image

from buildbook import documents
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding
from buildbook.core.where import Where
from buildbook.pipeline import Made, make_book
from buildbook.readers import first_page
from buildbook.seal.verify import verify
from tests.parcel.small_hull import HULL, NO_LINKS, built, edit, small_hull

DRAWN = first_page._small


def of_documents(made: Made) -> list[Fault]:
    return [fault for fault in made.book.faults if fault.where.file in ("documents.csv", "supports.csv")]


def findings(made: Made) -> list[Finding]:
    return [it.finding for ch in made.book.chapters for c in ch.checks for it in (*c.governing, *c.references)]


# The demonstration


def test_every_document_of_the_demonstration_is_hashed_and_linked(made: Made) -> None:
    assert of_documents(made) == []
    shown = {it.document: it for it in made.book.documents}
    assert set(shown) == {"ECL-25-1181", "WS-041", "DWG-201", "DWG-300", "VP-01"}
    for it in shown.values():
        given = (HULL / it.file).read_bytes()
        assert (it.sha256, it.bytes) == (hashlib.sha256(given).hexdigest(), len(given))
        assert it.supports
        if it.out:
            assert it.out_sha256 == hashlib.sha256(made.pictures[it.out]).hexdigest()
    assert shown["DWG-201"].out == "" == shown["DWG-201"].out_sha256
    assert made.pictures["documents/ECL-25-1181.pdf"] == (HULL / "documents/ECL-25-1181.pdf").read_bytes()
    assert sum(path.stat().st_size for path in (HULL / "documents").iterdir()) < 150_000


def test_the_first_page_of_every_document_that_is_given_is_shown(made: Made, small: Path) -> None:
    """Small ones: a table of documents may not make the site heavy. Of what is withheld no picture tells anything."""
    shown = {it.document: it for it in made.book.documents}
    assert shown["DWG-201"].picture == "" == shown["DWG-201"].picture_sha256
    page = (small / "evidence/index.html").read_text("utf-8")
    for it in shown.values():
        if not it.out:
            continue
        assert it.picture == f"documents/first-page/{it.out.removeprefix('documents/')}.jpg"
        data = made.pictures[it.picture]
        assert hashlib.sha256(data).hexdigest() == it.picture_sha256
        assert max(Image.open(io.BytesIO(data)).size) == 400
        assert len(data) < 20_000
        assert (small / it.picture).read_bytes() == data
        image = f'<a href="../{it.out}"><img src="../{it.picture}" alt="{it.title}, first page"></a>'
        assert image in page
    assert "DWG-201" not in " ".join(path.name for path in (small / "documents").rglob("*"))


def test_a_first_page_that_cannot_be_drawn_is_told_and_the_document_given(tmp_path: Path, monkeypatch) -> None:
    def none(_data: bytes, ending: str) -> bytes | str:
        return "one that cannot be" if ending == "pdf" else DRAWN(_data, ending)

    monkeypatch.setattr(first_page, "_small", none)
    monkeypatch.setattr(documents, "first_page", first_page.first_page)  # drawn anew, not remembered
    hull = small_hull(tmp_path / "hull")
    result = make_book(hull)
    told = [it for it in of_documents(result) if it.expected == first_page.EXPECTED]
    assert [(it.where.column, it.severity) for it in told] == [("file", Severity.NOTICE)] * 2
    assert {it.document: bool(it.picture) for it in result.book.documents if it.out} == {
        "ECL-25-1181": False, "VP-01": False, "DWG-300": True, "WS-041": True,
    }  # fmt: skip
    built(hull, tmp_path / "out")
    page = (tmp_path / "out/evidence/index.html").read_text("utf-8")
    assert page.count(", first page") == 2
    assert 'href="../documents/VP-01.pdf"' in page


def test_a_picture_that_is_exchanged_is_told(small: Path, tmp_path: Path) -> None:
    """Its sum is in the book's data, under the digest."""
    copy = shutil.copytree(small, tmp_path / "copy")
    one = copy / "documents/first-page/VP-01.pdf.jpg"
    one.write_bytes((copy / "documents/first-page/WS-041.png.jpg").read_bytes())
    found = verify(copy)
    assert "documents/first-page/VP-01.pdf.jpg" in {*found.changed}


def test_a_document_stands_in_the_row_that_it_supports(small: Path, tmp_path: Path) -> None:
    page = (small / "evidence/vibration-machinery.html").read_text("utf-8")
    assert '<th scope="col">Document</th>' in page
    row = re.search(r'<tr id="L3".*?</tr>', page, re.S)
    assert row is not None
    assert '<a href="../documents/DWG-300.png">DWG-300</a>' in row[0]
    other = re.search(r'<tr id="L2".*?</tr>', page, re.S)
    assert other is not None
    assert "DWG-300.png" not in other[0]
    assert row[0].count("<td") == other[0].count("<td")


def test_many_scans_beside_one_table_are_told_in_one_sentence(tmp_path: Path) -> None:
    """A sheet for every row: each row names its own, and the page does not begin with a list of them."""
    hull = small_hull(tmp_path / "hull")
    machines = [row.split(",")[0] for row in (HULL / "vibration/machinery.csv").read_text("utf-8").splitlines()[1:]]
    links = [f"S-{at},WS-041,,,,,,,,vibration/machinery.csv,{key}\n" for at, key in enumerate(machines)]
    (hull / "supports.csv").write_text(NO_LINKS + "".join(links), "utf-8")
    built(hull, tmp_path / "out")
    page = (tmp_path / "out/evidence/vibration-machinery.html").read_text("utf-8")
    assert f"{len(machines)} rows are supported by documents; each row names its own." in page
    assert " is supported by " not in page
    assert page.count('">WS-041</a></td>') == len(machines)


def test_a_scan_of_a_whole_table(tmp_path: Path) -> None:
    """One sheet holds all readings of a table: one link, and the page of the table says so."""
    hull = small_hull(tmp_path / "hull")
    link = "S-99,WS-041,,,,,,,,vibration/machinery.csv,whole table\n"
    (hull / "supports.csv").write_text((hull / "supports.csv").read_text("utf-8") + link, "utf-8")
    result = make_book(hull)
    (found,) = [it for paper in result.book.documents for it in paper.supports if it.at.line == 5]
    assert (found.words, found.row) == ("the whole of vibration/machinery.csv", Where("vibration/machinery.csv"))
    built(hull, tmp_path / "out")
    page = (tmp_path / "out/evidence/vibration-machinery.html").read_text("utf-8")
    assert 'The whole table is supported by <a href="../documents/WS-041.png">WS-041</a>' in page
    listed = (tmp_path / "out/evidence/index.html").read_text("utf-8")
    assert re.search(r'<a href="[^"]*vibration-machinery.html">the whole of vibration/machinery.csv</a>', listed)


@pytest.mark.parametrize("file", ["coating/gloss.csv", "coating/glos.csv"])
def test_a_whole_table_that_is_not_there(tmp_path: Path, file: str) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "supports.csv").write_text(f"{NO_LINKS}S-01,WS-041,,,,,,,,{file},whole table\n", "utf-8")
    (fault,) = [it for it in of_documents(make_book(hull)) if it.where.file == "supports.csv"]
    assert (fault.where.column, fault.expected) == ("table_file", "a table of this folder")


def test_links_of_the_demonstration_lead_to_what_they_name(made: Made) -> None:
    links = {(it.document, link.words): link for it in made.book.documents for link in it.supports}
    assert links["ECL-25-1181", "instrument TH-01"].instrument == "TH-01"
    row = links["WS-041", "row C-01; 1 of laminate/ply_counts.csv"].row
    assert row is not None
    assert (HULL / "laminate/ply_counts.csv").read_text("utf-8").splitlines()[(row.line or 0) - 1].startswith("C-01,L1")
    numbers = {
        it.number: it.finding for ch in made.book.chapters for c in ch.checks for it in (*c.governing, *c.references)
    }
    plies = links["WS-041", "LAM-04, place L1"].findings
    assert plies
    assert {(numbers[n].key.check, numbers[n].key.place) for n in plies} == {("LAM-04", "L1")}
    clause = links["VP-01", "clause 4.2"].findings
    assert {numbers[n].key.place for n in clause} == {"V4", "V5"}


def test_the_site_leads_from_what_is_supported_to_the_document(small: Path) -> None:
    assert 'href="documents/ECL-25-1181.pdf"' in (small / "instruments.html").read_text("utf-8")
    assert 'href="../documents/DWG-300.png"' in (small / "evidence/vibration-machinery.html").read_text("utf-8")
    index = (small / "evidence/index.html").read_text("utf-8")
    assert 'href="../documents/ECL-25-1181.pdf"' in index
    assert re.search(r"DWG-201 \(withheld\)", index)
    assert 'href="../XX-EXY00007H526-evidence.zip"' in index
    assert "The evidence package (ZIP)" in (small / "index.html").read_text("utf-8")


def test_the_table_of_documents_leads_to_each_file_that_is_given(small: Path) -> None:
    page = (small / "evidence/documents.html").read_text("utf-8")
    for file, document in (("documents/ECL-25-1181.pdf", "ECL-25-1181"), ("documents/VP-01.pdf", "VP-01")):
        assert f'<td><a href="../{file}">{file}</a></td>' in page
        assert f'<td><a href="../{file}">{document}</a></td>' in page
        assert (small / file).is_file()
    assert "<td>documents/DWG-201.png</td>" in page, "withheld"
    assert "<td>SPEC-07</td>" in page, "named without a file"
    records = (small / "evidence/vibration-records.html").read_text("utf-8")
    (package,) = small.glob("*-evidence.zip")
    assert f'vibration/raw/V1_R1.wav (<a href="../{package.name}" download>in the package</a>)' in records


def test_a_cell_that_reads_as_the_id_of_a_document_leads_nowhere(tmp_path: Path) -> None:
    """A document is called B, and revisions of others are B."""
    hull = small_hull(tmp_path / "hull")
    edit(hull / "documents.csv", "VP-01,", "B,")
    built(hull, tmp_path / "out")
    page = (tmp_path / "out/evidence/documents.html").read_text("utf-8")
    assert page.count('<td><a href="../documents/VP-01.pdf">B</a></td>') == 1
    assert "<td>B</td>" in page


# Faults


@pytest.mark.parametrize(
    ("file", "old", "new", "column", "words"),
    [
        (
            "documents.csv",
            "documents/ECL-25-1181.pdf",
            "documents/ECL-25-1182.pdf",
            "file",
            "which is not there (did you",
        ),
        ("documents.csv", "documents/ECL-25-1181.pdf", "../ECL-25-1181.pdf", "file", "a path that climbs out"),
        ("documents.csv", "documents/ECL-25-1181.pdf", "documents", "file", "'documents', which is a folder"),
        ("supports.csv", "TH-01,,", "TH-99,,", "instrument", "'TH-99', which is not there"),
        ("supports.csv", "TH-01; relative humidity", "TH-01; humidity", "row_key", "'TH-01; humidity', which is not"),
        ("supports.csv", "instruments.csv,", "instrument.csv,", "table_file", "'instrument.csv', which is not there"),
        ("supports.csv", "S-01,ECL-25-1181,TH-01,,,", "S-01,VP-01,,99.9,,", "clause", "'99.9', which is not there"),
        (
            "supports.csv",
            "S-01,ECL-25-1181,TH-01,,,",
            "S-01,VP-01,,,COA-99,",
            "check",
            "'COA-99', which is not there",
        ),
    ],
)
def test_a_link_that_leads_nowhere_is_a_fault_with_its_place(
    tmp_path: Path, file: str, old: str, new: str, column: str, words: str
) -> None:
    hull = small_hull(tmp_path / "hull")
    before = make_book(hull)
    edit(hull / file, old, new)
    made = make_book(hull)
    (fault,) = [fault for fault in of_documents(made) if fault not in of_documents(before) and words in fault.found]
    assert fault.where.column == column
    assert fault.where.line is not None
    assert fault in made.book.unusable
    assert findings(made) == findings(before)


WINDOWS = (
    ("23.00002", 3, ""),
    ("23.00001", 2, ""),
    ("23", None, "which is not there"),
    ("10.0", 4, ""),
    ("10", None, "in the lines 4 and 5"),
)


@pytest.mark.parametrize(("surface", "line", "words"), WINDOWS)
def test_a_row_is_found_by_its_exact_key(tmp_path: Path, surface: str, line: int | None, words: str) -> None:
    """Two temperatures that six digits would not tell apart, and one that stands in two rows."""
    hull = small_hull(tmp_path / "hull")
    given = (HULL / "coating/windows.csv").read_text("utf-8").splitlines()[0].split(",")
    heads = "product,next_product,surface [degC],shortest [h],longest [h],sheet,revision,clause"
    assert set(heads.split(",")) < set(given)
    numbers = ("23.00001", "23.00002", "10", *(() if line else ("10.0",)))
    rows = [f"EP-H,EP-H,{number},{7 + at},96,TDS,5,3" for at, number in enumerate(numbers)]
    (hull / "coating/windows.csv").write_text("\n".join((heads, *rows, "")), "utf-8")
    edit(
        hull / "supports.csv", "instruments.csv,TH-01; relative humidity", f"coating/windows.csv,EP-H; EP-H; {surface}"
    )
    made = make_book(hull)
    rows_named = [link.row for it in made.book.documents for link in it.supports if link.row]
    assert [row.line for row in rows_named if row.file == "coating/windows.csv"] == ([line] if line else [])
    told = [it.found for it in of_documents(made) if it.where.column == "row_key"]
    assert bool(told) is (line is None)
    assert all(words in it for it in told)


def test_a_link_from_an_unknown_document_is_told_once(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "supports.csv", "S-01,ECL-25-1181", "S-01,ECL-25-9999")
    (fault,) = [fault for fault in make_book(hull).book.faults if "ECL-25-9999" in fault.found]
    assert (fault.where.file, fault.where.line, fault.where.column) == ("supports.csv", 2, "document")
    assert fault.effect == "This link is not shown. No finding changes."


def test_a_document_that_supports_nothing_is_a_fault(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "supports.csv").write_text(NO_LINKS, "utf-8")
    faults = [fault for fault in of_documents(make_book(hull)) if "a row of supports.csv" in fault.expected]
    assert len(faults) == 5
    assert {(fault.where.column, fault.found) for fault in faults} == {("document", "none")}


def test_a_document_whose_links_lead_nowhere_is_told_with_their_lines(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    rows = NO_LINKS + "S-01,VP-01,TH-98,,,,,,,,\nS-02,VP-01,TH-99,,,,,,,,\n"
    (hull / "supports.csv").write_text(rows, "utf-8")
    told = [str(fault) for fault in of_documents(make_book(hull)) if "VP-01" in str(fault) or "leads" in fault.expected]
    line = 1 + next(at for at, row in enumerate((hull / "documents.csv").read_text().splitlines()) if "VP-01" in row)
    words = "found none: what supports.csv, lines 2 and 3, names cannot be found"
    assert [it for it in told if it.startswith(f"documents.csv:{line}") and words in it]


def test_a_link_from_a_document_whose_file_is_absent_or_not_named_is_a_fault(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "documents/ECL-25-1181.pdf").unlink()
    links = [at for at, row in enumerate((hull / "supports.csv").read_text().splitlines(), 1) if "ECL-25-1181" in row]
    for words in ("whose file 'documents/ECL-25-1181.pdf' is not shown: see documents.csv:", "names without a file"):
        faults = [it for it in of_documents(make_book(hull)) if it.where.file == "supports.csv"]
        assert [(it.where.line, it.where.column) for it in faults] == [(line, "document") for line in links]
        assert all(words in it.found for it in faults)
        (hull / "documents.csv").write_text(
            (hull / "documents.csv").read_text().replace("documents/ECL-25-1181.pdf", "")
        )


def test_a_document_that_stands_twice_is_told_as_that(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    rows = (hull / "documents.csv").read_text("utf-8").splitlines()
    first = next(at for at, row in enumerate(rows, 1) if row.startswith("ECL-25-1181"))
    (hull / "documents.csv").write_text("\n".join([*rows, rows[first - 1], ""]), "utf-8")
    told = [str(fault) for fault in of_documents(make_book(hull))]
    last = len(rows) + 1
    assert [it for it in told if it.startswith(f"documents.csv:{last}") and f"again, as in line {first}" in it]
    link = f"'ECL-25-1181', which cannot be used: see documents.csv, lines {first} and {last}"
    assert [it for it in told if it.startswith("supports.csv:2") and link in it]
    assert not [it for it in told if "did you mean" in it]


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("S-01,VP-01,,,,,,,,,", "instrument", "what it supports, in one of"),
        ("S-01,VP-01,TH-01,4.2,,,,,,,", "clause", "nothing, since this row names `instrument` already"),
        ("S-01,VP-01,,,,,,,,plan.csv,", "row_key", "the key of the row"),
        ("S-01,VP-01,TH-01,,,,,,,,I-1", "table_file", "the table that has the row"),
        ("S-01,VP-01,TH-01,,,,L1,,,,", "place", "nothing where no check is named"),
    ],
)
def test_each_cause_of_a_link_that_cannot_be_read_is_a_sentence_of_its_own(
    tmp_path: Path, row: str, column: str, words: str
) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "supports.csv").write_text(f"{NO_LINKS}{row}\n", "utf-8")
    (fault,) = [it for it in of_documents(make_book(hull)) if it.where.file == "supports.csv"]
    assert (fault.where.line, fault.where.column) == (2, column)
    assert words in fault.expected


def test_a_link_to_two_things_is_not_read(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "supports.csv", "S-01,ECL-25-1181,TH-01,,,", "S-01,ECL-25-1181,TH-01,,COA-01,")
    assert [fault for fault in of_documents(make_book(hull)) if "this row names `instrument`" in fault.expected]


def test_a_file_without_a_kind_is_not_read(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "documents.csv", "documents/VP-01.pdf,plan", "documents/VP-01.pdf,")
    assert [fault for fault in of_documents(make_book(hull)) if fault.where.column == "kind"]


def test_an_svg_drawing_is_refused_and_told_at_its_row(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    (hull / "documents/DWG-300.svg").write_bytes(svg)
    edit(hull / "documents.csv", "documents/DWG-300.png", "documents/DWG-300.svg")
    made = make_book(hull)
    (fault,) = [fault for fault in of_documents(made) if "SVG" in fault.found]
    assert fault.where.column == "file"
    assert not [name for name in made.pictures if "DWG-300" in name]


def test_a_picture_is_published_without_the_data_of_its_camera(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    picture, exif = Image.new("RGB", (40, 30), "white"), Image.Exif()
    exif[0x010F] = "Secret Camera"
    picture.save(hull / "documents/sheet.jpg", exif=exif)
    assert b"Secret Camera" in (hull / "documents/sheet.jpg").read_bytes()
    edit(hull / "documents.csv", "documents/DWG-300.png", "documents/sheet.jpg")
    made = make_book(hull)
    data = made.pictures["documents/sheet.jpg"]
    assert b"Secret Camera" not in data
    assert Image.open(io.BytesIO(data)).size == (40, 30)


def test_two_documents_of_one_name_do_not_meet_in_the_output(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "papers").mkdir()
    (hull / "papers/VP-01.pdf").write_bytes((hull / "documents/ECL-25-1181.pdf").read_bytes())
    edit(hull / "documents.csv", "documents/ECL-25-1181.pdf", "papers/VP-01.pdf")
    names = set(make_book(hull).pictures)
    assert {"documents/VP-01.pdf", "documents/papers-VP-01.pdf"} <= names
