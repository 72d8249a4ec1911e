"""Where something is on her, in words."""

from __future__ import annotations

from buildbook.core.wording import as_number, fixed, plain_number


def position_text(
    x: float | None, y: float | None, z: float | None, *, unit: str = "m", per_metre: float = 1.0, decimals: int = 2
) -> str:
    """A position on her in words, as far as it is known; given in metres, told to the centimetre.

    `per_metre` of another `unit` are a metre; `decimals` is how finely that is told.

    >>> position_text(9.5, -2.4, 1.1)
    '9.5 m from the transom, 2.4 m to port, 1.1 m above the waterline'
    >>> position_text(-0.8, 0.0, None)
    '0.8 m behind the transom, on the centreline'
    """
    sides = (
        (x, "behind the transom", "at the transom", "from the transom"),
        (y, "to port", "on the centreline", "to starboard"),
        (z, "below the waterline", "at the waterline", "above the waterline"),
    )
    words = []
    for value, less, none, more in (side for side in sides if side[0] is not None):
        shown = as_number(fixed((value or 0.0) * per_metre, decimals))
        words.append(f"{plain_number(abs(shown))} {unit} {less if shown < 0 else more}" if shown else none)
    return ", ".join(words)
