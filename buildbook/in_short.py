"""The sentences that a reader should keep: what became of what was found. Counts matters; judges nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

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
        governing: all governing findings. One matter may show in several, and one that a report alone tells shows in
            none that failed: so it is said in how many of how many matters those are, and these are then counted
            out. Where none was judged, none can be said not to have failed.

    Returns:
        Whole sentences.
    """
    failed, total = {item.number for item in governing if item.finding.verdict.missed}, len(governing)
    states = Counter(matter.state for matter in told)
    parts = {state: f"{states[state]} {words[states[state] > 1]}" for state, words in IN_SHORT.items() if states[state]}
    if not any(item.finding.verdict.judged for item in governing):
        nothing = "Nothing was judged: no record shows a reading that a limit could be held against."
        return " ".join((nothing, *_named(parts.values())))
    if not failed:
        return " ".join((*_named(parts.values()), f"None of {total} findings failed."))
    count = f"{len(failed)} of {total} findings failed"
    holding = [matter.state for matter in told if matter.state in parts and not failed.isdisjoint(matter.findings)]
    if not holding:
        return " ".join((f"{count}.", *_named(parts.values())))
    every = list(IN_SHORT)
    last = max(every.index(state) for state in (*holding, State.PUT_RIGHT))
    first = [state for state in parts if every.index(state) <= last]
    among = sum(states[state] for state in first)
    of = "" if among == len(holding) else f"{len(holding)} of "
    became, *others = (f"{parts[state]}." for state in first)
    more = (f"{words.replace(' ', ' more ', 1)}." for state, words in parts.items() if state not in first)
    return " ".join((f"{count}, in {of}{among} {_matters(among)}.", f"Of these, {became}", *others, *more))


def _named(parts: Iterable[str]) -> list[str]:
    """Sentences of which the first says what is counted."""
    told = [f"{part}." for part in parts]
    if told:
        number, _, words = told[0].partition(" ")
        told[0] = f"{number} {_matters(int(number))} {words}"
    return told


def _matters(number: int) -> str:
    return "matter" if number == 1 else "matters"
