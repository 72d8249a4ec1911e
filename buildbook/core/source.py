"""Cited documents, and how well each citation is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Standing(StrEnum):
    """How a limit is known, from the strongest to the weakest."""

    BUILDER = "builder"
    READ = "read"
    SECOND_HAND = "second-hand"
    MEMORY = "memory"
    PRACTICE = "practice"

    @property
    def weakness(self) -> int:
        """0 for the strongest standing, larger for weaker ones."""
        return list(Standing).index(self)


def weakest(standings: tuple[Standing, ...]) -> Standing:
    """The weakest of some standings: what a page must show when several terms made a limit."""
    return max(standings, key=lambda standing: standing.weakness)


@dataclass(frozen=True, slots=True)
class Source:
    """A cited document. `key` is the name used in tables and prose; `designation` what a standard is called.

    All but key and title may be empty.
    """

    key: str
    title: str
    edition: str = ""
    clause: str = ""
    publisher: str = ""
    kind: str = ""
    note: str = ""
    designation: str = ""
