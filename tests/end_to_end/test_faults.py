"""Tables spoiled in a copy of the demonstration folder: said with file and line, and no verdict gets better.

`tests/slow/test_fuzz.py` does the same to rows, cells and bytes drawn at random.
"""

from __future__ import annotations

import io
import random
import re
import zipfile
from collections.abc import Callable, Iterable
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.core.finding import Verdict
from buildbook.core.record import Record, about
from buildbook.pipeline import Made
from buildbook.readers.choices import is_number
from buildbook.readers.units import accepted, convert
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import (
    HULL,
    Sheet,
    Spoil,
    a_fifth,
    better,
    cell,
    faults,
    findings,
    in_table,
    made_after,
    sound_part,
    tables,
    told,
    verdicts,
    without_row,
)

KINDS: dict[str, type[Record]] = {kind.table.file: kind for chapter in CHAPTERS for kind in chapter.tables}
SHEETS = {file: Sheet.read(HULL / file) for file in tables(HULL)}
PRESENT = [(file, name) for file in SHEETS for name in KINDS[file].columns() if name in SHEETS[file].names]
LONG = "coating/film_thickness.csv"
ALWAYS = {LONG, "coating/climate.csv", "laminate/burn_off.csv", "plan.csv"}


def some(files: Iterable[str]) -> list[Any]:
    """All files as parameters: those of `ALWAYS` in every run, the others with the slow tests."""
    return [pytest.param(file, marks=() if file in ALWAYS else pytest.mark.slow) for file in files]


def test_the_copy_is_judged_like_the_demonstration(sound: Book) -> None:
    assert verdicts(sound) == verdicts(demonstration().book)
    kinds = set(verdicts(sound).values())
    assert kinds >= {Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED}
    assert faults(sound) == []


def test_every_table_of_the_program_is_in_the_demonstration() -> None:
    assert set(SHEETS) == set(KINDS)


def test_a_better_verdict_would_be_noticed(hull: Path, sound: Book) -> None:
    """The measure that all other tests use sees it when a limit is made easier."""

    def easier(path: Path) -> None:
        path.write_bytes(path.read_bytes().replace(b'low = 85\nunit = "GU"', b'low = 15\nunit = "GU"'))

    made = made_after(hull, "hull.toml", easier)
    assert any("conditional pass became pass" in line for line in better(sound, made.book))


# --- whole tables -------------------------------------------------------------------------------------------------


def heads_only(sheet: Sheet) -> None:
    del sheet.rows[1:]


@pytest.mark.parametrize("file", some(SHEETS))
def test_a_table_deleted(spoil: Spoil, file: str) -> None:
    _says_what_is_missing(spoil(file, Path.unlink), file, "is not in the folder")


@pytest.mark.parametrize("file", some(SHEETS))
def test_a_table_with_heads_and_no_rows(spoil: Spoil, file: str) -> None:
    _says_what_is_missing(spoil(file, in_table(heads_only)), file, "has heads and no rows")


EMPTIED = ("plan.csv", "coating/climate.csv", "instruments.csv", "nonconformities.csv")
NOTHING = {"no bytes": b"", "blank lines": b"\n\n \n"}


@pytest.mark.parametrize(
    ("file", "content"),
    a_fifth(product(EMPTIED, NOTHING.values())),
    ids=[f"{how}-{file}" for file, how in product(EMPTIED, NOTHING)],
)
def test_a_table_emptied(spoil: Spoil, file: str, content: bytes) -> None:
    _says_what_is_missing(spoil(file, lambda path: path.write_bytes(content)), file, "is empty")


def _says_what_is_missing(made: Made, file: str, state: str) -> None:
    """The table's own page says it; every check that rests on the table has bad news, in which the file is named."""
    (view,) = [view for view in made.book.tables if view.file == file]
    assert view.state.startswith(state)
    resting = [check.id for chapter in CHAPTERS for check in chapter.checks if KINDS[file] in check.tables]
    news = [item.finding for item in made.book.exceptions]
    for check in resting:
        assert any(finding.key.check == check for finding in news), check
    words = [note for finding in news for note in finding.notes] + [str(fault) for fault in faults(made.book)]
    assert any(file in text for text in words) or not resting


