"""Does it shine, and is it the colour ordered? Gloss, haze and the CIEDE2000 colour difference."""

from __future__ import annotations

import math
from dataclasses import dataclass

from buildbook.formulas import require_range

Lab = tuple[float, float, float]

_25_TO_7 = 25.0**7
_HALF_TURN = 180.0 + 1e-9  # opposite hues count as opposite, whatever the last bit of the arc tangent


@dataclass(frozen=True, slots=True)
class ColourDifference:
    """A CIEDE2000 difference and the numbers on the way to it, named as in the standard; angles in degrees.

    `delta_e` is the difference [1]. `d_lightness`, `d_chroma`, `d_hue` are second less first [1]; `h1`,
    `h2`, `mean_hue` hue angles [deg]; `g` the chroma correction, `t` the hue weighting, `s_l`, `s_c`, `s_h`
    the weightings and `r_t` the rotation term [all 1].
    """

    delta_e: float
    d_lightness: float
    d_chroma: float
    d_hue: float
    h1: float
    h2: float
    mean_hue: float
    g: float
    t: float
    s_l: float
    s_c: float
    s_h: float
    r_t: float


def fresnel_reflectance(refractive_index: float, angle: float) -> float:
    """Share of unpolarised light that a smooth, clear surface in air mirrors.

    Args:
        refractive_index: refractive index of the surface [1].
        angle: angle of incidence, from the upright on the surface [deg].
    Returns:
        Reflectance from 0 to 1 [1].
    Range:
        Refractive index above 1 and up to 3; angle 0 to 90 deg.
    Source:
        Fresnel equations (from memory).
    Example:
        >>> round(fresnel_reflectance(1.567, 60.0), 4)
        0.1001
    """
    require_range("refractive index", refractive_index, "", 1.0, 3.0, above=True)
    require_range("angle", angle, "deg", 0.0, 90.0)
    cosine = math.cos(math.radians(angle))
    inside = math.sqrt(refractive_index**2 - math.sin(math.radians(angle)) ** 2)
    across = (cosine - inside) / (cosine + inside)
    along = (refractive_index**2 * cosine - inside) / (refractive_index**2 * cosine + inside)
    return 0.5 * (across**2 + along**2)


def ideal_gloss(refractive_index: float, angle: float, reference_index: float) -> float:
    """Gloss of a perfectly smooth film; a gauge cannot honestly read much more on that material.

    Args:
        refractive_index: refractive index of the film [1].
        angle: angle of the gauge, 20, 60 or 85 [deg].
        reference_index: refractive index of the reference glass, 1.567 in ISO 2813 [1].
    Returns:
        Gloss [GU].
    Range:
        As for the reflectance.
    Source:
        ISO 2813, reference of polished black glass, 100 GU at each angle (read in an extract); Fresnel
        equations (from memory).
    Example:
        >>> round(ideal_gloss(1.50, 60.0, 1.567), 1)
        89.1
    """
    return 100.0 * fresnel_reflectance(refractive_index, angle) / fresnel_reflectance(reference_index, angle)


def haze_index(gloss_60: float, gloss_20: float) -> float:
    """Haze index: gloss at 60 degrees less gloss at 20 degrees.

    Args:
        gloss_60: gloss at 60 degrees [GU].
        gloss_20: gloss at 20 degrees, same place [GU].
    Returns:
        Haze index [GU].
    Range:
        Both 0 to 200 GU (practice).
    Source:
        ASTM D4039, made from these two readings (read); the difference itself (from memory).
    Example:
        >>> haze_index(91.0, 82.5)
        8.5
    """
    require_range("gloss at 60 degrees", gloss_60, "GU", 0.0, 200.0)
    require_range("gloss at 20 degrees", gloss_20, "GU", 0.0, 200.0)
    return gloss_60 - gloss_20


