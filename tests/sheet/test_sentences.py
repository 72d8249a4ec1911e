"""The sentences: which reading they tell, and that nothing can be cut off from them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from buildbook.core.book import Book
from buildbook.core.finding import Period, Verdict
from buildbook.core.listing import Listing, Saying
from buildbook.core.quantity import Quantity
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.words import words
from tests.sheet.small_sheet import PASSES, found, put_right, report, small_book

OPENING = "Thickness of the dry paint film, mean of a zone"
SET_BY = "(set by builder: SPEC-07, revision C, 6.1)"


def made(book: Book) -> Listing:
    return listing(book, words(templates_dir()))


def only(book: Book) -> Saying:
    (one,) = made(book).sayings
    return one


def test_it_tells_the_pass_nearest_to_its_limit_with_everything_that_belongs_to_it():
    one = only(small_book(*PASSES))
    assert one.sentence == (
        f"{OPENING}: 310 ± 10 µm at Topsides, starboard (Z2), measured 2026-04-02, the nearest to its limit of 2 that "
        f"pass, out of 2; the limit is at least 280 µm {SET_BY}."
    )
    assert (one.finding, one.amount, one.expanded, one.unit, one.unit_code) == ("COA-08/2", 310.0, 10.0, "µm", "4H")
    assert (one.place, one.day, one.told) == ("Topsides, starboard (Z2)", "2026-04-02", ())


def test_a_single_finding_is_called_the_only_one():
    assert "the only finding" in only(small_book(found())).sentence


def test_one_that_is_close_is_told_in_the_same_sentence_and_is_never_the_one_told_of():
    one = only(small_book(*PASSES, found("Z3", 285.0, Verdict.CONDITIONAL_PASS)))
    assert one.finding == "COA-08/2"
    assert "of 2 that pass, out of 3" in one.sentence
    told = "inside the limit without a clear margin: 1 of 3, 285 ± 10 µm at Transom (Z3) (limit at least 280 µm)"
    assert one.told == (told,)
    assert one.sentence.endswith(f"; {told}.")


def test_many_that_are_close_are_counted_all_and_named_in_part():
    close = [found("Z3", 285.0, Verdict.CONDITIONAL_PASS, condition=f"coat {n}") for n in range(5)]
    (told,) = only(small_book(*PASSES, *close)).told
    assert told.startswith("inside the limit without a clear margin: 5 of 7, ")
    assert told.count("285 ± 10 µm") == 3
    assert told.endswith("and 2 more")


def test_what_was_put_right_is_told_in_the_same_sentence_with_its_first_reading():
    book = small_book(
        *PASSES,
        found("Z3", 200.0, Verdict.FAIL),
        found("Z3", 300.0, attempt=2),
        matters=(put_right("COA-08/3"),),
        reports=(report(),),
        closings=(("NCR-1", Verdict.PASS),),
    )
    one = only(book)
    assert one.finding == "COA-08/4", "the later reading is the one nearest to its limit"
    assert "of 3 that pass, out of 3" in one.sentence
    told = "put right and measured again: Transom (Z3), first 200 ± 10 µm, fail, then 300 ± 10 µm, pass"
    assert one.sentence.endswith(f"; {told}.")


def test_a_first_reading_that_was_close_is_told_beside_the_later_one():
    one = only(small_book(*PASSES, found("Z3", 285.0, Verdict.CONDITIONAL_PASS), found("Z3", 330.0, attempt=2)))
    told = "measured again: Transom (Z3), first 285 ± 10 µm, conditional pass, then 330 ± 10 µm, pass"
    assert one.told == (told,)
    assert "out of 3" in one.sentence


def test_values_without_a_limit_tell_the_largest_and_the_smallest():
    values = (("Z1", 320.0), ("Z2", 350.0), ("Z3", 290.0))
    one = only(small_book(*(found(place, value, Verdict.INFORMATION, limit=None) for place, value in values)))
    assert one.sentence == (
        f"{OPENING}: 350 ± 10 µm at Topsides, starboard (Z2), measured 2026-04-02, the largest of 3, the smallest "
        "being 290 ± 10 µm at Transom (Z3); nobody set a limit."
    )
    assert one.setter == ""


def test_places_without_a_limit_and_parts_that_are_gone_are_told():
    gone = found("Z3", verdict=Verdict.INFORMATION)
    one = only(small_book(*PASSES, found("Z1", verdict=Verdict.INFORMATION, limit=None, condition="bow"), gone))
    assert one.told == ("for 1 of 4 nobody set a limit", "1 of 4 on a part that is no longer aboard")


def test_a_narrower_guard_band_is_told():
    note = "The guard band of this limit is 0.5 times the uncertainty, not the whole of it."
    assert only(small_book(*PASSES, found("Z3", notes=(note,)))).told == (note[:1].lower() + note[1:-1],)


def test_a_count_has_no_uncertainty_and_is_still_said():
    counted = Quantity.count(300, "um")
    one = only(small_book(found(measured=counted)))
    assert (one.value, one.amount, one.expanded) == ("300 µm", 300.0, None)


def test_an_old_reading_is_told_in_its_sentence_and_under_until_when():
    old = Period(datetime(2025, 6, 29, 8, 0), datetime(2025, 6, 29, 9, 0))
    book = small_book(*PASSES, found("Z3", period=old))
    assert book.hull.as_of == date(2026, 6, 30)
    one = only(book)
    assert one.told == ("readings behind this were older than 12 months on 2026-06-30",)
    assert made(book).validity[-1].endswith("behind 1 of 1 sentences were older than 12 months: Paint film, mean.")


def test_until_when_the_readings_are_younger_than_a_year():
    assert made(small_book(*PASSES)).validity == (
        "The data are of 2026-06-30.",
        "The oldest reading behind a sentence is of 2026-04-02.",
        "On 2026-06-30 none of them was older than 12 months; from 2027-04-03 on the oldest one is older than that.",
    )


def test_without_a_day_of_the_book_nothing_is_said_of_age():
    book = small_book(*PASSES)
    undated = replace(book, hull=replace(book.hull, as_of=None))
    assert made(undated).validity[0] == "The folder does not say of what day its data are."
    assert len(made(undated).validity) == 2
    assert made(small_book()).validity[-1] == "No reading stands on this sheet."
