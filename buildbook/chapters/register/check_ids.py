"""The ids of checks that the plan, the reports and the photographs name: an id that no check has hits nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.register.records import Work
from buildbook.chapters.shared_records import Nonconformity, PhotographRecord, Planned
from buildbook.core.evidence import CrossCheck, Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record
from buildbook.core.spelling import did_you_mean

EFFECT = "This row may be about any check; what it may concern is no better than inconclusive."
LOOK_ALIKE = str.maketrans("OIL", "011")  # letters that stand for digits on a worn keyboard or in a bad scan
WORK = "What was spent is shown, but beside no finding of that check."
PICTURE = "The picture is shown, but beside no check."


def known_checks(known: Sequence[str]) -> CrossCheck:
    """A cross-check that finds every id of a check that is not one of these.

    Such a line of the plan or report is not believed in that cell: it is then a row that may be about any check. A
    picture under a wrong id is only said, since nothing is judged by it.
    """

    def unknown_ids(evidence: Evidence) -> Iterable[Fault]:
        yield from _unknown(evidence, Planned, known, EFFECT, Severity.FAULT)
        yield from _unknown(evidence, Nonconformity, known, EFFECT, Severity.FAULT)
        yield from _unknown(evidence, PhotographRecord, known, PICTURE, Severity.NOTICE)
        yield from _of_work(evidence, known)

    return unknown_ids


def _unknown(
    evidence: Evidence, kind: type[Record], known: Sequence[str], effect: str, severity: Severity
) -> Iterable[Fault]:
    for row in evidence.of(kind):
        given = getattr(row, "check", None)
        if given is not None and given not in known:
            meant = did_you_mean(_retyped(given), known)
            yield Fault(row.cell("check"), "the id of a check", f"'{given}'{meant}", effect, severity)


def _of_work(evidence: Evidence, known: Sequence[str]) -> Iterable[Fault]:
    """Every id in the table of work that no check has."""
    for row in evidence.of(Work):
        for given in row.checks:
            if given not in known:
                meant = did_you_mean(_retyped(given), known)
                found = f"'{given}'{meant}"
                yield Fault(row.cell("shown_by"), "ids of checks, parted by semicolons", found, WORK, Severity.NOTICE)


def _retyped(given: str) -> str:
    """An id in capitals, with digits where letters that look like them stand behind the hyphen."""
    chapter, hyphen, number = given.upper().partition("-")
    return chapter + hyphen + number.translate(LOOK_ALIKE)
