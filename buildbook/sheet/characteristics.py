"""What a rule looks at: everything found of one characteristic (check and quantity), over all places and attempts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from buildbook.chapters import CHAPTERS
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.book import Book, CheckResult, Numbered, Report, State, TableView
from buildbook.core.finding import Key, Verdict, results_of

NO_ROWS = ("has heads and no rows", "is empty")  # what a table says of itself that has nothing in it to lose


@dataclass(frozen=True, slots=True)
class Again:
    """A finding that was put right, or was close to its limit and measured anew, and what was found later."""

    first: Numbered
    later: tuple[Numbered, ...]


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One quantity of one check.

    `governing` and `references` are all findings of it. `settled` are those that were put right and measured again;
    `today` are the governing findings that stand today: neither settled nor replaced by a later attempt, nor not
    applicable; `again` is what was measured again and has to be told. `reports` are the nonconformity reports about it,
    `unclosed` the ids of those whose closing is not shown. `gaps` are lines of the plan for its check that have no
    reading or no record, `lost` rows that its check rests on and that could not be used, `lost_reports` rows of the
    table of reports. `worded` tells whether somebody wrote a sentence for it.
    """

    check: str
    quantity: str
    governing: tuple[Numbered, ...]
    references: tuple[Numbered, ...]
    settled: frozenset[str]
    today: tuple[Numbered, ...]
    again: tuple[Again, ...]
    reports: tuple[Report, ...]
    unclosed: frozenset[str]
    gaps: tuple[str, ...]
    lost: tuple[str, ...]
    lost_reports: tuple[str, ...]
    worded: bool

    def with_verdict(self, *verdicts: Verdict) -> tuple[Numbered, ...]:
        """The findings of today with one of some verdicts."""
        return tuple(item for item in self.today if item.finding.verdict in verdicts)

    @property
    def unsettled(self) -> tuple[Numbered, ...]:
        """All governing findings, earlier attempts among them, but for those put right and measured again."""
        return tuple(item for item in self.governing if item.number not in self.settled)

    @property
    def plain(self) -> tuple[Numbered, ...]:
        """Values of today that nobody set a limit for."""
        return tuple(item for item in self.with_verdict(Verdict.INFORMATION) if item.finding.limit is None)

    @property
    def gone(self) -> tuple[Numbered, ...]:
        """Readings on a part that is no longer aboard, shown for information although there is a limit."""
        return tuple(item for item in self.with_verdict(Verdict.INFORMATION) if item.finding.limit is not None)


def characteristics(book: Book, worded: Iterable[tuple[str, str]]) -> tuple[Characteristic, ...]:
    """Every characteristic of a book in the order of its checks; `worded` are those with a sentence of their own."""
    known = frozenset(worded)
    seen = _Seen.of(book)
    return tuple(
        _characteristic(seen, check, quantity, (check.id, quantity) in known)
        for chapter in book.chapters
        for check in chapter.checks
        for quantity in dict.fromkeys(item.finding.key.quantity for item in check.governing)
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """What is looked up once for the whole book."""

    book: Book
    put_right: frozenset[str]
    unclosed: frozenset[str]
    rests_on: Mapping[str, tuple[str, ...]]
    lost: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, book: Book) -> _Seen:
        given = {item.finding.key: item for item in _governing(book)}
        closings = {
            key.place: item for key, item in given.items() if (key.check, key.quantity) == (REPORT_CHECK, CLOSED)
        }
        shown = {name for name, item in closings.items() if item.finding.verdict.met}
        reported = [it for it in book.matters if it.reports]
        return cls(
            book=book,
            put_right=frozenset(no for it in reported if it.state is State.PUT_RIGHT for no in it.findings),
            unclosed=frozenset(report.id for report in book.reports if report.id not in shown or not report.closed_on),
            rests_on={
                check.id: tuple(kind.table.file for kind in check.tables) for ch in CHAPTERS for check in ch.checks
            },
            lost={table.file: _lost(table) for table in book.tables},
        )


def _lost(table: TableView) -> tuple[str, ...]:
    """Rows of a table that could not be used; the file itself where that is said of the whole of it."""
    rows = tuple(f"{table.file}:{row.line}" for row in table.rows if row.fault)
    whole = table.state and (table.rows or table.bytes) and table.state not in NO_ROWS
    return (table.file, *rows) if whole else rows


def _governing(book: Book) -> Iterator[Numbered]:
    for chapter in book.chapters:
        for check in chapter.checks:
            yield from check.governing


def _characteristic(seen: _Seen, check: CheckResult, quantity: str, worded: bool) -> Characteristic:
    governing = tuple(item for item in check.governing if item.finding.key.quantity == quantity)
    references = tuple(item for item in check.references if item.finding.key.quantity == quantity)
    given = {item.finding.key: item for item in governing}
    later = {item.number: _later(item, given) for item in governing}
    settled = frozenset(
        item.number for item in governing if item.number in seen.put_right and _all_shown(later[item.number])
    )
    replaced = frozenset(item.number for item in governing if later[item.number])
    today = (item for item in governing if item.number not in settled | replaced)
    close = (item for item in governing if item.number in replaced and item.finding.verdict is Verdict.CONDITIONAL_PASS)
    told = (*(item for item in governing if item.number in settled), *close)
    files = seen.rests_on.get(check.id, ())
    return Characteristic(
        check=check.id,
        quantity=quantity,
        governing=governing,
        references=references,
        settled=settled,
        today=tuple(item for item in today if item.finding.verdict is not Verdict.NOT_APPLICABLE),
        again=tuple(Again(item, later[item.number]) for item in dict.fromkeys(told)),
        reports=_reports(seen.book, check, quantity, governing),
        unclosed=seen.unclosed,
        gaps=tuple(line.line for line in seen.book.plan if line.verdict.unshown and line.check in (check.id, "")),
        lost=tuple(place for file in files for place in seen.lost.get(file, ())),
        lost_reports=seen.lost.get(Nonconformity.table.file, ()),
        worded=worded,
    )


def _later(item: Numbered, given: Mapping[Key, Numbered]) -> tuple[Numbered, ...]:
    """What the next attempt at the same thing showed, under the same name or that of a new specimen."""
    key = item.finding.key
    return tuple(given[one] for one in results_of(replace(key, attempt=key.attempt + 1), given))


def _all_shown(later: tuple[Numbered, ...]) -> bool:
    """Whether something was measured again, and all of it met its limit or has none."""
    good = (it.finding.verdict.met or it.finding.verdict is Verdict.INFORMATION for it in later)
    return bool(later) and all(good)


def _reports(book: Book, check: CheckResult, quantity: str, governing: tuple[Numbered, ...]) -> tuple[Report, ...]:
    """The reports about a characteristic: by a finding, by its name, or because they do not say what they are about.

    A report that names the check and no quantity of it, or a quantity that the check does not have, is about all of it.
    """
    numbers = {item.number for item in governing}
    others = {item.finding.key.quantity for item in check.governing} - {quantity}

    def concerns(report: Report) -> bool:
        if numbers & set(report.findings):
            return True
        if report.check:
            return report.check == check.id and report.quantity not in others
        return not report.findings

    return tuple(report for report in book.reports if concerns(report))
