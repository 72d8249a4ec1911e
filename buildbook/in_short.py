"""The sentences that a reader should keep: what became of what was found. Counts matters; judges nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buildbook.core.book import Numbered
from buildbook.core.grammar import counted
from buildbook.core.matter import Matter, State
from buildbook.core.stage import waits

WENT_WRONG = {
    State.OPEN: ("is open today", "are open today"),
    State.ACCEPTED: ("was accepted as found", "were accepted as found"),
    State.SETTLED: ("was settled otherwise", "were settled otherwise"),
    State.PUT_RIGHT: ("was put right and measured again", "were put right and measured again"),
    State.SCRAPPED: ("was scrapped", "were scrapped"),
}
NOT_KNOWN = {
    State.NOT_SHOWN: ("was not measured or has no record", "were not measured or have no record"),
    State.UNDECIDED: ("was measured but not decided", "were measured but not decided"),
}


def in_short(told: Sequence[Matter], governing: Sequence[Numbered]) -> str:
    """The sentences that a reader should keep: how many matters went wrong, what became of them, how many findings.

    Args:
        told: the matters, counted as their headings count them.
        governing: all governing findings; those that are not due yet are not counted. One matter may show in several,
            and one that a report alone tells in none that failed, so findings are counted apart and last. Where none
            was judged, none can be said not to have failed.

    Returns:
        Whole sentences; the numbers of what became of the matters that went wrong add up.
    """
    states = Counter(matter.state for matter in told)
    failed = sum(item.finding.verdict.missed for item in governing)
    total = sum(not item.finding.due_later for item in governing)
    parts = [words for words in (_went_wrong(states), *_not_known(states)) if words]
    if not parts and (stages := waits(item.finding for item in governing)):
        return f"Nothing of this is due yet: it is filled when she is {stages}."
    if not any(item.finding.verdict.judged for item in governing):
        return " ".join(("Nothing was judged: no record shows a reading that a limit could be held against.", *parts))
    return " ".join((*parts, f"{failed or 'None'} of {counted(total, 'finding')} failed."))


def _went_wrong(states: Counter[State]) -> str:
    """How many matters went wrong, and how many of them stand in which way."""
    became = [f"{states[state]} {words[states[state] > 1]}" for state, words in WENT_WRONG.items() if states[state]]
    number = sum(states[state] for state in WENT_WRONG)
    if not number:
        return ""
    if len(became) == 1:
        return f"{_matters(number)} went wrong and {became[0].partition(' ')[2]}."
    return f"{_matters(number)} went wrong. Of these, {'. '.join(became)}."


def _not_known(states: Counter[State]) -> list[str]:
    """What nobody can say of her: matters that were not measured, or whose measurement decides nothing."""
    told = {state: words for state, words in NOT_KNOWN.items() if states[state]}
    more = " more" if any(states[state] for state in WENT_WRONG) else ""
    parts = [f"{states[state]}{more} {words[states[state] > 1]}." for state, words in told.items()]
    if parts and not more:
        number, _, words = parts[0].partition(" ")
        parts[0] = f"{_matters(int(number))} {words}"
    return parts


def _matters(number: int) -> str:
    return counted(number, "matter")
