"""The printed book: one document, set by WeasyPrint from the same parts and pictures as the site."""

from __future__ import annotations

import gc
import hashlib
import io
import logging
import os
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from buildbook.core.book import Book
from buildbook.core.face import PLAIN, Face
from buildbook.core.published import JSON, SUMS
from buildbook.render.excerpts import excerpts, kept_whole, told
from buildbook.render.explained import Explained, words
from buildbook.render.figures import SIGNS, Figure
from buildbook.render.html import Facts, bodies, common
from buildbook.render.joined import joined
from buildbook.render.links import links
from buildbook.render.prose import anchor
from buildbook.render.short import ELSEWHERE, PAPER, counted_only, kinds, plan_in_short, used_by
from buildbook.render.svg import inked, untold
from buildbook.render.templates import environment, templates_dir
from buildbook.render.theme_sheet import PAGE_SHEET, page_css, theme_files, verdict_colours
from buildbook.render.units import spaces_apart, unbroken
from buildbook.render.worked import worked

MISSING = (
    "The PDF was not made, because a system library is missing ({reason}). On Debian or Ubuntu: "
    "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0. Everything else was written."
)
UNDATED = date(2000, 1, 1)
VARIANT = "pdf/a-3a"
IDENTIFIER = "urn:sha256:"  # before the digest, where the document says it of itself (Dublin Core: identifier)
RARE_COLLECTION = 200_000
CLAIMS = ("pdfaid:part", "pdfaid:conformance")
WORKING = '<section class="part working">'
INK = "#1d2733"
SHEETS = (
    ("theme.css", "theme"),
    ("shared.css", "parts"),
    ("verdict.css", "parts"),
    ("print.css", "print"),
    ("kept.css", "parts"),
)


class NotPossible(Exception):
    """The PDF step cannot run on this machine; the message says what to install."""


class NotClean(Exception):
    """The document asked for something that is not part of it, or could not be set without an error."""


@dataclass(frozen=True, slots=True)
class Enclosed:
    """One file attached to the PDF; `relationship` is Source for what the book was made from, Data for what it says."""

    name: str
    data: bytes
    description: str
    relationship: str


def book_pdf(
    html: str, content: Mapping[str, bytes], enclosed: tuple[Enclosed, ...], as_of: date | None, digest: str = ""
) -> bytes:
    """Set a document and attach files to it.

    Args:
        html: the whole document; it may name only the files in `content`.
        content: style sheets, fonts and pictures by name.
        enclosed: files to attach.
        as_of: the date of the book, given to the attachments; a fixed date where the folder names none.
        digest: the digest that the document says of itself, for programs that compare; empty for none.

    Returns:
        The bytes of the PDF; equal arguments give equal bytes with the same libraries.

    Raises:
        NotPossible: a system library is missing.
        NotClean: the document asks for anything else, or WeasyPrint reports an error.
    """
    with _libraries():
        from weasyprint import Attachment

    moment = datetime.combine(as_of or UNDATED, datetime.min.time(), UTC)
    attachments = [
        Attachment(
            string=file.data,
            name=file.name,
            description=file.description,
            relationship=file.relationship,
            created=moment,
            modified=moment,
        )
        for file in enclosed
    ]
    return _repaired(laid_out(html, content, pdf_variant=VARIANT, attachments=attachments), digest)


def laid_out(html: str, content: Mapping[str, bytes], **options: Any) -> bytes:
    """Set a document with the shipped fonts alone; `options` go to WeasyPrint. Raises as `book_pdf` does."""
    with _libraries():
        from weasyprint import HTML
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import FatalURLFetchingError
    from buildbook.render.fetcher import BASE, OnlyThese

    with _own_fonts_only(), _errors() as errors, _rare_collection(), warnings.catch_warnings():
        # WeasyPrint 70.0 leaves its colour profile open.
        warnings.filterwarnings("ignore", "unclosed file", ResourceWarning)
        try:
            document = HTML(string=html, base_url=BASE, url_fetcher=OnlyThese(content)).render(
                font_config=FontConfiguration(), **options
            )
            raw: bytes = document.write_pdf(**options)
        except FatalURLFetchingError as error:
            raise NotClean(str(error)) from None
    if errors:
        raise NotClean("; ".join(dict.fromkeys(errors)))
    return raw


def printed(book: Book, facts: Facts, made: Mapping[str, bytes]) -> bytes:
    """The PDF of a book.

    Args:
        book: the finished book.
        facts: digest, received files, name of the PDF.
        made: files of the output folder that are ready: book.json and the pictures.

    Returns:
        The bytes of the PDF.

    Raises:
        NotPossible: a system library is missing.
        NotClean: the document asks for something that is not part of the book.
    """
    link = links(book, printed=True)
    shelf = Shelf(facts.face.light.ink if facts.face.light else INK)
    html = (
        environment()
        .get_template("print/book.html.j2")
        .render(
            **common(book, facts, printed=True),
            link=link,
            explained=Explained(words(link, book.shown), link),
            needs=bodies(book, link),
            excerpts=excerpts(book, facts.face.paper),
            told=told,
            kept_whole=kept_whole,
            joined=joined,
            kinds=kinds,
            counted_only=counted_only,
            used_by=used_by,
            paper=PAPER,
            elsewhere=ELSEWHERE,
            plan_in_short=plan_in_short,
            worked=worked,
            src=shelf.put,
            sheets=[*(name for name, _ in SHEETS), PAGE_SHEET],
        )
    )
    content = {**print_styles(facts.face), **shelf.content}
    content |= {photograph.out: made[photograph.out] for photograph in book.photographs}
    content |= {document.picture: made[document.picture] for document in book.documents if document.picture}
    # the working is thousands of short lines of small type: there dates and ids may part, since each such piece costs
    told_whole, start, small = html.partition(WORKING)
    html = f"{spaces_apart(unbroken(told_whole, shown=book.shown))}{start}"
    html += unbroken(small, names=False, shown=book.shown)
    return book_pdf(html, content, _enclosed(book, facts, made), book.hull.as_of, facts.digest)


