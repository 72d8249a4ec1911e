"""When something may be said in a listing: one small rule each, every one a reason not to say it.

A sentence comes only from governing passes, or from plain measured values that nobody set a limit for. Each rule looks
at a whole characteristic, over all places and all attempts, and gives the reason in one line, or nothing. Those about
verdicts stand first: a reader has to see them before he reads that nobody wrote a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from buildbook.core.book import Numbered
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, NO_MEASUREMENT, Verdict
from buildbook.core.listing import NOT_WORDED
from buildbook.core.quantity import Kind
from buildbook.core.source import Standing
from buildbook.core.wording import listed
from buildbook.sheet.characteristics import Characteristic

Rule = Callable[[Characteristic], str]
REWORK = "rework"
SHOWN = 8


def missed(it: Characteristic) -> str:
    """A limit was missed, clearly or not, in whatever attempt."""
    bad = [item for item in it.counted if item.finding.verdict.missed]
    return f"{_share(bad, it)} missed the limit: {_numbers(bad)}{_since(bad, it)}." if bad else ""


def undecided(it: Characteristic) -> str:
    """A reading could not be decided, in whatever attempt."""
    bad = it.with_verdict(Verdict.INCONCLUSIVE)
    return f"{_share(bad, it)} could not be decided: {_numbers(bad)}{_since(bad, it)}." if bad else ""


def unshown(it: Characteristic) -> str:
    """A place was not measured, or what was done there has no record."""
    bad = [item for item in it.counted if item.finding.verdict.unshown]
    return f"{_share(bad, it)} not measured or without a record: {_numbers(bad)}." if bad else ""


def of_its_kind(it: Characteristic) -> str:
    """The same quantity missed its limit, or is not settled, in another check."""
    kinds = [item for item in it.kin if item.finding.verdict.exception]
    bad = [item for item in kinds if item.finding.verdict is not Verdict.CONDITIONAL_PASS]
    return f"The same quantity missed its limit or is not decided in another check: {_numbers(bad)}." if bad else ""


def of_its_rows(it: Characteristic) -> str:
    """A finding that rests on the same rows missed its limit."""
    return f"What rests on the same records missed its limit: {_numbers(it.beside)}." if it.beside else ""


def not_clear(it: Characteristic) -> str:
    """The reading nearest to its limit, of every check, is inside it without a clear margin, so it is no pass."""
    near = it.nearest_of_kind
    if near is None or near.finding.verdict is Verdict.PASS:
        return ""
    if near.finding.margin is None and not _elsewhere(near, it):
        return ""  # a fact in words, which another rule forbids
    return f"The reading nearest to its limit is inside it without a clear margin: {near.number}{_elsewhere(near, it)}."


def nearer_elsewhere(it: Characteristic) -> str:
    """The reading that would have to be told is a clear pass of another check, or cannot be told from its values."""
    near = it.nearest_of_kind
    if near is None:
        values = [item for item in it.kin if item.finding.verdict is Verdict.INFORMATION]
        return f"Another check has values of it too, and nobody set a limit: {_numbers(values)}." if values else ""
    if not _elsewhere(near, it) or near.finding.verdict is not Verdict.PASS:
        return ""
    return f"The reading nearest to its limit belongs to another check: {near.number}."


def gap_in_the_plan(it: Characteristic) -> str:
    """The plan asked for a reading or record of this check that is not there, or there is no plan that could ask."""
    if not it.planned:
        return "No plan is on record, so nobody can tell what was not read."
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
    """A published limit beside the governing one was missed, or it is not decided whether it was."""
    bad = [item for item in it.references if item.finding.verdict.missed]
    open_ones = [item for item in it.references if item.finding.verdict is Verdict.INCONCLUSIVE]
    words = "A published limit beside the governing one is"
    return f"{words} {'missed' if bad else 'not decided'}: {_numbers(bad or open_ones)}." if bad or open_ones else ""


def weak_limit(it: Characteristic) -> str:
    """A limit rests on a term that is known only from memory or is customary practice."""
    weak = {
        item.finding.limit.standing
        for item in it.counted
        if item.finding.limit is not None and item.finding.limit.standing in (Standing.MEMORY, Standing.PRACTICE)
    }
    words = {Standing.MEMORY: "quoted from memory", Standing.PRACTICE: "customary practice without a source"}
    return f"Its limit is {listed(words[one] for one in words if one in weak)}." if weak else ""


def uncalibrated(it: Characteristic) -> str:
    """A reading rests on an instrument whose calibration is not shown."""
    bad = [item for item in it.counted if any(note.startswith(CALIBRATION_NOT_SHOWN) for note in item.finding.notes)]
    return f"Instrument calibration not shown: {_numbers(bad)}." if bad else ""


def without_a_number(it: Characteristic) -> str:
    """What was found is a fact in words, not a measured value."""
    bad = [item for item in it.counted if item.finding.measured is None and not item.finding.verdict.unshown]
    return "It is a fact in words, not a measured value." if bad else ""


def without_uncertainty(it: Characteristic) -> str:
    """Nobody stated the uncertainty of a value that should have one."""
    values = [(item, item.finding.measured) for item in it.counted]
    bad = [item for item, value in values if value and value.kind is not Kind.COUNTED and value.at_two is None]
    return f"The uncertainty was not stated: {_numbers(bad)}." if bad else ""


def without_day_or_place(it: Characteristic) -> str:
    """It is not on record when or where a reading was taken."""
    shown = [item for item in it.counted if not item.finding.verdict.unshown]
    bad = [item for item in shown if item.finding.period is None or not item.finding.key.place]
    return "The records give no single place and day for it." if bad else ""


def nothing_clear(it: Characteristic) -> str:
    """There are limits, and no reading met one; or there is no reading at all."""
    clear = it.nearest is not None or (it.counted and all(item.finding.limit is None for item in it.counted))
    return "" if clear else "No reading is clear of its limit."


def no_measurement(it: Characteristic) -> str:
    """The finding itself says that its value was worked out from an estimate and not measured."""
    bad = [item for item in it.counted if any(NO_MEASUREMENT in note for note in item.finding.notes)]
    return f"It is a check of plausibility, not a measurement: {_numbers(bad)}." if bad else ""


def without_wording(it: Characteristic) -> str:
    """Nobody wrote a sentence for it."""
    return "" if it.worded else NOT_WORDED


RULES: tuple[Rule, ...] = (
    missed,
    undecided,
    unshown,
    of_its_kind,
    of_its_rows,
    not_clear,
    nearer_elsewhere,
    nothing_clear,
    reference_missed,
    open_report,
    accepted,
    gap_in_the_plan,
    lost_rows,
    lost_report,
    uncalibrated,
    weak_limit,
    no_measurement,
    without_a_number,
    without_uncertainty,
    without_day_or_place,
    without_wording,
)


def reasons(it: Characteristic, rules: Sequence[Rule] = RULES) -> tuple[str, ...]:
    """Every reason why a characteristic may not be said, in the order of the rules; empty where there is none."""
    return tuple(words for rule in rules if (words := rule(it)))


def _since(bad: Sequence[Numbered], it: Characteristic) -> str:
    """That all of some findings were put right and measured again, where the book tells it so."""
    return ", put right and measured again" if all(item.number in it.put_right for item in bad) else ""


def _elsewhere(item: Numbered, it: Characteristic) -> str:
    return "" if item.finding.key.check == it.check else ", in another check"


def _share(bad: Sequence[Numbered], it: Characteristic) -> str:
    return f"{len(bad)} of {len(it.counted)}"


def _numbers(items: Sequence[Numbered]) -> str:
    return _some([item.number for item in items])


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"
