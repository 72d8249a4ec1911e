"""Both folders read by the same readers and judged by the same checks, with the hull's own limits."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.chapters.register import CHAPTER as REGISTER
from buildbook.chapters.shared_records import Instrument
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding
from buildbook.core.hull import Hull
from buildbook.core.published import COLUMNS_FILE
from buildbook.core.record import Record
from buildbook.core.stand import FILE_ITSELF
from buildbook.core.where import Where
from buildbook.parcel.csv_text import plain
from buildbook.pipeline import Belongs, any_may, gathered_evidence, judge, make_book, sayable
from buildbook.readers.columns_file import read_columns
from buildbook.readers.folder import MOST_BYTES, Folder, check_inside
from buildbook.readers.gather import Gathered
from buildbook.readers.hull_file import HULL_FILE, read_hull
from buildbook.readers.own_columns import OfTable, OwnColumns, in_their_heads, unused
from buildbook.readers.refused import Refused
from buildbook.readers.standing import Books, books_of, chosen, received
from buildbook.readers.table import RawTable, as_text
from buildbook.readers.told_once import told_once
from buildbook.readers.workbook import with_cells
from buildbook.render.package import digest_of
from buildbook.render.sums import list_by_name
from buildbook.second.factors import without_factor
from buildbook.second.kinds import ASKED, LENT, SHEETS
from buildbook.second.lost_rows import may_belong
from buildbook.second.own_words import instruments_of_another_kind, words_of_his_own
from buildbook.second.rows import sheet_tables
from buildbook.second.two_folders import SHEET, told_apart
from buildbook.second.without_reading import rows_without_reading
from buildbook.sources import hull_spans

MEASURED = tuple(chapter for chapter in CHAPTERS if chapter is not REGISTER)  # a survey has no register to hold
OF_MEASURED = frozenset(check.id for chapter in MEASURED for check in chapter.checks)
APART = re.compile(r"[\s\-]+")
POSITION = ("x", "y", "z")
ANOTHER_NAME = "a name of ordinary characters without a colon"
SAME_PLACE = 0.005  # m: how far two positions of one place may be apart (house rule)


class NotTheSameHull(Exception):
    """The survey is of another hull, or does not say of which; the message says so in words."""


class FolderUnreadable(Exception):
    """A folder, or the hull.toml in it, that cannot be read at all; the message names it."""


class NothingFilled(Exception):
    """The survey has no reading at all: an empty sheet; the message says so."""


@dataclass(frozen=True, slots=True)
class Party:
    """One side: the evidence, its findings, the faults of its folder, and each readable row by its place in it.

    `filled` says for each table of the sheet how many rows hold a reading, and how many the sheet has as it is laid
    out. `digest` is that of the yard's book, or of the survey's files, of which `sums` is the list. `without_factor`
    are instruments whose U has no coverage factor. `belongs` says which lost rows may hold a finding.
    `refused` says that `buildbook build` writes no book of the folder.
    """

    evidence: Evidence
    findings: tuple[Finding, ...]
    faults: tuple[Fault, ...]
    rows: Mapping[Where, Record]
    filled: tuple[tuple[str, int, int], ...] = ()
    digest: str = ""
    sums: bytes = b""
    without_factor: tuple[str, ...] = ()
    belongs: Belongs = any_may
    refused: bool = False

    def behind(self, findings: Iterable[Finding]) -> list[Record]:
        """The readable rows that findings of this side rest on, each once."""
        wheres = dict.fromkeys(where.row for finding in findings for where in finding.at)
        return [self.rows[where] for where in wheres if where in self.rows]


class SurveyFolder(Folder):
    """The surveyor's folder; where it lacks a table that says what she is, the yard's stands in."""

    def __init__(self, root: Path, yard: Folder) -> None:
        """Take a folder as the surveyor's; `Refused` where it is not one."""
        super().__init__(root)
        self._yard = yard
        self._lent = {kind.table.file: kind for kind in LENT}
        self._books, self._yards_books = Books(), books_of(yard, self._lent)
        self._books = books_of(self, (kind.table.file for kind in TABLES))

    def holds(self, name: str) -> bool:
        """Whether something stands at this name, here or as one of the tables that are lent."""
        own = super().holds(name)
        return own or (self.lends(name) and (self._yard.holds(name) or name in self._yards_books.stands))

    def read(self, name: str, most: int = MOST_BYTES) -> bytes:
        """The bytes of a file of the survey, or of the table that is lent."""
        return self._lent_bytes(name, most) if self.lends(name) else super().read(name, most)

    def _lent_bytes(self, name: str, most: int) -> bytes:
        """A table of the yard's; one that stands in a workbook as a file of text, every row in its line."""
        kind = self._lent[name]
        stand = chosen(kind, self._yard, self._yards_books)
        if stand is None or not stand.workbook:
            return self._yard.read(name, most)
        raw = received(kind, self._yard.read(stand.received(name)), stand)
        return as_text(raw, ((row.line, row.cells) for row in raw.rows))

    def brings(self, name: str) -> bool:
        """Whether the survey has this file or this table itself; not one whose name no reader opens."""
        return not check_inside(name) and (super().holds(name) or name in self._books.stands)

    def _own(self, kind: type[Record]) -> RawTable:
        """A table of the survey with our names at its heads; `Refused` where it cannot be read."""
        stand = chosen(kind, self, self._books) or FILE_ITSELF
        return self._plain(received(kind, self.read(stand.received(kind.table.file)), stand, self.own(kind)))

    def names(self) -> tuple[str, ...]:
        """The files of the survey that can be opened by their names."""
        return tuple(name for name in super().names() if not check_inside(name))

    def left_out(self) -> tuple[Fault, ...]:
        """A notice for each thing in the survey that is not opened, and so in no list."""
        unfit = ((name, check_inside(name)) for name in super().names())
        told = (Fault(Where(name), ANOTHER_NAME, why, "It is not read.", Severity.NOTICE) for name, why in unfit if why)
        return (*super().left_out(), *told)

    def meant(self, raw: RawTable) -> RawTable:
        """A table of the survey without the apostrophes that the sheet puts before cells; one that is lent as it is.

        An instrument's U without its coverage factor is left out.
        """
        return without_factor(self._plain(raw)).table if self.brings(raw.file) else raw

    @cached_property
    def columns(self) -> OwnColumns:
        """The surveyor's own heads and words."""
        return read_columns(self, TABLES)

    @cached_property
    def _lent_columns(self) -> OwnColumns:
        return read_columns(self._yard, TABLES)

    def own(self, kind: type[Record]) -> OfTable:
        """The heads and words of whoever wrote a table."""
        return (self._lent_columns if self.lends(kind.table.file) else self.columns).of(kind)

    def _plain(self, raw: RawTable) -> RawTable:
        return replace(raw, rows=tuple(replace(row, cells=tuple(map(plain, row.cells))) for row in raw.rows))

    def bare(self) -> tuple[tuple[str, ...], tuple[Fault, ...]]:
        """The instruments whose U has no coverage factor, and what to tell of each."""
        file = Instrument.table.file
        if not self.brings(file):
            return (), ()
        try:
            kept = without_factor(self._own(Instrument))
        except Refused:
            return (), ()
        return kept.ids, with_cells(kept.faults, {file: kept.table})

    def unfilled(self) -> Iterator[Fault]:
        """The rows of the sheet in which something was written and the reading left out."""
        for asked in (asked for asked in ASKED if self.brings(asked.kind.table.file)):
            with suppress(Refused):
                raw = self._own(asked.kind)
                yield from with_cells(rows_without_reading(asked, raw), {raw.file: raw})

    def lends(self, name: str) -> bool:
        """Whether this file is a table of the yard's that stands in for one of the survey."""
        return name in self._lent and not self.brings(name)

    def sums(self) -> bytes:
        """The SHA-256 of every file of the survey, as `sha256sum -c` reads it, sorted by name."""
        return list_by_name({name: self.sha256(name) for name in self.names()})


