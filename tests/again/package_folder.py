"""The demonstration's evidence package, unpacked into a folder: the one module here that runs the program."""

from __future__ import annotations

import zipfile
from pathlib import Path

from buildbook.pipeline import make_book, write_book

DEMO = Path(__file__).parents[2] / "demo_build" / "hull"


def package_folder(root: Path, hull: Path = DEMO) -> Path:
    """Build the book of a hull's folder without its PDF, and unpack its evidence package under `root`.

    Returns:
        The folder that holds `data/`, as a surveyor finds it after unpacking.
    """
    written = write_book(make_book(hull), hull, root / "out", pdf=False)
    (name,) = [name for name in written.files if name.endswith("-evidence.zip")]
    with zipfile.ZipFile(written.out / name) as packed:
        packed.extractall(root)
    return root / name.removesuffix(".zip")
