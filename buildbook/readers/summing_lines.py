"""Lines that sum up others (`Total`, `Mean`, `SD`), told from rows whose id is such a word.

A summing line has numbers below columns of numbers and says nothing where a column wants words. So in a table that asks
no row for a number a line that is filled in whole, words where words belong, is a row. Where every row has a number, a
word of sums stays one, however much is filled in beside it: such a row needs another id.
"""

from __future__ import annotations

from typing import Literal, get_origin

from buildbook.core.record import Record
from buildbook.readers.cells import readable
from buildbook.readers.choices import base_type, is_number, of_numbers
from buildbook.readers.columns import Column, match_columns
from buildbook.readers.table import RawRow, RawTable, folded

_WORDS = (
    "total totals subtotal sum mean average avg median count maximum minimum max min sd stdev std_dev "
    "standard_deviation gesamt summe mittelwert mittel anzahl totaal som gemiddelde totale somma media "
    "total_général somme moyenne"
)
_SUMMING = frozenset(_WORDS.split())
_NOTHING = frozenset(["na", "n/a", "n.a.", "none", "nil", "x", "all", "alle", "tutti", "toutes", "tous"])


def summing_word(kind: type[Record], raw: RawTable, row: RawRow, *, last: bool) -> str:
    """The word by which a line sums up others; empty where it is a row, or may be one.

    Args:
        kind: what a row of this table is.
        raw: the table as received.
        row: the line.
        last: whether it is the last one; above others it is taken for a summing line only where cells of it are empty.
    """
    at = next((at for at, cell in enumerate(row.cells) if cell.strip()), None)
    if at is None:
        return ""
    word = row.cells[at].strip()
    blanks = any(not cell.strip() for cell in row.cells)
    if not _sums(word) or not (last or blanks):
        return ""
    return "" if row.fault is None and _is_row(kind, raw, row, at) else word


def _is_row(kind: type[Record], raw: RawTable, row: RawRow, at: int) -> bool:
    """Whether a line that begins with such a word is filled in as a row is, so that the word is its id."""
    columns = match_columns(kind, raw).columns
    named = next((column for column in columns if column.head is not None and column.head.index == at), None)
    if named is None or not _may_be_an_id(kind, named):
        return False
    others = [column for column in columns if column.info.is_required() and column is not named]
    return all(_as_it_should(it, row) for it in others) and any(_says_something(it, row) for it in others)


def _may_be_an_id(kind: type[Record], column: Column) -> bool:
    """Whether a row may be called by such a word: it says which row it is, and no row has to have a number."""
    numbers = any(is_number(info) for info in kind.columns().values() if info.is_required())
    return column.name in kind.table.key and not numbers


def _as_it_should(column: Column, row: RawRow) -> bool:
    """Whether a cell holds what its column wants; a word for nothing, an error or a formula is nothing of it."""
    text = column.text(row.cells)
    told = any(sign.isalnum() for sign in text) and text[0] not in "#=" and text.casefold() not in _NOTHING
    return told and not column.lost and readable(column.parse, text)


def _says_something(column: Column, row: RawRow) -> bool:
    """Whether words stand where the column wants words; a sum or a count is none."""
    kind, text = base_type(column.info), column.text(row.cells)
    words = kind is str or (get_origin(kind) is Literal and not of_numbers(kind))
    return words and text[0].isalpha() and not _sums(text)


def _sums(text: str) -> bool:
    return folded(text.strip(":.")) in _SUMMING
