"""The matters of the book by how they stand: in short on the first page, with findings and reports as exceptions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from buildbook.core.book import Book, Matter, Numbered, Report, State
from buildbook.render.content import Line, lines


@dataclass(frozen=True, slots=True)
class Group:
    """The matters that stand alike, under one heading."""

    state: State
    matters: tuple[Matter, ...]


def by_state(book: Book) -> tuple[Group, ...]:
    """The matters of a book by how they stand, those still open first; a heading without any is left out."""
    groups = ((state, tuple(it for it in book.matters if it.state is state)) for state in State)
    return tuple(Group(state, its) for state, its in groups if its)


@dataclass(frozen=True, slots=True)
class Standing:
    """A group with everything behind it: its findings, each with the later result beside it, and the reports on it."""

    group: Group
    lines: tuple[Line, ...]
    reports: tuple[Report, ...]


@dataclass(frozen=True, slots=True)
class Exceptions:
    """The page of exceptions: the groups in their order, the report of each finding, reports that none of them has."""

    standings: tuple[Standing, ...]
    report_of: Mapping[str, str]
    others: tuple[Report, ...]


def exceptions_page(book: Book) -> Exceptions:
    """Everything that did not simply pass, by how it stands.

    Args:
        book: the finished book.

    Returns:
        Every exception in exactly one group. Where a report says what was measured after the work, that finding stands
        behind the one it is about. Reports that belong to no exception come last.
    """
    items = {item.number: item for item in _all(book)}
    reports = {report.id: report for report in book.reports}
    standings = []
    for group in by_state(book):
        mine = [reports[it.report] for it in group.matters if it.report in reports]
        numbers = dict.fromkeys(number for it in group.matters for number in _with_later(it, reports))
        found = lines((items[number] for number in numbers if number in items), (), "exceptions-")
        standings.append(Standing(group, found, tuple(dict.fromkeys(mine))))
    told = {report.id for standing in standings for report in standing.reports}
    others = tuple(report for report in book.reports if report.id not in told)
    report_of = {number: it.report for it in book.matters if it.report in reports for number in it.findings}
    return Exceptions(tuple(standings), report_of, others)


def _with_later(matter: Matter, reports: Mapping[str, Report]) -> tuple[str, ...]:
    """The findings of a matter, and behind the first of them what its report says was found later."""
    report = reports.get(matter.report)
    later = tuple(number for number in report.findings if number not in matter.findings) if report else ()
    return (*matter.findings[:1], *later, *matter.findings[1:])


def _all(book: Book) -> Iterator[Numbered]:
    for chapter in book.chapters:
        for check in chapter.checks:
            yield from check.governing
