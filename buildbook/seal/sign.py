"""Vouch for a release: another stamp on every page, the list written anew, a signature over it."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from buildbook.core.published import JSON, RELEASE, SIGNATURE, SUMS
from buildbook.render.names import shown
from buildbook.render.package import check_out
from buildbook.render.pdf_stamp import exchanged
from buildbook.render.place import Refused, put, restored
from buildbook.render.stamp import VERIFY, NotStamped, Stamp, stamped, with_steps
from buildbook.render.streamed import Streamed, kept
from buildbook.render.sums import list_of_sums, read_sums
from buildbook.seal.derived import Derived
from buildbook.seal.keys import private_key
from buildbook.seal.made_again import Pages
from buildbook.seal.sshsig import fingerprint
from buildbook.seal.sshsig import sign as signature_of
from buildbook.seal.verify import Checked, verify

IDENTITY = re.compile(r"[A-Za-z0-9][A-Za-z0-9@._+-]*")
BUILT = "Name the folder that `buildbook build` wrote: sign puts a signature there and writes nowhere else"
OTHERWISE = "files of it are not as this program makes them, and another may have written it ({why})"
LONGEST = 60  # characters of an identity


@dataclass(frozen=True, slots=True)
class Signed:
    """Who signed a book, and what is said of the builder's own typeface and logo in it, which nobody can compare."""

    stamp: Stamp
    own_face: str = ""


def sign(
    out: Path, key: Path, identity: str, passphrase: Callable[[], str], derived: Derived, pages: Pages | None = None
) -> Signed:
    """Sign the book in a folder; a signature that is there is replaced.

    The digest does not change: only the stamps on pages and PDFs, the list of the release and its signature do. All is
    written aside and put in place at once.

    Args:
        out: the folder, as `build` wrote it.
        key: the file of the private key; it is only read.
        identity: who signs, as readers have it in their lists of keys; empty for the builder's name in the book.
        passphrase: asked if the key is locked.
        derived: makes what the evidence package exports a second time, as for `verify`.
        pages: makes the pages a second time, as for `verify`.

    Returns:
        Who signed, with the fingerprint of the key, and what of the book nobody could compare.

    Raises:
        Refused: the folder is not whole or could not be compared whole, or the identity cannot be used.
        CannotJudge: it is no book.
        KeyRefused: the key cannot be used.
    """
    out = Path(os.path.abspath(out))
    restored(out)
    check_out(out, None, force=True, instead=BUILT)
    checked = verify(out, derived=derived, pages=pages)
    _check_whole(checked, out)
    if Path(os.path.realpath(key)).is_relative_to(os.path.realpath(out)):
        raise Refused(f"{key} lies inside the book that is given away; move the key elsewhere first")
    private = private_key(key, passphrase)
    book = _AsChecked(out, checked)
    name = identity.strip() or _builder(book.read(JSON))
    if not IDENTITY.fullmatch(name) or len(name) > LONGEST:
        raise Refused(
            f"{name!r} cannot be an identity: letters, digits and the signs @ . _ + - only, at most {LONGEST}; "
            "for example --as quality@yard.example"
        )
    stamp = Stamp(name, fingerprint(private.public_key().public_bytes_raw()))
    restamped = _restamped({name: book.read(name) for name in book.pages}, stamp)
    others = {name: book.kept(name) for name in book.sums if name not in restamped}
    release = list_of_sums({name: data for name, data in {**restamped, **others}.items() if name in book.released})

    def still_the_same() -> None:
        check_out(out, None, force=True)
        _AsChecked(out, checked)

    signed = {RELEASE: release, SIGNATURE: signature_of(release, private)}
    put({**others, **restamped, **signed}, out, still_the_same)
    return Signed(stamp, checked.own_face)


class _AsChecked:
    """The files of a book, each held against its entry in the lists that were checked, whenever it is read.

    Between the check and the signature somebody types a passphrase; what is changed meanwhile must not be signed.
    """

    def __init__(self, out: Path, checked: Checked) -> None:
        self._out = out
        digested, self.released = (self._list(name, checked.lists) for name in (SUMS, RELEASE))
        self.sums = {**self.released, **digested}
        self.pages = [name for name in self.released if name.endswith(".html") or _is_print(name)]

    def _list(self, name: str, checked: Mapping[str, str]) -> Mapping[str, str]:
        data = self._bytes(name)
        if hashlib.sha256(data).hexdigest() != checked.get(name):
            raise self._other(name)
        return read_sums(data).by_name

    def read(self, name: str) -> bytes:
        """A file whole."""
        data = self._bytes(name)
        if hashlib.sha256(data).hexdigest() != self.sums[name]:
            raise self._other(name)
        return data

    def kept(self, name: str) -> Streamed:
        """A file that stays as it is."""
        try:
            made = kept(self._out / name)
        except FileNotFoundError:
            raise self._other(name) from None
        if made.sha256 != self.sums[name]:
            raise self._other(name)
        return made

    def _bytes(self, name: str) -> bytes:
        try:
            return (self._out / name).read_bytes()
        except FileNotFoundError:
            raise self._other(name) from None

    def _other(self, name: str) -> Refused:
        return Refused(f"{self._out} was changed after it was checked ({name}); look at it, then sign it")


def _is_print(name: str) -> bool:
    """Whether it is a printed book or sheet: those lie at the top; a PDF below was given by the yard."""
    return name.endswith(".pdf") and "/" not in name


def _check_whole(checked: Checked, out: Path) -> None:
    """Nobody should vouch for what is not as it was built; an old signature that does not fit is replaced, though."""
    if checked.spoiled or not checked.extras_told:
        raise Refused(f"{out} is not as it was built ({checked.spoiled}); build it again before it is signed")
    if checked.otherwise:
        raise Refused(f"{out}: {OTHERWISE.format(why=checked.other)}; build it again with this program, then sign it")
    if checked.not_compared:
        why = f"what its package exports could not be compared ({checked.not_compared})"
        raise Refused(f"{out}: {why}; build it again with this program before it is signed")
    if checked.pages_not:
        why = f"its pages could not be compared with the data ({checked.pages_not})"
        raise Refused(f"{out}: {why}; build it again with this program before it is signed")
    if checked.given:
        raise Refused(f"{out} holds what the book withholds ({shown(checked.given[0])}); take it out, then sign")


def _builder(data: bytes) -> str:
    """The builder's name from the book's data, as one word."""
    hull = json.loads(data).get("hull", {})
    name = re.sub(r"[^a-z0-9]+", "-", str(hull.get("builder", "")).lower()).strip("-")
    if not name:
        raise Refused("the book names no builder; say who signs, for example --as quality@yard.example")
    return name[:LONGEST].strip("-")


def _restamped(pages: Mapping[str, bytes], stamp: Stamp) -> dict[str, bytes | Streamed]:
    """The same with another stamp on each page."""
    made: dict[str, bytes | Streamed] = {}
    try:
        for name, data in pages.items():
            page = exchanged(data, stamp) if name.endswith(".pdf") else stamped(data, name, stamp)
            made[name] = with_steps(page, stamp) if name == VERIFY else page
    except NotStamped as why:
        raise Refused(f"the book cannot be signed: {why}; build it again with this program") from None
    return made
