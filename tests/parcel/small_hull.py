"""A small hull folder cut from the demonstration: documents, batches, deliveries, one raw record; quick to build."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

from buildbook.pipeline import make_book, write_book
from buildbook.render.package import Written

HULL = Path(__file__).parents[2] / "demo_build" / "hull"
TABLES = (
    "places.csv",
    "instruments.csv",
    "documents.csv",
    "supports.csv",
    "coating/products.csv",
    "coating/batches.csv",
    "coating/coats.csv",
    "laminate/materials.csv",
    "laminate/deliveries.csv",
    "vibration/machinery.csv",
    "vibration/positions.csv",
    "trial/runs.csv",
    "trial/shafts.csv",
)
RAW = "vibration/raw/V1_R1.wav"
WITHHOLD = 'withhold = ["coating/batches.csv:supplier", "documents/DWG-201.png"]'
NO_LINKS = "link,document,instrument,clause,check,quantity,place,condition,attempt,table_file,row_key\n"


def small_hull(folder: Path, withhold: str = WITHHOLD) -> Path:
    """Lay the folder out; `withhold` is the line of hull.toml that says what is withheld."""
    for name in (*TABLES, RAW, *(f"documents/{path.name}" for path in (HULL / "documents").iterdir())):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(HULL / name, folder / name)
    text = (HULL / "hull.toml").read_text("utf-8")
    head = text[: text.index("# Limits:")]
    assert WITHHOLD in head
    (folder / "hull.toml").write_text(head.replace(WITHHOLD, withhold), "utf-8")
    keep_rows(folder / "vibration/records.csv", HULL / "vibration/records.csv", lambda row: "V1_R1.wav" in str(row))
    keep_rows(folder / "supports.csv", HULL / "supports.csv", lambda row: row["link"] in ("S-01", "S-02", "S-04"))
    return folder


def keep_rows(path: Path, source: Path, wanted) -> None:
    """Copy the rows of a table that are wanted."""
    with source.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(row for row in rows if wanted(row))


def edit(path: Path, old: str, new: str) -> None:
    """Replace words of a file; they must be there."""
    text = path.read_text("utf-8")
    assert old in text, (path, old)
    path.write_text(text.replace(old, new), "utf-8")


def built(hull: Path, out: Path) -> Written:
    """The whole output but the printed book."""
    return write_book(make_book(hull), hull, out, pdf=False)


def everything(out: Path) -> dict[str, bytes]:
    """Every file of an output folder by its name."""
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}
