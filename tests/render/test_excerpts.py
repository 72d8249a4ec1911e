"""Which rows of a long table are printed: those behind bad news first, the words beside them true."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.book import Book
from buildbook.core.table_view import Cell, Row, TableView
from buildbook.render.excerpts import BEHIND_ROWS, FIRST_ROWS, WHOLE_TABLE, Excerpt, excerpts
from tests.sample_book import CLIMATE, FILM, LONG_ROWS, PHOTOGRAPHS


def of(book: Book, file: str) -> Excerpt:
    (found,) = [excerpt for excerpt in excerpts(book) if excerpt.table.file == file]
    return found


def bad_lines(book: Book, file: str) -> set[int]:
    """Every line behind a finding whose verdict is an exception, read from the book by itself."""
    items = [
        item
        for chapter in book.chapters
        for check in chapter.checks
        for item in (*check.governing, *check.references)
        if item.finding.verdict.value not in ("pass", "information", "not applicable")
    ]
    return {where.line for item in items for where in item.finding.at if where.file == file and where.line}


@pytest.mark.parametrize("file", [CLIMATE, FILM])
def test_rows_behind_bad_news_stand_first_in_a_long_table(sample_book: Book, file: str) -> None:
    excerpt = of(sample_book, file)
    wanted = {row.line for row in excerpt.table.rows if row.line in bad_lines(sample_book, file) or row.fault}
    assert wanted
    assert [row.line for row in excerpt.behind] == sorted(wanted)
    assert excerpt.behind_of == len(wanted)
    rest = [row.line for row in excerpt.table.rows if row.line not in wanted]
    assert [row.line for row in excerpt.first] == rest[:FIRST_ROWS]


def test_a_short_table_keeps_the_order_of_its_file(sample_book: Book) -> None:
    excerpt = of(sample_book, PHOTOGRAPHS)
    assert len(excerpt.table.rows) <= WHOLE_TABLE
    assert excerpt.whole
    assert excerpt.behind == ()
    assert excerpt.first == excerpt.table.rows


def test_too_many_rows_behind_bad_news_are_cut_and_counted(sample_book: Book) -> None:
    table = of(sample_book, CLIMATE).table
    spoiled = replace(table, rows=tuple(replace(row, fault="synthetic") for row in table.rows))
    excerpt = of(replace(sample_book, tables=(spoiled,)), CLIMATE)
    assert len(excerpt.behind) == BEHIND_ROWS < LONG_ROWS
    assert excerpt.behind_of == LONG_ROWS
    assert excerpt.first == ()
    assert not excerpt.whole


def _with(book: Book, heads: int, cell: str) -> Excerpt:
    columns = tuple(Cell(f"c{n}", f"c{n}", "", "synthetic") for n in range(heads))
    rows = (Row(2, (cell,) * (heads - 1) + ("",), ""),)
    table = TableView("wide.csv", "Wide", "", "wide", columns, rows, "", 1, "")
    return of(replace(book, tables=(table,)), "wide.csv")


def test_a_column_without_any_entry_is_left_out_and_named(sample_book: Book) -> None:
    excerpt = _with(sample_book, 4, "x")
    assert excerpt.columns == (0, 1, 2)
    assert [column.head for column in excerpt.empty] == ["c3"]


def test_how_broad_a_table_is_counts_its_letters_not_its_columns(sample_book: Book) -> None:
    assert not _with(sample_book, 20, "x").broad
    assert _with(sample_book, 14, "2026-03-16 08:40").broad  # 13 × 24.4 mm are more than a page
    assert _with(sample_book, 3, "w" * 200).broad
