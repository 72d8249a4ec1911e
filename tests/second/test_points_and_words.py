"""Points of a grid that both read, words that only the surveyor has, and the cell that a mistake is told at."""

from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path
from unittest.mock import patch

import pytest

from buildbook.core.finding import Verdict
from buildbook.second import reading
from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.reading import read_both
from tests.demonstration import HULL, demonstration
from tests.second.parties import SURVEY_TOML, write

DEMO = Path(__file__).parents[2] / "demo_build"
NUMBER = "XX-EXY00007H526"
GRID = "laminate/thickness.csv"
THICKNESS = "mean thickness of the near skin"
LIMIT = """
[[limits]]
check = "LAM-12"
quantity = "mean thickness of the near skin"
place = "L3"
low = 1.70
unit = "mm"
set_by = "builder"
document = "SPEC-05"
revision = "C"
"""


def read(name: str, folder: Path) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def table(rows: list[dict[str, str]]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def sides(tmp_path: Path, his: list[dict[str, str]], limit: str = "") -> Comparison:
    """The yard's zone L3 of eight points, and what the surveyor read of it."""
    hull, survey = tmp_path / "hull", tmp_path / "survey"
    toml = (
        f'as_of = 2026-06-15\n\n[hull]\nname = "Small"\nnumber = "{NUMBER}"\n\n[dates]\nlaunched = 2026-05-12\n{limit}'
    )
    ours = [row for row in read(GRID, DEMO / "hull") if row["zone"] == "L3"]
    files = {"hull.toml": toml, GRID: table(ours)}
    files |= {name: (DEMO / "hull" / name).read_text(encoding="utf-8") for name in ("places.csv", "instruments.csv")}
    write(hull, files)
    instruments = (DEMO / "survey" / "instruments.csv").read_text(encoding="utf-8")
    write(survey, {"hull.toml": SURVEY_TOML.format(number=NUMBER), "instruments.csv": instruments, GRID: table(his)})
    return compare(*read_both(hull, survey)).comparison


def his_points(*grid: str) -> list[dict[str, str]]:
    return [row for row in read(GRID, DEMO / "survey") if row["zone"] == "L3" and row["grid"] in grid]


def at_points(comparison: Comparison) -> dict[str, Pair]:
    of = (it for it in comparison.pairs if it.subject.quantity == THICKNESS and it.subject.condition)
    return {it.subject.condition: it for it in of}


def whole(comparison: Comparison) -> Pair:
    (found,) = (it for it in comparison.pairs if it.subject.quantity == THICKNESS and not it.subject.condition)
    return found


def test_five_points_of_eight_are_compared_one_by_one_and_the_others_named(tmp_path: Path) -> None:
    comparison = sides(tmp_path, his_points("A1", "A2", "A3", "B1", "B3"))
    mean = whole(comparison)
    assert (mean.outcome, mean.why) == (
        Outcome.NOT_COMPARABLE,
        ("positions: 8 places (yard), 5 places (surveyor), 5 of them the same",),
    )
    assert "5 of 8 points are compared one by one: A1, A2, A3, B1 and B3. Not read by the surveyor: A4, B2 and B4." in (
        mean.notes
    )
    found = at_points(comparison)
    assert list(found) == ["A1", "A2", "A3", "B1", "B3"]
    ours = {row["grid"]: float(row["thickness [mm]"]) for row in read(GRID, DEMO / "hull") if row["zone"] == "L3"}
    theirs = {row["grid"]: float(row["thickness [mm]"]) for row in read(GRID, DEMO / "survey") if row["zone"] == "L3"}
    for name, pair in found.items():
        assert (pair.yard.value, pair.surveyor.value) == (ours[name], theirs[name])
        assert pair.outcome is Outcome.AGREE
        # U of one reading is that of its gauge: certificates 0.12 and 0.15 mm at k = 2, steps of 0.01 mm (GUM F.2.2.1)
        assert pair.yard.expanded_at_95 == pytest.approx(2 * (0.06**2 + 0.01**2 / 12) ** 0.5)
        assert pair.surveyor.expanded_at_95 == pytest.approx(2 * (0.075**2 + 0.01**2 / 12) ** 0.5)


def test_a_point_apart_is_found_though_the_means_are_not_comparable(tmp_path: Path) -> None:
    his = his_points("A1", "A2", "A3")
    his[1] = {**his[1], "thickness [mm]": "1.20"}
    found = at_points(sides(tmp_path, his))
    assert {name: it.outcome for name, it in found.items()} == {
        "A1": Outcome.AGREE,
        "A2": Outcome.DO_NOT_AGREE,
        "A3": Outcome.AGREE,
    }


def test_a_point_that_the_yard_did_not_read_is_named_too(tmp_path: Path) -> None:
    his = his_points("A1", "A2")
    his.append({**his[0], "number": "9", "grid": "C9", "x [m]": "8.4"})
    told = whole(sides(tmp_path, his)).notes
    assert any(words.endswith("Not read by the yard: C9.") for words in told)


def test_all_points_are_a_mean_and_no_point_in_common_is_none(tmp_path: Path) -> None:
    every = sides(tmp_path / "all", his_points("A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4"))
    assert whole(every).outcome is Outcome.AGREE
    assert at_points(every) == {}
    moved = sides(
        tmp_path / "none", [{**row, "x [m]": f"{float(row['x [m]']) + 0.3:g}"} for row in his_points("A1", "A2")]
    )
    assert whole(moved).outcome is Outcome.NOT_COMPARABLE
    assert at_points(moved) == {}


def test_the_limit_of_the_mean_judges_no_point(tmp_path: Path) -> None:
    comparison = sides(tmp_path, his_points("A1", "A2"), LIMIT)
    mean = whole(comparison)
    assert mean.limit is not None
    assert mean.yard.verdict.missed
    for pair in at_points(comparison).values():
        assert (pair.limit, pair.both_outside) == (None, False)
        assert pair.yard.verdict is pair.surveyor.verdict is Verdict.INFORMATION


# Words and instruments of his own.
@pytest.fixture
def survey(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO / "survey", tmp_path / "survey"))


