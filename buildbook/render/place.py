"""Puts an output folder in place at once, one build at a time; what a killed build left is put right by the next.

Everything is written into a folder beside, then two moves exchange old and new. A program that is killed between the
moves leaves the old book aside and none in place: `restored` brings it back.
"""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from buildbook.render.streamed import Streamed

MARKER = ".buildbook"
COMPARISON = ".buildbook-comparison"  # of a folder that sets the readings of two sides together
MARKER_START = "This folder was written by buildbook."
BEING_WRITTEN = "being-written"
NEW, OLD = "new", "old"
# File systems over a network may have no such lock: then nothing but the user's own care keeps two builds apart.
NO_LOCKS = (errno.EBADF, errno.ENOLCK, errno.ENOTSUP, errno.EINVAL, errno.ENOSYS)


class Refused(Exception):
    """The book cannot be written to this folder, or not as it is; the message says why and what to do."""


def is_ours(folder: Path, mark: str = MARKER) -> bool:
    """True where a build has left its marker, a file and no link; `mark` is its name."""
    marker = folder / mark
    if marker.is_symlink() or not marker.is_file():
        return False
    with marker.open("rb") as stream:
        return stream.read(len(MARKER_START)) == MARKER_START.encode()


def put(content: Mapping[str, bytes | Streamed], out: Path, check: Callable[[], None] = lambda: None) -> None:
    """Write files aside and exchange them for a folder: a reader sees the old folder or the new one, never a mixture.

    Args:
        content: every file by its name in the folder.
        out: the folder, absolute.
        check: raises what forbids it; asked once no other build can interfere.

    Raises:
        Refused: what `check` says, or the old folder could not be brought back; it is kept and named.
        OSError: the new one could not be written. The old one is then where it was.
    """
    out.parent.mkdir(parents=True, exist_ok=True)
    with _alone(out.parent):
        _put_right(out)
        check()
        aside = Path(tempfile.mkdtemp(prefix=_prefix(out), dir=out.parent))
        fresh, old = aside / NEW, aside / OLD
        try:
            for name, data in sorted(content.items()):
                path = fresh / name
                path.parent.mkdir(parents=True, exist_ok=True)
                if isinstance(data, Streamed):
                    data.write_to(path)
                else:
                    path.write_bytes(data)
            if out.exists():
                out.rename(old)
            fresh.rename(out)
        finally:
            if fresh.exists() or not os.path.lexists(out):  # the new one is not in place
                _put_back(old, out)
            shutil.rmtree(aside, ignore_errors=True)


def restored(out: Path) -> bool:
    """Bring back the book that a build had set aside when it was killed, and clear away what it had begun.

    Args:
        out: the output folder.

    Returns:
        True where a book was brought back. A build that is running is waited for.

    Raises:
        Refused: something else lies where the book was; the book is kept aside and named.
    """
    out = Path(os.path.abspath(out))
    if not any(_leavings(out)):
        return False
    with _alone(out.parent):
        return _put_right(out)


@dataclass(frozen=True, slots=True)
class Left:
    """What builds have left beside an output folder: the folders, and the earlier book if one of them holds it.

    `book` is None where a folder lies in its place, or where nothing was set aside.
    """

    folders: tuple[Path, ...]
    book: Path | None


def left_beside(out: Path) -> Left:
    """What builds have left beside an output folder, stopped or still running; only looked at."""
    out = Path(os.path.abspath(out))
    folders = tuple(_leavings(out))
    books = (folder / OLD for folder in folders if _is_book(folder / OLD))
    return Left(folders, None if os.path.lexists(out) else next(books, None))


def _prefix(out: Path) -> str:
    return f".{out.name}-{BEING_WRITTEN}-"


def _leavings(out: Path) -> Iterator[Path]:
    """Folders that builds of this one have made beside it; nothing else lies in them."""
    if not out.name or not out.parent.is_dir():
        return
    for entry in sorted(os.scandir(out.parent), key=lambda entry: entry.name):
        path = Path(entry.path)
        if entry.name.startswith(_prefix(out)) and entry.is_dir(follow_symlinks=False) and _is_left(path):
            yield path


def _is_left(folder: Path) -> bool:
    """Whether a build has made it. A running one may take it away meanwhile; what cannot be read is left alone."""
    try:
        return {child.name for child in folder.iterdir()} <= {NEW, OLD}
    except OSError:
        return False


def _put_right(out: Path) -> bool:
    """As `restored`, once no other build can interfere. A book that is set aside goes only where a whole one is."""
    back, kept = False, []
    for aside in list(_leavings(out)):
        old = aside / OLD
        if _is_book(old):
            if not os.path.lexists(out):
                old.rename(out)
                back = True
            elif not _is_book(out):
                kept.append(str(old))
                continue
        elif _holds_something(old):
            continue
        shutil.rmtree(aside, ignore_errors=True)
    if kept:
        raise Refused(
            f"a build of {out} that was stopped had set the earlier book aside, in {' and '.join(kept)}, and something "
            f"else lies in {out} now; take that away to have the book back, or move the book to another place"
        )
    return back


def _is_book(folder: Path) -> bool:
    """Whether this program wrote it, whole; the marker is there from the moment at which the folder is in place."""
    return not folder.is_symlink() and any(is_ours(folder, mark) for mark in (MARKER, COMPARISON))


def _holds_something(path: Path) -> bool:
    return os.path.lexists(path) and (path.is_symlink() or not path.is_dir() or any(path.iterdir()))


def _put_back(old: Path, out: Path) -> None:
    """Bring the earlier book back where no new one is in place; if that fails too, it stays where it is and is told."""
    if not old.exists():
        return
    try:
        if os.path.lexists(out):
            raise FileExistsError(errno.EEXIST, "something else was put there meanwhile")
        old.rename(out)
    except OSError as error:
        words = f"{out}: the new book cannot be put there ({error.strerror or error})"
        raise Refused(f"{words}; the earlier one is kept in {old}, move it back by hand") from error


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Hold off other builds into a folder; the lock falls when the program ends, however it ends."""
    import fcntl

    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
        except OSError as error:
            if error.errno not in NO_LOCKS:
                raise
        yield
    finally:
        os.close(handle)
