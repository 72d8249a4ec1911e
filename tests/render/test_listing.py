"""The listing sheet: one file that needs no other, two printed pages, data that parse, bad news first in all."""

from __future__ import annotations

import hashlib
import io
import json
import posixpath
import re
from collections.abc import Mapping
from dataclasses import replace

import pikepdf
import pypdfium2
import pytest
import zxingcpp

from buildbook.core.book import Book
from buildbook.core.face import PLAIN
from buildbook.core.finding import Verdict
from buildbook.core.listing import Open, Told
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.render import listing_pdf as printing
from buildbook.render.html import Facts
from buildbook.render.listing_data import data, json_ld
from buildbook.render.package import assets, contents
from buildbook.render.pages import pages
from buildbook.render.pdf import NotPossible
from buildbook.render.qr import digest_figure
from buildbook.render.sheet import sheet_files
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.sheet import listing
from buildbook.sheet.words import words
from tests.render.site_reader import read_page, squeezed
from tests.sample_book import HOSTILE, received
from tests.sheet.small_sheet import PASSES, found, other, put_right, report, small_book

HTML, PDF, BOOK = (f"XX-EXY00007H526-{name}" for name in ("listing.html", "listing.pdf", "book.pdf"))
A4, LETTER = (210 / 25.4 * 72, 297 / 25.4 * 72), (8.5 * 72, 11 * 72)  # points; ISO 216 and ANSI/ASME Y14.1, from memory
MOST = 1_500_000


def with_sheet(book: Book) -> Book:
    return replace(book, listing=listing(book, words(templates_dir())))


@pytest.fixture(scope="module")
def book() -> Book:
    """One text with a near miss and something that failed beside it, a place and a hull whose names are markup."""
    bare = small_book(
        *PASSES,
        found("Z3", 300.0),
        found("Z4", 305.0, Verdict.CONDITIONAL_PASS, expanded=30.0),
        others=(other("COA-12", "dust inclusions", Verdict.FAIL, place="Z3"),),
        matters=(put_right("COA-12/1"),),
        reports=(report(check="COA-12", quantity="dust inclusions"),),
        closings=(("NCR-1", Verdict.PASS),),
    )
    places = tuple(replace(it, name=HOSTILE) if it.place == "Z3" else it for it in bare.places)
    drawings = (replace(bare.drawings[0], lines=places),)
    hull = replace(bare.hull, name="Synthetic</script><script>x()</script>")
    return with_sheet(replace(bare, drawings=drawings, hull=hull))


@pytest.fixture(scope="module")
def whole(book: Book) -> Mapping[str, bytes]:
    files, _, _, notices = contents(book, received())
    assert notices == ()
    return files


@pytest.fixture(scope="module")
def page(whole: Mapping[str, bytes]) -> str:
    return whole[HTML].decode("utf-8")


def texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [squeezed(one.get_textpage().get_text_range()) for one in document]
    finally:
        document.close()


def sizes(pdf: bytes) -> list[tuple[float, float]]:
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return [(float(one.mediabox[2]), float(one.mediabox[3])) for one in opened.pages]


def test_the_web_file_needs_no_other_file_and_runs_nothing(page: str) -> None:
    read = read_page(page)
    assert read.faults == []
    assert len(page.encode("utf-8")) < MOST
    assert read.all("script") == [{"type": "application/ld+json"}]
    assert [tag for tag, _ in read.tags if tag in ("link", "img", "iframe", "object", "embed", "video", "audio")] == []
    assert [a for _, attributes in read.tags for a in attributes if a.startswith("on") or a == "style"] == []
    policy = next(a["content"] for a in read.all("meta") if a.get("http-equiv") == "Content-Security-Policy")
    assert "default-src 'none'" in policy
    assert "script-src" not in policy, "the default forbids them all"
    style = page.partition("<style>")[2].partition("</style>")[0]
    assert set(re.findall(r"url\(\"?([a-z]+:?)", style)) == {"data:"}
    assert "@import" not in style
    assert {a for _, a in read.addresses if ":" in a} == set()


