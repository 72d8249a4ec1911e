"""Workbooks with synthetic sheets for the tests of the readers."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from buildbook.core.fault import Fault, Severity
from buildbook.readers.folder import Folder
from buildbook.readers.gather import Gathered, gather
from tests.as_workbooks import saved, workbook
from tests.readers.synthetic import Log, Spot

HEADS = ["spot", "attempt", "number", "at", "film [um]"]
AT = "2026-03-18 08:00"
ROW = ["S1", 1, 1, AT, 182]
SPOTS: list[list[Any]] = [["spot", "height [m]"], ["S1", 1.2]]
BOOK = "logs.xlsx"
ABSENT = "They count as left empty."
WHERE = "logs.xlsx[logs.readings]"

Change = Callable[[Any], object]


def logs(*rows: list[Any], heads: list[Any] | None = None, change: Change = lambda sheet: None) -> bytes:
    """A workbook with the sheet of readings, and the spots it refers to; `change` gets the sheet before it is saved."""
    book = workbook({"logs.readings": [heads or HEADS, *(rows or (ROW,))], "spots": SPOTS})
    change(book["logs.readings"])
    return saved(book)


def read(folder: Path, **files: bytes | str) -> Gathered:
    """The folder with these files, read; a double underscore stands for a slash, the last one for the point."""
    for name, data in files.items():
        put(folder, name.replace("__", "/").replace("_xlsx", ".xlsx").replace("_csv", ".csv"), data)
    return gather(Folder(folder), (Spot, Log))


def put(folder: Path, name: str, data: bytes | str) -> None:
    """One file of the folder."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data.encode("utf-8") if isinstance(data, str) else data)


def faults(found: Gathered) -> list[Fault]:
    """What stops something from being judged."""
    return [fault for fault in found.faults if fault.severity is Severity.FAULT]


def notices(found: Gathered) -> list[Fault]:
    """What is only said, without the columns that a small table does not have."""
    return [fault for fault in found.faults if fault.severity is Severity.NOTICE and fault.effect != ABSENT]


def rows(found: Gathered) -> list[Log]:
    """The readings that can be used."""
    return list(found.evidence.of(Log))


def received(found: Gathered) -> list[tuple[str, ...]]:
    """The cells of the readings as received."""
    raw = found.raw[Log]
    assert raw is not None
    return [row.cells for row in raw.rows]


def spoiled(data: bytes, part: str, old: str, new: str) -> bytes:
    """The same workbook with words of one of its parts (a pattern) replaced; they must be there."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as given, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as other:
        assert part in given.namelist(), part
        for name in given.namelist():
            text = given.read(name)
            if name == part:
                text, times = re.subn(old.encode(), new.encode(), text, count=1)
                assert times, (part, old)
            other.writestr(name, text)
    return made.getvalue()
