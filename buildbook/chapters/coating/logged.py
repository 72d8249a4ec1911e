"""Times between two entries of a log: how long, and how sure."""

from __future__ import annotations

from datetime import datetime, timedelta

from buildbook.core.quantity import Part, Quantity
from buildbook.formulas.uncertainty import from_resolution
from buildbook.sources import table

HOUR = timedelta(hours=1)


def logged_hours(start: datetime, end: datetime) -> Quantity:
    """The time between two logged moments, with what the resolution of the log leaves open at both ends.

    Args:
        start: earlier moment as it stands in the log [date and time].
        end: later moment [date and time].
    Returns:
        Hours with their uncertainty: at each end a rectangular part of the log's resolution [h].
    Range:
        End not before start for a time of zero or more; any two moments give a number.
    Source:
        JCGM 100:2008 (GUM), clause F.2.2.1, resolution of an indication (from memory); the resolution of a minute is
        that of the tables.
    Example:
        >>> from datetime import datetime
        >>> found = logged_hours(datetime(2026, 3, 18, 8, 0), datetime(2026, 3, 18, 9, 30))
        >>> found.value, round((found.at_two or 0.0) * 60, 2)
        (1.5, 0.82)
    """
    step = float(table("log_resolution")[0]["resolution"]) / 60.0
    parts = tuple(Part(f"resolution of the log, {which}", from_resolution(step)) for which in ("start", "end"))
    return Quantity.combined((end - start) / HOUR, "h", parts)
