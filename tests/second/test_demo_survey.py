"""The invented survey: what its maker writes, with every outcome in it; three pairs are recomputed by hand."""

from __future__ import annotations

import csv
import json
import math
import re
import tomllib
from pathlib import Path
from statistics import fmean, stdev

import jsonschema
import pytest

from buildbook.core.finding import Verdict
from buildbook.render.banned_words import banned
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.data import HEADS, comparison_json
from buildbook.second.reading import read_both
from buildbook.second.rows import sheet_tables
from buildbook.second.said import disagreement_text
from buildbook.second.two_folders import Swapped
from buildbook.second.write import contents
from demo_build import make_evidence
from tests.demonstration import demonstration
from tests.page_texts import texts_of
from tests.second.parties import demonstration_read

DEMO = Path(__file__).parents[2] / "demo_build"
HULL, SURVEY = DEMO / "hull", DEMO / "survey"
SCHEMA = Path(__file__).parents[2] / "docs" / "reference" / "comparison.schema.json"


@pytest.fixture(scope="module")
def compared() -> Compared:
    return compare(*demonstration_read())


@pytest.fixture(scope="module")
def comparison(compared: Compared) -> Comparison:
    return compared.comparison


@pytest.fixture(scope="module")
def files(compared: Compared) -> dict[str, bytes]:
    return contents(compared, pdf=False)[0]


def pair(comparison: Comparison, quantity: str, place: str, condition: str = "") -> Pair:
    (found,) = (
        it
        for it in comparison.pairs
        if (it.subject.quantity, it.subject.place, it.subject.condition) == (quantity, place, condition)
    )
    return found


