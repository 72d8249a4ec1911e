"""What to do next about an open matter, in one line."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.chapters import TABLES
from buildbook.chapters.laminate.checks.burned import CANNOT_BE
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.register.identity import GIVES_NO
from buildbook.chapters.register.looks import CHECK as LOOKS
from buildbook.chapters.register.plan import ASKS, NOT_THERE
from buildbook.chapters.register.plan import CHECK as PLAN
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
from buildbook.matter_states import UNREADABLE, told_by_a_closed_report
from buildbook.report_cells import REPORTS, Reports

INSTRUMENTS, PLANNED = Instrument.table.file, Planned.table.file
WHY_NOT = f"say in {REPORTS} why it cannot be had"


def of_matter(matter: Matter, lead: Numbered, file: str, reports: Reports, *, finished: bool = True) -> str:
    """What to do about a matter that stands in the way.

    Args:
        matter: the matter.
        lead: the finding that says what it is.
        file: the file in which that finding has its row, or in which its check looks for one.
        reports: what the reports of the folder still need.
        finished: whether nothing more is built, so that not everything can still be measured.
    """
    if matter.state is State.OPEN:
        return _of_open(matter, lead, file, reports)
    if matter.state is State.NOT_SHOWN:
        return _of_missing(lead, file, finished=finished)
    if matter.state is State.OVERDUE:
        which = listed(list(lead.finding.instruments)) or lead.finding.key.place
        return f"Get a certificate of {which} for that day and enter it in {INSTRUMENTS}, or measure again."
    return _of_undecided(matter, lead, file)


def stays(matter: Matter, lead: Numbered) -> bool:
    """Whether a closed report tells a gap that nothing in the folder can fill, so that it stays and is told openly."""
    told = matter.state is State.UNDECIDED and told_by_a_closed_report(matter.became)
    return told and not _in_the_folder(lead, "")


def _of_open(matter: Matter, lead: Numbered, file: str, reports: Reports) -> str:
    again = f", then measure again as the next attempt in {file}" if _has_attempts(file) else ""
    if matter.reports and good_but_reported(lead.finding):
        wrong = f"If {listed(list(matter.reports))} names another place, condition or attempt than was meant"
        return f"{wrong}, correct it in {REPORTS}; else put it right{again}."
    to_close = [_to_close(report, reports.empty[report]) for report in matter.reports if report in reports.empty]
    if to_close:
        return " ".join(to_close)
    if UNREADABLE in matter.became:
        return f"Correct {listed(list(reports.lost)) or 'the rows'} of {REPORTS}: a report there may be about this."
    if not matter.reports and capital(AGAIN) in matter.became:
        return f"Write the report of it in {REPORTS}: what was done, and the attempt that shows it as as_left_attempt."
    if matter.reports:
        return f"Put it right as {listed(list(matter.reports))} says{again}."
    return f"Write a report in {REPORTS}: put it right{again}, or say who accepts it."


def _has_attempts(file: str) -> bool:
    return any(kind.table.file == file and kind.table.attempt for kind in TABLES)


def _to_close(report: str, empty: Sequence[str]) -> str:
    decide = f"Decide {report}, and fill in" if "disposition" in empty else f"{report} is decided. Fill in"
    return f"{decide} {listed(list(empty))} in {REPORTS}."


def _of_missing(lead: Numbered, file: str, *, finished: bool) -> str:
    finding = lead.finding
    if finding.key.check == PLAN:
        return f"Add the record that the plan asks for, or correct the line in {PLANNED}."
    if finding.at:
        line, entry = finding.at[0].line, finding.at[0].part
        missing = f"what is missing in line {line} of" if line is not None else f"{entry or 'what is missing'} in"
        return f"Fill in {missing} {file}, or {WHY_NOT}."
    if finding.verdict is Verdict.NOT_MEASURED:
        return f"Measure it and add the rows to {file}{f', or {WHY_NOT}' if finished else ''}."
    return f"Add the record to {file}, or say in {REPORTS} that there is none."


def _in_the_folder(lead: Numbered, file: str) -> str:
    """What can be mended in the folder alone about a value that decides nothing; empty where nothing can."""
    finding = lead.finding
    if any(note.endswith(CANNOT_BE) for note in finding.notes):
        weighed = f"the weighings in line {finding.at[0].line} of {BurnOff.table.file}"
        mended = "correct what was mistyped, or weigh again"
        return f"Look at {weighed} and at the densities in {Material.table.file}; {mended}."
    if TOO_COARSE in finding.notes:
        return _of_coarse(finding)
    if any(NOT_USED in note for note in finding.notes):
        return "Correct the rows named here; they are told as faults in their files."
    if any(note.startswith(GIVES_NO) for note in finding.notes):
        return "Add to hull.toml what is not given there."
    if any("hull.toml" in note for note in finding.notes):
        return "Correct the entry of hull.toml named here."
    if any(note.endswith(NOT_THERE) for note in finding.notes):
        return f"Add the tables named here, or correct the lines of {PLANNED} that name them."
    if any(note.startswith(ASKS) for note in finding.notes):
        named = "the file named here" if finding.key.check == PLAN else file
        return f"Add the readings that the plan asks for to {named}."
    return ""


def _of_coarse(finding: Finding) -> str:
    """A finer instrument helps only where it is not the readings themselves that lie far apart."""
    parts = finding.measured.parts if finding.measured is not None else ()
    widest = max(parts, key=lambda part: part.standard, default=None)
    if widest is not None and widest.degrees is not None:
        return "The readings lie far apart: look whether one of them was mistyped; if none was, measure more of them."
    return "Measure again with an instrument that reads finer."


def _of_undecided(matter: Matter, lead: Numbered, file: str) -> str:
    if mended := _in_the_folder(lead, file):
        return mended
    if stays(matter, lead):
        return "A closed report tells it. Measure again where that can be done; else nothing is left to do."
    if lead.finding.key.check == LOOKS:
        return (
            f"Find out how it came, and answer it in a report in {REPORTS}, with cause and closed_on. Correct only "
            "what was mistyped, and keep the original sheet as proof."
        )
    return f"Measure again where that can be done, or say in {REPORTS} what is known."