def read_both(
    yard: Path, survey: Path, progress: Callable[[str], None] = lambda _: None
) -> tuple[Party, Party, tuple[str, ...]]:
    """Read the yard's folder and the surveyor's, and judge both by the limits of the yard's hull.toml.

    Args:
        yard: the hull folder.
        survey: the surveyor's folder, as `buildbook remeasure` lays it out.
        progress: told what is being done.

    Returns:
        The yard, the surveyor, and the ids of places and propellers that the two folders describe differently.

    Raises:
        NotTheSameHull: the survey names another hull, or none.
        Swapped: the first folder is no hull folder, the second is one, or both are one folder.
        NothingFilled: the survey has no reading.
        FolderUnreadable, and OSError where something cannot be read.
    """
    second, brought, numbers_of_rows = _surveyed(yard, survey, progress)
    progress("judging the yard's readings")
    with named(yard):
        made = make_book(yard)
    found = tuple(finding for finding in made.findings if finding.key.check in OF_MEASURED)
    first = replace(_party(made.evidence, found, made.book.faults), digest=digest_of(made.book, made.files))
    first = replace(first, refused=bool(made.not_withheld))
    apart = (
        *words_of_his_own(made.evidence, second.evidence),
        *instruments_of_another_kind(second.evidence),
    )
    laid = {it.asked.kind: len(it.rows) for it in sheet_tables(made.evidence)}
    second = replace(
        second,
        faults=_in_order((*second.faults, *told_once(apart, numbers_of_rows))),
        filled=_filled(brought, second.evidence, laid),
    )
    return first, second, _described_otherwise(first.evidence, second.evidence, brought)


