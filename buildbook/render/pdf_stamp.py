"""The stamp of a printed page: a strip that is set once and laid over every page, and that can be exchanged.

It is drawn by a form of its own in a stream of its own, marked as an artifact: no tag of the document is touched, and
a reader who listens is not told it on every page. See docs/decisions/0014-drafts-and-signatures.md.
"""

from __future__ import annotations

import io
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from markupsafe import escape

from buildbook.render.pdf import INK, laid_out
from buildbook.render.stamp import DRAFT, NotStamped, Stamp
from buildbook.render.templates import templates_dir

if TYPE_CHECKING:
    import pikepdf

POINT = 72 / 25.4  # points in a millimetre
HEIGHT = 4.0  # mm
SIZE = 7.5  # pt
NAME = "/BookSeal"
FONT = "IBMPlexSans-SemiBold"
# Where the strip begins, from the upper edge and from either side [mm]: above the running heads, in line with the text.
BOOK, LISTING = (9.0, 20.0), (3.6, 13.0)
PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Stamp</title><style>
@font-face {{ font-family: "IBM Plex Sans"; font-weight: 600; src: url("style/fonts/{font}.woff2") format("woff2"); }}
@page {{ size: {width:.4f}pt {height:.4f}pt; margin: 0; }}
body, p {{ margin: 0; }}
p {{ font: 600 {size:.2f}pt/{height:.4f}pt "IBM Plex Sans"; white-space: nowrap; color: {ink}; }}
</style></head><body><p>{words}</p></body></html>"""


def laid_on(data: bytes, place: tuple[float, float], stamp: Stamp = DRAFT) -> bytes:
    """A PDF with a stamp on every page.

    Args:
        data: the PDF, without a stamp.
        place: where the strip begins [mm], from the upper edge and from either side of each page.
        stamp: who signed, if anybody.

    Returns:
        The PDF; equal arguments give equal bytes with the same libraries.
    """
    import pikepdf

    top, side = (millimetres * POINT for millimetres in place)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        forms = _Forms(pdf, stamp)
        before = pdf.make_stream(b"q\n")
        for page in pdf.pages:
            left, _, right, upper = (float(edge) for edge in page.mediabox)
            name, form = forms.of(right - left - 2 * side)
            _drawings(page)[name] = form
            after = pdf.make_stream(_drawn(name, left + side, upper - top - HEIGHT * POINT))
            page.obj.Contents = pikepdf.Array([before, *_streams(page), after])
        return _saved(pdf)


def exchanged(data: bytes, stamp: Stamp) -> bytes:
    """A PDF with another stamp in the place of the one that every page has.

    Raises:
        NotStamped: a page has no stamp.
    """
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        forms = _Forms(pdf, stamp)
        for page in pdf.pages:
            drawings = _drawings(page)
            names = [name for name in drawings.keys() if name.startswith(NAME)]  # noqa: SIM118
            if not names:
                raise NotStamped(f"page {page.index + 1} has no stamp")
            for name in names:
                drawings[name] = forms.of(float(drawings[name].BBox[2]))[1]
        return _saved(pdf)


class _Forms:
    """The stamp as a form, one for each width of the strip."""

    def __init__(self, pdf: pikepdf.Pdf, stamp: Stamp) -> None:
        self._pdf, self._stamp = pdf, stamp
        self._made: dict[int, tuple[str, Any]] = {}

    def of(self, width: float) -> tuple[str, Any]:
        """Name and form for a strip of this width [pt]."""
        import pikepdf

        key = round(width)
        if key not in self._made:
            with pikepdf.open(io.BytesIO(strip(self._stamp, key))) as own:
                form = self._pdf.copy_foreign(own.pages[0].as_form_xobject())
            self._made[key] = f"{NAME}{key}", form
        return self._made[key]


@lru_cache(maxsize=16)
def strip(stamp: Stamp, width: float) -> bytes:
    """The stamp as a PDF of one small page, as wide as the strip [pt]; without tags, since it is an artifact."""
    fonts = templates_dir() / "theme" / "fonts"
    size = min(SIZE, SIZE * width / _length(stamp.words))
    html = PAGE.format(font=FONT, width=width, height=HEIGHT * POINT, size=size, ink=INK, words=escape(stamp.words))
    file = f"{FONT}.woff2"
    return laid_out(html, {f"style/fonts/{file}": (fonts / file).read_bytes()})


def _length(words: str) -> float:
    """How long a line is in the full size [pt], with a little to spare."""
    from fontTools.ttLib import TTFont

    with TTFont(templates_dir() / "theme" / "fonts" / f"{FONT}.ttf") as font:
        names, widths, unit = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        advances = (widths[names.get(ord(sign), ".notdef")][0] for sign in words)
        return 1.01 * SIZE * float(sum(advances)) / float(unit)


def _drawings(page: pikepdf.Page) -> Any:
    """The drawings that a page can name; a place for them is made where there is none."""
    import pikepdf

    resources = page.resources
    if "/XObject" not in resources:
        resources.XObject = pikepdf.Dictionary()
    return resources.XObject


def _streams(page: pikepdf.Page) -> list[Any]:
    import pikepdf

    contents = page.obj.get("/Contents")
    if contents is None:
        return []
    return list(contents) if isinstance(contents, pikepdf.Array) else [contents]


def _drawn(name: str, across: float, up: float) -> bytes:
    """What draws the strip: after the page itself, whose state it leaves, and apart from its tags."""
    place = f"q 1 0 0 1 {across:.4f} {up:.4f} cm {name} Do Q"
    return f"\nQ\n/Artifact <</Type /Pagination /Subtype /Header>> BDC\n{place}\nEMC\n".encode("ascii")


def _saved(pdf: pikepdf.Pdf) -> bytes:
    made = io.BytesIO()
    pdf.save(made, deterministic_id=True)
    return made.getvalue()
