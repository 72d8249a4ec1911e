"""A builder's own face: what of the look of a book is his to choose, as values; and the paper it is printed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType


class Form(StrEnum):
    """In which form a command says what it found."""

    TEXT = "text"
    JSON = "json"


class Paper(StrEnum):
    """The paper of the printed book."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of an upright page [mm]: ISO 216, and 8.5 by 11 inches."""
        return (210.0, 297.0) if self is Paper.A4 else (215.9, 279.4)


@dataclass(frozen=True, slots=True)
class Scheme:
    """The colours of light or of dark pages, each as `#rrggbb`.

    `raised` is the ground of blocks that stand out from the paper, `soft` the ink of what is said beside the matter.
    """

    paper: str
    raised: str
    ink: str
    soft: str
    line: str
    accent: str


@dataclass(frozen=True, slots=True)
class Cut:
    """One file of a typeface: weight (400 or 600), whether it is the italic, its name in the output folder."""

    weight: int
    italic: bool
    file: str


@dataclass(frozen=True, slots=True)
class Typeface:
    """A typeface by the name of its family, with its files."""

    family: str
    cuts: tuple[Cut, ...]


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo: its name in the output folder, and its text alternative."""

    file: str
    alternative: str


@dataclass(frozen=True, slots=True)
class Face:
    """What a builder chose and where the book is printed; None is the look that comes with the program.

    `files` are the bytes of everything named here, and of theme.toml, by their names in the output folder.
    """

    paper: Paper = Paper.A4
    light: Scheme | None = None
    dark: Scheme | None = None
    text: Typeface | None = None
    headings: Typeface | None = None
    logo: Logo | None = None
    files: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))


PLAIN = Face()
