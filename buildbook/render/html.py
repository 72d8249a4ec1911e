"""The pages of the site, from the book and the templates."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from markupsafe import Markup

from buildbook.core.book import Book, Numbered
from buildbook.core.face import PLAIN, Face
from buildbook.core.finding import NOT_DUE_YET, WORST_FIRST, Verdict
from buildbook.core.matter import Matter
from buildbook.core.shown_units import ShownUnits
from buildbook.core.table_view import TableView
from buildbook.core.wording import capital
from buildbook.render.at_places import besides, later_there, parted
from buildbook.render.compact import compacted
from buildbook.render.content import Opening, by_state, lines_not_due, opening, plan_tally, state_of, tally, there
from buildbook.render.explained import Explained, glossary, told_on, word_anchor, words
from buildbook.render.figures import SIGNS, examples, profile_figure
from buildbook.render.first import exceptions_page
from buildbook.render.links import TEXTS, Links, links, place_words, source_anchor
from buildbook.render.on_her import beside_table, line_anchor, number_runs, of_chapter
from buildbook.render.papers import cells_as_shown, papers
from buildbook.render.prose import Prose, anchor, prose
from buildbook.render.qr import digest_figure
from buildbook.render.stamp import DRAFT, element, steps
from buildbook.render.templates import environment
from buildbook.render.units import SHORT as NOT_BROKEN
from buildbook.render.units import unbroken
from buildbook.restated.prose import prose_in

Progress = Callable[[str], None]
SHEETS = (
    "style/theme.css",
    "style/shared.css",
    "style/verdict.css",
    "style/pictures.css",
    "style/site.css",
    "style/kept.css",
)
SCRIPT = "style/book.js"
# Only the book's own script file runs: none written into a page, none from elsewhere; and it can ask for nothing.
POLICY = "script-src 'self'; connect-src 'none'; object-src 'none'; base-uri 'none'; form-action 'none'"
WORST = tuple(verdict.value for verdict in WORST_FIRST)
EXCEPTIONAL = tuple(verdict.value for verdict in Verdict if verdict.exception)
EVIDENCE = "evidence/index.html"
SHORT = 12
FIRST_LINES = 7  # matters on the first screen of a phone


@dataclass(frozen=True, slots=True)
class Facts:
    """What pages say besides the book: digest, received files by name, name of the PDF if any, the builder's face.

    `sheets` are the names of the listing sheet: the web file and, where it could be made, the PDF. `parcel` is the name
    of the evidence package, empty where none was made.
    """

    digest: str
    received: Mapping[str, bytes]
    pdf: str
    face: Face = PLAIN
    sheets: tuple[str, ...] = ()
    parcel: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site: its name, its heading, the template of its body, and what only that template needs.

    `under` names the page it hangs from, if it is not in the contents itself; `starts_group` sets it apart there.
    """

    name: str
    heading: str
    body: str
    own: Mapping[str, Any]
    under: str = ""
    starts_group: bool = False


def site(book: Book, facts: Facts, progress: Progress) -> tuple[tuple[str, str], ...]:
    """Every page of the site.

    Args:
        book: the finished book.
        facts: digest, received files, name of the PDF.
        progress: told the name of each page.

    Returns:
        Name in the output folder and text of each page.
    """
    link = links(book, texts={file: len(lines) for file, lines in texts(facts).items()})
    pages = (*_main_pages(book, facts, link), *_table_pages(book, facts))
    shared, known = common(book, facts), words(link, book.shown)
    listed = [page for page in pages if not page.under]
    names = [page.name for page in listed]
    template = environment().get_template("site/page.html.j2")
    made = []
    for page in pages:
        progress(page.name)
        at = names.index(page.under or page.name)
        own_link = link.on(page.name)
        text = template.render(
            **shared,
            link=own_link,
            explained=Explained(known, own_link, told_on(page.name.removesuffix(".html"))),
            **page.own,
            page=page,
            seal=element(DRAFT, page.name),
            contents=listed,
            before=listed[at - 1] if at and not page.under else None,
            after=listed[at + 1] if at + 1 < len(listed) and not page.under else None,
            sheets=SHEETS,
            script=SCRIPT,
            policy=POLICY,
            worst_first=WORST,
            exceptional=EXCEPTIONAL,
        )
        made.append((page.name, compacted(_unbroken(text, page, book))))
    return tuple(made)


def _unbroken(text: str, page: Page, book: Book) -> str:
    return unbroken(text, names=not page.name.startswith("evidence/"), around=NOT_BROKEN, shown=book.shown)


def common(book: Book, facts: Facts, *, printed: bool = False) -> dict[str, Any]:
    """What every template may name besides the addresses, the same on every page of the site, or in print."""
    return {
        "book": book,
        "printed": printed,
        "signs": SIGNS,
        "digest": facts.digest,
        "short": facts.digest[:SHORT],
        "pdf": facts.pdf,
        "parcel": facts.parcel,
        "code": digest_figure(facts.digest),
        "listing_files": facts.sheets,
        "papers": papers(book),
        "received": facts.received,
        "logo": facts.face.logo,
        "own": " and ".join(name for name, there in _own(book, facts) if there),
        "asked": {check.id: (chapter.key, check.question) for chapter in book.chapters for check in chapter.checks},
        "source_anchor": source_anchor,
        "line_anchor": line_anchor,
        "number_runs": number_runs,
        "state_of": state_of(book),
        "place_words": place_words,
        "there": there,
        "parted": parted,
        "besides": besides,
        "later_there": later_there,
        "not_due_yet": NOT_DUE_YET,
        "anchor": anchor,
        "word_anchor": word_anchor,
    }


