"""Two folders on disk: what is refused, what is told, what keeps them apart, and how the result is put in place."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.core.chapter import Chapter
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding
from buildbook.pipeline import Belongs, any_may, judge, make_book, released, write_book
from buildbook.render.package import contents as book_contents
from buildbook.render.package import digest_of
from buildbook.render.place import COMPARISON as MARKER
from buildbook.render.place import Refused
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Outcome
from buildbook.second.page import page_html
from buildbook.second.reading import MEASURED, FolderUnreadable, NothingFilled, NotTheSameHull, read_both
from buildbook.second.said import NOT_CALIBRATED, outcome_text
from buildbook.second.sheet import write_sheet
from buildbook.second.write import contents, write_comparison
from tests.second.parties import (
    GLOSS_HEADS,
    INSTRUMENT_HEADS,
    NUMBER,
    SURVEY_TOML,
    gloss_rows,
    instrument,
    lines,
    small_hull,
    small_survey,
    write,
)

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"
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


METER = instrument("SV-1", "G-4410")


@pytest.mark.parametrize(
    ("was", "becomes", "column"),
    [
        (",1,2,C-1", ",-1.8,2,C-1", "uncertainty"),
        (",1,2,C-1", ",8;5,2,C-1", "uncertainty"),
        (",2,C-1", ",0,C-1", "coverage"),
    ],
)
def test_an_uncertainty_that_cannot_be_read_is_not_said_to_be_missing(
    tmp_path: Path, was: str, becomes: str, column: str
) -> None:
    (pair,) = compared(tmp_path, meter=METER.replace(was, becomes)).comparison.pairs
    assert pair.outcome is Outcome.NO_UNCERTAINTY
    words = outcome_text(pair)
    assert words.startswith("no uncertainty given by the surveyor that could be read (instruments.csv:2, column ")
    assert f"'{column}'" in words


@pytest.mark.parametrize(
    ("ends", "words"),
    [
        ("0,80", "3 of 3 readings outside the range of SV-1 (gloss): 0 to 80 GU (surveyor)"),
        ("0,88", "1 of 3 readings outside the range of SV-1 (gloss): 0 to 88 GU (surveyor)"),
        ("90,", "3 of 3 readings outside the range of SV-1 (gloss): from 90 GU (surveyor)"),
        ("0,200", ""),
    ],
)
def test_beyond_the_range_of_its_instrument_nothing_is_compared(tmp_path: Path, ends: str, words: str) -> None:
    (pair,) = compared(tmp_path, meter=METER.replace("0,200", ends)).comparison.pairs
    assert pair.outcome is (Outcome.NOT_COMPARABLE if words else Outcome.AGREE)
    assert pair.why == ((words,) if words else ())
    assert (pair.en is None) is bool(words)


def test_the_yards_readings_are_held_to_the_range_of_its_instrument_too(tmp_path: Path) -> None:
    hull, his = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    table = hull / "instruments.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("0,200", "0,80"), encoding="utf-8")
    (pair,) = compare(*read_both(hull, his)).comparison.pairs
    assert pair.why == ("3 of 3 readings outside the range of GL-01 (gloss): 0 to 80 GU (yard)",)


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


def said_by(folder: Path, survey: Path, out: Path) -> tuple[int, str]:
    """The status of the command and what it prints, its lines joined."""
    done = CliRunner().invoke(app, ["compare", str(folder), str(survey), "-o", str(out)])
    return done.exit_code, " ".join(done.output.split())


def test_a_sheet_that_nobody_filled_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    hull, sheet, out = small_hull(tmp_path / "hull"), tmp_path / "sheet", tmp_path / "out"
    write_sheet(hull, sheet)
    status, words = said_by(hull, sheet, out)
    assert (status, out.exists()) == (1, False)
    assert words == "Nothing was filled in: the survey has no reading. Nothing was compared or written."


@pytest.mark.parametrize("left", ["no rows", "no table", "instruments and places alone"])
def test_a_survey_without_readings_is_an_empty_sheet(tmp_path: Path, left: str) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    if left == "no rows":
        write(survey, {"coating/gloss.csv": GLOSS_HEADS + "\n", "instruments.csv": ""})
    else:
        (survey / "coating" / "gloss.csv").unlink()
    if left == "instruments and places alone":
        shutil.copy(hull / "places.csv", survey / "places.csv")
    with pytest.raises(NothingFilled, match="Nothing was filled in"):
        read_both(hull, survey)


def test_one_reading_that_matches_nothing_is_no_empty_sheet(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    write(survey, {"coating/gloss.csv": lines(GLOSS_HEADS, *gloss_rows((88.0,), "2026-07-07", "SV-1", zone="Z2"))})
    comparison = compare(*read_both(hull, survey)).comparison
    assert comparison.pairs == ()
    assert [line.subject.place for line in comparison.surveyor_only] == ["Z2"]
    files, _ = contents(Compared(comparison, {}), pdf=False)
    assert b"No two readings could be set against their uncertainties" in files["comparison.html"]


# Which folder is which.
def test_a_sheet_given_first_is_refused(tmp_path: Path) -> None:
    hull, sheet, out = small_hull(tmp_path / "hull"), tmp_path / "sheet", tmp_path / "out"
    write_sheet(hull, sheet)
    survey = small_survey(tmp_path / "survey")
    for second in (hull, survey, sheet):
        status, words = said_by(sheet, second, out)
        assert (status, out.exists()) == (2, False)
        assert "is a re-measurement sheet, not a hull folder" in words
        assert "Give the hull folder first and the survey second" in words


@pytest.mark.parametrize(
    ("files", "known"),
    [
        ({}, "[dates] in hull.toml, [limits] in hull.toml"),
        ({"hull.toml": SURVEY_TOML.format(number=NUMBER), "plan.csv": "line\n"}, "plan.csv"),
        ({"hull.toml": SURVEY_TOML.format(number=NUMBER), "nonconformities.csv": "report\n"}, "nonconformities.csv"),
    ],
)
def test_a_hull_folder_given_second_is_refused(tmp_path: Path, files: dict[str, str], known: str) -> None:
    """A survey made by hand has no mark of a sheet; its hull folder is known all the same, by what a yard keeps."""
    hull, survey, out = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey"), tmp_path / "out"
    write(hull, files)
    for first in (survey, hull):
        status, words = said_by(first, hull, out)
        assert (status, out.exists()) == (2, False)
        assert f"is a hull folder, not a survey: it has {known}." in words
        assert "only as_of and [hull]" in words


@pytest.mark.parametrize("second", ["survey", "other", "link"])
def test_two_surveys_are_not_compared(tmp_path: Path, second: str) -> None:
    """Neither beside itself, under whatever name, nor beside another: "yard" above a surveyor's readings is untrue."""
    survey, out = small_survey(tmp_path / "survey"), tmp_path / "out"
    small_survey(tmp_path / "other", (61.0, 61.2, 61.1))
    (tmp_path / "link").symlink_to(survey)
    status, words = said_by(survey, tmp_path / second, out)
    assert (status, out.exists()) == (2, False)
    if second == "other":
        assert f"{survey} is not known as a hull folder: it has none of [dimensions], [outline], [dates]," in words
        assert "and no plan.csv or nonconformities.csv. Nothing was compared." in words
    else:
        assert f"{survey} and {tmp_path / second} are one folder, a survey. Nothing was compared." in words
    assert "Give the hull folder first and the survey second" in words


