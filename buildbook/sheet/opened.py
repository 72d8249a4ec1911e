"""Every matter in a line of the sheet: whole for the web file, in few words for print, each with how it ended."""

from __future__ import annotations

import re

from buildbook.core.book import Book, Numbered
from buildbook.core.finding_words import reading_text
from buildbook.core.listing import Open, Told
from buildbook.core.matter import Matter, State

SENTENCES = re.compile(r"(?<=\.) (?=[A-Z])")
MENDED = (State.PUT_RIGHT, State.DECIDED)  # what a later reading showed belongs to the line
CLAUSE = 4  # words before a colon that tell a reason by themselves; fewer only name what it is about
WITH_END = (*MENDED, State.UNDECIDED, State.CLOSE)


def opened(book: Book) -> tuple[Open, ...]:
    """Every matter of the book by how it stands, each in a line, with the number of matters and of their findings."""
    groups = ((state, [it for it in book.matters if it.state is state]) for state in State)
    items = {item.number: item for item in book.governing}
    return tuple(
        Open(
            state=state.value,
            matters=len(told),
            findings=sum(len(it.findings) for it in told),
            told=tuple(_told(it, items.get(it.findings[0])) for it in told),
            close=state.close,
        )
        for state, told in groups
        if told
    )


def _told(matter: Matter, item: Numbered | None) -> Told:
    end = _end(matter) if matter.state in WITH_END else ""
    what = f"{matter.what}. {end}" if end else matter.what
    short = _short(item, matter.state) if item is not None else matter.what
    return Told(what.removesuffix("."), f"{short}{_few_words(end, matter.state)}", matter.also, matter.findings[0])


def _end(matter: Matter) -> str:
    """What a later reading showed, or why nothing is decided."""
    return matter.became if matter.state is State.DECIDED else matter.in_brief or matter.became


def _few_words(end: str, state: State) -> str:
    """The same for print: the result alone, or the first sentence of the reason; of a near miss nothing."""
    if not end or state is State.CLOSE:
        return ""
    sentences = [_lower(one.removesuffix(".")) for one in SENTENCES.split(end)]
    if state in MENDED:
        return f", {sentences[-1]}"
    head = sentences[0].partition(": ")[0]
    return f" ({head if len(head.split()) >= CLAUSE else sentences[0]})"


def _short(item: Numbered, state: State) -> str:
    """Quantity, place and value; beside a value that is more than a near miss its limit."""
    finding = item.finding
    key, limit = finding.key, finding.limit
    value = reading_text(finding, finding.measured) if finding.measured else item.value
    against = finding.measured is not None and limit is not None and not state.close
    return f"{key.quantity}{f' at {key.place}' if key.place else ''}: {value}{f', {item.limit}' if against else ''}"


def _lower(text: str) -> str:
    """Without the capital of a sentence; a name in capitals stays as it is."""
    return text if text[1:2].isupper() else f"{text[:1].lower()}{text[1:]}"
