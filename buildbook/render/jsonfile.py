"""The book as JSON: every field of every type in canonical form, the schema that describes it, and the way back."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass, replace
from datetime import date
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING, Any

from buildbook.core.book import FORM, Book
from buildbook.core.hull import Hull

if TYPE_CHECKING:
    from pydantic import TypeAdapter, ValidationError

    from buildbook.core.chart import Series

DIALECT = "https://json-schema.org/draft/2020-12/schema"
OPEN = "open"  # the open end of a bar in a chart; JSON has no infinity
TIMES = {"date": "ISO 8601 date", "date-time": "ISO 8601 date and time, local time of the yard"}
WHERE_GIVEN = {Hull: ("stage",)}  # fields that are left out where they say nothing, as in books before there were any
MOST_BYTES = 200_000_000


class NotABook(Exception):
    """A file that is not, or no longer, the data of a book this program can read; the message says why."""


def book_json(book: Book) -> bytes:
    """The whole book as JSON in the canonical form of RFC 8785: one book, one text, whichever program writes it.

    Args:
        book: the finished book.

    Returns:
        The bytes of `book.json`: UTF-8, keys sorted, no blanks between, numbers as ECMAScript writes them.

    Raises:
        ValueError: a number is not finite, or a whole number is larger than 2^53 and so not the same to every program.
        TypeError: a value is of a kind that the encoder does not know.
    """
    return canonical(book)


def canonical(value: Any) -> bytes:
    """A value as canonical JSON (RFC 8785); errors as for `book_json`."""
    import rfc8785

    return rfc8785.dumps(plain(value))


def read_book(data: bytes, name: str) -> Book:
    """The book that was written as `book.json`.

    Args:
        data: the bytes of the file.
        name: what to call the file in a message.

    Returns:
        The book, equal to the one that was written. A field that was added since has what stands for none.

    Raises:
        NotABook: no JSON, no book, or one whose form this program does not know; the message says which.
    """
    from pydantic import ValidationError

    check_form(data, name)
    try:
        book = _reader().validate_json(data)
    except ValidationError as error:
        raise NotABook(f"{name} is not the data of a book: {_first(error)}") from None
    chapters = (
        replace(chapter, checks=tuple(replace(check, charts=_opened(check.charts)) for check in chapter.checks))
        for chapter in book.chapters
    )
    return replace(book, chapters=tuple(chapters))


@cache
def _reader() -> TypeAdapter[Book]:
    """What makes a book of its data; it takes longer to make than to use."""
    from pydantic import TypeAdapter

    return TypeAdapter(Book)


def check_form(data: bytes, name: str) -> Mapping[str, Any]:
    """The content of a file; `NotABook` where it is no book, or one in a form that this program does not read."""
    if len(data) > MOST_BYTES:
        raise NotABook(f"{name} is larger than {MOST_BYTES // 1_000_000} MB: that is no book of ours")
    try:
        read = json.loads(data)
    except (ValueError, RecursionError):
        raise NotABook(f"{name} is not JSON") from None
    content: dict[str, Any] = read if isinstance(read, dict) else {}
    form = content.get("form")
    numbers = re.fullmatch(r"([0-9]{1,4})\.([0-9]{1,4})", form) if isinstance(form, str) else None
    if numbers is None:
        raise NotABook(f"{name} does not say in which form it is written (form): it is no book, or of a trial edition")
    known, least = map(int, FORM.split("."))
    major, minor = map(int, numbers.groups())
    if (major, minor) > (known, least):
        later = f"written in form {form} by a later edition of this program, which reads up to {FORM}"
        raise NotABook(f"{name} was {later}. Use that edition, or have the book built again")
    if major < known:
        raise NotABook(f"{name} is written in form {form}, which this program no longer reads: it reads {known}.0 on")
    return content


def _first(error: ValidationError) -> str:
    first = error.errors(include_url=False, include_context=False, include_input=False)[0]
    return f"at {'.'.join(map(str, first['loc']))[:200]}: {first['msg'].lower()}"


def _opened(charts: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple(replace(chart, series=tuple(map(_with_ends, chart.series))) for chart in charts)


def _with_ends(series: Series) -> Series:
    if series.style != "spans":
        return series
    return replace(series, x=tuple(math.inf if value == OPEN else value for value in series.x))


def plain(value: Any) -> Any:
    """A value made of dictionaries, lists, text, numbers and None only.

    Args:
        value: a dataclass, enumeration, date, mapping, tuple or plain value.

    Returns:
        Dataclasses as dictionaries of all their fields (but see `WHERE_GIVEN`), enumerations as their value, dates in
        ISO 8601.

    Raises:
        TypeError: a value is of another kind; nothing is turned into text by guess.

    Example:
        >>> from buildbook.core.where import Where
        >>> plain((Where("climate.csv", 12), date(2026, 3, 2)))
        [{'file': 'climate.csv', 'line': 12, 'column': '', 'sheet': '', 'part': ''}, '2026-03-02']
    """
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float) and math.isinf(value):
        return OPEN
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value) if _told(field, value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    raise TypeError(f"no way to write a {type(value).__name__} as JSON")


def _told(field: Field[Any], value: Any) -> bool:
    """Whether a field is written: one that stands only where it is given is left out where it says nothing."""
    return field.name not in WHERE_GIVEN.get(type(value), ()) or getattr(value, field.name) != field.default


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `book.json`, made from the types of the book.

    Returns:
        The schema: every field required, no other field allowed.

    Example:
        >>> schema()["title"]
        'Book'
    """
    made = schema_of(Book)
    made["properties"]["form"]["const"] = FORM
    return made


@cache
def schema_json() -> bytes:
    """The schema as it is published beside each book and in the documents."""
    return written(schema())


def schema_of(kind: type) -> dict[str, Any]:
    """The JSON Schema (2020-12) of a dataclass as `canonical` writes it: all but `WHERE_GIVEN` required, no other."""
    from pydantic import TypeAdapter

    made: dict[str, Any] = _closed(TypeAdapter(kind).json_schema(mode="serialization"))
    for of, names in WHERE_GIVEN.items():
        described = made.get("$defs", {}).get(of.__name__)
        if described:
            described["required"] = [name for name in described["required"] if name not in names]
    return {"$schema": DIALECT, **made}


def written(made: Mapping[str, Any]) -> bytes:
    """A schema as a file that people read too."""
    return (json.dumps(made, indent=2, sort_keys=True) + "\n").encode("utf-8")


def _closed(node: Any) -> Any:
    """The same schema, closed to unknown fields; times keep no format, since yards write them without a zone."""
    if isinstance(node, list):
        return [_closed(item) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: _closed(item) for key, item in node.items()}
    if made.get("format") in TIMES:
        made["description"] = TIMES[made.pop("format")]
    if isinstance(made.get("properties"), dict) and made.get("type") == "object":
        made["additionalProperties"] = False
        made["required"] = sorted(made["properties"])
    return made
