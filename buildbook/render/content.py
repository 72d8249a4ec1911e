"""What the pages show, gathered from the book: findings with their strips and rows, limits with who set them, prose."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_lowercase

from buildbook.core.book import Book, ChapterResult, CheckResult, Count, Numbered, Photograph, Report
from buildbook.core.chart import Chart
from buildbook.core.finding import NOT_DUE_YET, WORST_FIRST, Finding, Verdict
from buildbook.core.her_marks import PlaceLine
from buildbook.core.limit import Term
from buildbook.core.matter import Matter, State, told_in
from buildbook.core.source import Source
from buildbook.core.table_view import TableView
from buildbook.core.where import Where
from buildbook.core.wording import period_text, source_name, term_text
from buildbook.render.figures import Figure, chart_figure, strip_figure
from buildbook.render.links import Links
from buildbook.render.on_her import Drawn, of_chapter
from buildbook.render.own_words import prose_of
from buildbook.render.prose import Prose

OPEN_FINDINGS = 40
MANY_FINDINGS = 60
MANY_PASSES = 12  # of one check: more of them stand in print as short lines, without their strips
SEVERAL = "see the findings"


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
class Mark:
    """A sign in a table that leads to a line below it: a note that several findings share, or who set a limit."""

    sign: str
    anchor: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of one check: by note and by term of a limit."""

    notes: Mapping[str, Mark]
    terms: Mapping[Term, Mark]


@dataclass(frozen=True, slots=True)
class Line:
    """One finding as a table shows it, with its strip, the rows it rests on and the references beside it.

    `notes` are its own; `shared` marks lead to notes that other findings have too, `setters` to who set its limit.
    """

    item: Numbered
    strip: Figure
    rows: tuple[Rows, ...]
    period: str
    notes: tuple[str, ...]
    shared: tuple[Mark, ...]
    setters: tuple[Mark, ...]
    beside: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """One term of a limit: its mark, the limit it made, and in words who set it, where, and how well it is known.

    `limit` is empty for a requirement in words; where a term made several limits it sends the reader to the findings.
    """

    mark: Mark
    limit: str
    term: Term
    setter: str


@dataclass(frozen=True, slots=True)
class Group:
    """The matters that stand alike, under one heading."""

    state: State
    matters: tuple[Matter, ...]


def by_state(matters: Iterable[Matter]) -> tuple[Group, ...]:
    """Matters by how they stand, those still open first; a heading without any is left out."""
    matters = tuple(matters)
    groups = ((state, tuple(it for it in matters if it.state is state)) for state in State)
    return tuple(Group(state, its) for state, its in groups if its)


@dataclass(frozen=True, slots=True)
class Tally:
    """How many findings of how many have one verdict; `later` says how many of them are not due yet."""

    verdict: Verdict
    number: int
    total: int
    later: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """One check as a chapter shows it; `rest` is folded away on the site, and in print plain passes told short."""

    check: CheckResult
    prose: Prose
    tally: tuple[Tally, ...]
    lines: tuple[Line, ...]
    rest: tuple[Line, ...]
    charts: tuple[tuple[Chart, Figure, str], ...]
    photographs: tuple[Photograph, ...]
    notes: tuple[Mark, ...]
    reports: tuple[Report, ...]
    requirements: tuple[Requirement, ...]
    sources: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Opening:
    """One chapter: what stands before, around and after its checks.

    `states` are its matters by how they stand, `questions` its checks, those first whose matters are told first.
    """

    chapter: ChapterResult
    states: tuple[Group, ...]
    questions: tuple[CheckResult, ...]
    prose: Prose
    tally: tuple[Tally, ...]
    nearest: Figure | None
    sections: tuple[Section, ...]
    exceptions: tuple[Line, ...]
    reports: tuple[Report, ...]
    where: tuple[Drawn, ...]
    tables: tuple[TableView, ...]

    @property
    def texts(self) -> tuple[str, ...]:
        """Every text of running prose in the chapter."""
        parts = (self.prose, *(section.prose for section in self.sections))
        short = (text for it in self.sections for text in (it.check.answer, *(note.text for note in it.notes)))
        return (self.chapter.answer, *(piece.text for part in parts for piece in part.pieces), *short)


