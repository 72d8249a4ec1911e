"""The package as others get it: wheel and sdist of this checkout, and environments that hold nothing else of it."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def distributions(folder: Path) -> Path:
    """A folder with the wheel and the sdist, built without network by the locked hatchling."""
    run(sys.executable, "-m", "hatchling", "build", "-d", folder, cwd=ROOT)
    return folder


def run(*command: str | Path, cwd: Path) -> str:
    """Output of a program that must succeed; it sees no search path of this test run."""
    env = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "VIRTUAL_ENV"}}
    done = subprocess.run([str(word) for word in command], cwd=cwd, env=env, capture_output=True, text=True)
    assert done.returncode == 0, f"{command} ended with {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def new_prefix(folder: Path) -> Path:
    """Another environment that sees the locked packages, but not this checkout; its Python."""
    venv.create(folder, with_pip=False)
    python = folder / "bin" / "python"
    own = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    # A path named in a .pth file is searched, but the .pth files in it, and so the editable install, are not read.
    (own / "locked.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return python


def pip_install(python: Path, *what: str | Path) -> None:
    options = ("--no-deps", "--no-index", "--no-build-isolation", "--ignore-installed", "--quiet")
    run(sys.executable, "-m", "pip", "--python", python, "install", *options, *what, cwd=python.parent)
