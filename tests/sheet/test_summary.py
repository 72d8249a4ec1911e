"""The summary: counted, neutral, shorter where there is less to say."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull
from buildbook.core.matter import Matter, State
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.summary import MOST_WORDS, count_words, near_misses, summary
from buildbook.sheet.words import SummaryLine, words
from tests.sample_book import book as sample
from tests.sheet.small_sheet import PASSES, found, put_right, small_book


def length(lines: tuple[str, ...]) -> int:
    return count_words(" ".join(lines))


def test_the_synthetic_book_has_120_to_150_words():
    assert 120 <= length(sample().listing.summary) <= MOST_WORDS == 150


def test_a_folder_that_knows_little_gets_a_short_summary_and_never_a_padded_one():
    book = small_book(*PASSES)
    bare = replace(book, hull=Hull(), counts=(), chapters=())
    short = listing(bare, words(templates_dir())).summary
    assert length(short) < 120
    assert "Still open: no matter on record." in short
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


def test_the_line_of_exceptions_stands_on_the_sheet_and_the_summary_does_not_repeat_it():
    book = sample()
    assert book.listing.exceptions.startswith(book.in_short)
    assert "1 entry of the folder could not be read or used." in book.listing.exceptions
    said = re.split(r"(?<=\.) ", book.listing.exceptions)
    assert set(said) & set(book.listing.summary) == set()
    assert [words for line in book.listing.summary for words in re.split(r"(?<=\.) ", line) if words[0].isdigit()] == []


def test_every_matter_is_named_and_matters_and_findings_are_counted_apart():
    book = sample()
    told = {group.state: group for group in book.listing.opened}
    assert [one.finding for group in book.listing.opened for one in group.told] == [
        it.findings[0] for state in State for it in book.matters if it.state is state
    ]
    still = [it for it in book.matters if it.state is State.OPEN]
    assert told["open today"].matters == len(still)
    assert told["open today"].findings == sum(len(it.findings) for it in still)


def test_what_else_a_matter_shows_in_is_named_with_it():
    matter = replace(put_right("COA-08/1"), also=("Accuracy class: class III (asked for: class I)",))
    sheet = listing(small_book(*PASSES, matters=(matter,)), words(templates_dir()))
    (group,) = sheet.opened
    (one,) = group.told
    assert one.also == matter.also
    assert one.short == "mean film thickness at Z1: 320 ± 10 µm, at least 280 µm, two further coats"
    assert (group.state, group.matters, group.findings, group.close) == ("put right and measured again", 1, 1, False)


@pytest.mark.parametrize(
    ("state", "became", "in_brief", "told", "few"),
    [
        (
            State.PUT_RIGHT,
            "x",
            "After rework: 345 ± 20 µm, pass.",
            "After rework: 345 ± 20 µm, pass",
            ", after rework: 345 ± 20 µm, pass",
        ),
        (
            State.PUT_RIGHT,
            "The folder holds no report of it. Coat added. Looked at again: pass.",
            "",
            "The folder holds no report of it. Coat added. Looked at again: pass",
            ", looked at again: pass",
        ),
        (
            State.DECIDED,
            "She stood ashore. Measured again: 345 ± 20 µm, pass.",
            "Measured again: 345 ± 20 µm, pass.",
            "She stood ashore. Measured again: 345 ± 20 µm, pass",
            ", measured again: 345 ± 20 µm, pass",
        ),
        (
            State.UNDECIDED,
            "Only 5.1 A of 8 A flowed. The full drop is larger.",
            "",
            "Only 5.1 A of 8 A flowed. The full drop is larger",
            " (only 5.1 A of 8 A flowed)",
        ),
        (
            State.UNDECIDED,
            "The measurement is too coarse: nothing could have been shown.",
            "",
            "The measurement is too coarse: nothing could have been shown",
            " (the measurement is too coarse)",
        ),
        (
            State.UNDECIDED,
            "x",
            "Record A-13: the sensor was lost.",
            "Record A-13: the sensor was lost",
            " (record A-13: the sensor was lost)",
        ),
        (State.UNDECIDED, "UT-01 was lost.", "", "UT-01 was lost", " (UT-01 was lost)"),
    ],
)
def test_a_matter_is_told_with_what_was_measured_after_or_why_nothing_is_decided(
    state: State, became: str, in_brief: str, told: str, few: str
):
    """A first reading without the one that came after, or without its reason, reads as if it stood so, or as a pass."""
    matter = Matter(state, "Film: 320 ± 10 µm; at least 280 µm", became, (), ("COA-08/1",), (), in_brief)
    ((one,),) = (group.told for group in listing(small_book(*PASSES, matters=(matter,)), words(templates_dir())).opened)
    assert one.what == f"Film: 320 ± 10 µm; at least 280 µm. {told}"
    assert one.short == f"mean film thickness at Z1: 320 ± 10 µm, at least 280 µm{few}"


def test_a_near_miss_is_told_in_short_without_its_limit_and_without_more():
    matter = Matter(State.CLOSE, "Film: 320 ± 10 µm", "Measured again: 345 ± 20 µm, pass.", (), ("COA-08/1",), ())
    ((one,),) = (group.told for group in listing(small_book(*PASSES, matters=(matter,)), words(templates_dir())).opened)
    assert one.what == "Film: 320 ± 10 µm. Measured again: 345 ± 20 µm, pass"
    assert one.short == "mean film thickness at Z1: 320 ± 10 µm"


def test_an_accepted_report_is_not_counted_as_inside_its_limit():
    close = found("Z3", 285.0, Verdict.CONDITIONAL_PASS)
    accepted = Matter(State.ACCEPTED, "film", "accepted by the builder", (), ("REG-04/1",), ("NCR-1",))
    book = small_book(*PASSES, close, closings=(("NCR-1", Verdict.CONDITIONAL_PASS),), matters=(accepted,))
    assert near_misses(book) == (1, 1)


@pytest.mark.parametrize(("number", "told"), [(1, "film 1."), (2, "film 1. film 2."), (3, "3 matters, named under")])
def test_few_open_matters_are_named_and_many_are_counted(number: int, told: str):
    still = tuple(Matter(State.OPEN, f"film {no}", "", (), (f"COA-08/{no}",), ()) for no in range(1, number + 1))
    lines = listing(small_book(*PASSES, matters=still), words(templates_dir())).summary
    assert any(line.startswith(f"Still open: {told}") for line in lines)


def test_thousands_stand_apart_as_on_the_cover():
    book = small_book(*PASSES)
    heavy = replace(book, hull=replace(book.hull, displacement=34500.0))
    assert any("displacement 34 500 kg" in line for line in listing(heavy, words(templates_dir())).summary)


@pytest.mark.parametrize(("number", "told"), [(1, "requirement, is 1 finding."), (2, "requirement, are 2 findings.")])
def test_one_accepted_finding_is_told_as_one(number: int, told: str):
    close = [found(f"Y{no}", 285.0, Verdict.CONDITIONAL_PASS) for no in range(number)]
    first = small_book(*PASSES, *close)
    numbers = tuple(it.number for it in first.governing if it.finding.verdict is Verdict.CONDITIONAL_PASS)
    accepted = Matter(State.ACCEPTED, "film", "accepted by the builder", (), numbers, ("NCR-1",))
    lines = listing(replace(first, matters=(accepted,)), words(templates_dir())).summary
    assert any(line.startswith("Accepted by a report") and line.endswith(told) for line in lines)
