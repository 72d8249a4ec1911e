"""How far she reaches, from her outline and her main dimensions: what lies beyond cannot be a place on her."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.core.hull import Hull, encloses

# What stands out of an outline: platforms, fittings, fenders (chosen here, no source); masts and aerials above it.
MARGIN = 0.5  # m
MAST = 0.25  # of her length


@dataclass(frozen=True, slots=True)
class Reach:
    """From where to where something may lie along one axis [m]; None where nothing on record bounds it."""

    low: float | None
    high: float | None

    def holds(self, value: float) -> bool:
        """Whether a value lies inside."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def reach(hull: Hull) -> dict[str, Reach]:
    """How far places on her may lie, by axis: x from the transom, y from the centreline, z from the waterline [m].

    The wider of outline and dimensions counts, so that a coarse outline makes no place wrong.

    >>> reach(Hull(length_hull=19.0, beam=5.0))["x"].holds(42.0)
    False
    """
    profile = hull.outline if encloses(hull.outline) else ()
    plan = hull.plan_outline if encloses(hull.plan_outline) else ()
    length = hull.length_hull
    along = [x for x, _ in (*profile, *plan)] + ([0.0, length] if length is not None else [])
    across = [abs(y) for _, y in plan] + ([hull.beam / 2.0] if hull.beam is not None else [])
    heights = [z for _, z in profile]
    depths = heights + ([-hull.draught] if hull.draught is not None else [])
    longest = max(along) - min(along) if along else 0.0
    return {
        "x": Reach(min(along) - MARGIN, max(along) + MARGIN) if along else Reach(None, None),
        "y": Reach(-max(across) - MARGIN, max(across) + MARGIN) if across else Reach(None, None),
        "z": Reach(
            min(depths) - MARGIN if depths else None, max(heights) + MARGIN + MAST * longest if heights else None
        ),
    }


def beyond(hull: Hull, **position: float | None) -> dict[str, Reach]:
    """The coordinates of a position that lie outside her, each with how far she reaches.

    >>> sorted(beyond(Hull(length_hull=19.0, beam=5.0), x=42.0, y=-1.0, z=None))
    ['x']
    """
    reaches = reach(hull)
    return {
        name: reaches[name] for name, value in position.items() if value is not None and not reaches[name].holds(value)
    }
