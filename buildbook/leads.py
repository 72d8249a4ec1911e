"""The one finding that a question or a chapter tells before the others, and how it stands. Judges nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.core.book import Numbered
from buildbook.core.finding import Verdict
from buildbook.core.matter import State, is_past
from buildbook.core.natural import natural
from buildbook.core.wording import capital
from buildbook.later import LaterAttempts

NEAREST = "Nearest to its limit"
# What stands today before what is past; what is only close is told as the nearest to its limit.
WORDS = {
    State.OPEN: "Open today",
    State.ACCEPTED: "Accepted as found",
    State.SETTLED: "Settled otherwise",
    State.NOT_SHOWN: "Not shown",
    State.UNDECIDED: "Not decided",
    State.PUT_RIGHT: "Put right since",
    State.SCRAPPED: "Scrapped",
}


@dataclass(frozen=True, slots=True)
class Lead:
    """The finding, the words before it, and what a later reading showed, a sentence or empty."""

    item: Numbered
    words: str
    again: str = ""

    @property
    def text(self) -> str:
        """All of it, as whole sentences."""
        return f"{self.words}: {self.item.in_sentences}{' ' if self.again else ''}{self.again}"


def lead_of(governing: Sequence[Numbered], state_of: Mapping[str, State], later: LaterAttempts) -> Lead | None:
    """What stands today, the worst first; else what was put right; else the judged reading nearest to its limit.

    Args:
        governing: the findings that count, in the order in which they are told.
        state_of: how each exception stands, by its number.
        later: what was measured again.
    """
    for state in WORDS:
        its = [item for item in governing if state_of.get(item.number) is state and not item.finding.verdict.met]
        if its:
            return _told(its[0], state, len(its), later)
    near = nearest_to_its_limit(item for item in governing if not is_past(state_of.get(item.number)))
    return Lead(near, NEAREST) if near is not None else None


def of_missed(
    told: Iterable[str], governing: Iterable[Numbered], state_of: Mapping[str, State], later: LaterAttempts
) -> Lead | None:
    """The missed limit that a chapter tells first; None where none was missed. `told` are numbers in their order."""
    missed = {item.number: item for item in governing if item.finding.verdict.missed}
    first = next((missed[number] for number in told if number in missed), None)
    if first is None:
        return None
    state = state_of.get(first.number, State.OPEN)
    return _told(first, state, sum(state_of.get(number) is state for number in missed), later)


def _told(item: Numbered, state: State, number: int, later: LaterAttempts) -> Lead:
    words = WORDS.get(state, state.value)
    again = later.again(item) if state.past else ""
    return Lead(item, f"{words}, one of {number}" if number > 1 else words, f"{capital(again)}." if again else "")


def nearest_to_its_limit(items: Iterable[Numbered]) -> Numbered | None:
    """The finding to look at first: a requirement in words that was missed, else the smallest margin over its limit.

    What is only inside its limit without a clear margin stands before every clear pass.
    """
    judged = [item for item in items if item.finding.verdict.judged]
    weighed = [item for item in judged if item.finding.margin is not None or item.finding.verdict.missed]
    return min(weighed, key=_nearness, default=None)


def _nearness(item: Numbered) -> tuple[bool, bool, float, tuple[object, ...]]:
    finding = item.finding
    plain = finding.verdict is Verdict.PASS
    return not finding.verdict.missed, plain, finding.relative_margin, natural(finding.key)
