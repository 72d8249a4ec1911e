"""The listing sheet as data: what may be said of her, what may not, and what travels with every extract.

Pure: from a finished book and the wording to a frozen `Listing`. Renderers only lay it out.
"""

from __future__ import annotations

from buildbook.core.book import Book
from buildbook.core.listing import Listing, Withheld
from buildbook.sheet.characteristics import Characteristic, characteristics
from buildbook.sheet.days import validity
from buildbook.sheet.rules import reason
from buildbook.sheet.sentences import saying
from buildbook.sheet.summary import exceptions, opened, slots, summary
from buildbook.sheet.words import Words

MOST_FACTS = 8


def listing(book: Book, words: Words) -> Listing:
    """The listing sheet of a book.

    Args:
        book: the finished book; the sheet that it may already carry is not looked at.
        words: the wording; the order in which it stands there is the order of the sentences.

    Returns:
        The sheet. A book with nothing that may be said gives one without facts and sentences.
    """
    everything = characteristics(book, ((it.check, it.quantity) for it in words.sayings))
    reasons = {(it.check, it.quantity): reason(it) for it in everything}
    free = {(it.check, it.quantity): it for it in everything if not reasons[it.check, it.quantity]}
    names = {line.place: line.name for line in book.places}
    said = tuple(
        saying(free[it.check, it.quantity], it, words, names, book.hull.as_of)
        for it in words.sayings
        if (it.check, it.quantity) in free
    )
    facts = said[:MOST_FACTS]
    return Listing(
        exceptions=exceptions(book),
        opened=opened(book),
        summary=summary(words.summary, slots(book, len(said), len(everything))),
        facts=facts,
        sayings=said,
        withheld=tuple(_withheld(it, why) for it in everything if (why := reasons[it.check, it.quantity])),
        validity=validity(said, book.hull.as_of, words.validity),
        cautions=book.limitations,
    )


def _withheld(it: Characteristic, why: str) -> Withheld:
    return Withheld(it.check, it.quantity, tuple(item.number for item in it.governing[:1]), why)
