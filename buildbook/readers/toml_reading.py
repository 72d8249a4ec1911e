"""A TOML file while it is read: where its keys stand, and what was wrong with it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.readers.toml_lines import nearest_line

_NOT_USED = "It is not used."
_LARGEST = 1e300


@dataclass(slots=True)
class Reading:
    """The file's name, the lines of its keys, and the faults found so far."""

    file: str
    lines: Mapping[str, int]
    faults: list[Fault] = field(default_factory=list)

    def where(self, path: str) -> Where:
        """The place of a key or table; entries of an array of tables are counted from 1."""
        return Where(self.file, nearest_line(self.lines, path), part=path)

    def blame(self, path: str, expected: str, found: str, effect: str = _NOT_USED) -> str:
        """Add a fault; the reason in words is given back."""
        self.faults.append(Fault(self.where(path), expected, found, effect))
        return f"{self.where(path)}: expected {expected}; found {found}"

    def notice(self, path: str, expected: str, found: str, effect: str) -> None:
        """Add a notice."""
        self.faults.append(Fault(self.where(path), expected, found, effect, Severity.NOTICE))


def near(word: str, choices: Sequence[str]) -> str:
    """The words that suggest the nearest of some choices; empty where none is near."""
    found = difflib.get_close_matches(word, choices, 1, 0.6)
    return f" (did you mean '{found[0]}'?)" if found else ""


def shown(value: Any) -> str:
    """A value as a message shows it, short and on one line."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f"'{value}'" if isinstance(value, str) else str(value)
    text = " ".join(text.split())
    return text if len(text) <= 60 else f"{text[:57]}…"


def is_number(value: Any) -> bool:
    """Whether a TOML value is a finite number."""
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and math.isfinite(value)
        and abs(value) < _LARGEST
    )
