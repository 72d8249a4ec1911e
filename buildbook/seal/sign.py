"""Vouch for a release: another stamp on every page, the list written anew, a signature over it."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Mapping
from pathlib import Path

from buildbook.render.package import Refused, _put, _sums, check_out
from buildbook.render.pdf_stamp import exchanged
from buildbook.render.stamp import VERIFY, NotStamped, Stamp, stamped, with_steps
from buildbook.seal.holder import JSON, RELEASE, SIGNATURE, SUMS
from buildbook.seal.keys import private_key
from buildbook.seal.lists import read_sums
from buildbook.seal.sshsig import fingerprint
from buildbook.seal.sshsig import sign as signature_of
from buildbook.seal.verify import Checked, verify

IDENTITY = re.compile(r"[A-Za-z0-9][A-Za-z0-9@._+-]*")
LONGEST = 60  # characters of an identity
RECEIVED = "evidence/received/"


def sign(out: Path, key: Path, identity: str, passphrase: Callable[[], str]) -> Stamp:
    """Sign the book in a folder; a signature that is there is replaced.

    The digest does not change: only the stamps on pages and PDFs, the list of the release and its signature do. All is
    written aside and put in place at once.

    Args:
        out: the folder, as `build` wrote it.
        key: the file of the private key; it is only read.
        identity: who signs, as readers have it in their lists of keys; empty for the builder's name in the book.
        passphrase: asked if the key is locked.

    Returns:
        Who signed, with the fingerprint of the key.

    Raises:
        Refused: the folder is not whole, or the identity cannot be used.
        CannotJudge: it is no book.
        KeyRefused: the key cannot be used.
    """
    out = Path(os.path.abspath(out))
    check_out(out, None, force=True)
    _check_whole(verify(out), out)
    if Path(os.path.realpath(key)).is_relative_to(os.path.realpath(out)):
        raise Refused(f"{key} lies inside the book that is given away; move the key elsewhere first")
    private = private_key(key, passphrase)
    name = identity.strip() or _builder(out)
    if not IDENTITY.fullmatch(name) or len(name) > LONGEST:
        raise Refused(
            f"{name!r} cannot be an identity: letters, digits and the signs @ . _ + - only, at most {LONGEST}; "
            "for example --as quality@yard.example"
        )
    stamp = Stamp(name, fingerprint(private.public_key().public_bytes_raw()))
    content = _restamped(_content(out), stamp)
    content[SIGNATURE] = signature_of(content[RELEASE], private)
    _put(content, out)
    return stamp


def _check_whole(checked: Checked, out: Path) -> None:
    """Nobody should vouch for what is not as it was built; an old signature that does not fit is replaced, though."""
    bad = [*checked.changed, *checked.missing, *checked.extra, *checked.unreadable]
    if bad or not checked.extras_told:
        more = f" and {len(bad) - 3} more" if len(bad) > 3 else ""
        raise Refused(f"{out} is not as it was built ({', '.join(bad[:3])}{more}); build it again before it is signed")


def _builder(out: Path) -> str:
    """The builder's name from the book, as one word."""
    hull = json.loads((out / JSON).read_bytes()).get("hull", {})
    name = re.sub(r"[^a-z0-9]+", "-", str(hull.get("builder", "")).lower()).strip("-")
    if not name:
        raise Refused("the book names no builder; say who signs, for example --as quality@yard.example")
    return name[:LONGEST].strip("-")


def _content(out: Path) -> dict[str, bytes]:
    names = [*read_sums((out / SUMS).read_bytes()).by_name, *read_sums((out / RELEASE).read_bytes()).by_name]
    return {name: (out / name).read_bytes() for name in names if (out / name).exists()}  # what is withheld is not there


def _restamped(content: Mapping[str, bytes], stamp: Stamp) -> dict[str, bytes]:
    """The files with another stamp on each page, and the list of the release anew; all others as they are."""
    digested = set(read_sums(content[SUMS]).by_name)
    made = dict(content)
    try:
        for name in sorted(set(content) - digested):
            if name.endswith(".html"):
                made[name] = stamped(content[name], name, stamp)
            elif name.endswith(".pdf") and "/" not in name:
                made[name] = exchanged(content[name], stamp)
        made[VERIFY] = with_steps(made[VERIFY], stamp)
    except NotStamped as why:
        raise Refused(f"the book cannot be signed: {why}; build it again with this program") from None
    made[RELEASE] = _sums({name: data for name, data in made.items() if name not in digested})
    return made
