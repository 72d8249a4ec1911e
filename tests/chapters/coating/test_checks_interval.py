"""COA-04, the interval between readings: every verdict, and limits that no log can keep. Synthetic rows.

UFGS 09971, page 28 (read): readings at least hourly. Times are logged to the minute: u = 1 / sqrt(12) min at each end,
U = 2 x sqrt(2) x 0.28868 min = 0.8165 min = 0.013608 h.
"""

from __future__ import annotations

from datetime import datetime

import pytest

from buildbook.chapters.coating.checks.climate import INTERVAL, MARGIN, dew_point_margins, temperature_and_humidity
from buildbook.chapters.coating.formulas.climate import longest_stretch
from buildbook.chapters.coating.records import Climate, Coat, Product
from buildbook.core.evidence import Evidence
from buildbook.core.hull import Specification
from buildbook.core.quantity import Kind
from tests.chapters.coating.test_checks_climate import COAT, SHEET, at, hourly, rows
from tests.chapters.evidence_builder import deleted, evidence, spoiled
from tests.chapters.small_folder import (
    FAIL,
    INCONCLUSIVE,
    NO_RECORD,
    PASS,
    REFERENCE,
    expanded,
    limit_of,
    one,
    said,
    specification,
    specified,
    value,
)


def intervals(*readings, high=None, held: Evidence | None = None, **more):
    mine = specification(specified("COA-04", INTERVAL, "h", high=high)) if high is not None else None
    held = held or evidence(rows(*readings, **more), specification=mine)
    return [finding for finding in dew_point_margins(held) if finding.key.quantity == INTERVAL]


def test_coa_04_pass_an_hour_between_readings_is_hourly():
    found = one(intervals(*hourly()))
    assert (found.verdict, value(found), found.margin, found.guard) == (PASS, 1.0, 0.0, 0.0)
    assert expanded(found) == pytest.approx(0.013608, abs=1e-6)
    assert said(found, "the published reference is used")


def test_coa_04_fail_a_gap_is_a_finding_of_its_own():
    """09:00 to 11:00 where one hour was agreed: the margin is inconclusive, the interval was not kept."""
    both = list(dew_point_margins(evidence(rows(at(8), at(9), at(11)))))
    found = one(both, INTERVAL)
    assert (found.verdict, value(found), found.margin) == (FAIL, 2.0, -1.0)
    assert found.observed == "2026-03-18 09:00 to 11:00"
    assert [where.line for where in found.at] == [3, 4]
    assert one(both, MARGIN).verdict is INCONCLUSIVE


@pytest.mark.parametrize(("high", "verdict"), [(2.0, PASS), (1.5, FAIL)])
def test_coa_04_pass_or_fail_by_the_interval_the_builder_agreed_to(high, verdict):
    found = intervals(at(8), at(9), at(11), high=high)
    assert (one(found).verdict, limit_of(one(found)).high) == (verdict, high)
    assert one(found, role=REFERENCE).verdict is FAIL  # the published hour stands beside it


@pytest.mark.parametrize("readings", [(at(8), at(9)), (at(10), at(11))], ids=["end", "start"])
def test_coa_04_fail_no_reading_at_one_end_of_the_job(readings):
    """Application 08:00 to 09:00, first cure to 11:00."""
    assert (one(intervals(*readings)).verdict, value(one(intervals(*readings)))) == (FAIL, 2.0)


def test_coa_04_fail_readings_only_before_and_after_the_job():
    found = one(intervals(at(7), at(12)))
    assert (found.verdict, value(found)) == (FAIL, 5.0)


def test_coa_04_fail_no_reading_in_this_zone_although_there_is_a_log():
    found = one(intervals(at(9, zone="Z2")))
    assert found.measured is not None
    assert (found.verdict, found.measured.kind, value(found)) == (FAIL, Kind.AT_LEAST, 3.0)
    assert found.observed == "no reading while the coat went on and set"


def test_coa_04_inconclusive_a_job_shorter_than_the_interval_without_a_reading():
    found = one(intervals(at(9, zone="Z2"), high=6.0))
    assert found.verdict is INCONCLUSIVE


