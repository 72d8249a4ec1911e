"""Her drawings and the marks on them: which places they show, what was found there, and the rows there."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.core.finding import Verdict
from buildbook.core.where import Where


@dataclass(frozen=True, slots=True)
class RowsThere:
    """The rows of one table that belong to a mark: the line of the first and how many there are."""

    file: str
    line: int
    number: int


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """One mark on the drawings of her: a place, or rows that say their position themselves, with its number.

    x, y, z [m] are as in the table, None where it does not say. `verdict` is the worst that stands there today in what
    the drawing is about: what was put right counts as it was measured again. None where nothing was found. `findings`
    are the exceptions and gaps there, those that were put right among them; `put_right` tells that there are such.
    `accepted` tells that what is missed there, or what only a report tells, was accepted so or settled otherwise.
    `position` is x, y, z in words; `unplaced` says why there is no mark on the drawing, empty where there is one.
    `rows` are the rows there.
    """

    number: int
    place: str
    name: str
    x: float | None
    y: float | None
    z: float | None
    verdict: Verdict | None
    findings: tuple[str, ...]
    at: Where
    position: str = ""
    unplaced: str = ""
    rows: tuple[RowsThere, ...] = ()
    put_right: bool = False
    accepted: bool = False


@dataclass(frozen=True, slots=True)
class HullDrawing:
    """Profile and plan of her with numbered marks, and the list beside them.

    `chapter` is the key of the chapter it stands in, empty for the first page. `says` tells in words what it shows, how
    many marks, which are missed. `file` names the table whose rows say their positions themselves, empty for places;
    such a drawing shows only the part of her where they are.
    """

    key: str
    chapter: str
    title: str
    says: str
    file: str
    lines: tuple[PlaceLine, ...]