RUBBISH = {
    "random bytes": random.Random(4).randbytes(4000),
    "a picture": b"\x89PNG\r\n\x1a\n" + random.Random(5).randbytes(500),
    "zero bytes": b"zone,at\n\x00\x00\x00\n",
    "UTF-16": "zone,at\nZ1,2026-03-16 09:00\n".encode("utf-16"),
}


@pytest.mark.parametrize("file", some(SHEETS))
def test_binary_rubbish_as_csv(spoil: Spoil, file: str) -> None:
    assert told(spoil(file, lambda path: path.write_bytes(RUBBISH["random bytes"])), file)


@pytest.mark.parametrize(
    ("file", "content"),
    a_fifth(product((LONG, "plan.csv"), RUBBISH.values())),
    ids=[f"{file}-{how}" for file, how in product((LONG, "plan.csv"), RUBBISH)],
)
def test_other_files_as_csv(spoil: Spoil, file: str, content: bytes) -> None:
    (fault,) = told(spoil(file, lambda path: path.write_bytes(content)), file, None, "expected")
    assert "Nothing in this file can be used" in fault


def test_a_table_saved_as_utf_16(spoil: Spoil) -> None:
    made = spoil("moisture.csv", lambda path: path.write_bytes(path.read_text(encoding="utf-8").encode("utf-16")))
    assert told(made, "moisture.csv", None, "UTF-16")


def test_a_workbook_renamed(spoil: Spoil) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    made = spoil("coating/gloss.csv", lambda path: path.write_bytes(packed.getvalue()))
    assert told(made, "coating/gloss.csv", None, "a workbook")


# --- rows ---------------------------------------------------------------------------------------------------------

# The line of the plan for the zone that was never pulled (docs/decisions/0002).
NEVER_PULLED = ("plan.csv", 39)