def _own(book: Book, facts: Facts) -> tuple[tuple[str, bool], ...]:
    """What of the builder's own the bytes of the book depend on besides the hull folder."""
    return (("theme", bool(facts.face.files)), ("texts", bool(book.own_texts)))


def bodies(book: Book, link: Links) -> dict[str, dict[str, Any]]:
    """What each part needs besides the common names, by the name of the part; the same on the site and in print."""
    return {
        "index": first_page(book, link),
        "exceptions": {"tally": tally(book.counts), "bad": exceptions_page(book)},
        "coverage": {"plan_tally": plan_tally(book), "lines_not_due": lines_not_due(book)},
        "instruments": {},
        "how-judged": {"text": how_judged(book, link)},
        "glossary": {"words": glossary(link, book.shown)},
        "sources": {},
        "verify": {"signing": Markup(steps(DRAFT))},
    }


def how_judged(book: Book, link: Links) -> Prose:
    """How readings are judged; where figures are not told in metric units, also what stays and why."""
    made = prose("words/how-judged", link.written, prose_in(book.shown))
    if book.shown is ShownUnits.METRIC:
        return made
    return replace(made, pieces=(*made.pieces, *prose("words/us-units", link.written).pieces))


def first_page(book: Book, link: Links) -> dict[str, Any]:
    """What the first page, or the first spread, shows."""
    tell = prose_in(book.shown)
    return {
        "openings": openings(book, link),
        "worst": worst(book),
        "profile": profile_figure(book),
        "where": of_chapter(book, ""),
        "what": prose("words/what-this-is", link.written, tell),
        "cautions": prose("words/cautions", link.written, tell),
        "tally": tally(book.counts),
        "states": by_state(book.matters),
        "unreadable": len(book.unusable),
        "examples": examples(),
    }


@dataclass(frozen=True, slots=True)
class FirstLine:
    """One matter in short: what and where it is, value and limit of a number; its finding; how it stands."""

    words: str
    number: str
    state: str


def worst(book: Book) -> tuple[FirstLine, ...]:
    """The first matters, those still open before all others, as a phone shows them on its first screen."""
    items = {item.number: item for item in book.exceptions}
    made = []
    for matter in book.matters[:FIRST_LINES]:
        item = items.get(matter.findings[0]) if matter.findings else None
        if item is not None:
            made.append(FirstLine(_first_words(matter, item), item.number, matter.state.value))
    return tuple(made)


def _first_words(matter: Matter, item: Numbered) -> str:
    """What and where, with value and limit of a number; of a matter that only its report tells, what that says."""
    if not matter.what.startswith(capital(item.subject)):
        return matter.what
    key = item.finding.key
    name = capital(item.subject.removesuffix(f", attempt {key.attempt}").removesuffix(f", {key.condition}"))
    return f"{name}: {item.value}; {item.limit}" if item.finding.measured is not None else name


def openings(book: Book, link: Links) -> tuple[Opening, ...]:
    """Every chapter with what it shows."""
    return tuple(opening(book, chapter, link) for chapter in book.chapters)


def texts(facts: Facts) -> dict[str, tuple[str, ...]]:
    """The lines of hull.toml and columns.toml as received, of each that has any, for a page with an anchor per line."""
    given = {file: facts.received.get(file, b"").decode("utf-8", "replace") for file in TEXTS}
    return {file: tuple(text.splitlines()) for file, text in given.items() if text}


def _main_pages(book: Book, facts: Facts, link: Links) -> tuple[Page, ...]:
    needs = bodies(book, link)

    def page(name: str, heading: str, starts_group: bool = False) -> Page:
        return Page(f"{name}.html", heading, f"parts/{name}.html.j2", needs[name], starts_group=starts_group)

    chapters = tuple(
        Page(f"{made.chapter.key}.html", made.chapter.title, "parts/chapter.html.j2", {"opening": made}, "", not place)
        for place, made in enumerate(needs["index"]["openings"])
    )
    loose = [name for name in sorted(facts.received) if name not in {table.received for table in book.tables}]
    return (
        page("index", "First page"),
        page("exceptions", "Exceptions and gaps"),
        page("coverage", "Planned, recorded, missing"),
        *([Page("changes.html", "What changed", "parts/changes.html.j2", {})] if book.release.previous else ()),
        Page("said.html", "What may be said", "parts/said.html.j2", {"sheet": book.listing}),
        *chapters,
        Page(EVIDENCE, "The evidence, as received", "parts/evidence.html.j2", {"loose": loose}, "", True),
        page("instruments", "Instruments"),
        page("how-judged", "How readings are judged", starts_group=True),
        page("glossary", "Words used in this book"),
        page("sources", "Cited documents"),
        page("verify", "Is this the same book?"),
    )


def _table(book: Book, table: TableView) -> dict[str, Any]:
    """What the page of a table shows; `marked` tells whether any of its rows has a number on the drawings of her."""
    return {
        "table": table,
        "cells": cells_as_shown(book, table),
        "where": beside_table(book, table.file),
        "marked": any(row.marks for row in table.rows),
    }


def _table_pages(book: Book, facts: Facts) -> tuple[Page, ...]:
    pages = [
        Page(f"evidence/{table.anchor}.html", table.title, "parts/table.html.j2", _table(book, table), EVIDENCE)
        for table in book.tables
    ]
    for file, text_lines in texts(facts).items():
        if all(table.file != file for table in book.tables):
            own = {"file": file, "text_lines": text_lines}
            pages.append(Page(f"evidence/{anchor(file)}.html", file, "parts/lines.html.j2", own, EVIDENCE))
    return tuple(pages)
