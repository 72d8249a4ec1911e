"""No line of page or print ends inside a unit, or between a number and its unit."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pypdfium2
import pytest

from buildbook.render.pdf import book_pdf, print_styles
from buildbook.render.units import SHORT, spaces_apart, unbroken
from tests.render.site_reader import read_page


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("at most 2 mm/s.", ["2 mm/s"]),
        ("2.46 ± 0.29 mm/s; at most 2 mm/s", ["2.46 ± 0.29 mm/s", "2 mm/s"]),
        ("velocity in mm/s and mass in g/m²", ["mm/s", "g/m²"]),
        ("−0.130 ± 0.021 mm (0.95 R)", ["−0.130 ± 0.021 mm", "0.95 R"]),
        ("a ratio of 0.867 ± 0.037.", ["0.867 ± 0.037"]),
        ("2026-03-20 10:30 to 13:00, closed 2026-05-26.", ["2026-03-20 10:30", "2026-05-26"]),
        (
            "Reports NCR-V1 and NCR-P4 (DN-014), by VP-01; COA-12/14, ILAC-G8",
            ["NCR-V1", "NCR-P4", "DN-014", "VP-01", "COA-12/14", "ILAC-G8"],
        ),
        ("hull XX-EXY00007H526", ["XX-EXY00007H526"]),
        ("10 to 35 °C, 95 %", ["35 °C", "95 %"]),
        ("20\u00a0µm", ["20\u00a0µm"]),
        ("at 1127 r/min", ["1127 r/min"]),
        ("64 s at 1024 samples a second", ["64 s"]),
        ("9 per dm²", ["9 per dm²"]),
    ],
)
def test_numbers_keep_their_units(text: str, kept: list[str]) -> None:
    assert re.findall(r'<span class="unit">(.*?)</span>', unbroken(f"<p>{text}</p>")) == kept


@pytest.mark.parametrize(
    "text",
    [
        "vibration/records.csv",
        "trial/runs.csv:6",
        "port/starboard",
        "3 mains, 5 mounts, 2 sides",
        "B3 module",
        "vibration/raw/VM-01.pdf",
        "12026-03-20",
        "re-finish, Z3-again",
        "the 12 goods of m/stores",
    ],
)
def test_what_is_no_unit_is_left_alone(text: str) -> None:
    assert unbroken(f"<p>{text}</p>") == f"<p>{text}</p>"


def test_text_stays_and_what_is_no_text_is_left_alone() -> None:
    page = '<title>2 mm/s</title><p title="2 mm/s">2 mm/s</p><svg><text>2 mm/s</text></svg><style>a{b:2 mm}</style>'
    made = unbroken(page)
    assert made.replace('<span class="unit">', "").replace("</span>", "") == page
    assert made.count("span class") == 1


def test_the_short_element_and_the_rows_of_the_evidence() -> None:
    text = "<td>2 mm on 2026-03-20</td>"
    assert unbroken(text, around=SHORT) == "<td><n-b>2 mm</n-b> on <n-b>2026-03-20</n-b></td>"
    assert unbroken(text, names=False, around=SHORT) == "<td><n-b>2 mm</n-b> on 2026-03-20</td>"


def test_every_page_keeps_its_units(pages: Mapping[str, str]) -> None:
    for name in ("index.html", "coating.html", "exceptions.html"):
        assert re.search(r"<n-b>[0-9.]+ ± [0-9.]+ µm</n-b>", pages[name]), name
        assert read_page(pages[name]).faults == []


def lines(text: str, sheet: str) -> list[str]:
    """The lines of one printed page."""
    sheets = "".join(f'<link rel="stylesheet" href="style/{name}">' for name in ("theme.css", "shared.css", "own.css"))
    document = f'<html lang="en"><head><title>t</title>{sheets}</head><body>{text}</body></html>'
    raw = book_pdf(document, {**print_styles(), "style/own.css": sheet.encode()}, (), None)
    opened = pypdfium2.PdfDocument(raw)
    try:
        return str(opened[0].get_textpage().get_text_range()).split("\r\n")
    finally:
        opened.close()


def test_a_narrow_line_does_not_part_a_unit_in_print() -> None:
    """Set in a column so narrow that every space and stroke would be a place to break."""
    sheet = '@page { size: 60mm 120mm; margin: 5mm } p { width: 6mm; font: 8pt "IBM Plex Sans" }'
    words = "<p>it is 2.46 mm/s or a lot of it at most 12 mm/s</p>"
    assert {"mm/", "2.46"} & set(lines(words, sheet))  # so narrow is it
    assert {"2.46 mm/s", "12 mm/s"} <= set(lines(unbroken(words), sheet))


def test_words_that_fill_their_line_before_a_value_are_not_parted_after_the_first() -> None:
    """Each width from where the words do not fit to where their last space does; a first word alone is what is looked
    for."""
    said = unbroken("<p>Gloss at 60°, Foredeck and side-deck coamings (Z4): 85.9 ± 1.2 GU</p>")

    def alone(text: str) -> list[float]:
        start, end = text.index("<p>") + len("<p>"), len("</p>")
        widths = [64.0 + step / 5.0 for step in range(40)]
        told = "".join(f'<p style="width: {width}mm">{text[start:-end]}</p>' for width in widths)
        sheet = '@page { size: 90mm 900mm; margin: 5mm } p { margin: 0; font: 8pt "IBM Plex Sans" }'
        found = lines(told, sheet)
        assert sum(line.startswith("Gloss") for line in found) == len(widths)
        return [width for width, line in zip(widths, (it for it in found if it.startswith("Gloss")), strict=True)
                if line.strip() == "Gloss"]  # fmt: skip

    assert alone(said), "what is mended here is still there to be mended"
    assert alone(spaces_apart(said)) == []
