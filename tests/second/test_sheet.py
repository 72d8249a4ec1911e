"""The sheet: what is printed on it, what never is, and that a filled one is read back."""

from __future__ import annotations

import csv
import io
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.systems.records.electric import Bonding
from buildbook.cli import app
from buildbook.core.evidence import Evidence
from buildbook.core.face import Paper
from buildbook.core.record import Record
from buildbook.parcel.csv_text import neutral, plain
from buildbook.pipeline import gathered_evidence, sayable
from buildbook.readers.folder import Folder
from buildbook.readers.hull_file import read_hull
from buildbook.render.place import Refused
from buildbook.second.comparing import compare
from buildbook.second.kinds import ASKED, SHEETS
from buildbook.second.quantities import looked_up_by
from buildbook.second.reading import read_both
from buildbook.second.rows import SheetTable, sheet_tables
from buildbook.second.sheet import NothingToMeasure, cell, hull_stub, sheet_files, write_sheet
from buildbook.second.sheet_pdf import sheet_pdf
from buildbook.sources import hull_spans
from tests.second.parties import (
    GLOSS_HEADS,
    HULL,
    INSTRUMENT_HEADS,
    gloss_rows,
    instrument,
    lines,
    small_hull,
    small_survey,
    write,
)

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"


@pytest.fixture(scope="module")
def evidence() -> Evidence:
    folder = Folder(DEMO)
    hull, specification, _ = read_hull(folder, sayable(), hull_spans())
    return gathered_evidence(folder, hull, specification)[1]


@pytest.fixture(scope="module")
def sheet(evidence: Evidence) -> dict[str, bytes]:
    return sheet_files(evidence, pdf=False)[0]


@pytest.fixture(scope="module")
def small_print(evidence: Evidence) -> bytes:
    """The printed sheet of the demonstration, with the first few rows of each table: a page for each."""
    return sheet_pdf(evidence, short(evidence), Paper.A4)


def short(evidence: Evidence) -> tuple[SheetTable, ...]:
    return tuple(replace(table, rows=table.rows[:6]) for table in sheet_tables(evidence))


def rows(data: bytes) -> list[dict[str, str]]:
    read = csv.DictReader(io.StringIO(data.decode("utf-8")))
    return [{head.split(" [")[0]: value for head, value in row.items()} for row in read]


