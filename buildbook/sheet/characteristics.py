"""What a rule looks at: everything found of one characteristic (check and quantity), over all places and attempts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.chapters import CHAPTERS
from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.book import Book, CheckResult, Numbered, PlanLine, Report
from buildbook.core.finding import Verdict
from buildbook.core.matter import Matter, State
from buildbook.core.table_view import TableView
from buildbook.core.where import Where
from buildbook.sheet.kinds import kind_of

NO_ROWS = ("has heads and no rows", "is empty")  # what a table says of itself that has nothing in it to lose


@dataclass(frozen=True, slots=True)
class Nearby:
    """A finding that missed its limit at the same place, and how the book says that it stands today."""

    item: Numbered
    state: str


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One quantity of one check.

    `governing` and `references` are all findings of it; `put_right` are the numbers of those that the book tells as put
    right and measured again. `counted` are the governing findings of every place and every attempt, without those that
    do not apply. `kin` are those of the same kind (`kind_of`) in other checks of the book, `beside` what missed its
    limit and rests on a row that this rests on too, `nearby` what else missed its limit at a place of it, once for each
    matter. `reports` are the nonconformity reports about it or its kin, `unclosed` the ids of those whose closing is
    not shown. `planned` tells whether there is a plan at all, `gaps` are lines of it for its check that ask for what is
    not there, whatever else became of the line. `lost` are rows that its check rests on and that could not be used,
    `lost_reports` rows of the table of reports. `worded` tells whether somebody wrote a sentence for it.
    """

    check: str
    quantity: str
    governing: tuple[Numbered, ...]
    references: tuple[Numbered, ...]
    put_right: frozenset[str]
    counted: tuple[Numbered, ...]
    kin: tuple[Numbered, ...]
    beside: tuple[Numbered, ...]
    nearby: tuple[Nearby, ...]
    reports: tuple[Report, ...]
    unclosed: frozenset[str]
    planned: bool
    gaps: tuple[str, ...]
    lost: tuple[str, ...]
    lost_reports: tuple[str, ...]
    worded: bool

    def with_verdict(self, *verdicts: Verdict) -> tuple[Numbered, ...]:
        """The counted findings with one of some verdicts."""
        return tuple(item for item in self.counted if item.finding.verdict in verdicts)

    @property
    def nearest(self) -> Numbered | None:
        """Of all findings that met their limit, clearly or not, the one nearest to its own; None where none did."""
        return _nearest(self.counted)

    @property
    def nearest_of_kind(self) -> Numbered | None:
        """The same of every check that has readings of this kind; of two as near the one of this check."""
        return _nearest((*self.counted, *self.kin))

    @property
    def plain(self) -> tuple[Numbered, ...]:
        """Values that nobody set a limit for."""
        return tuple(item for item in self.with_verdict(Verdict.INFORMATION) if item.finding.limit is None)

    @property
    def gone(self) -> tuple[Numbered, ...]:
        """Readings on a part that is no longer aboard, shown for information although there is a limit."""
        return tuple(item for item in self.with_verdict(Verdict.INFORMATION) if item.finding.limit is not None)


def _nearest(items: Iterable[Numbered]) -> Numbered | None:
    met = [item for item in items if item.finding.verdict in (Verdict.PASS, Verdict.CONDITIONAL_PASS)]
    return min(met, key=lambda item: item.finding.relative_margin, default=None)


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
    """What is looked up once for the whole book.

    `missed` are the findings that missed a limit; `on_row` the same by each row they rest on; `told` the matter of each
    finding, by its number; `of_kind` are the counted findings by their kind; `put_right` those that a matter with a
    report tells as put right; `unkept` the lines of the plan of which something asked for is not there; what else
    became of it may be worse.
    """

    book: Book
    missed: tuple[Numbered, ...]
    on_row: Mapping[Where, Sequence[Numbered]]
    told: Mapping[str, Matter]
    of_kind: Mapping[str, Sequence[Numbered]]
    put_right: frozenset[str]
    unclosed: frozenset[str]
    unkept: tuple[PlanLine, ...]
    rests_on: Mapping[str, tuple[str, ...]]
    lost: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, book: Book) -> _Seen:
        given = {item.finding.key: item for item in book.governing}
        closings = {
            key.place: item for key, item in given.items() if (key.check, key.quantity) == (REPORT_CHECK, CLOSED)
        }
        shown = {name for name, item in closings.items() if item.finding.verdict.met}
        missed = tuple(item for item in given.values() if item.finding.verdict.missed)
        asked = {key.place for key, item in given.items() if key.check == PLAN_CHECK and item.finding.verdict.unshown}
        on_row: dict[Where, list[Numbered]] = {}
        for item in missed:
            for row in _rows(item):
                on_row.setdefault(row, []).append(item)
        return cls(
            book=book,
            missed=missed,
            on_row=on_row,
            told={number: matter for matter in book.matters for number in matter.findings},
            of_kind=_by_kind(given.values()),
            put_right=frozenset(
                number
                for matter in book.matters
                if matter.state is State.PUT_RIGHT and matter.reports
                for number in matter.findings
            ),
            unclosed=frozenset(report.id for report in book.reports if report.id not in shown or not report.closed_on),
            unkept=tuple(line for line in book.plan if line.verdict.unshown or line.line in asked),
            rests_on={
                check.id: tuple(kind.table.file for kind in check.tables) for ch in CHAPTERS for check in ch.checks
            },
            lost={table.file: _lost(table) for table in book.tables},
        )


