"""The book as JSON: every field of every type, through one encoder, and the schema that describes it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any

from buildbook.core.book import Book

DIALECT = "https://json-schema.org/draft/2020-12/schema"
WIDTH = 120  # characters of a list or an object that stands on one line
OPEN = "open"  # the open end of a bar in a chart; JSON has no infinity
ENCODER = json.JSONEncoder(ensure_ascii=False, allow_nan=False)
TIMES = {"date": "ISO 8601 date", "date-time": "ISO 8601 date and time, local time of the yard"}


def book_json(book: Book) -> bytes:
    """The whole book as JSON: UTF-8, keys sorted, a newline at the end.

    A list or an object that fits into 120 characters stands on one line; a longer one is broken and its parts are set
    in by one space. So a book has a third less bytes than with every value on a line of its own, and two books can
    still be compared line by line.

    Args:
        book: the finished book.

    Returns:
        The bytes of `book.json`; equal books give equal bytes.

    Raises:
        ValueError: a number is not finite.
        TypeError: a value is of a kind that the encoder does not know.
    """
    return (_laid_out(plain(book), 0) + "\n").encode("utf-8")


def _laid_out(value: Any, depth: int) -> str:
    """A plain value as JSON, broken only where it does not fit on a line."""
    if not isinstance(value, (dict, list)):
        return ENCODER.encode(value)
    if isinstance(value, dict):
        start, end = "{}"
        members = [f"{ENCODER.encode(key)}: {_laid_out(value[key], depth + 1)}" for key in sorted(value)]
    else:
        start, end = "[]"
        members = [_laid_out(item, depth + 1) for item in value]
    whole = f"{start}{', '.join(members)}{end}"
    if not members or (len(whole) + depth <= WIDTH and "\n" not in whole):
        return whole
    inner = f"\n{' ' * (depth + 1)}"
    return f"{start}{inner}{f',{inner}'.join(members)}\n{' ' * depth}{end}"


def plain(value: Any) -> Any:
    """A value made of dictionaries, lists, text, numbers and None only.

    Args:
        value: a dataclass, enumeration, date, mapping, tuple or plain value.

    Returns:
        Dataclasses as dictionaries of all their fields, enumerations as their value, dates in ISO 8601.

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
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    raise TypeError(f"no way to write a {type(value).__name__} as JSON")


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `book.json`, made from the types of the book.

    Returns:
        The schema: every field required, no other field allowed.

    Example:
        >>> schema()["title"]
        'Book'
    """
    from pydantic import TypeAdapter

    made = TypeAdapter(Book).json_schema(mode="serialization")
    return {"$schema": DIALECT, **closed(made)}


def closed(node: Any) -> Any:
    """The same schema, closed to unknown fields; times keep no format, since yards write them without a zone."""
    if isinstance(node, list):
        return [closed(item) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: closed(item) for key, item in node.items()}
    if made.get("format") in TIMES:
        made["description"] = TIMES[made.pop("format")]
    if isinstance(made.get("properties"), dict) and made.get("type") == "object":
        made["additionalProperties"] = False
        made["required"] = sorted(made["properties"])
    return made
