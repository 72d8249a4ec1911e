"""What to do about rows that cannot be used, in one line: which they are, and what waits for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from buildbook.core.book import Numbered
from buildbook.core.decide import TOO_COARSE
from buildbook.core.grammar import counted
from buildbook.core.matter import Matter, State
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.matter_states import UNREADABLE
from buildbook.remedies import Remedy, Who, of_its_own, rests_on_rows

SHOWN_FILES = 3  # before the rest is only counted


def rows_named(rows: Sequence[Where]) -> str:
    """Rows in words, the first of each file and how many more of it there are.

    >>> rows_named([Where("a.csv", 4), Where("a.csv", 5), Where("b.csv", 2)])
    'a.csv:4 and 1 more row, and b.csv:2'
    """
    files: dict[str, list[Where]] = {}
    for row in rows:
        files.setdefault(row.stands_in, []).append(row)
    told = [f"{its[0]}{_more(len(its) - 1, 'row')}" for its in files.values()]
    left = len(told) - SHOWN_FILES
    return f"{listed(told[:SHOWN_FILES])}{_more(left, 'file')}" if left > 0 else ", and ".join(told)


def _more(number: int, what: str) -> str:
    return f" and {counted(number, f'more {what}')}" if number > 0 else ""


def with_rows(matter: Matter, lead: Numbered, remedy: Remedy, rows: Sequence[Where]) -> tuple[Remedy, bool]:
    """A remedy that names the rows for which a matter waits, and whether nothing else is to be done about it.

    Args:
        matter: the matter.
        lead: the finding that says what it is.
        remedy: what to do about it were every row used.
        rows: the rows that this finding waits for; empty where they are not known.
    """
    if matter.state is State.OPEN:
        return (_judged_without(matter, remedy, rows), False)
    gap = matter.state is State.NOT_SHOWN and bool(rows)
    undecided = matter.state is State.UNDECIDED and not _has_its_own(lead)
    if not gap and not (undecided and (rows or rests_on_rows(lead))):
        return remedy, False
    return (Remedy(f"Correct {rows_named(rows)}; this waits for {_them(rows)}.", Who.OFFICE) if rows else remedy), True


def _has_its_own(lead: Numbered) -> bool:
    return TOO_COARSE in lead.finding.notes or of_its_own(lead) is not None


def _judged_without(matter: Matter, remedy: Remedy, rows: Sequence[Where]) -> Remedy:
    """A miss that nobody reported may be none with the rows that are lost: they come first."""
    if not rows or matter.reports or UNREADABLE in matter.became:
        return remedy
    first = f"First correct {rows_named(rows)}: this was judged without {_them(rows)}."
    return replace(remedy, text=f"{first} If it stays as it is: {remedy.text}")


def _them(rows: Sequence[Where]) -> str:
    return "it" if len(rows) == 1 else "them"