def rows(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as handle:
        return [{head.split(" [")[0]: cell for head, cell in row.items()} for row in csv.DictReader(handle)]


def test_committed_files_are_what_the_maker_writes() -> None:
    committed = {path.relative_to(SURVEY).as_posix(): path.read_bytes() for path in SURVEY.rglob("*") if path.is_file()}
    assert committed == make_evidence.survey_files()
    assert b"Everything in this folder is invented" in committed["hull.toml"]
    stub = tomllib.loads(committed["hull.toml"].decode("utf-8"))
    assert stub["sheet_of"] == stub["hull"]["number"]
    with pytest.raises(Swapped, match="is a re-measurement sheet, not a hull folder"):
        read_both(SURVEY, SURVEY)
    assert sum(map(len, committed.values())) < 600_000


def test_every_row_of_the_survey_can_be_used(comparison: Comparison) -> None:
    assert comparison.faults == ()
    laid = {it.asked.kind.table.title: len(it.rows) for it in sheet_tables(demonstration().evidence)}
    assert {count.words: count.of for count in comparison.filled} == laid
    assert all(count.number <= count.of for count in comparison.filled if count.of)
    (moisture,) = (count for count in comparison.filled if count.words.startswith("Moisture"))
    assert moisture.number == len(rows(SURVEY, "moisture.csv")) < moisture.of


@pytest.mark.parametrize("outcome", list(Outcome))
def test_every_outcome_occurs(comparison: Comparison, outcome: Outcome) -> None:
    assert any(it.outcome is outcome for it in comparison.pairs)


def test_everything_said_beside_an_outcome_occurs(comparison: Comparison) -> None:
    assert any(it.too_coarse and it.outcome is Outcome.AGREE for it in comparison.pairs)
    assert pair(comparison, "mean film thickness", "Z2").same_instruments
    assert any(line.subject.place == "L5" for line in comparison.surveyor_only)
    assert len(comparison.yard_only) > 50
    ranks = [line.side.verdict.rank for line in comparison.yard_only]
    assert ranks == sorted(ranks, reverse=True)
    assert ranks[0] > 0
    assert comparison.yard_elsewhere > 500


def test_both_verdict_rules_disagree_in_both_ways(comparison: Comparison) -> None:
    hazed, near = pair(comparison, "gloss at 20°", "Z1"), pair(comparison, "gloss at 60°", "Z4")
    assert (hazed.yard.shows, hazed.surveyor.shows) == (True, True)
    assert (near.yard.shows, near.surveyor.shows) == (False, False)
    assert (near.yard.verdict, near.surveyor.verdict) == (Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL)
    met = {(it.yard, it.surveyor) for it in comparison.matrix}
    assert (Verdict.PASS, Verdict.FAIL) in met


@pytest.mark.parametrize(
    ("quantity", "place", "condition", "why"),
    [
        ("level at blade rate", "V1", "full", "load"),
        ("mean film thickness", "Z1", "", "layers measured"),
        ("mean film thickness", "Z7", "", "method"),
        ("moisture above dry reference", "Z1", "", "days since launch"),
        ("moisture above dry reference", "Z1", "", "state of the surface"),
        ("weighted vibration", "V1", "vertical, full", "load"),
        ("apparent slip", "P2", "cruise", "courses: the mean of opposite courses (yard), one course only"),
        ("apparent slip", "P1", "cruise", "a reading is missing (surveyor): the pitch was not measured"),
        ("slip, port less starboard", "", "cruise", "a reading is missing (surveyor): the pitch was not measured"),
    ],
)
def test_why_a_pair_is_not_comparable(
    comparison: Comparison, quantity: str, place: str, condition: str, why: str
) -> None:
    found = pair(comparison, quantity, place, condition)
    assert found.outcome is Outcome.NOT_COMPARABLE
    assert any(reason.startswith(why) for reason in found.why)
    assert (found.en, found.difference is not None) == (None, True)


def test_of_the_records_of_vibration_some_are_held_as_the_yard_held_hers_and_one_is_not(comparison: Comparison) -> None:
    held = {
        it.subject.place: not any(reason.startswith("how the sensor was held") for reason in it.why)
        for it in comparison.pairs
        if it.subject.check in ("VIB-01", "VIB-06")
    }
    assert held == {"V6": True, "V2": False, "V1": True}
    missed = [it for it in comparison.pairs if it.outcome is Outcome.DO_NOT_AGREE and it.limit is not None]
    assert [(it.subject.quantity, it.surveyor.verdict) for it in missed] == [("gloss at 20°", Verdict.FAIL)]


def test_a_reading_that_is_missing_is_no_uncertainty_that_was_not_given(comparison: Comparison) -> None:
    """The surveyor read the pitch of one propeller; of the other his slip has no uncertainty and no pitch of his."""
    silent = [it for it in comparison.pairs if it.outcome is Outcome.NO_UNCERTAINTY]
    assert {it.subject.quantity for it in silent} == {"mean hardness"}
    assert all(it.surveyor.expanded is None for it in silent)


@pytest.mark.parametrize("quantity", ["mean film thickness", "smallest film thickness", "share below nominal"])
def test_a_reading_of_other_layers_is_not_judged_by_the_limit_for_all_of_them(
    compared: Compared, files: dict[str, bytes], quantity: str
) -> None:
    comparison = compared.comparison
    both = (*comparison.pairs, *comparison.in_words)
    (found,) = (it for it in both if (it.subject.quantity, it.subject.place) == (quantity, "Z1"))
    assert compared.drawn[found.number].surveyor.verdict in (Verdict.FAIL, Verdict.INCONCLUSIVE)  # by his folder alone
    assert (found.surveyor.verdict, found.yard.verdict) == (Verdict.INFORMATION, Verdict.PASS)
    assert (found.outcome, found.one_limit) == (Outcome.NOT_COMPARABLE, False)
    assert "not judged by it" in found.claims
    assert f'id="pair-{found.number}-two"' not in files["comparison.html"].decode()


def test_a_reading_by_another_method_is_judged_by_the_same_limit(comparison: Comparison) -> None:
    assert pair(comparison, "mean film thickness", "Z7").one_limit
    assert pair(comparison, "mean film thickness", "Z7").surveyor.verdict is not Verdict.INFORMATION


def test_the_first_words_of_the_page_name_what_does_not_agree_with_both_values(
    comparison: Comparison, files: dict[str, bytes]
) -> None:
    page = files["comparison.html"].decode()
    text = " ".join(block.text for block in texts_of(page).blocks)
    text = text[text.index("Two measurements of Specimen") :].replace("\u2060", "").replace("\u00a0", " ")
    apart = [it for it in comparison.pairs if it.outcome is Outcome.DO_NOT_AGREE]
    places = [text.index(it.surveyor.text) for it in apart]
    assert places == sorted(places)
    assert all(text.index(it.yard.text) > text.index(it.surveyor.text) for it in apart)
    assert apart
    assert text.index(disagreement_text(comparison.pairs)) < places[0]
    assert places[-1] < text.index(SAID) < text.index("pairs of measurements, of")


def test_larger_than_the_combined_uncertainty_is_what_is_said(comparison: Comparison, files: dict[str, bytes]) -> None:
    """An uncertainty of 3 and one of 4 make 5: the sum of both would be 7."""
    page = files["comparison.html"].decode()
    assert math.hypot(3, 4) == 5
    for words in ("larger than the combined uncertainty of both", "3 and one of 4 make 5, not 7"):
        assert words in re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page))
    for it in comparison.pairs:
        if it.en is not None and it.joint is not None:
            assert it.difference is not None
            assert (abs(it.difference) > it.joint * (1 + 1e-9)) is (it.outcome is Outcome.DO_NOT_AGREE)


