"""The printed book, read by two programs that did not write it: PDFium (by pypdfium2) and qpdf (by pikepdf)."""

from __future__ import annotations

import hashlib
import io
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

import pikepdf
import pypdfium2
import pytest

from buildbook.core.book import Book
from buildbook.core.table_view import Cell, Row
from buildbook.render.content import opening
from buildbook.render.excerpts import excerpts
from buildbook.render.links import links
from buildbook.render.package import contents
from buildbook.render.pdf import SHEETS, Enclosed, NotClean, book_pdf, print_styles
from buildbook.render.short import kinds
from buildbook.render.templates import fonts_dir
from tests.pdf_tags import structure
from tests.render.site_reader import read_page, squeezed
from tests.sample_book import CLIMATE, HOSTILE, LONG_ROWS, received

NAME = "XX-EXY00007H526-book.pdf"
MANY = 16  # columns of long words: more than a page is wide for
FAMILIES = ("IBM-Plex-Sans", "IBM-Plex-Serif")


@pytest.fixture(scope="module")
def pdf(made: Mapping[str, bytes]) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(made[NAME])) as opened:
        yield opened


@pytest.fixture(scope="module")
def texts(made: Mapping[str, bytes]) -> list[str]:
    """The text of every page."""
    document = pypdfium2.PdfDocument(made[NAME])
    try:
        return [squeezed(page.get_textpage().get_text_range()) for page in document]
    finally:
        document.close()


def test_language_title_and_tags(pdf: pikepdf.Pdf, sample_book: Book) -> None:
    assert str(pdf.Root.Lang) == "en"
    assert bool(pdf.Root.MarkInfo.Marked)
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    assert str(pdf.docinfo["/Title"]) == sample_book.title
    kinds = Counter(str(element.S) for element in structure(pdf))
    assert {"/Document", "/H1", "/H2", "/H3", "/P", "/Table", "/TR", "/TH", "/TD", "/Figure", "/Link"} <= set(kinds)


def test_nothing_in_it_depends_on_when_or_where_it_was_made(pdf: pikepdf.Pdf, made: Mapping[str, bytes]) -> None:
    assert "/CreationDate" not in pdf.docinfo
    assert "/ModDate" not in pdf.docinfo
    for name in (b"/work/", b"/tmp/", b"/root/", b"file:"):
        assert name not in made[NAME]


def test_every_figure_has_words(pdf: pikepdf.Pdf) -> None:
    figures = [element for element in structure(pdf) if element.S == "/Figure"]
    assert len(figures) > 20  # passes with nothing to be read beside them are told in short lines, without a strip
    assert [figure for figure in figures if not str(figure.get("/Alt", ""))] == []


def test_cells_know_their_heads(pdf: pikepdf.Pdf) -> None:
    cells = [element for element in structure(pdf) if element.S == "/TD"]
    assert len(cells) > 76
    named = [cell for cell in cells if "/A" in cell and "/Headers" in cell.A]
    assert len(named) > 0.9 * len(cells)


def test_outline_is_that_of_the_headings(pdf: pikepdf.Pdf, pages: Mapping[str, str]) -> None:
    with pdf.open_outline() as outline:
        titles = [item.title for item in outline.root]
        chapter = next(item for item in outline.root if item.title == "Preparation and paint")
        checks = [item.title for item in chapter.children]
    for wanted in (
        "In short",
        "Contents",
        "Exceptions and gaps",
        "Preparation and paint",
        "Identity, plan and exceptions",
    ):
        assert wanted in titles
    assert titles.index("Exceptions and gaps") < titles.index("Preparation and paint")
    assert "COA-04 Was the surface dry when the paint went on?" in checks
    for name in ("coverage", "instruments", "how-judged", "glossary", "sources", "verify"):
        heading = re.search(r"<h1[^>]*>(.*?)</h1>", pages[f"{name}.html"])
        assert heading is not None
        assert heading.group(1) in titles


