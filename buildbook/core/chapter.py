"""A chapter: the checks of one subject, its tables and its charts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from buildbook.core.chart import Chart
from buildbook.core.check import Check
from buildbook.core.evidence import CrossCheck, Evidence
from buildbook.core.finding import Finding
from buildbook.core.record import Record
from buildbook.core.signal import Signal
from buildbook.core.stage import Stage

Draw = Callable[[Evidence, tuple[Finding, ...]], Iterable[Chart]]
Opener = Callable[[Any, Any], Signal]  # from the folder and a row to the record that the row names
Review = Callable[[Evidence, tuple[Finding, ...]], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Chapter:
    """One subject of the book. `review` looks at what all chapters found and adds findings; only the register has one.

    `cross_checks` look for rows that contradict each other; the rows they name are not used. `opens` says of a table
    whose rows name long records how one is opened; a row whose record is refused is not used. `due` is the stage of the
    build from which its checks are asked for, but for those that name another.
    """

    key: str
    title: str
    tables: tuple[type[Record], ...]
    checks: tuple[Check, ...]
    charts: Draw | None = None
    review: Review | None = None
    cross_checks: tuple[CrossCheck, ...] = ()
    opens: Mapping[type[Record], Opener] = field(default_factory=dict)
    due: Stage = Stage.LAY_UP

    def due_of(self, check: Check) -> Stage:
        """The stage of the build from which one of its checks is asked for."""
        return check.due or self.due