def read_survey(yard: Path, survey: Path, progress: Callable[[str], None] = lambda _: None) -> Party:
    """The surveyor's side of `read_both`, which is read first; the yard's own readings are not judged for it."""
    return _surveyed(yard, survey, progress)[0]


def _surveyed(yard: Path, survey: Path, progress: Callable[[str], None]) -> tuple[Party, SurveyFolder, dict[str, int]]:
    """The surveyor's side, its folder, and how many rows each of its tables has."""
    progress("reading the yard's folder")
    with named(yard):
        own = Folder(yard)
        hull, specification, _ = read_hull(own, sayable(), hull_spans())
    with named(survey):
        brought = SurveyFolder(survey, own)
        theirs, _, stub_faults = read_hull(brought, sayable(), hull_spans())
        told_apart(own, brought, (yard, survey))
        sums = brought.sums()
    _same_hull(hull, theirs, brought)
    progress("reading and judging the survey")
    its_hull = replace(hull, as_of=theirs.as_of, lines=theirs.lines)
    gathered, evidence, _ = gathered_evidence(brought, its_hull, specification, SHEETS, brought.meant, brought.own)
    _something_filled(evidence, brought)
    bare, told = brought.bare()
    of_hull = (fault for fault in stub_faults if fault.where.part != SHEET)
    his_tables = {kind: raw for kind, raw in gathered.raw.items() if brought.brings(kind.table.file)}
    own_files = (
        *of_hull,
        *brought.columns.faults,
        *unused(brought.columns, his_tables, gathered.evidence.missing),
        *told,
        *brought.unfilled(),
        *(fault for fault in gathered.faults if _of_survey(fault, brought)),
    )
    own_files = in_their_heads(own_files, his_tables)
    second = _party(evidence, judge(evidence, MEASURED, may_belong), own_files)
    digest = hashlib.sha256(sums).hexdigest()
    second = replace(second, digest=digest, sums=sums, without_factor=bare)
    second = replace(second, belongs=may_belong)
    return second, brought, _numbers_of_rows(gathered)


def _in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda fault: fault.where.order))


def _numbers_of_rows(gathered: Gathered) -> dict[str, int]:
    return {raw.file: len(raw.rows) for raw in gathered.raw.values() if raw}


@contextmanager
def named(folder: Path) -> Iterator[None]:
    """Let a refusal name the folder that it is about: there are two."""
    try:
        yield
    except Refused as refused:
        words = str(refused)
        raise FolderUnreadable(f"{folder}{words[1:]}" if words.startswith(".:") else f"{folder}/{words}") from None


