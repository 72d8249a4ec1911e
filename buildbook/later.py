"""What a later attempt at the same thing showed: the same key made again, or a new specimen, sensor or run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.core.book import Numbered
from buildbook.core.finding import Key, results_of
from buildbook.core.finding_words import reading_text

AGAIN = "measured again"


@dataclass(frozen=True, slots=True)
class LaterAttempts:
    """All findings by key, and the number of the last attempt at anything."""

    given: Mapping[Key, Numbered]
    attempts: int

    @classmethod
    def of(cls, given: Mapping[Key, Numbered]) -> LaterAttempts:
        """The later attempts among some findings."""
        return cls(given, max((key.attempt for key in given), default=1))

    def results(self, key: Key) -> list[Numbered]:
        """What was found under a key, or under one whose condition differs only in names: specimen, sensor, run."""
        found = results_of(key, self.given)
        return [self.given[one] for one in found if words_of(one.condition) == words_of(key.condition)]

    def last(self, key: Key) -> list[Numbered]:
        """What the last of the later attempts at the same thing showed; empty where there is none."""
        for attempt in range(self.attempts, key.attempt, -1):
            if found := self.results(replace(key, attempt=attempt)):
                return found
        return []

    def again(self, item: Numbered) -> str:
        """The same in words, `measured again: …`; empty where nothing was measured again."""
        key = item.finding.key
        found = self.last(key)
        return f"{AGAIN}: {worst_of(found, key.condition)}" if found else ""


def words_of(condition: str) -> list[str]:
    """A condition without the names that are new each time: `run R3`, `A-13`; not a setting such as `2000 r/min`."""
    return [part for part in condition.split(", ") if part[:1].isdigit() or not any(sign.isdigit() for sign in part)]


def worst_of(found: Sequence[Numbered], condition: str) -> str:
    """The worst of some results, and of equals the nearest to its limit; with its condition where that is another."""
    left = max(found, key=lambda item: (item.finding.verdict.rank, -(item.finding.margin or 0.0)))
    name = f" ({left.finding.key.condition})" if left.finding.key.condition != condition else ""
    return f"{value_of(left)}{name}, {left.verdict}"


def value_of(item: Numbered) -> str:
    """A measured value without what stands in brackets behind it; a fact as it is."""
    measured = item.finding.measured
    return item.value if measured is None else reading_text(item.finding, measured)
