"""What is the builder's own in a book: his theme and his texts, read together so that all faults are told at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from buildbook.core.book import OwnText
from buildbook.core.face import Face, Paper
from buildbook.core.fault import Fault
from buildbook.face.refusal import FaceRefused
from buildbook.face.texts import read_texts
from buildbook.face.theme import read_theme

MOST_NOTICES = 10


@dataclass(frozen=True, slots=True)
class Own:
    """The face, the texts, and what lies in their folders without being used."""

    face: Face
    texts: tuple[OwnText, ...]
    notices: tuple[str, ...]


def read_own(
    theme: Path | None,
    texts: Path | None,
    paper: Paper,
    chapters: Mapping[str, Iterable[str]],
    sources: Iterable[str],
) -> Own:
    """Read both folders, as far as they are named.

    Args:
        theme: a theme folder, or none.
        texts: a folder of texts, or none.
        paper: what the book is printed on.
        chapters: the ids of the checks of each chapter, by its key.
        sources: the keys of the documents that a text may cite.

    Raises:
        FaceRefused: with the faults of both, each under the name of its folder.
    """
    faults: list[Fault] = []
    notices: list[str] = []
    face, own = Face(paper), tuple[OwnText, ...]()
    if theme is not None:
        try:
            face, told = read_theme(theme, paper)
            notices += _told(theme, told)
        except FaceRefused as refused:
            faults += _under(theme, refused)
    if texts is not None:
        try:
            own, told = read_texts(texts, chapters, sources)
            notices += _told(texts, told)
        except FaceRefused as refused:
            faults += _under(texts, refused)
    if faults:
        raise FaceRefused(faults)
    return Own(face, own, tuple(notices))


def _told(folder: Path, notices: tuple[str, ...]) -> list[str]:
    """Notices under the name of their folder; of very many only the first."""
    more = len(notices) - MOST_NOTICES
    rest = [f"{folder}: {more} more files are not used"] if more > 0 else []
    return [f"{folder}/{words}" for words in notices[:MOST_NOTICES]] + rest


def _under(folder: Path, refused: FaceRefused) -> list[Fault]:
    """The faults of a folder under its name."""
    return [replace(fault, where=replace(fault.where, file=str(folder / fault.where.file))) for fault in refused.faults]
