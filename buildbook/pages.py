"""The pages of a book, made a second time from its data and from what lies in its folder."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields
from itertools import zip_longest

from buildbook.core.book import Book
from buildbook.core.face import PLAIN, Face, Logo, Scheme
from buildbook.core.published import RECEIVED
from buildbook.exports import same_version
from buildbook.parcel.follows import UNASKED
from buildbook.render.html import Facts, site
from buildbook.render.jsonfile import schema_json
from buildbook.render.listing import listing_html
from buildbook.render.names import file_name, package_name
from buildbook.render.package import MARKER_TEXT, SCHEMA, assets
from buildbook.render.pages import pages as printed_pages
from buildbook.render.place import MARKER
from buildbook.render.stamp import DRAFT, VERIFY, stamped, with_steps
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import SHEET, theme_css, theme_files
from buildbook.seal.made_again import HULL, Site

OWN = "style/own/"  # what a theme of the builder's brings
THEME = f"{OWN}theme.toml"
_FIELDS = "|".join((*(field.name for field in fields(Scheme)), "plate"))
OF_A_THEME = re.compile(
    r"|/\* The builder's own\. \*/|:root \{|\}|@media screen and \(prefers-color-scheme: dark\) \{"
    rf"|  --(?:{_FIELDS}): #[0-9a-f]{{6}};"
    r'|  --(?:text|headings): "[^"\\{};<>]+", "IBM Plex Serif";'
    r'|@font-face \{ font-family: "[^"\\{};<>]+"; font-weight: (?:400|600); font-style: (?:normal|italic); '
    r'src: url\("own/[a-z-]+\.woff2"\) format\("woff2"\); \}'
)
BEFORE, LONGEST = 20, 60  # characters of a line in an excerpt: before what differs, and of all


def differing_pages(given: Site) -> Iterator[tuple[str, str]]:
    """The pages, style sheets and the script of a folder that do not follow from its book, and what does not belong.

    Photographs, the printed book, the printed listing sheet and what a theme of the builder's brings are taken as they
    are: nothing in the folder says what they were made from.

    Yields each name with the first thing that differs, empty where the file is missing, one page at a time. Raises
    NotCompared where a program of another version made the book, ValueError where the data are none of a book.
    """
    from jinja2 import TemplateError

    book = same_version(given.book)
    if SHEET in given.names and (why := _beyond_a_theme(given.read(SHEET), given)):
        yield SHEET, why
    taken = set(_taken(book, given))
    made = set()
    try:
        for name, text in _made(book, given):
            made.add(name)
            if name not in given.names:
                yield name, ""
            elif why := first_text(_signed(text, name, given), given.read(name)):
                yield name, why
    except TemplateError as error:
        raise ValueError(str(error)) from None
    yield from ((name, UNASKED) for name in sorted(set(given.names) - made - taken))


def _signed(data: bytes, name: str, given: Site) -> bytes:
    """A file as it stands in a book that somebody signed."""
    if given.stamp == DRAFT or not name.endswith(".html"):
        return data
    page = stamped(data, name, given.stamp)
    return with_steps(page, given.stamp) if name == VERIFY else page


def _made(book: Book, given: Site) -> Iterator[tuple[str, bytes]]:
    """Every file that can be made a second time, by its name."""
    stem = file_name(book.hull.number)
    pdf, sheet, printed = f"{stem}-book.pdf", f"{stem}-listing.html", f"{stem}-listing.pdf"
    parcel = package_name(book.hull.number)
    received = {name.removeprefix(RECEIVED): b"" for name in given.listed if name.startswith(RECEIVED)}
    received[HULL.removeprefix(RECEIVED)] = given.read(HULL)
    face = _face(given)
    facts = Facts(
        given.digest,
        received,
        pdf if pdf in given.names else "",
        face,
        parcel=parcel if parcel in given.names else "",
    )
    styles = {**assets(templates_dir()), **_theme(face, given)}
    yield from ((name, data) for name, data in styles.items() if name not in face.files)
    yield MARKER, MARKER_TEXT.encode("utf-8")
    yield SCHEMA, schema_json()
    numbers = printed_pages(given.read(pdf)) if facts.pdf else {}
    yield sheet, listing_html(book, facts, numbers, styles).encode("utf-8")
    sheets = (sheet, *([printed] if printed in given.names else ()))
    facts = Facts(facts.digest, facts.received, facts.pdf, face, sheets, facts.parcel)
    for name, text in site(book, facts, lambda _: None):
        yield name, text.encode("utf-8")


def _face(given: Site) -> Face:
    """What pages show of the builder's own face: his logo."""
    files = {name: b"" for name in given.names if name.startswith(OWN)}
    if not files:
        return PLAIN
    files[SHEET] = b""
    told = tomllib.loads(given.read(THEME).decode("utf-8")) if THEME in files else {}
    logos = [name for name in files if name.startswith(f"{OWN}logo.")]
    return Face(logo=Logo(logos[0], str(told["logo"]["alternative"])) if logos else None, files=files)


def _theme(face: Face, given: Site) -> Mapping[str, bytes]:
    """The style sheet of the theme, and its faces: those of a builder's own as they are."""
    return {name: given.read(name) for name in face.files} if face.files else theme_files(PLAIN)


def _taken(book: Book, given: Site) -> Iterator[str]:
    """What lies in the folder and is held otherwise, or not at all."""
    stem = file_name(book.hull.number)
    yield from given.listed
    yield from (f"{stem}-book.pdf", f"{stem}-listing.pdf", package_name(book.hull.number), "SHA256SUMS")
    yield from (it.out for it in book.documents)
    yield from (it.out for it in book.photographs)
    yield from (name for name in given.names if name.startswith(OWN))
    if any(name.startswith(OWN) for name in given.names):
        yield SHEET


def _beyond_a_theme(sheet: bytes, given: Site) -> str:
    """What of a builder's style sheet is more than the colours and typefaces that he may choose; empty where none."""
    if _face(given) == PLAIN:
        return ""
    plain, own = theme_css(PLAIN).split("\n"), sheet.decode("utf-8", "replace").split("\n")
    start = len(plain) - 1  # the last is what stands behind the last line end
    if own[:start] != plain[:start]:
        return first_text("\n".join(plain).encode("utf-8"), sheet)
    lines = enumerate(own[start:], start=start + 1)
    wrong = next((number for number, line in lines if not OF_A_THEME.fullmatch(line)), None)
    return "" if wrong is None else f"line {wrong} is no colour or typeface of a theme"


def first_text(expected: bytes, data: bytes) -> str:
    """The first line of a text that is not as expected, from shortly before what differs; empty where all are.

    Example:
        >>> first_text(b"<p>\\nmargin 4.2 K\\n", b"<p>\\nmargin 9.2 K\\n")
        "line 2: found 'margin 9.2 K', expected 'margin 4.2 K'"
    """
    if expected == data:
        return ""
    wanted, there = (text.decode("utf-8", "replace").split("\n") for text in (expected, data))
    for number, (one, other) in enumerate(zip_longest(wanted, there), start=1):
        if one != other:
            return f"line {number}: found {_excerpt(other, one)}, expected {_excerpt(one, other)}"
    return "its signs are the same and its bytes are not"


def _excerpt(line: str | None, other: str | None) -> str:
    if line is None:
        return "none"
    pairs = zip(line, other or "", strict=False)
    at = next((place for place, (one, two) in enumerate(pairs) if one != two), min(len(line), len(other or "")))
    start = max(at - BEFORE, 0)
    end = start + LONGEST
    return f"'{'…' if start else ''}{line[start:end]}{'…' if end < len(line) else ''}'"
