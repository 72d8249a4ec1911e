"""COA-07 pot life and batches, COA-15 people and days: every verdict, on synthetic rows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.chapters.coating.checks.schedule import (
    BATCHES,
    EFFORT,
    POT,
    effort,
    pot_life_and_batches,
)
from buildbook.chapters.coating.records import Batch, Climate, Coat, Effort, Product
from buildbook.core.judging import PRACTICE_GOVERNS
from buildbook.core.quantity import Kind
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    PASS,
    Tables,
    expanded,
    limit_of,
    one,
    said,
    specification,
    specified,
    value,
)

BELOW = {
    "coat": "Z1-1",
    "zone": "Z1",
    "layer": 1,
    "product": "PU-T",
    "mixed": "2026-03-18 07:30",
    "started": "2026-03-18 07:45",
    "finished": "2026-03-18 08:00",
}


# COA-07: pot life. Halves for every 10 degC (UFGS 09971, page 26, read).

SHEET = {"product": "PU-T", "pot_life": 3, "pot_life_at": 20}
BATCH_ROWS = (
    {"batch": "B-1", "product": "PU-T", "component": "base", "expires": "2026-12-01"},
    {"batch": "H-1", "product": "PU-T", "component": "hardener", "expires": "2026-03-18"},
    {"batch": "T-1", "product": "PU-T", "component": "thinner", "expires": "2026-03-17"},
)
TINS = {"base_batch": "B-1", "hardener_batch": "H-1"}


def every_half_hour(*air):
    """One climate reading every half an hour from 08:00 on; the last temperature stays until 14:00."""
    return [
        {"zone": "Z1", "at": f"2026-03-18 {8 + n // 2:02}:{n % 2 * 3}0", "air": degrees, "surface": degrees}
        for n, degrees in enumerate([*air, *[air[-1]] * (13 - len(air))])
    ]


def mixed(minutes, air=20.0, sheet=SHEET, batches=BATCH_ROWS, climate=None, unread=None, mine=None, **more):
    """A coat mixed at 08:00, begun at 08:00 and finished so many minutes later."""
    end = f"2026-03-18 {8 + minutes // 60:02}:{minutes % 60:02}"
    coat = {**BELOW, "mixed": "2026-03-18 08:00", "started": "2026-03-18 08:00", "finished": end, **TINS, **more}
    weather = every_half_hour(air) if climate is None else climate
    rows: Tables = {Coat: [coat], Product: [sheet] if sheet else [], Batch: batches, Climate: weather}
    return list(pot_life_and_batches(evidence(rows, unread=unread, specification=mine)))


def test_coa_07_pass_used_within_the_pot_life():
    found = one(mixed(120), POT)
    assert (found.verdict, value(found), found.margin) == (PASS, 2.0, 1.0)  # 3 h at 20 degC
    assert [term.standing for term in limit_of(found).terms] == [Standing.BUILDER]
    assert found.working == (
        "2026-03-18 08:00 to 10:00: 2.00 h",
        "warmest air from mixing to end: 20 °C, 2026-03-18 08:00",
        "pot life at 20 °C: 3 h, the data sheet's own, never made longer",
    )
    assert [where.file for where in found.at] == ["coating/coats.csv", "coating/climate.csv"]


def test_coa_07_fail_cold_does_not_make_the_pot_life_longer_than_the_sheets():
    """3 h at 20 degC; the rule would give 6 h at 10 degC, and the sheet does not."""
    found = one(mixed(240, air=10.0), POT)
    assert (found.verdict, limit_of(found).high, found.margin) == (FAIL, 3.0, -1.0)
    assert one(mixed(150, air=10.0), POT).verdict is PASS


@pytest.mark.parametrize(("minutes", "verdict"), [(180, CONDITIONAL_PASS), (181, FAIL), (179, PASS)])
def test_coa_07_conditional_pass_on_the_end_of_the_pot_life_itself(minutes, verdict):
    """Both times are known to the minute: U = 0.8165 min."""
    found = one(mixed(minutes), POT)
    assert found.verdict is verdict
    assert expanded(found) == pytest.approx(0.013608, abs=1e-6)


def test_coa_07_conditional_fail_half_a_minute_over_the_pot_life():
    found = one(mixed(180, finished="2026-03-18 11:00:30"), POT)
    assert found.verdict is CONDITIONAL_FAIL


def test_coa_07_fail_by_the_heat_between_mixing_and_the_start():
    hot = [{"zone": "Z1", "at": f"2026-03-18 {clock}", "air": air} for clock, air in (("08:05", 30), ("09:00", 20))]
    found = one(mixed(120, started="2026-03-18 08:30", climate=hot), POT)
    assert (found.verdict, limit_of(found).high) == (FAIL, 1.5)
    assert found.working[1] == "warmest air from mixing to end: 30 °C, 2026-03-18 08:05"
    assert found.working[2] == "pot life at 30 °C: 1.5 h, shortened from the data sheet's by the rule"
    assert [term.standing for term in limit_of(found).terms] == [Standing.BUILDER, Standing.READ]


def test_coa_07_inconclusive_where_the_air_was_not_read_for_longer_than_agreed():
    """A gap longer than the agreed interval is not recorded, not a pass: common practice, no source, as for COA-04."""
    cool = [{"zone": "Z1", "at": f"2026-03-18 {clock}", "air": 20, "surface": 20} for clock in ("08:00", "10:00")]
    found = one(mixed(120, climate=cool), POT)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "No air temperature was read from 2026-03-18 08:00 to 2026-03-18 10:00; it may have been warmer")
    assert one(mixed(240, climate=cool), POT).verdict is FAIL  # 4 h in a pot life of 3 h at most
    rare = specification(specified("COA-04", "interval between readings", "h", high=2.0))
    assert one(mixed(120, climate=cool, mine=rare), POT).verdict is PASS


def test_coa_07_the_hot_rows_of_the_log_deleted_give_no_pass():
    """1.5 h at 30 degC: 2 h in the pot fail. Without the three rows that say so nobody knows how warm it was."""
    hot = every_half_hour(20, 30, 30, 30, 20)
    assert one(mixed(120, climate=hot), POT).verdict is FAIL
    assert one(mixed(120, climate=[hot[0], *hot[4:]]), POT).verdict is INCONCLUSIVE


def test_coa_07_inconclusive_where_the_agreed_interval_cannot_be_read():
    unread = replace(specification(), unread=(("COA-04", "limits.COA-04: expected a number; found 'half an hour'"),))
    found = one(mixed(120, mine=unread), POT)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "found 'half an hour'")


@pytest.mark.parametrize(("air", "life"), [(30.0, 1.5), (10.0, 3.0), (25.0, 2.1213)])  # 3 x 2^-((T - 20) / 10)
def test_coa_07_pass_or_fail_by_the_pot_life_at_the_warmest_air(air, life):
    found = one(mixed(120, air=air), POT)
    assert limit_of(found).high == pytest.approx(life, abs=5e-5)
    assert found.verdict is (PASS if life >= 2.0 else FAIL)


def test_coa_07_fail_used_too_long():
    found = one(mixed(120, air=30.0), POT)
    assert found.verdict is FAIL
    assert found.margin == pytest.approx(-0.5)  # 1.5 - 2


def test_coa_07_fail_by_the_warmest_reading_of_several():
    climate = [{"zone": "Z1", "at": f"2026-03-18 08:{m}0", "air": air} for m, air in ((0, 20), (3, 30), (5, 20))]
    assert one(mixed(120, climate=climate), POT).verdict is FAIL


@pytest.mark.parametrize(("clock", "verdict"), [("08:00", FAIL), ("10:00", FAIL), ("07:59", INCONCLUSIVE)])
def test_coa_07_fail_by_a_reading_at_either_end_of_the_application(clock, verdict):
    climate = [{"zone": "Z1", "at": f"2026-03-18 {clock}", "air": 30, "surface": 30}]
    assert one(mixed(120, climate=climate), POT).verdict is verdict


def test_coa_07_pass_by_the_builders_own_time():
    mine = specification(specified("COA-07", POT, "h", high=2.5))
    assert one(mixed(120, air=30.0, mine=mine), POT).verdict is PASS


@pytest.mark.parametrize(
    "more",
    [
        {"climate": []},
        {"sheet": {"product": "PU-T", "pot_life": None, "pot_life_at": None}},
        {"sheet": None},
        {"air": 42.0},
    ],
    ids=["no air temperature", "no pot life on the sheet", "no sheet", "beyond the rule"],
)
def test_coa_07_inconclusive_when_the_pot_life_is_not_known(more):
    assert one(mixed(120, **more), POT).verdict is INCONCLUSIVE


def test_coa_07_no_record_of_the_time_of_mixing():
    assert one(mixed(120, mixed=None), POT).verdict is NO_RECORD


def test_coa_07_inconclusive_for_a_coat_that_cannot_be_read():
    found = list(pot_life_and_batches(evidence({}, unread={Coat: [{"coat": "Z1-1", "zone": "Z1"}]})))
    assert {finding.key.quantity: finding.verdict for finding in found} == {POT: INCONCLUSIVE, BATCHES: INCONCLUSIVE}


# COA-07: batches


def test_coa_07_pass_every_tin_in_date_on_the_last_day_too():
    found = one(mixed(60), BATCHES)
    assert (found.verdict, found.observed) == (PASS, "earliest use-before date 2026-03-18")
    assert found.notes == (PRACTICE_GOVERNS,)
    assert len(found.at) == 3


def test_coa_07_fail_a_tin_used_after_its_date():
    found = one(mixed(60, thinner_batch="T-1"), BATCHES)
    assert (found.verdict, found.observed) == (FAIL, "out of date: T-1")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"base_batch": None}, "No batch number of the base."),
        ({"base_batch": None, "hardener_batch": None}, "No batch number of the base and the hardener."),
        ({"base_batch": "B-9"}, "Batch B-9 has no usable row in coating/batches.csv."),
        ({"batches": [*BATCH_ROWS[1:], {**BATCH_ROWS[0], "expires": None}]}, "Batch B-1 has no date in"),
        ({"batches": []}, "Batch B-1, H-1 has no usable row in coating/batches.csv."),
    ],
)
def test_coa_07_no_record_of_a_batch_or_its_date(more, words):
    found = one(mixed(60, **more), BATCHES)
    assert found.verdict is NO_RECORD
    assert found.notes[0].startswith(words)


def test_coa_07_fail_is_not_hidden_by_a_batch_that_is_not_known():
    found = one(mixed(60, thinner_batch="T-1", base_batch="B-9"), BATCHES)
    assert (found.verdict, found.observed) == (FAIL, "out of date: T-1")
    assert said(found, "Batch B-9 has no usable row")


# COA-15


def days(*given):
    """Day sheets as (day, stage, people, hours each)."""
    return [{"day": f"2026-03-{day:02}", "stage": s, "people": p, "hours": h} for day, s, p, h in given]


def test_coa_15_information_people_times_hours():
    """6 x 8 + 8 x 7.5 = 108 h on two days; another stage is counted apart."""
    found = list(effort(evidence({Effort: days((2, "sand", 6, 8), (3, "sand", 8, 7.5), (3, "mask", 2, 4))})))
    sanding = one(found, EFFORT, condition="sand")
    assert (sanding.verdict, value(sanding), sanding.limit) == (INFORMATION, 108.0, None)
    assert sanding.observed == "6 to 8 people on 2 days"
    assert said(sanding, "Effort shows what was spent, not what came of it")
    masking = one(found, condition="mask")
    assert (value(masking), masking.observed) == (8.0, "2 people on 1 day")


def test_hours_of_which_a_day_is_lost_are_told_as_at_least():
    found = one(effort(evidence({Effort: days((2, "sand", 6, 8))}, unread={Effort: [{"stage": "sand"}]})))
    assert value(found) == 48.0
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_LEAST


def test_coa_15_no_record_without_day_sheets():
    assert one(effort(evidence({Effort: []}))).verdict is NO_RECORD


def test_coa_15_inconclusive_when_no_day_of_a_stage_can_be_read():
    found = one(effort(evidence({}, unread={Effort: [{"stage": "sand"}]})), condition="sand")
    assert found.verdict is INCONCLUSIVE
