"""Readings of a part that is no longer aboard: a report says that a new one took its place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.decide import of_a_part_gone
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding


def told_of_parts_gone(evidence: Evidence, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings; what met its limit on a part that was replaced afterwards is shown for information.

    Args:
        evidence: the folder, read.
        findings: what was found so far.
    Returns:
        The same findings in the same order.
    """
    gone = _replaced(evidence)
    return tuple(of_a_part_gone(finding, _why(finding, gone)) for finding in findings)


def _replaced(evidence: Evidence) -> tuple[tuple[str, date, str], ...]:
    """Place, day and number of every report of a replacement, also of those that cannot be used otherwise."""
    found = [
        (row.place, row.replaced_on, row.report)
        for row in evidence.of(Nonconformity)
        if row.place and row.replaced_on is not None
    ]
    for row in evidence.lost(Nonconformity):
        place, day = row.get("place"), row.get("replaced_on")
        if place and isinstance(day, date):
            found.append((place, day, row.get("report") or str(row.where.row)))
    return tuple(found)


def _why(finding: Finding, gone: Sequence[tuple[str, date, str]]) -> tuple[str, ...]:
    if finding.period is None:
        return ()
    return tuple(
        f"This speaks of the part that was replaced on {day.isoformat()} (report {report}), not of the one aboard."
        for place, day, report in gone
        if finding.key.place == place and finding.period.end.date() < day
    )
