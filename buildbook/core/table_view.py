"""Tables as the folder holds them: heads, units, rows as received."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.core.stand import Stand


@dataclass(frozen=True, slots=True)
class Cell:
    """One column of a table as the folder holds it: head, unit, meaning."""

    name: str
    head: str
    unit: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row as received, readable or not (`fault` says why not). `line` is its line in the file.

    `marks` are its numbers on the drawings of her, the most particular first: its own position, an opening, its zone.
    """

    line: int
    cells: tuple[str, ...]
    fault: str
    marks: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class TableView:
    """One table: as received and readable. `state` is empty for a table with rows, else why it has none.

    `file` is the table's own name. Where it stands in a workbook, `workbook` and `sheet` say in which; `bytes` and
    `sha256` are those of the file that holds it.
    """

    file: str
    title: str
    chapter: str
    anchor: str
    columns: tuple[Cell, ...]
    rows: tuple[Row, ...]
    state: str
    bytes: int
    sha256: str
    workbook: str = ""
    sheet: str = ""

    @property
    def received(self) -> str:
        """The file of the folder that holds it."""
        return self.stand.received(self.file)

    def cells(self, row: Row) -> dict[str, str]:
        """The cells of one of its rows as received, by column."""
        return dict(zip((column.name for column in self.columns), row.cells, strict=False))

    @property
    def stand(self) -> Stand:
        """The workbook and the sheet in which it stands, if it does."""
        return Stand(self.workbook, self.sheet)

    @property
    def stands_in(self) -> str:
        """The file, or the workbook with the sheet, as `Where` says it."""
        return self.stand.words or self.file
