"""From a value and its limits to findings: what governs, what stands beside, what is said with each."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from buildbook.core.decide import NO_UNCERTAINTY
from buildbook.core.finding import Key, Period, Role, Verdict
from buildbook.core.judging import (
    AGREED_GOVERNS,
    NOBODY_SET,
    PRACTICE_GOVERNS,
    REFERENCE_GOVERNS,
    About,
    Limits,
    judge,
    judge_fact,
    unjudged,
    worst,
)
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.where import Where

KEY = Key("COA-04", "dew-point margin", "Z1", "Z1-4", 2)
SPECIFIED = Limit("K", (Term("at least 5 K", Standing.BUILDER, "builder"),), low=5.0)
PUBLISHED = Limit("K", (Term("at least 3 K", Standing.READ, source="paint-manual-1"),), low=3.0)
IN_WORDS = Limit("1", (Term("washed before sanding", Standing.PRACTICE),), words="washed before sanding")
AT = (Where("coating/climate.csv", 12),)
ABOUT = About(
    method="dew point from air",
    period=Period(datetime(2026, 3, 18, 8), datetime(2026, 3, 18, 9)),
    instruments=("TH-01",),
    at=AT,
    working=("margin = 4.00 K",),
    notes=("A note.",),
)


def test_both_limits_give_a_governing_finding_and_a_reference_beside_it():
    """4.0 +/- 0.5 K: against the builder's 5 K a fail (m = -1.0 < -0.5), against the published 3 K a pass (m = 1.0)."""
    governing, reference = judge(KEY, Quantity(4.0, "K", 0.5), Limits(SPECIFIED, PUBLISHED), ABOUT, observed="damp")
    assert (governing.key.role, governing.verdict, governing.limit) == (Role.GOVERNING, Verdict.FAIL, SPECIFIED)
    assert (reference.key.role, reference.verdict, reference.limit) == (Role.REFERENCE, Verdict.PASS, PUBLISHED)
    assert governing.margin == pytest.approx(-1.0)
    assert reference.margin == pytest.approx(1.0)
    assert governing.guard == reference.guard == 0.5
    for finding in (governing, reference):
        assert finding.notes == ("A note.",)
        assert finding.measured == Quantity(4.0, "K", 0.5)
        assert finding.observed == "damp"
        assert (finding.method, finding.period) == (ABOUT.method, ABOUT.period)
        assert (finding.instruments, finding.at, finding.working) == (("TH-01",), AT, ("margin = 4.00 K",))
        assert (finding.key.place, finding.key.condition, finding.key.attempt) == ("Z1", "Z1-4", 2)


def test_without_a_specification_the_published_limit_governs_and_says_so():
    (only,) = judge(KEY, Quantity(4.0, "K", 0.5), Limits(reference=PUBLISHED), ABOUT)
    assert (only.key.role, only.verdict, only.limit) == (Role.GOVERNING, Verdict.PASS, PUBLISHED)
    assert only.notes == ("A note.", REFERENCE_GOVERNS)


def test_a_published_number_for_a_class_that_was_agreed_says_so():
    agreed = Limit("K", (Term("class 2, as agreed", Standing.BUILDER, "builder"), *PUBLISHED.terms), low=3.0)
    (only,) = judge(KEY, Quantity(4.0, "K", 0.5), Limits(reference=agreed), ABOUT)
    assert only.notes == ("A note.", AGREED_GOVERNS)


def test_a_specification_alone_has_nothing_beside_it():
    (only,) = judge(KEY, Quantity(6.0, "K", 0.5), Limits(SPECIFIED), ABOUT)
    assert (only.key.role, only.verdict, only.notes) == (Role.GOVERNING, Verdict.PASS, ("A note.",))


def test_a_limit_that_nobody_set_is_not_invented():
    (only,) = judge(KEY, Quantity(4.0, "K", 0.5), Limits(), ABOUT)
    assert (only.verdict, only.limit, only.margin) == (Verdict.INFORMATION, None, None)
    assert only.notes == ("A note.", NOBODY_SET)


def test_the_note_about_a_missing_uncertainty_comes_after_the_others():
    (only,) = judge(KEY, Quantity(4.0, "K"), Limits(SPECIFIED), ABOUT)
    assert only.notes == ("A note.", NO_UNCERTAINTY)


@pytest.mark.parametrize(("value", "expected"), [(9.0, Verdict.INCONCLUSIVE), (1.0, Verdict.FAIL)])
def test_a_cap_holds_both_findings_and_leaves_a_fail_alone(value, expected):
    about = About(caps=("A gap of 3 h.",))
    found = judge(KEY, Quantity(value, "K", 0.5), Limits(SPECIFIED, PUBLISHED), about)
    assert [finding.verdict for finding in found] == [expected, expected]
    assert all("A gap of 3 h." in finding.notes for finding in found)


