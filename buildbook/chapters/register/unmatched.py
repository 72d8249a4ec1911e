"""Reports whose words fit no finding of the check they name, each told with the finding that comes nearest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from difflib import SequenceMatcher

from buildbook.chapters.register.rules import from_report_alone
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Key, Role, by_check
from buildbook.core.natural import natural
from buildbook.core.record import head
from buildbook.core.wording import listed

WORDS = ("quantity", "place", "condition")
ABOUT = ("check", *WORDS, "attempt")  # the columns that tie a report to a finding
ALONE = "The report stands beside no finding, so nothing is told as accepted or put right by it."


def unmatched_reports(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Fault]:
    """A notice for each report that names a check and a quantity, and no finding in the words of that check.

    It is no fault, since rows may be gone that a report was about: a piece that was scrapped, a record set aside.

    Args:
        evidence: the folder, read.
        findings: everything that was found.
    """
    made = [it for it in findings if it.key.role is Role.GOVERNING and not from_report_alone(it)]
    of_check = {check: [it.key for it in its] for check, its in by_check(made).items()}
    for row in evidence.of(Nonconformity):
        about, keys = row.concerns, of_check.get(row.check or "", [])
        if row.quantity and keys and about not in keys:
            yield _told(row, about, _nearest(about, keys))


def _nearest(about: Key, keys: Sequence[Key]) -> Key:
    """The finding with the most words alike; of equals the one whose words are nearest, then the first."""

    def nearness(key: Key) -> tuple[int, float]:
        pairs = [(getattr(about, name).casefold(), getattr(key, name).casefold()) for name in WORDS]
        moved = len(
            {about.place, about.condition, key.place, key.condition} - {""}
        )  # few where two cells changed places
        alike = sum(SequenceMatcher(None, one, other).ratio() for one, other in pairs)
        return sum(one == other for one, other in pairs) - moved, alike - abs(about.attempt - key.attempt) / 100

    return max(sorted(keys, key=natural), key=nearness)


def _told(row: Nonconformity, about: Key, near: Key) -> Fault:
    names = [name for name in ABOUT if getattr(about, name) != getattr(near, name)]
    expected = f"the words of a finding of {near.check}; the nearest has {listed(in_cells(near, names))}"
    where = replace(row.where, column=head(Nonconformity, names[0]))
    return Fault(where, expected, listed(in_cells(about, names)), ALONE, Severity.NOTICE)


def in_cells(key: Key, names: Iterable[str]) -> list[str]:
    """What a report about a finding has in some of its columns, in words."""
    values = ((name, str(getattr(key, name))) for name in names)
    return [f"{name} “{value}”" if value else f"{name} left empty" for name, value in values]
