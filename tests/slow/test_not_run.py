"""Where a program of the machine is missing, the run says at its end what was not tested."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
MODULES = tuple(f"tests/slow/test_{name}.py" for name in ("marks_and_rows", "print_programs", "workbook_programs"))
OURS = "fonts or qpdf or files_can or workbook"


def test_without_chromium_qpdf_poppler_and_a_spreadsheet_program_the_run_names_what_it_left_out() -> None:
    """On two workers, whose own words are thrown away; nothing is built for tests that cannot run."""
    command = [sys.executable, "-m", "pytest", "-n", "2", "-m", "slow", "-k", f"row or {OURS}", *MODULES]
    run = subprocess.run(command, cwd=ROOT, env={**os.environ, "PATH": ""}, capture_output=True, text=True, timeout=300)
    said = re.findall(r"^NOT RUN: .*Debian package ([-a-z]+)", run.stdout, flags=re.MULTILINE)
    assert said == ["poppler-utils", "qpdf", "chromium", "libreoffice-calc-nogui"], run.stdout + run.stderr
    assert re.search(r"^\d+ skipped in ", run.stdout, flags=re.MULTILINE), "nothing was run, nothing failed"
    assert run.returncode == 0
