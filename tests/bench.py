"""`make bench`: times as ratios, measured side by side in one run, and peak memory. Nothing here is a test.

Aims (from the first plan): whole build / WeasyPrint alone at most 1.3; 4 x rows / 1 x rows through `check` at most 4.4;
the spectra of a survey / scipy.signal.welch alone at most 1.3; a record of 2 GB adds less than 300 MB.
"""

from __future__ import annotations

import csv
import json
import resource
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median

import numpy as np

from buildbook.readers.signal import HIGHEST_RATE

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
longest = 0
def keep(*arguments):
    global longest
    if len(arguments[0]) > longest:  # of the book, and not of the listing sheet
        longest = len(arguments[0])
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

# The same arrays, segments, overlap and window for both. Welch leaves out the segments that hang over an end, 6 of 33.
SPECTRA = """
import json, time
from statistics import median
import numpy, scipy.signal
from buildbook.chapters.vibration.formulas.spectrum import spectrum
from buildbook.readers.signal import BLOCK
rate, seconds = 2048.0, 8.0
size = int(rate * seconds)
records = numpy.random.default_rng(1).standard_normal((36, int(60 * rate)))
def ours(one):
    return spectrum(lambda: (one[at : at + BLOCK] for at in range(0, len(one), BLOCK)), len(one), rate, seconds, 0.0)
def bare(one):
    return scipy.signal.welch(one, rate, "hann", size, noverlap=size * 3 // 4, detrend=False)
def timed(work):
    start = time.perf_counter()
    for one in records:
        work(one)
    return time.perf_counter() - start
timed(ours), timed(bare)
rounds = [(timed(ours), timed(bare)) for _ in range(9)]
ours, bare = (median(column) for column in zip(*rounds))
print(json.dumps({"ours": ours, "bare": bare, "ratio": median(one / other for one, other in rounds)}))
"""

LONG_RECORD = """
import json, sys
from pathlib import Path
import numpy.fft
from buildbook.chapters.vibration.opening import opened
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.subjects import analysed
from buildbook.core.evidence import Evidence
from buildbook.core.hull import Hull, Specification
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
def memory(what):
    (line,) = (line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith(what))
    return int(line.split()[1]) / 1024
file = Path(sys.argv[1])
cells = {"calibration": 20.0} if file.suffix == ".wav" else {"rate": float(sys.argv[2])}
row = VibrationRecord(where=Where("vibration/records.csv", 2), record="A-1", position="V1", axis="vertical", run="R1",
    attempt=1, at="2026-05-20 10:10", file=file.name, channel=1, quantity="acceleration", instrument="VM-01",
    by="TR HB", **cells)
before = memory("VmRSS")
signal = opened(Folder(file.parent), row)
records = {VibrationRecord: (row,)}
assert analysed(Evidence(Hull(), Specification(), records, signals={row.where: signal}), row) is not None
print(json.dumps({"before": before, "grown": memory("VmHWM") - before}))
"""


def long_record(folder: Path, size: int, rate: int, *, text: bool = False) -> float:
    """How many MB the process grows by that opens, surveys and transforms a record of so many bytes."""
    path = folder / ("long.csv" if text else "long.wav")
    stored = np.random.default_rng(2).integers(-9000, 9000, 500_000, np.int16)
    block = "".join(f"{value / 1000:.4f}\n" for value in stored).encode() if text else stored.tobytes()
    times = size // len(block)
    with path.open("wb") as file:
        if text:
            file.write(b"acceleration [m/s2]\n")
        else:
            head = struct.pack("<4sIHHIIHH4sI", b"fmt ", 16, 1, 1, rate, 2 * rate, 2, 16, b"data", times * len(block))
            file.write(struct.pack("<4sI4s", b"RIFF", len(head) + 4 + times * len(block), b"WAVE") + head)
        for _ in range(times):
            file.write(block)
    try:
        return in_child(LONG_RECORD, str(path), str(rate))["grown"]
    finally:
        path.unlink()


def records(folder: Path) -> None:
    """Print the lines about raw records."""
    found = in_child(SPECTRA)
    print(
        f"36 channels of 60 s at 2048 Hz, spectrum / scipy.signal.welch: {found['ours']:.3f} s / {found['bare']:.3f} s "
        f"= {found['ratio']:.2f} (aim at most 1.3)"
    )
    for rate in (2048, int(HIGHEST_RATE)):
        grown = long_record(folder, 2_000_000_000, rate)
        print(f"opening, survey and spectrum of a 2 GB WAV record at {rate} Hz add {grown:.0f} MB (aim under 300)")
    grown = long_record(folder, 200_000_000, 2048, text=True)
    print(f"the same of a text record of 200 MB adds {grown:.0f} MB (aim under 300)")


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


def printing(folder: Path) -> float:
    """Print how much longer a whole build takes than its printed book alone, turn by turn; gives its memory [MB]."""
    document = str(folder / "document.pickle")
    in_child(KEEP_DOCUMENT, str(HULL), str(folder / "out"), document)
    build = (BUILD, str(HULL), str(folder / "out"))
    rounds = [(in_child(*build), in_child(PRINT_ALONE, document)) for _ in range(ROUNDS)]
    whole, alone = (median(one["seconds"] for one in column) for column in zip(*rounds, strict=True))
    ratio = median(one["seconds"] / other["seconds"] for one, other in rounds)
    print(f"whole build / WeasyPrint alone: {whole:.2f} s / {alone:.2f} s = {ratio:.2f} (aim at most 1.3)")
    return max(one["mb"] for one, _ in rounds)


def main() -> None:
    """Print the lines."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        whole_mb = printing(folder)
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
        records(folder)
        print(f"this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
