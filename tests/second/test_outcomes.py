"""Each outcome and each border of it, on findings made by hand."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
import scipy.stats

from buildbook.chapters.coating.records.surveys import FilmReading
from buildbook.core.decide import agreeing, claim_of_miss, difference_that_matters, too_coarse_to_tell
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.where import Where
from buildbook.second.comparing import compare
from buildbook.second.comparison import Outcome
from buildbook.second.page import page_html
from buildbook.second.said import CLAIMS, TOO_COARSE, agreement_text, disagreement_text, en_text
from buildbook.second.write import contents
from tests.second.parties import AT_LEAST_50, KEY, PITCH, SET, finding, pair_of, party, quantity

AT_MOST_5 = Limit("%", SET, high=5.0)
AT_LEAST_280 = Limit("um", SET, low=280.0)


# The two printed cases: En of ISO 13528 and ISO/IEC 17043 (from memory), worked on paper.
def test_agree_as_worked_on_paper() -> None:
    pair = pair_of(quantity(51.2, 0.8), quantity(49.9, 1.2), AT_LEAST_50)
    assert pair.outcome is Outcome.AGREE
    assert en_text(pair) == "+0.90"
    assert pair.en == pytest.approx(1.3 / math.sqrt(0.64 + 1.44), abs=1e-12)


def test_do_not_agree_as_worked_on_paper() -> None:
    pair = pair_of(quantity(711.0, 3.0, unit="mm"), quantity(716.8, 4.0, unit="mm"), PITCH)
    assert pair.outcome is Outcome.DO_NOT_AGREE
    assert en_text(pair) == "−1.16"
    assert pair.joint == 5.0


def test_the_limit_of_one_is_that_of_two_standard_deviations() -> None:
    """Outside authority: with honest U = 2 u the chance of |En| above 1 is that of a normal value beyond two sigma."""
    pair = pair_of(quantity(50.0, 3.0), quantity(45.0, 4.0), None)
    assert pair.en == 1.0
    assert 2.0 * scipy.stats.norm.sf(2.0 * pair.en) == pytest.approx(0.0455, abs=5e-5)


@pytest.mark.parametrize(("surveyor", "yard"), [(0.3, 0.1), (50.8, 50.6), (1.1, 0.9), (716.2, 716.0)])
def test_on_the_line_counts_as_agreement_whatever_the_floating_point_makes_of_it(surveyor: float, yard: float) -> None:
    """0.3 - 0.1 is not 0.2 in binary: on paper |En| is 1 each time, 0.2 over the root of 0.12² + 0.16²."""
    pair = pair_of(quantity(surveyor, 0.12), quantity(yard, 0.16), None)
    assert pair.en == pytest.approx(1.0, abs=1e-9)
    assert pair.outcome is Outcome.AGREE


def test_a_little_beyond_the_line_is_no_agreement_and_is_not_printed_as_one() -> None:
    pair = pair_of(quantity(0.20002, 0.12), quantity(0.0, 0.16), None)
    assert pair.outcome is Outcome.DO_NOT_AGREE
    assert en_text(pair) == "+1.0001"
    assert not agreeing(1.0 + 1e-6)


def test_both_uncertainties_are_brought_to_two() -> None:
    """U = 3.6 at k = 3 is U = 2.4 at k = 2; with U = 1.8 the joint is 3.0."""
    pair = pair_of(quantity(53.0, 3.6, 3.0), quantity(50.0, 0.9, 1.0), None)
    assert pair.joint == pytest.approx(3.0, abs=1e-12)
    assert pair.en == pytest.approx(1.0, abs=1e-12)
    assert (pair.surveyor.expanded, pair.surveyor.coverage) == (3.6, 3.0)
    assert pair.surveyor.expanded_at_95 == pytest.approx(2.4)


def test_a_factor_of_students_t_is_left_as_it_is() -> None:
    """U with t = 2.28 for 10 degrees of freedom covers what k = 2 covers with many; it is not cut down."""
    few = Quantity(52.0, "%", 2.28, 2.28, (), degrees=10)
    assert pair_of(few, quantity(50.0, 0.0), None).joint == 2.28


@pytest.mark.parametrize(
    ("his", "yards", "why"),
    [
        (None, 1.0, ("by the surveyor",)),
        (1.0, None, ("by the yard",)),
        (None, None, ("by the yard", "by the surveyor")),
    ],
)
def test_no_uncertainty_given(his: float | None, yards: float | None, why: tuple[str, ...]) -> None:
    pair = pair_of(quantity(52.0, his), quantity(50.5, yards), AT_LEAST_50)
    assert (pair.outcome, pair.why) == (Outcome.NO_UNCERTAINTY, why)
    assert pair.difference == 1.5
    assert (pair.en, pair.joint) == (None, None)


def test_two_uncertainties_of_zero_are_not_compared() -> None:
    pair = pair_of(quantity(52.0, 0.0), quantity(50.5, 0.0), None)
    assert pair.outcome is Outcome.NOT_COMPARABLE
    assert "zero" in pair.why[0]


def test_another_unit_is_not_comparable_and_both_are_shown() -> None:
    yard, his = finding(quantity(50.0, 1.0), None), finding(quantity(50.0, 1.0, unit="mm"), None)
    (pair,) = compare(party(yard), party(his)).comparison.pairs
    assert pair.outcome is Outcome.NOT_COMPARABLE
    assert pair.why == ("unit: % (yard), mm (surveyor)",)
    assert (pair.difference, pair.surveyor.text, pair.yard.text) == (None, "50.0 ± 1.0 mm", "50.0 ± 1.0 %")


def test_counts_and_words_stand_outside_the_counts() -> None:
    yard, his = finding(Quantity.count(11), None), finding(Quantity.count(10), None)
    comparison = compare(party(yard), party(his)).comparison
    assert comparison.pairs == ()
    assert comparison.in_words[0].outcome is Outcome.NOT_COMPARABLE
    assert all((count.number, count.of) == (0, 0) for count in comparison.counts)


def test_other_limits_mean_other_places() -> None:
    yard = finding(quantity(711.0, 3.0, unit="mm"), PITCH)
    his = finding(quantity(711.0, 3.0, unit="mm"), replace(PITCH, low=690.0))
    (pair,) = compare(party(yard), party(his)).comparison.pairs
    assert pair.outcome is Outcome.NOT_COMPARABLE
    assert pair.why == (
        "the readings belong to different limits: 703.9 to 718.1 mm (yard), 690 to 718.1 mm (surveyor)",
    )


@pytest.mark.parametrize(("his", "yards", "comparable"), [(8, 8, True), (12, 30, False)])
def test_the_outermost_of_more_readings_is_another_quantity(his: int, yards: int, comparable: bool) -> None:
    yard = replace(finding(quantity(50.0, 1.0), None), method=f"gauge; the worst of {yards}")
    other = replace(finding(quantity(50.0, 1.0), None), method=f"gauge; worst of {his} readings")
    (pair,) = compare(party(yard), party(other)).comparison.pairs
    assert (pair.outcome is Outcome.AGREE) is comparable


# A difference that matters.
def test_two_sided_the_nearest_end_is_what_matters_and_half_the_width_at_most() -> None:
    assert [difference_that_matters(PITCH, margin) for margin in (1.0, -1.0, 9.0)] == pytest.approx([1.0, 1.0, 7.1])
    near = pair_of(quantity(716.0, 3.0, unit="mm"), quantity(716.1, 3.0, unit="mm"), PITCH)  # 2 from the upper end
    assert near.matters == pytest.approx(2.0)
    assert (near.outcome, near.too_coarse) == (Outcome.AGREE, True)
    wide = pair_of(quantity(711.0, 5.0, unit="mm"), quantity(711.0, 6.0, unit="mm"), PITCH)
    fine = pair_of(quantity(711.0, 5.0, unit="mm"), quantity(711.0, 5.0, unit="mm"), PITCH)
    assert (wide.too_coarse, fine.too_coarse) == (True, False)  # roots of 61 and of 50 beside 7.1
    assert wide.outcome is fine.outcome is Outcome.AGREE


def test_agreement_that_shows_little_is_told_with_the_agreement_and_stands_before_the_rest() -> None:
    keys = [replace(KEY, place=place) for place in ("L1", "L2", "L3")]
    values = ((51.0, 0.4), (50.2, 0.4), (53.0, 0.4))
    yard = [finding(quantity(*value), AT_LEAST_50, key) for key, value in zip(keys, values, strict=True)]
    his = [finding(quantity(*value), AT_LEAST_50, key) for key, value in zip(keys, values, strict=True)]
    pairs = compare(party(*yard), party(*his)).comparison.pairs
    assert [(it.subject.place, it.too_coarse) for it in pairs] == [("L2", True), ("L1", False), ("L3", False)]
    assert agreement_text(pairs) == (
        "3 of 3 pairs that could be set against their uncertainties agree. In 1 of these that shows little: a "
        "difference that matters could not have been found."
    )
    assert agreement_text(pairs[1:]) == "2 of 2 pairs that could be set against their uncertainties agree."
    assert agreement_text([]) == ""


def test_one_sided_the_yards_distance_from_the_limit_is_what_matters() -> None:
    inside = pair_of(quantity(51.0, 0.6), quantity(50.9, 0.8), AT_LEAST_50)
    assert inside.matters == pytest.approx(0.9)
    assert inside.joint == pytest.approx(1.0)
    assert inside.too_coarse
    outside = pair_of(quantity(8.0, 0.6), quantity(7.0, 0.8), AT_MOST_5)
    assert (outside.matters, outside.too_coarse) == (2.0, False)


def test_exactly_as_large_is_not_larger() -> None:
    pair = pair_of(quantity(51.0, 0.6), quantity(51.0, 0.8), AT_LEAST_50)
    assert (pair.matters, pair.too_coarse) == (1.0, False)
    assert not too_coarse_to_tell(0.1 + 0.2, 0.3)
    assert too_coarse_to_tell(0.3001, 0.3)


def test_without_a_limit_nothing_says_what_matters() -> None:
    pair = pair_of(quantity(50.0, 9.0), quantity(50.0, 9.0), None)
    assert (pair.matters, pair.too_coarse, pair.limit) == (None, False, None)
    assert pair.claims == "No limit to judge a number by."


def test_readings_that_do_not_agree_have_found_a_difference_that_matters() -> None:
    """Joint U 5, what matters 0.5: the readings are 10.5 apart, so that such a difference was found."""
    apart = pair_of(quantity(40.0, 3.0), quantity(50.5, 4.0), AT_LEAST_50)
    assert apart.joint is not None
    assert apart.matters is not None
    assert apart.joint > apart.matters
    assert (apart.outcome, apart.too_coarse) == (Outcome.DO_NOT_AGREE, False)


@pytest.mark.parametrize(("his", "yards", "coarse"), [(None, 0.6, True), (None, 0.4, False), (0.6, None, True)])
def test_one_uncertainty_alone_may_be_too_large_to_tell(his: float | None, yards: float | None, coarse: bool) -> None:
    """The yard is 0.5 from its limit: U = 0.6 of one side is too large already, whatever the other's is."""
    pair = pair_of(quantity(50.8, his), quantity(50.5, yards), AT_LEAST_50)
    assert (pair.outcome, pair.too_coarse) == (Outcome.NO_UNCERTAINTY, coarse)


