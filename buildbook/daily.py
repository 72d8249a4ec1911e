"""What is to be done in a hull folder today: faults, what is open and what is missing, by file, with a remedy each.

Pure, from a book to a structure that the terminal, JSON and the readiness page all show.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from buildbook.chapters import CHECKS
from buildbook.chapters.register.rules import good_but_reported
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.book import Book, Numbered
from buildbook.core.fault import Fault, Severity
from buildbook.core.matter import Matter, State
from buildbook.core.natural import natural_text
from buildbook.core.stage import Stage, due_from
from buildbook.core.where import Where
from buildbook.fault_remedies import of_fault
from buildbook.matter_states import UNREADABLE
from buildbook.remedies import Who, of_matter, stays, to_close
from buildbook.report_cells import REPORTS, Reports, words_to_copy
from buildbook.row_remedies import with_rows
from buildbook.tables_stand import in_their_places, sheets_of_tables
from buildbook.withholding import refusal

FORM = "1.3"
Waits = Mapping[str, tuple[Where, ...]]  # the rows that a finding waits for, by its number
NOTHING_WAITS: Waits = {}
ONLY_BY_REPORT = ", but only by its report: the reading itself meets its limit"
FEWEST_ALIKE = 3  # faults of one column that are told together
LISTS = (Place.table.file, Instrument.table.file)  # tables in which a gap of another subject is not to be filled


class Kind(StrEnum):
    """What a thing to do is, in the order in which things are told: what hides others comes first."""

    STOPS = "stops the book"
    FAULT = "fault"
    OPEN = "open"
    MISSING = "missing"
    UNDECIDED = "not decided"
    OVERDUE = "calibration not shown"
    STAYS = "gap that stays"
    NOTICE = "notice"

    @property
    def order(self) -> int:
        """Its place in that order, from 0."""
        return list(Kind).index(self)

    @property
    def in_the_way(self) -> bool:
        """Whether something is to be done; a notice changes nothing, and a gap that a closed report tells stays."""
        return self not in (Kind.NOTICE, Kind.STAYS)


OF_STATE = {
    State.OPEN: Kind.OPEN,
    State.NOT_SHOWN: Kind.MISSING,
    State.UNDECIDED: Kind.UNDECIDED,
    State.OVERDUE: Kind.OVERDUE,
}


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do: where, what is the matter, what follows from it, and the remedy in one line.

    `id` stays the same from look to look as long as the matter does. `numbers` are the findings it shows in, `alike`
    the other lines of the file in which the same is to be done, with what was found there. `row` are the words of a
    report about it, where one may be written; they tie it to the finding. `waits`: nothing is to be done but what the
    faults of rows that cannot be used ask for. `who` has to do it, by what is to be done.
    """

    id: str
    kind: Kind
    at: Where
    what: str
    why: str
    remedy: str
    numbers: tuple[str, ...] = ()
    reports: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()
    row: str = ""
    waits: bool = False
    who: Who = Who.OFFICE


@dataclass(frozen=True, slots=True)
class InFile:
    """The things to do in one file of the folder, the most pressing first."""

    file: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Later:
    """What is asked for from one stage of the build on and is not there yet."""

    stage: str
    checks: tuple[str, ...]
    findings: int


@dataclass(frozen=True, slots=True)
class Counted:
    """How many findings one check has, in words."""

    id: str
    question: str
    counts: str


@dataclass(frozen=True, slots=True)
class Tally:
    """How many things there are of one kind, every row of those that are told together counted."""

    kind: Kind
    number: int


