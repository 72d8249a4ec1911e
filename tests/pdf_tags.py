"""The structure tree of a tagged PDF as qpdf reads it (by pikepdf): its elements and the words that they mark."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium

Element = Any  # a dictionary of the structure tree


def structure(pdf: pikepdf.Pdf) -> list[Element]:
    """Every element of the structure tree, in the order of reading."""
    found, waiting = [], [pdf.Root.StructTreeRoot]
    while waiting:
        element = waiting.pop()
        if isinstance(element, pikepdf.Array):
            waiting.extend(reversed(list(element)))
        elif isinstance(element, pikepdf.Dictionary):
            if "/S" in element:
                found.append(element)
            if "/K" in element:
                waiting.append(element.K)
    return found


def of_kind(elements: list[Element], *kinds: str) -> list[Element]:
    return [element for element in elements if str(element.S) in kinds]


def marked(element: Element) -> Iterator[tuple[tuple[int, int], int]]:
    """Each piece of content that belongs to an element: the object of its page, and its number on that page."""
    kids = element.K if isinstance(element.K, pikepdf.Array) else [element.K]
    for kid in kids:
        if not isinstance(kid, pikepdf.Dictionary):
            yield element.Pg.objgen, int(kid)
        elif "/K" in kid:
            yield from marked(kid)


def words_of_marks(page: pypdfium2.PdfPage) -> dict[int, str]:
    """The words of a page as PDFium reads them, by the number of the marked content in which they stand."""
    text = page.get_textpage()
    told: dict[int, str] = {}
    for piece in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
        number = pdfium.FPDFPageObj_GetMarkedContentID(piece.raw)
        size = pdfium.FPDFTextObj_GetText(piece.raw, text.raw, None, 0)
        buffer = (ctypes.c_ushort * (size // 2))()
        pdfium.FPDFTextObj_GetText(piece.raw, text.raw, buffer, size)
        told[number] = told.get(number, "") + bytes(buffer).decode("utf-16-le").rstrip("\0")
    text.close()
    return told
