"""Pictures for publication: re-encoded copies without position, camera and any other data than the pixels."""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.core.fault import Fault
from buildbook.core.picture import PictureLook
from buildbook.core.where import Where
from buildbook.readers.refused import Refused

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS = 40_000_000
MOST_BYTES = 40_000_000
LONGEST_SIDE = 1600  # pixels of the published copy
JPEG_QUALITY = 85
SMALL_SIDE = 32  # pixels of the copy by which pictures are known again
SIXTEEN_BITS = 65535  # white in a grey picture of sixteen bits

_FORMATS = ("PNG", "JPEG", "WEBP")
_NOT_SHOWN = "The picture is not shown."
_EXPECTED = "a picture as PNG, JPEG or WebP"


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture to publish: its bytes, its size [pixels] and the ending of its name (`png` or `jpg`)."""

    data: bytes
    width: int
    height: int
    ending: str


def re_encode(data: bytes, name: str, *, longest: int = LONGEST_SIDE) -> Picture:
    """A copy of a picture that holds its pixels and nothing else.

    Args:
        data: the bytes of a PNG, JPEG or WebP file of at most 40 million pixels.
        name: its name, for messages.
        longest: pixels of the longer side of the copy at most.
    Returns:
        PNG for PNG (drawings stay sharp), else JPEG; upright, the same bytes each time.
    Errors:
        Refused for any other file, a damaged one, and one with too many pixels (told before it is unpacked).
    """
    from PIL import Image

    plain, kind = _pixels(data, name)
    plain.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    if kind == "PNG":
        plain.save(out, "PNG", optimize=False, compress_level=9)
        return Picture(out.getvalue(), plain.width, plain.height, "png")
    plain.save(out, "JPEG", quality=JPEG_QUALITY, optimize=False, progressive=False, subsampling="4:2:0")
    return Picture(out.getvalue(), plain.width, plain.height, "jpg")


def look(data: bytes, name: str) -> PictureLook:
    """What a picture looks like: the hash of its bytes and the grey tones of a copy of 32 by 32 pixels.

    Args:
        data: the bytes of a PNG, JPEG or WebP file, as for `re_encode`.
        name: its name, for messages.
    Errors:
        Refused as by `re_encode`.
    """
    from PIL import Image

    plain, _ = _pixels(data, name)
    if plain.mode == "RGBA":
        plain = Image.alpha_composite(Image.new("RGBA", plain.size, "white"), plain)
    small = plain.convert("L").resize((SMALL_SIDE, SMALL_SIDE), Image.Resampling.BOX)
    return PictureLook(hashlib.sha256(data).hexdigest(), tuple(float(tone) for tone in small.tobytes()))


def _pixels(data: bytes, name: str) -> tuple[Image, str | None]:
    """The pixels of a picture, upright, and its format. Refused for what `re_encode` refuses."""
    from PIL import Image, ImageOps

    if len(data) > MOST_BYTES:
        raise _refused(name, f"at most {MOST_BYTES / 1e6:g} MB", f"{len(data) / 1e6:.1f} MB")
    with warnings.catch_warnings(), _whole_pictures_only():
        warnings.simplefilter("ignore")
        try:
            with Image.open(io.BytesIO(data), formats=_FORMATS) as opened:
                _within_cap(opened, name)
                kind = opened.format
                upright = ImageOps.exif_transpose(opened)
                plain = _plain(upright, "RGBA" if kind == "PNG" and _is_clear(upright) else "RGB")
        except Refused:
            raise
        except Image.DecompressionBombError:
            raise _too_many(name, "far more") from None
        except Exception:
            raise _refused(name, _EXPECTED, "a file that cannot be read as one") from None
    return plain, kind


@contextmanager
def _whole_pictures_only() -> Iterator[None]:
    """Refuse a picture that is cut off, also after another library (WeasyPrint) told Pillow to accept such."""
    from PIL import ImageFile

    before = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _within_cap(image: Image, name: str) -> None:
    width, height = image.size
    if width < 1 or height < 1 or width * height > MOST_PIXELS:
        raise _too_many(name, f"{width} x {height}, {width * height / 1e6:.1f} million")


def _is_clear(image: Image) -> bool:
    """Whether a picture has transparent parts."""
    return "A" in image.getbands() or "transparency" in image.info


def _plain(image: Image, mode: str) -> Image:
    """The pixels alone: a new picture without the old one's notes, profiles and comments."""
    from PIL import Image as images

    image = _eight_bits(image)
    converted = image if image.mode == mode else image.convert(mode)
    return images.frombytes(mode, converted.size, converted.tobytes())


def _eight_bits(image: Image) -> Image:
    """A grey picture of more than eight bits brought to eight by its full scale; Pillow alone would cut it off."""
    if not image.mode.startswith(("I", "F")):
        return image
    scaled = image.convert("F").point(lambda value: value * (255.0 / SIXTEEN_BITS) + 0.5)
    return scaled.convert("L")


def _too_many(name: str, found: str) -> Refused:
    return _refused(name, f"at most {MOST_PIXELS / 1e6:g} million pixels", found)


def _refused(name: str, expected: str, found: str) -> Refused:
    return Refused(Fault(Where(name), expected, found, _NOT_SHOWN))
