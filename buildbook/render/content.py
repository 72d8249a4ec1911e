"""What the pages show, gathered from the book: findings with their strips and rows, limits with who set them, prose."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.core.book import Book, ChapterResult, CheckResult, Count, Numbered, Photograph, Report, Row, TableView
from buildbook.core.chart import Chart
from buildbook.core.finding import Finding, Verdict
from buildbook.core.limit import Term
from buildbook.core.source import Source
from buildbook.core.where import Where
from buildbook.core.wording import STANDINGS, period_text
from buildbook.render.figures import Figure, chart_figure, strip_figure
from buildbook.render.links import Links
from buildbook.render.prose import Prose, prose


OPEN_FINDINGS = 40
PRINTED_ROWS = 60
FIRST_EXCEPTIONS = 5


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring rows of one file: its text (`12–40`), the first line, or the whole place in words."""

    text: str
    line: int | None


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one file that a finding rests on."""

    file: str
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One finding as a table shows it, with its strip, the rows it rests on and the references beside it."""

    item: Numbered
    strip: Figure
    rows: tuple[Rows, ...]
    period: str
    beside: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """One term of a limit: its words, who set it, where, how well it is known, and where the folder says so."""

    limit: str
    term: Term
    place: str
    standing: str
    title: str


@dataclass(frozen=True, slots=True)
class Tally:
    """How many findings of how many have one verdict."""

    verdict: Verdict
    number: int
    total: int


@dataclass(frozen=True, slots=True)
class Section:
    """One check as a chapter shows it."""

    check: CheckResult
    prose: Prose
    tally: tuple[Tally, ...]
    lines: tuple[Line, ...]
    rest: tuple[Line, ...]
    charts: tuple[tuple[Chart, Figure], ...]
    photographs: tuple[Photograph, ...]
    reports: tuple[Report, ...]
    requirements: tuple[Requirement, ...]
    nearest: Figure | None


@dataclass(frozen=True, slots=True)
class Opening:
    """One chapter: what stands before, around and after its checks."""

    chapter: ChapterResult
    prose: Prose
    tally: tuple[Tally, ...]
    nearest: Figure | None
    sections: tuple[Section, ...]
    exceptions: tuple[Line, ...]
    reports: tuple[Report, ...]
    tables: tuple[TableView, ...]


def tally(counts: Iterable[Count]) -> tuple[Tally, ...]:
    """Counts with their denominator."""
    counts = tuple(counts)
    total = sum(count.number for count in counts)
    return tuple(Tally(count.verdict, count.number, total) for count in counts if count.number)


def rows(at: Iterable[Where]) -> tuple[Rows, ...]:
    """The rows of a finding, neighbours joined, in the order given.

    Example:
        >>> rows((Where("a.csv", 4), Where("a.csv", 5), Where("a.csv", 9)))[0].runs
        (Run(text='4–5', line=4), Run(text='9', line=9))
    """
    files: dict[str, list[Where]] = {}
    for where in at:
        files.setdefault(where.file, []).append(where)
    return tuple(Rows(file, tuple(_runs(places))) for file, places in files.items())


def _runs(places: Iterable[Where]) -> Iterable[Run]:
    stretches: list[list[int]] = []
    words: list[Run] = []
    for where in places:
        if where.line is None:
            words.append(Run(where.part or where.column, None))
        elif stretches and where.line == stretches[-1][1]:
            continue
        elif stretches and where.line == stretches[-1][1] + 1:
            stretches[-1][1] = where.line
        else:
            stretches.append([where.line, where.line])
    runs = [Run(str(first) if first == last else f"{first}–{last}", first) for first, last in stretches]
    return [*runs, *dict.fromkeys(words)]


