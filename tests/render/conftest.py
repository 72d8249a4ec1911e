"""The synthetic book, rendered once for all tests of the renderers."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from buildbook.core.book import Book
from buildbook.render.package import contents
from tests.sample_book import book as sample
from tests.sample_book import received


@pytest.fixture(scope="session")
def sample_book() -> Book:
    return sample()


@pytest.fixture(scope="session")
def made(sample_book: Book) -> Mapping[str, bytes]:
    """Every file of the output folder of the synthetic book, the PDF included."""
    files, _, _, notices = contents(sample_book, received())
    assert notices == ()
    return files


@pytest.fixture(scope="session")
def pages(made: Mapping[str, bytes]) -> Mapping[str, str]:
    """The pages of its site; the listing sheet is a file of its own, with tests of its own."""
    names = [name for name in made if name.endswith(".html") and not name.endswith("-listing.html")]
    return {name: made[name].decode("utf-8") for name in names}
