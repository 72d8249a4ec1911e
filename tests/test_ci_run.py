"""The check of a fresh clone: what it says when something failed or was not run. All programs are stand-ins."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ALL_PASSED = "All of lint, test and test-slow passed."
TOOLS = ("bash", "dirname", "mktemp", "tee", "grep", "cat")
PROGRAMS = ("pdftotext", "qpdf", "chromium", "ssh-keygen", "unzip", "soffice")


def run(folder: Path, *, programs: tuple[str, ...] = PROGRAMS, make: str = "exit 0") -> tuple[int, list[str]]:
    """The script with only these programs on the path; `make` is the body of a stand-in for make."""
    bin_folder = folder / "bin"
    bin_folder.mkdir()
    for tool in TOOLS:
        found = shutil.which(tool)
        assert found is not None
        (bin_folder / tool).symlink_to(found)
    bodies = {"id": "echo 0", "apt-get": "exit 100", "make": make, **dict.fromkeys(programs, "exit 0")}
    for name, body in bodies.items():
        (bin_folder / name).write_text(f"#!{bin_folder}/bash\n{body}\n")
        (bin_folder / name).chmod(0o755)
    script = folder / ".ci" / "run"
    script.parent.mkdir()
    shutil.copy(ROOT / ".ci" / "run", script)
    command = [str(bin_folder / "bash"), str(script)]
    environment = {"PATH": str(bin_folder), "TMPDIR": str(folder)}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)
    return done.returncode, done.stdout.splitlines()


def test_everything_passed(tmp_path: Path) -> None:
    status, lines = run(tmp_path)
    assert (status, lines[-1]) == (0, ALL_PASSED)
    assert not any(line.startswith("NOT RUN") for line in lines)


@pytest.mark.parametrize("program", PROGRAMS)
def test_a_program_that_cannot_be_installed(tmp_path: Path, program: str) -> None:
    status, lines = run(tmp_path, programs=tuple(name for name in PROGRAMS if name != program))
    assert ALL_PASSED not in lines
    assert "was not run" in lines[-1]
    assert lines[-2].startswith(f"NOT RUN: tests that need {program}")
    assert status == 0


def test_a_test_that_was_skipped(tmp_path: Path) -> None:
    skipped = "SKIPPED [3] tests/slow/test_browser.py:47: Chromium is not installed"
    status, lines = run(tmp_path, make=f'[ "$2" = test-slow ] && echo "{skipped}" "$PYTEST_ADDOPTS"; exit 0')
    assert ALL_PASSED not in lines
    assert lines[-2] == f"NOT RUN: test-slow: {skipped}  -rs --durations=25"
    assert status == 0


@pytest.mark.parametrize("target", ["lint", "test", "test-slow"])
def test_a_part_that_failed(tmp_path: Path, target: str) -> None:
    status, lines = run(tmp_path, make=f'[ "$2" != {target} ]', programs=())
    assert (status, lines[-1]) == (1, f"FAILED: {target}")
    assert sum(line.startswith("NOT RUN") for line in lines) == len(PROGRAMS)
    assert ALL_PASSED not in lines
