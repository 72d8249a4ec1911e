"""Who vouches for a release: its signature, held against a reader's own list of keys."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from pathlib import Path

from buildbook.render.stamp import DRAFT, NAMESPACE, Stamp
from buildbook.seal.holder import CannotJudge
from buildbook.seal.sshsig import NoSignature, fingerprint, fits, key_of, read

MOST_ALLOWED = 1 << 20
FLAGS, VALUED = ("cert-authority",), ("namespaces", "valid-after", "valid-before")
NOT_JUDGED = ("cert-authority", "valid-after", "valid-before")
IDENTITIES = re.compile(r'(?:"([^"]*)"|([^ \t"]+))[ \t]+')
OPTIONS = re.compile(r'((?:[^ \t"]|"[^"]*")+)[ \t]+')
OPTION = re.compile(r'([A-Za-z-]+)(?:="([^"]*)")?')
KINDS = ("ssh-", "ecdsa-", "sk-")


@dataclass(frozen=True, slots=True)
class Vouched:
    """What the signature of a book says.

    `stamp` is what its pages say of who signed it. `key` is the fingerprint of the key whose signature fits the list;
    `wrong` says why there is none that does; both are empty where nobody signed. `known` are those to whom the reader's
    list gives this key; `refused` says why the list does not help; `asked` tells that he gave one. `unused` are lines
    of it that are not used, each with the reason.
    """

    stamp: Stamp | None = None
    key: str = ""
    wrong: str = ""
    known: str = ""
    refused: str = ""
    asked: bool = False
    unused: tuple[str, ...] = ()

    @property
    def bad(self) -> bool:
        """Whether the signature, or its absence, speaks against the book."""
        return bool(self.wrong or self.refused) or (self.asked and not self.known)


@dataclass(frozen=True, slots=True)
class Signer:
    """One usable line of a list of keys: its number, patterns of identities and of purposes, and the raw key.

    `namespaces` is None where it names no purposes, so that every one is allowed. `asks` names an option that is not
    judged here.
    """

    line: int
    identities: str
    namespaces: str | None
    asks: str
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
    signers, unused = _signers(allowed) if allowed is not None else ((), ())
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
    return replace(_known(stamp, key, signature.key, signers), unused=unused)


def _known(stamp: Stamp | None, key: str, raw: bytes, signers: tuple[Signer, ...]) -> Vouched:
    its = [signer for signer in signers if signer.key == raw]
    mine = [signer for signer in its if signer.namespaces is None or _matches(NAMESPACE, signer.namespaces)]
    identity = stamp.identity if stamp else ""
    fit = [signer for signer in mine if not identity or _matches(identity, signer.identities)]
    plain = [signer for signer in fit if not signer.asks]
    if plain:
        return Vouched(stamp, key, known=plain[0].identities, asked=True)
    if fit:
        asks = f"line {fit[0].line}: {fit[0].asks} is not judged here"
        raise CannotJudge(f"Your list of keys, {asks}; check this signature with ssh-keygen -Y verify")
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


def _signers(path: Path) -> tuple[tuple[Signer, ...], tuple[str, ...]]:
    """The usable lines of a list, and the others with the reason."""
    try:
        if path.stat().st_size > MOST_ALLOWED:
            raise CannotJudge(f"{path} is larger than a list of keys should be")
        text = path.read_bytes().decode("utf-8")
    except OSError as error:
        raise CannotJudge(f"{path}: {error.strerror or error}") from None
    except UnicodeDecodeError:
        raise CannotJudge(f"{path} is no list of keys: it is not text in UTF-8") from None
    signers: list[Signer] = []
    unused: list[str] = []
    for number, line in enumerate(text.split("\n"), start=1):
        line = line.removesuffix("\r").strip(" \t")
        if not line or line.startswith("#"):
            continue
        try:
            signers += _signer(number, line)
        except ValueError as why:
            unused.append(f"line {number}: {why}")
    if unused and not signers:
        raise CannotJudge(f"{path}: no line of it can be used ({'; '.join(unused[:3])})")
    return tuple(signers), tuple(unused)


def _signer(number: int, line: str) -> Iterator[Signer]:
    """A line taken apart; nothing for a key of another kind, which cannot have signed a book.

    What OpenSSH does not read as a line is none here either. Control characters and backslashes are never needed, so
    that a line with one is not used. Source: ssh-keygen(1), ALLOWED SIGNERS, and what that program does.

    Raises:
        ValueError: the line cannot be used; the message says why.
    """
    if re.search(r"[\x00-\x08\x0a-\x1f\x7f\\]", line):
        raise ValueError("a control character or a backslash")
    start = IDENTITIES.match(line)
    if start is None:
        raise ValueError("expected an identity, the kind of the key and the key")
    rest = line[start.end() :]
    options: dict[str, str] = {}
    if not rest.startswith(KINDS):
        found = OPTIONS.match(rest)
        if found is None:
            raise ValueError("expected an identity, the kind of the key and the key")
        options, rest = _options(found[1]), rest[found.end() :]
    kind, key, *_ = (*re.split(r"[ \t]+", rest), "", "")
    if not kind.startswith(KINDS) or not key:
        raise ValueError("expected an identity, the kind of the key and the key")
    if kind == "ssh-ed25519":
        asks = next((name for name in NOT_JUDGED if name in options), "")
        identities = start[1] if start[1] is not None else start[2]
        yield Signer(number, identities, options.get("namespaces"), asks, _key(key))


def _options(text: str) -> dict[str, str]:
    """Options of a line, the whole text of them.

    >>> _options('namespaces="a,b",cert-authority')
    {'namespaces': 'a,b', 'cert-authority': ''}
    """
    found: dict[str, str] = {}
    at = 0
    while True:
        match = OPTION.match(text, at)
        name, value = (match[1].lower(), match[2]) if match else ("", None)
        if match is None or name not in (FLAGS if value is None else VALUED):
            raise ValueError(f"an option that is not known, or not in quotation marks: {text[at : at + 40]}")
        if name in found:
            raise ValueError(f"the option {name} twice")
        if value == "":
            raise ValueError(f"the option {name} is empty")
        found[name], at = value or "", match.end()
        if at == len(text):
            return found
        if text[at] != ",":
            raise ValueError(f"an option that is not known: {text[at : at + 40]}")
        at += 1


def _key(text: str) -> bytes:
    try:
        key = key_of(base64.b64decode(text, validate=True))
    except binascii.Error:
        key = None
    if key is None:
        raise ValueError("the key cannot be read")
    return key
