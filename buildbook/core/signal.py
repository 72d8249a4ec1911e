"""A long record of one quantity, read in blocks and never held whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.core.where import Where

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True, slots=True)
class Survey:
    """What one pass over a record shows: its mean and the ends it reaches [unit], and how often it stood still.

    `at_an_end` is the longest run of equal samples at its smallest or largest value, `still` the longest anywhere
    [samples].
    """

    mean: float
    least: float
    most: float
    at_an_end: int
    still: int


@dataclass(frozen=True, slots=True)
class Signal:
    """One channel, lazily.

    `rate` [1/s], `unit` of the calibrated values, `length` [samples], `calibration` [unit per stored unit].
    `blocks()` gives one-dimensional float64 arrays in order, calibrated, as often as it is asked; together they hold
    `length` samples. `survey` is what one pass showed, where somebody made one.
    """

    where: Where
    name: str
    rate: float
    unit: str
    length: int
    calibration: float
    blocks: Callable[[], Iterator[np.ndarray]]
    survey: Survey | None = None

    @property
    def duration(self) -> float:
        """Length of the record [s]."""
        return self.length / self.rate
