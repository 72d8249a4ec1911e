"""A workbook file taken apart: refused where it is none, locked, too large or holds macros; else its XML parts.

Nothing in it is run and nothing outside it is opened.
"""

from __future__ import annotations

import io
import posixpath
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from typing import Any

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.readers.refused import Refused

MOST_MEMBERS = 2_000
MOST_UNPACKED = 100_000_000  # bytes, all members together
MOST_PACKED_TIMES = 250  # a sheet of numbers packs 10 to 50 times
SMALL = 1_000_000  # bytes: a member up to here may pack as tightly as it likes
MOST_ELEMENTS = 8_000_000  # of all parts that are read, together: a cell has two or three
MOST_HELD = 400_000  # elements inside one that is handed out whole: 16 384 cells of a row, 65 000 styles

NOT_READ = "Nothing in this workbook is read."
EXPECTED = "a workbook (.xlsx)"
_SAVE = "save it anew as .xlsx in your spreadsheet program"
_TOO_MANY = "more, or too many in one row; part it into several"
_OLE = b"\xd0\xcf\x11\xe0"
_LOCKED = "EncryptedPackage".encode("utf-16-le")
_MAIN = "/officeDocument"


def refused(file: str, expected: str, found: str) -> Refused:
    """What is raised where a workbook cannot be read at all."""
    return Refused(Fault(Where(file), expected, found, NOT_READ))


@dataclass(frozen=True, slots=True)
class Package:
    """The parts of one workbook; `main` is the name of the part that lists its sheets."""

    file: str
    main: str
    _zip: zipfile.ZipFile
    _numbers: Iterator[int] = field(default_factory=count)  # of the elements, over all parts
    _read: set[str] = field(default_factory=set)

    @property
    def read(self) -> int:
        """How much the parts that were read so far are together [bytes]; no picture is one of them."""
        return sum(self._zip.getinfo(name).file_size for name in self._read)

    def holds(self, name: str) -> bool:
        """Whether there is a part of this name."""
        return name in self._zip.namelist()

    def related(self, name: str) -> dict[str, tuple[str, str]]:
        """What a part refers to inside the workbook: by id, the last word of its type and the name of the part."""
        folder, last = posixpath.split(name)
        listed = posixpath.join(folder, "_rels", f"{last}.rels")
        if not self.holds(listed):
            return {}
        found = {}
        for element in self.elements(listed):
            if local(element) == "Relationship" and element.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, element.get("Target", "")))
                kind = element.get("Type", "").rpartition("/")[2]
                found[element.get("Id", "")] = (kind, target.lstrip("/"))
        return found

    def elements(self, name: str, whole: int = 1) -> Iterator[Any]:
        """The elements of a part, each when it is complete; those up to `whole` levels deep are then let go.

        Args:
            name: the part.
            whole: how deep the elements lie that are wanted with what is inside them; those of the root are 1 deep.
        Errors:
            Refused where there are too many, in the workbook or inside one of them.
        """
        from defusedxml.ElementTree import iterparse

        above: list[Any] = []
        held = 0
        self._read.add(name)
        with self._zip.open(name) as stream:
            for event, element in iterparse(stream, events=("start", "end"), forbid_dtd=True):
                if event == "start":
                    above.append(element)
                    held += 1
                    if held > MOST_HELD or next(self._numbers) >= MOST_ELEMENTS:
                        raise refused(self.file, f"at most {MOST_ELEMENTS} elements in a workbook", _TOO_MANY)
                    continue
                above.pop()
                yield element
                if 0 < len(above) <= whole:
                    above[-1].clear()
                    held = 0


def local(element: Any) -> str:
    """The name of an element without its namespace, of which there are two."""
    return str(element.tag).rpartition("}")[2]


@contextmanager
def package(data: bytes, file: str) -> Iterator[Package]:
    """The parts of a workbook.

    Args:
        data: the bytes of the file.
        file: its name, for messages.
    Errors:
        Refused where it is no workbook, has a password or macros, or unpacks to too much.
    """
    if data.startswith(_OLE):
        locked = "a workbook with a password; take the password off and save it"
        raise refused(file, EXPECTED, locked if _LOCKED in data else f"an old workbook; {_SAVE}")
    try:
        opened = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        raise refused(file, EXPECTED, f"a file that is no workbook; {_SAVE}") from None
    with opened:
        _hold_size(opened, file)
        names = opened.namelist()
        if any(name.casefold().endswith("vbaproject.bin") for name in names) or file.casefold().endswith(".xlsm"):
            raise refused(file, "a workbook without macros (.xlsx)", "one for macros; save it as .xlsx, without them")
        yield Package(file, _main(opened, file), opened)


def _hold_size(opened: zipfile.ZipFile, file: str) -> None:
    members = opened.infolist()
    if len(members) > MOST_MEMBERS:
        raise refused(file, f"at most {MOST_MEMBERS} parts in a workbook", f"{len(members)}")
    total = sum(member.file_size for member in members)
    if total > MOST_UNPACKED:
        raise refused(
            file, f"at most {MOST_UNPACKED / 1e6:g} MB, unpacked", f"{total / 1e6:.0f} MB; part it into several"
        )
    for member in members:
        if member.flag_bits & 1:
            raise refused(file, EXPECTED, "a workbook with a password; take the password off and save it")
        if member.file_size > SMALL and member.file_size > MOST_PACKED_TIMES * max(member.compress_size, 1):
            raise refused(file, EXPECTED, f"a file that unpacks to more than {MOST_PACKED_TIMES} times its size")


def _main(opened: zipfile.ZipFile, file: str) -> str:
    names = opened.namelist()
    if "_rels/.rels" not in names:
        other = "a sheet of another program" if "mimetype" in names else "an archive that is no workbook"
        raise refused(file, EXPECTED, f"{other}; {_SAVE}")
    found = Package(file, "", opened).related("")
    main = next((part for kind, part in found.values() if kind == _MAIN.lstrip("/")), "")
    if main not in names:
        raise refused(file, EXPECTED, f"an archive that is no workbook; {_SAVE}")
    if not main.casefold().endswith(".xml"):
        raise refused(file, EXPECTED, f"a binary workbook; {_SAVE}")
    return main
