"""The book: everything the renderers know, gathered before anything is written."""

from __future__ import annotations

from dataclasses import dataclass, field

from buildbook.core.chart import Chart
from buildbook.core.copies import copies
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Verdict
from buildbook.core.finding_words import short_sentences
from buildbook.core.her_marks import HullDrawing, PlaceLine
from buildbook.core.hull import Hull
from buildbook.core.listing import Listing
from buildbook.core.matter import Matter
from buildbook.core.published import DocumentFile, RawFile, Withheld
from buildbook.core.release import FormulaText, Release
from buildbook.core.shown_units import ShownUnits
from buildbook.core.source import Source
from buildbook.core.stage import waits
from buildbook.core.table_view import TableView
from buildbook.core.where import Where

# Of the book as data. The first number goes up where a reader made for the form before would misread it, the second
# where something is added.
FORM = "1.1"


@dataclass(frozen=True, slots=True)
class Count:
    """How many governing findings have one verdict; `became` says what became of them, where that is known.

    >>> Count(Verdict.FAIL, 3, "1 open, 2 put right").of(12)
    '3 of 12 fail (1 open, 2 put right)'
    """

    verdict: Verdict
    number: int
    became: str = ""

    def of(self, total: int | None = None) -> str:
        """The count in words, with the total that it is a part of where one is given."""
        among = "" if total is None else f" of {total}"
        became = f" ({self.became})" if self.became else ""
        return f"{self.number}{among} {self.verdict.value}{became}"


@dataclass(frozen=True, slots=True)
class Numbered:
    """A finding with its number in the book (`COA-04/7`) and the texts every renderer shows.

    `uncertainty` lists the parts of U. `told` is what must be read with it wherever it is extracted: why it is not
    judged, the attempt before or after, the report that belongs to it. `marks` are its numbers on the drawings of her,
    that of its place first; empty where it belongs to no place that can be drawn.
    """

    number: str
    anchor: str
    finding: Finding
    subject: str
    value: str
    limit: str
    verdict: str
    source: str
    sentence: str
    told: tuple[str, ...]
    uncertainty: str
    marks: tuple[int, ...] = ()

    @property
    def in_sentences(self) -> str:
        """What it is, then how it stands with value and limit: two short sentences."""
        return short_sentences(self.finding, self.subject)


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One check of the book: governing findings (worst first), references, counts and the answer in one sentence.

    `beside` says how many references are worse than the findings beside which they stand; empty where none is.
    `nearest` is the finding that is told first: what stands today, else what was put right, else what is nearest to its
    limit. `plain`
    is what was found where no finding has a margin, for a question that counts alone would leave without an answer.
    `today` is the worst verdict among those that still stand, which what was put right since does not; None where none
    does.
    """

    id: str
    question: str
    answer: str
    governing: tuple[Numbered, ...]
    references: tuple[Numbered, ...]
    counts: tuple[Count, ...]
    beside: str
    nearest: Numbered | None
    charts: tuple[Chart, ...]
    plain: str = ""
    today: Verdict | None = None

    @property
    def waits(self) -> str:
        """That nothing of it was done yet, since nothing of it is due; empty where anything is."""
        stages = waits(item.finding for item in self.governing)
        return f"Nothing of this was done yet. It is done in this way when she is {stages}:" if stages else ""


@dataclass(frozen=True, slots=True)
class ChapterResult:
    """One chapter of the book; `in_short` tells what became of its matters, `answer` counts its findings.

    `nearest` is the finding that is told first; `lead` says how it stands, `again` what a later reading showed.
    """

    key: str
    title: str
    in_short: str
    answer: str
    checks: tuple[CheckResult, ...]
    counts: tuple[Count, ...]
    nearest: Numbered | None
    tables: tuple[str, ...]
    lead: str = ""
    again: str = ""

    @property
    def waits(self) -> str:
        """That the chapter is filled at a later stage, where nothing of it is due yet; empty where anything is."""
        stages = waits(item.finding for check in self.checks for item in check.governing)
        return f"Nothing of this chapter is due yet: it is filled when she is {stages}." if stages else ""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line of the inspection and test plan with what became of it."""

    line: str
    stage: str
    characteristic: str
    check: str
    place: str
    point: str
    planned: str
    recorded: str
    verdict: Verdict
    at: Where


@dataclass(frozen=True, slots=True)
class InstrumentLine:
    """One instrument: certificate, dates, range, resolution and U as texts, and how many readings rest on it."""

    id: str
    type: str
    certificate: str
    calibrated: str
    due: str
    range: str
    resolution: str
    uncertainty: str
    readings: int
    verdict: Verdict
    at: Where


@dataclass(frozen=True, slots=True)
class RunLine:
    """One run on trial: its id and, in words, how fast she went and how fast her shafts turned."""

    run: str
    words: str


@dataclass(frozen=True, slots=True)
class Report:
    """One nonconformity report, as the exceptions page tells it.

    `check` and `quantity` are what its row says it is about, empty where it does not.
    """

    id: str
    state: str
    found_on: str
    place: str
    requirement: str
    as_found: str
    disposition: str
    work: str
    result: str
    approver: str
    closed_on: str
    findings: tuple[str, ...]
    at: Where
    check: str = ""
    quantity: str = ""


