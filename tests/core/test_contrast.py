"""Contrast by WCAG 2.2, against another library's luminance and against figures that are widely known."""

from __future__ import annotations

import random

import colour
import numpy as np
import pytest

from buildbook.core.contrast import contrast, luminance, mixed
from tests.render import contrast as other


def test_luminance_is_that_of_an_independent_library() -> None:
    """The Y of sRGB in colour-science, on every channel and on two hundred colours; its constants have more digits."""
    chosen = random.Random(7)
    colours = [f"#{chosen.randrange(1 << 24):06x}" for _ in range(200)]
    colours += [f"#{n:02x}0000" for n in range(256)] + [f"#00{n:02x}00" for n in range(256)]
    for one in colours:
        parts = np.array([int(one[at : at + 2], 16) for at in (1, 3, 5)]) / 255
        assert luminance(one) == pytest.approx(float(colour.sRGB_to_XYZ(parts)[1]), abs=2e-4)


@pytest.mark.parametrize(
    ("one", "ratio"),
    [("#000000", 21.0), ("#ffffff", 1.0), ("#777777", 4.48), ("#767676", 4.54), ("#0000ff", 8.59), ("#ff0000", 4.0)],
)
def test_contrast_with_white_is_what_checkers_print(one: str, ratio: float) -> None:
    """From memory, as the usual contrast checkers show them."""
    assert round(contrast(one, "#ffffff"), 2) == ratio
    assert contrast("#ffffff", one) == contrast(one, "#ffffff")


def test_both_thresholds_of_the_standard_give_one_result_in_eight_bits() -> None:
    """0.03928 before May 2021 (as the tests of the renderers have it), 0.04045 since: WCAG says it has no effect."""
    for value in range(256):
        assert luminance(f"#{value:02x}{value:02x}{value:02x}") == pytest.approx(
            other.luminance(f"#{value:02x}{value:02x}{value:02x}"), abs=1e-12
        )


def test_a_mixture_is_what_a_translucent_colour_looks_like() -> None:
    assert mixed("#ff0000", "#0000ff", 0.0) == "#0000ff"
    assert mixed("#ff0000", "#0000ff", 1.0) == "#ff0000"
    for share in (0.05, 0.22, 0.82):
        expected = other.blended("#14262b", "#fdfcf8", share)
        assert other.parts(mixed("#14262b", "#fdfcf8", share)) == pytest.approx(expected, abs=0.5)
