"""Frequencies that shafts, blades and engines make at a speed."""

from __future__ import annotations

from buildbook.formulas import OutOfRange, require_range

MAINS = (50.0, 60.0)  # Hz


def turning_rate(speed: float) -> float:
    """How often a shaft turns in a second.

    Args:
        speed: of the shaft [r/min].
    Returns:
        Frequency of its first order [Hz].
    Range:
        Zero or more.
    Source:
        Sixty seconds a minute (common practice).
    Example:
        >>> round(turning_rate(2000.0 / 2.0), 3)
        16.667
    """
    require_range("speed", speed, "r/min", 0.0)
    return speed / 60.0


def blade_rate(speed: float, blades: int, multiple: int = 1) -> float:
    """How often a blade passes a point beside the propeller.

    Args:
        speed: of the shaft [r/min].
        blades: number of blades [1].
        multiple: 1 for blade rate itself, 2 for its second multiple [1].
    Returns:
        Frequency: multiple x blades x speed / 60 [Hz].
    Range:
        One blade and one multiple or more.
    Source:
        Order of a propeller is the number of its blades: class society guidance on ship vibration (read).
    Example:
        >>> round(blade_rate(1000.0, 4), 3), round(blade_rate(1000.0, 4, 2), 2)
        (66.667, 133.33)
    """
    if blades < 1 or multiple < 1:
        raise OutOfRange("number of blades or multiple", min(blades, multiple), "1 or more")
    return multiple * blades * turning_rate(speed)


def firing_rate(speed: float, cylinders: int, strokes: int) -> float:
    """How often an engine fires, its cylinders evenly spaced.

    Args:
        speed: of the crankshaft [r/min].
        cylinders: number of cylinders [1].
        strokes: 4 or 2 for each cycle [1].
    Returns:
        Frequency: 2 x cylinders x speed / (60 x strokes) [Hz].
    Range:
        One cylinder or more; 2 or 4 strokes.
    Source:
        A four-stroke engine fires each cylinder once in two turns (common practice).
    Example:
        >>> firing_rate(2000.0, 12, 4)
        200.0
    """
    if cylinders < 1 or strokes not in (2, 4):
        raise OutOfRange(
            "number of cylinders or strokes", min(cylinders, strokes), "1 or more cylinders, 2 or 4 strokes"
        )
    return cylinders * turning_rate(speed) * 2.0 / strokes


def beat(one: float, other: float, blades: int) -> float:
    """How often the sound of two propellers swells that turn at slightly different speeds.

    Args:
        one: speed of one shaft [r/min].
        other: speed of the other [r/min].
        blades: number of blades of each [1].
    Returns:
        Frequency of the beat of their blade rates: blades x difference of speeds / 60 [Hz].
    Range:
        Speeds of zero or more; one blade or more.
    Source:
        Difference of two frequencies (common practice).
    Example:
        >>> round(beat(1314.0, 1311.0, 5), 3)
        0.25
    """
    return abs(blade_rate(one, blades) - blade_rate(other, blades))


def order_rate(speed: float, order: float) -> float:
    """The frequency of an order of a turning shaft.

    Args:
        speed: of the shaft [r/min].
        order: how often in a turn; four-stroke engines have half orders, since a cycle takes two turns [1].
    Returns:
        Frequency: order x speed / 60 [Hz].
    Range:
        Speed and order of zero or more.
    Source:
        Orders and half orders: class society guidance on ship vibration (read).
    Example:
        >>> round(order_rate(2000.0, 0.5), 3)
        16.667
    """
    require_range("order", order, "1", 0.0)
    return order * turning_rate(speed)


def electrical_double(speed: float, within: float) -> float:
    """Twice the electrical frequency of a generator, at which its iron and what it feeds hum.

    The number of its poles is not asked for: it is the one that makes 50 Hz or 60 Hz of the speed.

    Args:
        speed: of the generator [r/min].
        within: how near to 50 Hz or 60 Hz it must come [%].
    Returns:
        Frequency: twice the whole multiple of speed / 60 that is nearest to 50 Hz or 60 Hz [Hz].
    Range:
        A speed at which some whole number of pairs of poles makes 50 Hz or 60 Hz.
    Source:
        Synchronous speed of an electrical machine (from memory).
    Example:
        >>> electrical_double(1500.0, 5.0), electrical_double(3600.0, 5.0)
        (100.0, 120.0)
    """
    require_range("speed", speed, "r/min", 0.0, above=True)
    rate = turning_rate(speed)
    made = [round(mains / rate) * rate for mains in MAINS]
    near = [(abs(one / mains - 1.0), one) for one, mains in zip(made, MAINS, strict=True)]
    off, found = min(near)
    if off > within / 100.0:
        raise OutOfRange("speed of a generator", speed, "one that makes 50 Hz or 60 Hz")
    return 2.0 * found
