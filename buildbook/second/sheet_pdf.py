"""The printed sheet: each table with its heads, its places in words, and boxes to write in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.evidence import Evidence
from buildbook.core.face import Paper
from buildbook.core.position import position_text
from buildbook.core.record import about
from buildbook.core.wording import plain_number, unit_text
from buildbook.render.pdf import book_pdf, print_styles
from buildbook.render.templates import environment, templates_dir
from buildbook.second.kinds import Asked, Kind
from buildbook.second.quantities import looked_up_by
from buildbook.second.rows import Row, SheetTable

SHEET = "style/sheet.css"
STYLES = ("style/theme.css", "style/shared.css", "style/kept.css", SHEET)
NOT_IN_A_GRID = ("record",)  # printed columns that only the file needs
ROWS_FOR_INSTRUMENTS = 8
OF_AN_INSTRUMENT = (
    "instrument",
    "quantity",
    "type",
    "serial",
    "certificate",
    "calibrated",
    "unit",
    "uncertainty",
    "coverage",
)


@dataclass(frozen=True, slots=True)
class Column:
    """One head of a printed table: its words, its unit, whether it is a box to write in, what it asks for."""

    words: str
    unit: str
    box: bool
    meaning: str


@dataclass(frozen=True, slots=True)
class Group:
    """The rows at one place: what the place is, and its cells, empty where there is a box."""

    place: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """One table of the printed sheet."""

    title: str
    file: str
    how: str
    caution: str
    columns: tuple[Column, ...]
    groups: tuple[Group, ...]


def sheet_pdf(evidence: Evidence, tables: Iterable[SheetTable], paper: Paper) -> bytes:
    """The sheet as PDF.

    Args:
        evidence: the hull, and her places for their words.
        tables: what is asked, from `rows.sheet_tables`.
        paper: A4 or letter, upright.

    Returns:
        The bytes of the PDF.

    Raises:
        NotPossible: a system library is missing.
    """
    asked, places = tuple(tables), {place.place: place for place in evidence.of(Place)}
    html = (
        environment()
        .get_template("second/sheet.html.j2")
        .render(
            hull=evidence.hull,
            tables=tuple(printed(table, places) for table in asked),
            instruments=_columns(Instrument, OF_AN_INSTRUMENT, ()),
            quantities=looked_up_by(table.asked.kind for table in asked),
            empty=range(ROWS_FOR_INSTRUMENTS),
            sheets=STYLES,
            paper=paper.value,
        )
    )
    own = {SHEET: (templates_dir() / "second" / "sheet.css").read_bytes()}
    return book_pdf(html, {**print_styles(), **own}, (), evidence.hull.as_of)


def printed(table: SheetTable, places: dict[str, Place]) -> Printed:
    """One table as it is printed: the rows of a place together under its words."""
    asked, kind = table.asked, table.asked.kind
    named = tuple(name for name in asked.printed if name not in (asked.place, *NOT_IN_A_GRID) and _varies(table, name))
    boxes = tuple(name for name in kind.columns() if name not in asked.printed)
    groups = tuple(
        Group(_place_words(asked, place, places), tuple(_cells(row, named, len(boxes)) for row in rows))
        for place, rows in groupby(table.rows, key=lambda row: str(row.get(asked.place) or ""))
    )
    columns = (*_columns(kind, named, asked.printed), *_columns(kind, boxes, asked.printed))
    return Printed(kind.table.title, kind.table.file, _how(table), asked.caution, columns, groups)


def _varies(table: SheetTable, name: str) -> bool:
    """Whether a printed column is worth a column: one that is the same in every row is said once above."""
    return name == "number" or len({row.get(name) for row in table.rows}) > 1


def _how(table: SheetTable) -> str:
    alike = [
        f"{_words(name)} {_text(table.rows[0][name])}"
        for name in table.asked.printed
        if name not in (table.asked.place, "number", "attempt", *NOT_IN_A_GRID)
        and not _varies(table, name)
        and table.rows[0].get(name) is not None
    ]
    return f"{table.asked.how} In every row: {', '.join(alike)}." if alike else table.asked.how


def _columns(kind: Kind, names: Iterable[str], printed_names: Iterable[str]) -> tuple[Column, ...]:
    made, given = [], set(printed_names)
    for name in names:
        info = kind.model_fields[name]
        made.append(
            Column(_words(name), unit_text(about(info, "unit") or ""), name not in given, info.description or "")
        )
    return tuple(made)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _cells(row: Row, named: Iterable[str], boxes: int) -> tuple[str, ...]:
    return (*(_text(row.get(name)) for name in named), *("" for _ in range(boxes)))


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return plain_number(float(value)) if isinstance(value, int | float) else str(value)


def _place_words(asked: Asked, place: str, places: dict[str, Place]) -> str:
    """A place with its name and where it is on her."""
    if not asked.place:
        return ""
    known = places.get(place)
    if known is None:
        return place
    where = position_text(known.x, known.y, known.z)
    return f"{place}  {known.name}{f': {where}' if where else ''}"
