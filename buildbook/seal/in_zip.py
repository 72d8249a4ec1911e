"""A book in an evidence package: a zip that holds one bag (RFC 8493)."""

from __future__ import annotations

import stat
import zipfile
import zlib
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from buildbook.core.published import SUMS
from buildbook.render.names import stays_inside
from buildbook.seal.holder import PIECE, TAGS, CannotJudge, ListAt, Unreadable, bag_lists, bag_top

METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # the others may ask for gigabytes while they unpack
ENCRYPTED = 0x1
MOST_MEMBERS = 100_000
MOST_MEMBER, MOST_TOTAL = 4 << 30, 64 << 30  # bytes unpacked: of one member, of all that are read
BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError)


class InZip:
    """The members of a zip, unpacked piece by piece and only to be summed; nothing is written anywhere."""

    kind = "zip"
    lists: tuple[ListAt, ...]
    said = ""

    def __init__(self, path: Path) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
        except BROKEN as error:
            raise CannotJudge(f"{path} cannot be read as a zip ({error})") from None
        members = [member for member in self._zip.infolist() if not member.is_dir()]
        if len(members) > MOST_MEMBERS:
            raise CannotJudge(
                f"{path} holds {len(members)} files, more than {MOST_MEMBERS}: no package of this program"
            )
        times = Counter(member.filename for member in members)
        self._odd = {member.filename: why for member in members if (why := _why_odd(member, times))}
        self._members = {member.filename: member for member in members if member.filename not in self._odd}
        self._left = MOST_TOTAL
        top = bag_top(self._members)
        if not top:
            raise CannotJudge(f"{path} is no evidence package: there must be one folder with data/{SUMS} in it")
        self.data, self.lists = f"{top}data/", bag_lists(top)
        self.unlisted = frozenset({f"{top}{TAGS}"})

    @property
    def odd(self) -> Mapping[str, str]:
        """Members that are not summed, with the reason."""
        return self._odd

    def names(self) -> Collection[str]:
        """Every member that is a plain file."""
        return self._members

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of a member, unpacked piece by piece."""
        size = 0
        try:
            with self._zip.open(self._members[name]) as file:
                while piece := file.read(PIECE):
                    size += len(piece)
                    self._left -= len(piece)
                    if size > MOST_MEMBER or self._left < 0:
                        raise Unreadable("it unpacks to more than this program reads")
                    yield piece
        except BROKEN as error:
            raise Unreadable(f"it cannot be unpacked ({error})") from None


def _why_odd(member: zipfile.ZipInfo, times: Mapping[str, int]) -> str:
    """Why a member is not summed, empty where it is."""
    if not stays_inside(member.filename) or "\x00" in member.orig_filename:
        return "its name leads out of the folder"
    if times[member.filename] > 1:
        return "two files have this name"
    if stat.S_ISLNK(member.external_attr >> 16):
        return "a symbolic link, not a file"
    if member.flag_bits & ENCRYPTED:
        return "it is encrypted"
    if member.compress_type not in METHODS:
        return "it is packed in a way that this program does not use"
    return "it unpacks to more than this program reads" if member.file_size > MOST_MEMBER else ""
