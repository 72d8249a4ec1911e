"""A finding: one quantity of one subject, judged."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum

from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.where import Where

CALIBRATION_NOT_SHOWN = "Instrument calibration not shown"
NOT_DUE = "Not due before"
NOT_DUE_YET = "not due yet"  # beside the word of the verdict, which would read as if she had none
NO_MEASUREMENT = "this is a check of plausibility, not a measurement"


class Verdict(StrEnum):
    """The nine verdicts and no others."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"
    INCONCLUSIVE = "inconclusive"
    NOT_MEASURED = "not measured"
    NO_RECORD = "no record"
    NOT_APPLICABLE = "not applicable"
    INFORMATION = "information"

    @property
    def rank(self) -> int:
        """0 is best. The order of a verdict that gets worse; the last two have no rank of their own (0)."""
        return _RANK[self]

    @property
    def judged(self) -> bool:
        """True where a reading met or missed its limit."""
        return self.met or self.missed

    @property
    def met(self) -> bool:
        """True where a limit was met, clearly or not."""
        return self in (Verdict.PASS, Verdict.CONDITIONAL_PASS)

    @property
    def missed(self) -> bool:
        """True where a limit was missed, clearly or not."""
        return self in (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)

    @property
    def unshown(self) -> bool:
        """True where nothing was measured, or what was done has no record."""
        return self in (Verdict.NOT_MEASURED, Verdict.NO_RECORD)

    @property
    def exception(self) -> bool:
        """True for everything that belongs on the page of exceptions and gaps."""
        return self not in (Verdict.PASS, Verdict.NOT_APPLICABLE, Verdict.INFORMATION)


_RANK = {
    Verdict.PASS: 0,
    Verdict.NOT_APPLICABLE: 0,
    Verdict.INFORMATION: 0,
    Verdict.CONDITIONAL_PASS: 1,
    Verdict.INCONCLUSIVE: 2,
    Verdict.NOT_MEASURED: 2,
    Verdict.NO_RECORD: 2,
    Verdict.CONDITIONAL_FAIL: 3,
    Verdict.FAIL: 4,
}


# The order in which counts are told: what went wrong before what went well.
WORST_FIRST = tuple(sorted(Verdict, key=lambda verdict: -verdict.rank))


class Role(StrEnum):
    """The hull's own specification governs; a published reference stands beside it."""

    GOVERNING = "governing"
    REFERENCE = "reference"


@dataclass(frozen=True, slots=True)
class Key:
    """What a finding is about. Comparison, strips, coverage and series all match on it.

    `place` and `condition` are the ids used in the tables (zone, coat, instrument, report …); `attempt` counts from 1.
    """

    check: str
    quantity: str
    place: str = ""
    condition: str = ""
    attempt: int = 1
    role: Role = Role.GOVERNING

    @property
    def order(self) -> tuple[str, str, str, str, int, str]:
        """A sort key that never depends on anything else."""
        return (self.check, self.place, self.condition, self.quantity, self.attempt, self.role.value)


def by_check(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """Findings by the check they belong to, in the order given."""
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        found.setdefault(finding.key.check, []).append(finding)
    return found


def results_of(key: Key, known: Collection[Key]) -> tuple[Key, ...]:
    """The keys among some that show this one: itself, or the same attempt at the same place under other names.

    A new specimen has a number of its own; so a key with a condition is also shown by those with another one, unless
    that name has a first attempt itself and so is another specimen made again.

    >>> new = Key("COA-10", "pull-off strength", "Z1", "A-07", attempt=2)
    >>> results_of(replace(new, condition="A-01"), [new]) == (new,)
    True
    >>> results_of(replace(new, condition="A-01"), [new, replace(new, attempt=1)])
    ()
    """
    if key in known:
        return (key,)
    here = (one for one in known if one.place == key.place and one.check == key.check)
    renamed = (one for one in here if one.condition and key.condition and replace(one, condition=key.condition) == key)
    return tuple(one for one in renamed if one.attempt == 1 or replace(one, attempt=1) not in known)


@dataclass(frozen=True, slots=True)
class Period:
    """From when to when the readings behind a finding were taken."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Finding:
    """One judged (or knowingly unjudged) quantity.

    `measured` is None where the result is a fact in words (`observed`) or nothing was measured. `margin` is the
    distance to the nearer limit (negative outside) and `guard` the guard band w, both in the unit of the limit. `at`
    names every row used. `working` shows the arithmetic, line by line. `notes` are sentences a reader must see.
    `work` is what was done since the attempt before, where the rows themselves say it and not only a report.
    """

    key: Key
    verdict: Verdict
    measured: Quantity | None = None
    limit: Limit | None = None
    observed: str = ""
    margin: float | None = None
    guard: float | None = None
    method: str = ""
    period: Period | None = None
    instruments: tuple[str, ...] = ()
    at: tuple[Where, ...] = ()
    working: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())
    work: str = ""

    @property
    def due_later(self) -> bool:
        """Whether it is not there and not asked for yet, by the stage of the build that hull.toml gives."""
        return self.verdict is Verdict.NOT_APPLICABLE and any(note.startswith(NOT_DUE) for note in self.notes)

    @property
    def doubted(self) -> bool:
        """Whether it is judged, and by an instrument whose calibration is not shown."""
        return self.verdict.judged and any(note.startswith(CALIBRATION_NOT_SHOWN) for note in self.notes)

    @property
    def relative_margin(self) -> float:
        """Margin over the width of the tolerance, or over the size of a one-sided limit; a fact has none (-inf)."""
        limit, margin = self.limit, self.margin
        if limit is None or margin is None:
            return -math.inf
        if limit.low is not None and limit.high is not None:
            scale = limit.high - limit.low
        else:
            scale = abs(limit.low if limit.low is not None else limit.high or 0.0)
        return margin / scale if scale > 0 else margin
