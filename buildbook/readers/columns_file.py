"""columns.toml: which head of the yard's is which column of ours, and which word of theirs is which choice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from buildbook.core.fault import Fault
from buildbook.core.published import COLUMNS_FILE
from buildbook.core.record import Record
from buildbook.core.spelling import nearest_names
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.own_columns import OwnColumns
from buildbook.readers.own_heads import NOT_USED, heads_of
from buildbook.readers.own_words import words_of
from buildbook.readers.refused import Refused
from buildbook.readers.toml_lines import line_index
from buildbook.readers.toml_reading import Reading, decoded, near, shown, toml_content
from buildbook.readers.translating import Translating

MOST_BYTES = 200_000  # heads and words for every table ten times over
HEADS, WORDS = "heads", "words"
NOTHING = (
    "Nothing of it is used: where a head is not ours and a column of ours is missing, no row of the table can be used, "
    "and no row with a word that is not ours."
)


def read_columns(folder: Folder, kinds: Sequence[type[Record]]) -> OwnColumns:
    """Read columns.toml; a folder without one has no heads and words of its own.

    Args:
        folder: the hull folder.
        kinds: the record classes of all tables.
    Returns:
        The entries that can be used, the faults of the others and the heads that those name. Where the file cannot be
        read at all, only why.
    """
    return _told(lambda: folder.read(COLUMNS_FILE, MOST_BYTES), kinds) if folder.holds(COLUMNS_FILE) else OwnColumns()


def parts_there(folder: Folder) -> tuple[str, ...]:
    """The paths of what columns.toml has already, in the order of the file; none where it cannot be read."""
    try:
        return tuple(line_index(decoded(folder.read(COLUMNS_FILE, MOST_BYTES), COLUMNS_FILE, NOTHING)))
    except Refused:
        return ()


def columns_from(data: bytes, kinds: Sequence[type[Record]]) -> OwnColumns:
    """The same from the bytes of the file."""

    def read() -> bytes:
        if len(data) > MOST_BYTES:
            raise Refused(Fault(Where(COLUMNS_FILE), f"at most {MOST_BYTES} bytes", f"{len(data)}", NOTHING))
        return data

    return _told(read, kinds)


def _told(read: Callable[[], bytes], kinds: Sequence[type[Record]]) -> OwnColumns:
    try:
        text = decoded(read(), COLUMNS_FILE, NOTHING)
        content = toml_content(text, COLUMNS_FILE, NOTHING)
    except Refused as refusal:
        fault = Fault(refusal.fault.where, refusal.fault.expected, refusal.fault.found, NOTHING)
        return OwnColumns(faults=(fault,), unreadable=fault)
    work = Translating(Reading(COLUMNS_FILE, line_index(text)), {kind.table.file: kind for kind in kinds})
    parts: dict[str, list[tuple[Any, str, str]]] = {HEADS: [], WORDS: []}
    for key, value in content.items():
        if key in parts:
            parts[key].append((value, key, ""))
        elif key in work.kinds:
            _of_table(key, value, parts, work)
        else:
            _unknown(key, value, work)
    heads = heads_of(parts[HEADS], work)
    words = words_of(parts[WORDS], work)
    faults = tuple(sorted(work.reading.faults, key=lambda fault: fault.where.order))
    return OwnColumns(heads, words, tuple(work.doubts), faults)


def _of_table(table: str, value: Any, parts: Mapping[str, list[tuple[Any, str, str]]], work: Translating) -> None:
    """The heads and words of one table."""
    if not isinstance(value, dict):
        work.reading.blame(table, f'heads of this table below ["{table}".heads]', shown(value), NOT_USED)
        return
    for key, inner in value.items():
        if key in parts:
            parts[key].append((inner, f"{table}.{key}", table))
            continue
        expected = f'["{table}".heads] or ["{table}".words]'
        found = f"'{key}' below [\"{table}\"]{near(key, tuple(parts))}"
        why = work.reading.blame(f"{table}.{key}", expected, found, NOT_USED)
        for theirs in _named({key: inner}):
            work.doubt(theirs, table, why)


def _unknown(key: str, value: Any, work: Translating) -> None:
    """A part that is neither of every table nor of one that there is: its heads may be those of any table."""
    whole = next((file for file in work.kinds if isinstance(value, dict) and _begins(file, key, value)), "")
    if whole:
        found, expected = f"no quotes around {whole}", f'the name of a table between quotes, like ["{whole}".heads]'
    elif not isinstance(value, dict):
        found, expected = f"'{key}' above them", "[heads] or [words] above every entry"
    else:
        meant = nearest_names(key, work.kinds, 1)
        other = near(key, (HEADS, WORDS)) or (f" (did you mean '{meant[0]}'?)" if meant else "")
        found, expected = f"'{key}'{other}", "heads, words, or a table by its file, such as places.csv"
    path = next((one for one in work.reading.lines if f"{one}.".startswith(f"{key}.")), key)
    why = work.reading.blame(path, expected, found, NOT_USED)
    for theirs in _named(value if isinstance(value, dict) else {key: value}):
        work.doubt(theirs, "", why)


def _begins(file: str, key: str, value: Mapping[str, Any]) -> bool:
    """Whether a file was named without quotes, so that its ending became a part of its own."""
    return any(f"{key}.{ending}" == file for ending in value)


def _named(part: Mapping[str, Any]) -> Iterator[str]:
    """Every name that something is said of in a part, however deep."""
    for key, value in part.items():
        if isinstance(value, dict):
            yield from _named(value)
        else:
            yield key
