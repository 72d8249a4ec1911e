"""Builds of the demonstration folder in child processes, each in circumstances of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.demonstration import shared
from tests.end_to_end.spoiling import HULL

ROOT = HULL.parent.parent
CIRCUMSTANCES = (
    {"TZ": "Pacific/Kiritimati", "LC_ALL": "C.UTF-8", "LANG": "C.UTF-8", "PYTHONHASHSEED": "1", "COLUMNS": "60"},
    {"TZ": "America/St_Johns", "LC_ALL": "C", "LANG": "de_DE.UTF-8", "PYTHONHASHSEED": "4711", "COLUMNS": "200"},
)
# 1980-02-01 and 2033-05-18, both UTC: the days that the files of the folder say they were changed.
CHANGED = (318_211_200, 2_000_000_000)


@dataclass(frozen=True, slots=True)
class Build:
    """One finished build: the copy of the hull folder, the output folder, and what was printed."""

    hull: Path
    out: Path
    said: str

    def files(self) -> dict[str, bytes]:
        """Every file of the output folder by its name."""
        paths = (path for path in self.out.rglob("*") if path.is_file())
        return {path.relative_to(self.out).as_posix(): path.read_bytes() for path in sorted(paths)}


@dataclass(frozen=True, slots=True)
class Started:
    """One build that may still be running."""

    hull: Path
    out: Path
    child: subprocess.Popen[str]

    def finished(self) -> Build:
        said, complained = self.child.communicate(timeout=1800)
        assert self.child.returncode == 0, said + complained
        assert not complained, complained
        return Build(self.hull, self.out, said)


def demonstration(factory: pytest.TempPathFactory) -> Build:
    """Build 1 by this checkout: made once, by the first process of the tests that asks for it, for all of them."""
    with shared(factory, "demonstration") as folder:
        said = folder.with_suffix(".txt")
        if not said.exists():
            shutil.rmtree(folder, ignore_errors=True)
            said.write_text(start(folder, 1).finished().said, encoding="utf-8")
    return Build(folder / "hull" / "of her", folder / "out", said.read_text(encoding="utf-8"))


def start(folder: Path, number: int, program: Sequence[str | Path] = (sys.executable, "-m", "buildbook")) -> Started:
    """Start build 0 or 1 in a folder of its own, by this checkout or by another program."""
    hull, out = folder / ("hull" if number else "a folder with spaces, ümläuts") / "of her", folder / "out"
    shutil.copytree(HULL, hull)
    for path in hull.rglob("*"):
        os.utime(path, (CHANGED[number], CHANGED[number]))
    # An absolute name in one, a relative one in the other.
    words = (str(hull), "-o", str(out)) if number else (hull.relative_to(folder).as_posix(), "-o", "out")
    other = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "VIRTUAL_ENV")}
    own = {"PYTHONPATH": str(ROOT)} if program[0] == sys.executable else {}
    child = subprocess.Popen(
        [*map(str, program), "build", *words],
        cwd=folder,
        env={**other, **own, **CIRCUMSTANCES[number]},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    return Started(hull, out, child)