def test_nothing_is_said_to_be_missed_where_nothing_was_compared() -> None:
    yard, his = finding(quantity(50.5, 3.0), AT_LEAST_50), finding(quantity(50.5, 4.0), AT_LEAST_50)
    apart = replace(yard, method="the worst of 30")
    comparison = compare(party(apart), party(replace(his, method="the worst of 12"))).comparison
    (pair,) = comparison.pairs
    assert (pair.outcome, pair.too_coarse) == (Outcome.NOT_COMPARABLE, False)
    (count,) = (count for count in comparison.counts if count.words == TOO_COARSE)
    assert (count.number, count.of) == (0, 0)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ((-40, 3), "40 days before to 3 days after the yard"),
        ((-40, -1), "1 to 40 days before the yard"),
        ((-40, 0), "0 to 40 days before the yard"),
        ((-1, -1), "1 day before the yard"),
        ((0, 0), "0 days after the yard"),
        ((1, 1), "1 day after the yard"),
    ],
)
def test_what_was_read_before_the_yard_is_not_said_to_be_after(days: tuple[int, int], words: str) -> None:
    start = date(2026, 7, 1)
    keys = [replace(KEY, place=f"L{number}") for number in range(2)]
    yard = [finding(quantity(52.0, 1.0), None, key, start) for key in keys]
    his = [finding(quantity(52.0, 1.0), None, key, start + timedelta(n)) for key, n in zip(keys, days, strict=True)]
    said = compare(party(*yard), party(*his)).comparison.time
    assert said.startswith(f"The surveyor read {words}, and ")


