"""The hull folder: which files it holds, and their bytes.

Links are never followed and nothing outside the folder is opened.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from buildbook.core.fault import Fault, Severity
from buildbook.core.spelling import did_you_mean
from buildbook.core.where import Where
from buildbook.readers.refused import Refused

MOST_BYTES = 50_000_000  # one file read as a whole
MOST_BYTES_HASHED = 4_000_000_000
MOST_FILES = 100_000
MOST_FOLDERS_DEEP = 12
LONGEST_NAME = 500  # characters, the whole relative name
LOCK = "~$"  # begins the name of what a spreadsheet program lays beside a workbook while it is open there

_BLOCK = 1 << 20
_NOT_READ = "The file is not read."
_SCHEME = re.compile(r"^[A-Za-z][A-Za-z0-9+.-]*:")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_INSIDE = "a file inside the folder, named from it with forward slashes"


class Folder:
    """The hull folder. Names are relative to it, with forward slashes; hidden files and folders are left alone,
    and what a program lays beside a file that is open in it."""

    def __init__(self, root: Path) -> None:
        """Take a folder as the hull folder; `Refused` where it is not one."""
        try:
            self.root = Path(root).resolve(strict=True)
        except (OSError, RuntimeError):
            raise _refused(".", "a folder", "nothing of that name", "There is nothing to read.") from None
        if not self.root.is_dir():
            raise _refused(".", "a folder", "something that is not a folder", "There is nothing to read.")
        self._walked: tuple[tuple[str, ...], tuple[Fault, ...]] | None = None

    def names(self) -> tuple[str, ...]:
        """The files of the folder and its folders, sorted; without hidden ones, links, pipes and devices."""
        return self._walk()[0]

    def left_out(self) -> tuple[Fault, ...]:
        """A notice for each thing in the folder that no reader will open: links, pipes, devices, unreadable names."""
        return self._walk()[1]

    def holds(self, name: str) -> bool:
        """Whether something stands at this name, be it a file that can be read or not."""
        _check_name(name)
        here = self.root
        for part in name.split("/"):
            here = here / part
            try:
                found = here.lstat()
            except OSError:
                return False
            if stat.S_ISLNK(found.st_mode):
                return True
        return True

    def read(self, name: str, most: int = MOST_BYTES) -> bytes:
        """The bytes of a file of at most `most` bytes; `Refused` for anything else."""
        with self._open(name, most) as handle:
            data = b"".join(iter(lambda: os.read(handle, _BLOCK), b""))
        if len(data) > most:
            raise _too_large(name, len(data), most)
        return data

    def size(self, name: str) -> int:
        """The size of a file [bytes]."""
        with self._open(name, None) as handle:
            return os.fstat(handle).st_size

    def sha256(self, name: str) -> str:
        """The SHA-256 digest of a file, in hexadecimal."""
        digest = hashlib.sha256()
        with self._open(name, MOST_BYTES_HASHED) as handle:
            for block in iter(lambda: os.read(handle, _BLOCK), b""):
                digest.update(block)
        return digest.hexdigest()

    @contextmanager
    def open(self, name: str) -> Iterator[BinaryIO]:
        """A file of any size as a stream of bytes, for readers that go through it in blocks."""
        with self._open(name, None) as handle, os.fdopen(os.dup(handle), "rb") as stream:
            yield stream

    @contextmanager
    def _open(self, name: str, most: int | None) -> Iterator[int]:
        """Open part by part, so that no link on the way is followed, not even one made in the meantime."""
        _check_name(name)
        *folders, last = name.split("/")
        opened = [os.open(self.root, os.O_RDONLY | os.O_DIRECTORY)]
        try:
            for part in folders:
                flags = os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW
                opened.append(_open_part(name, part, flags, opened[-1]))
            handle = _open_part(name, last, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, opened[-1])
            opened.append(handle)
            found = os.fstat(handle)
            if not stat.S_ISREG(found.st_mode):
                raise _refused(name, "an ordinary file", _kind_of(found.st_mode))
            if most is not None and found.st_size > most:
                raise _too_large(name, found.st_size, most)
            yield handle
        finally:
            for descriptor in reversed(opened):
                os.close(descriptor)

    def _walk(self) -> tuple[tuple[str, ...], tuple[Fault, ...]]:
        if self._walked is None:
            names: list[str] = []
            left_out: list[Fault] = []
            self._into(self.root, "", names, left_out)
            self._walked = tuple(sorted(names)), tuple(sorted(left_out, key=lambda fault: fault.where.order))
        return self._walked

    def _into(self, path: Path, prefix: str, names: list[str], left_out: list[Fault]) -> None:
        try:
            entries = sorted(os.scandir(path), key=lambda entry: entry.name)
        except OSError:
            left_out.append(_notice(prefix.rstrip("/") or ".", "a folder that may be read", "one that may not"))
            return
        for entry in entries:
            name = prefix + entry.name
            if entry.name.startswith((".", LOCK)):
                continue
            why = _why_left_out(entry, name)
            if why:
                left_out.append(_notice(name, *why))
            elif entry.is_dir(follow_symlinks=False):
                self._into(path / entry.name, name + "/", names, left_out)
            elif len(names) >= MOST_FILES:
                raise _refused(".", f"at most {MOST_FILES} files in the folder", "more", "Nothing is read.")
            else:
                names.append(name)


def _why_left_out(entry: os.DirEntry[str], name: str) -> tuple[str, str] | None:
    """What was expected and what was found where no reader will open this; None where it can be read."""
    if entry.is_symlink():
        return "an ordinary file or folder", "a link (links are not followed)"
    if _CONTROL.search(name) or "\\" in name or len(name) > LONGEST_NAME:
        return f"a name of at most {LONGEST_NAME} ordinary characters", "another name"
    if entry.is_dir(follow_symlinks=False):
        deep = name.count("/") + 1 > MOST_FOLDERS_DEEP
        return (f"at most {MOST_FOLDERS_DEEP} folders in each other", "more") if deep else None
    if not entry.is_file(follow_symlinks=False):
        return "an ordinary file", _kind_of(entry.stat(follow_symlinks=False).st_mode)
    return None


def check_inside(name: str) -> str:
    """Why a name cannot stand for a file inside the hull folder; empty where it can.

    >>> check_inside("photographs/bow.png")
    ''
    >>> check_inside("../bow.png")
    'a path that climbs out of its folder'
    """
    if not name or len(name) > LONGEST_NAME:
        return "no name" if not name else "a name that is too long"
    if _CONTROL.search(name):
        return "a name with control characters"
    if _SCHEME.match(name):
        return "an address or a drive, not a path inside the folder"
    if "\\" in name:
        return "a path with backslashes"
    if name.startswith(("/", "~")):
        return "an absolute path"
    parts = name.split("/")
    if ".." in parts:
        return "a path that climbs out of its folder"
    if any(part in ("", ".") for part in parts):
        return "a path with an empty step"
    return "a hidden file" if any(part.startswith(".") for part in parts) else ""


def is_folder(name: str, folder: Folder) -> bool:
    """Whether a name, with a slash at its end or without, is that of a folder with files in it."""
    return any(other.startswith(f"{name.rstrip('/')}/") for other in folder.names())


def why_absent(name: str, folder: Folder, choices: Iterable[str]) -> str:
    """The one cause why a name is that of no file of the folder; with the nearest choice where it is not there.

    Args:
        name: the name that somebody wrote.
        folder: the hull folder, which has no file of this name.
        choices: names of files that may have been meant.
    """
    why = check_inside(name)
    if why:
        return why
    if is_folder(name, folder):
        return "which is a folder"
    if folder.holds(name):
        return "which is there and is no ordinary file that may be read"
    return f"which is not there{did_you_mean(name, choices)}"


def _check_name(name: str) -> None:
    why = check_inside(name)
    if why:
        raise _refused(name, _INSIDE, f"'{_shown(name)}', {why}")


def _open_part(name: str, part: str, flags: int, folder: int) -> int:
    try:
        return os.open(part, flags, dir_fd=folder)
    except OSError as error:
        raise _refused(name, "an ordinary file inside the folder", _why_not(part, folder, error)) from None


def _why_not(part: str, folder: int, error: OSError) -> str:
    if error.errno == errno.ENOENT:
        return "no such file"
    try:
        mode = os.stat(part, dir_fd=folder, follow_symlinks=False).st_mode
    except OSError:
        return "something that cannot be opened"
    if stat.S_ISLNK(mode):
        return "a link (links are not followed)"
    if error.errno in (errno.EACCES, errno.EPERM):
        return "a file that may not be read"
    return _kind_of(mode)


def _kind_of(mode: int) -> str:
    kinds = (
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISLNK, "a link (links are not followed)"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISSOCK, "a socket"),
        (stat.S_ISREG, "a file that cannot be opened that way"),
    )
    return next((words for test, words in kinds if test(mode)), "a device")


def _too_large(name: str, size: int, most: int) -> Refused:
    return _refused(name, f"at most {most / 1e6:g} MB", f"{size / 1e6:.1f} MB")


def _shown(name: str) -> str:
    """A name that can be printed and stored, whatever it was."""
    clean = _CONTROL.sub("\ufffd", name)
    return clean if len(clean) <= LONGEST_NAME else clean[:LONGEST_NAME] + "…"


def _refused(name: str, expected: str, found: str, effect: str = _NOT_READ) -> Refused:
    return Refused(Fault(Where(_shown(name)), expected, found, effect))


def _notice(name: str, expected: str, found: str) -> Fault:
    return Fault(Where(_shown(name)), expected, found, "It is not read.", Severity.NOTICE)
