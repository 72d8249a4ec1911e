"""From findings to the book: numbers, texts, order and counts. After this nothing is decided any more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook import __version__
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.core import finding_words, wording
from buildbook.core.book import Book, ChapterResult, CheckResult, Count, Numbered, Photograph
from buildbook.core.chapter import Chapter
from buildbook.core.chart import Chart
from buildbook.core.check import Check, formula_words
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.finding import NOT_DUE_YET, WORST_FIRST, Finding, Key, Role, Verdict, by_check
from buildbook.core.hull import Hull
from buildbook.core.matter import Matter, State, is_past, told_in
from buildbook.core.natural import natural
from buildbook.core.published import RawFile
from buildbook.core.release import FormulaText
from buildbook.core.source import Source
from buildbook.core.table_view import TableView
from buildbook.in_short import in_short
from buildbook.later import LaterAttempts
from buildbook.leads import Lead, lead_of, of_missed
from buildbook.listings import by_subject, first_attempt, instrument_lines, plan_lines, reports, run_lines, told
from buildbook.matters import matters
from buildbook.outside_the_count import lenient_limits, references_missed
from buildbook.positions import Marks, marks, named_places, with_marks
from buildbook.sources import all_sources
from buildbook.whereabouts import Found, drawings

BECAME = {  # in the table of questions, where the verdict alone would say that it is so today
    State.OPEN: "open today",
    State.ACCEPTED: "accepted",
    State.SETTLED: "settled otherwise",
    State.PUT_RIGHT: "put right",
    State.SCRAPPED: "scrapped",
    State.DECIDED: "decided since",
}
FEW_TOLD = 2  # findings for information that the answer to a question tells
LIMITATIONS = (
    "Written for the builder from the builder's own records. It is not a survey, a valuation, a certificate or "
    "a class document. It is no declaration of conformity and no statement of seaworthiness.",
    "It describes the hull on the days and at the places of the readings. Other areas were not sampled.",
    "Verdicts are against the documents named, by the rule named. Nothing is implied about other requirements.",
    "Flag, class, notified body and designer decide. Where their document differs, theirs counts.",
    "A buyer should have his own survey. The rows behind every figure are part of this book. "
    "Long records of sensors are in the evidence package or withheld by name. The book holds the hash of each.",
    "What is missing or failed is listed first, under exceptions and gaps.",
    "The program calculates and lays out. It cannot tell whether a reading is true.",
)


@dataclass(frozen=True, slots=True)
class Parts:
    """What the pipeline hands over: the readings, everything found, and how the folder looked."""

    evidence: Evidence
    findings: tuple[Finding, ...]
    faults: tuple[Fault, ...]
    tables: tuple[TableView, ...]
    unused_files: tuple[str, ...]
    photographs: tuple[Photograph, ...]
    raw_files: tuple[RawFile, ...] = ()


def assemble(parts: Parts, chapters: Sequence[Chapter]) -> Book:
    """The frozen book."""
    names = place_names(parts.evidence)
    sources = all_sources()
    on_her = marks(parts.evidence)
    given = _marked(parts.evidence, on_her, _numbers(parts.evidence, parts.findings, chapters, names, sources))
    governing = [item for item in given.values() if item.finding.key.role is Role.GOVERNING]
    counts = counted(governing)
    hull = parts.evidence.hull
    asked = (check for chapter in chapters for check in chapter.checks)
    not_passed = worst_first(item for item in governing if _exceptional(item.finding))
    later = LaterAttempts.of(given)
    told_once = matters(parts.evidence, not_passed, later, names, asked)
    in_matters = {number for matter in told_once for number in matter.findings}
    exceptions = worst_first(item for item in governing if item.number in in_matters)
    seen = _Seen.of(later, told_once)
    results = tuple(_chapter(chapter, parts, seen) for chapter in chapters)
    return Book(
        version=__version__,
        hull=hull,
        title=f"{hull.name or 'Unnamed hull'}: quality records of hull {hull.number or 'without a number'}",
        identity=_identity(hull),
        chapters=results,
        exceptions=exceptions,
        matters=told_once,
        in_short=in_short(told_once, governing),
        counts=counts,
        summary=_said(governing),
        faults=tuple(sorted(parts.faults, key=lambda fault: (fault.where.order, fault.expected))),
        reports=reports(parts.evidence, given),
        plan=plan_lines(parts.evidence, given),
        instruments=instrument_lines(parts.evidence, given),
        tables=with_marks(parts.tables, on_her),
        unused_files=parts.unused_files,
        photographs=parts.photographs,
        drawings=drawings(Found(parts.evidence, given, exceptions, told_once, on_her), chapters),
        sources=tuple(sources[key] for key in sorted(sources)),
        limitations=LIMITATIONS,
        runs=run_lines(parts.evidence),
        references_missed=references_missed(given),
        raw_files=parts.raw_files,
        lenient=lenient_limits(parts.evidence, given, names),
        formulas=formula_texts(chapters),
    )


def formula_texts(chapters: Sequence[Chapter]) -> tuple[FormulaText, ...]:
    """What each formula of these chapters says of itself, by its name, without its examples."""
    used: dict[tuple[str, str], set[str]] = {}
    for check in (check for chapter in chapters for check in chapter.checks):
        for formula in check.formulas:
            used.setdefault((formula.__name__, formula_words(formula)), set()).add(check.id)
    return tuple(FormulaText(name, says, tuple(sorted(checks))) for (name, says), checks in sorted(used.items()))


def place_names(evidence: Evidence) -> dict[str, str]:
    """The name in words of every place, line of the plan and instrument, by its id; a place before the others."""
    names = {row.line: row.characteristic for row in evidence.of(Planned)}
    names |= {row.instrument: row.type for row in evidence.of(Instrument)}
    return names | {place.place: place.name for place in evidence.of(Place)}


def counted(items: Iterable[Numbered]) -> tuple[Count, ...]:
    """How often each verdict stands among some findings, the worst first, and how many of them are not due yet."""
    findings = [item.finding for item in items]
    verdicts = [finding.verdict for finding in findings]
    later = sum(finding.due_later for finding in findings)
    return tuple(
        Count(verdict, number, _later_of(later, number) if verdict is Verdict.NOT_APPLICABLE else "")
        for verdict in WORST_FIRST
        if (number := verdicts.count(verdict))
    )


def _later_of(later: int, number: int) -> str:
    """That so many of some findings are not due yet; empty where none is."""
    if not later:
        return ""
    return NOT_DUE_YET if later == number else f"{later} {NOT_DUE_YET}"


def worst_first(items: Iterable[Numbered]) -> tuple[Numbered, ...]:
    """Findings with the worst verdict first, then in the order of their keys."""
    return tuple(
        sorted(items, key=lambda item: (-item.finding.verdict.rank, _plain_last(item), natural(item.finding.key)))
    )


def _plain_last(item: Numbered) -> int:
    order = (Verdict.PASS, Verdict.INFORMATION, Verdict.NOT_APPLICABLE)
    return order.index(item.finding.verdict) if item.finding.verdict in order else -1


def _exceptional(finding: Finding) -> bool:
    return finding.verdict.exception or finding.doubted


def _numbers(
    evidence: Evidence,
    findings: Sequence[Finding],
    chapters: Sequence[Chapter],
    names: Mapping[str, str],
    sources: Mapping[str, Source],
) -> dict[Key, Numbered]:
    """Every finding with its number in the book: check id and a running number in the order of the keys."""
    given: dict[Key, Numbered] = {}
    of_check = by_check(findings)
    for chapter in chapters:
        for check in chapter.checks:
            its = sorted(of_check.get(check.id, ()), key=lambda f: natural(f.key))
            for number, finding in enumerate(its, start=1):
                given[finding.key] = _numbered(f"{check.id}/{number}", finding, names, sources)
    together = by_subject(given)
    said = ((key, item, told(evidence, item, together[first_attempt(key)])) for key, item in given.items())
    return {key: replace(item, told=words) if words else item for key, item, words in said}


def _marked(evidence: Evidence, on_her: Marks, given: Mapping[Key, Numbered]) -> dict[Key, Numbered]:
    """Every finding with its numbers on the drawings of her."""
    named = named_places(evidence)
    numbered = ((key, item, on_her.of_finding(item, named)) for key, item in given.items())
    return {key: replace(item, marks=numbers) if numbers else item for key, item, numbers in numbered}


def _numbered(number: str, finding: Finding, names: Mapping[str, str], sources: Mapping[str, Source]) -> Numbered:
    return Numbered(
        number=number,
        anchor=number.replace("/", "-"),
        finding=finding,
        subject=wording.subject_text(finding.key, names),
        value=finding_words.result_text(finding),
        limit=wording.limit_text(finding.limit),
        verdict=wording.verdict_text(finding),
        source=wording.source_text(finding.limit, sources),
        sentence=finding_words.sentence(finding, names),
        told=(),
        uncertainty=wording.uncertainty_text(finding.measured, finding_words.finer(finding)),
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """What is looked up once for all chapters: later attempts, findings by check, and how each exception stands."""

    later: LaterAttempts
    told_once: Sequence[Matter]
    of_check: Mapping[str, Sequence[Numbered]]
    state_of: Mapping[str, State]

    @classmethod
    def of(cls, later: LaterAttempts, told_once: Sequence[Matter]) -> _Seen:
        of_check: dict[str, list[Numbered]] = {}
        for item in later.given.values():
            of_check.setdefault(item.finding.key.check, []).append(item)
        return cls(later, told_once, of_check, {number: it.state for it in told_once for number in it.findings})


def _chapter(chapter: Chapter, parts: Parts, seen: _Seen) -> ChapterResult:
    charts = tuple(chapter.charts(parts.evidence, parts.findings)) if chapter.charts is not None else ()
    checks = tuple(_check(check, charts, seen) for check in chapter.checks)
    governing = [item for result in checks for item in result.governing]
    references = (item for result in checks for item in result.references)
    its = told_in((check.id for check in checks), seen.told_once)
    told = (number for matter in its for number in matter.findings)
    lead = of_missed(told, governing, seen.state_of, seen.later) or lead_of(governing, seen.state_of, seen.later)
    return ChapterResult(
        key=chapter.key,
        title=chapter.title,
        in_short=in_short(its, governing),
        answer=_answer(governing, lead, _beside(references, seen.later.given)),
        checks=checks,
        counts=counted(governing),
        nearest=lead.item if lead is not None else None,
        lead=lead.words if lead is not None else "",
        again=lead.again if lead is not None else "",
        tables=tuple(kind.table.file for kind in chapter.tables),
    )


def _check(check: Check, charts: Iterable[Chart], seen: _Seen) -> CheckResult:
    its = seen.of_check.get(check.id, ())
    governing = worst_first(item for item in its if item.finding.key.role is Role.GOVERNING)
    references = worst_first(item for item in its if item.finding.key.role is Role.REFERENCE)
    lead = lead_of(governing, seen.state_of, seen.later)
    beside = _beside(references, seen.later.given)
    return CheckResult(
        id=check.id,
        question=check.question,
        answer=_answer(governing, lead, beside),
        governing=governing,
        references=references,
        counts=tuple(
            replace(it, became=it.became or _became(it.verdict, governing, seen.state_of)) for it in counted(governing)
        ),
        beside=beside,
        nearest=lead.item if lead is not None else None,
        charts=tuple(chart for chart in charts if chart.check == check.id),
        plain=_plain(governing) if lead is None else "",
        today=next((it.finding.verdict for it in governing if not is_past(seen.state_of.get(it.number))), None),
    )


def _became(verdict: Verdict, governing: Iterable[Numbered], state_of: Mapping[str, State]) -> str:
    """What became of the findings of one question that have one verdict; empty where the verdict says all."""
    if verdict.rank < Verdict.INCONCLUSIVE.rank:
        return ""
    its = [state_of.get(item.number) for item in governing if item.finding.verdict is verdict]
    states = Counter(BECAME[state] for state in State for it in its if it is state and state in BECAME)
    if list(states.values()) == [len(its)]:
        return next(iter(states))
    return ", ".join(f"{number} {words}" for words, number in states.items())


def _plain(governing: Sequence[Numbered]) -> str:
    """What was found for information, where it is so little that all of it can be told; empty where there is more."""
    told = [item for item in governing if item.finding.verdict is Verdict.INFORMATION]
    if len(told) > FEW_TOLD:
        return ""
    return " ".join(f"{wording.capital(item.subject)}: {item.value}." for item in told)


def _beside(references: Iterable[Numbered], given: Mapping[Key, Numbered]) -> str:
    """That references which are not counted stand worse than what is; empty where none does."""
    references = tuple(references)
    worse = [item for item in references if _worse_than_counted(item.finding, given)]
    missed = sum(item.finding.verdict.missed for item in worse)
    if not worse:
        return ""
    told = [f"{missed} of them missed"] if missed else []
    told += [f"{len(worse) - missed} of them not clearly met"] if missed < len(worse) else []
    compared = "comparison" if len(references) == 1 else "comparisons"
    return f"Beside these, {len(references)} {compared} with other limits, {wording.listed(told)}."


def _worse_than_counted(finding: Finding, given: Mapping[Key, Numbered]) -> bool:
    counted_one = given.get(replace(finding.key, role=Role.GOVERNING))
    return finding.verdict.rank > (counted_one.finding.verdict.rank if counted_one is not None else 0)


def _answer(items: Sequence[Numbered], lead: Lead | None, beside: str) -> str:
    text = " ".join(part for part in (_said(items), beside) if part)
    return f"{text} {lead.text}" if lead is not None else wording.capital(text)


def _said(items: Sequence[Numbered]) -> str:
    """Counts with their denominator; how many of them rest on an instrument whose calibration is not shown."""
    text = f"{wording.counts_text(_pairs(counted(items)), len(items))}."
    doubted = sum(1 for item in items if item.finding.doubted)
    later = sum(1 for item in items if item.finding.due_later)
    said = [text]
    said += [f"In {doubted} of all of them, instrument calibration is not shown."] if doubted else []
    said += [f"{later} of {len(items)} {'is' if later == 1 else 'are'} not due yet."] if later else []
    return " ".join(said)


def _pairs(counts: Iterable[Count]) -> list[tuple[Verdict, int]]:
    return [(count.verdict, count.number) for count in counts]


def _identity(hull: Hull) -> tuple[tuple[str, str], ...]:
    """The lines of the identity table, as far as the folder gives them."""
    metres = (
        ("Length of hull", hull.length_hull),
        ("Length on the waterline", hull.length_waterline),
        ("Beam", hull.beam),
        ("Draught", hull.draught),
    )
    lines = [("Name", hull.name), ("Hull number", hull.number), ("Builder", hull.builder), ("Model", hull.model)]
    lines += [("Design category", hull.category)]
    lines += [(name, f"{wording.fixed(value, 2)} m" if value is not None else "") for name, value in metres]
    lines += [("Displacement", f"{wording.grouped(hull.displacement)} kg" if hull.displacement else "")]
    lines += [(event.replace("_", " ").capitalize(), day.isoformat()) for event, day in hull.dates]
    lines += [("Stage of the build", hull.stage)]
    lines += [("Data as of", hull.as_of.isoformat() if hull.as_of else "not stated")]
    return tuple((name, text) for name, text in lines if text)