def test_shipped_fonts_only_all_embedded_and_with_a_map_to_text(pdf: pikepdf.Pdf) -> None:
    fonts = [obj for obj in pdf.objects if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/Font"]
    names = {str(font.BaseFont) for font in fonts}
    assert names
    assert {name for name in names if not any(family in name for family in FAMILIES)} == set()
    for font in fonts:
        if font.Subtype == "/Type0":
            assert "/ToUnicode" in font
            assert {"/FontFile2", "/FontFile3"} & set(font.DescendantFonts[0].FontDescriptor.keys())


def test_attachments_are_the_inputs_to_the_byte_with_fixed_dates(pdf: pikepdf.Pdf, made: Mapping[str, bytes]) -> None:
    tables = {name: data for name, data in received().items() if not name.startswith("photographs/")}
    inside = {name: pdf.attachments[name] for name in pdf.attachments}
    own = {name: made[name] for name in ("book.json", "SHA256SUMS")}
    assert set(inside) == {*tables, *own}
    for name, data in {**tables, **own}.items():
        file = inside[name].get_file()
        assert hashlib.sha256(file.read_bytes()).digest() == hashlib.sha256(data).digest()
        dates = {str(file.obj.Params[key]) for key in ("/CreationDate", "/ModDate")}
        assert {text[:10] for text in dates} == {"D:20260630"}
        relationship = str(inside[name].obj.AFRelationship)
        assert relationship == ("/Data" if name in own else "/Source")
        assert inside[name].description


def test_each_attachment_is_named_once(pdf: pikepdf.Pdf) -> None:
    named = [entry.objgen for entry in pdf.Root.AF]
    assert len(named) == len(set(named)) == len(pdf.attachments)


def test_no_conformance_is_claimed_neither_marked_nor_printed(pdf: pikepdf.Pdf, texts: list[str]) -> None:
    """It is made in the form of an archive file; whether it conforms is for a validator to say."""
    assert str(pdf.Root.OutputIntents[0].S) == "/GTS_PDFA1"
    with pdf.open_metadata() as metadata:
        assert "dc:title" in metadata
        assert [name for name in metadata if "pdfaid" in name or "pdfuaid" in name or "/pdfa/" in name] == []
    assert b"pdfaid:part" not in pdf.Root.Metadata.read_bytes()
    assert [text for text in texts if "PDF/A" in text or "PDF/UA" in text] == []


def test_it_opens_with_the_bookmarks_of_the_parts_alone(pdf: pikepdf.Pdf) -> None:
    assert str(pdf.Root.PageMode) == "/UseOutlines"
    with pdf.open_outline() as outline:
        parents = [item for item in outline.root if item.children]
        assert len(parents) > 5
        assert {item.is_closed for item in parents} == {True}


def test_every_page_has_number_label_and_digest(texts: list[str], made: Mapping[str, bytes], sample_book: Book) -> None:
    digest = hashlib.sha256(made["SHA256SUMS"]).hexdigest()
    assert digest in texts[0]
    for number, text in enumerate(texts, 1):
        assert sample_book.hull.demonstration in text, number
        if number > 1:
            assert f"page {number} of {len(texts)}" in text
            assert f"Digest {digest[:12]}" in text
            assert f"Hull {sample_book.hull.number}" in text


def test_contents_name_the_pages_where_things_stand(texts: list[str]) -> None:
    contents = next(text for text in texts if text.count(". . . .") > 10)
    for title in ("Exceptions and gaps", "Preparation and paint", "How readings are judged", "Working and rows"):
        place = re.search(re.escape(title) + r"[ .]+(\d+)", contents)
        assert place is not None, title
        assert title in texts[int(place.group(1)) - 1], title


def test_chapters_begin_on_a_page_of_their_own(texts: list[str], sample_book: Book) -> None:
    # The running heads stand before or after the text of a page, depending on the order in which they were drawn.
    for chapter in sample_book.chapters:
        beginnings = [text for text in texts if chapter.answer in text and "What this means aboard" in text]
        assert len(beginnings) == 1
        assert beginnings[0].index(chapter.title) < 120


def test_html_pdf_and_json_show_the_same_findings(
    texts: list[str], pages: Mapping[str, str], sample_book: Book, made: Mapping[str, bytes]
) -> None:
    whole = " ".join(_bodies(texts, sample_book, made))
    link = links(sample_book, printed=True)
    on_site = {
        shown.number: shown
        for chapter in sample_book.chapters
        for shown in read_page(pages[f"{chapter.key}.html"]).findings
    }
    sections = [it for chapter in sample_book.chapters for it in opening(sample_book, chapter, link).sections]
    for section in sections:
        for line in section.lines:
            item = line.item
            between = " required: " if item.finding.measured is None else " "
            words = f"{item.number} {item.subject} {item.value}{between}{item.limit}"
            assert squeezed(words) in whole
            assert squeezed(on_site[item.number].value) in squeezed(words)
        for item in section.check.references:
            assert squeezed(f"{item.number} reference beside it {item.value} {item.limit}") in whole
        for kind in kinds(section.rest):
            assert kind.references == ()
            head = re.escape(squeezed(f"{kind.quantity}, {kind.limit.limit}"))
            assert not kind.headed or re.search(rf"{head}[ a]*: all pass", whole)  # the letter says who set the limit
            for one in kind.told:
                assert squeezed(f"{one.items[0].number} {one.where} {one.value}") in whole
                assert squeezed(on_site[one.items[0].number].value) in squeezed(one.value)
    printed = set(re.findall(r"\b[A-Z]{3}-\d\d/\d+", whole))
    assert printed == set(on_site)


def test_only_plain_passes_are_told_in_short_and_none_is_lost(sample_book: Book) -> None:
    for printed in (True, False):
        made = opening(sample_book, sample_book.chapters[0], links(sample_book, printed=printed))
        for section in made.sections:
            numbers = [line.item.number for line in (*section.lines, *section.rest)]
            assert sorted(numbers) == sorted(item.number for item in section.check.governing)
        short = [line for section in made.sections for line in section.rest]
        assert len(short) > 20
        if printed:
            assert {line.item.verdict for line in short} == {"pass"}
            assert not [line for line in short if line.notes or line.beside or line.item.finding.key.attempt > 1]
            assert not {line.item for line in short} & {check.nearest for check in sample_book.chapters[0].checks}


def test_few_passes_keep_their_strips_in_print(sample_book: Book) -> None:
    made = opening(sample_book, sample_book.chapters[0], links(sample_book, printed=True))
    (climate,) = [section for section in made.sections if section.check.id == "COA-04"]
    assert climate.rest == ()


def test_a_chapter_tells_a_report_in_short_and_says_on_which_page_it_stands_whole(texts: list[str]) -> None:
    (whole,) = [n for n, text in enumerate(texts, 1) if "Report NCR-01: closed" in text]
    (short,) = [text for text in texts if "Report NCR-01, closed." in text]
    assert f"The whole report: page {whole}" in short


def _bodies(texts: list[str], book: Book, made: Mapping[str, bytes]) -> list[str]:
    """The text of the pages without running heads and feet."""
    short = hashlib.sha256(made["SHA256SUMS"]).hexdigest()[:12]
    edges = rf"Hull {book.hull.number}|Digest {short}|{re.escape(book.hull.demonstration)}|page \d+ of \d+"
    return [squeezed(re.sub(edges, " ", text)) for text in texts]


def test_long_table_is_cut_and_says_what_is_printed_of_it(texts: list[str], sample_book: Book) -> None:
    whole = " ".join(texts)
    (excerpt,) = [excerpt for excerpt in excerpts(sample_book) if excerpt.table.file == CLIMATE]
    behind, first = len(excerpt.behind), len(excerpt.first)
    assert behind > 0
    assert (
        f"{CLIMATE}, {LONG_ROWS} rows: the {behind} rows behind what did not pass, then the first {first} of the other "
        f"{LONG_ROWS - behind}; all of them are attached and on the site." in whole
    )
    printed = whole.split("Climate log", 1)[1]
    assert excerpt.behind[0].cells[0] in printed
    left = excerpt.table.rows[-1]
    assert left not in excerpt.rows
    assert f"{left.line} {left.cells[0]}" not in whole


def test_a_note_with_markup_is_printed_as_text(texts: list[str]) -> None:
    assert squeezed(HOSTILE) in " ".join(texts)


def test_links_lead_to_places_in_the_book_only(pdf: pikepdf.Pdf) -> None:
    addresses = set()
    for page in pdf.pages:
        for annotation in page.get("/Annots", ()):
            action = annotation.get("/A")
            if action is not None and "/URI" in action:
                addresses.add(str(action.URI))
    assert addresses == set()


@pytest.mark.parametrize("level", [2, 3, 4])
def test_no_heading_stands_at_the_foot_of_a_page(level: int) -> None:
    """Sixty headings at every height of a page, in the styles of the book."""
    sheets = "".join(f'<link rel="stylesheet" href="style/{name}">' for name, _ in SHEETS)
    parts = "".join(
        f"{'<p>filler</p>' * (n % 7)}<h{level}>Heading {n} ends</h{level}><p>After {n} begins.</p>"
        for n in range(1, 121)
    )
    html = f'<html lang="en"><head><title>t</title>{sheets}</head><body><h1>One</h1>{parts}</body></html>'
    document = pypdfium2.PdfDocument(book_pdf(html, print_styles(), (), None))
    try:
        texts = [squeezed(page.get_textpage().get_text_range()) for page in document]
    finally:
        document.close()
    assert len(texts) > 4
    for text in texts:
        headings, followers = re.findall(r"Heading (\d+) ends", text), re.findall(r"After (\d+) begins", text)
        assert headings == followers


FONT = '<style>@font-face{font-family:F;src:url("F.woff2")} body{font-family:F}</style>'


def plain_pdf(body: str, **content: bytes) -> bytes:
    font = (fonts_dir() / "IBMPlexSans-Regular.woff2").read_bytes()
    files = {"F.woff2": font, **content}
    return book_pdf(f'<html lang="en"><head><title>t</title>{FONT}</head>{body}', files, (), None)


def test_an_error_while_setting_stops_the_build() -> None:
    with pytest.raises(NotClean, match="No anchor #nowhere"):
        plain_pdf('<p><a href="#nowhere">x</a>')


def test_attachments_without_a_date_of_the_book_get_a_fixed_one() -> None:
    font = (fonts_dir() / "IBMPlexSans-Regular.woff2").read_bytes()
    enclosed = (Enclosed("a.csv", b"x", "a", "Source"),)
    html = f'<html lang="en"><head><title>t</title>{FONT}</head><p>x'
    for as_of, wanted in ((None, "D:20000101"), (date(2026, 1, 2), "D:20260102")):
        made = book_pdf(html, {"F.woff2": font}, enclosed, as_of)
        assert made == book_pdf(html, {"F.woff2": font}, enclosed, as_of)
        with pikepdf.open(io.BytesIO(made)) as opened:
            assert str(opened.attachments["a.csv"].get_file().obj.Params["/ModDate"]).startswith(wanted)


def test_fonts_of_the_machine_are_hidden_and_the_setting_is_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    monkeypatch.setenv("FONTCONFIG_FILE", "/somewhere/else")
    # Letters that no shipped font has: the PDF must not reach for another font.
    with pikepdf.open(io.BytesIO(plain_pdf("<p>漢字"))) as opened:
        fonts = [obj for obj in opened.objects if isinstance(obj, pikepdf.Dictionary) and "/BaseFont" in obj]
        assert len(fonts) > 0
        assert {str(font.BaseFont)[8:] for font in fonts} <= {"F", "IBM-Plex-Sans"}
    assert os.environ["FONTCONFIG_FILE"] == "/somewhere/else"


@pytest.mark.slow
def test_a_table_broader_than_a_page_is_told_cell_by_cell_and_nothing_is_cut_off(sample_book: Book) -> None:
    heads = tuple(Cell(f"column_{n}", f"column_{n}", "", "synthetic") for n in range(1, MANY + 9))
    cells = tuple("" if n == 3 else f"cell number {n} of the row" for n in range(1, MANY + 9))
    table = replace(sample_book.tables[1], columns=heads, rows=(Row(2, cells, "one reason"),))
    made, *_ = contents(replace(sample_book, tables=(table,)), received())
    document = pypdfium2.PdfDocument(made[NAME])
    try:
        texts = [squeezed(page.get_textpage().get_text_range()) for page in document]
        page = document[next(i for i, text in enumerate(texts) if "column_1 cell number 1 of the row" in text)]
        told = squeezed(page.get_textpage().get_text_range())
        width = page.get_width()
        boxes = [page.get_textpage().get_charbox(i) for i in range(page.get_textpage().count_chars())]
    finally:
        document.close()
    assert f"column_{MANY + 8} cell number {MANY + 8} of the row" in told
    assert "column_3" not in told.split("Film thickness", 1)[1]
    assert "Not used: one reason" in told
    assert max(right for _, _, right, _ in boxes) < width


def test_nothing_printed_lies_outside_its_page(made: Mapping[str, bytes]) -> None:
    document = pypdfium2.PdfDocument(made[NAME])
    try:
        for number, page in enumerate(document, 1):
            text = page.get_textpage()
            boxes = [text.get_charbox(i) for i in range(text.count_chars())]
            assert min(left for left, *_ in boxes) >= 0, number
            assert max(right for _, _, right, _ in boxes) <= page.get_width() - 10, number
    finally:
        document.close()
