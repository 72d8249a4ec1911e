"""What of a yard's own words has to be told beside a finding: those whose meaning rests on columns.toml alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from buildbook.core.finding import Finding
from buildbook.core.record import Record
from buildbook.readers.choices import choices_of
from buildbook.readers.proposals import meant
from buildbook.readers.table import Head, RawTable, one_spelling

AS_SAID = ", as columns.toml says."
MOST = 3

Raw = Mapping[type[Record], RawTable | None]


def with_words_told(findings: Iterable[Finding], raw: Raw) -> tuple[Finding, ...]:
    """The same findings, each with a note where a word in its rows was read as one of ours by columns.toml alone.

    A word that means the same by the list of trade terms, or is spelled nearly so, needs none: `bestanden` is a pass.
    """
    told = _told(raw)
    if not told:
        return tuple(findings)
    return tuple(_with_notes(finding, told) for finding in findings)


def _with_notes(finding: Finding, told: Mapping[tuple[str, int | None], tuple[str, ...]]) -> Finding:
    words = dict.fromkeys(word for where in finding.at for word in told.get((where.file, where.line), ()))
    notes = [f"{word}{AS_SAID}" for word in list(words)[:MOST]]
    if len(words) > MOST:
        notes.append(f"So were {len(words) - MOST} more words of the yard{AS_SAID}")
    return replace(finding, notes=(*finding.notes, *notes)) if notes else finding


def _told(raw: Raw) -> dict[tuple[str, int | None], tuple[str, ...]]:
    found: dict[tuple[str, int | None], tuple[str, ...]] = {}
    for kind, table in raw.items():
        if table is None:
            continue
        for head in table.heads:
            said = dict(_of_its_own(kind, head))
            for row in table.rows if said else ():
                cell = row.cells[head.index].strip() if head.index < len(row.cells) else ""
                ours = said.get(one_spelling(cell))
                if ours is not None:
                    where = (table.file, row.line)
                    found[where] = (*found.get(where, ()), f"'{cell}' in column '{head.text}' was read as '{ours}'")
    return found


def _of_its_own(kind: type[Record], head: Head) -> Iterator[tuple[str, str]]:
    """The words below a head, in one spelling, that mean what they do by columns.toml alone."""
    info = next((info for name, info in kind.columns().items() if one_spelling(name) == one_spelling(head.name)), None)
    if info is None:
        return
    choices = choices_of(info)
    for theirs, ours in head.words:
        if meant(theirs.replace("_", " "), choices)[0] != ours:
            yield theirs, ours
