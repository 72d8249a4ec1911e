"""The reference pages that repeat the code, generated: tables and columns, checks, sources, commands, schemas.

`python -m buildbook.reference` writes them; a test compares them with what is committed.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Literal

from pydantic.fields import FieldInfo

from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.record import Record, about, head
from buildbook.core.stage import Stage
from buildbook.core.wording import STANDINGS, listed
from buildbook.sources import all_sources, limit_spans

TYPES = {
    "str": "text",
    "int": "whole number",
    "float": "number",
    "bool": "yes or no",
    "date": "date",
    "datetime": "date and time",
}


def pages() -> dict[str, str]:
    """Every generated page by its name under docs/reference/."""
    from buildbook.chapters import CHAPTERS
    from buildbook.command_page import commands_page
    from buildbook.daily import Daily
    from buildbook.render.jsonfile import schema_json, schema_of, written
    from buildbook.second.data import schema as schema_of_comparison

    return {
        "columns.md": columns_page(CHAPTERS),
        "checks.md": checks_page(CHAPTERS),
        "sources.md": sources_page(),
        "commands.md": commands_page(),
        "book.schema.json": schema_json().decode("utf-8"),
        "check.schema.json": written(schema_of(Daily)).decode("utf-8"),
        "comparison.schema.json": written(schema_of_comparison()).decode("utf-8"),
    }


def columns_page(chapters: Sequence[Chapter]) -> str:
    """Every table and column of the hull folder, and the quantities a specification may set limits for."""
    lines = [
        "# Tables and columns",
        "",
        "Every table is a CSV file: comma or semicolon, decimal point or comma, UTF-8. Heads carry the unit in square "
        "brackets; any unit of the same kind is accepted and converted. Dates are `YYYY-MM-DD`, "
        "times `YYYY-MM-DD HH:MM` in the yard's own time. People stand as role and initials.",
        "",
        "Where: x metres forward from the transom, y metres to starboard of the centreline, "
        "z metres above the waterline.",
        "",
        f"While she is being built, `stage` in hull.toml says how far she is: {listed(list(Stage), 'or')}. "
        "What is not there of a check is then not due before the stage that the list of checks gives, until the check "
        "has begun. A line of `plan.csv` whose `stage` is one of these words is due from that stage, any other when "
        "its check is.",
        "",
    ]
    seen: set[type[Record]] = set()
    for chapter in chapters:
        lines += [f"## {chapter.title}", ""]
        for kind in chapter.tables:
            if kind not in seen:
                seen.add(kind)
                lines += _table_lines(kind)
        lines += _quantity_lines(chapter)
    return "\n".join(lines).rstrip() + "\n"


def _table_lines(kind: type[Record]) -> list[str]:
    table = kind.table
    lines = [f"### `{table.file}`: {table.title.lower()}", "", f"One row is {table.one_row}. "]
    lines[-1] += f"No two rows have the same {' + '.join(f'`{name}`' for name in table.key)}."
    if table.number:
        lines[-1] += f" `{table.number}` counts 1, 2, 3 … without a gap, so that a lost row is noticed."
    lines += ["", "| head | holds | required | range | example |", "|---|---|---|---|---|"]
    for name, info in kind.columns().items():
        required = "yes" if info.is_required() else ""
        cells = (f"`{head(kind, name)}`", _holds(info), required, _range(info), about(info, "example") or "")
        lines.append(f"| {' | '.join(cells)} |")
    return [*lines, ""]


def _holds(info: FieldInfo) -> str:
    text = f"{info.description} ({kind_of(info.annotation)})"
    refers = about(info, "refers")
    return f"{text}; must stand in `{refers.table.file}`" if refers is not None else text


def kind_of(annotation: Any) -> str:
    """A column's type in words."""
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        inner = [part for part in typing.get_args(annotation) if part is not type(None)]
        return kind_of(inner[0])
    if typing.get_origin(annotation) is Literal:
        return "one of: " + ", ".join(str(value) for value in typing.get_args(annotation))
    return TYPES.get(getattr(annotation, "__name__", ""), "text")


def _range(info: FieldInfo) -> str:
    ends = {type(rule).__name__: rule for rule in info.metadata}
    low = getattr(ends.get("Ge"), "ge", None)
    high = getattr(ends.get("Le"), "le", None)
    if low is None and high is None:
        return ""
    return f"{'' if low is None else f'{low:g}'} to {'' if high is None else f'{high:g}'}"


def _quantity_lines(chapter: Chapter) -> list[str]:
    lines = [
        "### Quantities for limits in hull.toml",
        "",
        "A limit outside its range, at an end that its quantity has not, or with another condition is not used, and "
        "holds its check. Every limit may name a place.",
        "",
        "| check | quantity | unit | ends | range | condition |",
        "|---|---|---|---|---|---|",
    ]
    rows = [_quantity_line(check, quantity) for check in chapter.checks for quantity in check.quantities]
    rules = [f"| {check.id} | {_rules(check)} |" for check in chapter.checks if _rules(check)]
    return (
        [*lines, *rows, "", "### Rules in hull.toml", "", "| check | rule |", "|---|---|", *rules, ""] if rows else []
    )


def _quantity_line(check: Check, quantity: str) -> str:
    unit, span = check.quantities[quantity], limit_spans(check.id).get(quantity)
    if quantity in check.facts or span is None:
        return f"| {check.id} | {quantity} | {unit} | takes no limit | | |"
    kind, name = check.conditions.get(quantity, (None, ""))
    condition = f"`{name}` of `{kind.table.file}`" if kind else ""
    return f"| {check.id} | {quantity} | {unit} | {' '.join(span.ends)} | {span.low:g} to {span.high:g} | {condition} |"


def _rules(check: Check) -> str:
    """The rules a check takes, in words; empty where it takes none."""
    names = ", ".join(f"`{name}`" for name in check.sayable().rules)
    return "any words" if check.rule_in_words else names


def checks_page(chapters: Sequence[Chapter]) -> str:
    """Every check with its question, tables and possible verdicts."""
    lines = ["# Checks", ""]
    for chapter in chapters:
        lines += [f"## {chapter.title}", ""]
        for check in chapter.checks:
            verdicts = ", ".join(verdict.value for verdict in sorted(check.verdicts, key=lambda v: (v.rank, v.value)))
            tables = ", ".join(f"`{kind.table.file}`" for kind in check.tables)
            due = f"Due: once she is {chapter.due_of(check).words}."
            lines += [f"### {check.id}: {check.question}", "", f"Rests on {tables}. Can say: {verdicts}. {due}", ""]
    return "\n".join(lines).rstrip() + "\n"


def sources_page() -> str:
    """Every cited document, and what the standings mean."""
    lines = ["# Sources", "", "How well a limit is known:", ""]
    lines += [f"- {standing.value}: {words}" for standing, words in STANDINGS.items()]
    lines += ["", "| key | document | edition | publisher | note |", "|---|---|---|---|---|"]
    for source in all_sources().values():
        cells = (f"`{source.key}`", source.title, source.edition, source.publisher, source.note)
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def write(folder: Path) -> None:
    """Write the pages into a folder."""
    for name, text in pages().items():
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write(Path(__file__).parent.parent / "docs" / "reference")