def _by_kind(items: Iterable[Numbered]) -> dict[str, list[Numbered]]:
    found: dict[str, list[Numbered]] = {}
    for item in items:
        if item.finding.verdict is not Verdict.NOT_APPLICABLE:
            found.setdefault(kind_of(item.finding.key.check, item.finding.key.quantity), []).append(item)
    return found


def _rows(item: Numbered) -> frozenset[Where]:
    return frozenset(where.row for where in item.finding.at)


def _lost(table: TableView) -> tuple[str, ...]:
    """Rows of a table that could not be used; the file itself where that is said of the whole of it."""
    rows = tuple(f"{table.stands_in}:{row.line}" for row in table.rows if row.fault)
    whole = table.state and (table.rows or table.bytes) and table.state not in NO_ROWS
    return (table.file, *rows) if whole else rows


def _characteristic(seen: _Seen, check: CheckResult, quantity: str, worded: bool) -> Characteristic:
    governing = tuple(item for item in check.governing if item.finding.key.quantity == quantity)
    kind = kind_of(check.id, quantity)
    kin = tuple(item for item in seen.of_kind.get(kind, ()) if item.finding.key.check != check.id)
    own = {item.number for item in (*governing, *kin)}
    rows = {row for item in governing for row in _rows(item)}
    sharing = {item.number: item for row in rows for item in seen.on_row.get(row, ())}
    beside = tuple(item for item in seen.missed if item.number in sharing.keys() - own)
    files = seen.rests_on.get(check.id, ())
    return Characteristic(
        check=check.id,
        quantity=quantity,
        governing=governing,
        references=tuple(item for item in check.references if item.finding.key.quantity == quantity),
        put_right=seen.put_right,
        counted=tuple(item for item in governing if item.finding.verdict is not Verdict.NOT_APPLICABLE),
        kin=kin,
        beside=beside,
        nearby=_nearby(seen, governing, own),
        reports=_reports(seen.book, check, quantity, (*governing, *kin)),
        unclosed=seen.unclosed,
        planned=bool(seen.book.plan),
        gaps=tuple(line.line for line in seen.unkept if line.check in (check.id, "")),
        lost=tuple(place for file in files for place in seen.lost.get(file, ())),
        lost_reports=seen.lost.get(Nonconformity.table.file, ()),
        worded=worded,
    )


def _nearby(seen: _Seen, governing: Sequence[Numbered], own: Collection[str]) -> tuple[Nearby, ...]:
    """What else missed its limit at a place of some findings; of one matter the first."""
    places = {item.finding.key.place for item in governing} - {""}
    here = [item for item in seen.missed if item.finding.key.place in places and item.number not in own]
    told: dict[str, Nearby] = {}
    for item in here:
        matter = seen.told.get(item.number)
        one = Nearby(item, matter.state.value if matter else "")
        told.setdefault(matter.findings[0] if matter else item.number, one)
    return tuple(told.values())


def _reports(book: Book, check: CheckResult, quantity: str, findings: Sequence[Numbered]) -> tuple[Report, ...]:
    """The reports about a characteristic: by a finding, by its name, or because they do not say what they are about.

    A report that names the check and no quantity of it, or a quantity that the check does not have, is about all of it;
    one that names the same kind of reading in another check is about it too.
    """
    numbers = {item.number for item in findings}
    others = {item.finding.key.quantity for item in check.governing} - {quantity}
    kind = kind_of(check.id, quantity)

    def concerns(report: Report) -> bool:
        if numbers & set(report.findings):
            return True
        if report.check and report.check != check.id:
            return kind_of(report.check, report.quantity) == kind
        if report.check:
            return report.quantity not in others
        return not report.findings

    return tuple(report for report in book.reports if concerns(report))
