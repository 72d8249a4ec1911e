"""The matters of the book by how they stand, with their findings and reports: the page of exceptions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from buildbook.core.book import Book, Report
from buildbook.core.matter import Matter
from buildbook.render.content import Group, Line, by_state, lines


@dataclass(frozen=True, slots=True)
class Standing:
    """A group with everything behind it: its findings, each with the later result beside it, and the reports on it.

    `findings` is how many its matters show in, `later` how many of the lines are later results beside these.
    """

    group: Group
    findings: int
    later: int
    lines: tuple[Line, ...]
    reports: tuple[Report, ...]


@dataclass(frozen=True, slots=True)
class Exceptions:
    """The page of exceptions: the groups in their order, the report of each finding, reports that none of them has.

    `failed` is how many of the findings missed their limit.
    """

    standings: tuple[Standing, ...]
    report_of: Mapping[str, str]
    others: tuple[Report, ...]
    failed: int


def exceptions_page(book: Book) -> Exceptions:
    """Everything that did not simply pass, by how it stands.

    Args:
        book: the finished book.

    Returns:
        Every exception in exactly one group. Where a report says what was measured after the work, that finding stands
        behind the one it is about. Reports that belong to no exception come last.
    """
    items = {item.number: item for item in book.governing}
    reports = {report.id: report for report in book.reports}
    standings = []
    for group in by_state(book.matters):
        mine = [reports[name] for it in group.matters for name in it.reports if name in reports]
        numbers = dict.fromkeys(number for it in group.matters for number in _with_later(it, reports))
        found = lines((items[number] for number in numbers if number in items), (), "exceptions-")
        shown = sum(len(it.findings) for it in group.matters)
        standings.append(Standing(group, shown, len(found) - shown, found, tuple(dict.fromkeys(mine))))
    told = {report.id for standing in standings for report in standing.reports}
    others = tuple(report for report in book.reports if report.id not in told)
    report_of = {number: name for it in book.matters for number, name in _report_of(it, reports)}
    failed = sum(item.finding.verdict.missed for item in book.exceptions)
    return Exceptions(tuple(standings), report_of, others, failed)


def _report_of(matter: Matter, reports: Mapping[str, Report]) -> Iterator[tuple[str, str]]:
    """The report of each finding of a matter: the one that names it, else the first."""
    names = [name for name in matter.reports if name in reports]
    for number in matter.findings:
        own = [name for name in names if number in reports[name].findings]
        yield from ((number, name) for name in (own or names)[:1])


def _with_later(matter: Matter, reports: Mapping[str, Report]) -> Iterator[str]:
    """The findings of a matter, each with what its report says was found later behind it."""
    its = [reports[name] for name in matter.reports if name in reports]
    for number in matter.findings:
        yield number
        told = [report for report in its if number in report.findings] or its[: number == matter.findings[0]]
        yield from (later for report in told for later in report.findings if later not in matter.findings)
