"""Pictures: what is refused, and that nothing but the pixels is published. All pictures are drawn here."""

import hashlib
import io
import random
import struct
import zlib

import pytest
from PIL import ExifTags, Image, PngImagePlugin

from buildbook.chapters.register.chances import likeness
from buildbook.readers import photo
from buildbook.readers.photo import LONGEST_SIDE, look, re_encode
from buildbook.readers.refused import Refused

RED, BLUE = (200, 30, 30), (30, 30, 200)


def drawing(width=60, height=40):
    image = Image.new("RGB", (width, height), RED)
    image.paste(BLUE, (0, 0, width // 2, height))
    return image


def saved(image, kind, **more):
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def with_position():
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "SYNTHETIC CAMERA"
    exif[ExifTags.Base.Artist] = "SYNTHETIC PERSON"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (12.0, 34.0, 56.0)
    return exif


@pytest.mark.parametrize(("kind", "ending"), [("PNG", "png"), ("JPEG", "jpg"), ("WEBP", "jpg")])
def test_the_pixels_are_kept_and_nothing_else(kind, ending):
    comment = PngImagePlugin.PngInfo()
    comment.add_text("Comment", "SYNTHETIC COMMENT")
    more = {"pnginfo": comment} if kind == "PNG" else {"quality": 95}
    data = saved(drawing(), kind, exif=with_position(), icc_profile=b"SYNTHETIC PROFILE" * 10, **more)
    assert b"SYNTHETIC" in data
    picture = re_encode(data, "a")
    assert (picture.width, picture.height, picture.ending) == (60, 40, ending)
    assert b"SYNTHETIC" not in picture.data
    again = Image.open(io.BytesIO(picture.data))
    assert not again.getexif()
    assert "icc_profile" not in again.info
    for place, colour in (((5, 20), BLUE), ((55, 20), RED)):
        seen = again.convert("RGB").getpixel(place)
        assert isinstance(seen, tuple)
        assert max(abs(a - b) for a, b in zip(seen, colour, strict=True)) < 30


def test_a_turned_picture_is_put_upright():
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6  # stored lying on its side
    picture = re_encode(saved(drawing(60, 40), "JPEG", exif=exif), "a")
    assert (picture.width, picture.height) == (40, 60)


@pytest.mark.parametrize(
    ("width", "height", "expected"), [(3200, 800, (1600, 400)), (100, 4000, (40, 1600)), (9, 7, (9, 7))]
)
def test_the_longest_side_is_capped(width, height, expected):
    picture = re_encode(saved(drawing(width, height), "PNG"), "a")
    assert (picture.width, picture.height) == expected
    assert max(picture.width, picture.height) <= LONGEST_SIDE


def test_the_same_bytes_each_time():
    for kind in ("PNG", "JPEG", "WEBP"):
        data = saved(drawing(2000, 900), kind)
        assert re_encode(data, "a").data == re_encode(data, "b").data


@pytest.mark.parametrize("mode", ["L", "P", "LA", "RGBA", "1", "I;16", "CMYK"])
def test_every_kind_of_pixel_is_read(mode):
    kind = "JPEG" if mode == "CMYK" else "PNG"
    picture = re_encode(saved(Image.new(mode, (20, 10)), kind), "a")
    assert (picture.width, picture.height) == (20, 10)


def test_clear_parts_stay_clear():
    picture = re_encode(saved(Image.new("RGBA", (20, 10), (10, 20, 30, 0)), "PNG"), "a")
    assert Image.open(io.BytesIO(picture.data)).mode == "RGBA"


def bomb(width, height):
    """A small PNG file that says it is large."""

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(("width", "height"), [(8000, 5001), (12_000, 12_000), (60_000, 60_000)])
def test_too_many_pixels_are_refused_before_unpacking(width, height, monkeypatch):
    def unpacked(*_):
        raise AssertionError("unpacked")

    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", unpacked)
    with pytest.raises(Refused, match="at most 40 million pixels"):
        re_encode(bomb(width, height), "bomb.png")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"synthetic text",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
        saved(drawing(), "GIF"),
        saved(drawing(), "TIFF"),
        saved(drawing(), "BMP"),
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
        saved(drawing(), "PNG")[:60],
        saved(drawing(400, 400), "JPEG")[:300],
        bomb(10, 10),
    ],
)
def test_other_files_and_damaged_ones_are_refused(data):
    with pytest.raises(Refused) as refused:
        re_encode(data, "photographs/a.png")
    assert refused.value.fault.where.file == "photographs/a.png"
    assert "PNG, JPEG or WebP" in refused.value.fault.expected


def test_too_many_bytes_are_refused(monkeypatch):
    data = saved(drawing(), "PNG")
    monkeypatch.setattr(photo, "MOST_BYTES", len(data) - 1)
    with pytest.raises(Refused, match="MB"):
        re_encode(data, "a")


@pytest.mark.parametrize("grey", [0, 257, 20000, 32768, 65535])
def test_a_grey_picture_of_sixteen_bits_keeps_its_shades(grey):
    """Written from the published format of PNG (third edition, from memory): 65535 is white, as 255 is with 8 bits."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = (b"\x00" + struct.pack(">H", grey) * 6) * 4
    head = struct.pack(">IIBBBBB", 6, 4, 16, 0, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    shown = Image.open(io.BytesIO(re_encode(data, "a").data))
    assert shown.size == (6, 4)
    assert shown.getpixel((3, 2)) == (round(grey / 257),) * 3


def scene(seed, width=640, height=480):
    """Synthetic: soft patches of grey, drawn by a seed."""
    draws = random.Random(seed)
    small = Image.frombytes("L", (8, 6), bytes(draws.randrange(256) for _ in range(48)))
    return small.resize((width, height), Image.Resampling.BICUBIC).convert("RGB")


@pytest.mark.parametrize(
    "again",
    [
        saved(scene(1, 320, 240), "PNG"),
        saved(scene(1).resize((300, 230)), "JPEG", quality=40),
        saved(Image.blend(scene(1), Image.new("RGB", (640, 480), "white"), 0.2), "WEBP"),
    ],
    ids=["half the size", "smaller and coarser", "brighter"],
)
def test_the_same_picture_looks_alike_at_another_size(again):
    one, other = look(saved(scene(1), "PNG"), "a"), look(again, "b")
    assert one.sha256 != other.sha256
    found = likeness(one.tones, other.tones)
    assert found is not None
    assert found > 0.99


@pytest.mark.parametrize("seed", range(2, 12))
def test_other_pictures_do_not_look_alike(seed):
    found = likeness(look(saved(scene(1), "PNG"), "a").tones, look(saved(scene(seed), "PNG"), "b").tones)
    assert found is not None
    assert found < 0.9


def test_a_look_has_the_sum_of_the_bytes_and_sees_clear_parts_as_paper():
    clear = Image.new("RGBA", (64, 64), (0, 0, 0, 0))
    data = saved(clear, "PNG")
    found = look(data, "a")
    assert found.sha256 == hashlib.sha256(data).hexdigest()
    assert set(found.tones) == {255.0}
    assert len(found.tones) == 32 * 32


def test_what_is_no_picture_has_no_look():
    with pytest.raises(Refused):
        look(b"no picture", "a")
