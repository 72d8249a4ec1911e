"""Small pictures of documents: what they show, and files on which a library in native code must not end the build."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from buildbook.core.fault import Severity
from buildbook.readers import first_page as module
from buildbook.readers.first_page import LONGEST_SIDE, first_page
from buildbook.readers.refused import Refused

A4 = (595, 842)  # points, ISO 216
BLACK_SQUARE = b"0 g 0 421 297.5 421 re f"  # the upper left quarter


def pdf(content: bytes = BLACK_SQUARE, size: tuple[float, float] = A4, pages: int = 1, **more: object) -> bytes:
    """A PDF of pages with this content, by another library than the one that draws it."""
    made = io.BytesIO()
    held = pikepdf.new()
    with held:
        for _ in range(pages):
            held.add_blank_page(page_size=(100, 100))
            page = held.pages[-1]
            page.MediaBox = pikepdf.Array([0, 0, *size])
            page.Contents = held.make_stream(content)
            for name, value in more.items():
                page.obj[f"/{name}"] = value
        held.save(made, deterministic_id=True)
    return made.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data)).convert("L")


def grey(picture: Image.Image, across: float, down: float) -> int:
    return int(np.asarray(picture)[int(down * (picture.height - 1)), int(across * (picture.width - 1))])


def test_the_first_page_alone_is_drawn() -> None:
    two = pdf(pages=2)
    picture = opened(first_page(pdf(), "pdf", "a.pdf"))
    assert picture.size == (round(LONGEST_SIDE * 595 / 842), LONGEST_SIDE)
    assert grey(picture, 0.25, 0.25) < 5
    assert min(grey(picture, 0.75, 0.25), grey(picture, 0.25, 0.75)) > 250
    assert first_page(two, "pdf", "a.pdf") == first_page(pdf(), "pdf", "a.pdf")


def test_a_page_that_lies_on_its_side_stands_upright() -> None:
    picture = opened(first_page(pdf(Rotate=90), "pdf", "a.pdf"))
    assert picture.width > picture.height
    assert grey(picture, 0.75, 0.25) < 5
    assert grey(picture, 0.25, 0.25) > 250


def test_the_same_bytes_each_time_and_nothing_but_pixels() -> None:
    first = first_page(pdf(), "pdf", "a.pdf")
    module._small.cache_clear()
    again = first_page(pdf(), "pdf", "a.pdf")
    assert first == again
    with Image.open(io.BytesIO(first)) as held:
        assert not held.getexif()
        assert set(held.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_no_font_of_the_machine_is_used() -> None:
    """A page in a font that most machines have is drawn as one in a font that none has."""

    def page(name: str) -> bytes:
        font = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.TrueType, BaseFont=pikepdf.Name(name))
        resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F=font))
        return pdf(b"BT /F 60 Tf 40 400 Td (Hamburg) Tj ET", Resources=resources)

    one, other = (first_page(page(name), "pdf", "a.pdf") for name in ("/DejaVuSans", "/NoSuchFontAnywhere"))
    assert one == other
    assert float(np.asarray(opened(one)).min()) < 100  # and it is drawn


@pytest.mark.parametrize(
    ("size", "pixels"),
    [((14400, 14400), (400, 400)), ((14400, 3), (400, 1)), ((1, 1), (400, 400)), ((1e7, 1e7), (400, 400))],
)
def test_a_page_of_any_size_has_a_small_picture(size: tuple[float, float], pixels: tuple[int, int]) -> None:
    assert opened(first_page(pdf(size=size), "pdf", "a.pdf")).size == pixels


def refused(data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        first_page(data, "pdf", "papers/a.pdf")
    fault = caught.value.fault
    assert (fault.where.file, fault.severity) == ("papers/a.pdf", Severity.NOTICE)
    assert "without a picture" in fault.effect
    return fault.found


def drawn_or_told(data: bytes) -> bool:
    """Whether there is a picture, of the right size; anything else but a notice is raised."""
    found = module._small(data, "pdf")
    if isinstance(found, bytes):
        assert max(opened(found).size) == LONGEST_SIDE
    else:
        assert refused(data) == found
    return isinstance(found, bytes)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7\nnothing", pdf()[:200], b"\0" * 1000])
def test_what_cannot_be_drawn_is_a_notice(data: bytes) -> None:
    assert "cannot be" in refused(data)


def test_a_library_that_crashes_hangs_or_lies_does_not_end_the_build(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    programs = {
        "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)": "cannot be",
        "import time; time.sleep(60)": "in time",
        "import sys; sys.stdout.buffer.write(b'short')": "cannot be",
        f"import sys; sys.stdout.buffer.write({struct.pack('>II', 9000, 9000)!r} + b'123')": "cannot be",
    }
    for number, (text, words) in enumerate(programs.items(), start=1):
        monkeypatch.setattr(module, "LONGEST_WAIT", 1.0 if "sleep" in text else 600.0)
        program = tmp_path_factory.mktemp("p") / "draw.py"
        program.write_text(text)
        monkeypatch.setattr(module, "_PROGRAM", program)
        assert words in refused(pdf() + b"%" * number)  # another file each time: none is remembered


@pytest.mark.parametrize(
    "changed",
    [
        {"2_000_000_000": "1_000_000"},
        {"SECONDS = 60": "SECONDS = 1", "import pypdfium2_raw as pdfium": "while True: pass"},
    ],
)
def test_a_page_that_takes_too_much_memory_or_time_is_a_notice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, changed: dict[str, str]
) -> None:
    """The program as it is, but with a megabyte; and one that never ends, with a second of the processor."""
    text = module._PROGRAM.read_text(encoding="utf-8")
    for words, others in changed.items():
        assert text.count(words) == 1
        text = text.replace(words, others)
    program = tmp_path / "draw.py"
    program.write_text(text, encoding="utf-8")
    monkeypatch.setattr(module, "_PROGRAM", program)
    assert "too much time or memory" in refused(pdf() + f"% {len(changed)}, of this test alone".encode())


def test_a_picture_inside_that_says_to_be_huge() -> None:
    """60000 by 60000 points in three colours, ten gigabytes: of what is not there nothing is kept."""
    with pikepdf.new() as held:
        held.add_blank_page(page_size=A4)
        image = held.make_stream(
            b"\0" * 100, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=60000, Height=60000,
            ColorSpace=pikepdf.Name.DeviceRGB, BitsPerComponent=8,
        )  # fmt: skip
        held.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(I=image))
        held.pages[0].Contents = held.make_stream(b"595 0 0 842 0 0 cm /I Do")
        made = io.BytesIO()
        held.save(made)
    assert drawn_or_told(made.getvalue())


def test_spoiled_files_are_drawn_or_told() -> None:
    """Sixteen files with bytes written over, the same each time: the library makes words or a picture of them."""
    draws = np.random.default_rng(7)
    sound, ends = pdf(), {True: 0, False: 0}
    for _ in range(16):
        data = bytearray(sound)
        for at in draws.integers(0, len(data), draws.integers(1, 40)):
            data[at] = int(draws.integers(0, 256))
        ends[drawn_or_told(bytes(data))] += 1
    assert min(ends.values()) > 0, ends


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_scan_made_small(kind: str) -> None:
    out = io.BytesIO()
    scan = Image.new("RGB", (1000, 2000), "white")
    scan.paste("black", (0, 0, 500, 1000))
    scan.save(out, kind)
    picture = opened(first_page(out.getvalue(), {"PNG": "png", "JPEG": "jpg"}[kind], "a"))
    assert picture.size == (200, 400)
    assert (grey(picture, 0.25, 0.25) < 5, grey(picture, 0.75, 0.75) > 250) == (True, True)


def test_a_clear_drawing_lies_on_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (100, 50), (0, 0, 0, 0)).save(out, "PNG")
    picture = opened(first_page(out.getvalue(), "png", "a"))
    assert picture.size == (100, 50)
    assert grey(picture, 0.5, 0.5) == 255


def test_the_program_that_draws_needs_nothing_of_the_package() -> None:
    """It is started apart from the surroundings: neither its folder nor PYTHONPATH is looked in."""
    command = [sys.executable, "-I", str(module._PROGRAM), "50"]
    done = subprocess.run(command, input=pdf(), capture_output=True, check=True)
    assert struct.unpack(">II", done.stdout[:8]) == (35, 50)
    assert "buildbook" not in module._PROGRAM.read_text(encoding="utf-8").replace("import nothing of", "")
