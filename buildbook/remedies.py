"""What to do next about an open matter, in one line."""

from __future__ import annotations

from collections.abc import Collection

from buildbook.chapters import CHECKS, TABLES
from buildbook.chapters.register.ages import CHECK as AGES
from buildbook.chapters.register.looks import CHECK as LOOKS
from buildbook.chapters.register.plan import CHECK as PLAN
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.book import Numbered
from buildbook.core.decide import TOO_COARSE
from buildbook.core.finding import Verdict
from buildbook.core.matter import Matter, State
from buildbook.core.wording import listed

REPORTS, INSTRUMENTS, PLANNED = Nonconformity.table.file, Instrument.table.file, Planned.table.file
ANSWERED = (LOOKS, AGES)  # checks that ask the yard for an answer, not for a measurement


def of_matter(matter: Matter, lead: Numbered, file: str, open_reports: Collection[str]) -> str:
    """What to do about a matter that stands in the way.

    Args:
        matter: the matter.
        lead: the finding that says what it is.
        file: the file in which that finding has its row, or in which its check looks for one.
        open_reports: the ids of the reports that nobody has closed.
    """
    if matter.state is State.OPEN:
        return _of_open(matter, lead, file, open_reports)
    if matter.state is State.NOT_SHOWN:
        return _of_missing(lead, file)
    if matter.state is State.OVERDUE:
        which = listed(list(lead.finding.instruments)) or lead.finding.key.place
        return f"Get a certificate of {which} for that day and enter it in {INSTRUMENTS}, or measure again."
    return _of_undecided(matter, lead, file)


def _of_open(matter: Matter, lead: Numbered, file: str, open_reports: Collection[str]) -> str:
    to_close = [report for report in matter.reports if report in open_reports]
    if to_close:
        return f"Decide and close {listed(to_close)} in {REPORTS}: disposition, approved_by, closed_on."
    if not matter.reports and "Measured again" in matter.became:
        return f"Write the report of it in {REPORTS}: what was done, and the attempt that shows it as as_left_attempt."
    again = f", then measure again as the next attempt in {file}" if _has_attempts(file) else ""
    if matter.reports:
        return f"Put it right as {listed(list(matter.reports))} says{again}."
    return f"Write a report in {REPORTS}: put it right{again}, or say who accepts it."


def _has_attempts(file: str) -> bool:
    return any(kind.table.file == file and kind.table.attempt for kind in TABLES)


def _of_missing(lead: Numbered, file: str) -> str:
    finding = lead.finding
    if finding.key.check == PLAN:
        return f"Add the record that the plan asks for, or correct the line in {PLANNED}."
    if finding.at:
        line = finding.at[0].line
        return f"Fill in what is missing in line {line} of {file}, or say in {REPORTS} why it cannot be had."
    if finding.verdict is Verdict.NOT_MEASURED:
        return f"Measure it and add the rows to {file}."
    return f"Add the record to {file}, or say in {REPORTS} that there is none."


def _of_undecided(matter: Matter, lead: Numbered, file: str) -> str:
    finding = lead.finding
    (check,) = (check for check in CHECKS if check.id == finding.key.check)
    if TOO_COARSE in finding.notes:
        return "Measure again with an instrument that reads finer."
    if any("could not be used" in note for note in finding.notes):
        return "Correct the rows named here; they are told as faults in their files."
    if any("hull.toml" in note for note in finding.notes):
        return "Correct the entry of hull.toml named here."
    if any(note.startswith("The plan asks for") for note in finding.notes):
        named = "the file named here" if check.id == PLAN else file
        return f"Add the readings that the plan asks for to {named}."
    if "Report " in matter.became and "closed" in matter.became:
        return "A closed report tells it. Measure again where that can be done; else nothing is left to do."
    if check.id in ANSWERED:
        return f"Correct the rows, or answer it in {REPORTS} under check {check.id}."
    return f"Measure again where that can be done, or say in {REPORTS} what is known."
