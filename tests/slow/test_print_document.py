"""The printed demonstration book as a document: tags, alternative texts, outline, links, attachments, metadata."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest

from tests.end_to_end.builds import Build
from tests.page_texts import without_print
from tests.pdf_tags import Element, marked, of_kind, structure, words_of_marks
from tests.slow.book_pages import plain

# What it says of itself does not hang on the paper.
pytestmark = [pytest.mark.slow, pytest.mark.parametrize("printed", ["a4"], indirect=True)]


@pytest.fixture(scope="module")
def pdf(printed: Build) -> Iterator[pikepdf.Pdf]:
    (path,) = printed.out.glob("*-book.pdf")
    with pikepdf.open(path) as opened:
        yield opened


@pytest.fixture(scope="module")
def elements(pdf: pikepdf.Pdf) -> list[Element]:
    return structure(pdf)


@pytest.fixture(scope="module")
def numbers(pdf: pikepdf.Pdf) -> dict[tuple[int, int], int]:
    """The number of each page, from 1, by its object."""
    return {page.obj.objgen: number for number, page in enumerate(pdf.pages, 1)}


@pytest.fixture(scope="module")
def book(printed: Build) -> dict[str, Any]:
    content: dict[str, Any] = json.loads((printed.out / "book.json").read_bytes())
    return content


def test_every_figure_has_its_alternative_text(elements: list[Element], book: dict[str, Any]) -> None:
    figures = of_kind(elements, "/Figure")
    words = [str(figure.get("/Alt", "")).strip() for figure in figures]
    assert len(words) > 300
    assert [place for place, text in enumerate(words) if not text] == []
    charts = [chart for chapter in book["chapters"] for check in chapter["checks"] for chart in check["charts"]]
    assert len(charts) > 20
    assert {chart["description"] for chart in charts} <= set(words)
    assert len(book["photographs"]) > 3
    assert {photograph["alternative"] for photograph in book["photographs"]} <= set(words)


def test_strips_of_everything_that_did_not_pass_have_their_sentence(
    elements: list[Element], book: dict[str, Any]
) -> None:
    words = {str(figure.get("/Alt", "")) for figure in of_kind(elements, "/Figure")}
    assert len(book["exceptions"]) > 50
    assert [item["number"] for item in book["exceptions"] if item["sentence"] not in words] == []


def test_language_title_and_metadata(pdf: pikepdf.Pdf, book: dict[str, Any]) -> None:
    assert str(pdf.Root.Lang) == "en"
    assert bool(pdf.Root.MarkInfo.Marked)
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    assert str(pdf.docinfo["/Title"]) == book["title"]
    assert str(pdf.docinfo["/Author"]) == book["hull"]["builder"]
    with pdf.open_metadata() as metadata:
        assert metadata["dc:title"] == book["title"]


def test_no_conformance_is_claimed(pdf: pikepdf.Pdf) -> None:
    """Neither an archive form nor an accessible one: no validator has judged the file."""
    with pdf.open_metadata() as metadata:
        assert [name for name in metadata if "pdfaid" in name or "pdfuaid" in name or "/pdfa/" in name] == []
    packet = pdf.Root.Metadata.read_bytes()
    for claim in (b"pdfaid:part", b"pdfaid:conformance", b"pdfuaid"):
        assert claim not in packet


def test_the_outline_has_level_page_and_words_of_every_heading_1_and_2_in_order(
    elements: list[Element],
    numbers: dict[tuple[int, int], int],
    outline: list[tuple[int, int, str]],
    document: pypdfium2.PdfDocument,
) -> None:
    """The words are those that PDFium finds where the tags of the headings say that they are printed."""
    told: dict[int, dict[int, str]] = {}
    headings = []
    for element in of_kind(elements, "/H1", "/H2"):
        pieces = [(numbers[page], mark) for page, mark in marked(element)]
        for page in {page for page, _ in pieces} - set(told):
            shown = document[page - 1]
            told[page] = words_of_marks(shown)
            shown.close()
        words = plain("".join(told[page][mark] for page, mark in pieces))
        headings.append((int(str(element.S)[2:]) - 1, pieces[0][0], words))
    assert len(headings) > 100
    assert [(level, page, plain(title)) for level, page, title in outline] == headings


def test_headings_leave_out_no_level(elements: list[Element]) -> None:
    levels = [int(str(it.S)[2:]) for it in of_kind(elements, "/H1", "/H2", "/H3", "/H4", "/H5", "/H6")]
    assert levels[0] == 1
    assert [place for place, level in enumerate(levels[1:]) if level > levels[place] + 1] == []


def test_bookmarks_open_at_the_parts(pdf: pikepdf.Pdf) -> None:
    assert str(pdf.Root.PageMode) == "/UseOutlines"
    with pdf.open_outline() as outline:
        titles = [item.title for item in outline.root]
        parents = [item for item in outline.root if item.children]
    assert 10 < len(titles) < 30, "as many as a window shows"
    assert {item.is_closed for item in parents} == {True}


def _destinations(pdf: pikepdf.Pdf) -> dict[str, Any]:
    found, waiting = {}, [pdf.Root.Names.Dests]
    while waiting:
        node = waiting.pop()
        waiting.extend(node.get("/Kids", ()))
        names = list(node.get("/Names", ()))
        found.update({str(name): target for name, target in zip(names[::2], names[1::2], strict=True)})
    return found


def test_every_link_leads_to_a_place_in_the_book(pdf: pikepdf.Pdf, numbers: dict[tuple[int, int], int]) -> None:
    destinations = _destinations(pdf)
    links: Counter[str] = Counter()
    for page in pdf.pages:
        for annotation in page.get("/Annots", ()):
            if str(annotation.Subtype) == "/Link":
                assert "/A" not in annotation, "an action could lead out of the book"
                links[str(annotation.Dest)] += 1
    assert links.total() > 3000
    assert sorted(set(links) - set(destinations)) == []
    for name in links:
        target = destinations[name]
        array = target.D if isinstance(target, pikepdf.Dictionary) else target
        assert array[0].objgen in numbers, name


def test_every_finding_can_be_linked_to(pdf: pikepdf.Pdf, book: dict[str, Any]) -> None:
    checks = [check for chapter in book["chapters"] for check in chapter["checks"]]
    anchors = {item["anchor"] for check in checks for item in (*check["governing"], *check["references"])}
    linked = {str(it.Dest) for page in pdf.pages for it in page.get("/Annots", ()) if "/Dest" in it}
    assert len(anchors) > 1000
    assert sorted(anchors - linked) == []


def test_attachments_are_the_inputs_and_give_the_digest_of_the_cover(pdf: pikepdf.Pdf, printed: Build) -> None:
    """Whoever has the PDF alone can hash the list in it, and make it anew from the files in it."""
    attached = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}
    assert attached.pop("SHA256SUMS") == (printed.out / "SHA256SUMS").read_bytes()
    received = {name: data for name, data in attached.items() if name != "book.json"}
    assert len(received) > 20
    in_part = {name for name in received if name.startswith("evidence/in-part/")}
    assert len(in_part) == 1  # a column of one table is withheld
    for name, data in received.items():
        given = printed.out / name if name in in_part else printed.hull / name
        assert hashlib.sha256(data).digest() == hashlib.sha256(given.read_bytes()).digest(), name
    places = {name: name if name in {"book.json", *in_part} else f"evidence/received/{name}" for name in attached}
    lines = sorted((places[name], hashlib.sha256(data).hexdigest()) for name, data in attached.items())
    listed = "".join(f"{digest}  {name}\n" for name, digest in lines).encode()
    whole = (printed.out / "SHA256SUMS").read_bytes()
    assert listed == b"".join(line for line in whole.splitlines(keepends=True) if not line.startswith(b"#"))


def test_the_site_beside_the_printed_book_is_the_one_that_is_looked_at_in_a_browser(
    build: Build, printed: Build
) -> None:
    """The browser's site is made without the PDF: but for what leads to it or names its pages, all is the same."""
    names = {path.relative_to(build.out).as_posix() for path in build.out.rglob("*.html")}
    assert names == {path.relative_to(printed.out).as_posix() for path in printed.out.rglob("*.html")}
    assert len(names) > 60
    unlike = [name for name in sorted(names) if _without_print(printed.out / name) != _without_print(build.out / name)]
    assert unlike == []


def _without_print(path: Path) -> list[str]:
    """The lines of a page without those that lead to a printed file or to the listing, and without printed pages."""
    lines = without_print(path.read_text(encoding="utf-8")).splitlines()
    kept = [line for line in lines if ".pdf" not in line and "-listing.html" not in line]
    return [re.sub(r', <span class="unit">page \d+</span>|, page \d+(?=</)', "", line) for line in kept]


def test_cells_know_their_heads(elements: list[Element]) -> None:
    kinds = Counter(str(element.S) for element in elements)
    assert kinds["/Table"] > 100
    cells = of_kind(elements, "/TD")
    named = [cell for cell in cells if "/A" in cell and "/Headers" in cell.A]
    assert len(named) > 0.9 * len(cells)
