"""What is said of several pairs in the same words, told once with their numbers: for the table of the printed form."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from buildbook.core.wording import listed, plain_number
from buildbook.second import said
from buildbook.second.comparison import Pair, Side


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence and the pairs it is about, by their numbers."""

    words: str
    pairs: str


def told_together(pairs: Sequence[Pair]) -> tuple[Told, ...]:
    """Every sentence about these pairs with the numbers of all that it is about, what weighs most first.

    Args:
        pairs: in the order of their numbers.
    """
    found: dict[tuple[int, str], list[int]] = {}
    for pair in pairs:
        for weight, words in _sentences(pair):
            found.setdefault((weight, words), []).append(pair.number)
    order = sorted(found, key=lambda key: (key[0], found[key][0]))
    return tuple(Told(words, numbers(found[(weight, words)])) for weight, words in order)


def _sentences(pair: Pair) -> Iterator[tuple[int, str]]:
    if pair.too_coarse:
        yield 0, f"But {said.TOO_COARSE}."
    if pair.without_limit:
        yield 1, said.NO_LIMIT_SAYS.format(apart="the combined uncertainty")
    for words in pair.same_instruments:
        yield 1, words
    for who, side in (("Surveyor", pair.surveyor), ("Yard", pair.yard)):
        for words in side.calibration:
            yield 1, f"{who}: {words}"
    for words in pair.notes:
        yield 2, words
    yield 3, pair.claims
    if pair.limit:
        yield 3, f"Limit: {pair.limit.source}."
    yield 4, f"Read by the surveyor {pair.time}."
    yield 5, behind("Surveyor", pair.surveyor)
    yield 6, behind("Yard", pair.yard)


def behind(who: str, side: Side) -> str:
    """How a side read and with what, in one line."""
    attempt = f"attempt {plain_number(side.attempt)}" if side.attempt > 1 else ""
    parts = (side.method or "no method on record", *side.instruments, attempt, side.condition)
    return f"{who}: {'; '.join(part for part in parts if part)}."


def numbers(of: Iterable[int]) -> str:
    """Numbers of pairs, those in a row as from and to.

    >>> numbers([30, 33, 34, 35, 40]), numbers([7])
    ('30, 33 to 35 and 40', '7')
    """
    runs: list[list[int]] = []
    for number in of:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return listed(piece for run in runs for piece in _pieces(run))


def _pieces(run: Sequence[int]) -> list[str]:
    return [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [plain_number(number) for number in run]
