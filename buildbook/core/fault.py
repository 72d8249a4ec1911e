"""What could not be read, and what follows from that."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from buildbook.core.where import Where


class Severity(StrEnum):
    """A fault stops something from being judged; a notice is only said."""

    FAULT = "fault"
    NOTICE = "notice"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with the folder, in words for the person who fills it.

    `expected` and `found` are short phrases, `effect` says what cannot be judged because of it. Where `row_kept`, the
    numbers of the row are judged all the same, so that a fail stays a fail; the check itself says what is in doubt.
    `of_a_limit`: the builder chose a limit wider than is customary; nothing is lost, and the book tells it by itself.
    """

    where: Where
    expected: str
    found: str
    effect: str
    severity: Severity = Severity.FAULT
    row_kept: bool = False
    of_a_limit: bool = False

    def __str__(self) -> str:
        return f"{self.where}: expected {self.expected}; found {self.found}. {self.effect}"