@pytest.mark.parametrize("file", some(SHEETS))
def test_a_row_deleted(spoil: Spoil, file: str) -> None:
    last = len(SHEETS[file].body) - 1
    for row in dict.fromkeys((last // 2, last)):
        if file != "coating/climate.csv":  # shortened in the copy; its rows are deleted further below
            spoil(file, without_row(row))


def test_the_line_of_a_place_never_measured_is_not_its_only_trace(spoil: Spoil) -> None:
    """A painted zone without a pull-off or a cross-cut is a gap, whether the plan asks for one or not."""
    file, row = NEVER_PULLED
    assert SHEETS[file].body[row][SHEETS[file].index("place")] == "Z7"
    spoil(file, without_row(row))


def test_climate_readings_deleted_while_a_coat_went_on(spoil: Spoil, hull: Path) -> None:
    """The reading nearest to the dew point, and an hour and a half of readings."""
    sheet = Sheet.read(hull / "coating/climate.csv")
    rows = [n for n, (zone, at) in enumerate(sheet.pairs("zone", "at")) if zone == "Z3" and at[:10] == "2026-03-12"]
    assert len(rows) > 10
    for start in (rows[len(rows) // 2], rows[2]):
        made = spoil("coating/climate.csv", in_table(partial(_cut, start)))
        assert made.book.exceptions


def _cut(start: int, sheet: Sheet) -> None:
    del sheet.rows[start : start + 4]


@pytest.mark.parametrize(
    ("file", "column", "worst"),
    [
        (LONG, "thickness", min),
        ("coating/pull_off.csv", "force", min),
        ("coating/gloss.csv", "gloss", min),
        ("coating/appearance.csv", "dust", max),
        ("coating/cross_cut.csv", "rating", max),
        ("hardness.csv", "barcol", min),
        ("moisture.csv", "reading", max),
        ("coating/metal_parts.csv", "dust_size", max),
    ],
)
def test_the_worst_reading_deleted(
    spoil: Spoil, file: str, column: str, worst: Callable[[list[tuple[float, int]]], tuple[float, int]]
) -> None:
    sheet = SHEETS[file]
    known = [(number, row) for row in range(len(sheet.body)) if (number := sheet.number(row, column)) is not None]
    spoil(file, without_row(worst(known)[1]))


@pytest.mark.parametrize(
    "file", [LONG, "coating/coats.csv", "coating/products.csv", "places.csv", "plan.csv", "instruments.csv"]
)
def test_a_row_twice(spoil: Spoil, file: str) -> None:
    sheet = SHEETS[file]
    row = len(sheet.body) // 2
    made = spoil(file, in_table(lambda sheet: sheet.rows.append(list(sheet.rows[row + 1]))))
    assert told(made, file, sheet.line(len(sheet.body)), "again")


@pytest.mark.parametrize("file", some(file for file in SHEETS if file != "coating/climate.csv"))
def test_a_key_twice(spoil: Spoil, file: str) -> None:
    sheet = SHEETS[file]

    def change(sheet: Sheet) -> None:
        if len(sheet.body) == 1:
            sheet.rows.append(list(sheet.body[0]))
        for name in KINDS[file].table.key:
            sheet.set(1, name, sheet.body[0][sheet.index(name)])

    assert told(spoil(file, in_table(change)), file, sheet.line(1), "again, as in line 2")


@pytest.mark.slow
def test_two_rows_changed_about_changes_nothing(spoil: Spoil, hull: Path, sound: Book) -> None:
    for file in (LONG, "coating/coats.csv", "coating/pull_off.csv", "nonconformities.csv", "plan.csv"):
        made = spoil(file, in_table(lambda sheet: sheet.rows.insert(1, sheet.rows.pop(3))))
        assert verdicts(made.book) == verdicts(sound_part(hull, sound, file))


# --- cells --------------------------------------------------------------------------------------------------------

NUMBERS = [(file, name) for file, name in PRESENT if is_number(KINDS[file].columns()[name])]
OFTEN = [case for case in NUMBERS if case[0] in ALWAYS]  # `tests/slow/test_fuzz.py` spoils each row of every column
WORDS = [(file, name) for file, name in PRESENT if any(SHEETS[file].values(name))]


def worst_rows(sheet: Sheet, column: str) -> tuple[int, ...]:
    """The rows with the smallest and the largest number of a column: one of them decides, whatever the limit is."""
    known = [(number, row) for row in range(len(sheet.body)) if (number := sheet.number(row, column)) is not None]
    return tuple(dict.fromkeys((min(known)[1], max(known)[1]))) if known else ()


@pytest.mark.parametrize(("file", "column"), OFTEN)
def test_a_word_for_a_number(spoil: Spoil, hull: Path, file: str, column: str) -> None:
    sheet = Sheet.read(hull / file)
    rows = worst_rows(sheet, column)
    assert rows or not any(sheet.values(column))
    for row in rows:
        sheet.set(row, column, "damp")
    made = spoil(file, lambda path: path.write_text(sheet.text(), encoding=sheet.encoding, newline=""))
    for row in rows:
        (fault,) = told(made, file, sheet.line(row), "'damp'")
        assert f"column '{sheet.rows[0][sheet.index(column)]}'" in fault


@pytest.mark.parametrize("file", some(SHEETS))
def test_a_word_for_a_date_or_a_choice(spoil: Spoil, hull: Path, file: str) -> None:
    """Every column that is neither a number nor free text, each in a row of its own where there are enough."""
    sheet = Sheet.read(hull / file)
    spoilt: list[tuple[int, str]] = []
    for name, info in KINDS[file].columns().items():
        free = info.annotation in (str, str | None) or is_number(info)
        filled = [row for row, text in enumerate(sheet.values(name)) if text] if name in sheet.names else []
        if filled and not free:
            spoilt.append((filled[len(spoilt) % len(filled)], name))
    for row, name in spoilt:
        sheet.set(row, name, "soon")
    made = spoil(file, lambda path: path.write_text(sheet.text(), encoding=sheet.encoding, newline=""))
    for row, name in spoilt:
        assert told(made, file, sheet.line(row), "'soon'", f"column '{name}'")


@pytest.mark.parametrize(
    ("column", "text"),
    a_fifth(
        [
            ("thickness", "1,25,0"),
            ("thickness", "2O6"),
            ("thickness", "-206"),
            ("thickness", "2060000"),
            ("thickness", "206 um"),
            ("thickness", "200-210"),
            ("thickness", "nan"),
            ("thickness", "inf"),
            ("thickness", "1e400"),
            ("thickness", "=A1+A2"),
            ("thickness", "#REF!"),
            ("thickness", "<210"),
            ("attempt", "0"),
            ("attempt", "1.5"),
            ("number", "1000000"),
            ("extra", "perhaps"),
            ("at", "2026-02-30 10:00"),
            ("at", "25.3.2026 10:00"),
            ("at", "2026-03-25 10:00Z"),
            ("method", "guess"),
            ("instrument", "UT-99"),
            ("zone", "Z99"),
            ("thickness", ""),
            ("zone", ""),
        ]
    ),
)
def test_a_spoiled_cell_of_the_failed_reading(spoil: Spoil, column: str, text: str) -> None:
    """The reading that made the transom fail, cell by cell."""
    sheet = SHEETS[LONG]
    (row,) = [n for n, (zone, value) in enumerate(sheet.pairs("zone", "thickness")) if (zone, value) == ("Z3", "206")]
    assert told(spoil(LONG, cell(row, column, text)), LONG, sheet.line(row))


@pytest.mark.parametrize(
    "name", a_fifth(["instrument", "quantity", "calibrated", "due", "unit", "range_high", "uncertainty"])
)
def test_a_spoiled_instrument(spoil: Spoil, name: str) -> None:
    """The one whose readings come nearest to their limits, each cell of its row in turn."""
    sheet = SHEETS["instruments.csv"]
    (row,) = [n for n, name in enumerate(sheet.values("instrument")) if name == "GL-01"]
    for text in ("", "spoiled"):
        if (name, text) != ("uncertainty", ""):
            spoil("instruments.csv", cell(row, name, text))


@pytest.mark.parametrize(("name", "text"), [("UT-01", "1000"), ("PO-01", "3000"), ("GL-01", "100")])
def test_an_uncertainty_as_wide_as_the_range_is_told_and_helps_nobody(spoil: Spoil, name: str, text: str) -> None:
    """With a guard band wide enough a fail would look like a conditional one."""
    row = SHEETS["instruments.csv"].values("instrument").index(name)
    made = spoil("instruments.csv", cell(row, "uncertainty", text))
    assert told(made, "instruments.csv", SHEETS["instruments.csv"].line(row), "less than half of its range")


def test_an_uncertainty_left_blank_is_said_beside_every_verdict_that_rests_on_it(spoil: Spoil) -> None:
    """A yard may have no stated uncertainty; then nothing is a plain pass, and the book says so in words each time."""
    row = of("instruments.csv", instrument="GL-01")

    def blank(sheet: Sheet) -> None:
        for name in ("uncertainty", "coverage"):
            sheet.set(row, name, "")

    found = findings(spoil("instruments.csv", in_table(blank)).book)
    gloss = [one for key, one in found.items() if key.check == "COA-11" and one.measured is not None]
    assert len(gloss) > 10
    assert all(any("uncertainty was not stated" in note for note in one.notes) for one in gloss)
    assert not any(one.verdict is Verdict.PASS for one in gloss)


# --- dates --------------------------------------------------------------------------------------------------------


def of(file: str, **cells: str) -> int:
    """The first row with these cells, from 0."""
    sheet = SHEETS[file]
    return next(n for n in range(len(sheet.body)) if all(sheet.values(name)[n] == text for name, text in cells.items()))


DATES = [
    ("coating/coats.csv", {"coat": "Z1-1"}, "finished", "2026-03-17 09:00"),  # the next coat began 08:15
    ("coating/coats.csv", {"coat": "Z1-2"}, "started", "2026-03-16 10:00"),  # the coat below ended 10:50
    ("coating/coats.csv", {"coat": "Z1-2"}, "finished", "2026-03-17 08:00"),
    ("coating/coats.csv", {"coat": "Z1-2"}, "mixed", "2026-03-17 08:20"),
    ("coating/coats.csv", {"coat": "Z1-2"}, "started", "2062-03-17 08:15"),
    ("coating/preparation.csv", {"id": "P-001"}, "finished", "2026-02-18 07:00"),
    ("coating/metal_parts.csv", {"part": "M3"}, "primed_at", "2026-03-04 10:00"),
    ("coating/batches.csv", {"batch": "H-25-1204"}, "expires", "2025-11-01"),
    ("coating/film_thickness.csv", {"zone": "Z3"}, "at", "2062-03-25 10:00"),
    ("coating/effort.csv", {"stage": "de-wax"}, "day", "2027-02-19"),
    ("nonconformities.csv", {"report": "NCR-03"}, "closed_on", "2026-03-24"),
    ("nonconformities.csv", {"report": "NCR-03"}, "reinspected_on", "2027-04-07"),
    ("nonconformities.csv", {"report": "NCR-05"}, "found_on", "2026-05-14"),
    ("instruments.csv", {"instrument": "GL-01"}, "due", "2020-04-10"),
    ("hull_number.csv", {"kind": "plate"}, "read_on", "2026-07-02"),
    ("plan.csv", {"line": "ITP-01"}, "went_on", "2026-09-18 07:30"),
    ("documents.csv", {"document": "SPEC-07"}, "issued", "2026-10-01"),
    ("photographs.csv", {"check": "COA-02"}, "taken", "2036-02-20"),
]


@pytest.mark.parametrize(("file", "row", "column", "text"), a_fifth(DATES))
def test_a_date_after_the_next_step(spoil: Spoil, file: str, row: dict[str, str], column: str, text: str) -> None:
    at = of(file, **row)
    assert told(spoil(file, cell(at, column, text)), file, SHEETS[file].line(at), column)


@pytest.mark.parametrize(
    ("file", "row", "column", "text", "check"),
    [
        ("plan.csv", {"line": "ITP-05"}, "released_on", "2026-03-16 11:30", "REG-02"),
        ("coating/preparation.csv", {"id": "P-001"}, "finished", "2026-03-02 08:45", "COA-01"),
        ("coating/metal_parts.csv", {"part": "M3"}, "primed_at", "2026-03-05 12:10", "COA-14"),
        ("coating/coats.csv", {"coat": "Z1-2"}, "mixed", "2026-03-17 02:00", "COA-07"),
        ("coating/batches.csv", {"batch": "H-25-1204"}, "expires", "2026-03-01", "COA-07"),
        ("nonconformities.csv", {"report": "NCR-03"}, "reinspected_on", "2026-04-09", "REG-04"),
    ],
)
def test_a_date_that_can_be_and_is_too_late_fails(
    spoil: Spoil, sound: Book, file: str, row: dict[str, str], column: str, text: str, check: str
) -> None:
    def fails(book: Book) -> int:
        every = findings(book).items()
        return sum(key.check == check and one.verdict is Verdict.FAIL for key, one in every)

    assert fails(spoil(file, cell(of(file, **row), column, text)).book) > fails(sound)


# --- units --------------------------------------------------------------------------------------------------------

UNITS: dict[str, dict[str, str]] = {}
for _file, _name in PRESENT:
    if _unit := about(KINDS[_file].columns()[_name], "unit"):
        UNITS.setdefault(_file, {})[_name] = _unit


def with_unit(column: str, unit: str) -> Callable[[Path], None]:
    """Another head; the numbers stay."""
    return in_table(lambda sheet: sheet.rows[0].__setitem__(sheet.index(column), f"{column} [{unit}]"))


@pytest.mark.parametrize("file", some(UNITS))
def test_other_units_with_their_own_numbers_change_no_verdict(spoil: Spoil, hull: Path, sound: Book, file: str) -> None:
    """Every column of the table in the last other unit that the program offers for it, told in a notice each."""
    others = {name: [other for other in accepted(unit) if other != unit] for name, unit in UNITS[file].items()}
    wanted = {name: units[-1] for name, units in others.items() if units}
    alone = {"GU", "dB", "Hz", "ohm"}  # gloss units, decibels, hertz and ohms have no other
    assert {UNITS[file][name] for name in set(UNITS[file]) - set(wanted)} <= alone
    wanted = {name: unit for name, unit in wanted.items() if any(SHEETS[file].values(name))}  # nothing to convert else

    def change(sheet: Sheet) -> None:
        for name, other in wanted.items():
            difference = bool(about(KINDS[file].columns()[name], "difference"))
            sheet.rows[0][sheet.index(name)] = f"{name} [{other}]"
            for row in range(len(sheet.body)):
                if (number := sheet.number(row, name)) is not None:
                    value = convert(number, UNITS[file][name], other, difference)
                    sheet.set(row, name, repr(value).replace(".", sheet.mark))

    made = spoil(file, in_table(change))
    assert verdicts(made.book) == verdicts(sound_part(hull, sound, file))
    said = [fault.where.column for fault in made.book.faults if fault.severity is Severity.NOTICE]
    silent = [name for name, other in wanted.items() if f"{name} [{other}]" not in said and other != "degC"]
    assert [
        (name, wanted[name]) for name in silent if (UNITS[file][name], wanted[name]) != ("Nm", "J")
    ] == []  # as large


@pytest.mark.parametrize(
    ("file", "column", "unit"),
    a_fifth(
        [
            (LONG, "thickness", "mm"),
            (LONG, "thickness", "mil"),
            (LONG, "thickness", "in"),
            ("coating/climate.csv", "air", "degF"),
            ("coating/climate.csv", "air", "K"),
            ("coating/climate.csv", "surface", "degF"),
            ("coating/climate.csv", "humidity", "ppm"),
            ("coating/products.csv", "air_low", "degF"),
            ("coating/products.csv", "air_high", "degF"),
            ("coating/products.csv", "surface_high", "K"),
            ("coating/products.csv", "margin_low", "degF"),
            ("coating/products.csv", "pot_life", "min"),
            ("coating/products.csv", "pot_life", "d"),
            ("coating/products.csv", "pot_life_at", "degF"),
            ("coating/products.csv", "first_cure", "min"),
            ("coating/products.csv", "volume_solids", "ppm"),
            ("coating/windows.csv", "surface", "degF"),
            ("coating/coats.csv", "litres", "mL"),
            ("coating/coats.csv", "loss", "ppm"),
            ("coating/coats.csv", "wet_film", "mil"),
            ("coating/pull_off.csv", "force", "kN"),
            ("coating/pull_off.csv", "dolly", "in"),
            ("coating/cross_cut.csv", "spacing", "um"),
            ("coating/appearance.csv", "dust", "1/cm2"),
            ("coating/gloss.csv", "angle", "rad"),
            ("coating/metal_parts.csv", "profile", "mm"),
            ("coating/water_break.csv", "watched", "h"),
            ("places.csv", "area", "mm2"),
            ("places.csv", "x", "mm"),
        ]
    ),
)
def test_another_unit_over_the_same_numbers(spoil: Spoil, file: str, column: str, unit: str) -> None:
    """Told in the line of the heads with the first number before and after, where the rows are not refused."""
    said = [str(fault) for fault in spoil(file, with_unit(column, unit)).book.faults]
    assert any(re.match(rf"{re.escape(file)}:\d+, column '{column} \[{unit}\]'", text) for text in said), said


@pytest.mark.parametrize("file", some(UNITS))
def test_an_unknown_unit(spoil: Spoil, file: str) -> None:
    def change(sheet: Sheet) -> None:
        for name in UNITS[file]:
            sheet.rows[0][sheet.index(name)] = f"{name} [furlong]"

    made = spoil(file, in_table(change))
    for name in UNITS[file]:
        assert told(made, file, 1, f"column '{name} [furlong]'", "not a unit")


@pytest.mark.parametrize("file", some(UNITS))
def test_a_unit_of_another_kind_or_none(spoil: Spoil, file: str) -> None:
    column = next(iter(UNITS[file]))
    other = "V" if "A" in accepted(UNITS[file][column]) else "A"
    assert told(spoil(file, with_unit(column, other)), file, 1, f"{column} [{other}]", "another kind")
    bare = in_table(lambda sheet: sheet.rows[0].__setitem__(sheet.index(column), column))
    assert told(spoil(file, bare), file, 1, f"column '{column}'", "without one")


# --- how yards write tables ---------------------------------------------------------------------------------------


def _as_text(path: Path, change: Callable[[str], str]) -> None:
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8", newline="")


def _decimal_comma(path: Path) -> None:
    sheet = Sheet.read(path)
    numbers = (
        {name for name, info in KINDS[path.name].columns().items() if is_number(info)} if path.name in KINDS else ()
    )
    numbers = numbers or {"thickness", "litres", "loss", "thinning", "reading", "dry_reference"}
    for row in sheet.body:
        for at, name in enumerate(sheet.names):
            if name in numbers:
                row[at] = row[at].replace(".", ",")
    sheet.delimiter = ";"
    sheet.write()


def _each(how: Callable[[list[str]], object]) -> Callable[[Sheet], None]:
    """The same change of every row, heads included."""

    def change(sheet: Sheet) -> None:
        for row in sheet.rows:
            how(row)

    return change


WRITTEN = {
    "decimal commas and semicolons": _decimal_comma,
    "blank lines": lambda path: _as_text(path, lambda text: text.replace("\n", "\n\n")),
    "Windows line ends": lambda path: _as_text(path, lambda text: text.replace("\n", "\r\n")),
    "a byte order mark": lambda path: _as_text(path, lambda text: "\ufeff" + text),
    "cp1252": lambda path: path.write_bytes(path.read_text(encoding="utf-8").encode("cp1252")),
    "columns the other way round": in_table(_each(lambda row: row.reverse())),
    "heads in capitals": in_table(lambda sheet: sheet.rows.__setitem__(0, _capitals(sheet.rows[0]))),
    "an unknown column": in_table(_each(lambda row: row.append("?"))),
    "spaces around cells": in_table(lambda sheet: sheet.rows.__setitem__(slice(1, None), _spaced(sheet.body))),
    "empty columns behind": in_table(_each(lambda row: row.extend(["", ""]))),
}


def _capitals(heads: list[str]) -> list[str]:
    return [head if "[" in head else head.upper() for head in heads]


def _spaced(rows: list[list[str]]) -> list[list[str]]:
    return [[f"  {cell} " for cell in row] for row in rows]


@pytest.mark.parametrize("how", a_fifth(WRITTEN.values()), ids=WRITTEN)
@pytest.mark.parametrize("file", [LONG, "coating/coats.csv"])
def test_ways_of_writing_a_table_change_no_verdict(
    spoil: Spoil, hull: Path, sound: Book, file: str, how: Callable[[Path], object]
) -> None:
    made = spoil(file, how)
    assert faults(made.book) == []
    assert verdicts(made.book) == verdicts(sound_part(hull, sound, file))


def test_a_note_over_several_lines_keeps_the_lines_of_the_rows_below(spoil: Spoil) -> None:
    """The lines in messages are those an editor shows."""
    sheet = SHEETS["places.csv"]

    def change(sheet: Sheet) -> None:
        sheet.set(2, "note", "one\ntwo\nthree")
        sheet.set(5, "area", "large")

    made = spoil("places.csv", in_table(change))
    assert told(made, "places.csv", sheet.line(5) + 2, "'large'")


BROKEN = {
    "too many cells": (lambda sheet: sheet.body[4].append("more"), "cells"),
    "too few cells": (lambda sheet: sheet.body[4].pop(), "cells"),
    "a control character": (lambda sheet: sheet.set(4, "system", "primer\x07"), "a control character"),
    "a very long cell": (lambda sheet: sheet.set(4, "system", "x" * 20_000), "characters in a cell"),
}


@pytest.mark.parametrize(("how", "words"), BROKEN.values(), ids=BROKEN)
def test_a_row_that_cannot_be_told_apart(spoil: Spoil, how: Callable[[Sheet], object], words: str) -> None:
    assert told(spoil(LONG, in_table(how)), LONG, 6, words)


def test_a_quote_that_is_never_closed(spoil: Spoil) -> None:
    def change(path: Path) -> None:
        lines = path.read_text(encoding="utf-8").splitlines()
        lines[5] = lines[5].replace('"primer', '"primer"x')
        path.write_text("\n".join(lines), encoding="utf-8")

    assert told(spoil(LONG, change), LONG, 6, "quote")


def test_a_column_lost_doubled_or_misspelled(spoil: Spoil) -> None:
    at = SHEETS[LONG].index("thickness")
    lost = in_table(_each(lambda row: row.pop(at)))
    assert told(spoil(LONG, lost), LONG, 1, "thickness [um]")
    doubled = in_table(_each(lambda row: row.append(row[at])))
    assert told(spoil(LONG, doubled), LONG, 1, "each head once")
    misspelled = in_table(lambda sheet: sheet.rows[0].__setitem__(at, "thicknes [um]"))
    assert told(spoil(LONG, misspelled), LONG, 1, "a misspelling?")


def test_reports_cannot_be_turned_to_other_findings(spoil: Spoil) -> None:
    """Each cell by which a report names its finding, changed to another that exists."""
    for column, text in (
        ("place", "Z1"),
        ("check", "COA-11"),
        ("attempt", "2"),
        ("quantity", "largest film thickness"),
    ):
        spoil("nonconformities.csv", cell(of("nonconformities.csv", report="NCR-03"), column, text))
