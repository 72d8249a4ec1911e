"""Folders of a hull that is being built: the demonstration cut to what could be on record at a stage. Invented."""

from __future__ import annotations

import csv
import re
import shutil
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from buildbook.pipeline import Made, make_book
from tests.end_to_end.spoiling import HULL

LISTS = ("hull.toml", "places.csv", "instruments.csv", "plan.csv")
OF_MOULDED = (*LISTS, "laminate/", "infusion/", "batches.csv", "hardness.csv")
MOULDED_ON = "2025-12-15"
DAY = re.compile(r"20\d\d-\d\d-\d\d")
AHEAD = ("use_before", "expires", "due")  # columns of days that lie ahead
SPOKEN_FOR = ("notified_on", "attended", "released_on", "released_by", "went_on")  # of a line of the plan, once done


def growing(folder: Path, stage: str = "moulded", day: str = MOULDED_ON, keep: tuple[str, ...] = OF_MOULDED) -> Path:
    """The demonstration as it may have stood on a day: files of `keep`, without dates after the day."""
    for path in sorted(HULL.rglob("*")):
        name = path.relative_to(HULL).as_posix()
        if path.is_file() and name.startswith(keep):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(path, folder / name)
    for path in folder.rglob("*.csv"):
        _until(path, day)
    text = (folder / "hull.toml").read_text("utf-8")
    text = re.sub(r"withhold = .*", "withhold = []", re.sub(r"^as_of = .*", f"as_of = {day}", text, flags=re.MULTILINE))
    text = re.sub(r"^(?!as_of)\w+ = (20[-\d]{8})\n", lambda at: at[0] if at[1] <= day else "", text, flags=re.MULTILINE)
    (folder / "hull.toml").write_text(text, "utf-8")
    return staged(folder, stage)


@cache
def moulded() -> Made:
    """Her book as she came out of the mould, judged once for each process; whatever it consists of is frozen."""
    with TemporaryDirectory() as folder:
        return make_book(growing(Path(folder)))


def staged(folder: Path, stage: str) -> Path:
    """The same folder with another stage; none where it is empty."""
    path = folder / "hull.toml"
    text = re.sub(r"^(stage = .*|# no stage)\n", "", path.read_text("utf-8"), flags=re.MULTILINE)
    head = f'stage = "{stage}"\n' if stage else "# no stage\n"  # so that every line keeps its number
    path.write_text(re.sub(r"^(as_of = .*\n)", rf"\1{head}", text, flags=re.MULTILINE), "utf-8")
    return folder


def _last(cell: str) -> str:
    return max(DAY.findall(cell), default="")


def _until(path: Path, day: str) -> None:
    """A table without what was done later: lines of the plan stay, as not done yet."""
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    heads = list(rows[0])
    late = [row for row in rows if any(_last(cell) > day for head, cell in row.items() if head not in AHEAD)]
    if path.name == "plan.csv":
        for row in late:
            row.update(dict.fromkeys(SPOKEN_FOR, ""))
    else:
        rows = [row for row in rows if row not in late]
    if not rows:
        path.unlink()
        return
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, heads, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
