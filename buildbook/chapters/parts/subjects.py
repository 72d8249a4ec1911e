"""What the checks of parts ask of the register: names, batches of a part, parts of a batch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.records import ListedPart, Part, PartBatch
from buildbook.core.evidence import Evidence
from buildbook.core.judging import Limits
from buildbook.core.lists import first_of
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.sources import reference_limit


def printed(check: str, quantity: str) -> Limits:
    """The printed requirement of one quantity in words. It governs: no specification can set one for it.

    What is common practice is asked for by this book, and its terms say so.
    """
    limit = reference_limit(check, quantity)
    if limit is not None and limit.standing is Standing.PRACTICE:
        limit = replace(limit, terms=tuple(replace(term, set_by="this book") for term in limit.terms))
    return Limits(specified=limit)


def item_name(evidence: Evidence, row: Part) -> str:
    """What a part is, by the parts list; empty where the list does not say."""
    listed_as = evidence.one(ListedPart, item=row.item) if row.item is not None else None
    return listed_as.name if listed_as is not None else ""


def with_name(evidence: Evidence, row: Part) -> str:
    """Number and name of a part."""
    return " ".join(part for part in (row.part, item_name(evidence, row)) if part)


def used_numbers(evidence: Evidence) -> tuple[Part, ...]:
    """Every part of the register that was made: all but numbers given to no part."""
    return tuple(row for row in evidence.of(Part) if row.state != "not used")


def batch_name(row: Batch) -> str:
    """Number of a batch and what it is."""
    return f"{row.batch} ({row.material}, {row.kind})"


def every(rows: Iterable[Part | PartBatch | Batch | ListedPart]) -> tuple[Where, ...]:
    """Where some rows stand, each once."""
    return tuple(dict.fromkeys(row.where for row in rows))


def few(words: Iterable[str], most: int = 8) -> str:
    """Words as a list, the first of many with how many more there are."""
    return first_of(tuple(dict.fromkeys(words)), most)
