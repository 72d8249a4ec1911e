"""When something may be said in a listing: one small rule each, every one a reason not to say it.

A sentence comes only from governing passes, or from plain measured values that nobody set a limit for. Each rule looks
at a whole characteristic, over all places and attempts, and gives the reason in one line, or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from buildbook.core.book import Numbered
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, Role, Verdict
from buildbook.core.quantity import Kind
from buildbook.core.source import Standing
from buildbook.core.wording import listed
from buildbook.sheet.characteristics import Characteristic

Rule = Callable[[Characteristic], str]
REWORK = "rework"
SHOWN = 3


def missed(it: Characteristic) -> str:
    """A limit was missed, clearly or not, and that was not put right and measured again."""
    bad = [item for item in it.unsettled if item.finding.verdict.missed]
    return f"{_share(bad, it)} missed the limit: {_numbers(bad)}." if bad else ""


def undecided(it: Characteristic) -> str:
    """A reading could not be decided."""
    bad = [item for item in it.unsettled if item.finding.verdict is Verdict.INCONCLUSIVE]
    return f"{_share(bad, it)} could not be decided: {_numbers(bad)}." if bad else ""


def unshown(it: Characteristic) -> str:
    """A place was not measured, or what was done there has no record."""
    bad = [item for item in it.unsettled if item.finding.verdict.unshown]
    return f"{_share(bad, it)} not measured or without a record: {_numbers(bad)}." if bad else ""


def gap_in_the_plan(it: Characteristic) -> str:
    """The plan asked for a reading or record of this check that is not there."""
    return f"The plan asks for more than was recorded: {_some(it.gaps)}." if it.gaps else ""


def lost_rows(it: Characteristic) -> str:
    """A row that its check rests on could not be used."""
    return f"Rows that it may rest on could not be used: {_some(it.lost)}." if it.lost else ""


def lost_report(it: Characteristic) -> str:
    """A nonconformity report could not be read, and so may be about this."""
    return f"A report that may be about it could not be read: {_some(it.lost_reports)}." if it.lost_reports else ""


def open_report(it: Characteristic) -> str:
    """A nonconformity report about it is open, or was closed without what it demands."""
    names = [report.id for report in it.reports if report.id in it.unclosed]
    return f"Open, or closed without what it demands: report {_some(names)}." if names else ""


def accepted(it: Characteristic) -> str:
    """Something was accepted, repaired or downgraded instead of being made to meet its requirement."""
    names = [report.id for report in it.reports if report.disposition != REWORK]
    return f"Accepted or settled otherwise than by rework: report {_some(names)}." if names else ""


def reference_missed(it: Characteristic) -> str:
    """A published limit beside the governing one was missed."""
    bad = [item for item in it.references if item.finding.verdict.missed and not _settled(item, it)]
    return f"A published limit beside the governing one is missed: {_numbers(bad)}." if bad else ""


def weak_limit(it: Characteristic) -> str:
    """A limit rests on a term that is known only from memory or is customary practice."""
    weak = {
        item.finding.limit.standing
        for item in it.today
        if item.finding.limit is not None and item.finding.limit.standing in (Standing.MEMORY, Standing.PRACTICE)
    }
    words = {Standing.MEMORY: "quoted from memory", Standing.PRACTICE: "customary practice without a source"}
    return f"Its limit is {listed(words[one] for one in words if one in weak)}." if weak else ""


def uncalibrated(it: Characteristic) -> str:
    """A reading rests on an instrument whose calibration is not shown."""
    bad = [item for item in it.today if any(note.startswith(CALIBRATION_NOT_SHOWN) for note in item.finding.notes)]
    return f"Instrument calibration not shown: {_numbers(bad)}." if bad else ""


def without_a_number(it: Characteristic) -> str:
    """What was found is a fact in words, not a measured value."""
    bad = [item for item in it.today if item.finding.measured is None and not item.finding.verdict.unshown]
    return "It is a fact in words, not a measured value." if bad else ""


def without_uncertainty(it: Characteristic) -> str:
    """Nobody stated the uncertainty of a value that should have one."""
    values = [(item, item.finding.measured) for item in it.today]
    bad = [item for item, value in values if value and value.kind is not Kind.COUNTED and value.at_two is None]
    return f"The uncertainty was not stated: {_numbers(bad)}." if bad else ""


def without_day_or_place(it: Characteristic) -> str:
    """It is not on record when or where a reading was taken."""
    shown = [item for item in it.today if not item.finding.verdict.unshown]
    bad = [item for item in shown if item.finding.period is None or not item.finding.key.place]
    return "The records give no single place and day for it." if bad else ""


def nothing_clear(it: Characteristic) -> str:
    """No reading is a pass, and not all of them are plain values without a limit."""
    clear = it.with_verdict(Verdict.PASS) or (it.plain and it.plain == it.today)
    return "" if clear else "No reading is clear of its limit."


def without_wording(it: Characteristic) -> str:
    """Nobody wrote a sentence for it."""
    return "" if it.worded else "No sentence is written for it."


RULES: tuple[Rule, ...] = (
    missed,
    undecided,
    unshown,
    gap_in_the_plan,
    lost_rows,
    lost_report,
    open_report,
    accepted,
    reference_missed,
    uncalibrated,
    weak_limit,
    without_a_number,
    without_uncertainty,
    without_day_or_place,
    nothing_clear,
    without_wording,
)


def reason(it: Characteristic, rules: Sequence[Rule] = RULES) -> str:
    """Why a characteristic may not be said: what the first rule that speaks says. Empty where none does."""
    return next((words for rule in rules if (words := rule(it))), "")


def _settled(reference: Numbered, it: Characteristic) -> bool:
    """Whether the governing finding that a reference stands beside was put right and measured again."""
    own = replace(reference.finding.key, role=Role.GOVERNING)
    return any(item.finding.key == own for item in it.governing if item.number in it.settled)


def _share(bad: Sequence[Numbered], it: Characteristic) -> str:
    return f"{len(bad)} of {len(it.governing)}"


def _numbers(items: Sequence[Numbered]) -> str:
    return _some([item.number for item in items])


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"