def _same_hull(hull: Hull, survey: Hull, brought: SurveyFolder) -> None:
    if not survey.number:
        where = HULL_FILE if brought.brings(HULL_FILE) else f"{HULL_FILE}, which is not there"
        raise NotTheSameHull(
            f"The survey does not say which hull it is of ({where}). Nothing was compared: write the number on her "
            "plate as number under [hull]."
        )
    if not hull.number:
        raise NotTheSameHull("The hull folder has no hull number, so nobody can tell whether the survey is of her.")
    if _plain(hull.number) != _plain(survey.number):
        raise NotTheSameHull(
            f"The survey is of hull {survey.number}, the folder of hull {hull.number}. Nothing was compared."
        )


def _something_filled(evidence: Evidence, brought: SurveyFolder) -> None:
    """Raise `NothingFilled` where no table of the survey, but those that say what she is, has a row with a reading."""
    known = (*LENT, Instrument)
    measured = [kind for kind in evidence.records if kind not in known and brought.brings(kind.table.file)]
    if not any(evidence.records.get(kind) or evidence.unread.get(kind) for kind in measured):
        raise NothingFilled("Nothing was filled in: the survey has no reading. Nothing was compared or written.")


def _of_survey(fault: Fault, brought: SurveyFolder) -> bool:
    """Whether a fault is of the surveyor's own files, or of one that he names and did not bring.

    Of hull.toml only its day is his, all else is the yard's; what is wrong with columns.toml is told where it is read.
    """
    file = fault.where.file
    if file == COLUMNS_FILE:
        return False
    return fault.where.part == "as_of" if file == HULL_FILE else not brought.lends(file)


def _plain(number: str) -> str:
    return APART.sub("", number).upper()


def _party(evidence: Evidence, findings: tuple[Finding, ...], faults: tuple[Fault, ...]) -> Party:
    rows = {row.where: row for records in evidence.records.values() for row in records}
    return Party(evidence, findings, faults, rows)


def _filled(
    brought: SurveyFolder, evidence: Evidence, laid: Mapping[type[Record], int]
) -> tuple[tuple[str, int, int], ...]:
    """How many rows of each table were filled, one that cannot be read too, and how many the sheet has as laid out."""
    made = []
    for kind in (kind for kind in SHEETS if kind.table.file != "instruments.csv"):
        file = kind.table.file
        if not brought.brings(file) and kind not in laid:
            continue
        read = {row.where.row for row in evidence.records.get(kind, ())}
        lost = {row.where.row for row in evidence.unread.get(kind, ()) if row.where.line is not None}
        made.append((kind.table.title, len(read | lost), laid.get(kind, 0)))
    return tuple(made)


def _described_otherwise(yard: Evidence, survey: Evidence, brought: SurveyFolder) -> tuple[str, ...]:
    """Ids that both folders have in a table of what she is, with other words or numbers beside them."""
    ids = []
    for kind in (kind for kind in LENT if brought.brings(kind.table.file)):
        first = kind.table.key[0]
        theirs = {tuple(getattr(row, name) for name in kind.table.key): row for row in survey.of(kind)}
        for row in yard.of(kind):
            other = theirs.get(tuple(getattr(row, name) for name in kind.table.key))
            columns = [name for name in kind.columns() if name not in ("note", "name")]
            if other is not None and any(_differ(name, getattr(row, name), getattr(other, name)) for name in columns):
                ids.append(str(getattr(row, first)))
    return tuple(dict.fromkeys(ids))


def same_position(yard: Sequence[float | None], his: Sequence[float | None]) -> bool:
    """Whether two positions (x, y, z) [m] are the same place: every one within a tape and its rounding."""
    return not any(_differ(name, *both) for name, *both in zip(POSITION, yard, his, strict=True))


def _differ(column: str, yard: object, his: object) -> bool:
    """Whether two cells say another thing; a position may be written or taken with fewer digits than the other's."""
    if not isinstance(yard, float) or not isinstance(his, float):
        return yard != his
    near = SAME_PLACE * (1.0 + 1e-9) if column in POSITION else 0.0
    return not math.isclose(yard, his, rel_tol=1e-9, abs_tol=near)