@pytest.mark.parametrize("sign", ["[dates]\nlaunched = 2026-05-12\n", "[limits]", "plan.csv", "nonconformities.csv"])
def test_one_thing_that_a_yard_keeps_makes_a_hull_folder(tmp_path: Path, sign: str) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    stub = SURVEY_TOML.format(number=NUMBER)
    if sign.endswith(".csv"):
        shutil.copy(DEMO / sign, hull / sign)
        write(hull, {"hull.toml": stub})
    else:
        write(hull, {"hull.toml": stub + ("\n[[limits]]\n" if sign == "[limits]" else f"\n{sign}")})
    assert len(compare(*read_both(hull, survey)).comparison.pairs) == 1


# What was compared.
def test_the_digests_are_those_of_the_book_and_of_the_files(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    files, _ = contents(compare(*read_both(hull, survey)), pdf=False)
    made = make_book(hull)
    book, digest, _, _ = book_contents(made.book, {**made.received, **made.pictures}, pdf=False)
    assert hashlib.sha256(book["SHA256SUMS"]).hexdigest() == digest
    listed = files["SHA256SUMS.survey"]
    expected = {path.relative_to(survey).as_posix(): path for path in survey.rglob("*") if path.is_file()}
    for line in listed.decode().splitlines():
        sum_, _, name = line.partition("  ")
        assert hashlib.sha256(expected.pop(name).read_bytes()).hexdigest() == sum_
    assert expected == {}
    its = hashlib.sha256(listed).hexdigest()
    data = json.loads(files["comparison.json"])
    assert (data["yard_digest"], data["survey_digest"]) == (digest, its)
    for whole in (digest, its):
        assert whole in files["comparison.html"].decode()


def test_the_page_says_which_books_of_the_folder_have_another_digest(tmp_path: Path) -> None:
    """A release is no part of the folder: the digest that is shown is that of a plain build, and is told as that."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    before = make_book(hull)
    write_book(before, hull, tmp_path / "first", pdf=False)
    table = hull / "coating" / "gloss.csv"
    table.write_text(table.read_text().replace("88.4", "88.1"), encoding="utf-8")
    plain = make_book(hull)
    second = released(plain, tmp_path / "first")
    made = compare(*read_both(hull, survey))
    shown = made.comparison.yard_digest
    assert shown == digest_of(plain.book, plain.files)
    assert shown not in (digest_of(second.book, second.files), digest_of(before.book, before.files))
    page = plain_text(contents(made, pdf=False)[0]["comparison.html"].decode())
    assert "without texts of the yard’s own and without telling of an earlier release" in page
    assert "A plain build of the folder shows this one:" in page


@pytest.mark.parametrize("side", ["hull", "survey"])
def test_another_reading_is_another_digest(tmp_path: Path, side: str) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    before = compare(*read_both(hull, survey)).comparison
    table = tmp_path / side / "coating" / "gloss.csv"
    table.write_text(table.read_text().replace("88", "87"), encoding="utf-8")
    after = compare(*read_both(hull, survey)).comparison
    assert (before.yard_digest != after.yard_digest) is (side == "hull")
    assert (before.survey_digest != after.survey_digest) is (side == "survey")


# Instruments of both sides.
DATED_HEADS = f"{INSTRUMENT_HEADS},calibrated,due"


def dated(name: str, serial: str, calibrated: str, due: str, certificate: str = "C-1") -> str:
    row = instrument(name, serial).removesuffix("C-1")
    return lines(DATED_HEADS, f"{row}{certificate},{calibrated},{due}")


@pytest.mark.parametrize(
    ("his", "yard", "told"),
    [
        (("2025-07-01", "2026-07-01"), ("2025-09-01", "2026-09-01"), (True, False)),
        (("2026-01-01", "2027-01-01"), ("2025-03-01", "2026-03-01"), (False, True)),
        (("2025-07-01", "2026-07-01"), ("2025-03-01", "2026-03-01"), (True, True)),
        (("2026-01-01", "2027-01-01"), ("2025-09-01", "2026-09-01"), (False, False)),
    ],
)
def test_a_calibration_that_had_expired_on_the_day_is_told_of_either_side(
    tmp_path: Path, his: tuple[str, str], yard: tuple[str, str], told: tuple[bool, bool]
) -> None:
    """Read on 2026-04-09 by the yard, on 2026-07-07 by the surveyor."""
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    write(hull, {"instruments.csv": dated("GL-01", "77-2019", *yard)})
    write(survey, {"instruments.csv": dated("SV-1", "G-4410", *his)})
    made = compare(*read_both(hull, survey))
    (pair,) = made.comparison.pairs
    assert (bool(pair.surveyor.calibration), bool(pair.yard.calibration)) == told
    page = contents(made, pdf=False)[0]["comparison.html"].decode()
    if told[0]:
        assert f"from {his[0]} to {his[1]}" in pair.surveyor.calibration[0]
        assert "2026-07-07, lies outside" in pair.surveyor.calibration[0]
    assert ("Surveyor: Instrument calibration not shown" in plain_text(page)) is told[0]
    assert ("Yard: Instrument calibration not shown" in plain_text(page)) is told[1]
    counted = next(count for count in made.comparison.counts if count.words == NOT_CALIBRATED)
    assert (counted.number, counted.of) == (int(any(told)), 1)


def test_no_certificate_is_told_and_so_is_a_reading_that_only_he_has(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    rows = [*gloss_rows((88.0, 88.2), "2026-07-07", "SV-1"), *gloss_rows((88.0,), "2026-07-07", "SV-1", zone="Z2")]
    write(
        survey,
        {
            "instruments.csv": dated("SV-1", "G-4410", "2026-01-01", "2027-01-01", certificate=""),
            "coating/gloss.csv": lines(GLOSS_HEADS, *rows),
        },
    )
    made = compare(*read_both(hull, survey))
    (pair,), (alone,) = made.comparison.pairs, made.comparison.surveyor_only
    for side in (pair.surveyor, alone.side):
        assert "SV-1 (gloss) has no certificate number" in side.calibration[0]
    files = contents(made, pdf=False)[0]
    assert plain_text(files["comparison.html"].decode()).count("SV-1 (gloss) has no certificate number") == 2
    assert files["comparison.csv"].decode().count("SV-1 (gloss) has no certificate number") == 2


def plain_text(page: str) -> str:
    text = re.sub(r"<[^>]+>", "", page).replace("\u2060", "").replace("\u00a0", " ")
    return re.sub(r"\s+", " ", text)


def test_a_certificate_without_its_coverage_factor_keeps_the_instrument_without_its_uncertainty(tmp_path: Path) -> None:
    comparison = compared(tmp_path, meter=instrument("SV-1", "G-4410", "1", "")).comparison
    (pair,) = comparison.pairs
    assert (pair.outcome, pair.en) == (Outcome.NO_UNCERTAINTY, None)
    assert pair.why == ("by the surveyor (SV-1: U without its coverage factor k)",)
    assert pair.surveyor.instruments == ("SV-1, gloss meter, serial G-4410",)
    assert pair.surveyor.value == pytest.approx(87.9)
    (told,) = (words for words in comparison.faults if "coverage" in words)
    assert told.startswith("instruments.csv:2, column 'coverage': expected the coverage factor k")


def test_a_factor_that_is_wrong_is_another_matter(tmp_path: Path) -> None:
    """k = 9 is a typing error: which of U and k is meant nobody knows, so the row is not used, as before."""
    comparison = compared(tmp_path, meter=instrument("SV-1", "G-4410", "1", "9")).comparison
    (pair,) = comparison.pairs
    assert pair.outcome is Outcome.NO_UNCERTAINTY
    assert pair.why[0].startswith(
        "by the surveyor that could be read (instruments.csv:2, column 'coverage': expected a"
    )
    assert "SV-1 has no row in instruments.csv that can be used" in pair.surveyor.calibration[0]
    assert any("coverage" in words and "9" in words for words in comparison.faults)


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
    assert [(count.number, count.of) for count in comparison.filled if count.words == "Gloss"] == [(4, 3)]


def test_a_book_that_build_refuses_is_said_to_be_refused(tmp_path: Path) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    whole = compare(*read_both(hull, survey))
    table = hull / "hull.toml"
    table.write_text(table.read_text(encoding="utf-8") + '\n[release]\nwithold = ["places.csv"]\n', encoding="utf-8")
    assert make_book(hull).not_withheld
    refused = compare(*read_both(hull, survey))
    assert (whole.comparison.yard_book_refused, refused.comparison.yard_book_refused) == (False, True)
    words = "build refuses to write this book"
    assert (words in page_html(whole, ()), words in page_html(refused, ())) == (False, True)


def test_no_uncertainty_of_his_instrument(tmp_path: Path) -> None:
    (pair,) = compared(tmp_path, meter=instrument("SV-1", "G-4410", "", "")).comparison.pairs
    assert (pair.outcome, pair.why) == (Outcome.NO_UNCERTAINTY, ("by the surveyor",))


@pytest.mark.parametrize(
    ("meter", "flagged"),
    [
        (instrument("GL-01", "77-2019"), True),
        (instrument("SV-1", "SN 77 2019"), True),  # its serial number in another spelling
        (instrument("SV-1", "77-2019"), True),  # the same instrument under his own name
        (instrument("SV-1", "77-2019").replace("gloss meter", "glossmeter 60"), True),  # described otherwise
        (instrument("SV-1", "n/a"), False),  # no number, and another name
        (instrument("GL-01", "none"), True),  # no number, and the same name
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


@pytest.mark.parametrize("name", ["odd\\name.txt", "raw\\V1.wav", "C:name.txt", "bell\x07.txt"])
def test_a_name_that_no_reader_opens_is_told_in_one_line_and_stands_in_no_list(tmp_path: Path, name: str) -> None:
    hull, survey, out = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey"), tmp_path / "out"
    (survey / name).write_text("x", encoding="utf-8")
    status, words = said_by(hull, survey, out)
    assert status == 0, words
    (told,) = (it for it in compare(*read_both(hull, survey)).comparison.faults if it.endswith("It is not read."))
    assert told.startswith(f"{name}: ".replace("\x07", "\ufffd"))
    listed = (out / "SHA256SUMS.survey").read_text(encoding="utf-8")
    assert [line.split("  ")[1] for line in listed.splitlines()] == [
        "coating/gloss.csv",
        "hull.toml",
        "instruments.csv",
    ]


# Each folder is judged once.
def test_each_folder_is_judged_once_and_the_yards_findings_are_those_of_its_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hull, survey = small_hull(tmp_path / "hull"), small_survey(tmp_path / "survey")
    asked: list[Evidence] = []

    def counted(evidence: Evidence, chapters: Sequence[Chapter], belongs: Belongs = any_may) -> tuple[Finding, ...]:
        asked.append(evidence)
        return judge(evidence, chapters, belongs)

    for module in ("buildbook.pipeline", "buildbook.second.reading"):
        monkeypatch.setattr(f"{module}.judge", counted)
    first, second, _ = read_both(hull, survey)
    assert asked == [second.evidence, first.evidence]
    assert first.findings == judge(first.evidence, MEASURED)
