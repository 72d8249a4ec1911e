"""The findings as one table, with full digits: what a program needs to compare them with its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Role, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind
from buildbook.core.source import Standing


@dataclass(frozen=True, slots=True)
class Column:
    """One column: name, type in Table Schema, meaning, what it holds of a finding, its choices if any."""

    name: str
    type: str
    meaning: str
    of: Callable[[Numbered], Any]
    choices: tuple[str, ...] = ()
    required: bool = False


def _limit(take: Callable[[Limit], Any]) -> Callable[[Numbered], Any]:
    return lambda item: None if item.finding.limit is None else take(item.finding.limit)


def _measured(name: str) -> Callable[[Numbered], Any]:
    return lambda item: getattr(item.finding.measured, name, None)


def _end(which: str) -> Callable[[Numbered], Any]:
    return lambda item: getattr(item.finding.period, which, None)


def _terms(name: str) -> Callable[[Numbered], Any]:
    return _limit(lambda limit: "; ".join(dict.fromkeys(getattr(t, name) for t in limit.terms if getattr(t, name))))


def _places(item: Numbered) -> tuple[str, ...]:
    places = (where.stands_in if where.line is None else f"{where.stands_in}:{where.line}" for where in item.finding.at)
    return tuple(dict.fromkeys(places))


def _values(kind: Any) -> tuple[str, ...]:
    return tuple(member.value for member in kind)


COLUMNS = (
    Column("number", "string", "Number of the finding in the book", lambda it: it.number, required=True),
    Column("check", "string", "Id of the check", lambda it: it.finding.key.check, required=True),
    Column("quantity", "string", "What was found", lambda it: it.finding.key.quantity, required=True),
    Column("place", "string", "Place, part or instrument: an id of the tables", lambda it: it.finding.key.place),
    Column("condition", "string", "Coat, specimen, run or other condition", lambda it: it.finding.key.condition),
    Column("attempt", "integer", "Attempt, counted from 1", lambda it: it.finding.key.attempt, required=True),
    Column("role", "string", "governing: it counts; reference: it stands beside one that counts",
           lambda it: it.finding.key.role.value, _values(Role), True),
    Column("verdict", "string", "Verdict", lambda it: it.finding.verdict.value, _values(Verdict), True),
    Column("value", "number", "Value found, in `unit`; empty for a fact in words", _measured("value")),
    Column("unit", "string", "Unit of value and U", _measured("unit")),
    Column("U", "number", "Expanded uncertainty, in `unit`; empty where none is stated", _measured("expanded")),
    Column("coverage", "number", "Coverage factor k of U", _measured("coverage")),
    Column("kind", "string", "What the value is",
           lambda it: it.finding.measured.kind.value if it.finding.measured else None, _values(Kind)),
    Column("limit_unit", "string", "Unit of limits, margin and guard", _limit(lambda it: it.unit)),
    Column("limit_low", "number", "Lower limit", _limit(lambda it: it.low)),
    Column("limit_high", "number", "Upper limit", _limit(lambda it: it.high)),
    Column("limit_low_strict", "boolean", "Whether the lower limit itself is excluded",
           _limit(lambda it: it.low_strict)),
    Column("limit_high_strict", "boolean", "Whether the upper limit itself is excluded",
           _limit(lambda it: it.high_strict)),
    Column("natural_low", "number", "No true value lies below this", _limit(lambda it: it.natural_low)),
    Column("natural_high", "number", "No true value lies above this", _limit(lambda it: it.natural_high)),
    Column("guard_factor", "number", "Guard band as a multiple of U", _limit(lambda it: it.guard)),
    Column("limit_words", "string", "The limit in words, where it has no number", _limit(lambda it: it.words)),
    Column("limit_set_by", "string", "Whose limit it is", _terms("set_by")),
    Column("limit_document", "string", "Document of the limit", _terms("document")),
    Column("limit_clause", "string", "Clause of that document", _terms("clause")),
    Column("limit_source", "string", "Key of the published document in the book", _terms("source")),
    Column("limit_standing", "string", "How well the limit is known",
           _limit(lambda it: it.standing.value), _values(Standing)),
    Column("margin", "number", "Distance to the nearer limit, negative outside", lambda it: it.finding.margin),
    Column("guard", "number", "Guard band w", lambda it: it.finding.guard),
    Column("observed", "string", "The fact in words, where nothing was measured", lambda it: it.finding.observed),
    Column("method", "string", "How it was measured", lambda it: it.finding.method),
    Column("start", "datetime", "First reading", _end("start")),
    Column("end", "datetime", "Last reading", _end("end")),
    Column("instruments", "string", "Instruments", lambda it: "; ".join(it.finding.instruments)),
    Column("rows", "string", "Rows used, file:line", lambda it: "; ".join(_places(it))),
    Column("notes", "string", "What must be read with it", lambda it: " | ".join(it.told)),
)  # fmt: skip


def rows(book: Book) -> Iterator[list[Any]]:
    """The rows of the table."""
    for item in book.findings:
        yield [column.of(item) for column in COLUMNS]


def schema() -> dict[str, Any]:
    """Its Table Schema."""
    return {"fields": [_field(column) for column in COLUMNS], "missingValues": [""], "primaryKey": ["number"]}


def _field(column: Column) -> dict[str, Any]:
    made: dict[str, Any] = {"name": column.name, "type": column.type, "description": column.meaning}
    rules: dict[str, Any] = {"required": True} if column.required else {}
    if column.choices:
        rules["enum"] = list(column.choices)
    return {**made, "constraints": rules} if rules else made
