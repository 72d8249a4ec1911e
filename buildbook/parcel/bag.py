"""A bag after RFC 8493 (BagIt 1.0) inside a ZIP file: equal contents give equal bytes."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import BinaryIO

from buildbook.render.names import NO_NAME, stays_inside
from buildbook.render.place import Refused
from buildbook.render.streamed import Sink
from buildbook.render.sums import escaped, list_of_sums

TAG_FILES = ("bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt")  # RFC 8493, 2.1 and 2.2
DECLARATION = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
PAYLOAD = "data/"
NO_DATE = (1980, 1, 1, 0, 0, 0)  # the first that a ZIP file can name
MODE = 0o100644 << 16  # an ordinary file, written by its owner, read by all
UNIX = 3
BLOCK = 1 << 20
TOO_LARGE = 1 << 31  # from here on the sizes of a member need the longer form


class Changed(Exception):
    """A file is not what it was when its digest was taken; the message names it."""


@dataclass(frozen=True, slots=True)
class Member:
    """One file of the payload: its name below data/, its size and digest, and its bytes block by block."""

    name: str
    size: int
    sha256: str
    blocks: Callable[[], Iterator[bytes]]


def held(name: str, data: bytes) -> Member:
    """A file whose bytes are there."""
    return Member(name, len(data), hashlib.sha256(data).hexdigest(), lambda: iter((data,)))


def on_demand(
    name: str, size: int, sha256: str, opened: Callable[[], AbstractContextManager[BinaryIO]], called: str
) -> Member:
    """A file that is read while it is packed, never whole; `called` is its name for messages."""

    def blocks() -> Iterator[bytes]:
        digest = hashlib.sha256()
        with opened() as stream:
            while block := stream.read(BLOCK):
                digest.update(block)
                yield block
        if digest.hexdigest() != sha256:
            raise Changed(f"{called} changed since it was read: its SHA-256 is no longer the one in the book")

    return Member(name, size, sha256, blocks)


def write_bag(top: str, members: Iterable[Member], info: Sequence[tuple[str, str]], out: Sink) -> None:
    """Write a bag.

    Args:
        top: the one folder that holds everything.
        members: the payload; sorted by name here.
        info: what bag-info.txt says, label and value; size and number of files are added.
        out: what the ZIP file is written to.

    Raises:
        Changed: a file is not what its digest says.
        Refused: a file has a name that a list cannot hold, or that is none on other systems.
        ValueError: two files of the payload have one name.
    """
    payload = sorted(members, key=lambda member: member.name)
    for member in payload:
        if not stays_inside(member.name):
            raise Refused(NO_NAME.format(name=member.name))
    if len({member.name for member in payload}) < len(payload):
        raise ValueError("two files of the payload have one name")
    described = tags(payload, info)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:  # type: ignore[call-overload]
        for name, data in described:
            _pack(made, top, held(name, data))
        for member in payload:
            _pack(made, top, member, PAYLOAD)


def tags(payload: Sequence[Member], info: Sequence[tuple[str, str]]) -> list[tuple[str, bytes]]:
    """The tag files of a bag with their bytes, in the order in which they are packed; arguments as for `write_bag`."""
    oxum = f"{sum(member.size for member in payload)}.{len(payload)}"
    about = "".join(f"{label}: {_one_line(value)}\n" for label, value in (*info, ("Payload-Oxum", oxum)))
    manifest = "".join(f"{member.sha256}  {PAYLOAD}{escaped(member.name)}\n" for member in payload)
    *names, last = TAG_FILES
    made = dict(zip(names, (DECLARATION, about.encode("utf-8"), manifest.encode("utf-8")), strict=True))
    return [*made.items(), (last, list_of_sums(made))]


def _one_line(value: str) -> str:
    return " ".join(value.split())


def _pack(made: zipfile.ZipFile, top: str, member: Member, below: str = "") -> None:
    entry = zipfile.ZipInfo(f"{top}/{below}{member.name}", NO_DATE)
    entry.compress_type, entry.external_attr, entry.create_system = zipfile.ZIP_DEFLATED, MODE, UNIX
    with made.open(entry, "w", force_zip64=member.size >= TOO_LARGE) as stream:
        for block in member.blocks():
            stream.write(block)