def test_its_links_lead_to_records_of_the_book_beside_it(page: str, whole: Mapping[str, bytes]) -> None:
    addresses = [address for _, address in read_page(page).addresses]
    assert "coating.html#COA-08-3" in addresses
    assert "exceptions.html" in addresses
    for address in addresses:
        name, _, anchor = address.partition("#")
        assert posixpath.normpath(name) in whole
        assert not anchor or anchor in read_page(whole[name].decode("utf-8")).ids


def test_only_the_plain_upright_face_is_in_it_whole_as_published(page: str) -> None:
    faces = re.findall(r"@font-face\s*\{[^}]*\}", page)
    assert len(faces) == 2
    assert all('"IBM Plex Sans"' in face and "italic" not in face for face in faces)
    import base64

    held = {base64.b64decode(found) for face in faces for found in re.findall(r"base64,([^\")]*)", face)}
    fonts = templates_dir() / "theme" / "fonts"
    assert held == {(fonts / f"IBMPlexSans-{name}.woff2").read_bytes() for name in ("Regular", "SemiBold")}


def test_exceptions_stand_before_summary_facts_and_sentences_in_both(
    page: str, whole: Mapping[str, bytes], book: Book
) -> None:
    told = [squeezed(text) for text in (read_page(page.partition("<body>")[2]).text, " ".join(texts(whole[PDF])))]
    for text in told:
        marks = [
            book.listing.exceptions,
            book.listing.summary[-1],
            f"{book.listing.facts[0].name} {book.listing.facts[0].value}",
            "Until when",
        ]
        where = [text.index(squeezed(mark)) for mark in marks]
        assert where == sorted(where)
        assert [words for words in book.listing.facts[0].told if squeezed(words) not in text] == []
        assert squeezed(book.listing.facts[0].record) in text
        assert "U is the expanded uncertainty" in text
        assert "It does not prove this sheet unaltered" in text
        for caution in (*book.limitations, *book.listing.validity, book.hull.demonstration):
            assert squeezed(caution) in text


def test_exceptions_are_set_no_smaller_than_facts() -> None:
    for name in ("listing.css", "print.css"):
        sheet = (templates_dir() / "listing" / name).read_text(encoding="utf-8")
        rules = re.findall(r"([^{}]+)\{([^}]*)\}", sheet)
        sized = [head.strip() for head, body in rules if re.search(r"font(-size)?:", body)]
        assert [head for head in sized if "exceptions" in head or "opened" in head or "tbody" in head] == []


def test_a_text_is_one_paragraph_of_plain_text(page: str, book: Book) -> None:
    (one,) = book.listing.sayings
    copied = re.findall(r'<p class="copy">(.*?)</p>', page, re.DOTALL)
    plain = [read_page(f"<p>{text}</p>").text for text in copied]
    assert one.text in plain
    assert " ".join(book.listing.summary) in plain
    assert {tag for text in copied for tag, _ in read_page(text).tags} <= {"span"}


def test_the_page_of_the_printed_book_is_the_one_that_shows_the_finding(
    page: str, whole: Mapping[str, bytes], book: Book
) -> None:
    numbers = pages(whole[BOOK])
    (one,) = book.listing.facts
    number = numbers[one.finding.replace("/", "-")]
    shown = texts(whole[BOOK])
    assert one.finding in shown[number - 1]
    assert f"page {number} of {len(shown)}" in shown[number - 1]
    assert f"{one.finding}, page {number}" in squeezed(read_page(page).text)
    assert f"page {number}" in texts(whole[PDF])[0]


def test_without_the_printed_book_no_page_is_named_and_nothing_is_printed(book: Book) -> None:
    made, *_ = contents(book, received(), pdf=False)
    assert PDF not in made
    assert ", page" not in read_page(made[HTML].decode("utf-8")).text
    assert pages(b"") == {}


