"""The neutral summary and the lines of exceptions: made by rule from the counts of the book, never from adjectives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from buildbook.core.book import Book, State
from buildbook.core.finding import Verdict
from buildbook.core.listing import Open
from buildbook.core.wording import fixed, listed
from buildbook.sheet.words import SummaryLine

MOST_WORDS = 150
MOST_TOLD = 3
TOLD = (State.OPEN, State.ACCEPTED, State.SETTLED, State.NOT_SHOWN, State.UNDECIDED, State.OVERDUE)


def count_words(text: str) -> int:
    """How many words a text has: what stands between spaces and holds a letter or a digit.

    >>> count_words("2.46 ± 0.29 mm/s at Z1 – port")
    6
    """
    return sum(any(sign.isalnum() for sign in word) for word in text.split())


def summary(lines: Sequence[SummaryLine], slots: Mapping[str, str]) -> tuple[str, ...]:
    """The lines that the folder has something to say for, in their order, 150 words at most.

    Args:
        lines: the lines in the order of reading; those marked `always` stay whatever the length.
        slots: what fills the braces; an empty one leaves its line out, so a folder with little in it gives a short
            summary. Nothing is added to make it longer.

    Returns:
        The sentences.
    """
    filled = [(line, _filled(line, slots)) for line in lines]
    left = MOST_WORDS - sum(count_words(text) for line, text in filled if line.always)
    kept = []
    for line, text in filled:
        if line.always:
            kept.append(text)
        elif text and (long := count_words(text)) <= left:
            kept.append(text)
            left -= long
    return tuple(text for text in kept if text)


def _filled(line: SummaryLine, slots: Mapping[str, str]) -> str:
    known = {name: text for name, text in slots.items() if text}
    try:
        return line.words.format(**known)
    except KeyError as missing:
        if missing.args[0] not in slots:
            raise
        return ""


def slots(book: Book, said: int, characteristics: int) -> dict[str, str]:
    """What the lines of the summary may name; empty where the book does not say it."""
    hull = book.hull
    counts = {count.verdict: count.number for count in book.counts}
    total = sum(counts.values())
    unsettled = sum(number for verdict, number in counts.items() if verdict.unshown or verdict is Verdict.INCONCLUSIVE)
    doubted = _doubted(book)
    return {
        "name": hull.name,
        "number": hull.number,
        "builder": hull.builder,
        "model": hull.model,
        "in_short": book.in_short,
        "doubted": str(doubted or ""),
        "dimensions": listed(_dimensions(book)),
        "dates": listed(f"{event.replace('_', ' ')} {day.isoformat()}" for event, day in hull.dates),
        "chapters": "; ".join(chapter.title for chapter in book.chapters),
        "findings": f"{total} findings" if total else "",
        "passed": str(counts.get(Verdict.PASS, 0)),
        "close": str(counts.get(Verdict.CONDITIONAL_PASS, 0)),
        "missed": str(sum(number for verdict, number in counts.items() if verdict.missed)),
        "unsettled": str(unsettled or ""),
        "unlimited": str(counts.get(Verdict.INFORMATION) or ""),
        "planned": str(len(book.plan) or ""),
        "recorded": str(sum(not line.verdict.exception for line in book.plan)),
        "characteristics": str(characteristics or ""),
        "said": str(said or "none"),
    }


def exceptions(book: Book) -> str:
    """The line of exceptions: what is open, accepted, missing, how many failed, and what could not be read."""
    parts = [book.in_short]
    doubted, unusable = _doubted(book), len(book.unusable)
    if doubted:
        parts.append(f"Instrument calibration is not shown behind {doubted} of the findings.")
    if unusable:
        entries = "1 entry" if unusable == 1 else f"{unusable} entries"
        parts.append(f"{entries} of the folder could not be read or used.")
    return " ".join(parts)


def opened(book: Book) -> tuple[Open, ...]:
    """What is open, accepted, missing or undecided, by how it stands; put right stands in the line of exceptions."""
    groups = ((state, [it.what for it in book.matters if it.state is state]) for state in TOLD)
    return tuple(Open(state.value, len(told), tuple(told[:MOST_TOLD])) for state, told in groups if told)


def _doubted(book: Book) -> int:
    """How many governing findings rest on an instrument whose calibration is not shown."""
    governing = (item for chapter in book.chapters for check in chapter.checks for item in check.governing)
    return sum(item.verdict != item.finding.verdict.value for item in governing)


def _dimensions(book: Book) -> list[str]:
    hull = book.hull
    metres = (
        ("length of hull", hull.length_hull),
        ("beam", hull.beam),
        ("draught", hull.draught),
    )
    told = [f"{name} {fixed(value, 2)} m" for name, value in metres if value is not None]
    return [*told, f"displacement {fixed(hull.displacement, 0)} kg"] if hull.displacement else told
