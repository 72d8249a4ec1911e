"""What the first page says first: the matters of the book by how they stand."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.core.book import Book, Matter, State


@dataclass(frozen=True, slots=True)
class Group:
    """The matters that stand alike, under one heading."""

    state: State
    matters: tuple[Matter, ...]


def by_state(book: Book) -> tuple[Group, ...]:
    """The matters of a book by how they stand, those still open first; a heading without any is left out."""
    groups = ((state, tuple(it for it in book.matters if it.state is state)) for state in State)
    return tuple(Group(state, its) for state, its in groups if its)
