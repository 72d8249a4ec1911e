"""What the printed book tells in short lines instead of tables: plain passes of one kind, and lines of the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.core.book import Numbered, PlanLine
from buildbook.core.finding import Verdict
from buildbook.core.lists import in_a_row
from buildbook.render.content import Line, Mark, Requirement

FEW = 2  # findings that are alike: fewer of them stand each with its own quantity and limit
# The chapter whose passes say no more than that a record is there; and where print tells what they are about.
PAPER = "register"
ELSEWHERE = {"REG-02": ("coverage", "lines of the plan"), "REG-03": ("instruments", "instruments")}


@dataclass(frozen=True, slots=True)
class Asked:
    """A limit as a list tells it, with the marks of what is to be read beside it and of who set it.

    `setters` is empty in the head of a list where they are not the same for all of it.
    """

    limit: str
    in_words: bool
    shared: tuple[Mark, ...]
    setters: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """One finding of a list: its numbers (its own, then those of the references beside it), and where it is.

    `setters` are marks of its own, where the head of the list cannot have them.
    """

    items: tuple[Numbered, ...]
    where: str
    value: str
    setters: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """Plain passes of one quantity under one limit; `references` are the limits beside it that all of them meet too.

    `headed` is false where there are so few that each is told whole.
    """

    quantity: str
    limit: Asked
    references: tuple[Asked, ...]
    told: tuple[Told, ...]
    headed: bool


def kinds(lines: Iterable[Line]) -> tuple[Kind, ...]:
    """Plain passes by what was measured and what was asked.

    Args:
        lines: passes without a note of their own; references beside them are passes too.

    Returns:
        Every line in exactly one kind, those of one kind together, in the order in which each kind comes first.
    """
    groups: dict[tuple[str, tuple[Asked, ...]], list[Line]] = {}
    for line in lines:
        key = line.item.finding.key.quantity, tuple(map(_asked, _all(line)))
        groups.setdefault(key, []).append(line)
    return tuple(_kind(quantity, asked, members) for (quantity, asked), members in groups.items())


def _kind(quantity: str, asked: tuple[Asked, ...], members: Sequence[Line]) -> Kind:
    marks = {tuple(it.setters for it in _all(line)) for line in members}
    if len(marks) == 1:
        asked = tuple(replace(it, setters=setters) for it, setters in zip(asked, marks.pop(), strict=True))
        told = tuple(_told(line, ()) for line in members)
    else:
        told = tuple(_told(line, tuple(mark for it in _all(line) for mark in it.setters)) for line in members)
    return Kind(quantity, asked[0], asked[1:], told, len(members) >= FEW)


def _all(line: Line) -> tuple[Line, ...]:
    return (line, *line.beside)


def _asked(line: Line) -> Asked:
    return Asked(line.item.limit, line.item.finding.measured is None, line.shared)


def _told(line: Line, setters: tuple[Mark, ...]) -> Told:
    item = line.item
    where = item.subject.removeprefix(item.finding.key.quantity).removeprefix(", ")
    return Told((item, *(other.item for other in line.beside)), where, item.value, setters)


@dataclass(frozen=True, slots=True)
class Counted:
    """Plain passes beside which the same is to be read, whatever each limit says: counted, and each keeps its number.

    `quantities` are what was looked at, each with how many of them there are; `shared` are the marks of what is to be
    read beside all of them; `items` stand in the order of their numbers.
    """

    quantities: tuple[tuple[str, int], ...]
    shared: tuple[Mark, ...]
    items: tuple[Numbered, ...]

    @property
    def runs(self) -> tuple[tuple[Numbered, ...], ...]:
        """The same items, those whose numbers follow one another together."""
        by_number = {_place_of(item): item for item in self.items}
        return tuple(tuple(by_number[number] for number in run) for run in in_a_row(by_number))


def counted_only(lines: Iterable[Line]) -> tuple[Counted, ...]:
    """Plain passes by what is to be read beside them.

    Args:
        lines: passes of one check, as for `kinds`.

    Returns:
        Every finding in exactly one of them, the references too; the quantities in the order in which each comes first.
    """
    groups: dict[tuple[Mark, ...], list[Numbered]] = {}
    for line in lines:
        shared = tuple(dict.fromkeys(mark for it in _all(line) for mark in it.shared))
        groups.setdefault(shared, []).extend(it.item for it in _all(line))
    return tuple(
        Counted(
            tuple(Counter(item.finding.key.quantity for item in items).items()),
            shared,
            tuple(sorted(items, key=_place_of)),
        )
        for shared, items in groups.items()
    )


def _place_of(item: Numbered) -> int:
    """The place of a finding in its check, the last part of its number."""
    return int(item.number.rpartition("/")[2])


def used_by(limits: Iterable[Requirement], lines: Iterable[Line]) -> tuple[Requirement, ...]:
    """The limits of a check whose marks stand at some of its findings, or at references beside them, in their order."""
    marks = {mark for line in lines for it in _all(line) for mark in it.setters}
    return tuple(it for it in limits if it.mark in marks)


@dataclass(frozen=True, slots=True)
class Plan:
    """The inspection and test plan in print: lines that did not simply pass as a table, all others in short."""

    table: tuple[PlanLine, ...]
    passed: tuple[PlanLine, ...]


def plan_in_short(plan: Iterable[PlanLine]) -> Plan:
    """The lines of a plan, in their order: what did not simply pass, and what did."""
    plan = tuple(plan)
    passed = tuple(line for line in plan if line.verdict is Verdict.PASS)
    return Plan(tuple(line for line in plan if line not in passed), passed)
