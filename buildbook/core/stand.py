"""Where a table stands that is not in a file of its own."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stand:
    """The workbook and its sheet in which a table stands; both empty where it is a file of its own."""

    workbook: str = ""
    sheet: str = ""

    @property
    def words(self) -> str:
        """As `Where.sheet` says it: `laminate.xlsx[laminate.burn_off]`; empty for a file of its own."""
        return f"{self.workbook}[{self.sheet}]" if self.workbook else ""

    def received(self, file: str) -> str:
        """The file of the folder that holds a table of this name."""
        return self.workbook or file


FILE_ITSELF = Stand()
