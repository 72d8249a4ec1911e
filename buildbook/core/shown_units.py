"""In which units a book is told; it is judged in those of the columns, whatever this says."""

from __future__ import annotations

from enum import StrEnum


class ShownUnits(StrEnum):
    """Metric, as the columns are, or the customary units of the United States."""

    METRIC = "metric"
    US = "us"
