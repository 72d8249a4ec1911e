"""Invented documents as files: two PDF sheets, two drawings, a scanned page; and what each of them supports."""

from __future__ import annotations

import io
from datetime import date

import numpy as np
import pikepdf
from PIL import Image, ImageDraw

from buildbook.chapters.register.records import Document, Support
from demo_build.evidence_maker.pictures import GREY, INK, PAPER, TINT, WARM, font
from demo_build.evidence_maker.tables import here, paper

INVENTED = "INVENTED for a demonstration: no such document exists."
CERTIFICATE, LAY_UP, SHAFTS, PLAN, SHEET = "ECL-25-1181", "DWG-201", "DWG-300", "VP-01", "WS-041"

DOCUMENTS = (
    paper(
        CERTIFICATE,
        "Calibration certificate, thermo-hygrometer TH-01",
        "1",
        date(2025, 9, 12),
        "Example Calibration Laboratory",
        file=f"documents/{CERTIFICATE}.pdf",
        kind="calibration certificate",
    ),
    paper(
        SHEET,
        "Work sheet: plies counted on coupon C-01",
        "1",
        date(2025, 10, 31),
        file=f"documents/{SHEET}.png",
        kind="scanned sheet",
    ),
)

_CERTIFICATE = (
    ("Example Calibration Laboratory", 16),
    (INVENTED, 11),
    ("", 11),
    (f"Calibration certificate {CERTIFICATE}", 14),
    ("", 11),
    ("Instrument: thermo-hygrometer, logging, TH-01, serial number 004111", 11),
    ("Calibrated: 2025-09-12. Next calibration due: 2026-09-12.", 11),
    ("", 11),
    ("Air temperature, -10 to 60 degC: U = 0.4 degC, k = 2", 11),
    ("Relative humidity, 5 to 95 %: U = 2.5 %, k = 2", 11),
    ("", 11),
    ("Compared in a chamber with the laboratory's own references at five temperatures", 11),
    ("and five humidities. The larger of the five differences is part of U.", 11),
)
_PLAN = (
    ("Example Yard", 16),
    (INVENTED, 11),
    ("", 11),
    (f"Vibration plan {PLAN}, revision A, 2026-04-27", 14),
    ("EXY 62 demonstration", 11),
    ("", 11),
    ("4.2  Above the propellers (V4, V5) the unweighted level at blade rate is at most", 11),
    ("     5.0 mm/s at full speed.", 11),
    ("", 11),
    ("4.4  No speed she is used at lies on a hump of the level over the shaft speed.", 11),
)


def with_files(documents: tuple[Document, ...]) -> tuple[Document, ...]:
    """The list of documents with the files that are there, and the documents that only exist as files."""
    held = {
        LAY_UP: (f"documents/{LAY_UP}.png", "drawing"),
        SHAFTS: (f"documents/{SHAFTS}.png", "drawing"),
        PLAN: (f"documents/{PLAN}.pdf", "plan"),
    }
    listed = tuple(
        row.model_copy(update=dict(zip(("file", "kind"), held[row.document], strict=True)))
        if row.document in held
        else row
        for row in documents
    )
    return (*listed, *DOCUMENTS)


def supports() -> tuple[Support, ...]:
    """What each of these documents supports."""
    links: tuple[dict[str, object], ...] = (
        {"document": CERTIFICATE, "instrument": "TH-01"},
        {"document": CERTIFICATE, "table_file": "instruments.csv", "row_key": "TH-01; relative humidity"},
        {"document": LAY_UP, "check": "LAM-04", "quantity": "plies counted"},
        {"document": SHAFTS, "table_file": "vibration/machinery.csv", "row_key": "SCR-P"},
        {"document": PLAN, "clause": "4.2"},
        {"document": PLAN, "clause": "4.4"},
        {"document": SHEET, "table_file": "laminate/ply_counts.csv", "row_key": "C-01; 1"},
        {"document": SHEET, "check": "LAM-04", "place": "L1"},
        {"document": PLAN, "table_file": "vibration/positions.csv", "row_key": "whole table"},
    )
    return tuple(
        Support.model_validate({"where": here(Support), "link": f"S-{number:02d}", **link})
        for number, link in enumerate(links, start=1)
    )


def files() -> dict[str, bytes]:
    """Every document file by its name in the folder."""
    return {
        f"documents/{CERTIFICATE}.pdf": _pdf(_CERTIFICATE),
        f"documents/{PLAN}.pdf": _pdf(_PLAN),
        f"documents/{LAY_UP}.png": _lay_up(),
        f"documents/{SHAFTS}.png": _shafts(),
        f"documents/{SHEET}.png": _scan(),
    }


