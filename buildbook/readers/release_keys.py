"""[release] of hull.toml: what is to be withheld and whom to ask for it, each entry told by itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from buildbook.core.fault import Fault, Severity
from buildbook.core.hull import entry_key
from buildbook.core.spelling import nearest_word
from buildbook.readers.toml_lines import item_lines
from buildbook.readers.toml_reading import Reading, shown

WITHHOLD, ASK = "release.withhold", "release.ask"
KEYS = {"release": ("withhold", "ask")}  # a misspelt key would publish what is to be withheld
NOTHING_NAMED = "It withholds nothing, so no book is written."
TEXTS_TAKEN = "Each text in it is taken as a name to withhold; put this right before the book is handed over."
ELSEWHERE = "Here it withholds nothing, so no book is written."
ALIKE = 0.75  # of the letters of a key: so alike that it is a slip
BUILDER = "The book says to ask the builder."


def usable(key: str, value: Any, reading: Reading) -> bool:
    """Whether the book can print this entry of the release settings; a fault for an `ask` that is no text."""
    if key == "withhold":
        return isinstance(value, list) and all(isinstance(item, str) for item in value)
    if isinstance(value, str) and value.strip():
        return True
    found = "an empty text" if isinstance(value, str) else shown(value)
    reading.blame(ASK, 'whom to ask for what is withheld, as text between quotes ("…")', found, BUILDER)
    return False


def withheld(content: Mapping[str, Any], text: str, reading: Reading) -> dict[str, int | None]:
    """The names that are to be withheld, each with its line; whether that may be is said once the folder is read.

    What is no text is a fault of its own. Every text in it counts as a name all the same: a slip in the list must not
    publish what somebody asked to withhold.
    """
    _in_other_tables(content, reading)
    release = content.get("release", {})
    named = release.get("withhold", []) if isinstance(release, dict) else []
    if not isinstance(named, list):
        reading.blame(WITHHOLD, 'a list of files or columns, ["table.csv:column"]', shown(named), _effect(named))
        return dict.fromkeys((name.strip() for name in _texts(named) if name.strip()), None)
    lines = item_lines(text, WITHHOLD)
    asked: dict[str, int | None] = {}
    for number, item in enumerate(named):
        line = lines[number] if number < len(lines) else None
        for name in _texts(item):
            asked.setdefault(name.strip(), line)
        if not isinstance(item, str):
            reading.blame(WITHHOLD, 'a file or a column, "table.csv:column", as text', shown(item), _effect(item))
            fault = reading.faults[-1]
            reading.faults[-1] = replace(fault, where=replace(fault.where, line=line or fault.where.line))
    return asked


def asked_lines(asked: Mapping[str, int | None]) -> Iterator[tuple[str, int]]:
    """The line of each name to withhold, by the key that `Hull.at_entry` asks for."""
    return ((entry_key(WITHHOLD, name), line) for name, line in asked.items() if line is not None)


def _in_other_tables(content: Mapping[str, Any], reading: Reading) -> None:
    """A list of what to withhold that stands elsewhere, at any depth, where it would be read as free words or not."""
    told = {fault.where.part for fault in reading.faults}
    for table, key in _keys(content):
        path = f"{table}.{key}"
        if table and table != "release" and path not in told and nearest_word(key, ("withhold",), ALIKE):
            reading.blame(path, "withhold below the line [release]", f"'{key}' in [{table}]", ELSEWHERE)


def _keys(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every key of a TOML value and of what it holds, each with the table in which it stands; lists count from 1.

    >>> list(_keys({"a": {"b": [{"c": 1}]}}))
    [('', 'a'), ('a', 'b'), ('a.b[1]', 'c')]
    """
    if isinstance(value, dict):
        for key, inner in value.items():
            yield path, key
            yield from _keys(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for number, inner in enumerate(value, start=1):
            yield from _keys(inner, f"{path}[{number}]")


def may_publish_too_much(fault: Fault) -> bool:
    """Whether a fault of hull.toml leaves in doubt what is to be withheld: then nothing may be published.

    So does everything wrong with the release settings but `ask`, and a name like theirs in another place.
    """
    first, last = fault.where.part.partition(".")[0], fault.where.part.rpartition(".")[2]
    if fault.severity is not Severity.FAULT or fault.effect == TEXTS_TAKEN:
        return False
    if first == "release":
        return nearest_word(last, KEYS["release"]) != "ask"
    return bool(nearest_word(first, ("release",), ALIKE) or nearest_word(last, ("withhold",), ALIKE))


def _effect(value: Any) -> str:
    return TEXTS_TAKEN if any(text.strip() for text in _texts(value)) else NOTHING_NAMED


def _texts(value: Any) -> Iterator[str]:
    """Every text that stands in a value of TOML."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list | dict):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _texts(item)
