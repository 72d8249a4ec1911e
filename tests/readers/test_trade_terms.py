"""The words of the trade in other languages: the file itself, and how a head is read with it.

The words are from memory, so that no outside source is held against them; what is held is that they are of use.
"""

from __future__ import annotations

import csv
import re

from buildbook.chapters import TABLES
from buildbook.readers.choices import choices_of
from buildbook.readers.trade_terms import FILE, readings, senses, words_in


def rows() -> list[dict[str, str]]:
    with FILE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_word_of_ours_stands_in_a_head_or_is_a_choice():
    columns = [item for kind in TABLES for item in kind.columns().items()]
    known = {word for name, _ in columns for word in name.split("_")}
    known |= {choice for _, info in columns for choice in choices_of(info).choices} | {"yes", "no"}
    assert [row["ours"] for row in rows() if row["ours"] not in known] == []


def test_each_word_stands_there_once_and_has_a_term_in_every_language():
    ours = [row["ours"] for row in rows()]
    assert ours == sorted(set(ours))
    for row in rows():
        assert all(row[language] for language in ("German", "Italian", "French", "Dutch", "Spanish")), row["ours"]
        assert all(term == term.strip() and term for cell in row.values() for term in cell.split("/") if cell), row


def test_a_term_is_written_in_letters():
    for row in rows():
        for cell in row.values():
            assert re.fullmatch(r"[^\d,;]*", cell), cell


def test_accents_capitals_and_spellings_of_umlauts_do_not_count():
    assert words_in("Öffnung") == words_in("OEFFNUNG") == words_in("offnung")
    assert {one.words for one in senses(words_in("Haerte")[0])} == {("hardness",)}
    assert words_in("GlühRückstand-2") == ("gluh", "ruckstand")


def test_a_compound_is_read_by_its_parts_and_by_its_end():
    assert ("resin", "mass") in {one.words for one in readings("Harzgewicht")}
    assert ("air", "temperature") in {one.words for one in readings("Lufttemperatur")}
    assert any(one.words == ("pruf", "day") for one in readings("Prüfdatum"))
    assert [one.words for one in readings("Xylophon")] == [("xylophon",)]


def test_a_head_is_read_in_one_language_at_a_time():
    for one in readings("Charge Harz"):
        assert one.words in {("charge", "harz"), ("batch", "resin"), ("batch", "harz"), ("load", "harz")}
