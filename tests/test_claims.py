"""The yard's own words held against the banned words: a notice with its place, nothing altered, nothing judged."""

from __future__ import annotations

from pathlib import Path

from buildbook.core.fault import Severity
from buildbook.pipeline import make_book
from tests.end_to_end.spoiling import HULL, copied


def test_the_demonstration_makes_no_claim() -> None:
    said = [str(fault) for fault in make_book(HULL).book.faults]
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
    book, sound = make_book(hull).book, make_book(HULL).book
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