class Shelf:
    """The pictures that the templates really place: what the book may load is the list of what it shows.

    The words of a picture stand where it is placed, so equal drawings are one file, which is read once.
    """

    def __init__(self, ink: str) -> None:
        self.content: dict[str, bytes] = {}
        self._ink = ink

    def put(self, figure: Figure) -> str:
        """Keep a picture and give the name to load it by."""
        data = inked(untold(str(figure.svg)), self._ink).encode("utf-8")
        name = f"pictures/{hashlib.sha256(data).hexdigest()}.svg"
        self.content[name] = data
        return name


def _file(figure: Figure, colour: str) -> bytes:
    """A picture as a file of its own, where `currentColor` has no page around it to come from."""
    return inked(str(figure.svg), colour).encode("utf-8")


def print_styles(face: Face = PLAIN) -> dict[str, bytes]:
    """Style sheets, fonts, signs and logo of the printed book."""
    folder = templates_dir()
    made = {f"style/{name}": (folder / place / name).read_bytes() for name, place in SHEETS}
    made |= {**theme_files(face), f"style/{PAGE_SHEET}": page_css(face.paper).encode("utf-8")}
    colours, _ = verdict_colours()
    for verdict, figure in SIGNS.items():
        made[figure.name] = _file(figure, colours[anchor(verdict.value)])
    for path in sorted((folder / "theme" / "fonts").glob("*.woff2")):
        made[f"style/fonts/{path.name}"] = path.read_bytes()
    return made


def _enclosed(book: Book, facts: Facts, made: Mapping[str, bytes]) -> tuple[Enclosed, ...]:
    """The tables as received, or without what is withheld, the book as data, and the list whose digest is printed."""
    titles = {table.file: table.title for table in book.tables}
    tables = [
        Enclosed(name, data, f"{titles.get(name, name)}, as received", "Source")
        for name, data in sorted(facts.received.items())
    ]
    without = {it.file for it in book.withheld}
    for file, name in book.copies.items():
        what = "without a withheld column" if file in without else "as read from its workbook"
        tables.append(Enclosed(name, made[name], f"{titles[file]}, {what}", "Source"))
    data = Enclosed(JSON, made[JSON], "The whole book as data", "Data")
    sums = Enclosed(SUMS, made[SUMS], "The list whose digest is printed on the cover", "Data")
    return (*tables, data, sums)


def _repaired(raw: bytes, digest: str) -> bytes:
    """The same PDF, opening with its bookmarks, each attachment named once, its digest said, no claim to conform.

    WeasyPrint 70.0 names every attachment twice. The identification of an archive variant is a claim that only a
    validator may make: see docs/decisions/0009-what-the-pdf-marks.md.
    """
    import pikepdf

    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        if "/AF" in pdf.Root:
            once = {entry.objgen: entry for entry in pdf.Root.AF}
            pdf.Root.AF = pikepdf.Array(once.values())
        pdf.Root.PageMode = pikepdf.Name.UseOutlines
        with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
            for claim in CLAIMS:
                metadata.pop(claim, None)
            if digest:
                metadata["dc:identifier"] = f"{IDENTIFIER}{digest}"
        pdf.save(made, deterministic_id=True)
    return made.getvalue()


@contextmanager
def _libraries() -> Iterator[None]:
    """Load what WeasyPrint needs of the machine, with the shipped fonts alone."""
    try:
        with _own_fonts_only():
            yield
    except OSError as error:
        raise NotPossible(MISSING.format(reason=str(error).splitlines()[0][:120])) from None


@contextmanager
def _own_fonts_only() -> Iterator[None]:
    """Hide the fonts of the machine, so that every machine sets the same pages."""
    name = "FONTCONFIG_FILE"
    before = os.environ.get(name)
    os.environ[name] = str(templates_dir() / "print" / "fonts.conf")
    try:
        yield
    finally:
        if before is None:
            del os.environ[name]
        else:
            os.environ[name] = before


@contextmanager
def _errors() -> Iterator[list[str]]:
    """Collect what WeasyPrint reports as an error: it would go on and leave the thing out."""
    found: list[str] = []

    class Collect(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            found.append(record.getMessage())

    handler = Collect(logging.ERROR)
    logger = logging.getLogger("weasyprint")
    logger.addHandler(handler)
    try:
        yield found
    finally:
        logger.removeHandler(handler)


@contextmanager
def _rare_collection() -> Iterator[None]:
    """Collect garbage rarely while a document is set: about a sixth faster, two per cent more memory."""
    before = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(RARE_COLLECTION, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()
