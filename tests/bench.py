"""`make bench`: times as ratios, measured side by side in one run, and peak memory. Nothing here is a test.

Aims (from the first plan): whole build / WeasyPrint alone at most 1.3; 4 x rows / 1 x rows through `check` at most 4.4.
"""

from __future__ import annotations

import csv
import json
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parent.parent
HULL = ROOT / "demo_build" / "hull"
ROUNDS = 3
LONG = "coating/climate.csv"


def in_child(code: str, *arguments: str) -> dict[str, float]:
    """Run a piece of code in a fresh process; it prints one JSON object last."""
    command = [sys.executable, "-c", code, *arguments]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    result: dict[str, float] = json.loads(done.stdout.strip().splitlines()[-1])
    return result


BUILD = """
import json, resource, sys, time
from pathlib import Path
start = time.perf_counter()
from buildbook.pipeline import make_book, write_book
made = make_book(Path(sys.argv[1]))
write_book(made, Path(sys.argv[1]), Path(sys.argv[2]))
seconds = time.perf_counter() - start
print(json.dumps({"seconds": seconds, "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""

KEEP_DOCUMENT = """
import json, pickle, sys
from pathlib import Path
from buildbook.pipeline import make_book, write_book
from buildbook.render import pdf
set_document = pdf.book_pdf
def keep(*arguments):
    Path(sys.argv[3]).write_bytes(pickle.dumps(arguments))
    return set_document(*arguments)
pdf.book_pdf = keep
write_book(make_book(Path(sys.argv[1])), Path(sys.argv[1]), Path(sys.argv[2]))
print("{}")
"""

PRINT_ALONE = """
import json, pickle, resource, sys, time
from pathlib import Path
arguments = pickle.loads(Path(sys.argv[1]).read_bytes())
start = time.perf_counter()
from buildbook.render.pdf import book_pdf
book_pdf(*arguments)
seconds = time.perf_counter() - start
print(json.dumps({"seconds": seconds, "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""

CHECK = """
import json, resource, sys, time
from pathlib import Path
from buildbook.pipeline import make_book
start = time.perf_counter()
made = make_book(Path(sys.argv[1]))
seconds = time.perf_counter() - start
print(json.dumps({"seconds": seconds, "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""


def with_rows(times: int, folder: Path) -> Path:
    """A copy of the demo whose longest table has so many times its rows: the log runs on, one year later each time."""
    copy = folder / f"hull-{times}"
    shutil.copytree(HULL, copy)
    path = copy / LONG
    with path.open(encoding="utf-8", newline="") as file:
        heads, *rows = list(csv.reader(file))
    at = heads.index("at")
    more = []
    for turn in range(times):
        for row in rows:
            moved = list(row)
            day = datetime.fromisoformat(row[at]) - timedelta(days=365 * turn)
            moved[at] = day.strftime("%Y-%m-%d %H:%M")
            more.append(moved)
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([heads, *more])
    return copy


def best(code: str, *arguments: str) -> tuple[float, float]:
    """Median seconds and largest memory of some rounds."""
    rounds = [in_child(code, *arguments) for _ in range(ROUNDS)]
    return median(one["seconds"] for one in rounds), max(one["mb"] for one in rounds)


def main() -> None:
    """Print the four lines."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        whole, whole_mb = best(BUILD, str(HULL), str(folder / "out"))
        document = str(folder / "document.pickle")
        in_child(KEEP_DOCUMENT, str(HULL), str(folder / "out"), document)
        alone, _ = best(PRINT_ALONE, document)
        print(f"whole build / WeasyPrint alone: {whole:.2f} s / {alone:.2f} s = {whole / alone:.2f} (aim at most 1.3)")
        once, mb = best(CHECK, str(with_rows(1, folder)))
        print(f"check, wall time in a fresh process after imports: {once:.2f} s")
        start = time.perf_counter()
        command = [sys.executable, "-m", "buildbook", "check", str(HULL)]
        subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
        print(f"buildbook check, whole command: {time.perf_counter() - start:.2f} s")
        ten, _ = best(CHECK, str(with_rows(10, folder)))
        forty, forty_mb = best(CHECK, str(with_rows(40, folder)))
        print(f"4 x rows / 1 x rows through check: {forty:.2f} s / {ten:.2f} s = {forty / ten:.2f} (aim at most 4.4)")
        print(f"peak memory: build {whole_mb:.0f} MB, check {mb:.0f} MB, 40 times the climate rows {forty_mb:.0f} MB")
        print(f"this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
