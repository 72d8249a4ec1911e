"""What to do next about an open matter, in one line, and who has to do it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from buildbook.chapters import TABLES
from buildbook.chapters.laminate.checks.burned import CANNOT_BE
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.register.identity import GIVES_NO
from buildbook.chapters.register.looks import CHECK as LOOKS
from buildbook.chapters.register.plan import CHECK as PLAN
from buildbook.chapters.register.plan import HAS, NOT_THERE, PART_USED
from buildbook.chapters.register.rules import good_but_reported
from buildbook.chapters.schedule_records import Material
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.core.book import Numbered
from buildbook.core.decide import TOO_COARSE
from buildbook.core.evidence import NOT_USED
from buildbook.core.finding import Finding, Verdict
from buildbook.core.matter import Matter, State
from buildbook.core.wording import capital, listed
from buildbook.later import AGAIN
from buildbook.matter_states import LOOKED_AGAIN, UNREADABLE, told_by_a_closed_report
from buildbook.report_cells import REPORTS, Reports

INSTRUMENTS, PLANNED = Instrument.table.file, Planned.table.file
WHY_NOT = f"say in {REPORTS} why it cannot be had"


class Who(StrEnum):
    """Who has to do a thing, by what is to be done: measure, fill in a paper, keep instruments or the folder."""

    QUALITY = "the quality office"
    OFFICE = "whoever fills the folder"
    MEASURES = "whoever measures"
    INSTRUMENTS = "whoever looks after the instruments"


@dataclass(frozen=True, slots=True)
class Remedy:
    """What is to be done, in one line, and who has to do it."""

    text: str
    who: Who


def of_matter(matter: Matter, lead: Numbered, file: str, reports: Reports, *, finished: bool = True) -> Remedy:
    """What to do about a matter that stands in the way, or about a gap that stays.

    Args:
        matter: the matter.
        lead: the finding that says what it is.
        file: the file in which that finding has its row, or in which its check looks for one.
        reports: what the reports of the folder still need.
        finished: whether nothing more is built, so that not everything can still be measured.
    """
    if matter.state is State.OPEN:
        return Remedy(_of_open(matter, lead, file, reports), Who.QUALITY)
    if matter.state is State.NOT_SHOWN:
        return _of_missing(lead, file, finished=finished)
    if stays(matter, lead):
        told = "A closed report tells it. Measure again where that can be done; else nothing is left to do."
        return Remedy(told, Who.QUALITY)
    if matter.state is State.OVERDUE:
        which = listed(list(lead.finding.instruments)) or lead.finding.key.place
        text = f"Get a certificate of {which} for that day and enter it in {INSTRUMENTS}, or measure again."
        return Remedy(text, Who.INSTRUMENTS)
    return _of_undecided(lead, finished=finished)


def stays(matter: Matter, lead: Numbered) -> bool:
    """Whether a closed report tells a gap that nothing in the folder can fill, so that it stays and is told openly."""
    told = matter.state in (State.UNDECIDED, State.OVERDUE) and told_by_a_closed_report(matter.became)
    return told and _in_the_folder(lead) is None


def to_close(matter: Matter, reports: Reports) -> tuple[str, ...]:
    """The reports about a matter that nobody has closed: in their rows something is to be filled in."""
    return tuple(report for report in matter.reports if report in reports.empty)


def _of_open(matter: Matter, lead: Numbered, file: str, reports: Reports) -> str:
    again = f", then measure again as the next attempt in {file}" if _has_attempts(file) else ""
    if matter.reports and good_but_reported(lead.finding):
        wrong = f"If {listed(list(matter.reports))} names another place, condition or attempt than was meant"
        return f"{wrong}, correct it in {REPORTS}; else put it right{again}."
    if unclosed := to_close(matter, reports):
        return " ".join(_to_close(report, reports.empty[report]) for report in unclosed)
    if UNREADABLE in matter.became:
        return f"Correct {listed(list(reports.lost)) or 'the rows'} of {REPORTS}: a report there may be about this."
    if not matter.reports and any(words in matter.became for words in (capital(AGAIN), LOOKED_AGAIN)):
        return f"Write the report of it in {REPORTS}: what was done, and the attempt that shows it as as_left_attempt."
    if matter.reports:
        return f"Put it right as {listed(list(matter.reports))} says{again}."
    return f"Write a report in {REPORTS}: put it right{again}, or say who accepts it."


def _has_attempts(file: str) -> bool:
    return any(kind.table.file == file and kind.table.attempt for kind in TABLES)


def _to_close(report: str, empty: Sequence[str]) -> str:
    decide = f"Decide {report}, and fill in" if "disposition" in empty else f"{report} is decided. Fill in"
    return f"{decide} {listed(list(empty))} in {REPORTS}."


def _of_missing(lead: Numbered, file: str, *, finished: bool) -> Remedy:
    finding, measured = lead.finding, lead.finding.verdict is Verdict.NOT_MEASURED
    if finding.key.check == PLAN:
        text = f"Add the record that the plan asks for, or correct the line in {PLANNED}{_else(finished)}."
        return Remedy(text, Who.QUALITY)
    if finding.at:
        fill, line, entry = "Measure it, and fill in" if measured else "Fill in", finding.at[0].line, finding.at[0].part
        missing = f"what is missing in line {line} of" if line is not None else f"{entry or 'what is missing'} in"
        text = f"{fill} {missing} {file}, or {WHY_NOT}."
    elif measured:
        text = f"Measure it and add the rows to {file}{_else(finished)}."
    else:
        text = f"Add the record to {file}, or say in {REPORTS} that there is none."
    return Remedy(text, Who.MEASURES if measured else Who.QUALITY)


def _else(finished: bool) -> str:
    """The other way out, once nothing more is built: to say why."""
    return f", or {WHY_NOT}" if finished else ""


def of_its_own(lead: Numbered) -> Remedy | None:
    """What is to be mended besides rows that cannot be used, and before them; None where nothing is told."""
    if any(note.endswith(CANNOT_BE) for note in lead.finding.notes):
        weighed = f"the weighings in line {lead.finding.at[0].line} of {BurnOff.table.file}"
        mended = "correct what was mistyped, or weigh again"
        return Remedy(f"Look at {weighed} and at the densities in {Material.table.file}; {mended}.", Who.MEASURES)
    notes = [note for note in lead.finding.notes if NOT_USED not in note]
    if any(note.startswith(GIVES_NO) for note in notes):
        return Remedy("Add to hull.toml what is not given there.", Who.OFFICE)
    if any("hull.toml" in note for note in notes):
        return Remedy("Correct the entry of hull.toml named here.", Who.OFFICE)
    if any(note.endswith(NOT_THERE) for note in notes):
        text = f"Add the tables named here, or correct the lines of {PLANNED} that name them."
        return Remedy(text, Who.OFFICE)
    return None


def rests_on_rows(lead: Numbered) -> bool:
    """Whether a finding says that rows which cannot be used hold it, and nothing else that has to be measured."""
    notes = lead.finding.notes
    return TOO_COARSE not in notes and any(NOT_USED in note or PART_USED.match(note) for note in notes)


def _in_the_folder(lead: Numbered, *, finished: bool = False) -> Remedy | None:
    """What can be mended in the folder alone about a value that decides nothing; None where nothing can."""
    if own := of_its_own(lead):
        return own
    if rests_on_rows(lead):
        return Remedy("Correct the rows that cannot be used; they are told as faults in their files.", Who.OFFICE)
    for short in filter(None, map(HAS.match, lead.finding.notes)):
        text = f"Add the readings that the plan asks for to {short['file']}{_else(finished)}."
        return Remedy(text, Who.MEASURES)
    return None


def _of_coarse(finding: Finding) -> str:
    """A finer instrument helps only where it is not the readings themselves that lie far apart."""
    parts = finding.measured.parts if finding.measured is not None else ()
    widest = max(parts, key=lambda part: part.standard, default=None)
    if widest is not None and widest.degrees is not None:
        far = "The readings lie far apart: look whether one of them was mistyped; if none was, measure more of them"
        return f"{far}, or {WHY_NOT}."
    return f"Measure again with an instrument that reads finer, or {WHY_NOT}."


def _of_undecided(lead: Numbered, *, finished: bool) -> Remedy:
    if mended := _in_the_folder(lead, finished=finished):
        return mended
    if lead.finding.key.check == LOOKS:
        text = (
            f"Find out how it came, and answer it in a report in {REPORTS}, with cause and closed_on. Correct only "
            "what was mistyped, and keep the original sheet as proof."
        )
        return Remedy(text, Who.QUALITY)
    if TOO_COARSE in lead.finding.notes:
        return Remedy(_of_coarse(lead.finding), Who.MEASURES)
    return Remedy(f"Measure again where that can be done, or {WHY_NOT}.", Who.MEASURES)
