"""Long lists told short: numbers that follow one another, and the first of many words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.core.wording import listed


def in_a_row(numbers: Iterable[int]) -> list[list[int]]:
    """Numbers in their order, those that follow one another together.

    >>> in_a_row((12, 43, 44, 45, 18))
    [[12], [43, 44, 45], [18]]
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return runs


def first_of(words: Sequence[str], most: int) -> str:
    """Words as a list; of many the first, and how many more there are.

    >>> first_of(("A", "B", "C", "D"), 2)
    'A, B and 2 more'
    """
    more = [f"{len(words) - most} more"] if len(words) > most else []
    return listed([*words[:most], *more])
