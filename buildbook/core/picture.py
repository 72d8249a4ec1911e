"""What a picture looks like, so that the same picture is known again under another name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PictureLook:
    """The hash of a picture's bytes, and its tones: grey levels from 0 to 255 of a small square copy, row by row."""

    sha256: str
    tones: tuple[float, ...] = ()
