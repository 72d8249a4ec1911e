"""COA-16 the laminate was dry and hard before paint: every verdict, on synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.laminate import BARCOL, MOISTURE, dry_and_hard
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Place, Planned
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    Tables,
    expanded,
    instrument,
    near,
    one,
    planned,
    said,
    specification,
    specified,
    value,
    zone,
)

METERS = (
    instrument("MM-01", "moisture", "1", 1.2, range_low=0, range_high=100),
    instrument("BI-01", BARCOL, "1", 1.5, range_low=0, range_high=100),
)
MINE = (specified("COA-16", MOISTURE, "1", high=5.0), specified("COA-16", BARCOL, "1", 38.0))


def wet(*pairs, where="Z1", **more):
    """Readings on the meter's scale, each with its dry reference."""
    return [
        {"place": where, "number": number, "reading": reading, "dry_reference": dry, "instrument": "MM-01"}
        | {"at": f"2026-02-27 10:{number:02}", **more}
        for number, (reading, dry) in enumerate(pairs, 1)
    ]


def hard(*values, where="Z1", attempt=1, **more):
    return [
        {"place": where, "attempt": attempt, "number": number, "barcol": barcol, "instrument": "BI-01"}
        | {"at": f"2026-02-27 11:{number:02}", **more}
        for number, barcol in enumerate(values, 1)
    ]


def laminate(moisture=(), hardness=(), places=None, mine=MINE, meters=METERS, unread=None, plan=()):
    tables: Tables = {Place: places or [zone()], Moisture: moisture, Hardness: hardness, Instrument: meters}
    tables[Planned] = plan
    tables = {kind: rows for kind, rows in tables.items() if kind not in (unread or {}) or rows}
    return list(dry_and_hard(evidence(tables, specification=specification(*mine), unread=unread)))


@pytest.mark.parametrize(
    ("reading", "dry", "margin", "verdict"),
    [
        (11, 9, 3, PASS),
        (14, 10, 1, CONDITIONAL_PASS),
        (16, 10, -1, CONDITIONAL_FAIL),
        (20, 10, -5, FAIL),
    ],
    ids=["pass", "conditional pass", "conditional fail", "fail"],
)
def test_coa_16_pass_conditional_pass_conditional_fail_fail_by_the_moisture(reading, dry, margin, verdict):
    """At most 5 units above the dry reference; the meter's u = 0.6 comes in twice: U = 2 x 0.6 x sqrt(2) = 1.6971."""
    found = one(laminate(wet((reading, dry))), MOISTURE)
    assert (found.verdict, value(found), found.margin) == (verdict, reading - dry, margin)
    assert (expanded(found), found.guard) == (near(1.6971, abs=5e-5), near(1.6971, abs=5e-5))
    assert said(found, "not a share of water")


def test_coa_16_fail_the_worst_reading_above_its_own_reference_counts():
    """18 above a reference of 15 is 3; 16 above 9 is 7."""
    found = one(laminate(wet((18, 15), (16, 9), (10, 9))), MOISTURE)
    assert (found.verdict, value(found)) == (FAIL, 7.0)
    assert found.working == ("16 − 9 = 7 scale units (moisture.csv:3)",)


def test_coa_16_a_reading_below_its_reference_is_dry():
    assert value(one(laminate(wet((8, 9))), MOISTURE)) == -1.0


def test_coa_16_inconclusive_far_below_the_reference_since_the_two_may_be_exchanged():
    """Below it by more than U = 1.70 no spot can be: 33 beside 8, exchanged, would pass by 30."""
    found = one(laminate(wet((8, 33), (10, 9))), MOISTURE)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "1 of the readings lies below the dry reference, first 8 below 33 (moisture.csv:2)")
    assert one(laminate(wet((8, 9.69))), MOISTURE).verdict is PASS
    assert one(laminate(wet((8, 9.71))), MOISTURE).verdict is INCONCLUSIVE
    assert one(laminate(wet((8, 33), (16, 9))), MOISTURE).verdict is FAIL


def test_coa_16_inconclusive_on_different_scales():
    mixed = wet((11, 9)) + [{**row, "number": 2, "meter_scale": "0-999"} for row in wet((11, 9))]
    found = one(laminate(mixed), MOISTURE)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "different scales (relative 0-100, mode 2; 0-999): not comparable")
    assert found.limit is not None


@pytest.mark.parametrize(
    ("values", "margin", "verdict"),
    [
        ((43, 45), 6, PASS),
        ((39, 41), 2, CONDITIONAL_PASS),
        ((36, 38), -1, CONDITIONAL_FAIL),
        ((31, 33), -6, FAIL),
    ],
    ids=["pass", "conditional pass", "conditional fail", "fail"],
)
def test_coa_16_pass_conditional_pass_conditional_fail_fail_by_the_mean_hardness(values, margin, verdict):
    """At least 38; the impressor's 0.75 and two readings 2 apart: u = sqrt(0.75^2 + 1.0^2) = 1.25.

    nu = 1.5625^2 / (1^4 / 1) = 2.4, cut down to 2: k = 4.53 (JCGM 100:2008, table G.2, 95.45 %), U = 5.66.
    """
    found = one(laminate(hardness=hard(*values)), BARCOL)
    assert (found.verdict, found.margin, found.guard) == (verdict, near(margin), near(5.66, abs=5e-3))
    assert found.working == (f"2 readings from {values[0]} to {values[1]}, mean {sum(values) / 2:.2f}",)


def test_coa_16_information_without_a_limit():
    found = laminate(wet((11, 9)), hard(40, 42), mine=())
    assert {finding.verdict for finding in found} == {INFORMATION}


@pytest.mark.parametrize("meter", ["MM-09", "BI-01"])
def test_coa_16_inconclusive_with_a_meter_not_known_for_it(meter):
    assert one(laminate(wet((11, 9), instrument=meter)), MOISTURE).verdict is INCONCLUSIVE


def test_coa_16_not_measured_on_painted_and_planned_places():
    found = laminate(
        wet((11, 9)),
        hard(40, 42),
        places=[zone(), zone("Z2"), zone("M1", substrate="aluminium")],
        plan=[planned("COA-16", "Z9", "moisture.csv")],
    )
    assert {finding.key.place for finding in found} == {"Z1", "Z2", "Z9"}
    assert {finding.verdict for finding in found if finding.key.place != "Z1"} == {NOT_MEASURED}


def test_coa_16_no_record_where_the_tables_are_missing():
    assert [finding.verdict for finding in laminate()] == [NO_RECORD, NO_RECORD]


def test_coa_16_inconclusive_when_no_row_can_be_read():
    lost = {Moisture: [{"place": "Z1"}], Hardness: [{"place": "Z1", "attempt": 1}]}
    assert [finding.verdict for finding in laminate(unread=lost)] == [INCONCLUSIVE, INCONCLUSIVE]


def test_coa_16_the_first_series_stays_beside_the_one_after_more_cure():
    found = laminate(wet((11, 9)), hard(30, 32) + hard(44, 46, attempt=2))
    assert [one(found, BARCOL, attempt=number).verdict for number in (1, 2)] == [FAIL, PASS]


def test_coa_16_metal_with_readings_is_not_passed_over():
    found = laminate(wet((20, 10), where="M1"), places=[zone("M1", substrate="steel")])
    assert (one(found, MOISTURE).verdict, len(found)) == (FAIL, 1)
