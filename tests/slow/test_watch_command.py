"""The command itself: it judges again when a file changes, and ends with Ctrl-C and status 0. Invented data."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path
from queue import Queue

import pytest

from tests.growing import growing

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
MOST = 120  # [s] in which a line must come; it is waited for, not measured


def test_check_watch_tells_what_a_change_made_and_ends_with_ctrl_c(tmp_path: Path) -> None:
    hull = growing(tmp_path / "hull")
    table = hull / "laminate" / "burn_off.csv"
    good = table.read_text("utf-8")
    command = [sys.executable, "-m", "buildbook", "check", str(hull), "--watch"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    run = subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    said: Queue[str] = Queue()
    threading.Thread(target=lambda: [said.put(line.rstrip("\n")) for line in run.stdout or ()], daemon=True).start()
    try:
        assert "Not due yet, since she is out of the mould" in until(said, "Watching; Ctrl-C ends.")
        table.write_text(
            good.replace("\n", "\nno such place" + "," * good.splitlines()[0].count(",") + "\n", 1), "utf-8"
        )
        spoiled = until(said, "Watching; Ctrl-C ends.")
        assert spoiled.startswith("mended: 0, new: ")
        assert "no such place" in spoiled
        table.unlink()
        table.mkdir()
        assert "Watching" in until(said, "Watching; Ctrl-C ends.")
        table.rmdir()
        table.write_text(good, "utf-8")
        assert "mended: " in until(said, "Watching; Ctrl-C ends.")
        run.send_signal(signal.SIGINT)
        assert run.wait(MOST) == 0
        assert run.stderr is not None
        assert "Traceback" not in run.stderr.read()
    finally:
        run.kill()
        run.wait()


def until(said: Queue[str], end: str) -> str:
    """What was said up to a line, which must come."""
    lines: list[str] = []
    while not lines or lines[-1] != end:
        lines.append(said.get(timeout=MOST))
    return "\n".join(lines)
