"""What warming does to the pressure of gas shut into a pipe."""

from __future__ import annotations

ZERO_CELSIUS = 273.15  # K
ATMOSPHERE = 1013.25  # mbar: the standard atmosphere, taken for that of the day


def warming(pressure: float, start: float, end: float) -> float:
    """How much the pressure in a tight pipe changes only because its air gets warmer or colder.

    Args:
        pressure: pressure above that of the air, at the start [mbar].
        start: temperature at the start [degC].
        end: temperature at the end [degC].
    Returns:
        The change; positive where it got warmer [mbar].
    Range:
        Temperatures above absolute zero; a pipe that does not give.
    Source:
        Law of Gay-Lussac for a shut volume; standard atmosphere of 1013.25 mbar (from memory).
    Example:
        >>> round(warming(30.0, 17.0, 18.0), 2)
        3.6
    """
    return (ATMOSPHERE + pressure) * (end - start) / (start + ZERO_CELSIUS)