def gloss_by_hand(folder: Path, zone: str, angle: str, expanded: float, coverage: float) -> tuple[float, float]:
    """Mean and U at k = 2 of ten readings: certificate and scatter, with csv and arithmetic alone."""
    values = [float(r["gloss"]) for r in rows(folder, "coating/gloss.csv") if (r["zone"], r["angle"]) == (zone, angle)]
    assert len(values) == 10
    step = 0.1 / math.sqrt(12.0)
    scatter = stdev(values) / math.sqrt(10.0)
    standard = math.sqrt((expanded / coverage) ** 2 + step**2 + scatter**2)
    degrees = math.floor(standard**4 / (scatter**4 / 9.0))
    assert degrees > 40  # Student's t is then between 2.00 and 2.06 (JCGM 100:2008, table G.2; from memory)
    return fmean(values), 2.0 * standard


@pytest.mark.parametrize(("angle", "zone"), [("20", "Z1"), ("60", "Z2")])
def test_gloss_recomputed_by_hand(comparison: Comparison, angle: str, zone: str) -> None:
    yard, yards_u = gloss_by_hand(HULL, zone, angle, 1.0, 2.0)
    his, his_u = gloss_by_hand(SURVEY, zone, angle, 1.8, 3.0)
    found = pair(comparison, f"gloss at {angle}°", zone)
    assert found.difference == pytest.approx(his - yard, abs=1e-9)
    assert found.joint == pytest.approx(math.hypot(yards_u, his_u), rel=0.04)
    assert found.en == pytest.approx((his - yard) / math.hypot(yards_u, his_u), rel=0.04, abs=0.02)
    assert found.outcome is (Outcome.AGREE if angle == "60" else Outcome.DO_NOT_AGREE)


def test_hardness_without_an_uncertainty_recomputed_by_hand(comparison: Comparison) -> None:
    yard = fmean(float(row["barcol"]) for row in rows(HULL, "hardness.csv") if row["place"] == "L2")
    his = fmean(float(row["barcol"]) for row in rows(SURVEY, "hardness.csv"))
    (gauge,) = (row for row in rows(SURVEY, "instruments.csv") if row["instrument"] == "SV-3")
    found = pair(comparison, "mean hardness", "L2")
    assert gauge["uncertainty"] == ""
    assert (found.outcome, found.why) == (Outcome.NO_UNCERTAINTY, ("by the surveyor",))
    assert found.difference == pytest.approx(his - yard, abs=1e-9)


