"""Resistance without the leads of the meter, and voltage that is lost on the way to a load, at its full current."""

from __future__ import annotations

from buildbook.formulas import require_range


def without_leads(resistance: float, leads: float) -> float:
    """Resistance of a bond without that of the leads.

    Args:
        resistance: reading with the leads in line [ohm].
        leads: reading with the two leads touching each other [ohm].
    Returns:
        Their difference [ohm].
    Range:
        Leads from zero to the reading.
    Source:
        Ohm's law: resistances in line add up (from memory).
    Example:
        >>> round(without_leads(0.42, 0.18), 6)
        0.24
    """
    require_range("resistance of the leads", leads, "ohm", 0.0, resistance)
    return resistance - leads


def voltage_drop(source: float, load: float) -> float:
    """The share of the voltage that is lost on the way to the load.

    Args:
        source: voltage at the source, under load [V].
        load: voltage at the load at the same moment [V].
    Returns:
        100 x (source - load) / source [%].
    Range:
        Source above zero, load from zero to the source.
    Source:
        The definition of a voltage drop (practice).
    Example:
        >>> round(voltage_drop(25.0, 24.25), 6)
        3.0
    """
    require_range("voltage at the source", source, "V", 0.0, above=True)
    require_range("voltage at the load", load, "V", 0.0, source)
    return 100.0 * (source - load) / source


def drop_at_full_current(source: float, load: float, current: float, full: float) -> float:
    """The share of the voltage that is lost when the circuit carries what it was designed for.

    Args:
        source: voltage at the source, under load [V].
        load: voltage at the load at the same moment [V].
        current: what flowed then [A].
        full: what the circuit is designed for [A].
    Returns:
        The drop x full / current [%].
    Range:
        As `voltage_drop`; both currents above zero, and not far from each other: wires that get warm resist more.
    Source:
        Ohm's law: in the same wires the voltage lost grows with the current (from memory).
    Example:
        >>> round(drop_at_full_current(25.0, 24.25, 9.5, 10.0), 4)
        3.1579
    """
    require_range("current", current, "A", 0.0, above=True)
    require_range("design current", full, "A", 0.0, above=True)
    return voltage_drop(source, load) * full / current
