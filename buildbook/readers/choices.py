"""What a column holds: numbers, days, any text, or one of a few words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from types import NoneType
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from buildbook.readers.cells import NO, YES
from buildbook.readers.table import folded


@dataclass(frozen=True, slots=True)
class Choices:
    """The words of a coded column as messages offer them, and every spelling that it takes; none of any other."""

    choices: tuple[str, ...] = ()
    taken: frozenset[str] = frozenset()

    def has(self, word: str) -> bool:
        """Whether a word is one of ours."""
        return folded(word) in self.taken

    def meant(self, word: str) -> str:
        """Our word as it is offered, for one of its spellings."""
        other = {"y": "yes", "true": "yes", "n": "no", "false": "no"} if self.choices == ("yes", "no") else {}
        return next(known for known in self.choices if folded(known) == other.get(folded(word), folded(word)))


def choices_of(info: FieldInfo) -> Choices:
    """The words that a column takes; those of a column of numbers are none.

    >>> from buildbook.core.record import column
    >>> choices_of(FieldInfo.from_annotated_attribute(bool, column("Whether it was sound."))).choices
    ('yes', 'no')
    """
    kind = base_type(info)
    if kind is bool:
        return Choices(("yes", "no"), frozenset((*YES, *NO)))
    if get_origin(kind) is Literal and not of_numbers(kind):
        return Choices(get_args(kind), frozenset(map(folded, get_args(kind))))
    return Choices()


def base_type(info: FieldInfo) -> Any:
    """The type of a column without `None`: float, int, bool, str, date, datetime or a Literal."""
    if get_origin(info.annotation) is Literal:
        return info.annotation
    kinds = [kind for kind in get_args(info.annotation) if kind is not NoneType]
    return kinds[0] if kinds else info.annotation


def is_number(info: FieldInfo) -> bool:
    """Whether a column holds numbers."""
    kind = base_type(info)
    return kind in (float, int) or (get_origin(kind) is Literal and of_numbers(kind))


def of_numbers(kind: Any) -> bool:
    """Whether the choices of a Literal are numbers."""
    return all(isinstance(item, int | float) for item in get_args(kind))


def holds(info: FieldInfo) -> str:
    """What a column holds, in words for a message."""
    if is_number(info):
        return "numbers"
    named = {date: "dates", datetime: "times", str: "any text"}
    return named.get(base_type(info), "one of a few words")
