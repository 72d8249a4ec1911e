"""Drawings of the slots of both rudder stocks, in place of photographs."""

from __future__ import annotations

from PIL import ImageDraw

from demo_build.evidence_maker.pictures import GREY, INK, TINT, WARM, Captions, font, picture

CAPTIONS: Captions = {
    "slot-r1.png": (
        "Port rudder: the plate of the blade fills the slot of the stock, before the blade was closed",
        "Drawing, not a photograph: a round stock with a slot along it; the plate stands in the slot over its length",
        "R1",
        "03-19",
        "SHA-09",
    ),
    "slot-r2.png": (
        "Starboard rudder: end of the stock, the plate held by solid metal on both sides",
        "Drawing, not a photograph: a round stock from its end, cut across by a slot in which the plate lies",
        "R2",
        "03-19",
        "SHA-09",
    ),
}


def pictures() -> dict[str, bytes]:
    """Both drawings as PNG files."""
    return {"photographs/slot-r1.png": picture(_along), "photographs/slot-r2.png": picture(_across)}


def _words(sheet: ImageDraw.ImageDraw, at: tuple[float, float], words: str, anchor: str = "lm") -> None:
    sheet.text(at, words, INK, font(28), anchor=anchor)


def _along(sheet: ImageDraw.ImageDraw) -> None:
    _words(sheet, (60, 50), "Rudder R1: stock and plate from the side, not to scale")
    sheet.rectangle((560, 110, 690, 660), fill=TINT, outline=INK, width=3)
    sheet.polygon([(240, 260), (1010, 260), (960, 600), (300, 600)], outline=GREY, width=3)
    sheet.rectangle((300, 290, 950, 570), fill=WARM, outline=INK, width=3)
    sheet.rectangle((560, 290, 690, 570), fill="#b58a50", outline=INK, width=3)
    for end in (290, 570):
        sheet.line((540, end, 710, end), fill=INK, width=5)
    sheet.line((730, 290, 730, 570), fill=INK, width=2)
    _words(sheet, (745, 430), "slot 240 mm")
    _words(sheet, (320, 430), "plate 16 mm")
    _words(sheet, (710, 150), "stock 65 mm")


def _across(sheet: ImageDraw.ImageDraw) -> None:
    _words(sheet, (60, 50), "Rudder R2: stock from its end, slot across it, not to scale")
    sheet.ellipse((380, 150, 820, 590), fill=TINT, outline=INK, width=4)
    sheet.rectangle((180, 320, 1020, 420), fill=WARM, outline=INK, width=3)
    for left, side in ((372, 1), (828, -1)):
        for top, lean in ((320, -34), (420, 34)):
            sheet.polygon([(left, top), (left + 34 * -side, top), (left, top + lean)], fill=GREY, outline=INK)
    _words(sheet, (600, 240), "solid metal", "mm")
    _words(sheet, (600, 370), "plate in the slot", "mm")
    _words(sheet, (600, 500), "solid metal", "mm")
    _words(sheet, (860, 470), "weld, keeps it in")
