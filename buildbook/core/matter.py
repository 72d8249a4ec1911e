"""What did not simply pass, told once each, and how it stands today."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """How a finding that did not simply pass stands today, in the order in which a reader is told."""

    OPEN = "open today"
    ACCEPTED = "accepted as found"
    SETTLED = "settled otherwise"
    PUT_RIGHT = "put right and measured again"
    SCRAPPED = "scrapped"
    NOT_SHOWN = "not measured, or no record shown"
    UNDECIDED = "measured, but not decided"
    OVERDUE = "instrument calibration not shown"
    DECIDED = "not decided at first, decided when measured again"
    CLOSE = "inside the limit without a clear margin"

    @property
    def stands(self) -> bool:
        """Whether what was found is on her today."""
        return self in (State.OPEN, State.ACCEPTED, State.SETTLED)

    @property
    def past(self) -> bool:
        """Whether what was found is no longer so: a later reading, or another piece, stands in its place."""
        return self in (State.PUT_RIGHT, State.SCRAPPED, State.DECIDED)

    @property
    def went_wrong(self) -> bool:
        """Whether a limit was missed, by a reading or by the word of a report."""
        return self.stands or self in (State.PUT_RIGHT, State.SCRAPPED)

    @property
    def close(self) -> bool:
        """Whether it is a near miss: nothing is outside its limit."""
        return self is State.CLOSE


def is_past(state: State | None) -> bool:
    """Whether the matter of a finding is past; what is in no matter (None) is not."""
    return state is not None and state.past


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that did not simply pass, told once: what it is, what became of it, the findings it shows in.

    `what` tells the finding that weighs most, `also` names the others that rest on the same cause or the same work.
    `findings` are their numbers, that one first; `reports` are the ids of the reports about it. `in_brief` is `became`
    without the work that was done, and without its reports where it was put right, is undecided or has no calibration
    shown, for where these are told; empty where it is the same.
    """

    state: State
    what: str
    became: str
    also: tuple[str, ...]
    findings: tuple[str, ...]
    reports: tuple[str, ...]
    in_brief: str = ""

    @property
    def checks(self) -> frozenset[str]:
        """The ids of the checks in whose findings it shows."""
        return frozenset(number.partition("/")[0] for number in self.findings)


def told_in(checks: Iterable[str], told: Iterable[Matter]) -> tuple[Matter, ...]:
    """The matters that show in a finding of some checks, in the order given."""
    wanted = frozenset(checks)
    return tuple(it for it in told if wanted & it.checks)
