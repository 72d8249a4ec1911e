"""What a look at the readings gives: what was looked at, and what the yard is asked to explain."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.core.lists import first_of
from buildbook.core.where import Where
from buildbook.sources import figure

RULES = "register_rules"
FEW = 3  # so many things are told in words; the rows are all listed


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to ask about: the file it is in, the column, what was seen, the rows, and how it was worked out."""

    file: str
    words: str
    at: tuple[Where, ...]
    column: str = ""
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Look:
    """One way of looking: its quantity, its method, what it looked at in words, and what is to be asked."""

    quantity: str
    method: str
    looked: str
    notices: tuple[Notice, ...] = ()
    working: tuple[str, ...] = ()


def rule(name: str) -> float:
    """One figure of the register's own rules, in the unit of its row."""
    return figure(RULES, name)


def some(words: list[str]) -> str:
    """The first few of some words, and how many more there are."""
    return first_of(words, FEW)
