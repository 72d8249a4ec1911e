"""What a table is, for programs: Table Schema from the record class (Data Package 2.0, datapackage.org)."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Collection
from datetime import date, datetime
from typing import Any, Literal

from pydantic.fields import FieldInfo

from buildbook.core.record import Record, about

TYPES = {str: "string", float: "number", int: "integer", bool: "boolean", date: "date", datetime: "datetime"}
ROW: dict[str, Any] = {
    "name": "row",
    "type": "integer",
    "description": "Line of this row in the table as received; the heads stand in the first line",
    "constraints": {"required": True, "unique": True, "minimum": 1},
}
WITHHELD = "Withheld by the yard: every cell says so"


def resource_name(file: str) -> str:
    """The name of a table among the resources.

    >>> resource_name("coating/film_thickness.csv")
    'coating-film-thickness'
    """
    return re.sub(r"[^a-z0-9]+", "-", file.removesuffix(".csv").lower()).strip("-")


def table_schema(kind: type[Record], there: Collection[type[Record]], hidden: Collection[str] = ()) -> dict[str, Any]:
    """The schema of one table.

    Args:
        kind: its record class.
        there: the record classes whose tables are in the package: only to them may a key refer.
        hidden: the columns that are withheld.

    Returns:
        Fields (`row` first) with type, unit and constraints, primary key, foreign keys, missing values.
    """
    columns = kind.columns()
    fields = [ROW, *(_field(name, info, name in hidden) for name, info in columns.items())]
    keys = [
        {
            "fields": [name],
            "reference": {"resource": resource_name(other.table.file), "fields": [other.table.key[0]]},
        }
        for name, info in columns.items()
        for other in (about(info, "refers"),)
        if other is not None and other in there
    ]
    made: dict[str, Any] = {"fields": fields, "missingValues": [""], "primaryKey": list(kind.table.key)}
    return {**made, "foreignKeys": keys} if keys else made


def _field(name: str, info: FieldInfo, hidden: bool) -> dict[str, Any]:
    if hidden:
        return {"name": name, "type": "string", "description": WITHHELD}
    kind, choices = _type(info.annotation)
    made: dict[str, Any] = {"name": name, "type": TYPES[kind], "description": info.description or ""}
    if about(info, "unit"):
        made["unit"] = about(info, "unit")
    rules: dict[str, Any] = {}
    if info.is_required():
        rules["required"] = True
    for rule in info.metadata:
        rules |= {end: getattr(rule, key) for end, key in (("minimum", "ge"), ("maximum", "le")) if hasattr(rule, key)}
    if choices:
        rules["enum"] = list(choices)
    return {**made, "constraints": rules} if rules else made


def _type(annotation: Any) -> tuple[type, tuple[Any, ...]]:
    """The type of a column without `None`, and its choices where it has them."""
    if typing.get_origin(annotation) is Literal:
        choices = typing.get_args(annotation)
        return type(choices[0]), choices
    if typing.get_origin(annotation) not in (typing.Union, types.UnionType):
        return annotation, ()
    parts = [_type(part) for part in typing.get_args(annotation) if part is not type(None)]
    return parts[0][0], tuple(choice for _, choices in parts for choice in choices)
