"""Releases in the plan that do not fit their line: beside a point that is no hold, or under exchanged heads."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.shared_records import Planned
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.wording import moment

AS_HOLD = "The release is judged as that of a hold point."
AS_IT_IS = "Each line is judged as it stands."
FEWEST = 3  # lines of which most go backwards before the heads are asked about (house rule)


def released(row: Planned) -> str:
    """The column that says somebody released this line; empty where none does."""
    return next((name for name in ("released_on", "released_by") if getattr(row, name)), "")


def release_of_a_hold(evidence: Evidence) -> Iterable[Fault]:
    """Only a hold point is released: a slip in `point` must not take a release that came too late out of the book."""
    for row in evidence.of(Planned):
        column = released(row)
        if column and row.point != "hold":
            expected = f"hold, since `{column}` is filled in"
            yield Fault(row.cell("point"), expected, row.point, AS_HOLD, row_kept=True)
        elif row.went_on and row.point in ("monitor", "review"):
            expected = f"nothing beside a {row.point} point, or hold or witness in `point`"
            yield Fault(row.cell("went_on"), expected, moment(row.went_on), AS_IT_IS, Severity.NOTICE)


def released_before_it_went_on(evidence: Evidence) -> Iterable[Fault]:
    """A notice where work went on before the release in most lines: then the heads are exchanged rather."""
    both = [(row, row.released_on, row.went_on) for row in evidence.of(Planned) if row.released_on and row.went_on]
    back = [row for row, release, after in both if release and after and release > after]
    if len(back) >= FEWEST and 2 * len(back) > len(both):
        expected = "a time up to that in `went_on`"
        heads = "(are the heads `released_on` and `went_on` exchanged?)"
        found = f"a later one in {len(back)} of {len(both)} lines {heads}"
        yield Fault(back[0].cell("released_on"), expected, found, AS_IT_IS, Severity.NOTICE)


CROSS_CHECKS = (release_of_a_hold, released_before_it_went_on)
