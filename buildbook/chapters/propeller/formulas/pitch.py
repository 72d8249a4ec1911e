"""Pitch from angles and heights, and how far it may be off."""

from __future__ import annotations

import math

from buildbook.chapters.propeller.formulas.geometry import class_tolerance
from buildbook.formulas import require_range


def helix_pitch(rise: float, turn: float) -> float:
    """Pitch of a helix that rises so far while it turns so far: the advance of one whole turn.

    Each height and each angle is as unsure as its instrument, u_h and u_a, and enters twice: the parts of the
    uncertainty are sqrt(2) u_h x 360 / turn and sqrt(2) u_a x pitch / turn.

    Args:
        rise: difference of two heights along the bore axis [mm].
        turn: difference of the two angles about it [deg].
    Returns:
        Pitch: 360 x rise / turn [mm].
    Range:
        A turn above zero and up to 360 degrees.
    Source:
        Definition of pitch, public glossary of a propeller maker (read).
    Example:
        >>> helix_pitch(31.5, 18.0)
        630.0
    """
    require_range("turn", turn, "deg", 0.0, 360.0, above=True)
    return 360.0 * rise / turn


def pitch_angle(pitch: float, radius: float) -> float:
    """Angle between a section and the plane of the disc.

    Args:
        pitch: pitch of the section [mm].
        radius: its distance from the bore axis [mm].
    Returns:
        Angle [deg].
    Range:
        Pitch of zero or more; radius above zero.
    Source:
        P = 2 pi r tan(phi), public glossary of a propeller maker (read).
    Example:
        >>> round(pitch_angle(2.0 * math.pi * 100.0, 100.0), 3)
        45.0
    """
    require_range("pitch", pitch, "mm", 0.0)
    require_range("radius", radius, "mm", 0.0, above=True)
    return math.degrees(math.atan2(pitch, 2.0 * math.pi * radius))


def pitch_tolerance(share: float, least: float, pitch: float) -> float:
    """How far a pitch may be off: a share of the design pitch, but never less than so many millimetres.

    Args:
        share: of the design pitch [%].
        least: tolerance that is allowed in any case [mm]; 0 where the shares stand alone.
        pitch: design pitch [mm].
    Returns:
        Tolerance to either side: share / 100 x pitch, or the least one where that is more [mm].
    Range:
        Share and least tolerance of zero or more; pitch above zero.
    Source:
        ISO 484-2:1981, clause 7 (as two propeller makers restate it; the least tolerances from memory).
    Example:
        >>> pitch_tolerance(1.5, 10.0, 1000.0), pitch_tolerance(1.5, 10.0, 600.0)
        (15.0, 10.0)
    """
    require_range("pitch", pitch, "mm", 0.0, above=True)
    return class_tolerance(share, least, pitch)
