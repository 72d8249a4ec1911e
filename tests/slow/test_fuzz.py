"""The demonstration folder spoiled at random, in cells, rows, heads, bytes: no traceback, no better verdict.

Every column of every table is gone through as well: a fixed part of them in the slow tests, all in `make test-deep`,
which draws more as well. The draws are the same each time; `--hypothesis-seed` gives others.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.core.fault import Severity
from buildbook.pipeline import make_book
from buildbook.readers.refused import Refused
from buildbook.readers.units import accepted, convert
from tests.end_to_end.spoiling import (
    Copy,
    Sheet,
    better,
    cell,
    copied,
    faults,
    in_table,
    reading,
    sound_part,
    told,
    without_row,
)
from tests.end_to_end.test_faults import KINDS, NUMBERS, PRESENT, SHEETS, UNITS, with_unit, worst_rows

pytestmark = pytest.mark.slow
often = settings(max_examples=settings().max_examples * 2 // 5)  # 40, deep 400


def a_fifth(cases: Sequence[tuple[str, ...]]) -> list[Any]:
    """Cases as parameters: every fifth with the slow tests, the others with the deep ones."""
    return [pytest.param(*case, marks=() if at % 5 == 0 else pytest.mark.deep) for at, case in enumerate(cases)]


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    return Copy(copied(tmp_path_factory.mktemp("fuzz") / "hull"))


# --- every column -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("file", "column"), a_fifth(NUMBERS))
def test_a_word_for_each_of_the_extreme_numbers(copy: Copy, file: str, column: str) -> None:
    sheet = Sheet.read(copy.folder / file)
    for row in worst_rows(sheet, column):
        (fault,) = told(copy.spoiled(file, cell(row, column, "damp")), file, sheet.line(row), "'damp'")
        assert f"column '{sheet.rows[0][sheet.index(column)]}'" in fault


# A blank here is not a loss but a statement that the table allows: the certificate's U holds the resolution already.
MAY_BE_BLANK = {("instruments.csv", "resolution")}


@pytest.mark.parametrize(("file", "column"), a_fifth(PRESENT))
def test_a_blank_in_every_column(copy: Copy, file: str, column: str) -> None:
    if (file, column) in MAY_BE_BLANK:
        return
    sheet = Sheet.read(copy.folder / file)
    filled = [row for row, text in enumerate(sheet.values(column)) if text]
    extremes = worst_rows(sheet, column)
    for row in dict.fromkeys((*filled[:1], *filled[len(filled) // 2 :][:1], *filled[-1:], *extremes)):
        copy.spoiled(file, cell(row, column, ""))


# A head may give a wrong unit of the right kind over numbers that stay plausible. No program can know that; the book
# says of every converted column what its first number became (docs/decisions/0002).
NOT_TO_BE_KNOWN = {("coating/pull_off.csv", "force", "lbf")}


@pytest.mark.parametrize("file", a_fifth([(file,) for file in UNITS]))
def test_every_other_unit_over_the_same_numbers(copy: Copy, file: str) -> None:
    sheet = Sheet.read(copy.folder / file)
    filled = {column: unit for column, unit in UNITS[file].items() if any(sheet.values(column))}
    for column, unit in filled.items():
        for other in accepted(unit):
            if other != unit and (file, column, other) not in NOT_TO_BE_KNOWN:
                said = [fault.where for fault in copy.spoiled(file, with_unit(column, other)).book.faults]
                assert (file, f"{column} [{other}]") in [(where.file, where.column) for where in said] or (
                    _of_one_size(other, unit)  # nothing is converted
                )


def _of_one_size(other: str, unit: str) -> bool:
    """Whether the numbers are the same in both: N/mm2 and MPa, or a difference in degC and K."""
    return convert(1.0, other, unit, difference=unit == "K") == 1.0


def test_a_wrong_unit_over_plausible_numbers_is_at_least_told(copy: Copy) -> None:
    for file, column, unit in NOT_TO_BE_KNOWN:
        with copy.kept(file):
            with_unit(column, unit)(copy.folder / file)
            made = make_book(copy.folder)
        (notice,) = [fault for fault in made.book.faults if fault.where.column == f"{column} [{unit}]"]
        assert notice.severity is Severity.NOTICE
        assert "Its numbers are converted: 1720 lbf in line 2 is 7650.94 N." in str(notice)  # 1 lbf = 4.4482216 N


@pytest.mark.parametrize("most", [pytest.param(8), pytest.param(45, marks=pytest.mark.deep)])
@pytest.mark.parametrize("file", SHEETS)
def test_a_row_deleted(copy: Copy, file: str, most: int) -> None:
    """Rows all over each table; with the deep tests every row of the short ones."""
    rows = len(Sheet.read(copy.folder / file).body)
    for row in range(0, rows, -(-rows // most)):
        copy.spoiled(file, without_row(row))


# --- at random ----------------------------------------------------------------------------------------------------

NOTHING_READABLE = st.sampled_from(
    [
        "damp",
        "#REF!",
        "=1+1",
        "1,2,3",
        "12 or 13",
        "\u2014",
        "nan",
        "-inf",
        "1e999",
        "9" * 40,
        "0x1F",
        "½",
        "\x07",
        "<b>",
    ]
)


def cells() -> st.SearchStrategy[tuple[str, int, str]]:
    """A table, one of its rows, one of the columns that are not free text."""
    strict = [(file, name) for file, name in PRESENT if KINDS[file].columns()[name].annotation not in (str, str | None)]
    return st.sampled_from(strict).flatmap(
        lambda at: st.tuples(st.just(at[0]), st.integers(0, len(SHEETS[at[0]].body) - 1), st.just(at[1]))
    )


@often
@given(at=st.lists(cells(), min_size=1, max_size=4), text=NOTHING_READABLE)
def test_cells_that_nobody_can_read(copy: Copy, at: list[tuple[str, int, str]], text: str) -> None:
    """Up to four cells at once, in one table or in several."""
    hit = 0
    with copy.kept(*{file for file, _, _ in at}):
        for file, row, column in at:
            sheet = Sheet.read(copy.folder / file)
            if row < len(sheet.body) and sheet.body[row][sheet.index(column)]:
                sheet.set(row, column, text)
                sheet.write()
                hit += 1
        files = {file for file, _, _ in at}
        made = make_book(copy.folder, judged=reading(*files))
    assert better(sound_part(copy.folder, copy.sound, *files), made.book) == []
    assert bool(faults(made.book)) == bool(hit)


@often
@given(data=st.data())
def test_rows_deleted_doubled_or_torn(copy: Copy, data: st.DataObject) -> None:
    file = data.draw(st.sampled_from([file for file in SHEETS if file != "plan.csv"]))
    sheet = Sheet.read(copy.folder / file)
    rows = data.draw(st.lists(st.integers(0, len(sheet.body) - 1), min_size=1, max_size=5, unique=True))
    how = data.draw(st.sampled_from(["doubled", "torn", "too long", "mixed up"]))

    def change(sheet: Sheet) -> None:
        for row in rows:
            if how == "doubled":
                sheet.rows.append(list(sheet.rows[row + 1]))
            elif how == "torn":
                del sheet.rows[row + 1][len(sheet.names) // 2 :]
            elif how == "too long":
                sheet.rows[row + 1].insert(0, "x")
            else:
                sheet.rows[row + 1].reverse()

    made = copy.spoiled(file, in_table(change))
    assert faults(made.book)


@often
@given(data=st.data())
def test_bytes_changed(copy: Copy, data: st.DataObject) -> None:
    """A stretch of any table or of hull.toml overwritten, cut out or doubled. No traceback, and no silence."""
    file = data.draw(st.sampled_from([*SHEETS, "hull.toml"]))
    path = copy.folder / file
    whole = path.read_bytes()
    start = data.draw(st.integers(0, len(whole) - 1))
    length = data.draw(st.integers(1, 200))
    again = st.just(whole[start : start + length] * 2)
    put = data.draw(st.one_of(st.just(b""), st.binary(min_size=1, max_size=60), again))
    with copy.kept(file):
        path.write_bytes(whole[:start] + put + whole[start + length :])
        refused = ""
        try:
            assert make_book(copy.folder, judged=reading(file)).book.title
        except Refused as stopped:
            refused = str(stopped)
    assert not refused or (file == "hull.toml" and refused.startswith("hull.toml"))


@often
@given(heads=st.lists(st.text(max_size=12), min_size=1, max_size=8), file=st.sampled_from(list(SHEETS)))
def test_heads_of_another_table(copy: Copy, heads: list[str], file: str) -> None:
    def change(sheet: Sheet) -> None:
        sheet.rows[0][: len(heads)] = heads[: len(sheet.rows[0])]

    copy.spoiled(file, in_table(change))


@often
@given(files=st.lists(st.sampled_from(list(SHEETS)), min_size=2, max_size=12, unique=True), empty=st.booleans())
def test_several_tables_lost_at_once(copy: Copy, files: list[str], empty: bool) -> None:
    with copy.kept(*files):
        for file in files:
            if empty:
                (copy.folder / file).write_bytes(b"")
            else:
                (copy.folder / file).unlink()
        made = make_book(copy.folder, judged=reading(*files))
    lost = {view.file for view in made.book.tables if view.state}
    assert lost == set(files)
