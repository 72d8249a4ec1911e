"""Rows of a survey that are lost: each is told, with its file, its line and its column."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.evidence import Evidence, Unread
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Specification
from buildbook.core.where import Where
from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.lost_rows import may_belong
from buildbook.second.page import page_html
from buildbook.second.reading import Party, read_both, read_survey
from buildbook.second.said import disagreement_text, outside_apart_text
from tests.second.parties import GLOSS_HEADS, demonstration_read, gloss_rows, lines, small_hull, small_survey, write
from tests.second.parties import HULL as HULL_HERSELF

DEMO = Path(__file__).parents[2] / "demo_build"
HULL, SURVEY = DEMO / "hull", DEMO / "survey"


@pytest.fixture(scope="module")
def yard() -> Party:
    return demonstration_read()[0]


def against(yard: Party, survey: Path) -> Comparison:
    return compare(yard, read_survey(HULL, survey)).comparison


def test_a_record_whose_file_is_missing_is_told(yard: Party, tmp_path: Path) -> None:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    (survey / "vibration" / "raw" / "V6_R4_survey.wav").unlink()
    made = compare(yard, read_survey(HULL, survey))
    (told,) = made.comparison.faults
    assert told.startswith("vibration/records.csv:2, column 'file': ")
    assert "vibration/raw/V6_R4_survey.wav" in told
    assert told.endswith("This row is not used.")
    assert not any(it.subject.check == "VIB-01" and it.subject.place == "V6" for it in made.comparison.pairs)
    page = page_html(made, ())
    assert "Everything could be read." not in page
    assert "V6_R4_survey.wav" in page


def test_a_record_without_the_name_of_its_file_is_told(yard: Party, tmp_path: Path) -> None:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    table = survey / "vibration" / "records.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("vibration/raw/V2_R4_survey.wav", ""), encoding="utf-8")
    faults = against(yard, survey).faults
    assert any(words.startswith("vibration/records.csv:3, column 'file': expected a value in file") for words in faults)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Z1,1,4,60,,2026-07-07 11:00,SV-1", True),  # when and with what, and no reading
        ("Z1,1,4,60,,,", False),  # as the sheet gives it
    ],
)
def test_a_row_of_any_table_with_all_but_its_reading_is_told(tmp_path: Path, row: str, told: bool) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    rows = [*gloss_rows((87.5, 88.0, 88.2), "2026-07-07", "SV-1"), row]
    write(survey, {"coating/gloss.csv": lines(GLOSS_HEADS, *rows)})
    comparison = compare(*read_both(hull, survey)).comparison
    found = [words for words in comparison.faults if re.match(r"coating/gloss\.csv:5, column 'gloss'", words)]
    assert bool(found) is told
    assert any(words.startswith("coating/gloss.csv") for words in comparison.faults) is told


# A lost row counts only against what it may belong to, by all in it that can be read.
def changed(tmp_path: Path, name: str, was: str, becomes: str) -> Path:
    survey = Path(shutil.copytree(SURVEY, tmp_path / "survey"))
    text = (survey / name).read_text(encoding="utf-8")
    assert text.count(was) == 1
    (survey / name).write_text(text.replace(was, becomes), encoding="utf-8")
    return survey


def outcome(comparison: Comparison, check: str, place: str, quantity: str) -> Pair:
    (found,) = (
        it
        for it in comparison.pairs
        if (it.subject.check, it.subject.place, it.subject.quantity) == (check, place, quantity)
    )
    return found


def test_a_lost_row_of_one_angle_is_none_of_another(yard: Party, tmp_path: Path) -> None:
    survey = changed(tmp_path, "coating/gloss.csv", "Z1,1,2,60,88.5,2026-07-07 ", "Z1,1,2,60,88.5,07/07/2026 ")
    made = against(yard, survey)
    at_20, at_60 = (outcome(made, "COA-11", "Z1", f"gloss at {angle}°") for angle in (20, 60))
    assert at_20.outcome is Outcome.DO_NOT_AGREE
    assert at_60.outcome is Outcome.NOT_COMPARABLE
    assert "could not be used" in at_60.why[0]
    assert disagreement_text(made.pairs) == "This reading of the two sides does not agree:"


def test_a_lost_row_whose_angle_cannot_be_read_may_be_of_any(yard: Party, tmp_path: Path) -> None:
    made = against(yard, changed(tmp_path, "coating/gloss.csv", "Z1,1,2,60,88.5,", "Z1,1,2,6o,88.5,"))
    both = [outcome(made, "COA-11", "Z1", f"gloss at {angle}°").outcome for angle in (20, 60)]
    assert both == [Outcome.NOT_COMPARABLE] * 2
    assert "cannot be compared" in outside_apart_text(made.pairs)


def test_what_he_reads_outside_is_named_though_its_pair_cannot_be_compared(yard: Party, tmp_path: Path) -> None:
    survey = changed(tmp_path, "coating/gloss.csv", "Z1,1,2,60,88.5,", "Z1,1,2,6o,88.5,")
    made = compare(yard, read_survey(HULL, survey))
    pair = outcome(made.comparison, "COA-11", "Z1", "gloss at 20°")
    page = page_html(made, ())
    opening = page[page.index("<h1>") : page.index('id="verdicts"')]
    lead = outside_apart_text(made.comparison.pairs)
    found = [it for it in made.comparison.pairs if it.outcome is Outcome.NOT_COMPARABLE and it.surveyor.verdict.missed]
    assert pair in found
    assert lead == f"The surveyor reads outside the limit in {len(found)} pairs that cannot be compared:"
    assert lead in opening
    assert f'href="#pair-{pair.number}"' in opening


@pytest.mark.parametrize(("spelled", "places"), [("Z22", {"Z2"}), ("Q", {"Z1", "Z2"})])
def test_an_id_in_no_table_is_a_slip_for_those_it_looks_like(tmp_path: Path, spelled: str, places: set[str]) -> None:
    """A mistyped zone may be of the zones it looks like; of every zone where it looks like none."""
    values, days = (87.5, 88.0, 88.2), {"hull": "2026-04-09", "survey": "2026-07-07"}
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    for folder, meter in ((hull, "GL-01"), (survey, "SV-1")):
        rows = [row for zone in ("Z1", "Z2") for row in gloss_rows(values, days[folder.name], meter, zone)]
        if folder is survey:
            rows[-1] = rows[-1].replace("Z2,", f"{spelled},", 1)
        write(folder, {"coating/gloss.csv": lines(GLOSS_HEADS, *rows)})
    made = compare(*read_both(hull, survey)).comparison
    assert {it.subject.place for it in made.pairs} == {"Z1", "Z2"}
    assert {it.subject.place for it in made.pairs if it.outcome is Outcome.NOT_COMPARABLE} == places


def test_a_lost_record_of_one_run_or_direction_is_none_of_another() -> None:
    key = Key("VIB-01", "weighted vibration", "V1", "vertical, cruise, run R4")
    near = Finding(key, Verdict.PASS)
    rows = [{"axis": "vertical", "run": "R4"}, {"axis": "athwart", "run": "R4"}, {"axis": "vertical", "run": "R5"}]
    lost = tuple(Unread(VibrationRecord, Where("vibration/records.csv", n), row, "") for n, row in enumerate(rows))
    evidence = Evidence(HULL_HERSELF, Specification(), unread={VibrationRecord: lost})
    assert [may_belong(evidence, near, row) for row in lost] == [True, False, False]
    unknown = Unread(VibrationRecord, Where("vibration/records.csv", 9), {"axis": None, "run": None}, "")
    assert may_belong(evidence, near, unknown)
