"""What the PDF step may load: a closed list of files held in memory, and nothing else at all."""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import lru_cache
from typing import Any
from urllib.parse import unquote, urlsplit

from fontTools.ttLib import woff2
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

# A host that cannot exist (RFC 2606, section 2, from memory): relative addresses need a base.
HOST = "book.invalid"
BASE = f"https://{HOST}/"
KINDS = {
    "css": "text/css",
    "svg": "image/svg+xml",
    "png": "image/png",
    "jpg": "image/jpeg",
    "woff2": "font/woff2",
}


class OnlyThese(URLFetcher):
    """Serves the files it was given, by name, and refuses every other address.

    There is no way from here to the disk or the network: `file:`, `data:`, `http:` and any name that is not in the list
    stop the rendering, so that a page which asks for something else is never printed without it.
    """

    def __init__(self, content: Mapping[str, bytes]) -> None:
        super().__init__(allowed_protocols={"https"}, allow_redirects=False, fail_on_errors=True)
        self._content = content

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """One of the files.

        Args:
            url: absolute address as the page gave it, resolved against `BASE`.
            headers: not used.

        Returns:
            The bytes with their kind.

        Raises:
            FatalURLFetchingError: the address is not one of the files.
        """
        parts = urlsplit(url)
        name = unquote(parts.path.removeprefix("/"))
        if parts.scheme != "https" or parts.netloc != HOST or parts.query or name not in self._content:
            raise FatalURLFetchingError(f"the book asks for {url}, which is not a part of it")
        kind = KINDS.get(name.rsplit(".", 1)[-1])
        if kind is None:
            raise FatalURLFetchingError(f"the book asks for {url}, and such files are not shown")
        data = self._content[name]
        return URLFetcherResponse(url, unpacked(data) if kind == "font/woff2" else data, {"Content-Type": kind})


@lru_cache(maxsize=16)
def unpacked(font: bytes) -> bytes:
    """A WOFF 2 typeface as OpenType; unpacking takes longer than a page, and one book is set in many runs.

    What cannot be unpacked is given as it is: the program that asked says so.
    """
    out = io.BytesIO()
    try:
        woff2.decompress(io.BytesIO(font), out)
    except Exception:  # fontTools raises whatever the damaged table leads to
        return font
    return out.getvalue()
