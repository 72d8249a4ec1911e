"""Files under changed names: which table each was probably meant for, and how that is told. All data are synthetic."""

import pytest

from buildbook.core.fault import Severity
from buildbook.readers.left_over import Meant, table_meant
from tests.readers.synthetic import OnDeck, Spot, gathered

TABLES = ("coating/film_thickness.csv", "coating/gloss.csv", "hardness.csv", "places.csv", "sound/places.csv")
SPOTS = "spot,height [m]\nS1,1.2\n"


@pytest.mark.parametrize(
    ("name", "table", "surely"),
    [
        ("coating/gloss_2026.csv", "coating/gloss.csv", True),
        ("gloss (1).csv", "coating/gloss.csv", True),
        ("coating/gloss.ods", "coating/gloss.csv", True),
        ("coating/Gloss.CSV", "coating/gloss.csv", True),
        ("hardnes.csv", "hardness.csv", True),
        ("coating/FilmThickness.csv", "coating/film_thickness.csv", True),
        ("coating/film thickness, topsides.csv", "coating/film_thickness.csv", False),
        ("coating/gloss_final.csv", "coating/gloss.csv", False),
        ("sond/places.csv", "sound/places.csv", True),
        ("sound/places_new.csv", "sound/places.csv", False),
        ("Places.csv", "places.csv", True),
    ],
)
def test_a_table_under_a_changed_name_is_known(name, table, surely):
    assert table_meant(name, TABLES) == Meant(table, surely)


@pytest.mark.parametrize(
    "name", ["notes of the foreman.txt", "hull.toml", "gloss.png", "documents/gloss.pdf", "2026.csv", ".csv", "a.wav"]
)
def test_a_file_that_is_no_table_is_taken_for_none(name):
    assert table_meant(name, TABLES) is None


@pytest.mark.parametrize("name", ["spots (1).csv", "spot.csv", "old/spots.csv"])
def test_a_copy_beside_the_table_is_asked_about(tmp_path, name):
    (told,) = gathered(tmp_path, {"spots.csv": SPOTS, name: SPOTS}, (Spot,)).faults
    assert (told.where.file, told.severity) == (name, Severity.NOTICE)
    assert told.effect == "It is not read. Is this spots.csv? That is in the folder, too."


def test_a_changed_name_of_a_table_that_is_missing_is_a_fault_and_said_of_the_table(tmp_path):
    found = gathered(tmp_path, {"spots_2026.csv": SPOTS}, (Spot,))
    (told,) = found.faults
    assert (told.where.file, told.severity) == ("spots_2026.csv", Severity.FAULT)
    assert "name it spots.csv" in told.effect
    assert found.evidence.missing[Spot] == "is not in the folder (there is 'spots_2026.csv')"


@pytest.mark.parametrize("name", ["spots.xls", "spots_2026.ods"])
def test_a_workbook_of_another_program_is_told_to_be_saved_so_that_it_is_read(tmp_path, name):
    (told,) = gathered(tmp_path, {name: SPOTS}, (Spot,)).faults
    words = "It is not read; save it as spots.xlsx, or the sheet as CSV under the name spots.csv, "
    assert told.effect.startswith(words)


def test_a_name_that_only_holds_that_of_a_missing_table_is_asked_about(tmp_path):
    found = gathered(tmp_path, {"spots of rust.csv": SPOTS}, (Spot,))
    (told,) = found.faults
    assert (told.severity, told.effect) == (Severity.NOTICE, "It is not read. Is this spots.csv?")
    assert found.evidence.missing[Spot] == "is not in the folder"


@pytest.mark.parametrize("name", ["deck.xls", "Deck (2).ods", "deck/all.xls"])
def test_a_workbook_of_another_program_with_the_name_of_a_folder_stands_for_its_missing_tables(tmp_path, name):
    found = gathered(tmp_path, {name: "x"}, (OnDeck,))
    (told,) = found.faults
    assert (told.where.file, told.severity) == (name, Severity.FAULT)
    assert f"save it as {name.rpartition('.')[0]}.xlsx" in told.effect
    assert "deck/spots.csv" in told.effect
    assert found.evidence.missing[OnDeck] == f"is not in the folder (there is '{name}')"


def test_a_workbook_of_another_program_beside_its_tables_or_elsewhere_is_a_notice(tmp_path):
    told = gathered(tmp_path, {"deck.xls": "x", "prices.ods": "x", "deck/spots.csv": SPOTS}, (OnDeck,)).faults
    assert [(fault.where.file, fault.severity) for fault in told] == [
        ("deck.xls", Severity.NOTICE),
        ("prices.ods", Severity.NOTICE),
    ]
    assert "save it as prices.xlsx" in told[1].effect


def test_what_a_program_lays_beside_an_open_workbook_is_no_file_of_the_folder(tmp_path):
    assert (
        gathered(tmp_path, {"deck/spots.csv": SPOTS, "~$deck.xlsx": "x", "deck/~$spots.xlsx": "x"}, (OnDeck,)).faults
        == ()
    )
