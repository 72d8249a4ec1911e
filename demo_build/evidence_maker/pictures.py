"""Drawings in place of photographs, each with the words DRAWING, NOT A PHOTOGRAPH in it."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT = 1200, 800
PAPER, INK, GREY, WATER, TINT, WARM = "#f7f4ec", "#22303a", "#7b858b", "#8fb7cc", "#d9dfe0", "#c8a16a"
_FONTS = Path(__file__).parents[2] / "templates" / "theme" / "fonts"

Captions = dict[str, tuple[str, str, str | None, str, str]]

CAPTIONS: Captions = {
    "water-film.png": (
        "Left, water runs off in one sheet; right, what a waxy spot would do to it",
        "Drawing of two panels under water: on the left an unbroken film, on the right a film broken into beads",
        "Z1",
        "03-13",
        "COA-02",
    ),
    "grit-sequence.png": (
        "Scratches of the four grades used on the high-build primer and undercoat, to one scale",
        "Drawing of four strips with scratches that become finer from P180 to P240, P320 and P400",
        "Z2",
        "03-23",
        "COA-03",
    ),
    "pull-off-section.png": (
        "Where the dolly parted: B is inside the high-build primer, B/C between it and the undercoat",
        "Drawing of a section through dolly, glue, topcoat, undercoat, primer and gelcoat, with letters A to Z",
        "Z4",
        "04-08",
        "COA-10",
    ),
    "thin-edge.png": (
        "Transom, first survey: the two readings below 224 µm lie along the port edge",
        "Drawing of the transom with fifteen marks; two at the port edge are marked as too thin",
        "Z3",
        "03-25",
        "COA-08",
    ),
    "dust-count.png": (
        "One square decimetre of the coaming with its eight grains ringed",
        "Drawing of a square of ten by ten centimetres with eight small grains, each in a ring",
        "Z4",
        "04-08",
        "COA-12",
    ),
    "hold-point-tag.png": (
        "Tag on a zone that waits for release: no paint is mixed before it is signed",
        "Drawing of a hanging tag with the words hold point, zone, released by and date",
        "Z6",
        "03-11",
        "REG-02",
    ),
}


@cache
def font(size: int, weight: str = "Regular") -> ImageFont.FreeTypeFont:
    """The typeface of the book in one size."""
    return ImageFont.truetype(str(_FONTS / f"IBMPlexSans-{weight}.ttf"), size)


def pictures() -> dict[str, bytes]:
    """Every drawing as a PNG file."""
    draw: dict[str, Callable[[ImageDraw.ImageDraw], None]] = {
        "water-film.png": _water_film,
        "grit-sequence.png": _grits,
        "pull-off-section.png": _section,
        "thin-edge.png": _thin_edge,
        "dust-count.png": _dust,
        "hold-point-tag.png": _tag,
    }
    return {f"photographs/{file}": picture(painter) for file, painter in draw.items()}


def picture(painter: Callable[[ImageDraw.ImageDraw], None]) -> bytes:
    """One drawing as a PNG file, with the words that say what it is."""
    image = Image.new("RGB", (WIDTH, HEIGHT), PAPER)
    sheet = ImageDraw.Draw(image)
    painter(sheet)
    sheet.rectangle((0, HEIGHT - 64, WIDTH, HEIGHT), fill=INK)
    words = "DRAWING, NOT A PHOTOGRAPH · invented yacht"
    sheet.text((WIDTH / 2, HEIGHT - 32), words, PAPER, font(30, "SemiBold"), anchor="mm")
    buffer = io.BytesIO()
    image.quantize(32, dither=Image.Dither.NONE).save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def _label(sheet: ImageDraw.ImageDraw, at: tuple[float, float], words: str, anchor: str = "lm", size: int = 28) -> None:
    sheet.text(at, words, INK, font(size), anchor=anchor)


def _water_film(sheet: ImageDraw.ImageDraw) -> None:
    rng = np.random.default_rng(11)
    for left, words in ((60, "film holds: clean"), (630, "film breaks: wax left")):
        sheet.rectangle((left, 90, left + 510, 640), fill="#ffffff", outline=INK, width=3)
        _label(sheet, (left + 255, 686), words, "mm")
    sheet.rectangle((66, 96, 564, 634), fill=WATER)
    for n in range(9):
        at = 96 + 54 * n
        sheet.line([(at, 110), (at - 8, 300), (at + 6, 470), (at, 622)], fill="#a9cadb", width=4)
    sheet.polygon([(636, 96), (1134, 96), (1134, 250), (1010, 300), (900, 236), (790, 318), (636, 240)], fill=WATER)
    for _ in range(46):
        x, y, r = rng.uniform(665, 1105), rng.uniform(345, 605), rng.uniform(7, 21)
        sheet.ellipse((x - r, y - r, x + r, y + r * 1.15), fill=WATER, outline="#6f9cb4", width=2)
    _label(sheet, (60, 50), "Water-break check, watched for a minute or more")


def _grits(sheet: ImageDraw.ImageDraw) -> None:
    rng = np.random.default_rng(12)
    _label(sheet, (60, 50), "Scratches of each grade, to one scale")
    for n, (grade, size) in enumerate((("P180", 82.0), ("P240", 58.5), ("P320", 46.2), ("P400", 35.0))):
        top = 100 + 154 * n
        sheet.rectangle((250, top, 1140, top + 120), fill="#ffffff", outline=INK, width=2)
        _label(sheet, (60, top + 42), grade, size=34)
        _label(sheet, (60, top + 84), f"{size:g} µm", size=26)
        for _ in range(int(5200 / size)):
            x, y, run = rng.uniform(256, 1040), rng.uniform(top + 8, top + 112), rng.uniform(40, 94)
            sheet.line((x, y, x + run, y + rng.uniform(-3, 3)), fill=GREY, width=max(1, round(size / 14)))


def _section(sheet: ImageDraw.ImageDraw) -> None:
    _label(sheet, (60, 50), "Pull-off dolly, 20 mm, in section (layers not to scale)")
    sheet.rectangle((420, 140, 780, 300), fill=TINT, outline=INK, width=3)
    sheet.rectangle((570, 96, 630, 140), fill=TINT, outline=INK, width=3)
    layers = (
        ("Y   glue", 300, 330, "#e9d9a7"),
        ("D   topcoat", 330, 390, "#ffffff"),
        ("C   undercoat", 390, 450, "#dfe7ea"),
        ("B   high-build primer", 450, 560, WARM),
        ("A   gelcoat and laminate", 560, 690, "#b9c7b5"),
    )
    for words, top, bottom, fill in layers:
        left, right = (420, 780) if top < 450 else (120, 1080)
        sheet.rectangle((left, top, right, bottom), fill=fill, outline=INK, width=2)
        _label(sheet, (810, (top + bottom) / 2) if top < 450 else (140, (top + bottom) / 2), words, size=26)
    crack = [(420, 470), (470, 506), (530, 482), (600, 520), (660, 490), (720, 526), (780, 478)]
    sheet.line(crack, fill="#8a2b1f", width=6)
    _label(sheet, (1060, 500), "parted here: B", "rm", 26)


def _thin_edge(sheet: ImageDraw.ImageDraw) -> None:
    _label(sheet, (60, 50), "Transom from astern, fifteen readings of the first survey")
    corners = [(110, 140), (1090, 140), (1030, 560), (940, 640), (260, 640), (170, 560)]
    sheet.polygon(corners, fill="#ffffff", outline=INK)
    for n in range(15):
        x, y = 200 + 200 * (n % 5) + (20 if n // 5 == 1 else 0), 220 + 160 * (n // 5)
        thin = n in (5, 10)
        fill = "#8a2b1f" if thin else WATER
        x = {5: 176, 10: 206}.get(n, x)
        sheet.ellipse((x - 16, y - 16, x + 16, y + 16), fill=fill, outline=INK, width=2)
        if thin:
            _label(sheet, (x + 28, y), f"{206 if n == 5 else 213} µm", size=26)
    _label(sheet, (110, 690), "port", "lm", 26)
    _label(sheet, (1090, 690), "starboard", "rm", 26)


def _dust(sheet: ImageDraw.ImageDraw) -> None:
    rng = np.random.default_rng(15)
    _label(sheet, (60, 50), "Dust inclusions in one square decimetre: 8")
    sheet.rectangle((320, 100, 900, 680), fill="#ffffff", outline=INK, width=3)
    for n in range(1, 10):
        sheet.line((320 + 58 * n, 100, 320 + 58 * n, 114), fill=INK, width=2)
        sheet.line((320, 100 + 58 * n, 334, 100 + 58 * n), fill=INK, width=2)
    for n in range(8):
        x, y = 400 + 140 * (n % 4) + rng.uniform(-40, 40), 240 + 270 * (n // 4) + rng.uniform(-80, 80)
        sheet.ellipse((x - 4, y - 4, x + 4, y + 4), fill=INK)
        sheet.ellipse((x - 22, y - 22, x + 22, y + 22), outline="#8a2b1f", width=3)
    _label(sheet, (610, 712), "10 cm", "mm", 24)


def _tag(sheet: ImageDraw.ImageDraw) -> None:
    sheet.line((600, 0, 600, 130), fill=GREY, width=6)
    sheet.rounded_rectangle((330, 110, 870, 690), 36, fill="#ffffff", outline=INK, width=4)
    sheet.ellipse((582, 128, 618, 164), fill=PAPER, outline=INK, width=4)
    sheet.rectangle((334, 190, 866, 282), fill=WARM)
    sheet.text((600, 236), "HOLD POINT", INK, font(54, "SemiBold"), anchor="mm")
    blank = "____________"
    lines = (
        "Zone: superstructure, starboard",
        "Before: first topcoat",
        f"Released by:  {blank}",
        f"Date, time:  {blank}",
    )
    for n, words in enumerate(lines):
        _label(sheet, (375, 350 + 76 * n), words, size=30)
    _label(sheet, (600, 650), "no mixing before release", "mm", 26)
