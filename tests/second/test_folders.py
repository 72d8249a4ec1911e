"""Two folders on disk: what is refused, what is told, what keeps them apart, and how the result is put in place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.render.place import COMPARISON as MARKER
from buildbook.render.place import Refused
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Outcome
from buildbook.second.reading import FolderUnreadable, NotTheSameHull, read_both
from buildbook.second.write import contents, write_comparison
from tests.second.parties import GLOSS_HEADS, NUMBER, gloss_rows, instrument, lines, small_hull, small_survey, write

OTHER = "XX-EXY00008H526"


def compared(tmp_path: Path, **survey: object) -> Compared:
    hull, his = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey", **survey)  # type: ignore[arg-type]
    return compare(*read_both(hull, his))


def test_the_limits_are_the_yards_and_the_readings_his(tmp_path: Path) -> None:
    (pair,) = compared(tmp_path).comparison.pairs
    assert (pair.subject.quantity, pair.subject.place_words, pair.outcome) == (
        "gloss at 60°",
        "Topsides",
        Outcome.AGREE,
    )
    assert pair.limit is not None
    assert pair.limit.words == "at least 85 GU"
    assert pair.yard.value == pytest.approx(88.4667, abs=1e-4)
    assert pair.surveyor.value == pytest.approx(87.9)
    assert (pair.days_between, pair.days_since_delivery) == (89, 32)


@pytest.mark.parametrize("number", [OTHER, ""])
def test_a_survey_of_another_hull_or_of_none_is_refused_in_words(tmp_path: Path, number: str) -> None:
    with pytest.raises(NotTheSameHull, match="Nothing was compared"):
        compared(tmp_path, number=number)


def test_blanks_and_hyphens_do_not_make_another_hull(tmp_path: Path) -> None:
    assert len(compared(tmp_path, number=NUMBER.replace("-", " ").lower()).comparison.pairs) == 1


def test_the_command_names_both_hulls_and_writes_nothing(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey", number=OTHER)
    done = CliRunner().invoke(app, ["compare", str(hull), str(survey), "-o", str(tmp_path / "out")])
    assert done.exit_code == 2
    assert OTHER in done.output
    assert NUMBER in done.output
    assert not (tmp_path / "out").exists()


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    for first, second in ((tmp_path / "no", hull), (hull, tmp_path / "no")):
        with pytest.raises(FolderUnreadable, match=re.escape(str(tmp_path / "no"))):
            read_both(first, second)


def test_a_broken_hull_toml_of_the_survey_is_named_as_his(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    (survey / "hull.toml").write_text("[hull\n", encoding="utf-8")
    with pytest.raises(FolderUnreadable, match=re.escape(f"{survey}/hull.toml")):
        read_both(hull, survey)


def test_empty_tables_give_an_empty_comparison(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    write(survey, {"coating/gloss.csv": GLOSS_HEADS + "\n", "instruments.csv": ""})
    comparison = compare(*read_both(hull, survey)).comparison
    assert (comparison.pairs, comparison.surveyor_only) == ((), ())
    assert [line.subject.quantity for line in comparison.yard_only] == ["gloss at 60°"]
    assert "No dates" in comparison.time
    files, _ = contents(Compared(comparison, {}), pdf=False)
    assert b"The survey has no table" in files["comparison.html"] or b"0 of 0 rows" in files["comparison.html"]


def test_a_survey_without_tables_lends_nothing_of_the_yards_readings(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    (survey / "coating" / "gloss.csv").unlink()
    comparison = compare(*read_both(hull, survey)).comparison
    assert (comparison.pairs, comparison.surveyor_only, comparison.filled) == ((), (), ())


@pytest.mark.parametrize(
    ("values", "verdict"),
    [((87.5, 88.0, 88.2), "inconclusive"), ((61.0, 61.2, 61.1), "fail")],
    ids=["alike", "far below the limit"],
)
def test_a_row_that_cannot_be_read_is_named_and_holds_the_pair(
    tmp_path: Path, values: tuple[float, ...], verdict: str
) -> None:
    """Of a series that is not whole nobody can say what it would have shown: slips of the pen are no miss."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    rows = [*gloss_rows(values, "2026-07-07", "SV-1"), "Z1,1,4,60,bright,2026-07-07 11:00,SV-1"]
    write(survey, {"coating/gloss.csv": lines(GLOSS_HEADS, *rows)})
    comparison = compare(*read_both(hull, survey)).comparison
    assert any("coating/gloss.csv:5" in words and "bright" in words for words in comparison.faults)
    (pair,) = comparison.pairs
    assert (pair.surveyor.verdict.value, pair.surveyor.shows) == (verdict, None)
    assert (pair.outcome, pair.en) == (Outcome.NOT_COMPARABLE, None)
    assert any("coating/gloss.csv:5" in why and why.endswith("(surveyor)") for why in pair.why)
    assert [(count.number, count.of) for count in comparison.filled if count.words == "Gloss"] == [(4, 4)]