def test_without_the_libraries_of_the_pdf_the_web_file_is_made(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(*_: object) -> bytes:
        raise NotPossible("no library")

    monkeypatch.setattr("buildbook.render.pdf.printed", missing)
    made, _, name, notices = contents(book, received())
    assert (name, notices) == ("", ("no library",))
    assert HTML in made
    assert PDF not in made
    assert PDF not in made["said.html"].decode("utf-8")


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("letter", LETTER)])
def test_the_printed_sheet_has_two_pages_of_the_paper_asked_for(
    book: Book, paper: str, size: tuple[float, float]
) -> None:
    styles = {**assets(templates_dir()), **theme_files(PLAIN)}
    facts = Facts("0" * 64, received(), BOOK)
    made = printing.listing_pdf(book, facts, {}, paper)
    assert [tuple(round(side, 1) for side in one) for one in sizes(made)] == [
        tuple(round(side, 1) for side in size)
    ] * 2
    assert printing.listing_pdf(book, facts, {}, paper) == made
    assert sheet_files(book, facts, "x", b"", styles)[0].keys() == {"x.html"}


def test_a_sheet_with_long_names_is_set_smaller_and_one_that_never_fits_is_told(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    facts = Facts("0" * 64, received(), BOOK)
    sheet = book.listing
    many = replace(sheet, facts=sheet.sayings * 8, sayings=sheet.sayings * 8)
    matter = Told("word " * 250, "short", (), sheet.facts[0].finding)
    long = replace(book, listing=replace(many, opened=(Open("open today", 1, 1, (matter,)),)))
    made = printing.listing_pdf(long, facts, {})
    assert len(sizes(made)) == 2
    assert sum(text.count(squeezed(sheet.exceptions)) for text in texts(made)) >= 1
    never = replace(book, listing=replace(sheet, summary=("word " * 9000,)))
    monkeypatch.setattr(printing, "SETTINGS", printing.SETTINGS[-1:])
    with pytest.raises(printing.TooLong):
        printing.listing_pdf(never, facts, {})
    monkeypatch.setattr("buildbook.render.sheet.pages", lambda _: {})
    made_files, notices = sheet_files(never, facts, "x", b"%PDF", {**assets(templates_dir()), **theme_files(PLAIN)})
    assert list(made_files) == ["x.html"]
    assert "does not fit on two pages" in notices[0]


def test_the_square_holds_the_digest_as_another_program_reads_it(whole: Mapping[str, bytes]) -> None:
    digest = hashlib.sha256(whole["SHA256SUMS"]).hexdigest()
    document = pypdfium2.PdfDocument(whole[PDF])
    try:
        read = [code.text for one in document for code in zxingcpp.read_barcodes(one.render(scale=4).to_pil())]
    finally:
        document.close()
    assert read == [digest]
    assert digest in squeezed(read_page(whole[HTML].decode("utf-8")).text)
    assert str(digest_figure(digest).svg) in whole[HTML].decode("utf-8")
    assert digest_figure(digest) == digest_figure(digest)


def test_the_sheet_is_listed_for_release_and_is_no_part_of_the_digest_it_prints(whole: Mapping[str, bytes]) -> None:
    for name in (HTML, PDF):
        line = f"{hashlib.sha256(whole[name]).hexdigest()}  {name}\n".encode()
        assert line in whole["SHA256SUMS.release"]
        assert name.encode() not in whole["SHA256SUMS"]


def test_data_for_programs_parse_and_hold_measured_facts_only(page: str, book: Book) -> None:
    block = page.partition('<script type="application/ld+json">')[2].partition("</script>")[0]
    read = json.loads(block)
    assert read == data(book)
    assert read["@context"] == "https://schema.org"
    assert read["@type"] == "Vehicle"
    assert read["name"] == book.hull.name
    assert book.listing.exceptions in read["description"]
    assert "not a survey" in read["description"]
    (one,) = book.listing.sayings
    (said,) = read["additionalProperty"]
    assert said == {
        "@type": "PropertyValue",
        "propertyID": one.finding,
        "name": one.name,
        "value": 300.0,
        "unitText": "µm",
        "unitCode": "4H",
        "description": one.text,
        "valueReference": [
            {
                "@type": "PropertyValue",
                "name": "expanded uncertainty",
                "value": 10.0,
                "unitText": "µm",
                "unitCode": "4H",
            },
            {"@type": "PropertyValue", "name": "coverage factor k", "value": 2.0},
        ],
    }


def test_a_bound_is_no_value_and_few_readings_tell_their_own_coverage() -> None:
    few = Quantity.combined(320.0, "um", (Part("scatter", 3.0, 2),))
    (told,) = data(with_sheet(small_book(found(measured=few))))["additionalProperty"]
    # Student's t for 95.45 % and 2 degrees of freedom: 4.53 (JCGM 100:2008, table G.2, from memory).
    assert {it["name"]: it["value"] for it in told["valueReference"]}["coverage factor k"] == 4.53
    assert {it["name"]: it["value"] for it in told["valueReference"]}["degrees of freedom"] == 2
    bound = Quantity(300.0, "um", 10.0, kind=Kind.AT_LEAST)
    (told,) = data(with_sheet(small_book(found(measured=bound))))["additionalProperty"]
    assert told["minValue"] == 300.0
    assert {"value", "maxValue", "valueReference"} & told.keys() == set()


def test_every_matter_stands_on_both_sheets_with_its_record_and_page(
    page: str, whole: Mapping[str, bytes], book: Book
) -> None:
    numbers = pages(whole[BOOK])
    for text in (squeezed(read_page(page).text), " ".join(texts(whole[PDF]))):
        for group in book.listing.opened:
            for one in group.told:
                number = numbers[one.finding.replace("/", "-")]
                assert f"{one.finding}, page {number}" in text


def test_many_matters_are_told_in_short_and_none_is_left_out(book: Book) -> None:
    told = tuple(Told("word " * 40, f"film {number}", (f"class {number}",), f"COA-08/{number}") for number in range(60))
    many = replace(book, listing=replace(book.listing, opened=(Open("open today", 60, 60, told),)))
    made = printing.listing_pdf(many, Facts("0" * 64, received(), BOOK), {})
    assert len(sizes(made)) == 2
    text = " ".join(texts(made))
    assert [n for n in range(60) if f"film {n}, also class {n}" not in text] == []


def test_nothing_in_the_data_can_end_their_element(book: Book) -> None:
    text = str(json_ld(book))
    assert "</script" not in text
    assert "<" not in text
    assert json.loads(text)["name"] == "Synthetic</script><script>x()</script>"


def test_the_site_shows_what_may_be_said_and_why_the_rest_may_not(whole: Mapping[str, bytes], book: Book) -> None:
    said = read_page(whole["said.html"].decode("utf-8"))
    text = squeezed(said.text)
    assert squeezed(book.listing.exceptions) in text
    assert squeezed(book.listing.sayings[0].text) in text
    assert book.listing.withheld != ()
    for one in book.listing.withheld:
        assert squeezed(f"{one.check} {one.quantity}") in text
        assert squeezed(" ".join(one.reasons)) in text
    addresses = [address for _, address in said.addresses]
    assert {HTML, PDF, "coating.html#COA-08-3", "register.html#REG-04"} <= set(addresses)
    first = [address for _, address in read_page(whole["index.html"].decode("utf-8")).addresses]
    assert first.count("said.html") >= 2
    assert {HTML, PDF} <= set(first)


def test_the_sheet_is_in_the_data_of_the_book(whole: Mapping[str, bytes], book: Book) -> None:
    read = json.loads(whole["book.json"])["listing"]
    assert read["exceptions"] == book.listing.exceptions
    assert [one["text"] for one in read["sayings"]] == [one.text for one in book.listing.sayings]
    assert len(read["withheld"]) == len(book.listing.withheld)


def test_a_book_with_nothing_to_say_has_a_sheet_that_says_so(book: Book) -> None:
    empty = with_sheet(small_book())
    made, *_ = contents(empty, received(), pdf=False)
    text = squeezed(read_page(made[HTML].decode("utf-8")).text)
    assert "There are none." in text
    assert squeezed(empty.listing.exceptions) in text
    printed = printing.listing_pdf(empty, Facts("0" * 64, received(), ""), {})
    assert len(sizes(printed)) == 2
    assert "additionalProperty" in data(book)
    assert "additionalProperty" not in data(empty)
