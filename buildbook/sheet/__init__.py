"""The listing sheet as data: what may be said of her, what may not, and what travels with every extract.

Pure: from a finished book and the wording to a frozen `Listing`. Renderers only lay it out.
"""

from __future__ import annotations

from buildbook.core.book import Book
from buildbook.core.listing import Listing, Withheld
from buildbook.sheet.characteristics import Characteristic, characteristics
from buildbook.sheet.days import validity
from buildbook.sheet.opened import opened
from buildbook.sheet.rules import reasons
from buildbook.sheet.sentences import Said, saying
from buildbook.sheet.summary import exceptions, slots, summary
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
    against = {(it.check, it.quantity): reasons(it) for it in everything}
    free = {(it.check, it.quantity): it for it in everything if not against[it.check, it.quantity]}
    common = Said.of(book, words)
    said = tuple(
        saying(free[it.check, it.quantity], it, common) for it in words.sayings if (it.check, it.quantity) in free
    )
    facts = said[:MOST_FACTS]
    return Listing(
        exceptions=exceptions(book),
        opened=opened(book),
        summary=summary(words.summary, slots(book, said, len(everything))),
        facts=facts,
        sayings=said,
        withheld=tuple(_withheld(it, why) for it in everything if (why := against[it.check, it.quantity])),
        validity=validity(said, book.hull, words.validity),
        cautions=book.limitations,
    )


def _withheld(it: Characteristic, why: tuple[str, ...]) -> Withheld:
    return Withheld(it.check, it.quantity, tuple(item.number for item in it.governing[:1]), why)
