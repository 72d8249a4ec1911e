"""The demonstration's evidence package, made once for the tests of this folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.chapters import CHECKS, TABLES
from buildbook.parcel.evidence_package import Contents, packed
from buildbook.pipeline import Made
from buildbook.readers.folder import Folder
from buildbook.render.jsonfile import book_json
from buildbook.render.streamed import Make, streamed
from tests.demonstration import demonstration
from tests.parcel.small_hull import HULL, built, small_hull


@pytest.fixture(scope="session")
def made() -> Made:
    return demonstration()


def pack(made: Made, root: Path) -> Make:
    """What writes the package of a book, without the site around it."""
    inputs = {n if "in-part" in n else f"evidence/received/{n}": data for n, data in made.received.items()}
    papers = {it.out: made.pictures[it.out] for it in made.book.documents if it.out}
    files = {**inputs, **papers, "book.json": book_json(made.book), "SHA256SUMS": b""}
    return packed(Contents(made.book, made.evidence, TABLES, CHECKS, Folder(root).open), "bag", files)


@pytest.fixture(scope="session")
def package(made: Made, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package of the demonstration, as a ZIP file."""
    path = tmp_path_factory.mktemp("package") / "evidence.zip"
    streamed(pack(made, HULL)).write_to(path)
    return path


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The output folder of the small hull."""
    folder = tmp_path_factory.mktemp("small")
    built(small_hull(folder / "hull"), folder / "out")
    return folder / "out"
