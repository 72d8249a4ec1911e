"""Same folder in, same bytes out: whatever the place, the hour, the language and the order of things."""

from __future__ import annotations

import pytest

from tests.end_to_end.builds import CHANGED, Build
from tests.end_to_end.spoiling import HULL

pytestmark = pytest.mark.slow


def test_two_builds_give_the_same_bytes_in_every_file(builds: tuple[Build, Build]) -> None:
    first, second = (build.files() for build in builds)
    assert sorted(first) == sorted(second)
    assert [name for name in first if first[name] != second[name]] == []
    assert {"index.html", "book.json", "SHA256SUMS", "SHA256SUMS.release"} <= set(first)
    assert [name for name in first if name.endswith(".pdf")] != []


def test_two_builds_say_the_same(builds: tuple[Build, Build]) -> None:
    first, second = ([line for line in build.said.splitlines() if "Written to" not in line] for build in builds)
    assert " ".join(first).split() == " ".join(second).split()


def test_no_file_of_the_book_tells_where_or_when_it_was_made(builds: tuple[Build, Build]) -> None:
    assert CHANGED == (318_211_200, 2_000_000_000)  # whose days are looked for below
    for build in builds:
        traces = [str(build.hull).encode(), str(build.out).encode(), b"1980-02-01", b"2033-05-18"]
        told = {name for name, data in build.files().items() for trace in traces if trace in data}
        assert told == set()


def test_building_changes_nothing_in_the_hull_folder(builds: tuple[Build, Build]) -> None:
    names = {path.relative_to(HULL).as_posix() for path in HULL.rglob("*") if path.is_file()}
    for build in builds:
        assert {path.relative_to(build.hull).as_posix() for path in build.hull.rglob("*") if path.is_file()} == names
        assert [name for name in names if (build.hull / name).read_bytes() != (HULL / name).read_bytes()] == []
