"""Documents that limits and reports name and the list of documents does not: one notice for each."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.register.records import Document
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.spelling import did_you_mean
from buildbook.core.where import Where

OF_LIMITS = "What it limits is judged; the list of documents does not show where the limit stands."
OF_REPORTS = "The report counts; the list of documents does not show what justifies it."
PLACES = 3  # so many places that name one document are told


def unlisted_documents(evidence: Evidence) -> tuple[Fault, ...]:
    """A notice for each document that is not listed, at the first place that names it; none where there is no list."""
    known = sorted(str(name) for name in evidence.values(Document, "document"))
    limits = _of_limits(evidence, known)
    reports = _of_reports(evidence, known, limits)
    names = dict.fromkeys((*limits, *reports)) if known else {}
    told = (_notice(name, limits.get(name, []), reports.get(name, []), known) for name in names)
    return tuple(sorted(told, key=lambda fault: fault.where.order))


def _of_limits(evidence: Evidence, known: Iterable[str]) -> dict[str, list[Where]]:
    """The entries of hull.toml that name each document, in their order."""
    terms = [entry.limit.terms[0] for entry in evidence.specification.limits]
    named = dict.fromkeys((term.document, term.at or Where("hull.toml")) for term in terms)
    found: dict[str, list[Where]] = {}
    for document, at in sorted(named, key=lambda pair: pair[1].order):
        if document not in known:
            found.setdefault(document, []).append(at)
    return found


def _of_reports(evidence: Evidence, known: Iterable[str], limits: Iterable[str]) -> dict[str, list[Where]]:
    """The cells that name each document as what justifies a report; a clause may stand behind its id."""
    found: dict[str, list[Where]] = {}
    for row in evidence.of(Nonconformity):
        text = row.justification or ""
        if text and not any(_begins(text, name) for name in known):
            document = next((name for name in limits if _begins(text, name)), text)
            found.setdefault(document, []).append(row.cell("justification"))
    return found


def _begins(text: str, name: str) -> bool:
    return text.split()[: len(name.split())] == name.split()


def _notice(name: str, limits: list[Where], reports: list[Where], known: list[str]) -> Fault:
    counted = [_counted(limits, "limit"), _counted(reports, "report")]
    places = [*limits, *reports]
    more = f" and {len(places) - PLACES} more" if len(places) > PLACES else ""
    shown = f"{', '.join(str(Where(at.file, at.line, sheet=at.sheet)) for at in places[:PLACES])}{more}"
    meant = did_you_mean(name, known) if len(places) <= PLACES else ""  # nobody mistypes one name so often
    verb = "names" if len(places) == 1 else "name"
    found = f"none{meant}; {' and '.join(filter(None, counted))} {verb} it: {shown}"
    effect = " ".join(words for words, its in ((OF_LIMITS, limits), (OF_REPORTS, reports)) if its)
    return Fault(places[0], f"a row of {Document.table.file} for {name}", found, effect, Severity.NOTICE)


def _counted(places: list[Where], one: str) -> str:
    return f"{len(places)} {one if len(places) == 1 else f'{one}s'}" if places else ""
