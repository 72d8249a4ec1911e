"""The limits of hull.toml against the places, coats and documents of the folder: one that hits nothing is a mistake."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Literal, get_args, get_origin

from buildbook.chapters.register.unlisted import unlisted_documents
from buildbook.chapters.shared_records import Place
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.record import Record, head
from buildbook.core.spelling import did_you_mean
from buildbook.core.where import Where

HELD = "The limit is not used, and nothing it was meant for is called better than inconclusive."


def placed_limits(evidence: Evidence) -> tuple[Evidence, tuple[Fault, ...]]:
    """The evidence without limits for places that are not listed, and a fault for each; unknown documents are noticed.

    A limit that cannot be placed holds its check, as any entry of hull.toml does that cannot be used.
    """
    places = set(evidence.values(Place, "place"))
    lost = [entry for entry in evidence.specification.limits if entry.place and entry.place not in places]
    faults = tuple(_fault(entry, places) for entry in lost)
    return _without(evidence, lost, faults), (*faults, *unlisted_documents(evidence))


def conditioned_limits(evidence: Evidence, checks: Iterable[Check]) -> tuple[Evidence, tuple[Fault, ...]]:
    """The evidence without limits whose condition no row of the folder can have, and a fault for each.

    A check says in which column of which table the words of a condition stand: coats, or how closely a zone is looked
    at. A limit with another word would silently never apply.
    """
    columns = {(check.id, quantity): column for check in checks for quantity, column in check.conditions.items()}
    lost, faults = [], []
    for entry in evidence.specification.limits:
        if entry.condition:
            wrong = _wrong_condition(evidence, entry, columns.get((entry.check, entry.quantity)))
            if wrong is not None:
                lost.append(entry)
                faults.append(wrong)
    told = (fault for entry, fault in zip(lost, faults, strict=True) if not _waits(evidence, entry, columns))
    return _without(evidence, lost, faults), tuple(told)


def _waits(
    evidence: Evidence, entry: SpecifiedLimit, columns: Mapping[tuple[str, str], tuple[type[Record], str]]
) -> bool:
    """Whether she is being built and the table that has the word of a limit is not there yet: no slip of the pen."""
    column = columns.get((entry.check, entry.quantity))
    return bool(evidence.hull.unfinished) and column is not None and column[0] in evidence.missing


def _wrong_condition(
    evidence: Evidence, entry: SpecifiedLimit, column: tuple[type[Record], str] | None
) -> Fault | None:
    """Why a limit with this condition can never apply; None where it can."""
    at = replace(_at(entry), part=f"{_at(entry).part}.condition")
    if column is None:
        expected = f"no condition: a limit of '{entry.quantity}' in {entry.check} can name a place only"
        return Fault(at, expected, f"'{entry.condition}'", HELD)
    kind, name = column
    words = _words(evidence, kind, name)
    expected = f"a word of {kind.table.file}, column '{head(kind, name)}'"
    if entry.condition not in words:
        meant = did_you_mean(entry.condition, words)
        return Fault(at, expected, f"'{entry.condition}', which is not there{meant}", HELD)
    place = {kind.table.place: entry.place} if kind.table.place and entry.place else {}
    if place and not evidence.of(kind, **place, **{name: entry.condition}) and not evidence.lost(kind, **place):
        return Fault(at, f"{expected}, at place '{entry.place}'", f"'{entry.condition}', which is not there", HELD)
    return None


def _words(evidence: Evidence, kind: type[Record], name: str) -> list[str]:
    """The words of a column: those of the table, and those it may hold where it takes only certain ones."""
    kinds = (kind.columns()[name].annotation, *get_args(kind.columns()[name].annotation))
    fixed = {word for one in kinds if get_origin(one) is Literal for word in get_args(one)}
    return sorted({str(word) for word in evidence.values(kind, name)} | fixed)


def _without(evidence: Evidence, lost: Iterable[SpecifiedLimit], faults: Iterable[Fault]) -> Evidence:
    """The evidence without some limits, each of which holds its check with the words of its fault."""
    lost = tuple(lost)
    held = tuple((entry.check, f"{fault.where}: {fault.found}.") for entry, fault in zip(lost, faults, strict=True))
    kept = tuple(entry for entry in evidence.specification.limits if entry not in lost)
    specification = replace(evidence.specification, limits=kept, unread=(*evidence.specification.unread, *held))
    return replace(evidence, specification=specification)


def _at(entry: SpecifiedLimit) -> Where:
    return entry.limit.terms[0].at or Where("hull.toml")


def _fault(entry: SpecifiedLimit, places: Iterable[str]) -> Fault:
    meant = did_you_mean(entry.place, places)
    found = f"a limit for {entry.check} at place '{entry.place}', which {Place.table.file} does not list{meant}"
    return Fault(_at(entry), f"a place of {Place.table.file}", found, HELD)