def ciede2000(first: Lab, second: Lab) -> ColourDifference:
    """CIEDE2000 colour difference with all parametric factors 1, and the numbers on the way.

    Made for small differences between surfaces seen side by side, same illuminant, observer and geometry.

    Args:
        first: L*, a*, b* of the reference [CIELAB].
        second: L*, a*, b* of the sample [CIELAB].
    Returns:
        Difference and intermediates [1 and deg].
    Range:
        L* 0 to 100; a* and b* -160 to 160.
    Source:
        ISO/CIE 11664-6 (formula from memory, checked against the 34 pairs of Sharma, Wu and Dalal, Color
        Research and Application 30, 2005, table 1).
    Example:
        >>> round(ciede2000((50.0, 2.5, 0.0), (73.0, 25.0, -18.0)).delta_e, 4)
        27.1492
    """
    for l_star, a_star, b_star in (first, second):
        require_range("L*", l_star, "", 0.0, 100.0)
        require_range("a*", a_star, "", -160.0, 160.0)
        require_range("b*", b_star, "", -160.0, 160.0)
    g = 0.5 * (1.0 - _weight_7((math.hypot(*first[1:]) + math.hypot(*second[1:])) / 2.0))
    c1, h1 = _chroma_hue((1.0 + g) * first[1], first[2])
    c2, h2 = _chroma_hue((1.0 + g) * second[1], second[2])
    grey = c1 * c2 == 0.0
    d_hue = 2.0 * math.sqrt(c1 * c2) * math.sin(math.radians(_hue_step(h1, h2, grey=grey) / 2.0))
    mean_hue, mean_chroma = _mean_hue(h1, h2, grey=grey), (c1 + c2) / 2.0
    from_middle = ((first[0] + second[0]) / 2.0 - 50.0) ** 2
    t = _hue_weighting(mean_hue)
    s_l = 1.0 + 0.015 * from_middle / math.sqrt(20.0 + from_middle)
    s_c, s_h = 1.0 + 0.045 * mean_chroma, 1.0 + 0.015 * mean_chroma * t
    turn = 30.0 * math.exp(-(((mean_hue - 275.0) / 25.0) ** 2))
    r_t = -math.sin(math.radians(2.0 * turn)) * 2.0 * _weight_7(mean_chroma)
    light, chroma, hue = (second[0] - first[0]) / s_l, (c2 - c1) / s_c, d_hue / s_h
    square = light**2 + chroma**2 + hue**2 + r_t * chroma * hue
    return ColourDifference(
        delta_e=math.sqrt(max(square, 0.0)), d_lightness=second[0] - first[0], d_chroma=c2 - c1, d_hue=d_hue,
        h1=h1, h2=h2, mean_hue=mean_hue, g=g, t=t, s_l=s_l, s_c=s_c, s_h=s_h, r_t=r_t,
    )  # fmt: skip


def _weight_7(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + _25_TO_7))


def _chroma_hue(a: float, b: float) -> tuple[float, float]:
    hue = math.degrees(math.atan2(b, a)) % 360.0 if a or b else 0.0
    return math.hypot(a, b), hue


def _hue_step(h1: float, h2: float, *, grey: bool) -> float:
    """Hue difference on the shorter way round [deg]; none where one colour is grey."""
    if grey:
        return 0.0
    step = h2 - h1
    if step > _HALF_TURN:
        return step - 360.0
    return step + 360.0 if step < -_HALF_TURN else step


def _mean_hue(h1: float, h2: float, *, grey: bool) -> float:
    if grey:
        return h1 + h2
    if abs(h1 - h2) <= _HALF_TURN:
        return (h1 + h2) / 2.0
    return (h1 + h2 + 360.0) / 2.0 if h1 + h2 < 360.0 else (h1 + h2 - 360.0) / 2.0


def _hue_weighting(hue: float) -> float:
    def wave(times: float, shift: float) -> float:
        return math.cos(math.radians(times * hue + shift))

    return 1.0 - 0.17 * wave(1, -30) + 0.24 * wave(2, 0) + 0.32 * wave(3, 6) - 0.20 * wave(4, -63)
