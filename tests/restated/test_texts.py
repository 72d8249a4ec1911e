"""Figures in words. Worked out by hand from the definitions: inch 25.4 mm, °F = 9/5 °C + 32, 1 K = 1.8 °F."""

from __future__ import annotations

import re

import pytest

from buildbook.restated.texts import Telling


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("the shop at 18 to 25 °C", "the shop at 64.4 to 77 °F"),
        ("−10 to 60 °C", "14 to 140 °F"),
        ("the mould, steady within 2 °C", "the mould, steady within 3.6 °F"),
        ("halves for every 10 °C above", "halves for every 18 °F above"),
        ("625 °C, give or take 20 °C", "1157 °F, give or take 36 °F"),
        ("The 20 °C either way", "The 36 °F either way"),
        ("plus or minus 5 °C", "plus or minus 9 °F"),
        ("a drop of 10 °C; a rise of at most 10 °C", "a drop of 18 °F; a rise of at most 18 °F"),
        ("in steps of 5 °C, 5 °C warmer, per 5 °C", "in steps of 9 °F, 9 °F warmer, per 9 °F"),
        ("20 °C above the dew point, 20 °C apart", "36 °F above the dew point, 36 °F apart"),
        ("kept within 15 to 25 °C", "kept within 59 to 77 °F"),
        ("it drops to 10 °C, a rise to 20 °C", "it drops to 50 °F, a rise to 68 °F"),
        ("19.40 ± 0.40 °C", "66.92 ± 0.72 °F"),
        ("at least 3 K above the dew point", "at least 5.4 °F above the dew point"),
        ("0.85 K of the diameter", "0.85 K of the diameter"),
        ("25.4, 50.8 and 76.2 mm", "1, 2 and 3 in"),
        ("coupon C-25 mm", "coupon C-25 mm"),
        ("class 2, 127 mm long", "class 2, 5 in long"),
        ("“plate 16 mm”, 254 mm wide", "“plate 16 mm”, 10 in wide"),
        ("0.05 mm for each\nmetre", "0.6 mil for each foot"),
        ("Litres by the meter", "Gallons by the meter"),
        ("a few millimetres, two of a millimetre", "a few millimetres, two of a millimetre"),
        ("film from\nlitres 254 µm", "film from gallons 10 mil"),
        ("at least 254 micrometres", "at least 10 mil"),
        ("the 30480 mm of her", "the 1200 in of her"),
        ("U = 0.30 mg, 4.9 g, 50 mg/m²", "U = 0.30 mg, 4.9 g, 50 mg/m²"),
    ],
)
def test_figures_in_words(said: str, told: str) -> None:
    assert Telling()(said) == told


def test_neighbours_stay_apart() -> None:
    """Ten readings a step apart are ten different ones when told."""
    for unit, step in (("mm", 0.01), ("µm", 1.0), ("°C", 0.1), ("MPa", 0.1), ("kg", 1.0), ("L", 0.1), ("m", 0.01)):
        decimals = len(f"{step:g}".partition(".")[2])
        said = [Telling()(f"{7 * step + number * step:.{decimals}f} {unit}") for number in range(10)]
        assert len(set(said)) == 10, said


def test_what_was_received_stays_inside_our_sentence() -> None:
    tell = Telling(received=re.compile("[Hh]inge set in by 1.5 mm"))
    assert tell("After rework: 254 mm. Hinge set in by 1.5 mm.") == "After rework: 10 in. Hinge set in by 1.5 mm."


def test_a_value_that_was_looked_up_stands_in_words_as_in_the_table() -> None:
    """0.0315 in are told 0.80 mm; told twice rounded they would be 0.0315 too, so another figure is given here."""
    tell = Telling(exact={"0.80 ± 0.10 mm": "0.0314 ± 0.0039 in"})
    assert tell("mean 0.80 ± 0.10 mm") == "mean 0.0314 ± 0.0039 in"
