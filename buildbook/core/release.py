"""Releases of a book: the number, the release before, and what changed since."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FormulaText:
    """A formula by its name: what it says of itself (arguments, units, range, source), and the checks that use it."""

    name: str
    says: str
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is not as it was: what, how it was, how it is; an empty text where it was not, or is not, there.

    `findings` are numbers in this release of the findings that it concerns.
    """

    what: str
    before: str
    after: str
    findings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Changes:
    """Changes of one kind, under their heading; `on_paper` is false for those that only the web site lists."""

    key: str
    heading: str
    lines: tuple[Change, ...]
    on_paper: bool = True


@dataclass(frozen=True, slots=True)
class Release:
    """Which release of the book this is.

    `previous` is the digest of the release before and `previous_number` its number; empty and 0 for the first one.
    `changes` are those since then, limits and formulas first; empty where nothing changed. `in_short` counts them.
    """

    number: int = 1
    previous: str = ""
    previous_number: int = 0
    changes: tuple[Changes, ...] = ()
    in_short: str = ""
