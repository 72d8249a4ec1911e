"""The command itself: it judges again when a file changes, and ends with Ctrl-C and status 0. Invented data."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterable
from pathlib import Path
from queue import Queue

import pytest

from tests.growing import growing

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
END = "Watching; Ctrl-C ends."
MOST = 120  # [s] in which a line must come; it is waited for, not measured


def test_check_watch_tells_what_a_change_made_and_ends_with_ctrl_c(tmp_path: Path) -> None:
    hull = growing(tmp_path / "hull")
    table = hull / "laminate" / "burn_off.csv"
    good = table.read_text("utf-8")
    command = [sys.executable, "-m", "buildbook", "check", str(hull), "--watch"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as run:
        said: Queue[str] = Queue()
        reading = threading.Thread(target=lambda: hear(run.stdout or (), said))
        reading.start()
        try:
            assert "Not due yet, since she is out of the mould" in until(said, END)
            row = "no such place" + "," * good.splitlines()[0].count(",")
            table.write_text(good.replace("\n", f"\n{row}\n", 1), "utf-8")
            spoiled = until(said, END)
            assert spoiled.startswith("mended: 0, new: ")
            assert "no such place" in spoiled
            table.unlink()
            table.mkdir()
            until(said, END)
            table.rmdir()
            table.write_text(good, "utf-8")
            assert "mended: " in until(said, END)
            run.send_signal(signal.SIGINT)
            assert run.wait(MOST) == 0
        finally:
            run.kill()
            reading.join()
    assert "Traceback" not in "\n".join(said.queue)


def hear(lines: Iterable[str], said: Queue[str]) -> None:
    """Everything the command says, line by line, as it comes."""
    for line in lines:
        said.put(line.rstrip("\n"))


def until(said: Queue[str], end: str) -> str:
    """What was said up to a line, which must come."""
    lines: list[str] = []
    while not lines or lines[-1] != end:
        lines.append(said.get(timeout=MOST))
    return "\n".join(lines)
