"""On which printed page each finding stands, read from the finished PDF."""

from __future__ import annotations

import io
from collections.abc import Mapping

# What a PDF that no build wrote makes of the library, besides its own error.
ODD = (AttributeError, LookupError, RuntimeError, TypeError, ValueError)


class NotPrinted(Exception):
    """The file is no printed book that can be read; the message says so."""


def pages(pdf: bytes) -> Mapping[str, int]:
    """The page of each anchor of a printed book, counted from 1 at the cover as the feet of its pages count.

    Args:
        pdf: the book; without one (empty) no page is known.

    Returns:
        Page numbers by anchor (`COA-04-7`), as the named destinations of the PDF say.

    Raises:
        NotPrinted: it is no PDF, or its destinations are not those of a book.
    """
    if not pdf:
        return {}
    import pikepdf

    try:
        with pikepdf.open(io.BytesIO(pdf)) as opened:
            numbers = {page.obj.objgen: number for number, page in enumerate(opened.pages, 1)}
            named = pikepdf.NameTree(opened.Root.Names.Dests) if "/Names" in opened.Root else {}
            return {str(name): numbers[place[0].objgen] for name, place in named.items()}
    except (pikepdf.PdfError, *ODD) as why:
        raise NotPrinted(f"it is no printed book that can be read ({type(why).__name__})") from None
