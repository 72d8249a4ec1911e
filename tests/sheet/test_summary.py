"""The summary: counted, neutral, shorter where there is less to say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.hull import Hull
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.summary import MOST_WORDS, count_words, summary
from buildbook.sheet.words import SummaryLine, words
from tests.sample_book import book as sample
from tests.sheet.small_sheet import PASSES, small_book


def length(lines: tuple[str, ...]) -> int:
    return count_words(" ".join(lines))


def test_the_synthetic_book_has_120_to_150_words():
    assert 120 <= length(sample().listing.summary) <= MOST_WORDS == 150


def test_a_folder_that_knows_little_gets_a_short_summary_and_never_a_padded_one():
    book = small_book(*PASSES)
    bare = replace(book, hull=Hull(), counts=(), chapters=())
    short = listing(bare, words(templates_dir())).summary
    assert length(short) < 120
    assert bare.in_short in short
    assert "This is an extract from the builder's own records, not a survey." in short


def test_lines_that_must_stay_stay_and_others_go_when_150_words_are_reached():
    lines = (
        SummaryLine("a " * 100),
        SummaryLine("b " * 60),
        SummaryLine("{gone} is left out"),
        SummaryLine("c " * 10),
        SummaryLine("{always}", always=True),
    )
    made = summary(lines, {"always": "d " * 40, "gone": ""})
    assert [line[0] for line in made] == ["a", "c", "d"]
    assert length(made) == 150
    long = summary(lines, {"always": "d " * 400, "gone": ""})
    assert [line[0] for line in long] == ["d"]


def test_a_slot_that_nobody_fills_is_a_mistake_of_the_wording():
    with pytest.raises(KeyError, match="nobody"):
        summary((SummaryLine("{nobody}"),), {})


def test_the_line_of_exceptions_stands_first_on_the_sheet_and_again_in_the_summary():
    book = sample()
    assert book.listing.exceptions.startswith(book.in_short)
    assert "1 entry of the folder could not be read or used." in book.listing.exceptions
    assert book.in_short in book.listing.summary
    assert book.listing.opened[0].state == "open today"
    assert book.listing.opened[0].number == len([it for it in book.matters if it.state == "open today"])
