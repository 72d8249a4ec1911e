"""The demonstration's evidence package, unpacked into a folder: the one module here that runs the program."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from buildbook.pipeline import make_book, write_book
from tests.demonstration import site
from tests.end_to_end.foreign import COLUMNS, in_foreign_words
from tests.end_to_end.spoiling import copied

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"


def package_folder(root: Path, hull: Path = DEMO) -> Path:
    """Build the book of a hull's folder without its PDF, and unpack its evidence package under `root`.

    Returns:
        The folder that holds `data/`, as a surveyor finds it after unpacking.
    """
    return unpacked(write_book(make_book(hull), hull, root / "out", pdf=False).out, root)


def foreign_package(root: Path) -> Path:
    """The same of the demonstration with some tables in a yard's own heads and words, and its columns.toml."""
    hull = copied(root / "hull")
    in_foreign_words(hull)
    (hull / "columns.toml").write_text(COLUMNS, encoding="utf-8")
    return package_folder(root / "package", hull)


def of_demonstration(factory: pytest.TempPathFactory) -> Path:
    """The same of the demonstration, whose site all tests of one run share."""
    return unpacked(site(factory), factory.mktemp("package"))


def unpacked(out: Path, root: Path) -> Path:
    """Unpack the evidence package of an output folder under `root`; returns the folder that holds `data/`."""
    (path,) = out.glob("*-evidence.zip")
    with zipfile.ZipFile(path) as packed:
        packed.extractall(root)
    return root / path.stem
