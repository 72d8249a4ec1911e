"""The stamp of every page: that nobody has signed the book, or who has. It can be exchanged, byte for byte."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape

from markupsafe import Markup

from buildbook.core.published import RELEASE, SIGNATURE
from buildbook.render.templates import environment

UNSIGNED = "Draft: nobody has signed this book."
VERIFY = "verify.html"
SIGNATURE_PART = "verify-signature"  # where that page tells how to check who signed
CHECK = "check it: see"
NAMESPACE = "buildbook-release"  # what a signature is for: one for another purpose is none for a book
START, END = '<aside class="seal" aria-label="Who vouches for this book">', "</aside>"
STAMPED = re.compile(re.escape(START.encode()) + rb"(.*?)" + re.escape(END.encode()), re.DOTALL)
HOW_START, HOW_END = f'<section id="{SIGNATURE_PART}">', "</section>"
HOW = re.compile(re.escape(HOW_START.encode()) + rb".*?" + re.escape(HOW_END.encode()), re.DOTALL)
SIGNED = re.compile(r"Signed by (\S+), key (SHA256:[A-Za-z0-9+/]{43}); ")


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who signed, and the fingerprint of the key; both empty for a draft."""

    identity: str = ""
    fingerprint: str = ""

    @property
    def words(self) -> str:
        """The stamp as one line of print."""
        if not self.identity:
            return UNSIGNED
        return f"Signed by {self.identity}, key {self.fingerprint}; {CHECK} {VERIFY}"


DRAFT = Stamp()


class NotStamped(Exception):
    """A file of the book has not the one stamp that each has; the message names what is wrong."""


def element(stamp: Stamp, page: str) -> Markup:
    """The stamp as it stands in a page of the site.

    Args:
        stamp: who signed, if anybody.
        page: the name of the page, from which the address of the other page follows.
    """
    if not stamp.identity:
        return Markup(START) + UNSIGNED + Markup(END)
    address = f"{'../' * page.count('/')}{VERIFY}#{SIGNATURE_PART}"
    link = Markup('<a href="{}">verify</a>').format(address)
    said = Markup("Signed by {}, key {}; {} ").format(stamp.identity, stamp.fingerprint, CHECK)
    return Markup(START) + said + link + Markup(END)


def stamped(page: bytes, name: str, stamp: Stamp) -> bytes:
    """A page of the site with another stamp; all else stays as it is, to the byte.

    Raises:
        NotStamped: the page has not exactly one stamp.
    """
    new = str(element(stamp, name)).encode("utf-8")
    made, times = STAMPED.subn(lambda _: new, page)
    if times != 1:
        raise NotStamped(f"{name} has {times} stamps instead of one")
    return made


def with_steps(page: bytes, stamp: Stamp) -> bytes:
    """The page about checking with the steps for another signature. Raises NotStamped where it has no place."""
    new = steps(stamp).encode("utf-8")
    made, times = HOW.subn(lambda _: new, page)
    if times != 1:
        raise NotStamped(f"{VERIFY} has {times} parts about the signature instead of one")
    return made


def claimed(page: bytes) -> Stamp | None:
    """What a page says of who signed; None where it has not the one stamp, or that of a signer who cannot be."""
    found = STAMPED.findall(page)
    if len(found) != 1:
        return None
    words = unescape(re.sub(r"<[^>]*>", "", found[0].decode("utf-8", "replace")))
    signed = SIGNED.match(words)
    if signed:
        return Stamp(signed[1], signed[2])
    return DRAFT if words == UNSIGNED else None


def steps(stamp: Stamp) -> str:
    """How a reader checks who signed, as a part of the page about checking."""
    template = environment().get_template("parts/signature.html.j2")
    names = {"signature": SIGNATURE, "namespace": NAMESPACE, "listed": RELEASE, "part": SIGNATURE_PART}
    return template.render(stamp=stamp, **names).strip()