@dataclass(frozen=True, slots=True)
class Daily:
    """A folder as it is today. `stops` says why no book would be written, empty where one would.

    `behind` are the matters that need nothing more: accepted, put right, close to a limit. `findings` and `due` count
    the findings that govern, all and those that are asked for by now. `proposals` are lines for columns.toml.
    """

    title: str
    label: str
    as_of: str
    stage: str
    stops: str
    summary: str
    findings: int
    due: int
    tally: tuple[Tally, ...]
    files: tuple[InFile, ...]
    behind: tuple[Matter, ...]
    unused: tuple[str, ...]
    later: tuple[Later, ...]
    checks: tuple[Counted, ...]
    proposals: tuple[str, ...]
    next: str
    form: str = FORM

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Every thing to do, in the order of the files."""
        return tuple(task for file in self.files for task in file.tasks)

    def number(self, kind: Kind) -> int:
        """How many things of one kind there are."""
        return next((tally.number for tally in self.tally if tally.kind is kind), 0)


def daily(
    book: Book, not_withheld: Sequence[Fault] = (), proposals: Sequence[str] = (), waits: Waits = NOTHING_WAITS
) -> Daily:
    """What is to be done.

    Args:
        book: the book of the folder as it is.
        not_withheld: the faults because of which no book would be written.
        proposals: lines that may be copied into columns.toml.
        waits: the rows that cannot be used and that a finding waits for, by its number, as `pipeline.waits` gives them.
    """
    sheets = sheets_of_tables(book)
    faults = tuple(_of_faults(book, not_withheld, sheets))
    tasks = (*faults, *_of_matters(book, sheets, waits))
    files = _by_file(tasks)
    every = book.governing
    return Daily(
        title=book.title,
        label=book.hull.label,
        as_of=book.hull.as_of.isoformat() if book.hull.as_of else "",
        stage=book.hull.stage,
        stops=refusal(not_withheld) if not_withheld else "",
        summary=book.summary,
        findings=len(every),
        due=len(every) - len(book.not_due),
        tally=tuple(Tally(kind, number) for kind in Kind if (number := _number(tasks, kind))),
        files=files,
        behind=tuple(matter for matter in book.matters if matter.state not in OF_STATE),
        unused=_untold(book),
        later=_later(book),
        checks=tuple(
            Counted(result.id, result.question, ", ".join(count.of() for count in result.counts))
            for chapter in book.chapters
            for result in chapter.checks
        ),
        proposals=tuple(proposals),
        next=_next(files, waits),
    )


def _untold(book: Book) -> tuple[str, ...]:
    """The files that nothing uses, without those of which more is told."""
    told = {fault.where.file for fault in book.faults}
    return tuple(name for name in book.unused_files if name not in told)


def _number(tasks: Iterable[Task], kind: Kind) -> int:
    return sum(1 + len(task.alike) for task in tasks if task.kind is kind)


def _of_faults(book: Book, not_withheld: Sequence[Fault], sheets: Mapping[str, str]) -> Iterable[Task]:
    stopping = set(not_withheld)
    for first, *others in alike([*not_withheld, *(fault for fault in book.faults if fault not in stopping)]):
        kind = Kind.FAULT if first.severity is Severity.FAULT else Kind.NOTICE
        yield Task(
            id=f"{first.where.file} {first.where.column or first.where.part} {first.found}".strip(),
            kind=Kind.STOPS if first in stopping else kind,
            at=first.where,
            what=f"found {first.found}; expected {first.expected}",
            why=first.effect,
            remedy=in_their_places(of_fault(first), sheets),
            alike=tuple(f"{fault.where.short}: {fault.found}" for fault in others),
        )


def alike(faults: Sequence[Fault]) -> list[list[Fault]]:
    """Faults that are told together, in the order given: three or more of one column in which the same was expected."""
    groups: dict[object, list[Fault]] = {}
    for fault in faults:
        where = replace(fault.where.row, line=None, column=fault.where.column)
        groups.setdefault((where, fault.expected, fault.effect) if fault.where.line else fault, []).append(fault)
    told_together = [its for its in groups.values() if len(its) >= FEWEST_ALIKE]
    alone = [[fault] for its in groups.values() if len(its) < FEWEST_ALIKE for fault in its]
    places = {id(fault): place for place, fault in enumerate(faults)}
    return sorted((*told_together, *alone), key=lambda its: places[id(its[0])])


def _of_matters(book: Book, sheets: Mapping[str, str], waits: Waits) -> Iterable[Task]:
    given = {item.number: item for item in book.governing}
    reports = Reports.of(book)
    for matter in book.matters:
        kind, items = OF_STATE.get(matter.state), [given[number] for number in matter.findings if number in given]
        if kind is None or not items:
            continue
        lead = items[0]
        at = _where(lead, sheets)
        remedy = of_matter(matter, lead, at.file, reports, finished=not book.hull.unfinished)
        remedy, alone = with_rows(matter, lead, remedy, waits.get(lead.number, ()))
        rows = [reports.at[report] for report in to_close(matter, reports)]
        to_write = REPORTS in remedy.text and not matter.reports and UNREADABLE not in matter.became
        yield Task(
            id=_key_text(lead),
            kind=Kind.STAYS if stays(matter, lead) and not alone else kind,
            at=rows[0] if rows else at,
            what=f"{matter.what}: {lead.verdict}{ONLY_BY_REPORT if good_but_reported(lead.finding) else ''}",
            why=matter.became,
            remedy=in_their_places(remedy.text, sheets),
            numbers=matter.findings,
            reports=matter.reports,
            row=words_to_copy(lead.finding.key) if to_write else "",
            waits=alone,
            who=remedy.who,
        )


def _key_text(item: Numbered) -> str:
    key = item.finding.key
    return " ".join(str(part) for part in (key.check, key.quantity, key.place, key.condition, key.attempt) if part)


def _where(item: Numbered, sheets: Mapping[str, str]) -> Where:
    """The row that a finding rests on; without one the table in which its check looks first."""
    if item.finding.at:
        return item.finding.at[0]
    (check,) = (check for check in CHECKS if check.id == item.finding.key.check)
    of_readings = [kind.table for kind in check.tables if kind.table.attempt or kind.table.time]
    tables = (*of_readings, *(kind.table for kind in check.tables if kind.table.file not in LISTS))
    file = tables[0].file if tables else check.tables[0].table.file
    return Where(file, sheet=sheets.get(file, ""))


def _by_file(tasks: Iterable[Task]) -> tuple[InFile, ...]:
    """The files with the most pressing thing first, then by name; in each the most pressing first, then by line."""
    found: dict[str, list[Task]] = {}
    for task in tasks:
        found.setdefault(task.at.stands_in, []).append(task)
    for its in found.values():
        its.sort(key=lambda task: (task.kind.order, task.at.order, task.id))
    ordered = sorted(found, key=lambda file: (found[file][0].kind.order, natural_text(file)))
    return tuple(InFile(file, tuple(found[file])) for file in ordered)


def _later(book: Book) -> tuple[Later, ...]:
    """What is not due yet, by the stage from which it is asked for, in the order of the build."""
    found: dict[Stage | None, list[Numbered]] = {}
    for item in book.not_due:
        found.setdefault(due_from(item.finding), []).append(item)
    return tuple(
        Later(it.value, tuple(dict.fromkeys(item.finding.key.check for item in found[it])), len(found[it]))
        for it in Stage
        if it in found
    )


def _next(files: Sequence[InFile], waits: Waits) -> str:
    """The one next thing, in a line: of the most pressing kind; of several faults the one that hides the most."""
    tasks = [task for file in files for task in file.tasks if task.kind.in_the_way]
    if not tasks:
        return "Nothing stands in the way. Build the book: buildbook build"
    first = min(task.kind.order for task in tasks)
    pressing = max((task for task in tasks if task.kind.order == first), key=lambda task: _hidden(task, waits))
    return f"{pressing.at}: {pressing.remedy}"


def _hidden(task: Task, waits: Waits) -> int:
    """How many findings wait for the row or the file of a fault; 0 for what is no fault."""
    if task.kind is not Kind.FAULT:
        return 0
    file, line = task.at.file, task.at.line
    return sum(1 for rows in waits.values() if any(it.file == file and line in (it.line, None) for it in rows))
