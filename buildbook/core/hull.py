"""The hull: who she is, her main dimensions, and what her builder promised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from buildbook.core.limit import Limit, Term
from buildbook.core.stage import Stage, stage_named
from buildbook.core.where import Where


@dataclass(frozen=True, slots=True)
class Hull:
    """Identity, dimensions [m] and dates of one hull, as hull.toml gives them; empty or None where it does not.

    `outline` and `plan_outline` are her own profile and deck-plan points (x forward of the transom, z above the
    waterline; x, y to starboard), in metres. `withhold` names files of the folder, or columns of tables
    (`coating/batches.csv:supplier`), that she is to be published without. `demonstration` is the sentence that labels
    invented data, empty for a real hull. `stage` is how far her build has come, empty where that is not said; a book
    without it is written as before there were stages.
    """

    name: str = ""
    number: str = ""
    builder: str = ""
    model: str = ""
    category: str = ""
    as_of: date | None = None
    length_hull: float | None = None
    length_waterline: float | None = None
    beam: float | None = None
    draught: float | None = None
    displacement: float | None = None
    outline: tuple[tuple[float, float], ...] = ()
    plan_outline: tuple[tuple[float, float], ...] = ()
    dates: tuple[tuple[str, date], ...] = ()
    machinery: tuple[tuple[str, str], ...] = ()
    release: tuple[tuple[str, str], ...] = ()
    withhold: tuple[str, ...] = ()
    demonstration: str = ""
    lines: tuple[tuple[str, int], ...] = ()
    stage: str = ""

    @property
    def unfinished(self) -> str:
        """What a book of a boat that is being built says wherever it is opened; empty for a finished one."""
        stage = stage_named(self.stage)
        if stage is None or stage is Stage.DELIVERED:
            return ""
        day = f"on {self.as_of.isoformat()}" if self.as_of else "on a day that is not stated"
        return f"She is not finished: this is how she stood {day}, {stage.words}."

    @property
    def label(self) -> str:
        """What every extract of her book says first: that she is invented, that she is not finished; or nothing."""
        return " ".join(words for words in (self.demonstration, self.unfinished) if words)

    def date_of(self, event: str) -> date | None:
        """The date of an event (lay_up_started, moulded, painted, launched, delivered …) or None."""
        return dict(self.dates).get(event)

    def at(self, key: str) -> Where:
        """Where hull.toml gives a key."""
        return Where("hull.toml", dict(self.lines).get(key), part=key)

    def at_entry(self, key: str, entry: str) -> Where:
        """Where hull.toml gives one text of a list; where the list begins, if that is all that is known."""
        lines = dict(self.lines)
        return Where("hull.toml", lines.get(entry_key(key, entry), lines.get(key)), part=key)


def entry_key(key: str, entry: str) -> str:
    """The key under which `Hull.lines` has the line of one text of a list."""
    return f"{key}: {entry}"


def encloses(outline: Sequence[tuple[float, float]]) -> bool:
    """Whether the points of an outline have some width and some height, so that it can be drawn to scale."""
    return all(len({point[axis] for point in outline}) > 1 for axis in (0, 1))


@dataclass(frozen=True, slots=True)
class SpecifiedLimit:
    """One limit of the builder's specification and what it applies to; empty fields apply to all."""

    check: str
    quantity: str
    limit: Limit
    place: str = ""
    condition: str = ""


@dataclass(frozen=True, slots=True)
class ChosenRule:
    """One rule, class or method that the builder's specification chose for a check, with who chose it."""

    check: str
    rule: str
    term: Term


@dataclass(frozen=True, slots=True)
class Specification:
    """Limits and rules the builder set. `unread` holds (check or prefix, reason) for entries that could not be used."""

    limits: tuple[SpecifiedLimit, ...] = ()
    rules: tuple[ChosenRule, ...] = ()
    unread: tuple[tuple[str, str], ...] = field(default=())

    def limit(self, check: str, quantity: str, *, place: str = "", condition: str = "") -> Limit | None:
        """The most particular limit for this quantity: one that names place and condition before one that does not."""
        fitting = [
            entry
            for entry in self.limits
            if entry.check == check
            and entry.quantity == quantity
            and entry.place in ("", place)
            and entry.condition in ("", condition)
        ]
        if not fitting:
            return None
        return max(fitting, key=lambda entry: (entry.place != "", entry.condition != "")).limit

    def rule(self, check: str) -> ChosenRule | None:
        """The rule chosen for a check, or None."""
        return next((rule for rule in self.rules if rule.check == check), None)

    def unusable(self, check: str) -> tuple[str, ...]:
        """Why entries that would have concerned this check could not be used."""
        return tuple(reason for prefix, reason in self.unread if check.startswith(prefix))
