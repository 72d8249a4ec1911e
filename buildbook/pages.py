"""The pages of a book, made a second time from its data and from what lies in its folder."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from buildbook.core.book import Book
from buildbook.core.face import PLAIN, Face
from buildbook.core.fault import Fault
from buildbook.core.published import OWN_FACE, RECEIVED
from buildbook.core.where import Where
from buildbook.exports import same_version
from buildbook.face.refusal import EFFECT, FaceRefused
from buildbook.face.theme import published_theme
from buildbook.face.theme_file import THEME_FILE
from buildbook.parcel.first_text import first_text
from buildbook.parcel.follows import UNASKED
from buildbook.readers.refused import Refused
from buildbook.render.html import Facts, site
from buildbook.render.jsonfile import schema_json
from buildbook.render.listing import listing_html
from buildbook.render.names import file_name, package_name
from buildbook.render.package import MARKER_TEXT, SCHEMA, assets
from buildbook.render.pages import NotPrinted
from buildbook.render.pages import pages as printed_pages
from buildbook.render.place import MARKER
from buildbook.render.stamp import DRAFT, VERIFY, stamped, with_steps
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.restated.book import restated
from buildbook.seal.holder import Unreadable
from buildbook.seal.made_again import TEXTS, Site

THEME = f"{OWN_FACE}{THEME_FILE}"


def differing_pages(given: Site) -> Iterator[tuple[str, str]]:
    """The pages, style sheets and the script of a folder that do not follow from its book, and what does not belong.

    Photographs, first pages of documents, the printed book and the printed listing sheet are taken as they are. What a
    theme of the builder's brings is read as `build` reads it, and the style sheet is made from it: only what it names
    belongs.

    Yields each name with the first thing that differs, empty where the file is missing, one page at a time. Raises
    NotCompared where a program of another version made the book, Unreadable where the printed book is no PDF,
    ValueError where the data are none of a book.
    """
    from jinja2 import TemplateError

    book = same_version(given.book)
    face, refused = _face(given)
    if refused:
        yield THEME, refused
    known = set(_taken(book, given))
    try:
        for name, text in _made(book, given, face):
            known.add(name)
            if name not in given.names:
                yield name, ""
            elif why := first_text(_signed(text, name, given), given.read(name)):
                yield name, why
    except TemplateError as error:
        raise ValueError(str(error)) from None
    yield from ((name, UNASKED) for name in sorted(set(given.names) - known))


def _signed(data: bytes, name: str, given: Site) -> bytes:
    """A file as it stands in a book that somebody signed."""
    if given.stamp == DRAFT or not name.endswith(".html"):
        return data
    page = stamped(data, name, given.stamp)
    return with_steps(page, given.stamp) if name == VERIFY else page


def _made(book: Book, given: Site, face: Face) -> Iterator[tuple[str, bytes]]:
    """Every file that can be made a second time, by its name."""
    book = restated(book)
    stem = file_name(book.hull.number)
    pdf, sheet, printed = f"{stem}-book.pdf", f"{stem}-listing.html", f"{stem}-listing.pdf"
    parcel = package_name(book.hull.number)
    received = {name.removeprefix(RECEIVED): b"" for name in given.listed if name.startswith(RECEIVED)}
    received |= {name.removeprefix(RECEIVED): given.read(name) for name in TEXTS if name in given.listed}
    facts = Facts(
        given.digest,
        received,
        pdf if pdf in given.names else "",
        face,
        parcel=parcel if parcel in given.names else "",
    )
    styles = {**assets(templates_dir()), **theme_files(face)}
    yield from styles.items()
    yield MARKER, MARKER_TEXT.encode("utf-8")
    yield SCHEMA, schema_json()
    numbers = _numbers(pdf, given) if facts.pdf else {}
    yield sheet, listing_html(book, facts, numbers, styles).encode("utf-8")
    sheets = (sheet, *([printed] if printed in given.names else ()))
    facts = Facts(facts.digest, facts.received, facts.pdf, face, sheets, facts.parcel)
    for name, text in site(book, facts, lambda _: None):
        yield name, text.encode("utf-8")


def _numbers(pdf: str, given: Site) -> Mapping[str, int]:
    """On which printed page findings stand."""
    try:
        return printed_pages(given.read(pdf))
    except NotPrinted as why:
        raise Unreadable(str(why), pdf) from None


@dataclass(frozen=True, slots=True)
class _OwnFiles:
    """What lies below `style/own/`, as a theme is read."""

    given: Site

    def read(self, name: str, most: int) -> bytes:
        """The bytes of a file of at most `most` bytes; `Refused` for anything else."""
        full = f"{OWN_FACE}{name}"
        if full not in self.given.names:
            raise Refused(Fault(Where(name), "a file beside theme.toml", f"no {full}", EFFECT))
        data = self.given.read(full)
        if len(data) > most:
            raise Refused(Fault(Where(name), f"at most {most / 1e6:g} MB", f"{len(data) / 1e6:.1f} MB", EFFECT))
        return data


def _face(given: Site) -> tuple[Face, str]:
    """The builder's own face, plain where there is no theme.toml; and why no build takes it, empty where one does."""
    if THEME not in given.names:
        return PLAIN, ""
    try:
        return published_theme(_OwnFiles(given)), ""
    except FaceRefused as refused:
        return PLAIN, f"no build takes this theme: {refused.faults[0]}"


def _taken(book: Book, given: Site) -> Iterator[str]:
    """What lies in the folder and is held otherwise, or not at all."""
    stem = file_name(book.hull.number)
    yield from given.listed
    yield from (f"{stem}-book.pdf", f"{stem}-listing.pdf", package_name(book.hull.number), "SHA256SUMS", THEME)
    yield from (name for it in book.documents for name in (it.out, it.picture))
    yield from (it.out for it in book.photographs)
