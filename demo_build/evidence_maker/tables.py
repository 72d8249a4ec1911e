"""Rows to files: the tables of the hull folder as text, byte for byte the same on every run."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any

from buildbook.chapters.register.records import Document
from buildbook.chapters.shared_records import Instrument
from buildbook.core.record import Record, head
from buildbook.core.where import Where


@dataclass(frozen=True, slots=True)
class Style:
    """How a table is written. `decimals` gives the decimals of a column; columns not named are as short as can be."""

    decimals: Mapping[str, int] = field(default_factory=dict)
    delimiter: str = ","
    decimal_sign: str = "."
    encoding: str = "utf-8"
    line_end: str = "\n"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table: its record class, its rows and how it is written."""

    kind: type[Record]
    rows: Sequence[Record]
    style: Style = Style()


YARD_STYLE = Style(delimiter=";", decimal_sign=",", encoding="cp1252", line_end="\r\n")


def here(kind: type[Record]) -> Where:
    """The `where` of a row that is only going to be written."""
    return Where(kind.table.file)


def paper(
    key: str,
    title: str,
    revision: str,
    issued: date,
    by: str = "builder",
    *,
    file: str | None = None,
    kind: str | None = None,
) -> Document:
    """One document of the register."""
    values = {"document": key, "title": title, "revision": revision, "issued": issued, "issued_by": by}
    return Document.model_validate({"where": here(Document), **values, "file": file, "kind": kind})


def limit_entry(check: str, quantity: str, lines: str, document: str, revision: str, clause: str) -> str:
    """An entry of hull.toml for a limit that the builder set; `lines` are its numbers, unit, place and condition."""
    return (
        f'[[limits]]\ncheck = "{check}"\nquantity = "{quantity}"\n{lines}\n'
        f'set_by = "builder"\ndocument = "{document}"\nrevision = "{revision}"\nclause = "{clause}"\n'
    )


# id, quantity, kind, unit, range, resolution, U, serial, certificate
Tool = tuple[str, str, str, str, tuple[float, float], float, float, str, str]


def tool(values: Tool, calibrated: date) -> Instrument:
    """One instrument that measures one quantity, calibrated for a year."""
    names = ("instrument", "quantity", "type", "unit", "span", "resolution", "uncertainty", "serial", "certificate")
    row: dict[str, Any] = dict(zip(names, values, strict=True))
    low, high = row.pop("span")
    row |= {"range_low": low, "range_high": high, "coverage": 2.0, "laboratory": "Example Calibration Laboratory"}
    row |= {"calibrated": calibrated, "due": calibrated.replace(year=calibrated.year + 1), "where": here(Instrument)}
    return Instrument.model_validate(row)


def table_bytes(sheet: Sheet) -> bytes:
    """The whole file of one table."""
    names = list(sheet.kind.columns())
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, delimiter=sheet.style.delimiter, lineterminator=sheet.style.line_end)
    writer.writerow([head(sheet.kind, name) for name in names])
    for row in sheet.rows:
        writer.writerow([_cell(getattr(row, name), sheet.style, name) for name in names])
    return buffer.getvalue().encode(sheet.style.encoding)


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write each file under the folder, making the folders it needs."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _cell(value: object, style: Style, name: str) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        decimals = style.decimals.get(name)
        text = f"{value:.10g}" if decimals is None else f"{value:.{decimals}f}"
        return text.replace(".", style.decimal_sign)
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%d %H:%M")
    return str(value)
