"""Time: how long mixed paint may be used, and when the next coat may follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.formulas import OutOfRange, require_range


@dataclass(frozen=True, slots=True)
class WindowRow:
    """One column of a data sheet: surface temperature [degC], shortest and longest wait [h].

    A sheet that prints bands fills both ends; one that prints single temperatures gives the same number
    twice. `maximum` is None where the sheet sets no longest wait.
    """

    low: float
    high: float
    minimum: float
    maximum: float | None


@dataclass(frozen=True, slots=True)
class Window:
    """When the next coat may follow [h], and the rows that gave each end.

    `maximum` is None where the table sets no longest wait.
    """

    minimum: float
    maximum: float | None
    minimum_from: tuple[WindowRow, ...]
    maximum_from: tuple[WindowRow, ...]

    @property
    def never_open(self) -> bool:
        """True when the longest wait is shorter than the shortest: no moment fits both ends."""
        return self.maximum is not None and self.maximum < self.minimum


def pot_life(reference_pot_life: float, reference_temperature: float, temperature: float) -> float:
    """Pot life at another temperature by rule of thumb: half for 10 degC warmer, twice for 10 degC colder.

    Args:
        reference_pot_life: pot life on the data sheet [h].
        reference_temperature: temperature it was given for [degC].
        temperature: temperature of the mixed paint [degC].
    Returns:
        Pot life [h].
    Range:
        Both temperatures 5 to 40 degC, outside of which special products are needed; pot life above zero.
    Source:
        UFGS 09971, p. 26, rule and examples (read); ends of the range from a paint manual (read). The data
        sheet's own table goes first.
    Example:
        >>> pot_life(2.0, 21.0, 31.0)
        1.0
    """
    require_range("pot life", reference_pot_life, "h", 0.0, above=True)
    require_range("reference temperature", reference_temperature, "degC", 5.0, 40.0)
    require_range("temperature", temperature, "degC", 5.0, 40.0)
    return float(reference_pot_life * 2.0 ** (-(temperature - reference_temperature) / 10.0))


def overcoat_window(lowest_surface: float, highest_surface: float, rows: Sequence[WindowRow]) -> Window:
    """Shortest and longest wait before the next coat, from a printed table; never beyond it.

    The shortest wait follows the lowest surface temperature between the coats, the longest wait the highest.
    Between two listed temperatures the stricter of both holds: the longer minimum, the shorter maximum.

    Args:
        lowest_surface: lowest surface temperature between the coats [degC].
        highest_surface: highest surface temperature held between the coats [degC].
        rows: the printed table, in any order [table].
    Returns:
        Window, with the rows used [h].
    Range:
        Both temperatures within the table; lowest not above highest.
    Source:
        UFGS 09971, p. 28, choice by the highest temperature for the longest wait (read); choice by the
        lowest for the shortest, and the stricter of two neighbours: common practice, no source.
    Example:
        >>> table = [WindowRow(10, 10, 16, 96), WindowRow(20, 20, 8, 48), WindowRow(30, 30, 4, None)]
        >>> window = overcoat_window(16.0, 20.0, table)
        >>> window.minimum, window.maximum
        (16, 48)
    """
    require_range("lowest surface temperature", lowest_surface, "degC")
    require_range("highest surface temperature", highest_surface, "degC", lowest_surface)
    coldest = _neighbours("lowest surface temperature", lowest_surface, rows)
    warmest = _neighbours("highest surface temperature", highest_surface, rows)
    limits = [row.maximum for row in warmest if row.maximum is not None]
    return Window(
        minimum=max(row.minimum for row in coldest),
        maximum=min(limits) if limits else None,
        minimum_from=coldest,
        maximum_from=warmest,
    )


def _neighbours(name: str, temperature: float, rows: Sequence[WindowRow]) -> tuple[WindowRow, ...]:
    """The rows that list the temperature, or else the nearest below and above it."""
    listed = tuple(row for row in rows if row.low <= temperature <= row.high)
    if listed:
        return listed
    colder = [row for row in rows if row.high < temperature]
    warmer = [row for row in rows if row.low > temperature]
    if not colder or not warmer:
        raise OutOfRange(name, temperature, _extent(rows))
    nearest = max(row.high for row in colder), min(row.low for row in warmer)
    beside = (row for row in (*colder, *warmer) if row.high == nearest[0] or row.low == nearest[1])
    return tuple(sorted(beside, key=lambda row: row.low))


def _extent(rows: Sequence[WindowRow]) -> str:
    if not rows:
        return "a table that has rows"
    return f"the printed table, {min(row.low for row in rows):g} to {max(row.high for row in rows):g} degC"