def test_a_reading_before_delivery_is_not_said_to_be_after_it() -> None:
    yard = finding(quantity(52.0, 1.0), None, day=date(2026, 5, 1))
    his = finding(quantity(52.0, 1.0), None, day=date(2026, 6, 3))
    said = compare(party(yard), party(his)).comparison.time
    assert "33 days after the yard, and 2 days before she was delivered on 2026-06-05" in said


# Each side by the rule for its own claim: the worked values of ILAC-G8, mirrored for the surveyor.
@pytest.mark.parametrize(
    ("value", "verdict", "shown"),
    [
        (51.2, Verdict.PASS, False),
        (50.8, Verdict.PASS, False),
        (50.5, Verdict.CONDITIONAL_PASS, False),
        (49.6, Verdict.CONDITIONAL_FAIL, False),
        (49.2, Verdict.CONDITIONAL_FAIL, False),
        (49.0, Verdict.FAIL, True),
    ],
)
def test_a_miss_is_shown_only_outside_by_more_than_the_own_uncertainty(
    value: float, verdict: Verdict, shown: bool
) -> None:
    decision, shows = claim_of_miss(quantity(value, 0.8), AT_LEAST_50)
    assert (decision.verdict, shows) == (verdict, shown)


def test_a_limit_without_a_guard_band_gives_the_surveyor_none_either_way() -> None:
    """The yard's guard band is the limit's; the surveyor's is his own U whatever the limit says."""
    bare = replace(AT_LEAST_50, guard=0.0)
    assert finding(quantity(49.6, 0.8), bare).verdict is Verdict.FAIL
    assert claim_of_miss(quantity(49.6, 0.8), bare)[1] is False


