"""The list beside a drawing of her: what did not simply pass first, and in words how a place stands today."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.core.book import Book
from buildbook.core.finding import NOT_DUE_YET, Verdict
from buildbook.core.her_marks import HullDrawing, PlaceLine

FEW = 5  # lines that say nothing more than that all passed: so few stay in the table
ACCEPTED = "accepted as found, or settled otherwise"
NOTHING_JUDGED = "nothing judged"
ALL_RIGHT = "what failed at first was put right and measured again"
ANOTHER_RIGHT = "something else failed, was put right and measured again"


@dataclass(frozen=True, slots=True)
class Parted:
    """The lines of a list: those a reader looks for, the worst first; those that passed; those nobody judged.

    The other two are folded away on the site and told in short lines in print.
    """

    told: tuple[PlaceLine, ...]
    passed: tuple[PlaceLine, ...]
    unjudged: tuple[PlaceLine, ...]


def parted(lines: Iterable[PlaceLine]) -> Parted:
    """The lines of a list by what is to be said of them.

    Args:
        lines: the lines of one drawing, in the order of their numbers.

    Returns:
        Each line in exactly one part, the other parts in the order given. Up to five that would be folded away stay
        among those that are told.
    """
    lines = tuple(lines)
    told = [line for line in lines if _to_look_at(line)]
    rest = [line for line in lines if line not in told]
    if len(rest) <= FEW:
        told, rest = list(lines), []
    passed = tuple(line for line in rest if line.verdict is Verdict.PASS)
    return Parted(
        tuple(sorted(told, key=_worst_first)), passed, tuple(line for line in rest if line.verdict is not Verdict.PASS)
    )


def _to_look_at(line: PlaceLine) -> bool:
    return bool(line.findings or line.put_right or (line.verdict is not None and line.verdict.exception))


def _worst_first(line: PlaceLine) -> tuple[int, bool, int]:
    return -(line.verdict.rank if line.verdict is not None else 0), not line.put_right, line.number


def later_there(book: Book, drawing: HullDrawing, line: PlaceLine) -> str:
    """Behind the word of a place to which nothing applies, as far as a drawing tells: that something is not due yet."""
    if line.verdict is not Verdict.NOT_APPLICABLE:
        return ""
    its = (item for item in book.not_due if line.place == item.finding.key.place)
    mine = {check.id for chapter in book.chapters if drawing.chapter in ("", chapter.key) for check in chapter.checks}
    return f" ({NOT_DUE_YET})" if any(item.finding.key.check in mine for item in its) else ""


def besides(line: PlaceLine) -> str:
    """What is said of a place behind the worst verdict that stands there today, or in place of one.

    Empty where the verdict says all.
    """
    if line.verdict is None and not line.put_right and not line.accepted:
        return NOTHING_JUDGED
    bad = line.accepted or (line.verdict is not None and line.verdict.exception and not line.verdict.met)
    right = (ANOTHER_RIGHT if bad else ALL_RIGHT) if line.put_right else ""
    return "; ".join(words for words in (ACCEPTED if line.accepted else "", right) if words)
