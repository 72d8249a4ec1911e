"""The outermost of several readings: taken apart, so that a difference at a place that is nobody's worst is seen."""

from __future__ import annotations

import csv
import io
import shutil
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.reading import read_both
from tests.second.parties import HULL_TOML, INSTRUMENT_HEADS, NUMBER, SURVEY_TOML, lines, write

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"
PLACES = "place,name,kind,painted\nP1,Propeller,part,no\n"
ORDERED = "propeller,side,hand,diameter [mm],blades,pitch [mm],accuracy,drawing\nP1,port,left,760,2,880,I,DWG-310\n"
DRAWN = lines("propeller,radius [%],pitch [mm]", *(f"P1,{radius},880" for radius in (40, 60, 80)))
HEADS = "propeller,blade,attempt,number,radius [%],pitch [mm],on,at,by,instrument"
Pitches = Mapping[tuple[str, int, float], float]  # blade, attempt, radius [% of the tip radius]: pitch [mm]

# Class I of ISO 484-2 leaves a mean pitch at a radius 1.5 % of 880 mm: 13.2 mm. 0.8 R is worst on both sides.
YARD: Pitches = {("B1", 1, 40): 880, ("B1", 1, 60): 884, ("B1", 1, 80): 891}
HIS: Pitches = {("B1", 1, 40): 880, ("B1", 1, 60): 876, ("B1", 1, 80): 891}


def pitch_rows(read: Pitches, day: str, gauge: str) -> str:
    rows, seen = [], Counter[tuple[str, int]]()
    for (blade, attempt, radius), value in read.items():
        seen[(blade, attempt)] += 1
        number = seen[(blade, attempt)]
        rows.append(f"P1,{blade},{attempt},{number},{radius},{value},face,{day} 09:{number:02d},PS TW,{gauge}")
    return lines(HEADS, *rows)


def gauge(name: str) -> str:
    return lines(INSTRUMENT_HEADS, f"{name},pitch,pitch gauge,{name}-7,mm,50,3000,0.1,2,2,C-9")


def compared(tmp_path: Path, yard: Pitches, his: Pitches) -> Comparison:
    hull = write(
        tmp_path / "hull",
        {
            "hull.toml": HULL_TOML.format(as_of="2026-06-15", number=NUMBER),
            "places.csv": PLACES,
            "instruments.csv": gauge("PG-1"),
            "propeller/propellers.csv": ORDERED,
            "propeller/sections.csv": DRAWN,
            "propeller/pitch.csv": pitch_rows(yard, "2026-03-02", "PG-1"),
        },
    )
    survey = write(
        tmp_path / "survey",
        {
            "hull.toml": SURVEY_TOML.format(number=NUMBER),
            "instruments.csv": gauge("SV-6"),
            "propeller/pitch.csv": pitch_rows(his, "2026-07-07", "SV-6"),
        },
    )
    return compare(*read_both(hull, survey)).comparison


def at_radii(comparison: Comparison) -> dict[str, Pair]:
    return {it.subject.condition: it for it in comparison.pairs if it.subject.check == "PRO-02"}


def alone_at(comparison: Comparison, who: str) -> list[str]:
    return sorted(it.subject.condition for it in getattr(comparison, f"{who}_only") if it.subject.check == "PRO-02")


def test_a_difference_at_a_radius_that_is_nobodys_worst_is_seen(tmp_path: Path) -> None:
    found = at_radii(compared(tmp_path, YARD, HIS))
    assert {name: it.outcome for name, it in found.items()} == {
        "B1, 0.4 R": Outcome.AGREE,
        "B1, 0.6 R": Outcome.DO_NOT_AGREE,
        "B1, 0.8 R": Outcome.AGREE,
    }
    apart = found["B1, 0.6 R"]
    assert (apart.difference, apart.surveyor.value, apart.yard.value) == (-8.0, 876.0, 884.0)
    assert apart.limit is not None
    assert (apart.limit.low, apart.limit.high) == pytest.approx((866.8, 893.2))
    assert [row.split(":")[0] for row in (*apart.yard.rows, *apart.surveyor.rows)] == ["propeller/pitch.csv"] * 2


def test_each_blade_stands_beside_the_same_blade(tmp_path: Path) -> None:
    yard = {**YARD, ("B2", 1, 40): 881, ("B2", 1, 60): 882, ("B2", 1, 80): 885}
    his = {**HIS, ("B2", 1, 40): 881, ("B2", 1, 60): 882, ("B2", 1, 80): 893}
    found = at_radii(compared(tmp_path, yard, his))
    assert len(found) == 6
    assert {name for name, it in found.items() if it.outcome is Outcome.DO_NOT_AGREE} == {"B1, 0.6 R", "B2, 0.8 R"}


