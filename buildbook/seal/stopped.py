"""The book to judge where a build was stopped: the one in place, or the earlier one that was set aside."""

from __future__ import annotations

from pathlib import Path

from buildbook.render.place import left_beside
from buildbook.seal.holder import CannotJudge

SET_ASIDE = (
    "A build into {out} was stopped, or is running: the earlier book is set aside in {book}. That one was judged. "
    "If no build is running, the next build or sign brings it back to {out}."
)
BESIDE = (
    "A build into {out} was stopped, or is running: it has begun another book in {folders}. Judged was the book that "
    "stands in {out}. If no build is running, the next one clears that away."
)
NO_BOOK = (
    "{out} is not there, and a build into it was stopped, or is running: {folders} holds no whole book. Wait for the "
    "build, or build again."
)


def standing(out: Path) -> tuple[Path, str]:
    """Where the book of an output folder stands, and a sentence where a build was stopped, else none.

    Nothing is moved: whoever only asks changes nothing.

    Raises:
        CannotJudge: a build was stopped, and there is no whole book.
    """
    left = left_beside(out)
    if not left.folders:
        return out, ""
    folders = ", ".join(map(str, left.folders))
    if left.book is not None:
        return left.book, SET_ASIDE.format(out=out, book=left.book)
    if not out.exists() and not out.is_symlink():
        raise CannotJudge(NO_BOOK.format(out=out, folders=folders))
    return out, BESIDE.format(out=out, folders=folders)
