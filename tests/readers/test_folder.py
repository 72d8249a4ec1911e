"""The hull folder: what is read, and that nothing outside it is ever opened. All files are synthetic."""

import hashlib
import os

import pytest

from buildbook.readers import folder as folder_module
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from tests.readers.synthetic import folder_of

SECRET = "synthetic secret outside the folder"


@pytest.fixture
def outside(tmp_path):
    (tmp_path / "secret.csv").write_text(SECRET)
    (tmp_path / "hull").mkdir()
    return tmp_path


def test_names_are_sorted_with_forward_slashes_and_without_hidden_files(tmp_path):
    files = {"b.csv": "", "a/z.csv": "", "a/y.csv": "", ".hidden": "", ".git/config": "", "a/.x": ""}
    assert folder_of(tmp_path, files).names() == ("a/y.csv", "a/z.csv", "b.csv")


def test_bytes_size_and_digest(tmp_path):
    folder = folder_of(tmp_path, {"a/b.bin": b"\x00\x01synthetic"})
    assert folder.read("a/b.bin") == b"\x00\x01synthetic"
    assert folder.size("a/b.bin") == 11
    assert folder.sha256("a/b.bin") == hashlib.sha256(b"\x00\x01synthetic").hexdigest()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../secret.csv", "climbs"),
        ("a/../../secret.csv", "climbs"),
        ("..", "climbs"),
        ("/etc/passwd", "absolute"),
        ("~/secret.csv", "absolute"),
        ("..\\secret.csv", "backslash"),
        ("a\\..\\..\\secret.csv", "backslash"),
        ("C:\\secret.csv", "drive"),
        ("C:/secret.csv", "drive"),
        ("file:///etc/passwd", "address"),
        ("http://example.org/a.png", "address"),
        ("https:a", "address"),
        ("data:text/plain,x", "address"),
        ("//server/share/a", "absolute"),
        ("./a.csv", "empty step"),
        ("a//b.csv", "empty step"),
        ("a/", "empty step"),
        ("", "no name"),
        ("a\x00.csv", "control"),
        ("a\n.csv", "control"),
        (".hidden", "hidden"),
        ("a" * 600, "too long"),
    ],
)
@pytest.mark.parametrize("way", ["read", "size", "sha256", "holds"])
def test_a_name_that_is_no_path_inside_is_refused(outside, name, words, way):
    with pytest.raises(Refused) as refused:
        getattr(Folder(outside / "hull"), way)(name)
    assert words in refused.value.fault.found
    assert SECRET not in str(refused.value)
    refused.value.fault.where.file.encode("utf-8")


def test_a_link_to_a_file_is_refused_and_told(outside):
    (outside / "hull" / "link.csv").symlink_to(outside / "secret.csv")
    folder = Folder(outside / "hull")
    for way in (folder.read, folder.size, folder.sha256):
        with pytest.raises(Refused, match="a link"):
            way("link.csv")
    assert folder.names() == ()
    assert [fault.where.file for fault in folder.left_out()] == ["link.csv"]
    assert folder.holds("link.csv")


def test_a_link_to_a_folder_is_refused_and_told(outside):
    (outside / "hull" / "sub").symlink_to(outside)
    folder = Folder(outside / "hull")
    with pytest.raises(Refused, match="a link"):
        folder.read("sub/secret.csv")
    assert folder.holds("sub/secret.csv")
    assert folder.names() == ()
    assert [fault.where.file for fault in folder.left_out()] == ["sub"]


def test_a_link_inside_the_folder_is_refused_too(tmp_path):
    folder = folder_of(tmp_path, {"real.csv": "x"})
    (tmp_path / "again.csv").symlink_to("real.csv")
    with pytest.raises(Refused, match="a link"):
        folder.read("again.csv")


def test_a_pipe_is_refused_without_waiting(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")
    folder = Folder(tmp_path)
    with pytest.raises(Refused, match="a pipe"):
        folder.read("pipe.csv")
    assert folder.names() == ()
    assert "a pipe" in str(folder.left_out()[0])


def test_a_folder_and_an_absent_file_are_no_files(tmp_path):
    folder = folder_of(tmp_path, {"a/b.csv": "x"})
    for name, words in (("a", "a folder"), ("c.csv", "no such file"), ("a/b.csv/d", "cannot be opened")):
        with pytest.raises(Refused, match=words):
            folder.read(name)
    assert not folder.holds("c.csv")
    assert not folder.holds("a/c.csv")
    assert folder.holds("a/b.csv")


def test_a_file_above_the_cap_is_refused(tmp_path, monkeypatch):
    folder = folder_of(tmp_path, {"a.csv": b"12345678"})
    assert folder.read("a.csv", 8) == b"12345678"
    with pytest.raises(Refused, match="at most"):
        folder.read("a.csv", 7)
    monkeypatch.setattr(folder_module, "MOST_BYTES_HASHED", 7)
    with pytest.raises(Refused, match="at most"):
        folder.sha256("a.csv")


def test_too_many_files_or_folders_in_each_other_are_not_walked(tmp_path, monkeypatch):
    folder = folder_of(tmp_path, {"a.csv": "", "b.csv": "", "1/2/3/c.csv": ""})
    monkeypatch.setattr(folder_module, "MOST_FOLDERS_DEEP", 2)
    assert folder.names() == ("a.csv", "b.csv")
    assert [fault.where.file for fault in folder.left_out()] == ["1/2/3"]
    monkeypatch.setattr(folder_module, "MOST_FILES", 1)
    with pytest.raises(Refused, match="at most 1 files"):
        Folder(tmp_path).names()


def test_a_name_that_cannot_be_printed_is_left_out_and_told(tmp_path):
    with open(os.fsencode(tmp_path) + b"/bad\xff.csv", "wb"):
        pass
    folder = Folder(tmp_path)
    assert folder.names() == ()
    str(folder.left_out()[0]).encode("utf-8")


def test_what_is_no_folder_is_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    for name in ("file", "absent"):
        with pytest.raises(Refused):
            Folder(tmp_path / name)
