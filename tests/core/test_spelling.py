"""The word that was probably meant; names of letters are those of the Unicode standard. Ids are invented."""

from __future__ import annotations

import pytest

from buildbook.core.spelling import did_you_mean, nearest_word, other_id

ZETA, VE, ZHE = "\N{GREEK CAPITAL LETTER ZETA}", "\N{CYRILLIC CAPITAL LETTER VE}", "\N{CYRILLIC CAPITAL LETTER ZHE}"


@pytest.mark.parametrize(
    ("word", "meant", "said"),
    [(f"{ZETA}1", "Z1", "Greek, not the Latin 'Z'"), (f"{VE}A-01", "BA-01", "Cyrillic, not the Latin 'B'")],
)
def test_a_letter_that_only_looks_like_a_latin_one_is_told(word: str, meant: str, said: str) -> None:
    told = other_id(word, ["Z1", "P1", "BA-01", "CA-01"])
    assert f"did you mean '{meant}'?" in told
    assert told.endswith(f"{said})")


def test_ids_in_another_alphabet_are_not_called_slips() -> None:
    assert "Greek" not in did_you_mean(f"{ZETA}3", [f"{ZETA}1", f"{ZETA}2"])
    assert "Cyrillic" not in did_you_mean(f"{ZHE}{VE}", ["Z1"])


def test_noughts_before_a_number_make_no_other_id() -> None:
    assert nearest_word("COA-4", ["COA-04", "COA-14", "COA-40"]) == "COA-04"