def tally(counts: Iterable[Count]) -> tuple[Tally, ...]:
    """Counts with their denominator, the worst first."""
    counts = sorted(counts, key=lambda count: WORST_FIRST.index(count.verdict))
    total = sum(count.number for count in counts)
    return tuple(Tally(count.verdict, count.number, total, _later(count)) for count in counts if count.number)


def _later(count: Count) -> str:
    """What a count of findings that do not apply says of those that are not due yet."""
    return count.became if count.verdict is Verdict.NOT_APPLICABLE else ""


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


NO_MARKS = Marks({}, {})


def lines(
    items: Iterable[Numbered], references: Iterable[Numbered] = (), prefix: str = "", marks: Marks = NO_MARKS
) -> tuple[Line, ...]:
    """Findings as a table shows them, in the order given; each reference stands beside the finding it belongs to."""
    items, references = tuple(items), tuple(references)
    among = (*items, *references)
    earlier = {_attempt(item.finding): item for item in among}
    waiting = list(references)

    def line(item: Numbered, beside: tuple[Line, ...] = ()) -> Line:
        before = earlier.get(_attempt(item.finding, back=1))
        figure = strip_figure(item, before, among, prefix)
        notes, limit = item.finding.notes, item.finding.limit
        return Line(
            item,
            figure,
            rows(item.finding.at),
            period_text(item.finding.period),
            tuple(note for note in notes if note not in marks.notes),
            tuple(marks.notes[note] for note in notes if note in marks.notes),
            tuple(marks.terms[term] for term in (limit.terms if limit else ()) if term in marks.terms),
            beside,
        )

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


def marks_of(check: CheckResult) -> Marks:
    """The marks of a check: notes that two findings or more share, numbered; terms of its limits, lettered."""
    items = (*check.governing, *check.references)
    told = [note for item in items for note in dict.fromkeys(item.finding.notes)]
    shared = [note for note, times in Counter(told).items() if times > 1]
    terms = dict.fromkeys(term for item in items if item.finding.limit for term in item.finding.limit.terms)
    return Marks(
        {note: Mark(str(n), f"{check.id}-note-{n}", note) for n, note in enumerate(shared, 1)},
        {term: Mark(_letter(n), f"{check.id}-limit-{_letter(n)}") for n, term in enumerate(terms)},
    )


def _letter(number: int) -> str:
    """0 is a, 25 is z, 26 is aa."""
    before, letter = divmod(number, len(ascii_lowercase))
    return (_letter(before - 1) if before else "") + ascii_lowercase[letter]


def requirements(check: CheckResult, marks: Marks, sources: Mapping[str, Source]) -> tuple[Requirement, ...]:
    """Who set the limits of a check: each term once, in the order in which the findings name them."""
    limits: dict[Term, dict[str, None]] = {term: {} for term in marks.terms}
    for item in (*check.governing, *check.references):
        limit = item.finding.limit
        if limit is not None and (limit.low is not None or limit.high is not None):
            for term in limit.terms:
                limits[term][item.limit] = None
    return tuple(
        Requirement(mark, SEVERAL if len(limits[term]) > 1 else "".join(limits[term]), term, term_text(term, sources))
        for term, mark in marks.terms.items()
    )


def opening(book: Book, chapter: ChapterResult, link: Links) -> Opening:
    """Everything a chapter page shows."""
    ids = {check.id for check in chapter.checks}
    matters = told_in(ids, book.matters)
    mine = {item.number for check in chapter.checks for item in check.governing}
    return Opening(
        chapter=chapter,
        states=by_state(matters),
        questions=told_first(chapter.checks, matters),
        prose=prose_of(book, f"{chapter.key}/chapter", link.written),
        tally=tally(chapter.counts),
        nearest=_nearest(chapter.nearest, "chapter-"),
        sections=tuple(_section(book, chapter, check, link) for check in chapter.checks),
        exceptions=lines((item for item in book.exceptions if item.finding.key.check in ids), (), "exception-"),
        reports=tuple(report for report in book.reports if mine.intersection(report.findings)),
        where=of_chapter(book, chapter.key),
        tables=tuple(table for table in book.tables if table.file in chapter.tables),
    )


def told_first(checks: Iterable[CheckResult], matters: Sequence[Matter]) -> tuple[CheckResult, ...]:
    """Checks in the order in which their matters are told, those without one last."""

    def place(check: CheckResult) -> int:
        return next((n for n, matter in enumerate(matters) if check.id in matter.checks), len(matters))

    return tuple(sorted(checks, key=place))


