"""Documents for publication: a PDF as it is, a picture re-encoded, nothing else."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.readers.photo import re_encode
from buildbook.readers.refused import Refused

MOST_BYTES = 20_000_000
LONGEST_SIDE = 3600  # pixels of a published scan: an A4 sheet at 300 dots to the inch has 3508
EXPECTED = "a document as PDF, PNG, JPEG or WebP"
NOT_SHOWN = "The document is not shown."
MOST_NESTED = 20  # arrays and dictionaries inside each other
ACTS = ("/JavaScript", "/Launch", "/SubmitForm", "/ImportData")


@dataclass(frozen=True, slots=True)
class Published:
    """A document to publish: its bytes and the ending of its name."""

    data: bytes
    ending: str


def publishable(data: bytes, name: str) -> Published:
    """What is published of a document.

    Args:
        data: the bytes of a PDF or picture of at most 20 MB.
        name: its name, for messages.
    Returns:
        A PDF as it is, byte for byte; of a picture a copy that holds its pixels and nothing else.
    Errors:
        Refused for any other file, SVG among them; for a PDF that is damaged, locked, or runs something when opened.
    """
    if len(data) > MOST_BYTES:
        raise _refused(name, f"at most {MOST_BYTES / 1e6:g} MB", f"{len(data) / 1e6:.1f} MB")
    if data.startswith(b"%PDF-"):
        _harmless(data, name)
        return Published(data, "pdf")
    if b"<svg" in data[:4096].lower():
        raise _refused(name, EXPECTED, "an SVG drawing, which can run a script; export it as PDF or PNG")
    try:
        picture = re_encode(data, name, longest=LONGEST_SIDE)
    except Refused as refused:
        expected = refused.fault.expected
        expected = EXPECTED if expected.startswith("a picture") else expected
        raise _refused(name, expected, refused.fault.found) from None
    return Published(picture.data, picture.ending)


def _harmless(data: bytes, name: str) -> None:
    import pikepdf

    try:
        with pikepdf.open(io.BytesIO(data)) as pdf:
            acts = sorted({act for item in pdf.objects for act in _acts(item)})
            pages = len(pdf.pages)
    except pikepdf.PasswordError:
        raise _refused(name, EXPECTED, "a PDF that is locked with a password") from None
    except pikepdf.PdfError:
        raise _refused(name, EXPECTED, "a PDF that cannot be read") from None
    if acts:
        raise _refused(name, "a PDF that runs nothing", f"one with {', '.join(acts)}; print it to PDF again")
    if not pages:
        raise _refused(name, EXPECTED, "a PDF without a page")


def _acts(item: Any, depth: int = 0) -> Iterator[str]:
    """The actions that an object names, in whatever it holds directly; what it points at is looked at by itself."""
    import pikepdf

    if depth > MOST_NESTED:
        return
    parts: list[Any] = []
    if isinstance(item, pikepdf.Array):
        parts = list(item)
    elif isinstance(item, (pikepdf.Dictionary, pikepdf.Stream)):
        action = str(item.get("/S", ""))
        if action in ACTS:
            yield action.removeprefix("/")
        if "/JS" in item:
            yield "JavaScript"
        parts = [part for _, part in item.items()]
    for part in parts:
        if not getattr(part, "is_indirect", False):
            yield from _acts(part, depth + 1)


def _refused(name: str, expected: str, found: str) -> Refused:
    return Refused(Fault(Where(name), expected, found, NOT_SHOWN))
