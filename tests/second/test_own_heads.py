"""Heads and words of their own, of the yard and of the surveyor: each side's columns.toml reads its own tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.reading import read_both
from buildbook.second.sheet import write_sheet
from tests.parcel.small_hull import edit
from tests.second.parties import small_hull, small_survey

YARD = '[heads]\n"Glanz" = "gloss [GU]"\n"Ort" = "place"\n["places.csv".words.painted]\n"ja" = "yes"\n'
HIS = '["coating/gloss.csv".heads]\n"Brillantezza" = "gloss"\n"Strumento" = "instrument"\n"Scala" = "angle"\n'


def foreign(tmp_path: Path) -> tuple[Path, Path]:
    """The two small folders, each in words of its own."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    edit(hull / "coating/gloss.csv", "gloss [GU]", "Glanz")
    edit(hull / "places.csv", "place,", "Ort,")
    edit(hull / "places.csv", ",yes", ",JA")
    (hull / "columns.toml").write_text(YARD, "utf-8")
    edit(survey / "coating/gloss.csv", "gloss [GU]", "Brillantezza [GU]")
    edit(survey / "coating/gloss.csv", "instrument", "Strumento")
    edit(survey / "coating/gloss.csv", "angle", "Scala")
    (survey / "columns.toml").write_text(HIS, "utf-8")
    return hull, survey


def test_both_sides_read_as_if_they_had_written_our_heads(tmp_path: Path) -> None:
    plain = compare(*read_both(small_hull(tmp_path / "a"), small_survey(tmp_path / "b"))).comparison
    own = compare(*read_both(*foreign(tmp_path))).comparison
    (one,), (other,) = plain.pairs, own.pairs
    assert (one.outcome, one.yard, one.surveyor) == (other.outcome, other.yard, other.surveyor)
    assert [fault for fault in own.faults if "columns.toml" in str(fault)] == []


@pytest.mark.parametrize("side", ["hull", "survey"])
def test_one_side_never_reads_the_other(tmp_path: Path, side: str) -> None:
    """Without its own columns.toml a side is not read by that of the other, and nothing agrees by it."""
    hull, survey = foreign(tmp_path)
    (tmp_path / side / "columns.toml").unlink()
    comparison = compare(*read_both(hull, survey)).comparison
    assert not [pair for pair in comparison.pairs if pair.outcome.name == "AGREE"]


def test_what_is_wrong_with_his_is_told_once_and_as_his(tmp_path: Path) -> None:
    hull, survey = foreign(tmp_path)
    (survey / "columns.toml").write_text(HIS + '"Nota" = "remark"\n', "utf-8")
    comparison = compare(*read_both(hull, survey)).comparison
    told = [str(fault) for fault in comparison.faults if "columns.toml" in str(fault)]
    assert len(told) == 1
    assert "columns.toml:5" in told[0]
    (survey / "columns.toml").write_text(HIS + '"Zona" = "zone"\n', "utf-8")
    comparison = compare(*read_both(hull, survey)).comparison
    assert [line for line in map(str, comparison.faults) if "columns.toml" in line and "'Zona' in none" in line]


def test_the_sheet_of_a_yard_with_its_own_heads_has_ours(tmp_path: Path) -> None:
    hull, _ = foreign(tmp_path)
    sheets = []
    for folder in (hull, small_hull(tmp_path / "plain")):
        write_sheet(folder, tmp_path / f"sheet of {folder.name}")
        sheets.append({path.name: path.read_bytes() for path in (tmp_path / f"sheet of {folder.name}").rglob("*.csv")})
    assert sheets[0] == sheets[1]
    assert b"gloss [GU]" in sheets[0]["gloss.csv"]
