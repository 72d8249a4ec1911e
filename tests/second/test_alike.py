"""What must be alike before two readings are set against each other: how held, where, how many, and when."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.reading import Party, read_both, read_survey
from tests.second.parties import GLOSS_HEADS, demonstration_read, gloss_rows, lines, small_hull, small_survey, write

DEMO = Path(__file__).parents[2] / "demo_build"
HULL, SURVEY = DEMO / "hull", DEMO / "survey"
HELD = "three-legged plate of 1 kg on the carpet"
NOT_HELD_ALIKE = "how the sensor was held"


@pytest.fixture(scope="module")
def yard() -> Party:
    return demonstration_read()[0]


def against(yard: Party, survey: Path) -> Comparison:
    return compare(yard, read_survey(HULL, survey)).comparison


def changed(folder: Path, name: str, old: str, new: str) -> Path:
    """A copy of the invented survey in which one table reads otherwise."""
    survey = Path(shutil.copytree(SURVEY, folder / "survey"))
    text = (survey / name).read_text(encoding="utf-8")
    assert old in text
    (survey / name).write_text(text.replace(old, new), encoding="utf-8")
    return survey


def about(comparison: Comparison, check: str, place: str) -> list[Pair]:
    return [it for it in comparison.pairs if (it.subject.check, it.subject.place) == (check, place)]


@pytest.mark.parametrize(
    ("held", "why"),
    [
        ("held by hand on the sofa", f"{NOT_HELD_ALIKE}: “{HELD}” (yard), “held by hand on the sofa” (surveyor)"),
        ("", f"{NOT_HELD_ALIKE} not recorded by the surveyor"),
    ],
)
def test_a_sensor_held_otherwise_is_another_method(yard: Party, tmp_path: Path, held: str, why: str) -> None:
    for check in ("VIB-01", "VIB-06"):
        assert all(it.outcome is Outcome.AGREE for it in about(against(yard, SURVEY), check, "V6"))
    comparison = against(yard, changed(tmp_path, "vibration/records.csv", HELD, held))
    pairs = [*about(comparison, "VIB-01", "V6"), *about(comparison, "VIB-06", "V6")]
    assert len(pairs) == 4
    assert all((it.outcome, it.why) == (Outcome.NOT_COMPARABLE, (why,)) for it in pairs)


def mean_and_points(comparison: Comparison) -> tuple[Pair, list[Pair]]:
    """The mean over the grid on L3, and the points of it that are compared one by one."""
    pairs = about(comparison, "LAM-12", "L3")
    (mean,) = (it for it in pairs if not it.subject.condition)
    return mean, [it for it in pairs if it.subject.condition]


# Where a reading stands.
def moved(folder: Path, metres: float, axis: int = 3, rows: int = 8) -> Path:
    """A copy of the survey with some positions of the grid on L3 moved [m]; axis 3, 4, 5 are x, y, z."""
    survey = Path(shutil.copytree(SURVEY, folder / "survey"))
    table = survey / "laminate" / "thickness.csv"
    lines = table.read_text(encoding="utf-8").splitlines()
    for at in range(1, rows + 1):
        cells = lines[at].split(",")
        cells[axis] = f"{float(cells[axis]) + metres:.4f}"
        lines[at] = ",".join(cells)
    table.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return survey


@pytest.mark.parametrize(
    ("metres", "axis", "rows", "same"),
    [(4.0, 3, 8, 0), (0.006, 4, 8, 0), (0.006, 5, 1, 7), (0.005, 3, 8, 8), (-0.004, 5, 8, 8)],
)
def test_rows_more_than_five_millimetres_apart_are_not_at_the_same_place(
    yard: Party, tmp_path: Path, metres: float, axis: int, rows: int, same: int
) -> None:
    pair, points = mean_and_points(against(yard, moved(tmp_path, metres, axis, rows)))
    assert len(points) == (same if 0 < same < 8 else 0)
    if same == 8:
        assert (pair.outcome, pair.why) == (Outcome.AGREE, ())
    else:
        words = f"positions: 8 places (yard), 8 places (surveyor), {same} of them the same"
        assert (pair.outcome, pair.why) == (Outcome.NOT_COMPARABLE, (words,))


def test_positions_that_one_side_left_out_are_not_known_to_be_the_same(yard: Party, tmp_path: Path) -> None:
    survey = changed(tmp_path, "laminate/thickness.csv", ",2.3,1,", ",,,")
    text = (survey / "laminate" / "thickness.csv").read_text(encoding="utf-8")
    (survey / "laminate" / "thickness.csv").write_text(re.sub(r"(?m)^(L3,\d,\w+),[\d.]+,", r"\1,,", text), "utf-8")
    (pair,) = about(against(yard, survey), "LAM-12", "L3")
    assert pair.why == ("positions (x, y, z) not recorded by the surveyor",)


def test_a_mean_of_fewer_points_of_a_grid_is_another_quantity(yard: Party, tmp_path: Path) -> None:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    table = survey / "laminate" / "thickness.csv"
    table.write_text(re.sub(r"(?m)^L3,[678],.*\n", "", table.read_text(encoding="utf-8")), encoding="utf-8")
    pair, points = mean_and_points(against(yard, survey))
    assert pair.why == ("positions: 8 places (yard), 5 places (surveyor), 5 of them the same",)
    assert {it.outcome for it in points} == {Outcome.AGREE}
    assert len(points) == 5


# How many readings.
@pytest.mark.parametrize("who", ["surveyor", "yard"])
def test_one_reading_is_not_set_against_a_mean_that_holds_scatter(tmp_path: Path, who: str) -> None:
    """U of one reading is that of its instrument alone: among ten of the same kind it would lie outside by scatter."""
    several, one = (87.0, 88.4, 89.8), (85.5,)
    hull = small_hull(tmp_path / "hull", several if who == "surveyor" else one)
    survey = small_survey(tmp_path / "survey", one if who == "surveyor" else several)
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    other = "yard" if who == "surveyor" else "surveyor"
    words = f"one reading ({who}), whose scatter nobody knows, and the mean of 3 ({other})"
    assert (pair.outcome, pair.why, pair.en) == (Outcome.NOT_COMPARABLE, (words,), None)
    side = pair.surveyor if who == "surveyor" else pair.yard
    assert "one reading" in side.method
    assert "1 readings" not in side.method


def test_two_readings_hold_scatter_of_their_own(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey", (88.0, 88.2))
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    assert pair.outcome is Outcome.AGREE


# When.
def dated(folder: Path, day: str) -> None:
    table = folder / "coating" / "gloss.csv"
    table.write_text(re.sub(r"\d{4}-\d\d-\d\d", day, table.read_text(encoding="utf-8")), encoding="utf-8")


@pytest.mark.parametrize(("day", "comparable"), [("2026-04-08", False), ("2026-04-09", True), ("2026-04-10", True)])
def test_what_was_read_before_the_yard_read_is_not_compared(tmp_path: Path, day: str, comparable: bool) -> None:
    """The yard read on 2026-04-09: what lay there the day before may not have been the last coat."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    dated(survey, day)
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    assert (pair.outcome is Outcome.AGREE) is comparable
    assert pair.why == (() if comparable else (f"read before the yard’s reading: 2026-04-09 (yard), {day} (surveyor)",))


@pytest.mark.parametrize(("hour", "comparable"), [("09", False), ("10", True)])
def test_on_one_day_the_hour_counts_where_the_yard_worked_between(tmp_path: Path, hour: str, comparable: bool) -> None:
    """The yard's second attempt was read at 10:01: between the first and it she was worked on."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    rows = [*gloss_rows((70.0, 70.2, 70.1), "2026-04-08", "GL-01")]
    rows += [row.replace("Z1,1,", "Z1,2,") for row in gloss_rows((88.0, 88.4, 89.0), "2026-04-09", "GL-01")]
    write(hull, {"coating/gloss.csv": lines(GLOSS_HEADS, *rows)})
    dated(survey, "2026-04-09")
    table = survey / "coating" / "gloss.csv"
    table.write_text(table.read_text(encoding="utf-8").replace(" 10:0", f" {hour}:0"), encoding="utf-8")
    (pair,) = compare(*read_both(hull, survey)).comparison.pairs
    assert pair.yard.attempt == 2
    assert (pair.outcome is Outcome.AGREE) is comparable
    words = "read before the yard’s reading: 2026-04-09 10:01 (yard), 2026-04-09 09:01 (surveyor)"
    assert pair.why == (() if comparable else (words,))
