"""The digest as a QR code, for a reader who holds the printed sheet and a telephone."""

from __future__ import annotations

import re

from markupsafe import Markup

from buildbook.render.figures import Figure

QUIET = 4  # modules of white around it (ISO/IEC 18004, from memory)
DARK, LIGHT = "#1d2733", "#ffffff"
WIDTH = 160


def digest_figure(digest: str) -> Figure:
    """The digest as a QR code that holds its text and no address.

    Args:
        digest: the text, as it is printed beside the code.

    Returns:
        A picture: dark on white in either scheme, since readers of such codes ask for that. Equal texts give equal
        bytes.
    """
    import segno

    made = segno.make(digest, error="m", micro=False, boost_error=False)
    width = made.symbol_size(border=QUIET)[0]
    drawn = made.svg_inline(border=QUIET, dark=DARK, light=LIGHT, svgclass=None, lineclass=None, omitsize=True)
    words = "QR code of the digest"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{words}" viewBox="0 0 {width} {width}" '
        f'width="{WIDTH}" height="{WIDTH}" shape-rendering="crispEdges"><title>{words}</title>'
    )
    return Figure("digest.svg", Markup(re.sub(r"^<svg[^>]*>", head, drawn)), words)