def told(survey: Path, name: str, old: str, new: str) -> Comparison:
    """The comparison with a survey of which some words were changed; the yard's own book is judged once for all."""
    path = survey / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with patch.object(reading, "make_book", {HULL: demonstration()}.__getitem__):
        return compare(*read_both(HULL, survey)).comparison


def test_a_setting_that_no_run_of_the_yard_has_is_told_with_the_words_of_the_yard(survey: Path) -> None:
    comparison = told(survey, "trial/runs.csv", "R1,full,", "R1,fast,")
    words = [row["setting"] for row in read("trial/runs.csv", DEMO / "hull")]
    assert "fast" not in words
    (fault,) = comparison.faults
    assert fault.startswith("trial/runs.csv:2, column 'setting': expected one of the yard’s words for it: ")
    for word in dict.fromkeys(words):
        assert f"'{word}'" in fault
    assert "found 'fast', which no row of the yard has" in fault
    assert "they stand beside none of the yard’s" in fault
    alone = [line for line in comparison.surveyor_only if "fast" in line.subject.condition]
    assert alone
    assert not any("fast" in pair.subject.condition for pair in comparison.pairs)


def test_a_direction_that_the_yard_has_nowhere_is_told(survey: Path) -> None:
    known = {row["axis"] for row in read("vibration/records.csv", DEMO / "hull")}
    other = next(word for word in ("transverse", "longitudinal", "horizontal", "athwartships") if word not in known)
    comparison = told(survey, "vibration/records.csv", ",vertical,", f",{other},")
    assert any("column 'axis'" in fault for fault in comparison.faults)


def test_an_instrument_of_another_kind_is_told_at_the_cell_that_names_it(survey: Path) -> None:
    line = 'Z1,2,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0,8.5,2,painted,SV-'
    comparison = told(survey, "moisture.csv", f"{line}4", f"{line}1")
    (fault,) = comparison.faults
    assert fault.startswith(
        "moisture.csv:3, column 'instrument': expected an instrument for moisture ('SV-4'); found 'SV-1'"
    )
    assert "which instruments.csv has for gloss" in fault


@pytest.mark.parametrize(
    ("new", "column", "words"),
    [
        ('2,Z1,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0', "number", "'Z1', and '2' in column 'place'"),
        ('Z1,2,2026-07-07 13:32,13.0,"relative 0 to 100, mode 2"', "reading", "'13.0' in column 'meter_scale'"),
        ('Z1,2,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0 %', "reading", "give the number alone"),
        ('71,2,2026-07-07 13:32,"relative 0 to 100, mode 2",n/r', "reading", "'n/r'"),
        (',2,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0', "place", "an empty cell"),
        ('Z1,,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0', "number", "an empty cell"),
        ('Z1,2,2026-07-07 13:32,"relative 0 to 100, mode 2",', "reading", "an empty cell"),
    ],
)
def test_a_mistake_in_moisture_is_told_at_its_cell(survey: Path, new: str, column: str, words: str) -> None:
    comparison = told(survey, "moisture.csv", 'Z1,2,2026-07-07 13:32,"relative 0 to 100, mode 2",13.0', new)
    (fault,) = comparison.faults
    assert fault.startswith(f"moisture.csv:3, column '{column}': ")
    assert words in fault
    assert ("are the two exchanged?" in fault) is ("in column" in words)


def test_the_survey_as_it_is_has_nothing_to_tell() -> None:
    assert compare(*read_both(DEMO / "hull", DEMO / "survey")).comparison.faults == ()