# What is written.
def test_json_is_as_its_schema_says_and_the_schema_is_the_published_one(files: dict[str, bytes]) -> None:
    schema = json.loads(files["comparison.schema.json"])
    assert schema == json.loads(SCHEMA.read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    read = json.loads(files["comparison.json"])
    validator.validate(read)
    read["pairs"][0]["outcome"] = "the yard is right"
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(read)


def test_the_table_has_the_surveyors_values_first_and_every_line(
    files: dict[str, bytes], comparison: Comparison
) -> None:
    table = list(csv.DictReader(files["comparison.csv"].decode("utf-8").splitlines()))
    assert tuple(table[0]) == HEADS
    assert HEADS.index("surveyor_value") < HEADS.index("yard_value")
    lists = (comparison.pairs, comparison.in_words, comparison.surveyor_only, comparison.yard_only)
    assert len(table) == sum(map(len, lists))
    first = comparison.pairs[0]
    assert float(table[0]["surveyor_value"]) == first.surveyor.value
    assert float(table[0]["En"]) == first.en


@pytest.mark.slow
def test_equal_folders_give_equal_bytes(files: dict[str, bytes]) -> None:
    again = compare(*read_both(HULL, SURVEY))
    assert contents(again, pdf=False)[0] == files
    assert comparison_json(again.comparison) == files["comparison.json"]


WHO_IS_RIGHT = re.compile(
    r"\b(right|wrong|correct|incorrect|mistaken|mistake|error|blame|at fault|trust|reliable|unreliable|accurate|"
    r"inaccurate|truth|true value|better|worse|score|grade of agreement)\b",
    re.IGNORECASE,
)
SAID = "It does not say who is right."


def spoken(files: dict[str, bytes]) -> list[str]:
    """All text of the page with what a screen reader speaks, and every text of the data."""
    texts = texts_of(files["comparison.html"].decode("utf-8"))
    found = [*(block.text for block in texts.blocks), *texts.spoken]

    def walk(node: object) -> None:
        if isinstance(node, str):
            found.append(node)
        for inner in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
            walk(inner)

    walk(json.loads(files["comparison.json"]))
    return [*found, files["comparison.csv"].decode("utf-8")]


def test_nothing_that_is_written_says_who_is_right(files: dict[str, bytes]) -> None:
    texts = spoken(files)
    assert len(texts) > 1000
    assert any(SAID in text for text in texts)
    said = {hit.group() for text in texts for hit in WHO_IS_RIGHT.finditer(text.replace(SAID, ""))}
    assert said == set()


def test_no_banned_word_is_used(files: dict[str, bytes]) -> None:
    assert [hit.word for text in spoken(files) for hit in banned(text)] == []


def test_a_text_that_took_sides_would_be_found() -> None:
    assert WHO_IS_RIGHT.search("The surveyor is right.")
    assert WHO_IS_RIGHT.search("the yard's reading is wrong")


def test_the_page_says_that_all_is_invented_and_loads_nothing_from_elsewhere(files: dict[str, bytes]) -> None:
    page = files["comparison.html"].decode("utf-8")
    assert "invented" in page
    assert re.findall(r'(?:src|href)="(?!#)([^"]+)"', page)
    for address in re.findall(r'(?:src|href)="(?!#)([^"]+)"', page):
        assert address in files or address == "comparison.pdf"
    assert "<script" not in page


def test_each_picture_has_both_readings_in_two_forms_and_in_words(
    files: dict[str, bytes], comparison: Comparison
) -> None:
    page = files["comparison.html"].decode("utf-8")
    strips = re.findall(r'<svg [^>]*class="strip strip-of-two".*?</svg>', page, re.DOTALL)
    assert len(strips) > len(comparison.pairs) - 5
    for strip in strips:
        assert strip.count('class="s-surveyor"') == strip.count('class="s-yard"') == 1
        title = re.search(r"<title[^>]*>(.*?)</title>", strip, re.DOTALL)
        assert title
        assert "surveyor" in title[1]
        assert "yard" in title[1]
    assert 'class="strip-second"' in page
