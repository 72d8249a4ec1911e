"""What the printed book tells in short lines instead of tables: plain passes of one kind, and lines of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.core.book import Numbered, PlanLine
from buildbook.core.finding import Verdict
from buildbook.render.content import Line, Mark

FEW = 2  # findings that are alike: fewer of them stand each with its own quantity and limit


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
class Plan:
    """The inspection and test plan in print: lines that did not simply pass as a table, all others in short."""

    table: tuple[PlanLine, ...]
    passed: tuple[PlanLine, ...]


def plan_in_short(plan: Iterable[PlanLine]) -> Plan:
    """The lines of a plan, in their order: what did not simply pass, and what did."""
    plan = tuple(plan)
    passed = tuple(line for line in plan if line.verdict is Verdict.PASS)
    return Plan(tuple(line for line in plan if line not in passed), passed)
