"""How far the build of a hull has come, and what is not asked for before it has come further."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum

from buildbook.core.finding import NOT_DUE, Finding, Verdict
from buildbook.core.wording import listed

EVERYTHING_DUE = "Every check counts as due, so what is not there yet is a gap."


class Stage(StrEnum):
    """The stages of a build, in their order. What is due from a stage is asked for when she has come to it."""

    LAY_UP = "lay-up"
    MOULDED = "moulded"
    FITTING_OUT = "fitting out"
    PAINTED = "painted"
    LAUNCHED = "launched"
    ON_TRIAL = "on trial"
    DELIVERED = "delivered"

    @property
    def order(self) -> int:
        """Its place in the order of the build, from 0."""
        return list(Stage).index(self)

    @property
    def words(self) -> str:
        """What she is at this stage, as the end of a sentence that begins with "before she is"."""
        return _SHE_IS[self]

    def before(self, other: Stage) -> bool:
        """Whether the build comes to this stage before the other one."""
        return self.order < other.order


_SHE_IS = {
    Stage.LAY_UP: "being laid up",
    Stage.MOULDED: "out of the mould",
    Stage.FITTING_OUT: "being fitted out",
    Stage.PAINTED: "painted",
    Stage.LAUNCHED: "launched",
    Stage.ON_TRIAL: "on trial",
    Stage.DELIVERED: "delivered",
}


def stage_named(words: str) -> Stage | None:
    """The stage of this name, or None.

    >>> stage_named("on trial")
    <Stage.ON_TRIAL: 'on trial'>
    >>> stage_named("afloat") is None
    True
    """
    return next((stage for stage in Stage if stage.value == words), None)


def not_due(finding: Finding, due: Stage) -> Finding:
    """The same finding of something that is not there, as one that is not asked for before a stage."""
    return replace(finding, verdict=Verdict.NOT_APPLICABLE, notes=(_note(due), *finding.notes))


def due_from(finding: Finding) -> Stage | None:
    """The stage from which something that is not due yet is asked for; None for any other finding."""
    if not finding.due_later:
        return None
    return next((stage for stage in Stage if _note(stage) in finding.notes), None)


def _note(due: Stage) -> str:
    return f"{NOT_DUE} she is {due.words}."


def waits(findings: Iterable[Finding]) -> str:
    """At which stages some findings are made, as `launched and on trial`; empty where any of them is made already.

    What does not apply to her at all says nothing either way.
    """
    findings = tuple(findings)
    stages = {due_from(finding) for finding in findings}
    if any(not it.due_later and it.verdict is not Verdict.NOT_APPLICABLE for it in findings):
        return ""
    return listed([stage.words for stage in Stage if stage in stages])