@dataclass(frozen=True, slots=True)
class Beside:
    """A reference that is missed, which no count shows, and the finding of the same value that is counted, if any."""

    reference: Numbered
    counted: Numbered | None

    @property
    def alone(self) -> bool:
        """Whether no count shows the miss at all: what is counted met its own limit, or has none."""
        return self.counted is None or not self.counted.finding.verdict.missed


@dataclass(frozen=True, slots=True)
class Lenient:
    """A limit that the builder set wider than is customary: what it is for, the limit, what stands beside it in words.

    `findings` are the numbers of those that rest on it; `at` is its line of hull.toml.
    """

    check: str
    what: str
    limit: str
    beside: str
    findings: tuple[str, ...]
    at: Where | None


@dataclass(frozen=True, slots=True)
class Photograph:
    """One picture of the folder, re-encoded: where it is in the output and what to look at.

    `sha256` is the hash of the original, which stays with the yard, `out_sha256` that of the copy that is published;
    it is empty in a book that was written before copies had one. `scale` says what shows the size, where size matters.
    """

    file: str
    out: str
    caption: str
    alternative: str
    place: str
    taken: str
    check: str
    sha256: str
    at: Where
    out_sha256: str = ""
    scale: str = ""


@dataclass(frozen=True, slots=True)
class OwnText:
    """A text in the builder's own words: the page of prose it stands for (`coating/COA-04`), its file, the Markdown.

    `sha256` is the hash of the file as it was given.
    """

    page: str
    file: str
    text: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Book:
    """One hull's book. Frozen: renderers only lay out what stands here.

    `version` is that of the program. `form` is that of the data, see `FORM`. `shown` are the units that its pages tell
    figures in; the figures here are in those of the columns.
    """

    version: str
    hull: Hull
    title: str
    identity: tuple[tuple[str, str], ...]
    chapters: tuple[ChapterResult, ...]
    exceptions: tuple[Numbered, ...]
    matters: tuple[Matter, ...]
    in_short: str
    counts: tuple[Count, ...]
    summary: str
    faults: tuple[Fault, ...]
    reports: tuple[Report, ...]
    plan: tuple[PlanLine, ...]
    instruments: tuple[InstrumentLine, ...]
    tables: tuple[TableView, ...]
    unused_files: tuple[str, ...]
    photographs: tuple[Photograph, ...]
    drawings: tuple[HullDrawing, ...]
    sources: tuple[Source, ...]
    limitations: tuple[str, ...]
    references_missed: tuple[Beside, ...] = ()
    lenient: tuple[Lenient, ...] = ()
    raw_files: tuple[RawFile, ...] = ()
    documents: tuple[DocumentFile, ...] = ()
    withheld: tuple[Withheld, ...] = ()
    own_texts: tuple[OwnText, ...] = ()
    runs: tuple[RunLine, ...] = ()
    listing: Listing = field(default_factory=Listing)
    form: str = FORM
    formulas: tuple[FormulaText, ...] = ()
    release: Release = field(default_factory=Release)
    shown: ShownUnits = ShownUnits.METRIC

    @property
    def places(self) -> tuple[PlaceLine, ...]:
        """Every place of the table of places, with what was found there in the whole book."""
        return tuple(line for drawing in self.drawings if not drawing.chapter for line in drawing.lines)

    @property
    def governing(self) -> tuple[Numbered, ...]:
        """Every finding that counts, in the order of the chapters and their checks."""
        return tuple(item for chapter in self.chapters for check in chapter.checks for item in check.governing)

    @property
    def not_due(self) -> tuple[Numbered, ...]:
        """What is not there and not asked for before a later stage of the build, in the order of the chapters."""
        return tuple(item for item in self.governing if item.finding.due_later)

    @property
    def not_due_in_short(self) -> str:
        """How many of her findings are not due yet, out of how many; empty where all are due."""
        number, every = len(self.not_due), len(self.governing)
        are = "is" if number == 1 else "are"
        return f"{number} of {every} findings {are} not due at this stage of her build." if number else ""

    @property
    def findings(self) -> tuple[Numbered, ...]:
        """Every finding, governing and reference, in the order of the book."""
        checks = (check for chapter in self.chapters for check in chapter.checks)
        return tuple(item for check in checks for item in (*check.governing, *check.references))

    @property
    def copies(self) -> dict[str, str]:
        """The copies that are published in place of a file as received, by their table; see `core.copies`."""
        return copies(self.tables, self.withheld)

    @property
    def unread(self) -> tuple[Fault, ...]:
        """What could not be read or not as meant; the builder's choice of a limit, which `lenient` tells, left out."""
        return tuple(fault for fault in self.faults if not fault.of_a_limit)

    @property
    def unusable(self) -> tuple[Fault, ...]:
        """The faults, without the notices: what stops something from being judged."""
        return tuple(fault for fault in self.faults if fault.severity is Severity.FAULT)
