"""The drawings of her as pages show them: pictures, the list beside them, and the way from a number to its mark."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.core.book import Book
from buildbook.core.her_marks import HullDrawing, PlaceLine
from buildbook.core.hull import Hull
from buildbook.core.lists import in_a_row
from buildbook.render.figures import Figure, hull_figures
from buildbook.render.marks import classes
from buildbook.render.profile import drawn

EVIDENCE = "evidence/"
FIRST_PAGE = "index.html"
BOX = re.compile(r'viewBox="\S+ \S+ (\S+) (\S+)"')
LOW = 1.0  # height of all views of a drawing, as a share of their width, up to which print keeps them together
JOINED = 3  # numbers that follow each other, shown as one run


@dataclass(frozen=True, slots=True)
class Drawn:
    """One drawing with its pictures. `whole`: its list names each exception in words; `judged`: anything was judged."""

    drawing: HullDrawing
    views: tuple[Figure, ...]
    whole: bool
    judged: bool

    @property
    def low(self) -> bool:
        """Whether print keeps its views on one page: kept together, taller ones would leave most of a page empty."""
        boxes = [BOX.search(view.svg) for view in self.views]
        return sum(float(box[2]) / float(box[1]) for box in boxes if box) < LOW


@dataclass(frozen=True, slots=True)
class ToMark:
    """The way to a mark: the page and the id of the mark on it, the id of its line in the list, its form.

    `row_page` is empty but for a position of its own, whose table has the drawing beside it: there it names that page.
    """

    number: int
    page: str
    mark: str
    line: str
    row_page: str
    form: str


def line_anchor(drawing: HullDrawing, line: PlaceLine) -> str:
    """The id of a line in the list beside a drawing."""
    return f"{drawing.key}-at-{line.number}" if drawing.chapter else f"place-{line.number}"


def of_chapter(book: Book, chapter: str) -> tuple[Drawn, ...]:
    """The drawings of a chapter; of the first page where the key is empty."""
    return tuple(_drawn(book, drawing) for drawing in book.drawings if drawing.chapter == chapter)


def beside_table(book: Book, file: str) -> tuple[Drawn, ...]:
    """The drawings of the rows of a table that say their position themselves; each mark leads to its row."""
    own = (drawing for drawing in book.drawings if drawing.file == file)
    return tuple(_made(book, drawing, {it.number: f"L{it.at.line}" for it in drawing.lines}) for drawing in own)


def _drawn(book: Book, drawing: HullDrawing) -> Drawn:
    return _made(book, drawing, {line.number: line_anchor(drawing, line) for line in drawing.lines})


def _made(book: Book, drawing: HullDrawing, anchors: Mapping[int, str]) -> Drawn:
    judged = any(line.verdict or line.findings for line in drawing.lines)
    return Drawn(drawing, hull_figures(book, drawing, anchors), whole=not drawing.chapter, judged=judged)


def number_runs(numbers: Iterable[int]) -> tuple[tuple[int, str], ...]:
    """Numbers of marks as a row shows them: three or more that follow each other as one, with the first of them.

    >>> number_runs((12, 43, 44, 45, 18))
    ((12, '12'), (43, '43–45'), (18, '18'))
    """
    shown = [[run] if len(run) >= JOINED else [[number] for number in run] for run in in_a_row(numbers)]
    return tuple((run[0], str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}") for parts in shown for run in parts)


def ways(book: Book) -> Mapping[str, Mapping[int, ToMark]]:
    """The way to each mark that is drawn, by chapter and number; the first page under the empty key."""
    found: dict[str, dict[int, ToMark]] = {}
    for drawing in book.drawings:
        for line in drawing.lines:
            if not line.unplaced:
                found.setdefault(drawing.chapter, {})[line.number] = _way(book, drawing, line)
    return found


def _way(book: Book, drawing: HullDrawing, line: PlaceLine) -> ToMark:
    files = {table.file: table.anchor for table in book.tables}
    return ToMark(
        number=line.number,
        page=f"{drawing.chapter}.html" if drawing.chapter else FIRST_PAGE,
        mark=f"{drawing.key}-{_view(book.hull, line)}-mark-{line.number}",
        line=line_anchor(drawing, line),
        row_page=f"{EVIDENCE}{files[drawing.file]}.html" if drawing.file in files else "",
        form=f"at-mark {classes(line.verdict, accepted=line.accepted)}{' put-right' if line.put_right else ''}",
    )


def _view(hull: Hull, line: PlaceLine) -> str:
    return "profile" if line.z is not None and drawn(hull, "profile") else "plan"
