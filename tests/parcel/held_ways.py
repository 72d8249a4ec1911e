"""A hull that names what it withholds in every other way too, and where the output could show it."""

from __future__ import annotations

import csv
import hashlib
import io
import shutil
import zipfile
from pathlib import Path

import numpy as np
from PIL import Image

from tests.parcel.small_hull import RAW, edit, small_hull

MARKER = "QuincunxAgent"
SIZE = (311, 173)  # pixels of the withheld picture; no other has it
SHEET = "documents/sheet.png"
COPIES = ("papers/sheet again.png", "vibration/raw/again.wav", "coating/gloss.csv")
WITHHOLD = f'withhold = ["coating/batches.csv:supplier", "{SHEET}", "{RAW}", "laminate/deliveries.csv"]'
HEADS = ("supplier", "Supplier", "-supplier", "suplier")  # small, large, with a sign, misspelled


def named_twice(folder: Path) -> Path:
    """The folder: one column under four heads, a document as photograph and as another document, records twice."""
    hull = small_hull(folder, WITHHOLD)
    _heads_again(hull / "coating/batches.csv")
    with (hull / "laminate/deliveries.csv").open("a", encoding="utf-8") as handle:
        handle.write(f"D-99,QX-1200,B,2025-07-07,{MARKER},CC\n")
    Image.fromarray(np.random.default_rng(7).integers(0, 255, (*SIZE[::-1], 3), np.uint8)).save(hull / SHEET)
    (hull / "papers").mkdir()
    for given, copy in zip((SHEET, RAW, "laminate/deliveries.csv"), COPIES, strict=True):
        shutil.copy(hull / given, hull / copy)
    edit(hull / "documents.csv", "documents/DWG-201.png", SHEET)
    edit(hull / "documents.csv", "documents/DWG-300.png", COPIES[0])
    (hull / "photographs.csv").write_text(
        "file,caption,alternative,place,taken,check\n"
        f"{SHEET},Sheet,A sheet,Z1,2026-03-13,COA-02\n{COPIES[0]},Sheet,A sheet,Z1,2026-03-13,COA-02\n",
        "utf-8",
    )
    _record_again(hull / "vibration/records.csv")
    return hull


def _heads_again(path: Path) -> None:
    head, *rows = path.read_text("utf-8").splitlines()
    lines = [",".join([head.removesuffix(",supplier"), *HEADS])]
    lines += [",".join([row.rpartition(",")[0], *(f"{MARKER} {at}" for at in range(len(HEADS)))]) for row in rows]
    path.write_text("\n".join(lines) + "\n", "utf-8")


def _record_again(path: Path) -> None:
    rows = list(csv.reader(io.StringIO(path.read_text("utf-8"))))
    again = [RAW_AGAIN if cell == RAW else cell for cell in rows[1]]
    again[0], again[rows[0].index("attempt")] = "A-99", "2"
    with path.open("a", encoding="utf-8", newline="") as handle:
        csv.writer(handle, lineterminator="\n").writerow(again)


RAW_AGAIN = COPIES[1]


def opened(files: dict[str, bytes]) -> dict[str, bytes]:
    """Files, and the members of those that are ZIP files."""
    found = dict(files)
    for name, data in files.items():
        if name.endswith(".zip"):
            with zipfile.ZipFile(io.BytesIO(data)) as held:
                found |= {f"{name}!{member}": held.read(member) for member in held.namelist()}
    return found


def shown(hull: Path, files: dict[str, bytes]) -> list[str]:
    """The names of files that show what is withheld: by word, by the bytes of an original, or by its pixels."""
    originals = {hashlib.sha256((hull / name).read_bytes()).digest() for name in ("coating/batches.csv", *COPIES)}
    return [
        name
        for name, data in files.items()
        if MARKER.encode() in data or hashlib.sha256(data).digest() in originals or _size(data) == SIZE
    ]


def _size(data: bytes) -> tuple[int, int] | None:
    if not data.startswith((b"\x89PNG", b"\xff\xd8")):
        return None
    with Image.open(io.BytesIO(data)) as picture:
        return picture.size
