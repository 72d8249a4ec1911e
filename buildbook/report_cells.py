"""The row of nonconformities.csv that belongs to a matter: the words that tie it to a finding, and its empty cells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.chapters.register.reports import CONCESSIONS
from buildbook.chapters.register.unmatched import ABOUT, in_cells
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.book import Book, Report
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Key
from buildbook.core.where import Where
from buildbook.core.wording import listed

REPORTS = Nonconformity.table.file
ALWAYS = ("disposition", "approved_by")  # that every decision has, before the day on which it is closed
ASKED = {"rework": ("reinspected_on", "as_left_attempt"), "scrap": ("work", "reinspected_on")}
CONCEDED = ("approver_role", "justification")


@dataclass(frozen=True, slots=True)
class Reports:
    """What the reports of a folder still need.

    `empty` names of each report that nobody has closed the columns that its decision asks for and that are empty, `at`
    the row in which it stands.
    `lost` tells where the reports stand that cannot be used, and what is empty or wrong there.
    """

    empty: Mapping[str, tuple[str, ...]]
    at: Mapping[str, Where]
    lost: tuple[str, ...] = ()

    @classmethod
    def of(cls, book: Book) -> Reports:
        """Those of a book."""
        open_ones = [report for report in book.reports if not report.closed_on]
        lost = [fault for fault in book.faults if fault.where.file == REPORTS and fault.severity is Severity.FAULT]
        empty = {report.id: _empty(report, _cells(book, report.at)) for report in open_ones}
        return cls(empty, {report.id: report.at for report in open_ones}, tuple(_lost(lost)))


def words_to_copy(key: Key) -> str:
    """The words that a report about a finding has, column by column.

    >>> words_to_copy(Key("LAM-03", "void content", "L6", "C-18"))
    'check “LAM-03”, quantity “void content”, place “L6”, condition “C-18”, attempt “1”'
    >>> words_to_copy(Key("COA-10", "pull-off strength", "Z3"))
    'check “COA-10”, quantity “pull-off strength”, place “Z3”, condition left empty, attempt “1”'
    """
    return ", ".join(in_cells(key, ABOUT))


def _cells(book: Book, at: Where) -> dict[str, str]:
    """A row of the table as received, by column."""
    for table in (table for table in book.tables if table.file == at.file):
        for row in (row for row in table.rows if row.line == at.line):
            return table.cells(row)
    return {}


def _empty(report: Report, cells: Mapping[str, str]) -> tuple[str, ...]:
    decided = report.disposition
    asked = (*ALWAYS, *(CONCEDED if decided in CONCESSIONS else ASKED.get(decided, ())), "closed_on")
    return tuple(column for column in asked if not cells.get(column, "").strip())


def _lost(faults: Iterable[Fault]) -> Iterable[str]:
    """The cells because of which reports cannot be used, those of one line together."""
    columns: dict[int | None, list[str]] = {}
    for fault in faults:
        columns.setdefault(fault.where.line, []).append(fault.where.column)
    for line, names in columns.items():
        told = listed([name for name in dict.fromkeys(names) if name])
        yield " ".join(part for part in (told, f"in line {line}" if line else "") if part) or "the file"
