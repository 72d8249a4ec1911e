"""How much a head looks like a column: order of words, words in short, slips of spelling, other languages."""

from __future__ import annotations

import pytest

from buildbook.readers.alike_heads import likeness


@pytest.mark.parametrize(
    ("theirs", "name", "language"),
    [
        ("Resin mass [kg]", "resin_mass", ""),
        ("mass of the resin", "resin_mass", ""),
        ("temp.", "temperature", ""),
        ("Hum. (%)", "humidity", ""),
        ("Harzgewicht", "resin_mass", "German"),
        ("peso resina", "resin_mass", "Italian"),
        ("poids de résine", "resin_mass", "French"),
        ("harsgewicht", "resin_mass", "Dutch"),
        ("espesor", "thickness", "Spanish"),
        ("Datum", "at", "German"),
        ("Strumento superficie", "surface_instrument", "Italian"),
    ],
)
def test_the_same_in_other_words_is_wholly_alike(theirs, name, language):
    found = likeness(theirs, name)
    assert found.degree == 1.0
    assert found.language == language


@pytest.mark.parametrize(
    ("theirs", "name"), [("Note", "by"), ("Farbe", "resin_mass"), ("in", "instrument"), ("", "at")]
)
def test_what_is_not_alike_is_far(theirs, name):
    assert likeness(theirs, name).degree < 0.5


def test_half_of_the_words_are_less_than_all():
    assert 0.0 < likeness("Harz", "resin_mass").degree < likeness("Harzmasse", "resin_mass").degree
