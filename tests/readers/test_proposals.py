"""What a strange head or word may stand for: text, of which nothing is applied. The tables are synthetic."""

from __future__ import annotations

import tomllib

import pytest

from buildbook.readers.columns_file import columns_from
from buildbook.readers.own_columns import in_our_names
from buildbook.readers.proposals import Proposal, block, proposals
from buildbook.readers.table import read_table
from tests.readers.synthetic import Log

HEADS = ["spot", "attempt", "number", "at", "film [um]"]
ROW = ["S1", "1", "1", "2026-03-18 08:00", "182"]


def of(heads: list[str], *rows: list[str], columns: str = "") -> tuple[Proposal, ...]:
    text = "\n".join(";".join(cells) for cells in (heads, *rows)) + "\n"
    own = columns_from(columns.encode("utf-8"), (Log,)).of(Log)
    return proposals(Log, in_our_names(read_table(text.encode("utf-8"), "logs/readings.csv"), own, Log))


def test_a_table_in_our_words_gets_none():
    assert of(HEADS, ROW) == ()


@pytest.mark.parametrize(
    ("column", "theirs", "ours", "why"),
    [
        ("attempt", "Versuch", "attempt", "(German)"),
        ("attempt", "Tentativo", "attempt", "(Italian)"),
        ("number", "N° / Nummer", "number", "looks like"),
        ("number", "no. of number", "number", "looks like 'number'"),
        ("film [um]", "Film (µm)", "film [um]", "looks like 'film [um]'"),
        ("film [um]", "Schichtdicke [µm]", "film", "(German)"),
        ("film [um]", "XYZ [mil]", "film", "the only column missing that it can be, 'film [um]'"),
        ("at", "Date", "at", "(English)"),
        ("at", "date et heure", "at", "(French)"),
    ],
)
def test_a_head_that_looks_like_one_missing_column_is_proposed_for_it(column, theirs, ours, why):
    heads = [theirs if name == column else name for name in HEADS]
    (found,) = of(heads, ROW)
    assert (found.theirs, found.ours, found.line) == (theirs, ours, 1)
    assert why in found.why


@pytest.mark.parametrize(
    ("more", "cell"),
    [
        ("Bemerkung", "x"),  # no column of this table
        ("Luft [kg]", "12"),  # another kind of quantity
        ("Luft [degC]", "warm"),  # no numbers
        ("Tag [m]", "12"),
        ("wetness", "12.5"),  # a number is no yes or no
    ],
)
def test_what_cannot_be_a_column_is_not_proposed(more, cell):
    assert of([*HEADS, more], [*ROW, cell]) == ()


def test_of_two_that_would_do_neither_is_proposed():
    """Both words are day: two heads for `day`, or one head for `day` and `until`."""
    assert of([*HEADS, "Tag", "Datum"], [*ROW, "2026-03-18", "2026-03-18"]) == ()
    assert of([*HEADS, "qq [degC]", "rr [degC]"], [*ROW, "1", "2"]) == ()


def test_a_column_that_is_there_is_proposed_to_nobody():
    assert of([*HEADS, "Versuch"], [*ROW, "1"]) == ()


def test_a_head_that_is_mapped_already_is_not_proposed_and_its_words_are():
    columns = '[heads]\n"nass" = "wet"\n[words]\n"si" = "yes"\n'
    found = of([*HEADS, "nass"], [*ROW, "si"], [*ROW, "ja"], [*ROW, "vielleicht"], columns=columns)
    assert [(one.theirs, one.ours, one.column, one.line) for one in found] == [
        ("ja", "yes", "wet", 3),
        ("vielleicht", "", "wet", 4),
    ]
    assert found[0].why == "German for 'yes'" or "Dutch" in found[0].why
    assert found[1].why == "which of: yes, no?"


def test_words_of_a_column_that_is_proposed_are_proposed_with_it():
    found = of([*HEADS, "Art"], [*ROW, "topcoat."], [*ROW, "first  Coat"], [*ROW, "firstcoat"])
    assert [(one.theirs, one.ours) for one in found] == [
        ("Art", "kind"),
        ("topcoat.", "top-coat"),
        ("firstcoat", "first coat"),
    ]


def test_the_block_is_toml_as_it_stands():
    found = (
        Proposal("a/b.csv", 1, 'Dicke "nass" \\ [µm]', "film", "looks like 'film [um]'"),
        Proposal("a/b.csv", 4, "i.O.", "yes", "", "wet"),
        Proposal("a/b.csv", 5, "?", "", "which of: yes, no?", "wet"),
        Proposal("c.csv", 1, "Ort", "spot", ""),
    )
    assert tomllib.loads("\n".join(block(found))) == {
        "a/b.csv": {"heads": {'Dicke "nass" \\ [µm]': "film"}, "words": {"wet": {"i.O.": "yes"}}},
        "c.csv": {"heads": {"Ort": "spot"}},
    }
    assert block(()) == ()
    lines = block(found, ("c.csv.heads",))
    assert '# below ["c.csv".heads], which is there already:' in lines
    assert '["c.csv".heads]' not in lines


def test_a_word_that_is_mapped_already_gets_none_in_either_spelling_of_its_accents():
    """Unicode writes u with two dots as one sign or as two: programs differ in which."""
    columns = '["logs/readings.csv".words.kind]\n"\u00dcberzug" = "top-coat"\n'
    assert of([*HEADS, "kind"], [*ROW, "U\u0308berzug"], columns=columns) == ()
    assert [one.theirs for one in of([*HEADS, "kind"], [*ROW, "U\u0308berzug"])] == ["U\u0308berzug"]
