"""Who vouches for a release: its signature, held against a reader's own list of keys."""

from __future__ import annotations

import base64
import binascii
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

from buildbook.render.stamp import DRAFT, NAMESPACE, Stamp
from buildbook.seal.holder import CannotJudge
from buildbook.seal.sshsig import NoSignature, fingerprint, fits, key_of, read

MOST_ALLOWED = 1 << 20
NOT_JUDGED = ("cert-authority", "valid-after", "valid-before")
OPTION = re.compile(r'([a-zA-Z-]+)(?:="([^"]*)")?(?:,|$)')


@dataclass(frozen=True, slots=True)
class Vouched:
    """What the signature of a book says.

    `stamp` is what its pages say of who signed it. `key` is the fingerprint of the key whose signature fits the list;
    `wrong` says why there is none that does; both are empty where nobody signed. `known` are those to whom the reader's
    list gives this key; `refused` says why the list does not help; `asked` tells that he gave one.
    """

    stamp: Stamp | None = None
    key: str = ""
    wrong: str = ""
    known: str = ""
    refused: str = ""
    asked: bool = False

    @property
    def bad(self) -> bool:
        """Whether the signature, or its absence, speaks against the book."""
        return bool(self.wrong or self.refused) or (self.asked and not self.known)


@dataclass(frozen=True, slots=True)
class Signer:
    """One usable line of a list of keys: patterns of identities and of purposes, and the raw key."""

    identities: str
    namespaces: str
    key: bytes


def vouched(message: bytes | None, armoured: bytes | None, stamp: Stamp | None, allowed: Path | None) -> Vouched:
    """Judge the signature of a release.

    Args:
        message: the list of the release, None where it is not there.
        armoured: the signature, None where there is none.
        stamp: what the pages say of who signed it; None where they say nothing.
        allowed: the reader's own list of keys, if he gave one.

    Raises:
        CannotJudge: the list of keys cannot be read.
    """
    asked = allowed is not None
    signers = _signers(allowed) if allowed is not None else ()
    if armoured is None:
        claims = stamp is not None and stamp != DRAFT
        wrong = "The pages say that the book is signed, but its signature is missing." if claims else ""
        return Vouched(stamp, wrong=wrong, refused="" if wrong or not asked else "Nobody has signed it.", asked=asked)
    try:
        signature = read(armoured)
    except NoSignature as why:
        return Vouched(stamp, wrong=f"The signature cannot be used: {why}.", asked=asked)
    key = fingerprint(signature.key)
    if signature.namespace != NAMESPACE:
        return Vouched(stamp, wrong=f"The signature is for another purpose ({signature.namespace!r}).", asked=asked)
    if message is None or not fits(signature, message):
        return Vouched(stamp, wrong="The signature does not fit the list: one of them was changed.", asked=asked)
    if stamp is not None and stamp.fingerprint != key:
        wrong = f"The pages name another key than the one that signed, which is {key}."
        return Vouched(stamp, key, wrong=wrong, asked=asked)
    if not asked:
        return Vouched(stamp, key)
    return _known(stamp, key, signature.key, signers)


def _known(stamp: Stamp | None, key: str, raw: bytes, signers: tuple[Signer, ...]) -> Vouched:
    its = [signer for signer in signers if signer.key == raw]
    mine = [signer for signer in its if not signer.namespaces or _matches(NAMESPACE, signer.namespaces)]
    identity = stamp.identity if stamp else ""
    fit = [signer for signer in mine if not identity or _matches(identity, signer.identities)]
    if fit:
        return Vouched(stamp, key, known=fit[0].identities, asked=True)
    if mine:
        why = f"Your list gives this key to {mine[0].identities}, but the pages say {identity}."
    elif its:
        why = f"Your list does not allow this key for the purpose {NAMESPACE}."
    else:
        why = "This key is not in your list."
    return Vouched(stamp, key, refused=why, asked=True)


def _matches(text: str, patterns: str) -> bool:
    """Whether a text fits a list of patterns: parted by commas, `*` and `?` as in file names, `!` for never."""
    listed = patterns.replace("[", "[[]").split(",")
    if any(fnmatchcase(text, one[1:]) for one in listed if one.startswith("!")):
        return False
    return any(fnmatchcase(text, one) for one in listed if one and not one.startswith("!"))


def _signers(path: Path) -> tuple[Signer, ...]:
    try:
        if path.stat().st_size > MOST_ALLOWED:
            raise CannotJudge(f"{path} is larger than a list of keys should be")
        text = path.read_text("utf-8")
    except OSError as error:
        raise CannotJudge(f"{path}: {error.strerror or error}") from None
    except UnicodeDecodeError:
        raise CannotJudge(f"{path} is no list of keys: it is not text in UTF-8") from None
    return tuple(_read(path, text))


def _read(path: Path, text: str) -> Iterator[Signer]:
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            identities, *rest = _words(line)
            signer = _signer(identities, rest)
        except ValueError as why:
            raise CannotJudge(f"{path}, line {number}: {why}") from None
        if signer is not None:
            yield signer


def _words(line: str) -> list[str]:
    """The words of a line; a word may hold white space between quotation marks, which are kept."""
    found = shlex.shlex(line, posix=False)
    found.whitespace_split, found.commenters = True, ""
    return list(found)


def _signer(identities: str, rest: list[str]) -> Signer | None:
    """A line taken apart; None for a key of another kind, which cannot have signed a book."""
    namespaces = ""
    if rest and not rest[0].startswith(("ssh-", "ecdsa-", "sk-")):
        options = {match[1].lower(): match[2] or "" for match in OPTION.finditer(rest.pop(0))}
        hard = [name for name in NOT_JUDGED if name in options]
        if hard:
            raise ValueError(f"{hard[0]} is not judged here; check this signature with ssh-keygen -Y verify")
        namespaces = options.get("namespaces", "")
    if len(rest) < 2:
        raise ValueError("expected an identity, the kind of the key and the key")
    if rest[0] != "ssh-ed25519":
        return None
    try:
        key = key_of(base64.b64decode(rest[1], validate=True))
    except binascii.Error:
        key = None
    if key is None:
        raise ValueError("the key cannot be read")
    return Signer(identities.strip('"'), namespaces, key)