def test_without_an_uncertainty_no_miss_is_shown_but_a_count_shows_one() -> None:
    assert claim_of_miss(quantity(40.0, None), AT_LEAST_50)[1] is False
    assert claim_of_miss(Quantity.count(10, "%"), AT_LEAST_50)[1] is True


@pytest.mark.parametrize(
    ("surveyor", "yard", "met", "missed"),
    [(48.0, 51.2, True, True), (51.2, 51.2, True, False), (48.0, 50.5, False, True), (49.6, 50.5, False, False)],
)
def test_what_each_can_show(surveyor: float, yard: float, met: bool, missed: bool) -> None:
    pair = pair_of(quantity(surveyor, 0.8), quantity(yard, 0.8), AT_LEAST_50)
    assert (pair.yard.shows, pair.surveyor.shows) == (met, missed)
    assert pair.claims == CLAIMS[(met, missed)]


def test_between_neither_can_show_his_claim() -> None:
    assert CLAIMS[(False, False)].startswith("Neither can show his claim")


# What is matched.
def test_the_last_attempt_counts_of_each_side() -> None:
    first, last = finding(quantity(40.0, 1.0), AT_LEAST_50), finding(quantity(52.0, 1.0), AT_LEAST_50)
    again = replace(last, key=replace(KEY, attempt=2))
    (pair,) = compare(party(again, first), party(last)).comparison.pairs
    assert (pair.yard.attempt, pair.surveyor.attempt, pair.yard.value) == (2, 1, 52.0)


def test_the_number_of_a_run_is_no_part_of_the_match() -> None:
    yard = finding(quantity(2.0, 0.4), None, Key("VIB-01", "weighted vibration", "V6", "vertical, cruise, run R4", 2))
    his = finding(quantity(2.1, 0.4), None, Key("VIB-01", "weighted vibration", "V6", "vertical, cruise, run S9"))
    (pair,) = compare(party(yard), party(his)).comparison.pairs
    assert pair.subject.condition == "vertical, cruise"


def test_a_reference_is_not_compared_a_second_time() -> None:
    one = finding(quantity(52.0, 1.0), AT_LEAST_50)
    beside = replace(one, key=replace(KEY, role=Role.REFERENCE))
    assert len(compare(party(one, beside), party(one, beside)).comparison.pairs) == 1


def test_what_one_side_has_alone_is_listed() -> None:
    one = finding(quantity(52.0, 1.0), AT_LEAST_50)
    elsewhere = replace(one, key=replace(KEY, place="L2"))
    other_check = replace(one, key=Key("LAM-03", "void content", "L1"))
    comparison = compare(party(one, other_check), party(elsewhere)).comparison
    assert [line.subject.place for line in comparison.yard_only] == ["L1"]
    assert [line.subject.place for line in comparison.surveyor_only] == ["L2"]
    assert comparison.yard_elsewhere == 1


def test_days_between_and_since_delivery() -> None:
    yard = finding(quantity(52.0, 1.0), None, day=date(2026, 5, 1))
    his = finding(quantity(52.0, 1.0), None, day=date(2026, 7, 7))
    comparison = compare(party(yard), party(his)).comparison
    (pair,) = comparison.pairs
    assert (pair.days_between, pair.days_since_delivery) == (67, 32)
    assert pair.time == "67 days after the yard, 32 days after delivery"
    assert "32 days after she was delivered on 2026-06-05" in comparison.time


