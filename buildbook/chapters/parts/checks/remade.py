"""PAR-04 numbers of scrapped and remade parts are accounted for, and the run of numbers has no gap."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.parts.formulas.numbering import Run, runs
from buildbook.chapters.parts.records import Part
from buildbook.chapters.parts.subjects import every, few, item_name, printed
from buildbook.chapters.shared_records import Nonconformity
from buildbook.chapters.subjects import absent
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge_fact, unjudged
from buildbook.core.wording import disposition_text, listed
from buildbook.formulas import Malformed

CHECK = "PAR-04"
FOLLOWED, RUN = "what became of a scrapped number", "run of part numbers"


def accounted(evidence: Evidence) -> Iterable[Finding]:
    """PAR-04: one finding for each scrapped number, and one for the whole run of numbers."""
    for number in evidence.values(Part, "part"):
        row = evidence.one(Part, part=number)
        if row is None:
            if any(lost.get("state") in (None, "scrapped") for lost in evidence.lost(Part, part=number)):
                key, words = Key(CHECK, FOLLOWED, number), "Its row cannot be used."
                yield absent(evidence, Part, key, Verdict.INCONCLUSIVE, words, printed(CHECK, FOLLOWED))
        elif row.state == "scrapped":
            yield from _followed(evidence, row)
    yield from _in_a_run(evidence)


def _followed(evidence: Evidence, row: Part) -> Iterable[Finding]:
    """A scrapped number has a report that says so, and another number took its place and is fitted."""
    key, wanted = Key(CHECK, FOLLOWED, row.part), printed(CHECK, FOLLOWED)
    report = evidence.one(Nonconformity, report=row.report) if row.report else None
    heir = evidence.one(Part, part=row.replaced_by) if row.replaced_by else None
    lacking = _lacking(row, report, heir)
    wrong = _wrong(evidence, row, report, heir)
    name = item_name(evidence, row)
    about = About(
        method="the register against the reports",
        at=tuple(one.where for one in (row, report, heir) if one is not None),
        notes=tuple(lacking) if wrong else (),
        caps=_unread_rivals(evidence, row),
    )
    if lacking and not wrong:
        lost = row.report and report is None and evidence.lost(Nonconformity, report=row.report)
        lost = lost or (row.replaced_by and heir is None and evidence.lost(Part, part=row.replaced_by))
        verdict = Verdict.INCONCLUSIVE if lost else Verdict.NO_RECORD
        yield unjudged(key, verdict, " ".join(lacking), about, wanted)
        return
    told = "; ".join(wrong) or f"scrapped by report {row.report}, replaced by {row.replaced_by}"
    yield from judge_fact(key, not wrong, f"{name}: {told}" if name else told, wanted, about)


def _unread_rivals(evidence: Evidence, row: Part) -> tuple[str, ...]:
    """Rows that cannot be used and may name the same new part for another scrapped number."""
    lost = [one for one in evidence.lost(Part, replaced_by=row.replaced_by) if one.get("part") != row.part]
    lost = [one for one in lost if one.get("replaced_by") or one.get("state") in (None, "scrapped")]
    return tuple(f"{one.where} cannot be used, and may name the same new part." for one in lost)


def _lacking(row: Part, report: Nonconformity | None, heir: Part | None) -> list[str]:
    """What the folder does not show, in sentences."""
    words = []
    if row.report is None:
        words.append("No report is named.")
    elif report is None:
        words.append(f"Report {row.report} has no usable row in {Nonconformity.table.file}.")
    if row.replaced_by is None:
        words.append("No number is named that took its place.")
    elif heir is None:
        words.append(f"Number {row.replaced_by} has no usable row in {Part.table.file}.")
    return words


def _wrong(evidence: Evidence, row: Part, report: Nonconformity | None, heir: Part | None) -> list[str]:
    """What the folder shows against it."""
    words = []
    if report is not None and report.disposition not in (None, "scrap") and report.replaced_on is None:
        words.append(f"report {report.report} says “{disposition_text(report.disposition)}”, and of no new part")
    if row.fitted_on is not None and (heir is None or heir.state != "fitted"):
        words.append("it was fitted, and no part that took its place is")
    if heir is None:
        return words
    if heir.item != row.item:
        words.append(f"{heir.part} is of item {heir.item or 'none'}, not {row.item}")
    if heir.state in ("in stock", "not used"):
        words.append(f"{heir.part} is not fitted ({heir.state})")
    rivals = [one.part for one in evidence.of(Part, replaced_by=heir.part) if one.part != row.part]
    if rivals:
        words.append(f"{heir.part} also took the place of {listed(rivals)}")
    return words


def _in_a_run(evidence: Evidence) -> Iterable[Finding]:
    """Every number between the first and the last of a series has one row."""
    key, wanted = Key(CHECK, RUN), printed(CHECK, RUN)
    numbers = evidence.values(Part, "part")
    if not numbers:
        yield absent(evidence, Part, key, Verdict.NO_RECORD, "No part is in the register.", wanted)
        return
    at = every(evidence.of(Part))
    try:
        found = runs(numbers)
    except Malformed as reason:
        words = f"A {reason}, so the numbers cannot be put in order."
        yield unjudged(key, Verdict.INCONCLUSIVE, words, About(at=at), wanted)
        return
    unused = [row.part for row in evidence.of(Part, state="not used")]
    lines = [f"{run.first} to {run.last}" for run in found]
    lines += [f"given to no part, as the register says: {listed(unused)}"] if unused else []
    about = About(method="numbers of the register put in order", at=at, working=tuple(lines))
    yield from _judged(evidence, key, found, about)


def _judged(evidence: Evidence, key: Key, found: tuple[Run, ...], about: About) -> Iterable[Finding]:
    wanted = printed(CHECK, RUN)
    missing = [number for run in found for number in run.missing]
    twice = [f"{one} and {other}" for run in found for one, other in run.twice]
    if twice:
        yield from judge_fact(key, False, f"one number given twice: {few(twice)}", wanted, about)
    elif missing:
        lost = any(row.get("part") is None for row in evidence.lost(Part))
        words = f"The register has no row of {few(missing)}, and does not say that the number was not used."
        yield unjudged(key, Verdict.INCONCLUSIVE if lost else Verdict.NO_RECORD, words, about, wanted)
    else:
        observed = "; ".join(f"{run.first} to {run.last} without a gap" for run in found)
        yield from judge_fact(key, True, observed, wanted, about)
