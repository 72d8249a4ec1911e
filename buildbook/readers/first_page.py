"""Small pictures of documents: the first page of a PDF, or a scan made small. They hold pixels and nothing else."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.readers.refused import Refused

if TYPE_CHECKING:
    from PIL.Image import Image

LONGEST_SIDE = 400  # pixels: a sheet stands some 5 cm high on a page
JPEG_QUALITY = 70
LONGEST_WAIT = 600  # s, however busy the machine is; the program that draws has a limit of its own
EXPECTED = "a first page that can be drawn"
WITHOUT = "The document is given, without a picture of its first page."
_PROGRAM = Path(__file__).with_name("draw_page.py")


def first_page(data: bytes, ending: str, name: str) -> bytes:
    """A small picture of a published document.

    Args:
        data: the bytes as published: a PDF, or a picture.
        ending: that of its name: `pdf`, or that of a picture.
        name: its name, for messages.
    Returns:
        A JPEG with a longer side of at most 400 pixels, the same bytes each time.
    Errors:
        Refused, as a notice, for a page that cannot be drawn, or not in two gigabytes and a minute.
    """
    found = _small(data, ending)
    if isinstance(found, str):
        raise Refused(Fault(Where(name), EXPECTED, found, WITHOUT, Severity.NOTICE))
    return found


@lru_cache(maxsize=64)
def _small(data: bytes, ending: str) -> bytes | str:
    """The picture, or why there is none."""
    if ending == "pdf":
        return _drawn(data)
    from PIL import Image

    with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as opened:  # made by us
        clear = opened.convert("RGBA")
    paper = Image.new("RGBA", clear.size, "white")
    picture = Image.alpha_composite(paper, clear).convert("RGB")
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    return _as_jpeg(picture)


def _drawn(data: bytes) -> bytes | str:
    from PIL import Image

    # -I: its own folder holds modules that are called as some of the standard library, and must not be looked in
    command = [sys.executable, "-I", str(_PROGRAM), str(LONGEST_SIDE)]
    try:
        done = subprocess.run(command, input=data, capture_output=True, timeout=LONGEST_WAIT, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return "one that was not drawn in time"
    head, points = done.stdout[:8], done.stdout[8:]
    if done.returncode or len(head) < 8:
        return "one that cannot be, or takes too much time or memory"
    width, height = struct.unpack(">II", head)
    if len(points) != 3 * width * height or not 1 <= max(width, height) <= LONGEST_SIDE:
        return "one that cannot be"
    return _as_jpeg(Image.frombytes("RGB", (width, height), points))


def _as_jpeg(picture: Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=JPEG_QUALITY, optimize=False, progressive=False, subsampling="4:2:0")
    return out.getvalue()
