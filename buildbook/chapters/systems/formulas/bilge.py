"""The flow of a pump."""

from __future__ import annotations

from buildbook.formulas import require_range


def flow_at_outlet(volume: float, time: float) -> float:
    """How much a pump delivers.

    Args:
        volume: water caught at the outlet [L].
        time: in this time [s].
    Returns:
        60 x volume / time [L/min].
    Range:
        Volume from zero, time above zero.
    Source:
        The definition of a flow (practice).
    Example:
        >>> flow_at_outlet(30.0, 45.0)
        40.0
    """
    require_range("volume", volume, "L", 0.0)
    require_range("time", time, "s", 0.0, above=True)
    return 60.0 * volume / time
