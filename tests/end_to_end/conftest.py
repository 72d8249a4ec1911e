"""The demonstration book, built twice at once in circumstances as different as one machine allows; copies to spoil."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from buildbook.core.book import Book
from tests.end_to_end.builds import Build, start
from tests.end_to_end.spoiling import Spoil, book_of, copied, spoiled


@pytest.fixture(scope="session")
def builds(tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Build]:
    """The same hull in two places, time zones, locales, hash seeds and file times, built in two processes."""
    first, second = (start(tmp_path_factory.mktemp(f"place{number}"), number) for number in range(2))
    return first.finished(), second.finished()


@pytest.fixture(scope="session")
def build(builds: tuple[Build, Build]) -> Build:
    """One of them."""
    return builds[0]


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demonstration folder."""
    return copied(tmp_path_factory.mktemp("faults") / "hull")


@pytest.fixture(scope="module")
def sound(hull: Path) -> Book:
    """The book of the copy while nothing is spoiled."""
    return book_of(hull)


@pytest.fixture
def spoil(hull: Path, sound: Book) -> Spoil:
    """Spoil one file, make the book, see that nothing got better."""
    return partial(spoiled, hull, sound)
