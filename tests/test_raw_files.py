"""Long records that figures rest on: named in the book with size and hash, so that a copy can be checked."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from buildbook.pipeline import Made
from buildbook.render.jsonfile import book_json
from tests.demonstration import demonstration

HULL = Path(__file__).parents[1] / "demo_build" / "hull"


@pytest.fixture(scope="module")
def made() -> Made:
    return demonstration()


def test_each_record_that_was_read_is_named_with_its_size_and_hash(made: Made) -> None:
    on_disk = {f"vibration/raw/{path.name}": path.read_bytes() for path in (HULL / "vibration" / "raw").iterdir()}
    told = {it.file: (it.bytes, it.sha256) for it in made.book.raw_files}
    assert told == {name: (len(data), hashlib.sha256(data).hexdigest()) for name, data in on_disk.items()}
    assert all(where.file == "vibration/records.csv" for it in made.book.raw_files for where in it.at)


def test_every_file_that_a_finding_rests_on_is_in_the_book_or_named_with_its_hash(made: Made) -> None:
    named = {it.file for it in made.book.raw_files} | set(made.received) | {it.file for it in made.book.photographs}
    named |= {it.file for it in made.book.documents} | {it.file for it in made.book.withheld}
    unread = {fault.where.file for fault in made.book.faults}
    left = {path.relative_to(HULL).as_posix() for path in HULL.rglob("*") if path.is_file()} - named - unread
    assert left == set(made.book.unused_files)


def test_the_hashes_are_in_the_data_that_the_digest_covers(made: Made) -> None:
    data = json.loads(book_json(made.book))
    assert [it["sha256"] for it in data["raw_files"]] == [it.sha256 for it in made.book.raw_files]
