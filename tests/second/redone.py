"""U, E_n and the outcome of a pair done again from one row of comparison.csv: formulas of the standards, nothing else.

Formulas from memory of JCGM 100:2008 (GUM): combined standard uncertainty (equation 10, independent parts), effective
degrees of freedom (equation G.2b, cut down to a whole number), expanded uncertainty k u with Student's t for 95.45 %
(table G.2), resolution d / √12 (clause F.2.2.1), certificate U / k (clause 4.3.3); E_n of ISO 13528 and ISO/IEC 17043.
Student's t is computed with scipy.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scipy.stats import t as student

SHARE = 0.9545  # what k = 2 covers with many degrees of freedom, table G.2
Row = Mapping[str, str]


@dataclass(frozen=True)
class Redone:
    """What the parts of one side make."""

    standard: float
    degrees: int | None
    factor: float
    expanded: float
    at_95: float


def pairs(table: bytes) -> list[dict[str, str]]:
    """The rows of both sides, with a value each."""
    rows = csv.DictReader(table.decode("utf-8").splitlines())
    return [row for row in rows if row["number"] and row["unit"] and row["difference"]]


def side(row: Row, who: str) -> Redone | None:
    """U of one side from its parts; None where it states none."""
    values = [float(cell) for cell in row[f"{who}_u_part_values"].split("; ") if cell]
    if not values:
        return None
    freedom = row[f"{who}_u_part_degrees"].split("; ")
    assert len(freedom) == len(values) == len(row[f"{who}_u_parts"].split("; "))
    standard = math.sqrt(sum(value**2 for value in values))
    few = sum(value**4 / int(degrees) for value, degrees in zip(values, freedom, strict=True) if degrees)
    if not few:
        factor = float(row[f"{who}_k"])
        return Redone(standard, None, factor, factor * standard, 2.0 * standard)
    degrees = math.floor(standard**4 / few)
    factor = float(student.ppf(0.5 * (1.0 + SHARE), degrees))
    return Redone(standard, degrees, factor, factor * standard, factor * standard)


def en(row: Row) -> float | None:
    """E_n of the two values and of both U as done again; None where one side states none."""
    his, yard = side(row, "surveyor"), side(row, "yard")
    if his is None or yard is None:
        return None
    joint = math.sqrt(his.at_95**2 + yard.at_95**2)
    return (float(row["surveyor_value"]) - float(row["yard_value"])) / joint


def parts_from_the_instrument(row: Row, who: str) -> Iterator[tuple[str, float, float]]:
    """Each part that is an instrument's alone, in the unit of the pair: its name, its size, what is stated for it."""
    stated = [cell.rpartition(": ") for cell in row[f"{who}_resolution"].split("; ") if cell]
    steps = {head.partition(", ")[0]: text.split(" ") for head, _, text in stated}
    of = [cell.rpartition(": U = ") for cell in row[f"{who}_certificate"].split("; ") if cell]
    certificates = {head.partition(", ")[0]: text.replace(",", "").split(" ") for head, _, text in of}
    names = row[f"{who}_u_parts"].split("; ")
    for name, cell in zip(names, row[f"{who}_u_part_values"].split("; "), strict=True):
        id_ = name.removeprefix("resolution of ").removeprefix("instrument ").partition(", certificate")[0]
        if name == f"resolution of {id_}" and id_ in steps and steps[id_][1:] == [row["unit"]]:
            yield name, float(cell), float(steps[id_][0]) / math.sqrt(12.0)
        if name.startswith(f"instrument {id_}, certificate") and name.count(",") == 1:
            expanded, unit, *_, factor = certificates[id_]
            if unit == row["unit"]:
                yield name, float(cell), float(expanded) / float(factor)
