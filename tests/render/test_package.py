"""The output folder: what is in it, what the digest covers, and what is never overwritten.

The outside measure of the lists is the program sha256sum where it is installed, and hashlib.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.render import package, pdf
from buildbook.render.package import contents, write
from buildbook.render.place import MARKER, Refused
from tests.sample_book import received

PARTS = {"index.html", "exceptions.html", "coverage.html", "coating.html", "register.html", "evidence/index.html"}
PARTS |= {
    "instruments.html",
    "glossary.html",
    "how-judged.html",
    "sources.html",
    "verify.html",
    "book.json",
    "book.schema.json",
}
PARTS |= {"book.schema.json", "SHA256SUMS", "SHA256SUMS.release", "XX-EXY00007H526-book.pdf", "photographs/1.png"}


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def sums(made: Mapping[str, bytes], name: str) -> dict[str, str]:
    lines = made[name].decode("utf-8").splitlines()
    return {line[66:]: line[:64] for line in lines}


def quick(book: Book, out: Path, **more: object) -> package.Written:
    return write(book, received(), out, pdf=False, **more)  # type: ignore[arg-type]


def test_every_part_is_there(made: Mapping[str, bytes]) -> None:
    assert PARTS - set(made) == set()


def test_tables_are_kept_byte_for_byte_and_pictures_as_received_are_not_published(made: Mapping[str, bytes]) -> None:
    tables = {name: data for name, data in received().items() if not name.startswith("photographs/")}
    assert {name: made[f"evidence/received/{name}"] for name in tables} == tables
    assert [name for name in made if "received/photographs/" in name] == []


def test_digest_is_that_of_the_list_of_records_and_data(made: Mapping[str, bytes], pages: Mapping[str, str]) -> None:
    digest = hashlib.sha256(made["SHA256SUMS"]).hexdigest()
    listed = sums(made, "SHA256SUMS")
    assert set(listed) == {name for name in made if name.startswith("evidence/received/")} | {"book.json"}
    assert digest in pages["verify.html"]
    for name in listed:
        assert digest[:12].encode() not in made[name]


def test_the_two_lists_name_every_file_once_with_its_sum(made: Mapping[str, bytes]) -> None:
    first, second = sums(made, "SHA256SUMS"), sums(made, "SHA256SUMS.release")
    assert set(first) & set(second) == set()
    assert set(first) | set(second) | {"SHA256SUMS.release"} == set(made)
    for name, digest in (first | second).items():
        assert hashlib.sha256(made[name]).hexdigest() == digest
    for listed in (first, second):
        assert list(listed) == sorted(listed)


def test_stock_program_accepts_the_lists(sample_book: Book, tmp_path: Path) -> None:
    program = shutil.which("sha256sum")
    if program is None:
        pytest.skip("sha256sum is not installed")
    quick(sample_book, tmp_path / "out")
    check = [program, "-c", "--strict", "--quiet", "SHA256SUMS", "SHA256SUMS.release"]
    assert subprocess.run(check, cwd=tmp_path / "out", capture_output=True, text=True).returncode == 0
    (tmp_path / "out" / "evidence" / "received" / "hull.toml").write_bytes(b"changed\n")
    done = subprocess.run(check, cwd=tmp_path / "out", capture_output=True, text=True)
    assert done.returncode != 0
    assert "hull.toml: FAILED" in done.stdout


def test_an_absent_or_empty_folder_is_written_and_our_own_is_replaced_whole(sample_book: Book, tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    first = quick(sample_book, out)
    assert set(tree(out)) == set(first.files)
    shorter = replace(sample_book, chapters=sample_book.chapters[:1], reports=())
    quick(shorter, out)
    assert not (out / "register.html").exists()
    assert [path.name for path in out.parent.iterdir()] == ["out"]
    (tmp_path / "empty").mkdir()
    assert quick(sample_book, tmp_path / "empty").out == tmp_path / "empty"


def test_files_and_folders_can_be_read_by_others_as_the_user_allows(sample_book: Book, tmp_path: Path) -> None:
    quick(sample_book, tmp_path / "out")
    (tmp_path / "plain").mkdir()
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == stat.S_IMODE((tmp_path / "plain").stat().st_mode)


def test_a_folder_of_somebody_else_is_refused_and_left_alone(sample_book: Book, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "thesis.txt").write_text("three years", encoding="utf-8")
    with pytest.raises(Refused, match="was not written by buildbook"):
        quick(sample_book, tmp_path / "out")
    assert tree(tmp_path / "out") == {"thesis.txt": b"three years"}


def test_a_file_that_somebody_put_into_our_folder_is_not_lost(sample_book: Book, tmp_path: Path) -> None:
    quick(sample_book, tmp_path / "out")
    before = tree(tmp_path / "out")
    (tmp_path / "out" / "evidence" / "my notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match=r"my notes\.txt"):
        quick(sample_book, tmp_path / "out")
    assert tree(tmp_path / "out") == before | {"evidence/my notes.txt": b"mine"}


def test_a_marker_that_is_only_a_link_does_not_make_a_folder_ours(sample_book: Book, tmp_path: Path) -> None:
    quick(sample_book, tmp_path / "ours")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / MARKER).symlink_to(tmp_path / "ours" / MARKER)
    shutil.copy(tmp_path / "ours" / "SHA256SUMS.release", tmp_path / "out")
    with pytest.raises(Refused, match="was not written by buildbook"):
        quick(sample_book, tmp_path / "out")


def test_a_link_as_output_folder_is_refused(sample_book: Book, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(Refused, match="symbolic link"):
        quick(sample_book, tmp_path / "out")
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_file_as_output_folder_is_refused(sample_book: Book, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file", encoding="utf-8")
    with pytest.raises(Refused, match="is not a folder"):
        quick(sample_book, tmp_path / "out")


@pytest.mark.parametrize("place", ["hull", "hull/out", ".", "hull/a/b"])
def test_output_inside_or_around_the_hull_folder_is_refused(sample_book: Book, tmp_path: Path, place: str) -> None:
    (tmp_path / "hull").mkdir()
    with pytest.raises(Refused, match="must not lie inside each other"):
        quick(sample_book, tmp_path / place, hull_root=tmp_path / "hull")


def test_output_inside_the_hull_folder_is_refused_by_way_of_a_link_too(sample_book: Book, tmp_path: Path) -> None:
    (tmp_path / "hull" / "a").mkdir(parents=True)
    (tmp_path / "way").symlink_to(tmp_path / "hull" / "a")
    with pytest.raises(Refused, match="must not lie inside each other"):
        quick(sample_book, tmp_path / "way" / "out", hull_root=tmp_path / "hull")


def test_a_build_that_breaks_leaves_the_old_book_untouched(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(sample_book, tmp_path / "out")
    before = tree(tmp_path / "out")

    def full(*_: object, **__: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "write_bytes", full)
        with pytest.raises(OSError, match="No space left"):
            quick(sample_book, tmp_path / "out")
    assert tree(tmp_path / "out") == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_the_old_book_comes_back_when_the_new_one_cannot_be_put_in_place(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(sample_book, tmp_path / "out")
    before = tree(tmp_path / "out")
    rename = Path.rename

    def stubborn(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise OSError(16, "Device or resource busy")
        return rename(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", stubborn)
        with pytest.raises(OSError, match="busy"):
            quick(sample_book, tmp_path / "out")
    assert tree(tmp_path / "out") == before


@pytest.mark.parametrize("stop", [OSError(16, "Device or resource busy"), KeyboardInterrupt()], ids=["busy", "stopped"])
def test_the_old_book_is_never_deleted_before_a_new_one_is_in_place(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    """Neither the new book nor the old one can be moved into place: the old one stays, and the message says where."""
    quick(sample_book, tmp_path / "out")
    before = tree(tmp_path / "out")
    rename = Path.rename

    def stubborn(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise stop
        if self.name == "old":
            raise OSError(13, "Permission denied")
        return rename(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", stubborn)
        with pytest.raises(Refused, match=r"the earlier one is kept in .*/old, move it back by hand"):
            quick(sample_book, tmp_path / "out")
    (kept,) = tmp_path.glob(".out-*/old")
    assert tree(kept) == before


def test_the_old_book_comes_back_when_the_writing_is_stopped_between_the_two_moves(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick(sample_book, tmp_path / "out")
    before = tree(tmp_path / "out")
    rename = Path.rename

    def stopped(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise KeyboardInterrupt
        return rename(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", stopped)
        with pytest.raises(KeyboardInterrupt):
            quick(sample_book, tmp_path / "out")
    assert tree(tmp_path / "out") == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_picture_as_received_is_refused(sample_book: Book) -> None:
    files = {**received(), "photographs/film.png": b"with position and camera data"}
    with pytest.raises(Refused, match="only its re-encoded copy is published"):
        contents(sample_book, files, pdf=False)


def test_a_picture_that_was_not_given_is_said(sample_book: Book) -> None:
    files = {name: data for name, data in received().items() if not name.startswith("photographs/")}
    with pytest.raises(Refused, match=r"photographs/film\.png"):
        contents(sample_book, files, pdf=False)


def test_two_pages_of_one_name_are_refused(sample_book: Book) -> None:
    twice = replace(sample_book, tables=(*sample_book.tables, replace(sample_book.tables[0], anchor="index")))
    with pytest.raises(Refused, match=r"evidence/index\.html"):
        contents(twice, received(), pdf=False)


def test_progress_is_told(sample_book: Book, tmp_path: Path) -> None:
    told: list[str] = []
    quick(sample_book, tmp_path / "out", progress=told.append)
    assert {"book.json", "index.html", "coating.html"} <= set(told)


@pytest.mark.slow
def test_a_printed_book_with_an_error_is_not_handed_out(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from buildbook.render import html

    monkeypatch.setattr(html, "source_anchor", lambda key: "the same for all")
    with pytest.raises(Refused, match="could not be made without an error: No anchor #source-"):
        write(sample_book, received(), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


def test_no_book_is_handed_out_without_its_print_where_that_has_an_error(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same without setting a page: what makes the print stands in for the error above."""

    def unclean(*_: object) -> bytes:
        raise pdf.NotClean("No anchor #source-1")

    monkeypatch.setattr(pdf, "printed", unclean)
    with pytest.raises(Refused, match="could not be made without an error: No anchor #source-1"):
        write(sample_book, received(), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


def test_without_the_system_library_everything_but_the_pdf_is_written(
    sample_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in [name for name in sys.modules if name.split(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delitem(sys.modules, "buildbook.render.fetcher", raising=False)
    monkeypatch.setattr(sys, "meta_path", [NoPango(), *sys.meta_path])
    done = write(sample_book, received(), tmp_path / "out")
    assert done.pdf == ""
    assert len(done.notices) == 1
    assert "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in done.notices[0]
    made = tree(tmp_path / "out")
    assert PARTS - set(made) == {"XX-EXY00007H526-book.pdf"}
    assert b"book.pdf" not in made["index.html"]
    assert sums(made, "SHA256SUMS.release").keys() | sums(made, "SHA256SUMS").keys() == made.keys() - {
        "SHA256SUMS.release"
    }


class NoPango:
    """An importer that fails as WeasyPrint does on a machine without Pango."""

    def find_spec(self, name: str, *_: object) -> None:
        if name.split(".")[0] == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0': error 0x7e")


BUILD = """
import sys
from pathlib import Path
from buildbook.render.package import write
from tests.sample_book import book, received
files = dict(sorted(received().items(), reverse=sys.argv[2] == "turned"))
write(book(), files, Path(sys.argv[1]))
"""


@pytest.mark.slow
def test_two_processes_write_the_same_bytes(tmp_path: Path) -> None:
    root = Path(__file__).parents[2]
    settings = (("1", "UTC", "C", "straight"), ("2", "Pacific/Auckland", "C.UTF-8", "turned"))
    for seed, zone, language, order in settings:
        surroundings = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": language, "PYTHONPATH": str(root)}
        home = tmp_path / seed
        home.mkdir()
        command = [sys.executable, "-c", BUILD, str(home / "out"), order]
        subprocess.run(command, cwd=home, env=surroundings, check=True, timeout=300)
    one, other = (tree(tmp_path / seed / "out") for seed in ("1", "2"))
    assert list(one) == list(other)
    assert [name for name in one if one[name] != other[name]] == []
    assert any(name.endswith(".pdf") for name in one)