def test_a_radius_that_one_side_alone_read_is_in_its_list(tmp_path: Path) -> None:
    """One radius against the worst of three: before, any value at another radius would have been set beside it."""
    comparison = compared(tmp_path, YARD, {("B1", 1, 60): 884})
    assert list(at_radii(comparison)) == ["B1, 0.6 R"]
    assert alone_at(comparison, "yard") == ["B1, 0.4 R", "B1, 0.8 R"]
    comparison = compared(tmp_path / "other", {("B1", 1, 60): 884}, {("B1", 1, 40): 884, ("B1", 1, 80): 880})
    assert at_radii(comparison) == {}
    assert alone_at(comparison, "surveyor") == ["B1, 0.4 R", "B1, 0.8 R"]


def test_one_radius_against_another_one_is_not_comparable(tmp_path: Path) -> None:
    (pair,) = at_radii(compared(tmp_path, {("B1", 1, 60): 884}, {("B1", 1, 40): 884})).values()
    assert pair.outcome is Outcome.NOT_COMPARABLE
    assert pair.why == ("it rests on readings at 1 place (yard), 1 place (surveyor), 0 of them the same",)


def test_a_mean_of_other_radii_is_not_comparable(tmp_path: Path) -> None:
    comparison = compared(tmp_path, YARD, {key: value for key, value in HIS.items() if key[2] != 40})
    (blade,) = (it for it in comparison.pairs if it.subject.check == "PRO-03")
    assert blade.outcome is Outcome.NOT_COMPARABLE
    assert "3 places (yard), 2 places (surveyor), 2 of them the same" in blade.why[0]
    whole = compared(tmp_path / "same", YARD, HIS)
    (blade,) = (it for it in whole.pairs if it.subject.check == "PRO-03")
    assert blade.outcome is not Outcome.NOT_COMPARABLE


def test_a_radius_that_the_last_attempt_left_out_is_of_the_attempt_before_and_says_so(tmp_path: Path) -> None:
    yard = {**YARD, ("B1", 2, 60): 877, ("B1", 2, 80): 890}
    found = at_radii(compared(tmp_path, yard, HIS))
    assert (found["B1, 0.6 R"].yard.value, found["B1, 0.6 R"].yard.attempt) == (877.0, 2)
    assert any("attempt 1: 884.0" in words for words in found["B1, 0.6 R"].notes)
    older = found["B1, 0.4 R"]
    assert (older.yard.value, older.yard.attempt) == (880.0, 1)
    assert "Attempt 2 of the yard was not read at 0.4 R; attempt 1 is shown." in older.notes


def test_a_row_that_cannot_be_read_holds_its_own_radius_alone(tmp_path: Path) -> None:
    compared(tmp_path, YARD, HIS)
    table = tmp_path / "survey" / "propeller" / "pitch.csv"
    table.write_text(table.read_text().replace("40,880,", "40,eight,"), encoding="utf-8")
    comparison = compare(*read_both(tmp_path / "hull", tmp_path / "survey")).comparison
    found = at_radii(comparison)
    assert alone_at(comparison, "yard") == ["B1, 0.4 R"]
    assert {name: it.outcome for name, it in found.items()} == {
        "B1, 0.6 R": Outcome.DO_NOT_AGREE,
        "B1, 0.8 R": Outcome.AGREE,
    }
    for it in found.values():
        assert it.surveyor.verdict.value == "pass"
        (whole,) = (words for words in it.notes if words.startswith("All places together, by the surveyor"))
        assert "inconclusive: 1 row that may belong to this could not be used" in whole


