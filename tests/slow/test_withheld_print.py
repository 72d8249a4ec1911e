"""What is withheld is nowhere in the printed book either: pages, pictures, attached files, any stream of the file."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from buildbook.pipeline import make_book, write_book
from tests.parcel.held_ways import MARKER, SIZE, WITHHOLD, named_twice, opened, shown
from tests.parcel.small_hull import edit, everything

pytestmark = pytest.mark.slow


def in_print(hull: Path, path: Path) -> list[str]:
    """Where a PDF shows what is withheld."""
    with pikepdf.open(path) as pdf:
        attached = {name: spec.get_file().read_bytes() for name, spec in pdf.attachments.items()}
        assert {"book.json", "SHA256SUMS"} <= set(attached)
        found = [f"attached {name}" for name in shown(hull, attached)]
        for item in pdf.objects:
            if isinstance(item, pikepdf.Stream):
                if (int(item.get("/Width", 0)), int(item.get("/Height", 0))) == SIZE:
                    found.append("picture")
                elif item.get("/Subtype") != "/Image" and MARKER.encode() in item.read_bytes():
                    found.append("stream")
    pages = pypdfium2.PdfDocument(path)
    found += [f"page {at}" for at, page in enumerate(pages, 1) if MARKER in page.get_textpage().get_text_bounded()]
    pages.close()
    return found


@pytest.mark.parametrize("held", [True, False])
def test_nothing_is_shown_in_print(tmp_path: Path, held: bool) -> None:
    """With nothing withheld the same search finds it: attached, as a picture, and in a stream."""
    hull, out = named_twice(tmp_path / "hull"), tmp_path / "out"
    if not held:
        edit(hull / "hull.toml", WITHHOLD, "withhold = []")
    written = write_book(make_book(hull), hull, out)
    found = in_print(hull, out / written.pdf)
    if held:
        assert found == []
        assert shown(hull, opened(everything(out))) == []
    else:
        assert {"attached coating/batches.csv", "attached book.json", "picture", "stream"} <= set(found)