def words(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_every_table_that_was_asked_for_is_on_the_sheet_with_the_heads_of_the_hull_folder(
    sheet: dict[str, bytes],
) -> None:
    for asked in ASKED:
        name = asked.kind.table.file
        assert sheet[name].splitlines()[0] == (DEMO / name).read_bytes().splitlines()[0], name
        assert len(rows(sheet[name])) > 1
    assert all(set(row.values()) == {""} for row in rows(sheet["instruments.csv"]))


def test_all_columns_but_those_printed_are_empty(sheet: dict[str, bytes]) -> None:
    for asked in ASKED:
        for row in rows(sheet[asked.kind.table.file]):
            filled = {name for name, value in row.items() if value}
            assert filled <= set(asked.printed)
            assert not filled & set(asked.values)


def changed(row: Record, kept: tuple[str, ...]) -> Record:
    """The same row with every number and text of the yard changed but for what the sheet prints."""
    new: dict[str, object] = {}
    for name in row.columns():
        value = getattr(row, name)
        if name in kept or value is None or isinstance(value, bool):
            continue
        if isinstance(value, float):
            new[name] = value * 1.37 + 11.11
        elif isinstance(value, str):
            new[name] = f"{value} and 777.77"
    return row.model_copy(update=new)


def test_no_value_of_the_yard_is_on_it_whatever_the_values_are(
    evidence: Evidence, sheet: dict[str, bytes], small_print: bytes
) -> None:
    """Every reading, time and note of the yard is changed; the sheet stays the same to the byte, print included."""
    asked = {one.kind: one.printed for one in ASKED}
    other = {
        kind: tuple(changed(row, asked[kind]) for row in kept) if kind in asked else kept
        for kind, kept in evidence.records.items()
    }
    changed_rows = sum(a != b for kind in asked for a, b in zip(evidence.of(kind), other[kind], strict=True))
    assert changed_rows > 700
    moved = replace(evidence, records=other)
    assert sheet_files(moved, pdf=False)[0] == sheet
    assert sheet_pdf(moved, short(moved), Paper.A4) == small_print


def of_print(pdf: bytes) -> str:
    return " ".join(words(pdf).replace("\u00ad", "").replace("\r", " ").split())


def test_the_words_that_an_instrument_wants_are_printed_for_the_tables_of_this_sheet_alone(
    evidence: Evidence, small_print: bytes
) -> None:
    """The words are those of the demonstration's own instruments, where its readings find theirs."""
    table = csv.DictReader((DEMO / "instruments.csv").read_text(encoding="utf-8").splitlines())
    known = {row["quantity"] for row in table}
    every = {it.quantity for it in looked_up_by(one.kind for one in ASKED)}
    assert every - known <= {"angle", "height", "pitch", "velocity"} != every
    printed = of_print(small_print)
    listed = printed[printed.index("U of its instrument by it.") : printed.index("instrument quantity type")]
    for it in looked_up_by(one.kind for one in ASKED):
        assert f"{it.quantity}: {', '.join(it.tables).lower()}" in listed
    assert listed.count(":") == len(every)
    one = sheet_pdf(evidence, [table for table in short(evidence) if table.asked.kind is Bonding], Paper.A4)
    assert "U of its instrument by it. resistance: bonding of metal fittings instrument" in of_print(one)
    assert "laminate thickness" not in of_print(one)


def test_a_reading_is_known_by_the_word_that_is_printed(tmp_path: Path) -> None:
    """With the word its U is there, with another it is not."""
    outcomes = []
    for word in ("gloss", "shine"):
        meter = instrument("SV-1", "G-4410").replace(",gloss,", f",{word},", 1)
        hull, survey = small_hull(tmp_path / word / "hull"), small_survey(tmp_path / word / "survey", meter=meter)
        (pair,) = compare(*read_both(hull, survey)).comparison.pairs
        outcomes.append(pair.surveyor.expanded is not None)
    assert outcomes == [True, False]


def test_the_guide_names_every_word_that_a_sheet_may_want() -> None:
    guide = (Path(__file__).parents[2] / "docs" / "guide" / "compare.md").read_text(encoding="utf-8")
    bullet = guide[guide.index("- `instruments.csv`") : guide.index("- `hull.toml`")]
    named = re.findall(r"`([^`]+)`", bullet[bullet.index("All of them: ") :])
    assert set(named) == {it.quantity for it in looked_up_by(one.kind for one in ASKED)}


def test_attempts_begin_anew_and_positions_are_those_as_left(evidence: Evidence, sheet: dict[str, bytes]) -> None:
    film = rows(sheet["coating/film_thickness.csv"])
    assert {row["attempt"] for row in film} == {"1"}
    again = [row for row in evidence.of(FilmReading, zone="Z3") if row.attempt == 2]
    assert 0 < len(again) == sum(row["zone"] == "Z3" for row in film)
    runs = {row["run"] for row in rows(sheet["vibration/records.csv"])}
    assert {row["run"] for row in rows(sheet["trial/runs.csv"])} == runs


def test_pitch_is_one_row_for_each_blade_and_radius(sheet: dict[str, bytes]) -> None:
    pitch = rows(sheet["propeller/pitch.csv"])
    assert len(pitch) == 2 * 5 * 8
    assert len({(row["propeller"], row["blade"], row["radius"]) for row in pitch}) == len(pitch)


def test_print_has_heads_with_units_places_in_words_and_cautions(small_print: bytes) -> None:
    text = re.sub(r"\s+", " ", words(small_print))
    for expected in (
        "Topsides, port: 9.5 m from the transom, 2.45 m to port, 1.1 m above the waterline",
        "gloss [GU]",
        "thickness [µm]",
        "pitch [mm]",
        "shaft speed [r/min]",
        "under the hull only where she is shored",
        "A shaft that turns takes off a hand",
        "every number in this book are invented",
    ):
        assert expected.lower() in text.lower(), expected


@pytest.mark.parametrize("paper", list(Paper))
def test_both_papers(tmp_path: Path, paper: Paper) -> None:
    laid = write_sheet(small_hull(tmp_path / "hull"), tmp_path / "sheet", paper)
    assert "sheet.pdf" in laid.files
    with (tmp_path / "sheet" / "sheet.pdf").open("rb") as file:
        width, height = pypdfium2.PdfDocument(file.read())[0].get_size()
    long, short = (297.0, 210.0) if paper is Paper.A4 else (279.4, 215.9)
    assert (width, height) == (pytest.approx(long * 72 / 25.4, abs=0.5), pytest.approx(short * 72 / 25.4, abs=0.5))


def test_a_sheet_is_never_written_over(tmp_path: Path) -> None:
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "sheet"
    write_sheet(hull, out)
    filled = (out / "coating" / "gloss.csv").read_text().replace("Z1,1,1,60,,,", "Z1,1,1,60,88.1,2026-07-07 10:00,SV-1")
    (out / "coating" / "gloss.csv").write_text(filled)
    with pytest.raises(Refused, match="not empty"):
        write_sheet(hull, out)
    done = CliRunner().invoke(app, ["remeasure", str(hull), "-o", str(out)])
    assert done.exit_code == 2
    assert (out / "coating" / "gloss.csv").read_text() == filled


def test_nothing_to_measure_is_said_and_nothing_written(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    (hull / "coating" / "gloss.csv").unlink()
    with pytest.raises(NothingToMeasure):
        write_sheet(hull, tmp_path / "sheet")
    assert not (tmp_path / "sheet").exists()


def test_what_was_planned_and_not_measured_has_rows(tmp_path: Path) -> None:
    heads = "line,stage,characteristic,check,place,requirement,method,record,readings,point,party"
    line = "ITP-1,topcoat,gloss,COA-11,Z2,SPEC-07,gauge,coating/gloss.csv,4,monitor,QA"
    hull = write(small_hull(tmp_path / "hull"), {"plan.csv": f"{heads}\n{line}\n"})
    write_sheet(hull, tmp_path / "sheet")
    made = rows((tmp_path / "sheet" / "coating" / "gloss.csv").read_bytes())
    assert [(row["zone"], row["number"], row["angle"]) for row in made if row["zone"] == "Z2"] == [
        ("Z2", str(number), "") for number in range(1, 5)
    ]


def test_a_sheet_filled_in_part_is_read_back_and_compared(tmp_path: Path) -> None:
    """Round trip: two of three positions filled, in another order, with a semicolon table as an office writes it."""
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "sheet"
    write_sheet(hull, out)
    text = (out / "hull.toml").read_text().replace("# as_of = YYYY-MM-DD", "as_of = 2026-07-08")
    (out / "hull.toml").write_text(text)
    gloss = (out / "coating" / "gloss.csv").read_text().splitlines()
    gloss[1], gloss[3] = "Z1,1,1,60,87.9,2026-07-07 10:00,SV-1", "Z1,1,3,60,88.3,2026-07-07 10:02,SV-1"
    (out / "coating" / "gloss.csv").write_text("\n".join(gloss).replace(",", ";") + "\n")
    heads = (out / "instruments.csv").read_text().splitlines()
    own = dict(zip(INSTRUMENT_HEADS.split(","), instrument("SV-1", "G-1").split(","), strict=True))
    heads[1] = ",".join(own.get(name, "") for name in heads[0].split(","))
    (out / "instruments.csv").write_text("\n".join(heads) + "\n")
    comparison = compare(*read_both(hull, out)).comparison
    assert comparison.faults == ()
    assert [(count.number, count.of) for count in comparison.filled] == [(2, 3)]
    (pair,) = comparison.pairs
    assert pair.surveyor.value == pytest.approx(88.1)
    assert pair.outcome.value == "agree"
    assert pair.surveyor.verdict.value == "pass"


@pytest.mark.parametrize("place", ["-Z1", "=Z1", "@Z1", "'-Z1", "''=Z1", "'Z1", "-1"])
@pytest.mark.parametrize("places_brought", [True, False])
def test_an_id_that_a_spreadsheet_would_run_comes_back_as_it_was(
    tmp_path: Path, place: str, places_brought: bool
) -> None:
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "sheet"
    for name in ("places.csv", "coating/gloss.csv"):
        write(hull, {name: (hull / name).read_text().replace("Z1,", f"{place},")})
    write_sheet(hull, out)
    (out / "hull.toml").write_text(
        (out / "hull.toml").read_text().replace("# as_of = YYYY-MM-DD", "as_of = 2026-07-08")
    )
    gloss = (out / "coating" / "gloss.csv").read_text()
    assert not re.search(r"^[-=@][^0-9]", gloss, re.MULTILINE)
    for number in range(1, 4):
        gloss = gloss.replace(f",1,{number},60,,", f",1,{number},60,88.1,2026-07-07 10:00,SV-1").replace(
            "SV-1,", "SV-1"
        )
    write(out, {"coating/gloss.csv": gloss, "instruments.csv": lines(INSTRUMENT_HEADS, instrument("SV-1", "G-1"))})
    if not places_brought:
        (out / "places.csv").unlink()
    comparison = compare(*read_both(hull, out)).comparison
    assert [pair.subject.place for pair in comparison.pairs] == [place]
    assert comparison.pairs[0].subject.place_words == "Topsides"
    assert comparison.pairs[0].outcome.value == "agree"
    assert (comparison.surveyor_only, comparison.yard_only) == ((), ())


@given(st.text(st.sampled_from("'=+-@\t\r12.,eZ "), max_size=8) | st.text(max_size=8))
def test_every_text_comes_back_as_it_was_and_none_runs(text: str) -> None:
    assert plain(cell(text)) == text == plain(neutral(text))
    assert cell(text) == neutral(text)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back_as_it_was(value: float) -> None:
    assert float(cell(value)) == value


def test_a_place_with_many_digits_is_the_same_place_when_it_comes_back(tmp_path: Path) -> None:
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "sheet"
    write(hull, {"places.csv": (hull / "places.csv").read_text().replace("9.5,-2.45", "9.51234567890123,-2.45")})
    write_sheet(hull, out)
    assert "9.51234567890123," in (out / "places.csv").read_text()
    write(out, {"coating/gloss.csv": lines(GLOSS_HEADS, *gloss_rows((87.9,), "2026-07-07", "SV-1"))})
    assert read_both(hull, out)[2] == ()


def test_the_stub_names_the_same_hull_and_no_limit() -> None:
    hostile = replace(HULL, name='A "quoted"\nname\\', demonstration="Invented.")
    text = hull_stub(hostile)
    assert "[[limits]]" not in text
    read = tomllib.loads(text)
    assert read["hull"]["name"] == hostile.name
    assert read["hull"]["number"] == HULL.number
    assert "as_of" not in read


def test_cells_that_a_spreadsheet_would_run_are_made_harmless() -> None:
    assert [cell(text) for text in ("=A1", "+1+1", "@x", "-2.5", "plain")] == ["'=A1", "'+1+1", "'@x", "-2.5", "plain"]


def test_every_table_of_the_sheet_is_known_to_the_reader(evidence: Evidence) -> None:
    assert {table.asked.kind for table in sheet_tables(evidence)} <= set(SHEETS)
