"""How much each frequency counts: for a person on a vibrating deck, and for the ear."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from buildbook.formulas import require_range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LOW, HIGH = 10.0**-0.1, 100.0  # ends of the band [Hz]
STEP = 1.0 / (0.028 * 2.0 * math.pi)  # where velocity takes over from acceleration [Hz]
VELOCITY = 0.028  # weighted velocity [m/s] per weighted acceleration [m/s2]: seconds
_EAR = (20.598997, 107.65265, 737.86223, 12194.217)  # Hz


def whole_body(frequency: Array) -> Array:
    """How much an acceleration of each frequency counts for a person: the weighting W_m.

    Args:
        frequency: frequencies [Hz], zero or more.
    Returns:
        Factors to multiply accelerations by: f^2 / sqrt(f^4 + f1^4) x f2^2 / sqrt(f^4 + f2^4) / sqrt(1 + (f / f3)^2),
        f1 = 10^-0.1 Hz, f2 = 100 Hz, f3 = 1 / (0.028 s x 2 pi) [1].
    Range:
        Frequencies of zero or more.
    Source:
        ISO 2631-2:2003 with the parameters of ISO 8041-1 (second-hand: manual of a meter that quotes the table).
    Example:
        >>> import numpy as np
        >>> [round(float(factor), 4) for factor in whole_body(np.array([1.0, 8.0, 100.0]))]
        [0.8329, 0.5792, 0.0401]
    """
    import numpy as np

    return np.asarray(band_limit(frequency) / np.sqrt(1.0 + (frequency / STEP) ** 2))


def whole_body_velocity(frequency: Array) -> Array:
    """The same for velocities: 0.028 times 2 pi f times the factor for acceleration.

    Args:
        frequency: frequencies [Hz], zero or more.
    Returns:
        Factors to multiply velocities by: 0.028 s x 2 pi f x W_m(f) [1].
    Range:
        Frequencies of zero or more.
    Source:
        ISO 2631-2:2003 (second-hand).
    Example:
        >>> import numpy as np
        >>> [round(float(factor), 5) for factor in whole_body_velocity(np.array([8.0, 16.0, 40.0]))]
        [0.81513, 0.94199, 0.97762]
    """
    import numpy as np

    return np.asarray(VELOCITY * 2.0 * math.pi * frequency * whole_body(frequency))


def band_limit(frequency: Array) -> Array:
    """The part of W_m that only limits the band to 0.8 Hz to 100 Hz.

    Args:
        frequency: frequencies [Hz], zero or more.
    Returns:
        Factors [1].
    Range:
        Frequencies of zero or more.
    Source:
        ISO 8041-1 (second-hand).
    Example:
        >>> import numpy as np
        >>> round(float(band_limit(np.array([100.0]))[0]), 4)
        0.7071
    """
    import numpy as np

    high_pass = frequency**2 / np.sqrt(frequency**4 + LOW**4)
    return np.asarray(high_pass * HIGH**2 / np.sqrt(frequency**4 + HIGH**4))


def ear(frequency: Array) -> Array:
    """How much a sound pressure of each frequency counts for the ear: the weighting A.

    No level of the book is worked out with it, since sound level meters show weighted levels. It stands here so that
    what "A-weighted" means can be set against the printed table.

    Args:
        frequency: frequencies [Hz], zero or more.
    Returns:
        Factors to multiply pressures by, 1 at 1000 Hz [1].
    Range:
        Frequencies of zero or more.
    Source:
        IEC 61672-1:2013, annex E (constants read in open libraries that cite it).
    Example:
        >>> import math, numpy as np
        >>> [round(20.0 * math.log10(factor), 1) for factor in ear(np.array([100.0, 1000.0, 8000.0]))]
        [-19.1, 0.0, -1.1]
    """
    import numpy as np

    def shape(f: Array) -> Array:
        one, two, three, four = _EAR
        below = (f**2 + one**2) * np.sqrt((f**2 + two**2) * (f**2 + three**2))
        return np.asarray(four**2 * f**4 / (below * (f**2 + four**2)))

    return np.asarray(shape(frequency) / shape(np.array([1000.0]))[0])


def third_octave(number: int) -> tuple[float, float, float]:
    """The middle and the two edges of a one-third-octave band.

    No level of the book is worked out with it. The printed tables of both weightings go by these bands, and are set
    against the formulas there.

    Args:
        number: of the band; 0 is the band of 1 Hz, 30 that of 1000 Hz [1].
    Returns:
        Midband frequency, lower edge, upper edge [Hz].
    Range:
        -30 to 60.
    Source:
        IEC 61260-1:2014, bands of base ten (from memory).
    Example:
        >>> [round(edge, 4) for edge in third_octave(19)]
        [79.4328, 70.7946, 89.1251]
    """
    require_range("number of the band", number, "1", -30, 60)
    middle = 10.0 ** (number / 10.0)
    return middle, middle * 10.0**-0.05, middle * 10.0**0.05
