"""The stage of the build that hull.toml gives, against her dates and against what is on record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.stage import EVERYTHING_DUE, Stage, stage_named
from buildbook.core.wording import listed
from buildbook.sources import table

MOST_SIGNS = 3  # that a message names


@dataclass(frozen=True, slots=True)
class _Sign:
    """What shows that she has come at least to a stage, in words."""

    stage: Stage
    words: str


def stage_fits(evidence: Evidence) -> Iterable[Fault]:
    """A fault where her dates or her records show that she has come further than the stage says."""
    stage = stage_named(evidence.hull.stage)
    further = [sign for sign in _signs(evidence) if stage is not None and stage.before(sign.stage)]
    if not further:
        return
    shown = max((sign.stage for sign in further), key=lambda it: it.order)
    expected = "'delivered', or no stage" if shown is Stage.DELIVERED else f"'{shown.value}' or a later stage"
    signs = listed([sign.words for sign in reversed(further)][:MOST_SIGNS])
    yield Fault(evidence.hull.at("stage"), expected, f"'{evidence.hull.stage}', but {signs}", EVERYTHING_DUE)


def held_by_her_stage(evidence: Evidence) -> Evidence:
    """The evidence without a stage that her own dates or records contradict, so that everything counts as due."""
    if not any(stage_fits(evidence)):
        return evidence
    return replace(evidence, hull=replace(evidence.hull, stage=""))


def _signs(evidence: Evidence) -> Iterable[_Sign]:
    """What the folder shows of how far she has come: events that have a date up to the day, tables that have rows."""
    hull = evidence.hull
    for row in table("stage_signs"):
        stage, event, file = Stage(row["stage"]), row["event"], row["table"]
        day = hull.date_of(event) if event else None
        if day is not None and (hull.as_of is None or day <= hull.as_of):
            yield _Sign(stage, f"{event} is {day.isoformat()}")
        kind = evidence.kind_of(file) if file else None
        if kind is not None and (evidence.of(kind) or evidence.lost(kind)):
            yield _Sign(stage, f"{file} has rows")


CROSS_CHECKS = (stage_fits,)