def test_counts_have_their_denominator_and_there_is_no_score() -> None:
    yard = [finding(quantity(50.0 + n, 1.0), AT_LEAST_50, replace(KEY, place=f"L{n}")) for n in range(4)]
    his = [finding(quantity(50.0, 1.0), AT_LEAST_50, replace(KEY, place=f"L{n}")) for n in range(4)]
    comparison = compare(party(*yard), party(*his)).comparison
    numbers = {count.words: (count.number, count.of) for count in comparison.counts}
    assert numbers["agree"] == (2, 4)
    assert numbers["do not agree"] == (2, 4)
    assert sum(numbers[outcome.value][0] for outcome in Outcome) == 4
    assert [pair.outcome for pair in comparison.pairs][:2] == [Outcome.DO_NOT_AGREE] * 2


def test_more_than_five_that_do_not_agree_are_named_by_their_number() -> None:
    yard = [finding(quantity(50.0, 0.5), None, replace(KEY, place=f"L{n}")) for n in range(8)]
    his = [finding(quantity(60.0, 0.5), None, replace(KEY, place=f"L{n}")) for n in range(8)]
    page = page_html(compare(party(*yard), party(*his)), ())
    opening = page[page.index("<h1>") : page.index('class="outcomes"')]
    assert opening.count('href="#pair-') == 5
    assert "3 more do not agree." in opening


@pytest.mark.parametrize(
    ("his", "words"),
    [
        (50.0, "Of 1 pair that could be set against their uncertainties, none disagrees."),
        (60.0, "This reading of the two sides does not agree:"),
    ],
)
def test_what_the_first_sentence_says(his: float, words: str) -> None:
    made = compare(party(finding(quantity(50.0, 0.5), None)), party(finding(quantity(his, 0.5), None)))
    assert disagreement_text(made.comparison.pairs) == words


def film(value: float, layers: str, attempt: int) -> tuple[Finding, FilmReading]:
    where = Where("coating/film_thickness.csv", 10 * attempt + len(layers))
    row = FilmReading(
        where=where, zone="Z1", attempt=attempt, number=1, thickness=value, system=layers, extra=False,
        at=datetime(2026, 7, 7, 10), method="ultrasonic", instrument="F-1",
    )  # fmt: skip
    key = Key("COA-08", "mean film thickness", "Z1", "", attempt)
    return replace(finding(quantity(value, 8.0, unit="um"), AT_LEAST_280, key), at=(where,)), row


def test_no_attempt_of_other_layers_is_judged_by_the_limit_and_no_attempt_of_the_same_is_spared() -> None:
    yard, ours = film(310.0, "primer and topcoat", 1)
    first, second = film(200.0, "topcoat", 1), film(205.0, "topcoat", 2)
    same = film(200.0, "primer and topcoat", 1), film(205.0, "primer and topcoat", 2)
    for (one, two), verdict in (((first, second), "information"), (same, "fail")):
        his = replace(party(one[0], two[0]), rows={row.where: row for _, row in (one, two)})
        (pair,) = compare(replace(party(yard), rows={ours.where: ours}), his).comparison.pairs
        assert pair.surveyor.verdict.value == verdict
        assert any(words.endswith(f"attempt 1: 200.0 ± 8.0 µm, {verdict}.") for words in pair.notes)
        assert pair.one_limit is (verdict == "fail")


@pytest.mark.parametrize(
    ("his", "limit", "outcome", "said"),
    [
        (quantity(1.0, 17.0), None, Outcome.AGREE, "Readings up to 17 % apart would have agreed too"),
        (quantity(1.0, 17.0), AT_LEAST_50, Outcome.AGREE, ""),  # the limit says what matters
        (quantity(60.0, 17.0), None, Outcome.DO_NOT_AGREE, ""),
        (quantity(1.0, None), None, Outcome.NO_UNCERTAINTY, ""),
    ],
)
def test_without_a_limit_it_is_said_what_would_not_have_shown(
    his: Quantity, limit: Limit | None, outcome: Outcome, said: str
) -> None:
    made = compare(party(finding(quantity(6.9, 1.3), limit)), party(finding(his, limit)))
    (pair,) = made.comparison.pairs
    assert pair.outcome is outcome
    assert pair.without_limit.startswith(said)
    assert bool(pair.without_limit) is bool(said)
    files = contents(made, pdf=False)[0]
    for name in ("comparison.html", "comparison.json", "comparison.csv"):
        text = re.sub(r"<[^>]+>", "", files[name].decode()).replace("\u2060", "").replace("\u00a0", " ")
        assert ("Readings up to" in text) is bool(said)
        assert (said in text) or not said
