"""SYS-12: what she weighs, and where her centre lies."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildbook.chapters.subjects import Used, absent, attempts, limits, period, used
from buildbook.chapters.systems.formulas.weighing import centre_of_mass, total_mass
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.chapters.systems.subjects import planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, grouped, plain_number

CHECK = "SYS-12"
MASS = "light craft mass"
FORWARD, ACROSS = "centre of mass, forward of the transom", "centre of mass, to starboard"
UNITS = {MASS: "kg", FORWARD: "m", ACROSS: "m"}
AXIS = {FORWARD: "x", ACROSS: "y"}
TOGETHER = "Cells of one set may err alike, so what is unsure of each is added up and not averaged out."
NO_LIST = "Nothing is listed that was aboard, or was missing."
NOT_WEIGHED = "No reading of a load cell can be used."


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing: what the cells read, what was aboard, and what the cells are unsure of."""

    cells: tuple[CellReading, ...]
    items: tuple[Aboard, ...]
    by_cells: tuple[tuple[str, float], ...]  # the name of each set and the standard uncertainty of one cell [kg]
    use: Used

    @property
    def masses(self) -> list[float]:
        """Cells and items with their signs [kg]."""
        return [*(cell.mass for cell in self.cells), *(signed(item) for item in self.items)]

    def places(self, axis: str) -> list[float]:
        """Where each of them bears [m]."""
        return [getattr(one, axis) for one in (*self.cells, *self.items)]


def signed(item: Aboard) -> float:
    """What an item changes [kg]."""
    return -item.mass if item.change == "taken off" else item.mass


def weighed(evidence: Evidence) -> Iterable[Finding]:
    """SYS-12: of every weighing the light craft mass and its centre."""
    if not evidence.of(CellReading) and not evidence.lost(CellReading):
        for quantity in UNITS if planned(evidence, CHECK, CellReading.table.file, *UNITS) else ():
            yield absent(evidence, CellReading, Key(CHECK, quantity), Verdict.NOT_MEASURED, NOT_WEIGHED)
        return
    for attempt in attempts(evidence, CellReading):
        found = _weighing(evidence, attempt)
        for quantity in UNITS:
            key = Key(CHECK, quantity, "", "", attempt)
            wanted = limits(evidence, CHECK, quantity)
            if found is None:
                yield unjudged(key, Verdict.INCONCLUSIVE, NOT_WEIGHED, None, wanted)
            elif gone := _not_whole(evidence, found):
                yield unjudged(key, Verdict.INCONCLUSIVE, " ".join(gone), _about(evidence, found, quantity), wanted)
            else:
                measured = _mass(found) if quantity == MASS else _centre(found, AXIS[quantity])
                yield from judge(key, measured, wanted, _about(evidence, found, quantity))


def _not_whole(evidence: Evidence, found: Weighing) -> tuple[str, ...]:
    """Why the sum is not whole, so that nothing can be said of it: a cell, or a weight that was aboard, is lost."""
    attempt, missing = found.cells[0].attempt, evidence.missing.get(Aboard)
    lost = {kind: len(evidence.lost(kind, attempt=attempt)) for kind in (CellReading, Aboard)}
    gone = (f"Rows of {kind.table.file} that cannot be used: {number}." for kind, number in lost.items() if number)
    return (*gone, *((f"{NO_LIST} {Aboard.table.file}: {missing}.",) if missing else ()))


def _weighing(evidence: Evidence, attempt: int) -> Weighing | None:
    cells = evidence.of(CellReading, attempt=attempt)
    if not cells:
        return None
    sets: dict[str, float] = {}
    for name in dict.fromkeys(cell.instrument for cell in cells):
        its = [cell for cell in cells if cell.instrument == name]
        use = used(evidence, its, "instrument", "mass", "kg", "mass")
        if use.parts:
            sets[name] = math.hypot(*(part.standard for part in use.parts))
    use = used(evidence, cells, "instrument", "mass", "kg", "mass")
    return Weighing(cells, evidence.of(Aboard, attempt=attempt), tuple(sets.items()), use)


def _of_cells(found: Weighing, shares: Sequence[float]) -> tuple[Part, ...]:
    """What the sets of cells bring: within a set what each cell is unsure of adds up; `shares` are of each cell."""
    parts = []
    for name, standard in found.by_cells:
        its = [abs(share) for cell, share in zip(found.cells, shares, strict=True) if cell.instrument == name]
        parts.append(Part(f"load cells {name}, {len(its)} together", math.fsum(its) * standard))
    return tuple(parts) if len(parts) == len({cell.instrument for cell in found.cells}) else ()


def _mass(found: Weighing) -> Quantity:
    parts = _of_cells(found, [1.0] * len(found.cells))
    items = tuple(Part(item.item, item.uncertainty / 2.0) for item in found.items if item.uncertainty)
    return Quantity.combined(total_mass(found.masses), "kg", (*parts, *items) if parts else ())


def _centre(found: Weighing, axis: str) -> Quantity:
    whole, at = total_mass(found.masses), centre_of_mass(found.masses, found.places(axis))
    arms = [(getattr(cell, axis) - at) / whole for cell in found.cells]
    parts = _of_cells(found, arms)
    tape = math.fsum(cell.mass * cell.position_uncertainty / 2.0 for cell in found.cells) / whole
    items = tuple(
        Part(item.item, abs(getattr(item, axis) - at) / whole * item.uncertainty / 2.0)
        for item in found.items
        if item.uncertainty
    )
    known = (*parts, Part("where the cells stood", tape), *items)
    return Quantity.combined(at, "m", known if parts else ())


def _beside_the_papers(found: Weighing, stated: float) -> str:
    """Why what she weighed and what her papers state are two figures [kg]; a load is claimed for neither."""
    listed_there = "the weights listed" if found.items else "nothing"
    return (
        f"This is the light boat: as weighed, {listed_there} taken off or added. Her papers state a displacement of "
        f"{grouped(stated)} kg and not for which load; papers mostly mean a loaded boat, with tanks, stores and people "
        f"(common practice, no source). The two are not the same figure."
    )


def _about(evidence: Evidence, found: Weighing, quantity: str) -> About:
    cells = math.fsum(cell.mass for cell in found.cells)
    lines = [
        f"{cell.point}: {plain_number(cell.mass)} kg at {fixed(cell.x, 3)} m forward, {fixed(cell.y, 3)} m to starboard"
        for cell in found.cells
    ]
    lines.append(f"{counted(len(found.cells), 'cell')} together {plain_number(cells)} kg")
    lines += [
        f"{item.change}: {item.item}, {plain_number(item.mass)} kg ± {plain_number(item.uncertainty)} kg, "
        f"at {fixed(item.x, 2)} m and {fixed(item.y, 2)} m"
        for item in found.items
    ]
    stated = evidence.hull.displacement
    beside = (_beside_the_papers(found, stated),) if stated and quantity == MASS else ()
    listless = not found.items and not _not_whole(evidence, found)
    return About(
        method="sum of the load cells, less what was aboard and does not belong to the light boat",
        period=period(cell.at for cell in found.cells),
        instruments=found.use.instruments,
        at=tuple(row.where for row in (*found.cells, *found.items)),
        working=tuple(lines),
        notes=(TOGETHER, *beside, *((NO_LIST,) if listless else ()), *found.use.notes),
        caps=found.use.caps,
    )
