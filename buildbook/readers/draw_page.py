"""Draws the first page of a PDF, as a program of its own: a PDF comes in, the points of its picture go out.

The library is native code. A file that makes it crash, or that asks for too much memory or time, ends this program and
not the build. It imports nothing of the package and is started by its path. No font of the machine is used,
so a page looks the same everywhere; one that brings no fonts is set in those of the library.
"""

from __future__ import annotations

import ctypes
import math
import os
import struct
import sys
import tempfile

MOST_MEMORY = 2_000_000_000  # bytes of addresses
MOST_SECONDS = 60  # of the processor: an ordinary page takes a tenth of one
WHITE = 0xFFFFFFFF


def drawn(data: bytes, longest: int) -> bytes:
    """The picture of the first page: its width and height as two numbers of four bytes, then red, green, blue.

    Args:
        data: the PDF.
        longest: points of the longer side.
    Errors:
        ValueError for a file or a page that cannot be drawn.
    """
    import pypdfium2_raw as pdfium

    with tempfile.TemporaryDirectory() as nothing:
        folder = ctypes.create_string_buffer(os.fsencode(nothing))
        fonts = (ctypes.POINTER(ctypes.c_char) * 2)(ctypes.cast(folder, ctypes.POINTER(ctypes.c_char)))
        config = pdfium.FPDF_LIBRARY_CONFIG()
        config.version, config.m_pUserFontPaths = 2, fonts
        pdfium.FPDF_InitLibraryWithConfig(config)
        document = pdfium.FPDF_LoadMemDocument64(data, len(data), None)
        page = pdfium.FPDF_LoadPage(document, 0) if document else None
        if not page:
            raise ValueError("no page that can be read")
        wide, high = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
        if not (math.isfinite(wide) and math.isfinite(high) and wide > 0 and high > 0):
            raise ValueError("a page without a size")
        width, height = (max(1, round(longest * side / max(wide, high))) for side in (wide, high))
        stride = 3 * width
        points = ctypes.create_string_buffer(stride * height)
        bitmap = pdfium.FPDFBitmap_CreateEx(width, height, pdfium.FPDFBitmap_BGR, points, stride)
        if not bitmap:
            raise ValueError("a page that has no picture")
        pdfium.FPDFBitmap_FillRect(bitmap, 0, 0, width, height, WHITE)
        how = pdfium.FPDF_ANNOT | pdfium.FPDF_REVERSE_BYTE_ORDER
        pdfium.FPDF_RenderPageBitmap(bitmap, page, 0, 0, width, height, 0, how)
        return struct.pack(">II", width, height) + points.raw


def main() -> None:
    """Takes the longest side as its argument."""
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sys.stdout.buffer.write(drawn(sys.stdin.buffer.read(), int(sys.argv[1])))


if __name__ == "__main__":
    main()
