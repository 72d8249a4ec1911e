"""The limits of hull.toml against the places and documents the folder lists: a limit that hits nothing is a mistake."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.register.records import Document
from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.hull import SpecifiedLimit
from buildbook.core.where import Where
from buildbook.core.wording import listed

HELD = "The limit is not used, and nothing it was meant for is called better than inconclusive."


def placed_limits(evidence: Evidence) -> tuple[Evidence, tuple[Fault, ...]]:
    """The evidence without limits for places that are not listed, and a fault for each; unknown documents are noticed.

    A limit that cannot be placed holds its check, as any entry of hull.toml does that cannot be used.
    """
    places = set(evidence.values(Place, "place"))
    lost = [entry for entry in evidence.specification.limits if entry.place and entry.place not in places]
    faults = tuple(_fault(entry, places) for entry in lost)
    held = tuple((entry.check, f"{fault.where}: {fault.found}.") for entry, fault in zip(lost, faults, strict=True))
    kept = tuple(entry for entry in evidence.specification.limits if entry not in lost)
    specification = replace(evidence.specification, limits=kept, unread=(*evidence.specification.unread, *held))
    return replace(evidence, specification=specification), (*faults, *_unlisted(evidence))


def _at(entry: SpecifiedLimit) -> Where:
    return entry.limit.terms[0].at or Where("hull.toml")


def _fault(entry: SpecifiedLimit, places: Iterable[str]) -> Fault:
    near = difflib.get_close_matches(entry.place, sorted(places), 1)
    meant = f" (did you mean {near[0]}?)" if near else ""
    found = f"a limit for {entry.check} at place '{entry.place}', which {Place.table.file} does not list{meant}"
    return Fault(_at(entry), f"a place of {Place.table.file}", found, HELD)


def _unlisted(evidence: Evidence) -> Iterable[Fault]:
    """Documents that limits name and the list of documents does not; nothing where there is no list."""
    documents = set(evidence.values(Document, "document"))
    named = {(entry.limit.terms[0].document, _at(entry)) for entry in evidence.specification.limits}
    if not documents:
        return
    for document, at in sorted(named, key=lambda pair: pair[1].order):
        if document not in documents:
            expected = f"a document of {Document.table.file}: {listed(sorted(documents), 'or')}"
            effect = "The limit is used; the list of documents does not show where it stands."
            yield Fault(at, expected, document, effect, Severity.NOTICE)
