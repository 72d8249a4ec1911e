"""Where a thing stands in the hull folder."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Where:
    """One place in one file of the hull folder.

    `file` is relative to the folder, with forward slashes; of a table it is the table's own name, also where the table
    stands in a workbook. `sheet` then says where that is: `laminate.xlsx[laminate.burn_off]`. `line` counts from 1 as
    an editor does, or a spreadsheet its rows. `column` is the head of the table column, `part` a key path
    (`limits[2].low`), a channel or the cell of a sheet (`D7`).
    """

    file: str
    line: int | None = None
    column: str = ""
    sheet: str = ""
    part: str = ""

    def __str__(self) -> str:
        text = self.stands_in
        cell = self.sheet and self.part
        if cell:
            text += f" {cell}"
        elif self.line is not None:
            text += f":{self.line}"
        if self.column:
            text += f", column '{self.column}'"
        if self.part and not cell:
            text += f", {self.part}"
        return text

    @property
    def stands_in(self) -> str:
        """The file, or the workbook with the sheet, as a reader finds it in the folder."""
        return self.sheet or self.file

    @property
    def short(self) -> str:
        """The line in its file, or the cell in its sheet; empty for the whole file."""
        if self.sheet and self.part:
            return self.part
        return f"line {self.line}" if self.line is not None else ""

    @property
    def row(self) -> Where:
        """The same place without the column: the whole row."""
        return replace(self, column="", part="" if self.sheet else self.part) if self.column else self

    @property
    def order(self) -> tuple[str, int, str, str, str]:
        """A sort key in which no two places are alike: file, line, column, sheet, part."""
        return (self.file, self.line or 0, self.column, self.sheet, self.part)
