"""The demonstration book, built once or twice, in circumstances as different as one machine allows; copies to spoil."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from buildbook.core.book import Book
from tests.end_to_end.builds import Build, demonstration, start
from tests.end_to_end.spoiling import Spoil, book_of, copied, spoiled
from tests.installing import distributions, new_prefix, pip_install


@pytest.fixture(scope="session")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """The book, built in a process of its own."""
    return demonstration(tmp_path_factory)


@pytest.fixture(scope="session")
def builds(build: Build, tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Build]:
    """The same hull in two places, time zones, locales, hash seeds and file times; one built by the installed wheel."""
    folder = tmp_path_factory.mktemp("place0")
    python = new_prefix(folder / "wheel")
    pip_install(python, next(distributions(folder / "built").glob("*.whl")))
    return start(folder, 0, (python.parent / "buildbook",)).finished(), build


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demonstration folder."""
    return copied(tmp_path_factory.mktemp("faults") / "hull")


@pytest.fixture(scope="session")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The book of such a copy while nothing is spoiled."""
    return book_of(copied(tmp_path_factory.mktemp("sound") / "hull"))


@pytest.fixture
def spoil(hull: Path, sound: Book) -> Spoil:
    """Spoil one file, make the book, see that nothing got better."""
    return partial(spoiled, hull, sound)
