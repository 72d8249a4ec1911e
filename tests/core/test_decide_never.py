"""What judging may never do, whatever the numbers: get better for the wrong reason."""

from __future__ import annotations

from dataclasses import replace
from statistics import fmean

from hypothesis import assume, given
from hypothesis import strategies as st

from buildbook.chapters.readings import with_scatter
from buildbook.core.decide import cap, conditional_at_best, decide, hold, stand_by_report
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Kind, Part, Quantity
from buildbook.core.source import Standing, weakest
from buildbook.formulas.conformance import conformance_probability

BUILDER = (Term("specified", Standing.BUILDER, set_by="builder"),)
PASS, CONDITIONAL_PASS = Verdict.PASS, Verdict.CONDITIONAL_PASS
CONDITIONAL_FAIL, FAIL, INCONCLUSIVE = Verdict.CONDITIONAL_FAIL, Verdict.FAIL, Verdict.INCONCLUSIVE


def limit(low=None, high=None, unit="%", **more) -> Limit:
    return Limit(unit, BUILDER, low, high, **more)


VALUES = st.floats(-1e3, 1e3)
WIDTHS = st.floats(0.0, 50.0)
KINDS = st.sampled_from([Kind.MEASURED, Kind.COUNTED])


@given(VALUES, WIDTHS, VALUES, st.floats(0.0, 1e3), KINDS, st.booleans(), st.sampled_from([0.0, 0.83, 1.0]))
def test_a_value_moved_away_from_a_lower_limit_is_never_judged_worse(low, expanded, value, step, kind, strict, guard):
    ends = limit(low=low, low_strict=strict, guard=guard)
    before = decide(Quantity(value, "%", expanded, kind=kind), ends).verdict
    after = decide(Quantity(value + step, "%", expanded, kind=kind), ends).verdict
    assert after.rank <= before.rank


@given(VALUES, WIDTHS, VALUES, st.floats(0.0, 1e3), KINDS, st.booleans(), st.sampled_from([0.0, 0.83, 1.0]))
def test_a_value_moved_away_from_an_upper_limit_is_never_judged_worse(high, expanded, value, step, kind, strict, guard):
    ends = limit(high=high, high_strict=strict, guard=guard)
    before = decide(Quantity(value, "%", expanded, kind=kind), ends).verdict
    after = decide(Quantity(value - step, "%", expanded, kind=kind), ends).verdict
    assert after.rank <= before.rank


@given(VALUES, st.floats(0.0, 1e3), WIDTHS, VALUES, st.floats(0.0, 1.0), KINDS, st.booleans(), st.booleans())
def test_a_value_moved_towards_the_middle_is_never_judged_worse(
    low, width, expanded, value, share, kind, low_strict, high_strict
):
    """Also where the measurement is too coarse: then nothing is better than inconclusive."""
    ends = limit(low, low + width, low_strict=low_strict, high_strict=high_strict)
    nearer = value + share * (low + width / 2.0 - value)
    before = decide(Quantity(value, "%", expanded, kind=kind), ends).verdict
    after = decide(Quantity(nearer, "%", expanded, kind=kind), ends).verdict
    assert after.rank <= before.rank


@given(VALUES, WIDTHS, VALUES, st.floats(0.0, 1e3), st.floats(0.0, 100.0), st.booleans())
def test_a_bound_moved_away_from_the_limit_is_never_judged_worse(low, expanded, value, step, top, natural):
    """At least y and then at least y + step: more is known, and all of it good."""
    ends = limit(low=low, natural_high=low + top if natural else None)
    before = decide(Quantity(value, "%", expanded, kind=Kind.AT_LEAST), ends).verdict
    after = decide(Quantity(value + step, "%", expanded, kind=Kind.AT_LEAST), ends).verdict
    assert after.rank <= before.rank


@given(VALUES, st.floats(0.0, 1e3), VALUES, WIDTHS, st.floats(0.0, 50.0), st.booleans())
def test_a_larger_uncertainty_never_makes_a_pass_out_of_something_else(low, width, value, expanded, more, two_sided):
    ends = limit(low, low + width if two_sided else None)
    before = decide(Quantity(value, "%", expanded), ends).verdict
    after = decide(Quantity(value, "%", expanded + more), ends).verdict
    assert not (after is PASS and before is not PASS)


@given(st.sampled_from(list(Verdict)), st.lists(st.text(min_size=1), max_size=3))
def test_a_cap_never_improves_a_verdict(verdict, notes):
    finding = Finding(Key("COA-04", "dew-point margin"), verdict)
    capped = cap(finding, notes)
    assert capped.verdict.rank >= verdict.rank
    assert set(notes) <= set(capped.notes)
    if notes:
        assert capped.verdict.rank >= INCONCLUSIVE.rank
        assert capped.verdict is (verdict if verdict.rank >= INCONCLUSIVE.rank else INCONCLUSIVE)
    else:
        assert capped == finding