def _pdf(lines: tuple[tuple[str, int], ...]) -> bytes:
    """One page of text, in a typeface that every viewer has."""
    shown, height = [], 780
    for words, size in lines:
        escaped = words.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
        shown.append(f"BT /F {size} Tf 60 {height} Td ({escaped}) Tj ET")
        height -= round(size * 1.8)
    made = io.BytesIO()
    with pikepdf.new() as pdf:
        face = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
        page = pikepdf.Dictionary(
            Type=pikepdf.Name.Page,
            MediaBox=[0, 0, 595, 842],
            Resources=pikepdf.Dictionary(Font=pikepdf.Dictionary(F=face)),
            Contents=pdf.make_stream("\n".join(shown).encode("ascii")),
        )
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
        pdf.save(made, deterministic_id=True, compress_streams=False)
    return made.getvalue()


def _png(image: Image.Image, colours: int) -> bytes:
    made = io.BytesIO()
    image.quantize(colours, dither=Image.Dither.NONE).save(made, "PNG", optimize=True)
    return made.getvalue()


def _sheet(number: str, title: str) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    image = Image.new("RGB", (1190, 842), PAPER)
    drawn = ImageDraw.Draw(image)
    drawn.rectangle((20, 20, 1170, 822), outline=INK, width=3)
    drawn.rectangle((640, 730, 1170, 822), outline=INK, width=3)
    drawn.text((660, 752), f"{number}  {title}", INK, font(22, "SemiBold"), anchor="lm")
    drawn.text((660, 796), INVENTED, INK, font(18), anchor="lm")
    return image, drawn


def _shafts() -> bytes:
    image, drawn = _sheet(SHAFTS, "Shaft lines, revision C")
    for top, side in ((180, "port"), (450, "starboard")):
        drawn.line((200, top + 60, 1040, top + 100), fill=INK, width=10)
        drawn.rectangle((90, top, 240, top + 110), fill=TINT, outline=INK, width=3)
        drawn.rectangle((240, top + 30, 320, top + 100), fill=WARM, outline=INK, width=3)
        drawn.rectangle((640, top + 40, 760, top + 130), outline=GREY, width=3)
        drawn.ellipse((1020, top + 30, 1080, top + 170), outline=INK, width=4)
        for at, words in ((165, "engine"), (280, "gearbox"), (700, "tunnel"), (1050, "propeller")):
            drawn.text((at, top + 190), words, INK, font(20), anchor="mm")
        drawn.text((90, top - 26), f"{side} shaft line, 70 mm, not to scale", INK, font(22), anchor="lm")
    return _png(image, 16)


def _lay_up() -> bytes:
    image, drawn = _sheet(LAY_UP, "Lay-up schedule, revision D")
    for ply in range(11):
        top = 110 + 48 * ply
        drawn.rectangle((90, top, 640, top + 34), fill=WARM if ply % 2 else TINT, outline=INK, width=2)
        drawn.text((670, top + 17), f"ply {ply + 1}", INK, font(22), anchor="lm")
    drawn.text((90, 70), "Hull bottom, single skin, from the mould, not to scale", INK, font(22), anchor="lm")
    return _png(image, 16)


def _scan() -> bytes:
    """A page filled in by hand, laid askew on the glass, with the grain of the paper."""
    page = Image.new("L", (620, 877), 236)
    drawn = ImageDraw.Draw(page)
    drawn.text((60, 70), f"Work sheet {SHEET}", 40, font(26, "SemiBold"))
    drawn.text((60, 110), INVENTED, 60, font(15))
    lines = ("coupon C-01, zone L1, single skin", "plies lifted off one by one, magnifier 10x")
    for number, words in enumerate((*lines, "reader 1: QA KL, 31 Oct, 09:03", "reader 2: QA RT, 31 Oct, 09:06")):
        drawn.text((60, 180 + 48 * number), words, 70, font(20))
        drawn.line((60, 212 + 48 * number, 560, 212 + 48 * number), fill=160)
    for reader in range(2):
        for ply in range(11):
            left, top = 70 + 32 * ply + 8 * (ply // 5), 430 + 110 * reader
            drawn.line((left, top, left + (18 if ply % 5 == 4 else 4), top + 52), fill=50, width=3)
        drawn.text((480, 440 + 110 * reader), "= 11", 50, font(30))
    turned = page.rotate(0.8, Image.Resampling.BILINEAR, fillcolor=200)
    grain = np.random.default_rng(41).normal(0.0, 3.0, (877, 620))
    grey = np.clip(np.asarray(turned, dtype=float) + grain, 0, 255)
    return _png(Image.fromarray((np.round(grey / 24.0) * 24.0).clip(0, 255).astype(np.uint8)).convert("RGB"), 12)
