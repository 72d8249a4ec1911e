"""The texts: which reading they tell, and that nothing that belongs to it stands outside them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from buildbook.core.book import Book, RunLine
from buildbook.core.decide import NO_GUARD
from buildbook.core.finding import Period, Verdict
from buildbook.core.judging import AGREED_GOVERNS, NOBODY_SET, REFERENCE_GOVERNS, About, Limits, judge
from buildbook.core.limit import Term
from buildbook.core.listing import Listing, Saying
from buildbook.core.matter import Matter, State
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.source import Standing
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.characteristics import characteristics
from buildbook.sheet.sentences import Said, saying
from buildbook.sheet.words import words
from tests.sheet.small_sheet import CHECK, DAY, LIMIT, PASSES, QUANTITY, found, limit_of, other, small_book

OPENING = "Thickness of the dry paint film, as the mean of a zone, was"
SET_BY = "set by builder: SPEC-07, revision C, 6.1"
RECORD = f"Record COA-08/2; limit {SET_BY}; U = 10 µm (k = 2)."


def made(book: Book) -> Listing:
    return listing(book, words(templates_dir()))


def only(book: Book) -> Saying:
    (one,) = [it for it in made(book).sayings if it.check == CHECK]
    return one


def test_it_tells_the_reading_nearest_to_its_limit_in_whole_sentences_with_its_record():
    one = only(small_book(*PASSES))
    assert one.text == (
        f"{OPENING} 310 ± 10 µm at Topsides, starboard (Z2), measured on 2026-04-02. Its limit is at least 280 µm, and "
        f"the verdict is pass. Of 2 readings it is the nearest to the limit, and all of them pass. {RECORD}"
    )
    assert (one.finding, one.amount, one.expanded, one.unit, one.unit_code) == ("COA-08/2", 310.0, 10.0, "µm", "4H")
    assert (one.place, one.day, one.told) == ("Topsides, starboard (Z2)", "2026-04-02", ())
    assert (one.first_day, one.last_day) == (date(2026, 4, 2), date(2026, 4, 2))


def test_a_single_finding_is_called_the_only_one():
    assert only(small_book(found())).standing == "It is the only reading."


def test_an_earlier_attempt_that_is_nearer_to_the_limit_is_the_one_told():
    one = only(small_book(*PASSES, found("Z3", 295.0), found("Z3", 340.0, attempt=2)))
    assert (one.finding, one.amount) == ("COA-08/3", 295.0)
    assert one.standing.startswith("Of 4 readings")


def test_one_without_a_clear_margin_is_told_too_where_another_is_nearer_to_its_limit():
    one = only(
        small_book(found("Z1", 282.0, expanded=1.0), found("Z3", 290.0, Verdict.CONDITIONAL_PASS, expanded=15.0))
    )
    assert one.finding == "COA-08/1"
    assert one.standing == "Of 2 readings 2 have a limit; it is the nearest to it, and 1 of them pass."
    assert one.told == (
        "Inside the limit without a clear margin lie 1 of 2: 290 ± 15 µm at Transom (Z3) (limit at least 280 µm).",
    )


def test_many_without_a_clear_margin_are_all_named():
    close = [found("Z3", 290.0 + n, Verdict.CONDITIONAL_PASS, expanded=15.0, condition=f"coat {n}") for n in range(5)]
    (told,) = only(small_book(found("Z1", 282.0, expanded=1.0), *close)).told
    assert [f"coat {n}" in told for n in range(5)] == [True] * 5


def test_where_limits_differ_each_is_held_against_its_own():
    lower = replace(LIMIT, low=190.0)
    one = only(small_book(*PASSES, found("Z3", 195.0, limit=lower, margin=5.0)))
    assert (one.finding, one.limit) == ("COA-08/3", "at least 190 µm")
    assert one.standing == (
        "Of 3 readings, each against its own limit, it is the nearest to its limit, and all of them pass."
    )


def test_what_missed_at_the_same_places_is_told_with_how_it_stands():
    failed = other("COA-12", "dust inclusions", Verdict.FAIL, place="Z2")
    elsewhere = other("COA-12", "dust inclusions", Verdict.FAIL, place="Z9")
    still = Matter(State.OPEN, "dust", "", (), ("COA-12/1",), ())
    one = only(small_book(*PASSES, others=(failed, elsewhere), matters=(still,)))
    told = "Other findings at the same places missed a limit: dust inclusions at Z2 (COA-12/1, open today)."
    assert one.told == (told,)
    assert told in one.text


def test_readings_of_its_kind_in_other_checks_are_told_with_their_near_misses_and_those_without_a_limit():
    others = (
        other("COA-09", QUANTITY, Verdict.PASS, value=400.0),
        other("LAM-12", QUANTITY, Verdict.CONDITIONAL_PASS, value=340.0, expanded=70.0),
        other("LAM-12", QUANTITY, Verdict.INFORMATION, place="Z8", value=150.0, limit=None, margin=None),
    )
    one = only(small_book(*PASSES, others=others))
    assert one.finding == "COA-08/2"
    assert one.told == (
        "Other checks (COA-09 and LAM-12) have more readings of it, 2 in number, and none is nearer to its limit.",
        "Of these, inside the limit without a clear margin: 340 ± 70 µm at Z9 (limit at least 280 µm).",
        "Other checks have readings of it for which nobody set a limit, 1 in number: 150 ± 10 µm at Z8.",
    )
    assert [words for words in one.told if words not in one.text] == []


def test_known_limits_of_the_method_stand_in_the_record():
    notes = ("The rule was written for steel.", NOBODY_SET, REFERENCE_GOVERNS)
    one = only(
        small_book(PASSES[0], found("Z2", 310.0, notes=notes), found("Z3", notes=("Of another place.", NO_GUARD)))
    )
    assert one.record == f"{RECORD} Known limits: The rule was written for steel. {NO_GUARD}"
    assert one.text.endswith(one.record)


def test_a_published_limit_is_told_as_one():
    published = limit_of(Standing.READ)
    one = only(small_book(found("Z1", limit=published)))
    assert "; limit after " in one.record


def test_a_published_limit_by_an_agreed_class_says_both_and_never_that_the_builder_set_the_limit():
    """The class stands in a paper of the builder, its number is a published one: neither may be denied."""
    agreed = replace(
        LIMIT,
        terms=(
            Term("class III, as agreed", Standing.BUILDER, "builder", "VP-01", "A"),
            Term("280 µm", Standing.SECOND_HAND, "a standard", clause="table B.1", source="ISO-10816-1"),
        ),
    )
    (mine, *_) = judge(
        found().key, Quantity(320.0, "um", 10.0), Limits(reference=agreed), About(period=DAY, at=found().at)
    )
    one = only(small_book(mine))
    assert AGREED_GOVERNS in mine.notes
    assert "; class or kind set by builder: VP-01, revision A; its limit after ISO-10816-1, table B.1; " in one.record
    assert "limit set by builder" not in one.text
    assert "sets no limit" not in one.text


def test_values_without_a_limit_tell_the_worse_end_and_the_other():
    values = (("Z1", 320.0), ("Z2", 350.0), ("Z3", 290.0))
    book = small_book(*(found(place, value, Verdict.INFORMATION, limit=None) for place, value in values))
    one = only(book)
    assert one.text == (
        f"{OPENING} 290 ± 10 µm at Transom (Z3), measured on 2026-04-02. Nobody set a limit for it. It is the smallest "
        "of 3 readings; the largest is 350 ± 10 µm at Topsides, starboard (Z2). Record COA-08/3; U = 10 µm (k = 2)."
    )
    assert one.setter == ""
    wording = words(templates_dir()).of(CHECK, QUANTITY)
    assert wording is not None
    (it,) = characteristics(book, ((CHECK, QUANTITY),))
    more_is_worse = saying(it, replace(wording, less_is_worse=False), Said.of(book, words(templates_dir())))
    assert more_is_worse.finding == "COA-08/2"
    assert more_is_worse.standing == "It is the largest of 3 readings; the smallest is 290 ± 10 µm at Transom (Z3)."


def test_places_without_a_limit_and_parts_that_are_gone_are_told_with_their_values():
    gone = found("Z3", verdict=Verdict.INFORMATION)
    one = only(small_book(*PASSES, found("Z1", 150.0, Verdict.INFORMATION, limit=None, condition="bow"), gone))
    assert one.told == (
        "For 1 of the 4 nobody set a limit: 150 ± 10 µm at Topsides, port (Z1), bow.",
        "Of the 4, 1 belong to a part that is no longer aboard.",
    )


def test_of_many_places_without_a_limit_both_ends_are_told():
    plain = [found("Z1", 100.0 + n, Verdict.INFORMATION, limit=None, condition=f"spot {n}") for n in range(9)]
    (told,) = only(small_book(*PASSES, *plain)).told
    assert told == (
        "For 9 of the 11 nobody set a limit: 100 ± 10 µm at Topsides, port (Z1), spot 0; 108 ± 10 µm at Topsides, port "
        "(Z1), spot 8."
    )


@pytest.mark.parametrize("condition", ["vertical, full, run R1", "R1"])
def test_a_run_on_trial_is_told_with_its_speeds(condition: str):
    book = small_book(found("Z1", condition=condition), runs=(RunLine("R1", "28.2 kn, shafts at 1133 r/min"),))
    assert only(book).place.endswith("run R1 (28.2 kn, shafts at 1133 r/min)")


def test_a_count_has_no_uncertainty_and_is_still_said():
    counted = Quantity.count(300, "um")
    one = only(small_book(found(measured=counted)))
    assert (one.value, one.amount, one.expanded, one.coverage) == ("300 µm", 300.0, None, None)


def test_a_bound_is_told_as_one_and_has_no_uncertainty_of_its_own():
    one = only(small_book(found(measured=Quantity(300.0, "um", 10.0, kind=Kind.AT_LEAST))))
    assert (one.bound, one.amount, one.expanded, one.coverage) == ("at least", 300.0, None, None)


def test_the_coverage_factor_is_the_true_one():
    few = Quantity.combined(320.0, "um", (Part("scatter", 3.0, 2),))
    one = only(small_book(found(measured=few)))
    # Student's t for 95.45 % and 2 degrees of freedom: 4.53 (JCGM 100:2008, table G.2, from memory).
    assert (one.coverage, one.degrees) == (4.53, 2)
    assert "(k = 4.53, 2 degrees of freedom)" in one.record


def test_an_old_reading_is_told_in_its_text_and_under_until_when():
    old = Period(datetime(2025, 6, 29, 8, 0), datetime(2025, 6, 29, 9, 0))
    book = small_book(*PASSES, found("Z3", period=old))
    assert book.hull.as_of == date(2026, 6, 30)
    one = only(book)
    assert one.told == ("The oldest of these readings was more than 12 months old on 2026-06-30.",)
    assert made(book).validity[-1].endswith("behind 1 of 1 texts were older than 12 months: Paint film, mean.")


def test_of_what_days_the_readings_are_and_until_when_they_are_younger_than_a_year():
    book = small_book(*PASSES)
    delivered = replace(book, hull=replace(book.hull, dates=(("delivered", date(2026, 6, 1)),)))
    assert made(delivered).validity == (
        "The data are of 2026-06-30.",
        "The readings behind the facts were taken from 2026-04-02 to 2026-04-02; they describe her on those days, not "
        "today.",
        "All of them are from before her delivery on 2026-06-01.",
        "On 2026-06-30 none of them was older than 12 months; from 2027-04-03 on the oldest one is older than that.",
    )
    early = replace(book, hull=replace(book.hull, dates=(("delivered", date(2026, 4, 2)),)))
    assert not any("delivery" in words for words in made(early).validity)


def test_without_a_day_of_the_book_nothing_is_said_of_age():
    book = small_book(*PASSES)
    undated = replace(book, hull=replace(book.hull, as_of=None, dates=()))
    assert made(undated).validity[0] == "The folder does not say of what day its data are."
    assert len(made(undated).validity) == 2
    assert made(small_book()).validity[-1] == "No reading stands on this sheet."
