"""What kind of reading a quantity is: its name, or what a table says where two checks name one thing in two ways."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

TABLE = Path(__file__).parent / "kinds.csv"


@dataclass(frozen=True, slots=True)
class SameThing:
    """A quantity of a check that is measured elsewhere under the name `kind`, and the reason why it is the same."""

    check: str
    quantity: str
    kind: str
    reason: str


@cache
def same_things() -> tuple[SameThing, ...]:
    """Every line of the table."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(SameThing(**row) for row in csv.DictReader(file))


@cache
def kind_of(check: str, quantity: str) -> str:
    """What kind of reading it is: equal for all that is one thing, whatever the check.

    >>> kind_of("LAM-07", "mean hardness"), kind_of("COA-16", "Barcol hardness"), kind_of("COA-11", "gloss at 60°")
    ('Barcol hardness', 'Barcol hardness', 'gloss at 60°')
    """
    named = (one.kind for one in same_things() if (one.check, one.quantity) == (check, quantity))
    return next(named, quantity)
