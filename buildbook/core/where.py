"""Where a thing stands in the hull folder."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Where:
    """One place in one file of the hull folder.

    `file` is relative to the folder, with forward slashes. `line` counts from 1 as an editor does. `column` is the
    head of the table column, `sheet` the sheet of a workbook, `part` a key path (`limits[2].low`) or a channel.
    """

    file: str
    line: int | None = None
    column: str = ""
    sheet: str = ""
    part: str = ""

    def __str__(self) -> str:
        text = self.file
        if self.sheet:
            text += f"[{self.sheet}]"
        if self.line is not None:
            text += f":{self.line}"
        if self.column:
            text += f", column '{self.column}'"
        if self.part:
            text += f", {self.part}"
        return text

    @property
    def row(self) -> Where:
        """The same place without the column: the whole row."""
        return Where(self.file, self.line, "", self.sheet, self.part) if self.column else self

    @property
    def order(self) -> tuple[str, int, str, str, str]:
        """A sort key in which no two places are alike: file, line, column, sheet, part."""
        return (self.file, self.line or 0, self.column, self.sheet, self.part)
