"""Records: one class per table of the hull folder, one field per column.

The same class validates rows, writes the empty table of `buildbook new`, the column page in the documentation and the
Table Schema of the open data.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from buildbook.core.where import Where

ROW_LOST = "This row is not used; what rests on it stays inconclusive."
AXES = ("x", "y", "z")  # columns of a position: forward of the transom, to starboard, above the waterline [m]


NOTHING_CHANGES = "No finding "  # what a table on which no check rests says of a row that is lost


@dataclass(frozen=True, slots=True)
class Table:
    """What a table is.

    `key` names the columns that identify a row (no two rows alike). `place`, `condition`, `attempt` and `time` name the
    columns that tell which finding a row belongs to: a row that cannot be read caps just those findings. `number` names
    a column that counts the rows 1, 2, 3 … within one place, condition and attempt, so that a lost row is noticed.
    The rows of a `windowed` table belong to a finding only while its period lasts (a logger that runs on through
    many jobs). A `logged` table was written by an instrument by itself: its readings repeat themselves by nature, as
    what changes slowly does. `series` is for tables of readings that make a mean: the column that parts the readings at
    one place into means of their own, empty where they are one; None where a row is judged by itself. `label` is for
    tables whose rows say their position themselves: the columns that tell what stands there, its name first. A
    `withholdable` table may be withheld whole from publication: no check rests on it. `row_lost` says what follows
    where a row cannot be used; a table on which no check rests says there that no finding changes.
    """

    file: str
    title: str
    one_row: str
    key: tuple[str, ...]
    place: str = ""
    condition: str = ""
    attempt: str = ""
    time: str = ""
    number: str = ""
    windowed: bool = False
    logged: bool = False
    series: str | None = None
    label: tuple[str, ...] = ()
    withholdable: bool = False
    row_lost: str = ROW_LOST

    @property
    def judged(self) -> bool:
        """Whether findings rest on the rows, so that an unreadable one holds them at inconclusive."""
        return NOTHING_CHANGES not in self.row_lost


@dataclass(frozen=True, slots=True)
class InColumn:
    """The quantity that an instrument measured, where each row says it itself: in this column."""

    name: str


class Record(BaseModel):
    """One readable row. `where` is its place in the folder."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    table: ClassVar[Table]
    where: Where

    @classmethod
    def columns(cls) -> dict[str, FieldInfo]:
        """The fields that are columns, in the order of the table."""
        return {name: info for name, info in cls.model_fields.items() if name != "where"}

    @classmethod
    def positioned(cls) -> bool:
        """Whether the rows say their position themselves."""
        return all(name in cls.model_fields for name in AXES)

    def cell(self, name: str) -> Where:
        """The place of one cell of this row."""
        return replace(self.where, column=head(type(self), name))


def column(  # noqa: PLR0913 (all but the first by name: each is one fact of a column)
    meaning: str,
    *,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    difference: bool = False,
    refers: type[Record] | None = None,
    example: str = "",
    blank: bool = False,
    person: bool = False,
    measures: Mapping[str, str | InColumn] | None = None,
    ahead: bool = False,
    withholdable: bool = False,
    stepped: bool = False,
) -> Any:
    """Declare a column: its meaning in a sentence, unit, plausible range (a typing error beyond it) and an example.

    `difference` marks a temperature difference, `refers` a table whose key this column must hold, `blank` a column that
    may be left empty, `person` one for a role and initials, `ahead` a date that may lie in the future. A column that
    names an instrument says what it `measures`: the columns of its readings, each with the quantity in the words of the
    instrument table or the column that holds it. Text columns have no unit, and neither have plain numbers and counts.
    `withholdable` marks a text that no check reads, so that a yard may withhold it from publication. `stepped` marks a
    reading that was set and not found, as an angle in even steps or the litres at which a display is read: its digits
    follow from what was chosen.
    """
    extra = {
        "unit": unit,
        "difference": difference,
        "example": example,
        "refers": refers,
        "person": person,
        "measures": dict(measures or {}),
        "ahead": ahead,
        "withholdable": withholdable,
        "stepped": stepped,
    }
    default = {"default": None} if blank else {}
    return Field(description=meaning, ge=low, le=high, json_schema_extra=extra, **default)  # type: ignore[call-overload]


def about(info: FieldInfo, name: str) -> Any:
    """One of the extra facts of a column: unit, difference, example, refers, person, measures, ahead, withholdable,
    stepped.
    """
    extra = info.json_schema_extra
    return extra.get(name) if isinstance(extra, dict) else None


def head(kind: type[Record], name: str) -> str:
    """The head of a column as it is written in the table: `surface [degC]`."""
    unit = about(kind.model_fields[name], "unit")
    return f"{name} [{unit}]" if unit else name