@given(st.sampled_from(list(Verdict)), st.lists(st.text(min_size=1), max_size=3))
def test_a_report_of_nonconformity_never_improves_a_verdict(verdict, notes):
    finding = Finding(Key("COA-08", "smallest film thickness"), verdict)
    held = stand_by_report(finding, notes)
    assert held.verdict.rank >= verdict.rank
    if notes:
        assert held.verdict in (CONDITIONAL_FAIL, FAIL)


@given(st.sampled_from(list(Verdict)), st.lists(st.text(min_size=1), min_size=1, max_size=3))
def test_a_concession_never_improves_a_verdict_and_is_never_a_plain_pass(verdict, notes):
    held = conditional_at_best(Finding(Key("REG-04", "closed"), verdict), notes)
    assert held.verdict.rank >= max(verdict.rank, CONDITIONAL_PASS.rank)


def test_a_fail_stays_a_fail_under_a_cap_and_keeps_both_notes():
    failed = Finding(Key("COA-04", "dew-point margin"), FAIL, notes=("The first.",))
    assert cap(failed, ("A gap.", "The first.")) == replace(failed, notes=("The first.", "A gap."))


def test_a_report_does_not_make_a_conditional_fail_worse():
    missed = Finding(Key("COA-08", "smallest film thickness"), CONDITIONAL_FAIL)
    assert stand_by_report(missed, ("Report NCR-01 says so.",)) is missed


@given(st.sampled_from(list(Verdict)), st.lists(st.text(min_size=1), max_size=3))
def test_a_lost_row_never_improves_a_verdict_and_makes_a_miss_a_plain_one(verdict, notes):
    finding = Finding(Key("COA-08", "mean film thickness"), verdict)
    held = hold(finding, notes)
    assert held.verdict.rank >= verdict.rank
    if notes and verdict is CONDITIONAL_FAIL:
        assert held.verdict is FAIL
        assert set(notes) <= set(held.notes)
    else:
        assert held == cap(finding, notes)


@given(st.lists(st.floats(1.0, 4.0), min_size=3, max_size=8), st.data(), st.floats(0.01, 0.5))
def test_a_mean_that_failed_stays_failed_when_a_reading_is_lost(values, data, gauge):
    """Fewer readings scatter more: the lost one may make the guard band wider than the room for a pass."""
    ends = limit(high=1.0, natural_low=0.0)

    def judged(readings):
        measured = Quantity.combined(fmean(readings), "%", with_scatter((Part("gauge", gauge),), readings))
        found = decide(measured, ends)
        return Finding(Key("COA-13", "mean"), found.verdict, measured, ends, margin=found.margin, notes=found.notes)

    dropped = data.draw(st.integers(0, len(values) - 1))
    fewer = [value for place, value in enumerate(values) if place != dropped]
    assume(judged(values).verdict is FAIL)
    assert hold(judged(fewer), ("One reading is lost.",)).verdict is FAIL


@given(st.lists(st.sampled_from(list(Standing)), min_size=1))
def test_the_weakest_standing_of_the_terms_is_what_a_page_shows(standings):
    order = [Standing.BUILDER, Standing.READ, Standing.SECOND_HAND, Standing.MEMORY, Standing.PRACTICE]
    weaker = max(standings, key=order.index)
    assert weakest(tuple(standings)) is weaker
    assert Limit("%", tuple(Term("x", standing) for standing in standings), low=1.0).standing is weaker


@given(VALUES, VALUES, st.floats(0.001, 50.0))
def test_outcomes_agree_with_the_conformance_probability(low, value, expanded):
    """An independent way to the same outcome, by the normal distribution: Phi(2) = 0.97725, Phi(-2) = 0.02275."""
    probability = conformance_probability(value, expanded / 2.0, low=low)
    lines = (0.977249868, 0.5, 0.022750132)
    assume(all(abs(probability - line) > 1e-6 for line in lines))
    expected = [PASS, CONDITIONAL_PASS, CONDITIONAL_FAIL, FAIL][sum(probability < line for line in lines)]
    assert decide(Quantity(value, "%", expanded), limit(low=low)).verdict is expected


def test_lifting_the_upper_end_adds_the_reason():
    both = limit(8.0, 48.0, "h")
    open_ended = both.without_high(Term("abraded again", Standing.READ, source="UFGS-09971"))
    assert (open_ended.low, open_ended.high, open_ended.standing) == (8.0, None, Standing.READ)
    assert len(open_ended.terms) == 2
