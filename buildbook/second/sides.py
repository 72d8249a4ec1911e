"""One side of a pair: its value, what its uncertainty is made of, and its verdict by the rule for its own claim."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.shared_records import Instrument
from buildbook.core.decide import claim_of_miss, not_of_this_limit
from buildbook.core.finding import NOT_DUE_YET, Finding, Verdict
from buildbook.core.finding_words import result_text
from buildbook.core.quantity import Kind
from buildbook.second import said
from buildbook.second.calibrated import calibration_not_shown
from buildbook.second.comparison import Side, Stated
from buildbook.second.reading import Party
from buildbook.second.within_range import measured_by


def both_sides(
    yard: Finding, his: Finding, first: Party, second: Party, *, apart: bool, another: bool
) -> tuple[Side, Side]:
    """The yard's side and the surveyor's.

    Args:
        yard: the yard's finding.
        his: the surveyor's.
        first: the yard's folder, read.
        second: the surveyor's.
        apart: whether the two are not comparable: then neither shows anything about the other's claim.
        another: whether he read another thing than the limit is about, so that he is not judged by it.
    """
    ours, theirs = one_side(yard, first, surveyor=False), one_side(his, second, surveyor=True)
    if apart:
        ours, theirs = replace(ours, shows=None), replace(theirs, shows=None)
    return ours, replace(theirs, verdict=not_of_this_limit(theirs.verdict)) if another else theirs


def text_of(finding: Finding) -> str:
    """What was found, as a side of a comparison tells it."""
    return f"{result_text(finding)} ({NOT_DUE_YET})" if finding.due_later else result_text(finding)


def one_side(finding: Finding, party: Party, *, surveyor: bool) -> Side:
    """A finding as one side of a comparison, by the rule for the claim of that side."""
    measured, period = finding.measured, finding.period
    verdict, shows = _claim(finding, surveyor=surveyor)
    counted = measured is not None and measured.kind is Kind.COUNTED
    stated = measured is not None and measured.expanded is not None and not counted
    return Side(
        text=text_of(finding),
        value=measured.value if measured else None,
        unit=measured.unit if measured else "",
        expanded=measured.expanded if measured else None,
        coverage=measured.coverage if measured and stated else None,
        degrees=measured.degrees if measured and stated else None,
        standard=measured.standard if measured and stated else None,
        parts=measured.parts if measured and stated else (),
        expanded_at_95=measured.at_two if measured else None,
        verdict=verdict,
        shows=shows,
        attempt=finding.key.attempt,
        condition=finding.key.condition,
        method=finding.method,
        first=period.start.isoformat() if period else "",
        last=period.end.isoformat() if period else "",
        instruments=tuple(
            said.instrument(id_, party.evidence.of(Instrument, instrument=id_)) for id_ in finding.instruments
        ),
        stated=tuple(_stated(row) for id_ in finding.instruments for row in _rested_on(id_, finding, party)),
        calibration=calibration_not_shown(finding, party),
        rows=tuple(str(where) for where in finding.at),
    )


def _rows(id_: str, party: Party) -> Iterable[Instrument]:
    return party.evidence.of(Instrument, instrument=id_)


def _rested_on(id_: str, finding: Finding, party: Party) -> Iterable[Instrument]:
    """The rows of an instrument for what it read here; all of them where the rows behind a finding do not name it."""
    readings = {key[1] for row in party.behind((finding,)) for key in measured_by(row) if key[0] == id_}
    return [row for row in _rows(id_, party) if not readings or row.quantity in readings]


def _stated(row: Instrument) -> Stated:
    return Stated(row.instrument, row.quantity, row.unit, row.resolution, row.uncertainty, row.coverage)


def _claim(finding: Finding, *, surveyor: bool) -> tuple[Verdict, bool | None]:
    """The verdict by the rule for this side's claim, and whether the reading shows the claim."""
    if finding.limit is None or finding.measured is None or finding.limit.in_words:
        return finding.verdict, None
    if not surveyor:
        return finding.verdict, finding.verdict is Verdict.PASS
    decision, shown = claim_of_miss(finding.measured, finding.limit)
    if finding.verdict in (Verdict.INCONCLUSIVE, Verdict.INFORMATION):
        return finding.verdict, False
    return decision.verdict, shown