def test_coa_04_no_record_of_the_interval_without_the_log():
    assert one(intervals()).verdict is NO_RECORD


def test_coa_04_inconclusive_where_the_end_of_the_first_cure_is_not_known():
    found = one(intervals(*hourly(), sheet={**SHEET, "first_cure": None}))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "gives no first cure")


@pytest.mark.parametrize("high", [-1.0, 0.0, 1e-12, 1e200])
@pytest.mark.parametrize(("readings", "verdict"), [(hourly(), INCONCLUSIVE), ([at(8), at(9), at(11)], FAIL)])
def test_coa_04_inconclusive_or_fail_with_an_interval_no_log_can_keep(high, readings, verdict):
    """It is not used, it is not replaced in silence, and nothing passes by it."""
    mine = specification(specified("COA-04", INTERVAL, "h", high=high))
    both = list(dew_point_margins(evidence(rows(*readings), specification=mine)))
    assert one(both, INTERVAL).verdict is verdict
    assert said(one(both, INTERVAL), "cannot be kept by any log: not used")
    assert one(both, MARGIN).verdict is INCONCLUSIVE
    assert said(one(both, MARGIN), "cannot be kept by any log: not used")


def test_coa_04_inconclusive_with_an_interval_that_has_a_least_and_no_greatest():
    mine = specification(specified("COA-04", INTERVAL, "h", low=1.0))
    assert one(intervals(held=evidence(rows(*hourly()), specification=mine))).verdict is INCONCLUSIVE


def test_a_reading_whose_time_can_be_made_out_was_taken_and_a_lost_one_was_not():
    given = evidence(rows(at(8), at(9), at(11)))
    damp = spoiled(given, Climate, 1, ["humidity"])
    assert value(one(intervals(held=damp))) == 2.0
    for lost in (spoiled(given, Climate, 1, ["at"]), deleted(given, Climate, 1)):
        assert (one(intervals(held=lost)).verdict, value(one(intervals(held=lost)))) == (FAIL, 3.0)


def test_two_readings_at_one_minute_count_as_one():
    doubled = evidence(rows(*hourly(), at(9, surface=17.0)), unread={Climate: [{"zone": "Z1", "at": None}]})
    assert value(one(intervals(held=doubled))) == 1.0


def test_every_coat_has_its_own_interval():
    second = {**COAT, "coat": "Z1-2", "layer": 2, "started": "2026-03-18 10:00", "finished": "2026-03-18 10:30"}
    held = evidence({**rows(*hourly()), Coat: [COAT, second], Product: [SHEET]})
    found = intervals(held=held)
    assert value(one(found, condition="Z1-1")) == 1.0
    assert value(one(found, condition="Z1-2")) == 1.5  # 11:00 to 12:30, two hours after 10:30


def test_the_longest_stretch_counts_the_ends_of_the_job():
    def hour(number: int) -> datetime:
        return datetime(2026, 3, 18, number)

    assert longest_stretch([hour(9), hour(10)], hour(8), hour(13)).hours == 3.0
    assert longest_stretch([hour(7), hour(12)], hour(8), hour(13)).hours == 4.0
    assert longest_stretch([hour(6), hour(14)], hour(8), hour(13)).hours == 8.0
    assert longest_stretch([], hour(8), hour(13)).hours == 5.0


def test_an_entry_that_could_not_be_read_may_have_set_a_shorter_interval():
    """Half-hourly agreed: hourly readings leave gaps in all findings of the climate; a slip in hull.toml mends none."""
    agreed = specification(specified("COA-04", INTERVAL, "h", high=0.5))
    lost = Specification(unread=(("COA-04", "hull.toml:85, limits[3].high: expected a number; found rubbish"),))
    for mine in (agreed, lost):
        held = evidence(rows(*hourly()), specification=mine)
        found = [*dew_point_margins(held), *temperature_and_humidity(held)]
        governing = [f.verdict for f in found if f.key.quantity != INTERVAL and f.key.role is not REFERENCE]
        assert governing == [INCONCLUSIVE] * 4
