"""The wording of the listing sheet: data beside the templates, read once."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

FILE = "listing/sentences.toml"


@dataclass(frozen=True, slots=True)
class Wording:
    """How one characteristic (check and quantity) is worded: the line of a fact, and how its sentence opens.

    `unit` are words behind the value where its unit has no sign of its own. `less_is_worse` tells which of several
    values without a limit is told: the smallest, not the largest.
    """

    check: str
    quantity: str
    name: str
    subject: str
    unit: str = ""
    less_is_worse: bool = False


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """One line of the summary with slots in braces; `always` keeps it however long the summary gets."""

    words: str
    always: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """All wording of the sheet, in the order of the sheet."""

    sayings: tuple[Wording, ...]
    frames: Mapping[str, str]
    summary: tuple[SummaryLine, ...]
    validity: Mapping[str, str]

    def of(self, check: str, quantity: str) -> Wording | None:
        """The wording of a characteristic, None where nobody wrote one: then it makes no sentence."""
        return next((it for it in self.sayings if (it.check, it.quantity) == (check, quantity)), None)


def words(templates: Path) -> Words:
    """The wording from a folder of templates.

    Raises:
        FileNotFoundError: the folder has no `listing/sentences.toml`.
        tomllib.TOMLDecodeError, KeyError, TypeError: the file is not as it should be.
    """
    read = tomllib.loads((templates / FILE).read_text(encoding="utf-8"))
    return Words(
        sayings=tuple(Wording(**entry) for entry in read["say"]),
        frames=read["frames"],
        summary=tuple(SummaryLine(**entry) for entry in read["summary"]),
        validity=read["validity"],
    )
