"""The neutral summary and the lines of exceptions: made by rule from the counts of the book, never from adjectives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Verdict
from buildbook.core.finding_words import reading_text
from buildbook.core.grammar import counted
from buildbook.core.listing import Open, Saying, Told
from buildbook.core.matter import State
from buildbook.core.wording import fixed, grouped, listed
from buildbook.sheet.words import SummaryLine

MOST_WORDS = 150
MOST_NAMED = 2  # open matters that the summary names; of more it tells how many
MOST_RESULTS = 3


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


def slots(book: Book, said: Sequence[Saying], characteristics: int) -> dict[str, str]:
    """What the lines of the summary may name; empty where the book does not say it."""
    hull = book.hull
    counts = {count.verdict: count.number for count in book.counts}
    total = sum(counts.values()) - len(book.not_due)
    asked = [line for line in book.plan if line.verdict is not Verdict.NOT_APPLICABLE]
    states = Counter(matter.state for matter in book.matters)
    close, accepted = near_misses(book)
    doubted = _doubted(book)
    limited = [one for one in said if one.setter][:MOST_RESULTS]
    return {
        "name": hull.name,
        "number": hull.number,
        "builder": hull.builder,
        "model": hull.model,
        "unfinished": unfinished(book),
        "open": _open_words(book),
        "accepted": str(states[State.ACCEPTED] or ""),
        "settled": str(states[State.SETTLED] or ""),
        "scrapped": str(states[State.SCRAPPED] or ""),
        "put_right": str(states[State.PUT_RIGHT] or ""),
        "unsettled": str(states[State.NOT_SHOWN] + states[State.UNDECIDED] or ""),
        "doubted": str(doubted or ""),
        "dimensions": listed(_dimensions(book)),
        "dates": listed(f"{event.replace('_', ' ')} {day.isoformat()}" for event, day in hull.dates),
        "chapters": "; ".join(chapter.title for chapter in book.chapters if not chapter.waits),
        "waiting": "; ".join(chapter.title for chapter in book.chapters if chapter.waits),
        "results": "; ".join(f"{_lower(one.name)}: {one.value}, limit {one.limit}" for one in limited),
        "findings": counted(total, "finding") if total else "",
        "passed": str(counts.get(Verdict.PASS, 0)),
        "missed": str(sum(number for verdict, number in counts.items() if verdict.missed)),
        "close": _so_many(close, "lies", "lie"),
        "accepted_findings": _so_many(accepted, "is", "are"),
        "planned": str(len(book.plan) or ""),
        "recorded": str(sum(not line.verdict.exception for line in asked)),
        "characteristics": str(characteristics or ""),
        "said": str(len(said) or "none"),
    }


def unfinished(book: Book) -> str:
    """That she is not finished, how far she is and on which day, and how much is not due; empty for a finished boat."""
    if not book.hull.unfinished:
        return ""
    later = len(book.not_due)
    much = f" Not due yet at this stage: {later} of {counted(len(book.governing), 'finding')}." if later else ""
    return f"{book.hull.unfinished}{much}"


def near_misses(book: Book) -> tuple[int, int]:
    """How many conditional passes lie inside their limit without a clear margin, and how many are no such thing.

    A report of something accepted as found is a conditional pass too, although what it is about does not meet its
    requirement; it belongs to a matter that stands otherwise.
    """
    told = {number: matter.state for matter in book.matters for number in matter.findings}
    close = [item for item in book.governing if item.finding.verdict is Verdict.CONDITIONAL_PASS]
    accepted = sum(told.get(item.number) in (State.ACCEPTED, State.SETTLED) for item in close)
    return len(close) - accepted, accepted


def exceptions(book: Book) -> str:
    """The line of exceptions: that she is not finished, what is open and missing, what failed, what was not read."""
    parts = [words for words in (unfinished(book), book.in_short) if words]
    doubted, unusable = _doubted(book), len(book.unusable)
    if doubted:
        parts.append(f"Instrument calibration is not shown behind {counted(doubted, 'finding')}.")
    if unusable:
        entries = "1 entry" if unusable == 1 else f"{unusable} entries"
        parts.append(f"{entries} of the folder could not be read or used.")
    return " ".join(parts)


def opened(book: Book) -> tuple[Open, ...]:
    """Every matter of the book by how it stands, each in a line, with the number of matters and of their findings."""
    groups = ((state, [it for it in book.matters if it.state is state]) for state in State)
    short = {item.number: _short(item) for item in book.governing}
    return tuple(
        Open(
            state=state.value,
            matters=len(told),
            findings=sum(len(it.findings) for it in told),
            told=tuple(Told(it.what, short.get(it.findings[0], it.what), it.also, it.findings[0]) for it in told),
            close=state.close,
        )
        for state, told in groups
        if told
    )


def _short(item: Numbered) -> str:
    key = item.finding.key
    value = reading_text(item.finding, item.finding.measured) if item.finding.measured else item.value
    return f"{key.quantity}{f' at {key.place}' if key.place else ''}: {value}"


def _open_words(book: Book) -> str:
    """What is open today: each by name where they are few, else how many there are."""
    still = [it.what for it in book.matters if it.state is State.OPEN]
    if not still:
        return "no matter on record so far, and her build goes on" if book.hull.unfinished else "no matter on record"
    return ". ".join(still) if len(still) <= MOST_NAMED else f"{len(still)} matters, named under the exceptions"


def _lower(name: str) -> str:
    return f"{name[:1].lower()}{name[1:]}"


def _so_many(number: int, one: str, many: str) -> str:
    """A verb with a count of findings, as `are 3 findings`; empty for none."""
    return f"{one if number == 1 else many} {counted(number, 'finding')}" if number else ""


def _doubted(book: Book) -> int:
    """How many governing findings rest on an instrument whose calibration is not shown."""
    return sum(item.finding.doubted for item in book.governing)


def _dimensions(book: Book) -> list[str]:
    hull = book.hull
    metres = (
        ("length of hull", hull.length_hull),
        ("beam", hull.beam),
        ("draught", hull.draught),
    )
    told = [f"{name} {fixed(value, 2)} m" for name, value in metres if value is not None]
    return [*told, f"displacement {grouped(hull.displacement)} kg"] if hull.displacement else told
