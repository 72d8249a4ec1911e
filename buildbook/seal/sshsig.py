"""Signatures in the form of OpenSSH (PROTOCOL.sshsig), Ed25519 only."""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.render.stamp import NAMESPACE

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

MAGIC, VERSION = b"SSHSIG", 1
KIND = b"ssh-ed25519"
HASHES = {"sha256": hashlib.sha256, "sha512": hashlib.sha512}
HASH = "sha512"  # what ssh-keygen itself takes
WIDTH = 70  # characters of a line of the armour
START, END = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
ARMOUR = re.compile(rf"{START}\s([A-Za-z0-9+/=\s]+)\s{END}\s*")
KEY_BYTES, SIGNATURE_BYTES = 32, 64


class NoSignature(Exception):
    """The bytes are no signature of this form; the message says what is wrong."""


@dataclass(frozen=True, slots=True)
class Signature:
    """A signature taken apart: the raw public key, what it is for, the name of the hash, the 64 bytes."""

    key: bytes
    namespace: str
    hash_name: str
    value: bytes


def fingerprint(key: bytes) -> str:
    """The fingerprint of a raw Ed25519 public key (32 bytes), as `ssh-keygen -l` prints it."""
    digest = hashlib.sha256(key_blob(key)).digest()
    return "SHA256:" + base64.b64encode(digest).decode("ascii").rstrip("=")


def key_blob(key: bytes) -> bytes:
    """A raw public key (32 bytes) as OpenSSH writes it between the name of its kind and the comment, before base64."""
    return _string(KIND) + _string(key)


def key_of(blob: bytes) -> bytes | None:
    """The raw public key (32 bytes) in such a blob, None where it is of another kind."""
    return blob[len(key_blob(b"")) :] if len(blob) == len(key_blob(bytes(KEY_BYTES))) and _is_key(blob) else None


def _is_key(blob: bytes) -> bool:
    return blob == key_blob(blob[-KEY_BYTES:])


def sign(message: bytes, key: Ed25519PrivateKey, namespace: str = NAMESPACE) -> bytes:
    """Sign a message.

    Args:
        message: what is signed, whole.
        key: the private key.
        namespace: what the signature is for; a signature for one purpose is none for another.

    Returns:
        The armoured signature, as `ssh-keygen -Y sign` writes it; the same arguments give the same bytes.

    Source: OpenSSH, PROTOCOL.sshsig; RFC 8709 for the form of key and signature.
    """
    value = key.sign(_signed(message, namespace, HASH))
    made = MAGIC + struct.pack(">I", VERSION) + _string(key_blob(key.public_key().public_bytes_raw()))
    made += _string(namespace.encode()) + _string(b"") + _string(HASH.encode())
    made += _string(_string(KIND) + _string(value))
    text = base64.b64encode(made).decode("ascii")
    lines = [text[at : at + WIDTH] for at in range(0, len(text), WIDTH)]
    return "\n".join((START, *lines, END, "")).encode("ascii")


def read(armoured: bytes) -> Signature:
    """Take a signature apart.

    Raises:
        NoSignature: it is damaged, of another kind, or not by an Ed25519 key.
    """
    try:
        match = ARMOUR.fullmatch(armoured.decode("ascii"))
        if match is None:
            raise NoSignature("it has not the form of an OpenSSH signature")
        blob = base64.b64decode(re.sub(r"\s", "", match[1]), validate=True)
    except (UnicodeDecodeError, binascii.Error):
        raise NoSignature("it has not the form of an OpenSSH signature") from None
    if not blob.startswith(MAGIC + struct.pack(">I", VERSION)):
        raise NoSignature("it is no OpenSSH signature of version 1")
    key, namespace, reserved, hash_name, value = _strings(blob[len(MAGIC) + 4 :], 5)
    raw = key_of(key)
    if raw is None:
        raise NoSignature("it is not by a key of the kind Ed25519")
    kind, signature = _strings(value, 2)
    if kind != KIND or len(signature) != SIGNATURE_BYTES or reserved:
        raise NoSignature("it is not an Ed25519 signature")
    return Signature(raw, namespace.decode("utf-8", "replace"), hash_name.decode("ascii", "replace"), signature)


def fits(signature: Signature, message: bytes) -> bool:
    """Whether a signature is by its own key over this very message and for the releases of books."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if signature.namespace != NAMESPACE or signature.hash_name not in HASHES:
        return False
    try:
        signed = _signed(message, signature.namespace, signature.hash_name)
        Ed25519PublicKey.from_public_bytes(signature.key).verify(signature.value, signed)
    except (InvalidSignature, ValueError):
        return False
    return True


def _signed(message: bytes, namespace: str, hash_name: str) -> bytes:
    """The bytes that are really signed."""
    digest = HASHES[hash_name](message).digest()
    return MAGIC + _string(namespace.encode()) + _string(b"") + _string(hash_name.encode()) + _string(digest)


def _string(value: bytes) -> bytes:
    """A string as SSH writes it: its length in four bytes, then itself (RFC 4251, 5)."""
    return struct.pack(">I", len(value)) + value


def _strings(data: bytes, number: int) -> list[bytes]:
    found = []
    for _ in range(number):
        length = int.from_bytes(data[:4], "big")
        if len(data) < 4 + length:
            raise NoSignature("it ends too early")
        found.append(data[4 : 4 + length])
        data = data[4 + length :]
    if data:
        raise NoSignature("it does not end where it should")
    return found