def test_information_under_a_cap_is_inconclusive():
    (only,) = judge(KEY, Quantity(4.0, "K", 0.5), Limits(), About(caps=("A row is lost.",)))
    assert only.verdict is Verdict.INCONCLUSIVE


@pytest.mark.parametrize(
    ("met", "expected"), [(True, Verdict.PASS), (False, Verdict.FAIL), (None, Verdict.INCONCLUSIVE)]
)
def test_a_fact_carries_its_words_and_no_number(met, expected):
    (only,) = judge_fact(KEY, met, "washed first", Limits(IN_WORDS), ABOUT)
    assert (only.verdict, only.measured, only.margin, only.guard) == (expected, None, None, None)
    assert only.observed == "washed first"


def test_a_fact_against_both_limits():
    governing, reference = judge_fact(KEY, True, "washed first", Limits(IN_WORDS, IN_WORDS), About())
    assert (governing.key.role, reference.key.role) == (Role.GOVERNING, Role.REFERENCE)
    assert (governing.notes, reference.notes) == ((), ())


def test_an_unjudged_finding_gives_its_reason_first_and_shows_the_limit_it_missed_being_judged_by():
    found = unjudged(KEY, Verdict.NOT_MEASURED, "No reading.", ABOUT, Limits(SPECIFIED, PUBLISHED))
    assert (found.verdict, found.measured, found.limit) == (Verdict.NOT_MEASURED, None, SPECIFIED)
    assert found.notes == ("No reading.", "A note.")
    assert found.at == AT
    assert unjudged(KEY, Verdict.NO_RECORD, "No table.", limits=Limits(reference=PUBLISHED)).limit == PUBLISHED
    bare = unjudged(KEY, Verdict.NOT_APPLICABLE, "Metal.")
    assert (bare.limit, bare.at, bare.notes) == (None, (), ("Metal.",))


def test_an_unjudged_finding_under_a_cap_is_not_made_better():
    found = unjudged(KEY, Verdict.NOT_APPLICABLE, "Metal.", About(caps=("A row is lost.",)))
    assert found.verdict is Verdict.INCONCLUSIVE


def test_keys_have_an_order_that_depends_on_nothing_else():
    keys = [Key("COA-08", "b", "Z2"), Key("COA-08", "a", "Z2"), Key("COA-08", "a", "Z1", attempt=2), Key("COA-04", "z")]
    assert [key.order for key in sorted(keys, key=lambda key: key.order)] == sorted(key.order for key in keys)
    assert sorted(keys, key=lambda key: key.order)[0].check == "COA-04"


def test_nine_verdicts_and_their_ranks():
    """product.md of the project: pass, conditional pass, the three of not known, conditional fail, fail."""
    ranks = {
        "pass": 0,
        "conditional pass": 1,
        "inconclusive": 2,
        "not measured": 2,
        "no record": 2,
        "conditional fail": 3,
        "fail": 4,
        "not applicable": 0,
        "information": 0,
    }
    assert {verdict.value: verdict.rank for verdict in Verdict} == ranks
    assert {v.value for v in Verdict if v.judged} == {"pass", "conditional pass", "conditional fail", "fail"}
    assert {v.value for v in Verdict if not v.exception} == {"pass", "not applicable", "information"}


def test_of_several_judgements_the_worst_stands_and_of_equals_the_first():
    good, bad = (unjudged(KEY, verdict, verdict.value) for verdict in (Verdict.NOT_MEASURED, Verdict.FAIL))
    other = replace(good, notes=("another",))
    assert worst((good,), (bad,)) == worst((bad,), (good,)) == (bad,)
    assert worst((good,), (other,)) == (good,)
    limited = replace(good, limit=SPECIFIED)
    assert worst((good,), (limited,)) == worst((limited,), (good,)) == (limited,)
    beside = replace(bad, key=replace(KEY, role=Role.REFERENCE))
    assert worst((good, beside), (other,)) == (good, beside)


def test_common_practice_is_not_called_a_published_reference() -> None:
    customary = Limit("K", (Term("as is the custom", Standing.PRACTICE, source="common-practice"),), low=3.0)
    (only,) = judge(KEY, Quantity(5.0, "K", 0.1), Limits(reference=customary), About())
    assert only.notes == (PRACTICE_GOVERNS,)
    assert "common practice" in PRACTICE_GOVERNS
    assert "reference" not in PRACTICE_GOVERNS