def lines(items: Iterable[Numbered], references: Iterable[Numbered] = (), prefix: str = "") -> tuple[Line, ...]:
    """Findings as a table shows them, in the order given; each reference stands beside the finding it belongs to."""
    items, references = tuple(items), tuple(references)
    among = (*items, *references)
    earlier = {_attempt(item.finding): item for item in among}
    waiting = list(references)

    def line(item: Numbered, beside: tuple[Line, ...] = ()) -> Line:
        before = earlier.get(_attempt(item.finding, back=1))
        figure = strip_figure(item, before, among, prefix)
        return Line(item, figure, rows(item.finding.at), period_text(item.finding.period), beside)

    made = []
    for item in items:
        mine = [other for other in waiting if _thing(other.finding) == _thing(item.finding)]
        waiting = [other for other in waiting if other not in mine]
        made.append(line(item, tuple(line(other) for other in mine)))
    return (*made, *(line(other) for other in waiting))


def _thing(finding: Finding) -> tuple[str, str, str, str, int]:
    key = finding.key
    return key.check, key.quantity, key.place, key.condition, key.attempt


def _attempt(finding: Finding, back: int = 0) -> tuple[str, str, str, str, int, str]:
    key = finding.key
    return key.check, key.quantity, key.place, key.condition, key.attempt - back, key.role.value


def requirements(check: CheckResult, sources: Mapping[str, Source]) -> tuple[Requirement, ...]:
    """Who set the limits of a check: each term once, in the order in which the findings name them."""
    made: dict[Term, Requirement] = {}
    for item in (*check.governing, *check.references):
        for term in item.finding.limit.terms if item.finding.limit else ():
            if term not in made:
                revision = f"revision {term.revision}" if term.revision else ""
                place = ", ".join(part for part in (term.document, revision, term.clause) if part)
                source = sources.get(term.source)
                title = f"{source.title}{f', {source.edition}' if source.edition else ''}" if source else term.source
                made[term] = Requirement(item.limit, term, place, STANDINGS[term.standing], title)
    return tuple(made.values())


def opening(book: Book, chapter: ChapterResult, link: Links) -> Opening:
    """Everything a chapter page shows."""
    ids = {check.id for check in chapter.checks}
    mine = {item.number for check in chapter.checks for item in check.governing}
    return Opening(
        chapter=chapter,
        prose=prose(f"chapters/{chapter.key}/chapter", link.page),
        tally=tally(chapter.counts),
        nearest=_nearest(chapter.nearest, "chapter-"),
        sections=tuple(_section(book, chapter, check, link) for check in chapter.checks),
        exceptions=lines((item for item in book.exceptions if item.finding.key.check in ids), (), "exception-"),
        reports=tuple(report for report in book.reports if mine.intersection(report.findings)),
        tables=tuple(table for table in book.tables if table.file in chapter.tables),
    )


def _section(book: Book, chapter: ChapterResult, check: CheckResult, link: Links) -> Section:
    mine = {item.number for item in check.governing}
    found = lines(check.governing, check.references)
    return Section(
        check=check,
        prose=prose(f"chapters/{chapter.key}/{check.id}", link.page),
        tally=tally(check.counts),
        lines=found if link.printed else found[:OPEN_FINDINGS],
        rest=() if link.printed else found[OPEN_FINDINGS:],
        charts=tuple((chart, chart_figure(chart)) for chart in check.charts),
        photographs=tuple(photograph for photograph in book.photographs if photograph.check == check.id),
        reports=tuple(report for report in book.reports if mine.intersection(report.findings)),
        requirements=requirements(check, {source.key: source for source in book.sources}),
        nearest=_nearest(check.nearest, "nearest-"),
    )


@dataclass(frozen=True, slots=True)
class Excerpt:
    """The first rows of a table as the printed book shows them; `left` rows are only in the attached file."""

    table: TableView
    rows: tuple[Row, ...]
    left: int


def excerpts(book: Book) -> tuple[Excerpt, ...]:
    """Every table that has rows."""
    return tuple(
        Excerpt(table, table.rows[:PRINTED_ROWS], len(table.rows[PRINTED_ROWS:])) for table in book.tables if table.rows
    )


def plan_tally(book: Book) -> tuple[Tally, ...]:
    """How many lines of the plan have each verdict."""
    verdicts = [line.verdict for line in book.plan]
    return tally(Count(verdict, verdicts.count(verdict)) for verdict in Verdict)


def _nearest(item: Numbered | None, prefix: str) -> Figure | None:
    return strip_figure(item, None, (item,), prefix) if item else None
