"""What the checks of the infusion share: parts, times of a log, stretches without a reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from buildbook.chapters.infusion.formulas.vacuum import MINUTE, stretches
from buildbook.chapters.infusion.records import Area, BatchUsed, DropReading, Infusion, LogReading, Mix, ResinSheet
from buildbook.chapters.subjects import limits, planned_places
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Period
from buildbook.core.judging import Limits
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Part, Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import moment, plain_number
from buildbook.formulas.uncertainty import from_resolution
from buildbook.sources import figure, reference_limit, rule_words, table

RULES = "infusion_rules"
INTERVAL = "longest stretch without a pressure reading"
NO_INFUSION = "No usable row of infusion/infusions.csv says when this part was infused."
TABLES_BY_PART = (Infusion, DropReading, LogReading, Mix, Area, BatchUsed)


def rule(name: str) -> float:
    """A figure of the printed rules, in the unit of its row."""
    return figure(RULES, name)


def customary(name: str) -> str:
    """What a printed rule says, as a sentence of a finding with how well it is known."""
    return rule_words(RULES, name)


def parts(evidence: Evidence, check: str) -> tuple[str, ...]:
    """Every part that a table of the infusion, the plan or a limit of this check names."""
    named = [str(part) for kind in TABLES_BY_PART for part in evidence.values(kind, "part")]
    limited = [entry.place for entry in evidence.specification.limits if entry.check == check and entry.place]
    return tuple(dict.fromkeys((*named, *planned_places(evidence, check), *limited)))


def lasted(start: datetime, end: datetime) -> Quantity:
    """The time between two moments of a log [min], known to the minute at both ends."""
    parts = tuple(Part(f"resolution of the log, {which}", minute_step()) for which in ("start", "end"))
    return Quantity.combined((end - start) / MINUTE, "min", parts)


def minute_step() -> float:
    """What the step of a log leaves open of one moment, as a standard uncertainty [min]."""
    return from_resolution(float(table("log_resolution")[0]["resolution"]))


def agreed_interval(evidence: Evidence, part: str) -> tuple[float, Limits]:
    """The longest time between two readings [min], and who set it."""
    wanted = limits(evidence, "INF-02", INTERVAL, place=part)
    limit = wanted.specified or wanted.reference
    published = reference_limit("INF-02", INTERVAL)
    assert published is not None
    assert published.high is not None
    high = limit.high if limit is not None else None
    return (high if high is not None else published.high), wanted


@dataclass(frozen=True, slots=True)
class Logged:
    """The readings of one column of a log over a time, and the stretches without one that are too long."""

    rows: tuple[LogReading, ...]
    period: Period
    gaps: tuple[tuple[datetime, datetime], ...]
    interval: float

    @property
    def unbroken(self) -> tuple[tuple[datetime, datetime], ...]:
        """The times between one such stretch and the next, from the start to the end; all of it where there is none."""
        starts = (self.period.start, *(end for _, end in self.gaps))
        ends = (*(start for start, _ in self.gaps), self.period.end)
        return tuple(zip(starts, ends, strict=True))

    @property
    def caps(self) -> tuple[str, ...]:
        """Why the readings say less than they should, in words."""
        most = plain_number(self.interval)
        return tuple(
            f"No reading from {moment(start)} to {moment(end)}, longer than {most} min: that stretch is not recorded."
            for start, end in self.gaps
        )


def logged(evidence: Evidence, part: str, column: str, start: datetime, end: datetime) -> Logged:
    """What the log holds of one column from a start to an end."""
    of_part = sorted(evidence.of(LogReading, part=part), key=lambda row: row.at)
    rows = tuple(row for row in of_part if getattr(row, column) is not None)
    interval, _ = agreed_interval(evidence, part)
    times = [row.at for row in rows]
    gaps = tuple(pair for pair in stretches(times, start, end) if (pair[1] - pair[0]) / MINUTE > interval)
    return Logged(tuple(row for row in rows if start <= row.at <= end), Period(start, end), gaps, interval)


def sheet_of(evidence: Evidence, part: str) -> ResinSheet | None:
    """The data sheet of the resin of a part."""
    infusion = evidence.one(Infusion, part=part)
    return evidence.one(ResinSheet, resin=infusion.resin) if infusion is not None else None


def sheet_limit(sheet: ResinSheet, column: str, unit: str, words: str, low: float | None, high: float | None) -> Limit:
    """A range of the data sheet as a limit."""
    term = Term(words, Standing.BUILDER, "resin maker", sheet.sheet, sheet.revision, at=sheet.cell(column))
    return Limit(unit, (term,), low, high, words=words)
