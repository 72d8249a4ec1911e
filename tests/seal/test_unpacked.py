"""An evidence package that somebody unpacked is checked as the zip is."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from buildbook.exports import differing
from buildbook.seal.verify import verify
from tests.parcel.small_hull import RAW
from tests.seal.test_by_book import digest_of, the_zip
from tests.seal.test_verify_folder import flip, run


@pytest.fixture
def unpacked(papers: Path, tmp_path: Path) -> Path:
    """The folder with bagit.txt in it."""
    with zipfile.ZipFile(the_zip(papers)) as package:
        package.extractall(tmp_path / "unpacked")
    (top,) = (tmp_path / "unpacked").iterdir()
    return top


def test_the_bag_and_the_folder_that_holds_it_are_whole(unpacked: Path, papers: Path) -> None:
    zipped = verify(the_zip(papers), derived=differing)
    for place in (unpacked, unpacked.parent):
        found = verify(place, digest_of(papers), derived=differing)
        assert (found.kind, found.digest, found.same) == ("unpacked package", zipped.digest, zipped.same)
        assert (found.changed, found.missing, found.extra, found.compared, found.bad) == ({}, (), (), True, False)
        code, said = run(place, "--digest", digest_of(papers))
        assert code == 0
        assert "and this is an unpacked package." in said
    assert set(zipped.withheld) == set(verify(unpacked).withheld)


@pytest.mark.parametrize("name", [f"data/raw/{RAW}", "data/findings.csv", "bag-info.txt", "data/SHA256SUMS"])
def test_one_flipped_byte_of_it_is_named(unpacked: Path, name: str) -> None:
    flip(unpacked / name, 70)
    assert name in verify(unpacked).changed
    assert run(unpacked)[0] == 1


def test_extra_and_missing_files_of_it_are_named(unpacked: Path) -> None:
    (unpacked / "data/approval.txt").write_text("x", "utf-8")
    (unpacked / "data/findings.csv").unlink()
    found = verify(unpacked)
    assert (found.missing, found.extra) == (("data/findings.csv",), ("data/approval.txt",))


def test_two_packages_in_one_folder_are_no_book(unpacked: Path) -> None:
    (unpacked.parent / "other/data").mkdir(parents=True)
    (unpacked.parent / "other/data/SHA256SUMS").write_bytes((unpacked / "data/SHA256SUMS").read_bytes())
    code, said = run(unpacked.parent)
    assert (code, "holds no book" in said) == (2, True)


def test_only_the_folder_of_pages_is_signed(unpacked: Path, tmp_path: Path) -> None:
    code, said = run(unpacked, "--allowed", tmp_path / "list")
    assert (code, "name the folder" in said) == (2, True)
