"""The sentences that a reader should keep: what became of what was found. Counts matters; judges nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buildbook.core.book import Matter, State

IN_SHORT = {
    State.OPEN: ("is open today", "are open today"),
    State.ACCEPTED: ("was accepted as found", "were accepted as found"),
    State.SETTLED: ("was settled otherwise", "were settled otherwise"),
    State.PUT_RIGHT: ("was put right and measured again", "were put right and measured again"),
    State.NOT_SHOWN: ("was not measured or has no record", "were not measured or have no record"),
    State.UNDECIDED: ("was measured but not decided", "were measured but not decided"),
}


def in_short(told: Sequence[Matter], failed: int, total: int) -> str:
    """The sentences that a reader should keep: what became of what was found, and how many findings failed.

    `told` are the matters, counted as their headings count them; `failed` of `total` governing findings failed.
    """
    states = Counter(matter.state for matter in told)
    parts = [f"{states[state]} {words[states[state] > 1]}." for state, words in IN_SHORT.items() if states[state]]
    first = f"{failed} of {total} findings failed." if failed else f"None of {total} findings failed."
    if not parts:
        return first
    things = "thing" if parts[0].startswith("1 ") else "things"
    parts[0] = parts[0].replace(" ", f" {things} ", 1)
    return " ".join((*parts, first))
