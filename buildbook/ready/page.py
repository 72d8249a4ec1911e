"""The readiness page: one file with its styles in it, written beside the book and never into it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from markupsafe import Markup

from buildbook.core.book import Book
from buildbook.core.face import PLAIN
from buildbook.core.fault import Fault
from buildbook.daily import NOTHING_WAITS, Waits, daily
from buildbook.ready.readiness import readiness
from buildbook.render.listing import style
from buildbook.render.package import assets
from buildbook.render.place import Refused, is_ours
from buildbook.render.templates import environment, templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.render.units import unbroken

MARK = "<!-- Readiness page, written by buildbook. -->"
FIRST = 200  # bytes in which the mark stands


def page_html(book: Book, not_withheld: Sequence[Fault] = (), waits: Waits = NOTHING_WAITS) -> str:
    """The page of a folder; it asks for nothing and runs no script. Equal folders give equal bytes.

    Args:
        book: the book of the folder as it is.
        not_withheld: the faults because of which no book would be written.
        waits: the rows that cannot be used and that a finding waits for, as `pipeline.waits` gives them.
    """
    content = {**assets(templates_dir()), **theme_files(PLAIN)}
    own = (templates_dir() / "ready" / "ready.css").read_text(encoding="utf-8")
    shown = readiness(book, daily(book, not_withheld, waits=waits))
    template = environment().get_template("ready/page.html.j2")
    return unbroken(template.render(book=book, ready=shown, mark=Markup(MARK), style=Markup(style(content) + own)))


def write_page(
    book: Book, not_withheld: Sequence[Fault], folder: Path, out: Path, waits: Waits = NOTHING_WAITS
) -> None:
    """Write the page of a hull folder into a file; `waits` as for `page_html`.

    Raises:
        Refused: the file would lie in a book or in the hull folder, or it is there and is no readiness page.
        OSError: it cannot be written.
    """
    place = Path(os.path.realpath(out))
    if any(is_ours(parent) for parent in place.parents):
        raise Refused(f"{out}: that is in a book, which goes to a buyer; the page is for the yard. Name another place")
    if Path(os.path.realpath(folder)) in place.parents:
        raise Refused(f"{out}: that is in the folder of records; name a place outside it")
    if place.exists() and MARK.encode("utf-8") not in place.read_bytes()[:FIRST]:
        raise Refused(f"{out} is there and is no readiness page; name another file")
    data = page_html(book, not_withheld, waits).encode("utf-8")
    beside = place.with_name(f".{place.name}.part")
    beside.write_bytes(data)
    os.replace(beside, place)