def test_sections_of_blades_are_taken_apart_by_the_same_rule(tmp_path: Path) -> None:
    """Another check, another table: the invented hull's own sections as the survey, one of them thicker by 3 mm."""
    hull, survey = tmp_path / "hull", tmp_path / "survey"
    shutil.copytree(DEMO / "propeller", hull / "propeller")
    for name in ("hull.toml", "places.csv", "instruments.csv"):
        shutil.copy(DEMO / name, hull / name)
    with (DEMO / "propeller" / "blade_sections.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    thickness = next(head for head in rows[0] if head.startswith("thickness"))
    radius = next(head for head in rows[0] if head.startswith("radius"))
    (changed,) = (it for it in rows if (it["propeller"], it["blade"], it[radius]) == ("P2", "B2", "60"))
    before = compare(*read_both(hull, his_sections(survey, rows))).comparison
    quantity = "thinnest place against the design"
    each = [it for it in before.pairs if it.subject.quantity == quantity and it.subject.place == "P2"]
    read = {(it["blade"], it[radius]) for it in rows if it["propeller"] == "P2" and it[thickness]}
    assert len(each) == len(read) > 5
    assert {it.outcome for it in each} == {Outcome.AGREE}
    changed[thickness] = str(float(changed[thickness]) + 3.0)  # thicker is never the thinnest
    after = compare(*read_both(hull, his_sections(survey, rows))).comparison
    apart = [it.subject.condition for it in after.pairs if it.outcome is Outcome.DO_NOT_AGREE]
    assert set(apart) == {"B2, 0.6 R"}


def his_sections(survey: Path, rows: list[dict[str, str]]) -> Path:
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows({**row, "at": row["at"].replace("2026-03", "2026-07")} for row in rows)
    instruments = (DEMO / "instruments.csv").read_text(encoding="utf-8")
    files = {"propeller/blade_sections.csv": text.getvalue(), "instruments.csv": instruments}
    return write(survey, {"hull.toml": SURVEY_TOML.format(number=hull_number()), **files})


def hull_number() -> str:
    text = (DEMO / "hull.toml").read_text(encoding="utf-8")
    return text.split('number = "')[1].split('"')[0]


# Which radius is which: the nearest of one blade, in the yard's own number.
def outcomes(comparison: Comparison) -> dict[str, Outcome]:
    return {name: it.outcome for name, it in at_radii(comparison).items()}


def test_a_reading_of_another_blade_takes_no_reading_from_its_partner(tmp_path: Path) -> None:
    """60.0 and 60.2 % are one radius, 59.6 and 60.2 % are two: whatever stands on another blade, or propeller."""
    yard = {("B1", 1, 60.0): 884, ("B1", 1, 80.0): 880}
    his = {("B1", 1, 60.2): 876, ("B1", 1, 80.0): 880}
    told = {"B1, 0.6 R": Outcome.DO_NOT_AGREE, "B1, 0.8 R": Outcome.AGREE}
    assert outcomes(compared(tmp_path / "one", yard, his)) == told
    more = compared(tmp_path / "two", {**yard, ("B2", 1, 59.6): 880, ("B2", 1, 80.0): 880}, his)
    assert outcomes(more) == told
    assert alone_at(more, "surveyor") == []
    again = compared(tmp_path / "his", yard, {**his, ("B2", 1, 59.6): 880, ("B2", 1, 80.0): 880})
    assert outcomes(again) == told
    assert alone_at(again, "yard") == []


def test_the_nearest_radius_of_a_blade_is_the_partner_and_the_other_stands_alone(tmp_path: Path) -> None:
    yard = {("B1", 1, 59.4): 880, ("B1", 1, 60.0): 884, ("B1", 1, 80): 880}
    comparison = compared(tmp_path, yard, {("B1", 1, 59.8): 876, ("B1", 1, 80): 880})
    assert outcomes(comparison) == {"B1, 0.6 R": Outcome.DO_NOT_AGREE, "B1, 0.8 R": Outcome.AGREE}
    assert alone_at(comparison, "yard") == ["B1, 0.594 R"]
    (pair,) = (it for it in at_radii(comparison).values() if it.outcome is Outcome.DO_NOT_AGREE)
    assert (pair.yard.value, pair.surveyor.value) == (884.0, 876.0)
    assert "The surveyor’s reading stands at 0.598 R." in pair.notes


def test_an_earlier_attempt_a_little_farther_in_does_not_part_the_last_ones(tmp_path: Path) -> None:
    yard = {("B1", 1, 59.6): 860, ("B1", 1, 80): 880, ("B1", 2, 60.0): 884, ("B1", 2, 80): 880}
    found = at_radii(compared(tmp_path, yard, {("B1", 1, 60.2): 876, ("B1", 1, 80): 880}))
    assert (found["B1, 0.6 R"].yard.value, found["B1, 0.6 R"].yard.attempt) == (884.0, 2)
    assert found["B1, 0.6 R"].outcome is Outcome.DO_NOT_AGREE
    assert any("attempt 1: 860.0" in words for words in found["B1, 0.6 R"].notes)


def test_a_radius_counts_once_among_those_that_a_mean_rests_on(tmp_path: Path) -> None:
    """60.0 and 60.6 % are two radii of the yard, both within reach of the one at 60.3 %; 70 % has no partner."""
    yard = {("B1", 1, 60.0): 880, ("B1", 1, 60.6): 880}
    comparison = compared(tmp_path, yard, {("B1", 1, 60.3): 880, ("B1", 1, 70): 880})
    (blade,) = (it for it in comparison.pairs if it.subject.check == "PRO-03")
    assert blade.outcome is Outcome.NOT_COMPARABLE
    assert blade.why == ("it rests on readings at 2 places (yard), 2 places (surveyor), 1 of them the same",)
