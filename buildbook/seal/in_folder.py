"""A book in a folder, or an evidence package that somebody unpacked."""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from buildbook.core.published import RELEASE, SIGNATURE, SUMS
from buildbook.render.occupied import RECORDS
from buildbook.seal.holder import PIECE, TAGS, CannotJudge, ListAt, Unreadable, bag_lists, bag_top


class InFolder:
    """The files of a folder with the pages, or with a package, which is then the kind.

    Symbolic links are told and never followed, pipes and devices never opened.
    """

    kind: str = "folder"
    lists: tuple[ListAt, ...] = (ListAt(SUMS), ListAt(RELEASE))
    unlisted = frozenset({RELEASE, SIGNATURE})
    data = ""
    said = ""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._names: list[str] = []
        self._odd: dict[str, str] = {}
        self._walk()
        if {SUMS, RELEASE} & {*self._names, *self._odd}:
            return
        top = bag_top(self._names)
        if top is None:
            held = RECORDS in self._names
            records = ", but a folder of records: name the folder that was built from it" if held else ""
            raise CannotJudge(f"{root} holds no book{records}: there is neither {SUMS} nor {RELEASE} in it")
        self.kind, self.data, self.lists = "unpacked package", f"{top}data/", bag_lists(top)
        self.unlisted = frozenset({f"{top}{TAGS}"})

    def _walk(self) -> None:
        def refuse(error: OSError) -> None:
            raise CannotJudge(f"{error.filename}: {error.strerror or error}")

        for folder, folders, files in os.walk(self._root, onerror=refuse):
            folders.sort()
            for entry in sorted([*folders, *files]):
                path = Path(folder) / entry
                name = path.relative_to(self._root).as_posix()
                mode = path.lstat().st_mode
                if stat.S_ISREG(mode):
                    self._names.append(name)
                elif stat.S_ISLNK(mode):
                    self._odd[name] = "a symbolic link, not a file"
                elif not stat.S_ISDIR(mode):
                    self._odd[name] = "not a plain file"

    @property
    def odd(self) -> Mapping[str, str]:
        """Entries that are no plain files."""
        return self._odd

    def names(self) -> Collection[str]:
        """Every plain file."""
        return self._names

    def path(self, name: str) -> Path:
        """Where a file that was found lies."""
        return self._root / name

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of a file that was found, piece by piece."""
        try:
            handle = os.open(self._root / name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
            with open(handle, "rb", buffering=0) as file:
                while piece := file.read(PIECE):
                    yield piece
        except OSError as error:
            raise Unreadable(error.strerror or str(error)) from None
