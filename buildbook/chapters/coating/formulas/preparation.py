"""Preparation: does each grit remove the scratches of the last, and is the metal free of salt?"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from buildbook.formulas import Malformed, OutOfRange, require_range

_P_GRADE = re.compile(r"P([1-9]\d*)")


@dataclass(frozen=True, slots=True)
class GritStep:
    """From one grade to the next: step of the number [1], ratio of particle sizes before to after [1], and if finer."""

    before: str
    after: str
    number_step: int
    size_ratio: float
    finer: bool


def grit_size(grade: str, sizes: Mapping[str, float]) -> float:
    """Mean particle size of a FEPA P grade.

    Args:
        grade: P and the number, "P180" [text].
        sizes: mean particle size by grade, from the printed table [um].
    Returns:
        Mean particle size [um].
    Range:
        Grades that the table lists; a number without P may be another scale and is refused.
    Source:
        FEPA P grades (second-hand and memory: the table says which for each row).
    Example:
        >>> grit_size("P80", {"P80": 201.0})
        201.0
    """
    grade_number(grade)
    if grade not in sizes:
        raise OutOfRange("abrasive grade", grade, f"the {len(sizes)} grades that the table of sizes lists")
    size = sizes[grade]
    require_range(f"particle size of {grade}", size, "um", 0.0, above=True)
    return size


def grade_number(grade: str) -> int:
    """Number of a FEPA P grade; the higher, the finer.

    Args:
        grade: P and the number, "P180" [text].
    Returns:
        The number [1].
    Range:
        P and a whole number above zero; a number without P may be another scale and is refused.
    Source:
        FEPA P grades (second-hand and memory: the table of sizes says which for each row).
    Example:
        >>> grade_number("P180")
        180
    """
    match = _P_GRADE.fullmatch(grade)
    if match is None:
        raise Malformed("abrasive grade", grade, ("expected P and the number of the FEPA scale, such as P180",))
    return int(match[1])


def grit_step(before: str, after: str, sizes: Mapping[str, float]) -> GritStep:
    """From one abrasive grade to the next: by number and by particle size.

    Args:
        before: grade used first [text].
        after: grade used next [text].
        sizes: mean particle size by grade, from the printed table [um].
    Returns:
        Step of the number, ratio of the sizes before to after, and whether the second is finer [1].
    Range:
        Grades that the table lists.
    Source:
        Both measures: common practice, no source; sizes of the FEPA P grades from the table.
    Example:
        >>> step = grit_step("P80", "P180", {"P80": 201.0, "P180": 82.0})
        >>> step.number_step, round(step.size_ratio, 2), step.finer
        (100, 2.45, True)
    """
    first, second = grit_size(before, sizes), grit_size(after, sizes)
    return GritStep(before, after, grade_number(after) - grade_number(before), first / second, second < first)


def grit_steps(grades: Sequence[str], sizes: Mapping[str, float]) -> tuple[GritStep, ...]:
    """All steps of one sanding sequence, in order.

    Args:
        grades: the grades in the order used on one layer [text].
        sizes: mean particle size by grade, from the printed table [um].
    Returns:
        One step between each two neighbours; none for a single grade [1].
    Range:
        One grade or more, all in the table.
    Source:
        Both measures: common practice, no source; sizes of the FEPA P grades from the table.
    Example:
        >>> len(grit_steps(["P80", "P120"], {"P80": 201.0, "P120": 125.0}))
        1
    """
    if not grades:
        raise OutOfRange("number of grades", 0, "1 or more")
    for grade in grades:
        grit_size(grade, sizes)
    return tuple(grit_step(a, b, sizes) for a, b in pairwise(grades))


def strictly_finer(grades: Sequence[str], sizes: Mapping[str, float]) -> bool:
    """True when every grade of a sequence is finer than the one before it.

    Args:
        grades: the grades in the order used on one layer [text].
        sizes: mean particle size by grade, from the printed table [um].
    Returns:
        True or false; true for a single grade [true or false].
    Range:
        One grade or more, all in the table.
    Source:
        Common practice, no source: coarser again only after a new layer.
    Example:
        >>> strictly_finer(["P120", "P80"], {"P80": 201.0, "P120": 125.0})
        False
    """
    return all(step.finer for step in grit_steps(grades, sizes))


def salt_density(conductivity_rise: float, volume: float, area: float, constant: float = 5.0) -> float:
    """Soluble salt on a surface, as the conductivity of the water that washed a patch of it.

    Args:
        conductivity_rise: rise of the conductivity, blank test already subtracted [uS/cm].
        volume: volume of the water [mL].
        area: area of the patch [mm2].
        constant: surface density of salt per conductivity, as a mixture of sea salts [kg m-2 S-1].
    Returns:
        Surface density of soluble salt [mg/m2].
    Range:
        Rise of zero or more; the others above zero. 1 ug/cm2 is 10 mg/m2.
    Source:
        ISO 8502-9, conductometric determination after ISO 8502-6 (formula and constant from memory).
    Example:
        >>> round(salt_density(8.33, 15.0, 1250.0), 1)
        50.0
    """
    require_range("conductivity rise", conductivity_rise, "uS/cm", 0.0)
    require_range("volume", volume, "mL", 0.0, above=True)
    require_range("area", area, "mm2", 0.0, above=True)
    require_range("constant", constant, "kg m-2 S-1", 0.0, above=True)
    siemens_per_metre = conductivity_rise * 1e-4
    cubic_metres, square_metres = volume * 1e-6, area * 1e-6
    return constant * cubic_metres * siemens_per_metre / square_metres * 1e6
