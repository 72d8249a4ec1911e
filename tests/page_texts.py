"""The words of a page for the tests: each block of text with the elements around it, and the words in attributes."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

from tests.render.site_reader import VOID, squeezed

# What does not end a block of text: it stands inside a line.
INLINE = {"a", "b", "code", "em", "i", "span", "strong", "sub", "sup", "text", "tspan"}
# What verify.html says of a printed book, and what it says where there is none.
OF_PRINT = (
    ("It is printed on the cover of the printed book, and its first", "Its first"),
    ("from the cover of a printed book, from a letter", "from a letter"),
    ("documents, PDFs", "documents"),
    ("the pages and the pictures, nor the PDFs", "the pages and the pictures"),
    ("elsewhere: a printed book, a letter", "elsewhere: a letter"),
)
SPOKEN = ("alt", "aria-label", "title", "content")


@dataclass(frozen=True, slots=True)
class Block:
    """One block of text and the elements around it, outermost first, each as `tag` or `tag.class.class`."""

    around: tuple[str, ...]
    text: str

    def inside(self, *names: str) -> bool:
        """Whether an element of this tag or class is around it."""
        return any(name in element.split(".") for element in self.around for name in names)


@dataclass(slots=True)
class Texts:
    """The blocks of a page in the order of reading, and what its attributes say aloud."""

    blocks: list[Block] = field(default_factory=list)
    spoken: list[str] = field(default_factory=list)


def without_print(text: str) -> str:
    """A page as it is where no printed book stands beside it, as far as its own words go."""
    for said, otherwise in OF_PRINT:
        text = text.replace(said, otherwise)
    return text


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts = Texts()
        self.open: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.texts.spoken += [value for name in SPOKEN if (value := given.get(name))]
        classes = (given.get("class") or "").split()
        own_block = "required" in classes or "asked" in classes or "over" in classes
        if tag not in INLINE or own_block:
            self.flush()
        if tag not in VOID:
            self.open.append(".".join((tag, *classes)))

    def handle_endtag(self, tag: str) -> None:
        last = self.open[-1].split(".")
        if tag not in INLINE or {"required", "asked", "over"} & set(last):
            self.flush()
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.words += data

    def flush(self) -> None:
        text = squeezed(self.words)
        self.words = ""
        if text and not any(element in ("style", "script") for element in self.open):
            self.texts.blocks.append(Block(tuple(self.open), text))


def texts_of(page: str) -> Texts:
    """The words of one page."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader.texts


def sentences_of(text: str) -> list[str]:
    """A text cut after each full stop, question or exclamation mark that another sentence follows."""
    return [part for part in re.split(r'(?<=[.!?])\s+(?=[A-Z0-9"−])', text) if part]