def _section(book: Book, chapter: ChapterResult, check: CheckResult, link: Links) -> Section:
    mine = {item.number for item in check.governing}
    marks = marks_of(check)
    found = lines(check.governing, check.references, "", marks)
    text = prose_of(book, f"{chapter.key}/{check.id}", link.written)
    by_key = {source.key: source for source in book.sources}
    shown, rest = _shown_and_rest(found, check, link.printed)
    return Section(
        check=check,
        prose=text,
        tally=tally(check.counts),
        lines=shown,
        rest=rest,
        charts=tuple((chart, chart_figure(chart), places_told(book, chart)) for chart in check.charts),
        photographs=tuple(photograph for photograph in book.photographs if photograph.check == check.id),
        reports=tuple(report for report in book.reports if mine.intersection(report.findings)),
        notes=tuple(marks.notes.values()),
        requirements=requirements(check, marks, by_key),
        sources=tuple((source_name(by_key[key]) if key in by_key else key, key) for key in text.sources),
    )


def _shown_and_rest(
    found: tuple[Line, ...], check: CheckResult, printed: bool
) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """What stands in the table of a check and what is folded away on the site, or told in short lines in print."""
    if not printed:
        open_to = len(found) if len(found) <= MANY_FINDINGS else OPEN_FINDINGS
        return found[:open_to], found[open_to:]
    plain = tuple(line for line in found if _plain_pass(line) and line.item != check.nearest)
    if len(plain) <= MANY_PASSES:
        return found, ()
    return tuple(line for line in found if line not in plain), plain


def _plain_pass(line: Line) -> bool:
    """A pass at the first attempt without a note of its own; references beside it are such passes of the same value."""
    item = line.item
    first = item.finding.key.attempt == 1 and item.verdict == Verdict.PASS.value
    return first and not line.notes and all(_plain_pass(it) and it.item.value == item.value for it in line.beside)


def state_of(book: Book) -> dict[str, tuple[Numbered, str]]:
    """Every exception by its number, with how its matter stands where that is more than its verdict says."""
    told = (State.OPEN, State.ACCEPTED, State.SETTLED, State.PUT_RIGHT)
    states = {number: it.state.value for it in book.matters if it.state in told for number in it.findings}
    return {item.number: (item, states.get(item.number, "")) for item in book.exceptions}


@dataclass(frozen=True, slots=True)
class There:
    """Exceptions at one place that have the same verdict and stand alike."""

    words: str
    items: tuple[Numbered, ...]


def there(place: PlaceLine, states: Mapping[str, tuple[Numbered, str]]) -> tuple[There, ...]:
    """The exceptions and gaps at a place, those alike together, in the order given."""
    groups: dict[str, list[Numbered]] = {}
    for item, state in (states[number] for number in place.findings):
        groups.setdefault(f"{item.verdict}, {state}" if state else item.verdict, []).append(item)
    return tuple(There(words, tuple(items)) for words, items in groups.items())


def lines_not_due(book: Book) -> frozenset[str]:
    """The lines of the plan to which nothing applies, since what they ask for is not due yet."""
    later = {item.finding.key.place for item in book.not_due}
    return frozenset(it.line for it in book.plan if it.verdict is Verdict.NOT_APPLICABLE and it.line in later)


def plan_tally(book: Book) -> tuple[Tally, ...]:
    """How many lines of the plan have each verdict, and how many of them are not due yet."""
    verdicts = [line.verdict for line in book.plan]
    later = len(lines_not_due(book))
    words = {Verdict.NOT_APPLICABLE: f"{later} {NOT_DUE_YET}" if later else ""}
    return tally(Count(verdict, verdicts.count(verdict), words.get(verdict, "")) for verdict in Verdict)


def places_told(book: Book, chart: Chart) -> str:
    """The names of the places that a chart's axes give by their ids alone: `Z1 Topsides, port; Z3 Transom`."""
    words = {word for axis in (chart.x, chart.y) for label in axis.categories for word in label.split()}
    return "; ".join(f"{place.place} {place.name}" for place in book.places if place.place in words)


def _nearest(item: Numbered | None, prefix: str) -> Figure | None:
    return strip_figure(item, None, (item,), prefix) if item else None