def test_no_uncertainty_of_his_instrument(tmp_path: Path) -> None:
    (pair,) = compared(tmp_path, meter=instrument("SV-1", "G-4410", "", "")).comparison.pairs
    assert (pair.outcome, pair.why) == (Outcome.NO_UNCERTAINTY, ("by the surveyor",))


@pytest.mark.parametrize(
    ("meter", "flagged"),
    [
        (instrument("GL-01", "77-2019"), True),
        (instrument("SV-1", "SN 77 2019"), True),  # its serial number in another spelling
        (instrument("SV-1", "77-2019"), True),  # the same instrument under his own name
        (instrument("GL-01", "99-0001"), False),  # the same name for another one
        (instrument("GL-01", ""), True),  # nothing tells them apart
        (instrument("SV-1", "G-4410"), False),
    ],
)
def test_the_same_instrument_is_flagged(tmp_path: Path, meter: str, flagged: bool) -> None:
    (pair,) = compared(tmp_path, meter=meter).comparison.pairs
    assert bool(pair.same_instruments) is flagged
    assert all("correlated" in words for words in pair.same_instruments)


def test_a_place_described_otherwise_is_not_comparable(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    write(survey, {"places.csv": (hull / "places.csv").read_text().replace("9.5,-2.45", "3.5,-2.45")})
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    assert pair.outcome is Outcome.NOT_COMPARABLE
    assert pair.why == ("Z1 is described otherwise in the two folders",)


@pytest.mark.parametrize(
    ("x", "same"),
    [("9.500000000001", True), ("9.503", True), ("9.505", True), ("9.495", True), ("9.506", False), ("9.4", False)],
)
def test_a_position_with_other_digits_is_the_same_place_within_five_millimetres(
    tmp_path: Path, x: str, same: bool
) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    write(survey, {"places.csv": (hull / "places.csv").read_text().replace("9.5,-2.45", f"{x},-2.45")})
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    assert (pair.outcome is Outcome.AGREE) is same


def test_the_folder_is_replaced_only_where_it_is_a_comparison(tmp_path: Path) -> None:
    hull, survey, out = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey"), tmp_path / "out"
    first = write_comparison(hull, survey, out)
    before = {name: (out / name).read_bytes() for name in first.files}
    assert MARKER in first.files
    write_comparison(hull, survey, out)
    assert {name: (out / name).read_bytes() for name in first.files} == before
    (out / "notes.txt").write_text("mine")
    with pytest.raises(Refused, match=re.escape("notes.txt")):
        write_comparison(hull, survey, out)
    assert (out / "notes.txt").read_text() == "mine"


def test_neither_a_book_nor_the_folders_that_are_read_are_written_over(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    book = write(tmp_path / "book", {".buildbook": "This folder was written by buildbook.\n", "index.html": "a book"})
    for out in (book, survey, hull, survey / "inside"):
        with pytest.raises(Refused):
            write_comparison(hull, survey, out)
    assert (book / "index.html").read_text() == "a book"


def test_a_formula_in_a_cell_is_not_run_by_a_spreadsheet(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    write(hull, {"places.csv": (hull / "places.csv").read_text().replace("Topsides", "=1+1")})
    made = compare(*read_both(hull, small_survey(tmp_path / "survey")))
    files, _ = contents(made, pdf=False)
    assert b",'=1+1," in files["comparison.csv"]
    assert b",=1+1," not in files["comparison.csv"]
