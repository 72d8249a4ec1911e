"""Slips over plausible numbers that once went by in silence: each is told with its line. Copies of the demo."""

from __future__ import annotations

from pathlib import Path

from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Verdict
from buildbook.pipeline import Made, make_book
from tests.end_to_end.spoiling import Spoil, cell, made_after, told
from tests.end_to_end.test_faults import SHEETS, of
from tests.end_to_end.test_faults_hull_file import changed, line

FILE = "hull.toml"
FILM = 'quantity = "nominal film thickness"\nlow = 280\nhigh = 450\nunit = "um"'
GLOSS = 'quantity = "gloss at 60°"\nlow = 85\nunit = "GU"'


def notices(made: Made, part: str) -> list[Fault]:
    return [f for f in made.book.faults if f.severity is Severity.NOTICE and f.where.part.endswith(part)]


def test_a_guard_band_that_the_builder_narrows_is_told_at_its_entry(hull: Path) -> None:
    before = len(notices(make_book(hull), ".guard"))
    made = made_after(hull, FILE, changed(GLOSS, f"{GLOSS}\nguard = 0"))
    found = notices(made, ".guard")
    assert len(found) == before + 1
    assert any(f.where.line == line(GLOSS) + 3 and f.found == "0" for f in found)


def test_a_limit_in_another_unit_is_told_with_what_it_became(hull: Path) -> None:
    """11 mil are 279.4 µm, 18 mil are 457.2 µm: one thousandth of an inch is 25.4 µm by definition."""
    in_mils = FILM.replace("280", "11").replace("450", "18").replace("um", "mil")
    made = made_after(hull, FILE, changed(FILM, in_mils))
    (low,), (high,) = notices(made, ".low"), notices(made, ".high")
    assert low.found == "11 mil, which is 279.4 um"
    assert high.found == "18 mil, which is 457.2 um"


def test_a_day_of_the_book_far_after_its_records_holds_everything(spoil: Spoil) -> None:
    made = spoil(FILE, changed("as_of = 2026-06-15", "as_of = 2096-06-15"))
    assert [f for f in made.book.faults if f.where.file == FILE and "within 5 years" in f.expected]
    coating = [item.finding for item in made.book.exceptions if item.finding.key.check.startswith("COA")]
    assert {finding.verdict for finding in coating} & {Verdict.PASS, Verdict.CONDITIONAL_PASS} == set()
    assert len(coating) > 400  # every pass of the demonstration became inconclusive


def test_something_withheld_that_is_not_there_is_said_to_be_shown_all_the_same(spoil: Spoil) -> None:
    made = spoil(FILE, changed('"documents/DWG-201.png"', '"lay-up"'))
    (found,) = [fault for fault in made.book.unusable if fault.where.part == "release.withhold"]
    assert "Nothing is withheld under this name" in found.effect
    assert "documents/DWG-201.png" in made.pictures


def test_a_coverage_factor_beyond_any_certificate_is_a_fault(spoil: Spoil) -> None:
    """Five instead of two would shrink the standard uncertainty to two fifths."""
    row = of("instruments.csv", instrument="UT-01", quantity="film thickness")
    made = spoil("instruments.csv", cell(row, "coverage", "5"))
    assert told(made, "instruments.csv", SHEETS["instruments.csv"].line(row))
