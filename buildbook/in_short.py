"""The sentences that a reader should keep: what became of what was found. Counts matters; judges nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buildbook.core.book import Matter, Numbered, State

IN_SHORT = {
    State.OPEN: ("is open today", "are open today"),
    State.ACCEPTED: ("was accepted as found", "were accepted as found"),
    State.SETTLED: ("was settled otherwise", "were settled otherwise"),
    State.PUT_RIGHT: ("was put right and measured again", "were put right and measured again"),
    State.NOT_SHOWN: ("was not measured or has no record", "were not measured or have no record"),
    State.UNDECIDED: ("was measured but not decided", "were measured but not decided"),
}


def in_short(told: Sequence[Matter], governing: Sequence[Numbered]) -> str:
    """The sentences that a reader should keep: how many findings failed, and what became of what was found.

    Args:
        told: the matters, counted as their headings count them.
        governing: all governing findings. One matter may show in several, so it is said in how many of the matters
            those are that failed. Where none was judged, none can be said not to have failed.

    Returns:
        Whole sentences.
    """
    failed, total = {item.number for item in governing if item.finding.verdict.missed}, len(governing)
    states = Counter(matter.state for matter in told)
    parts = [f"{states[state]} {words[states[state] > 1]}." for state, words in IN_SHORT.items() if states[state]]
    judged = any(item.finding.verdict.judged for item in governing)
    if not judged:
        count = "Nothing was judged: no record shows a reading that a limit could be held against."
    elif not failed:
        count = f"None of {total} findings failed."
    else:
        held = sum(matter.state in IN_SHORT and not failed.isdisjoint(matter.findings) for matter in told)
        where = f", in {held} {'matter' if held == 1 else 'matters'}" if held else ""
        count = f"{len(failed)} of {total} findings failed{where}."
    if not parts:
        return count
    noun = "matter" if parts[0].startswith("1 ") else "matters"
    parts[0] = parts[0].replace(" ", f" {noun} ", 1)
    return " ".join((*parts, count) if judged and not failed else (count, *parts))
