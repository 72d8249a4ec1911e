"""columns.toml is published, so what is withheld may not stand in it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence

from buildbook.core.fault import Fault
from buildbook.core.published import COLUMNS_FILE, Withheld, WithheldKind
from buildbook.core.record import Record
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.own_columns import OwnColumns, spoken_in
from buildbook.readers.refused import Refused
from buildbook.readers.table import RawTable, one_spelling

EXPECTED = "no words of what is withheld, since this file is published"
EFFECT = "So no book is written; take the line out."
QUOTED = re.compile(r'"((?:[^"\\]|\\.)*)"|\'([^\']*)\'|^\s*([A-Za-z0-9_-]+)\s*=')

Raw = Mapping[type[Record], RawTable | None]


def withheld_words(folder: Folder, own: OwnColumns, raw: Raw, held: Sequence[Withheld]) -> Iterator[Fault]:
    """A fault for each line of columns.toml with a text that is a cell of what is withheld, and so would be published.

    A word that stands in a column which is published, and is mapped there, says nothing about the other.
    """
    hidden = _hidden(raw, held)
    if not hidden or COLUMNS_FILE not in folder.names():
        return
    try:
        text = folder.read(COLUMNS_FILE).decode("utf-8", "replace")
    except Refused:
        return
    whole = {it.file for it in held if it.kind is WithheldKind.TABLE}
    shown = {kind: table for kind, table in raw.items() if kind.table.file not in whole}
    told = {one_spelling(one.theirs) for one in spoken_in(own, shown)} | {one_spelling(one.ours) for one in own.words}
    lines = [_in_line(line) for line in text.splitlines()]
    for number, texts in enumerate(lines, start=1):
        if texts & (hidden - told):
            yield Fault(Where(COLUMNS_FILE, number), EXPECTED, "a cell of it", EFFECT)
    if (_in_entries(text) - set().union(*lines)) & (hidden - told):
        yield Fault(Where(COLUMNS_FILE), EXPECTED, "a cell of it, written over several lines", EFFECT)


def _in_line(line: str) -> set[str]:
    """What stands between quotes in a line, or before an equals sign, also in a remark, in one spelling."""
    found = {next(filter(None, groups), "") for groups in QUOTED.findall(line)}
    return {one_spelling(text) for one in found for text in (one, _said(one))}


def _said(text: str) -> str:
    """A text as TOML reads it, so that no escape hides a word; as it is where it is none."""
    try:
        return str(tomllib.loads(f'text = "{text}"')["text"])
    except tomllib.TOMLDecodeError:
        return text


def _in_entries(text: str) -> set[str]:
    """Every name and text of the file as it is read, in one spelling; none where it cannot be read."""
    try:
        return set(map(one_spelling, _texts(tomllib.loads(text))))
    except (tomllib.TOMLDecodeError, RecursionError):
        return set()


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield name
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
    elif isinstance(value, str):
        yield value


def _hidden(raw: Raw, held: Iterable[Withheld]) -> set[str]:
    """The texts of the cells that are withheld, in one spelling."""
    found: set[str] = set()
    for kind, table in raw.items():
        its = [it for it in held if it.file == kind.table.file and table is not None]
        columns = {it.column for it in its if it.kind is WithheldKind.COLUMN}
        whole = any(it.kind is WithheldKind.TABLE for it in its)
        at = [item.index for item in (table.heads if table else ()) if whole or item.text in columns]
        found |= {
            one_spelling(row.cells[one]) for row in (table.rows if table else ()) for one in at if one < len(row.cells)
        }
    return found - {""}
