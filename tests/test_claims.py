"""The yard's own words held against the banned words: a notice with its place, nothing altered, nothing judged."""

from __future__ import annotations

import unicodedata
from pathlib import Path

from fontTools.ttLib import TTFont

from buildbook.core.fault import Severity
from buildbook.pipeline import make_book
from buildbook.render.templates import fonts_dir
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import copied


def test_the_demonstration_makes_no_claim() -> None:
    said = [str(fault) for fault in demonstration().book.faults]
    assert [words for words in said if "words that a reading can bear out" in words] == []


def test_a_claim_is_told_with_its_column_and_stays_as_it_was_written(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    notes = hull / "nonconformities.csv"
    text = notes.read_text(encoding="utf-8")
    work = "readings of the port side"
    assert text.count(work) == 1
    notes.write_text(text.replace(work, "certified readings of the finest side"), encoding="utf-8")
    toml = hull / "hull.toml"
    toml.write_text(toml.read_text(encoding="utf-8") + "# a flawless hull\n", encoding="utf-8")
    book, sound = make_book(hull).book, demonstration().book
    told = [fault for fault in book.faults if fault not in sound.faults]
    assert {fault.severity for fault in told} == {Severity.NOTICE}
    words = sorted((fault.where.file, fault.where.column, fault.found.split("'")[1]) for fault in told)
    assert words[0][0::2] == ("hull.toml", "flawless")
    assert [word for *_, word in words[1:]] == ["certified", "finest"]
    assert len({column for _, column, _ in words[1:]}) == 1
    assert told[0].where.line == len(toml.read_text(encoding="utf-8").splitlines())
    assert "a buyer can hold the yard to it" in told[1].effect
    assert any("ertified readings of the finest side" in str(report) for report in book.reports)
    assert [item.finding.verdict for item in book.exceptions] == [item.finding.verdict for item in sound.exceptions]


def test_a_claim_in_columns_toml_is_told_with_its_line(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    (hull / "columns.toml").write_text("# heads\n# of a flawless hull\n", encoding="utf-8")
    (told,) = [fault for fault in make_book(hull).book.faults if fault.where.file == "columns.toml"]
    assert (told.where.line, told.severity) == (2, Severity.NOTICE)
    assert "'flawless'" in told.found


def test_signs_that_no_page_shows_are_told_with_their_place(tmp_path: Path) -> None:
    """Invented names: a turned one, an unseen one, and one in letters that the shipped type has not."""
    hull = copied(tmp_path / "hull")
    toml = hull / "hull.toml"
    text = toml.read_text(encoding="utf-8")
    (name,) = [line for line in text.splitlines() if line.startswith("name =")]
    toml.write_text(text.replace(name, 'name = "\u6e38\u8247 \u03a9 Example"', 1), encoding="utf-8")
    places = hull / "places.csv"
    table = places.read_text(encoding="utf-8")
    assert table.count("Topsides, port") == 1
    places.write_text(table.replace("Topsides, port", "Topsides,\u200b \u202eport"), encoding="utf-8")
    book, sound = make_book(hull).book, demonstration().book
    told = [fault for fault in book.faults if fault not in sound.faults]
    assert {fault.severity for fault in told} == {Severity.NOTICE}
    assert [(fault.where.file, fault.where.column) for fault in told] == [("hull.toml", ""), ("places.csv", "name")]
    assert told[0].where.line == text.splitlines().index(name) + 1
    assert "empty boxes: \u6e38\u8247" in told[0].found
    assert "U+200B (zero width space), U+202E (right-to-left override)" in told[1].found


def test_every_shipped_face_has_the_letters_of_the_languages_of_western_and_middle_europe() -> None:
    """Basic Latin, Latin-1 and Latin Extended-A of the Unicode Standard are never looked up in the faces."""
    for path in sorted(fonts_dir().glob("*.woff2")):
        known = set(TTFont(path).getBestCmap())
        printable = {code for code in range(0x20, 0x180) if unicodedata.category(chr(code)) not in ("Cc", "Cf", "Cn")}
        assert [chr(code) for code in sorted(printable - known)] == [], path.name
