"""Names of the yard's own stay as they were received, however short. The folder is the invented demonstration."""

from __future__ import annotations

from pathlib import Path

from buildbook.core.shown_units import ShownUnits
from buildbook.pipeline import make_book
from buildbook.restated.book import restated
from tests.end_to_end.spoiling import Sheet, copied

NAMES = {"L1": "S2, 16 mm", "Z1": "Bü 16 mm"}


def test_a_short_name_with_a_figure_stays_in_subjects_and_drawings(tmp_path: Path) -> None:
    folder = copied(tmp_path / "hull")
    sheet = Sheet.read(folder / "places.csv")
    place, name = sheet.names.index("place"), sheet.names.index("name")
    for row in sheet.body:
        row[name] = NAMES.get(row[place], row[name])
    sheet.write()
    book = restated(make_book(folder, shown=ShownUnits.US).book)
    for key, named in NAMES.items():
        subjects = [item.subject for item in book.governing if item.finding.key.place == key]
        assert subjects
        assert [subject for subject in subjects if named not in subject] == []
        drawn = {line.name for drawing in book.drawings for line in drawing.lines if line.place == key}
        assert named in drawn
        assert [name for name in drawn if named not in name] == []
    assert "0.63 in" not in "".join(item.subject for item in book.governing)
