"""COA-04 dew-point margin, COA-05 temperature and humidity: every verdict, on synthetic rows.

One air throughout: 20 degC at 60 %, dew point 11.9955 degC (WMO-No. 8 constants; printed as 12.0 in dew-point tables).
Uncertainty by hand: U = 0.4 K (air), 2 % (humidity), 0.6 K (surface) at k = 2, so u = 0.2, 1.0, 0.3.
g = ln 0.6 + 17.62 x 20 / 263.12 = 0.82849; dTd/dg = 243.12 x 17.62 / (17.62 - g)^2 = 15.193 K;
dTd/dRH = 15.193 / 60 = 0.25322 K per %; dTd/dTa = 15.193 x 4283.8 / 263.12^2 = 0.94009;
u = sqrt((0.25322 x 1.0)^2 + (0.94009 x 0.2)^2 + 0.3^2) = 0.43527 K, U = 0.8705 K.
"""

from __future__ import annotations

import psychrolib
import pytest

from buildbook.chapters.coating.checks.climate import INTERVAL, MARGIN, dew_point_margins, temperature_and_humidity
from buildbook.chapters.coating.records import Climate, Coat, Product
from buildbook.chapters.shared_records import Instrument
from buildbook.core.finding import CALIBRATION_NOT_SHOWN
from buildbook.core.source import Standing
from buildbook.core.wording import verdict_text
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    NO_RECORD,
    PASS,
    REFERENCE,
    Tables,
    expanded,
    instrument,
    limit_of,
    one,
    said,
    specification,
    specified,
    value,
)

U_MARGIN = 0.8705
DEW_POINT = 11.9955
AIR, HUMIDITY, SURFACE = "air temperature", "relative humidity", "surface temperature"
INSTRUMENTS = (
    instrument("TH-01", AIR, "degC", 0.4, range_low=-10, range_high=60),
    instrument("TH-01", HUMIDITY, "%", 2.0, range_low=5, range_high=95),
    instrument("ST-01", SURFACE, "degC", 0.6, range_low=-10, range_high=80),
)
SHEET = {
    "product": "PU-T",
    "air_low": 15,
    "air_high": 30,
    "surface_low": 15,
    "surface_high": 30,
    "humidity_high": 75,
    "first_cure": 2,
}
COAT = {
    "coat": "Z1-1",
    "zone": "Z1",
    "layer": 1,
    "product": "PU-T",
    "started": "2026-03-18 08:00",
    "finished": "2026-03-18 09:00",
    "mixed": "2026-03-18 07:45",
}
HOURS = (8, 9, 10, 11)  # one hour of application and two of first cure


def at(hour, surface=18.0, air=20.0, humidity=60.0, zone="Z1", **more):
    minute = round(hour % 1 * 60)
    when = f"2026-03-18 {int(hour):02}:{minute:02}"
    return {"zone": zone, "at": when, "air": air, "humidity": humidity, "surface": surface, **more}


def hourly(**cells):
    return [at(hour, **cells) for hour in HOURS]


def rows(*readings, sheet=SHEET, coats=(COAT,), instruments=INSTRUMENTS) -> Tables:
    products = [sheet] if sheet else []
    return {Coat: coats, Climate: readings, Product: products, Instrument: instruments}


def margins(*readings, sheet=SHEET, coats=(COAT,), instruments=INSTRUMENTS, **more):
    """The findings about the margin; those about the interval between readings have a module of their own."""
    held = evidence(rows(*readings, sheet=sheet, coats=coats, instruments=instruments), **more)
    return [finding for finding in dew_point_margins(held) if finding.key.quantity == MARGIN]


def conditions(*readings, sheet=SHEET, coats=(COAT,), instruments=INSTRUMENTS, **more):
    held = evidence(rows(*readings, sheet=sheet, coats=coats, instruments=instruments), **more)
    return list(temperature_and_humidity(held))


# COA-04


@pytest.mark.parametrize(
    ("surface", "margin"),
    [(18.0, 3.0045), (20.0, 5.0045)],  # 18 - 11.9955 - 3
)
def test_coa_04_pass_by_more_than_the_uncertainty(surface, margin):
    found = one(margins(*hourly(surface=surface)), MARGIN)
    assert found.verdict is PASS
    assert value(found) == pytest.approx(surface - DEW_POINT, abs=5e-4)
    assert found.margin == pytest.approx(margin, abs=5e-4)
    assert found.guard == pytest.approx(U_MARGIN, abs=5e-4)
    assert expanded(found) == pytest.approx(U_MARGIN, abs=5e-4)
    assert found.measured is not None
    assert {part.name for part in found.measured.parts} == {AIR, HUMIDITY, SURFACE}
    assert found.instruments == ("TH-01", "ST-01")
    assert len(found.at) == len(HOURS)


def test_coa_04_the_margin_agrees_with_an_independent_program():
    """psychrolib, 20 degC and 60 %: 12.007 degC; the two formulas differ by 0.012 K here."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = one(margins(*hourly(surface=18.0)))
    assert value(found) == pytest.approx(18.0 - psychrolib.GetTDewPointFromRelHum(20.0, 0.6), abs=0.04)


def test_coa_04_conditional_pass_closer_than_the_uncertainty():
    """15.5 - 11.9955 = 3.5045 K: over 3 K by 0.5045 K, less than 0.8705 K."""
    found = one(margins(*hourly(surface=15.5)))
    assert found.verdict is CONDITIONAL_PASS
    assert found.margin == pytest.approx(0.5045, abs=5e-4)


def test_coa_04_conditional_fail_below_by_less_than_the_uncertainty():
    """14.5 - 11.9955 - 3 = -0.4955 K."""
    found = one(margins(*hourly(surface=14.5)))
    assert found.verdict is CONDITIONAL_FAIL
    assert found.margin == pytest.approx(-0.4955, abs=5e-4)


def test_coa_04_fail_below_by_more_than_the_uncertainty():
    """13.5 - 11.9955 - 3 = -1.4955 K."""
    found = one(margins(*hourly(surface=13.5)))
    assert found.verdict is FAIL
    assert found.margin == pytest.approx(-1.4955, abs=5e-4)


def test_coa_04_fail_the_worst_reading_counts_not_the_mean():
    """Three readings of 22 degC and one of 13 degC: the mean surface would pass."""
    found = one(margins(at(8, 22), at(9, 22), at(10, 13), at(11, 22)))
    assert found.verdict is FAIL
    assert value(found) == pytest.approx(13.0 - DEW_POINT, abs=5e-4)
    assert found.working[0] == "smallest of 4 readings, 2026-03-18 10:00 (coating/climate.csv:4)"


def test_coa_04_a_reading_outside_the_job_or_of_another_zone_does_not_count():
    wet = (at(7, 12), at(12, 12), at(10, 12, zone="Z2"))
    found = one(margins(*hourly(surface=18.0), *wet))
    assert found.verdict is PASS
    assert len(found.at) == len(HOURS)


def test_coa_04_inconclusive_with_a_gap_longer_than_agreed():
    """UFGS 09971, page 28 (read): at least hourly. 09:00 to 11:00 is two hours."""
    found = one(margins(at(8), at(9), at(11)))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "No reading from 2026-03-18 09:00 to 2026-03-18 11:00, longer than the agreed 1 h")


@pytest.mark.parametrize("readings", [(at(8), at(9)), (at(10), at(11)), (at(9.5),)], ids=["end", "start", "both"])
def test_coa_04_inconclusive_with_readings_for_part_of_the_job(readings):
    assert one(margins(*readings)).verdict is INCONCLUSIVE


def test_coa_04_fail_stays_a_fail_beside_a_gap():
    found = one(margins(at(8, 13.5), at(9), at(11)))
    assert found.verdict is FAIL
    assert said(found, "that stretch is not recorded")


def test_coa_04_pass_with_the_interval_the_builder_set():
    mine = specification(specified("COA-04", INTERVAL, "h", high=2.0))
    assert one(margins(at(8), at(9), at(11), specification=mine)).verdict is PASS


def test_coa_04_pass_with_a_stretch_covered_by_neighbours_outside_the_job():
    """Readings at 07:40, 08:40 ... 11:40: every moment lies between two that are an hour apart."""
    assert one(margins(*(at(hour + 2 / 3) for hour in (7, 8, 9, 10, 11)))).verdict is PASS


def test_coa_04_inconclusive_when_the_first_cure_is_not_known():
    without = {**SHEET, "first_cure": None}
    found = one(margins(*hourly(), sheet=without))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "The data sheet row of PU-T gives no first cure")
    lost = one(margins(*hourly(), sheet=None))
    assert lost.verdict is INCONCLUSIVE
    assert said(lost, "Product PU-T has no readable data sheet row")


def test_coa_04_inconclusive_with_an_instrument_nobody_knows():
    found = one(margins(*hourly(instrument="TH-09")))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "Instrument TH-09 (air temperature) is not in the instrument table.")


def test_coa_04_inconclusive_outside_the_range_of_the_instrument():
    found = one(margins(*hourly(air=20.0, humidity=97.0, surface=28.0)))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "4 of 4 readings lie outside its range")


def test_coa_04_an_overdue_instrument_is_said_with_the_verdict():
    overdue = [{**row, "due": "2026-03-01"} for row in INSTRUMENTS]
    found = one(margins(*hourly(), instruments=overdue))
    assert found.verdict is PASS
    assert said(found, f"{CALIBRATION_NOT_SHOWN}: TH-01 (air temperature) was calibrated from 2025-09-01 to 2026-03-01")
    assert verdict_text(found) == "pass, instrument calibration not shown"


def test_coa_04_without_an_uncertainty_the_verdict_is_conditional_at_best_and_says_so():
    """3.5045 K: a conditional pass with U and without one, and the page says how often that can be wrong."""
    silent = [{**row, "uncertainty": None, "coverage": None} for row in INSTRUMENTS]
    found = one(margins(*hourly(surface=15.5), instruments=silent))
    assert found.verdict is CONDITIONAL_PASS
    assert said(found, "The uncertainty was not stated.")


@pytest.mark.parametrize("silent", [0, 1, 2])
def test_coa_04_no_uncertainty_is_made_up_from_two_of_three_instruments(silent):
    row = {**INSTRUMENTS[silent], "uncertainty": None, "coverage": None}
    meters = [row if at == silent else other for at, other in enumerate(INSTRUMENTS)]
    found = one(margins(*hourly(), instruments=meters))
    assert found.measured is not None
    assert found.measured.expanded is None


def test_coa_04_no_record_without_any_reading():
    assert one(margins(at(10, zone="Z2"))).verdict is NO_RECORD
    missing = one(margins())
    assert missing.verdict is NO_RECORD
    assert said(missing, "coating/climate.csv")


def test_coa_04_inconclusive_for_a_coat_or_a_layer_without_a_usable_row():
    third = {**COAT, "coat": "Z1-3", "layer": 3}
    held = evidence(rows(*hourly(), coats=(COAT, third)), unread={Coat: [{"coat": "Z2-1", "zone": "Z2"}, {}]})
    found = [finding for finding in dew_point_margins(held) if finding.key.quantity == MARGIN]
    judged = {(finding.key.place, finding.key.condition): finding.verdict for finding in found}
    assert judged == {
        ("Z1", "Z1-1"): PASS,
        ("Z1", "Z1-3"): PASS,
        ("Z2", "Z2-1"): INCONCLUSIVE,
        ("", "coating/coats.csv:903"): INCONCLUSIVE,
    }
    missing = list(dew_point_margins(evidence(rows(*hourly(), coats=(COAT, third)))))
    assert one(missing, MARGIN, place="Z1", condition="layer 2").verdict is INCONCLUSIVE


def test_coa_04_fail_is_not_hidden_by_a_reading_the_formula_does_not_hold_for():
    """-28 degC and 2 %: a dew point below -45 degC is refused, the other readings still count."""
    strange = at(9, surface=-20.0, air=-28.0, humidity=2.0)
    wide = [{**row, "range_low": -60} for row in INSTRUMENTS]
    found = one(margins(at(8, 13.5), strange, at(10), at(11), instruments=wide))
    assert found.verdict is FAIL
    assert said(found, "coating/climate.csv:3: dew point of this air is")
    assert one(margins(strange, instruments=wide)).verdict is INCONCLUSIVE


def test_coa_04_the_builders_limit_governs_then_the_data_sheet_then_the_published_one():
    """6.0045 K: misses the builder's 8 K, meets the sheet's 5 K and the published 3 K."""
    sheet = {**SHEET, "margin_low": 5}
    mine = specification(specified("COA-04", MARGIN, "K", low=8.0))
    both = margins(*hourly(), sheet=sheet, specification=mine)
    assert (one(both).verdict, one(both, role=REFERENCE).verdict) == (FAIL, PASS)
    by_sheet = margins(*hourly(), sheet=sheet)
    assert limit_of(one(by_sheet)).low == 5.0
    assert limit_of(one(by_sheet)).terms[0].document == SHEET.get("sheet", "TDS-PU-T")
    assert limit_of(one(by_sheet, role=REFERENCE)).low == 3.0
    alone = one(margins(*hourly()))
    assert (limit_of(alone).low, limit_of(alone).standing) == (3.0, Standing.READ)
    assert said(alone, "the published reference is used")


# COA-05


@pytest.mark.parametrize(
    ("quantity", "cells", "margin", "u"),
    [
        (AIR, {"air": 22.0}, 7.0, 0.4),  # 15 to 30 degC: the nearer end is 15
        (SURFACE, {"surface": 26.0}, 4.0, 0.6),  # 30 - 26
        (HUMIDITY, {"humidity": 70.0}, 5.0, 2.0),  # 75 - 70
    ],
)
def test_coa_05_pass_inside_the_data_sheet(quantity, cells, margin, u):
    found = one(conditions(*hourly(**cells)), quantity)
    assert found.verdict is PASS
    assert found.margin == pytest.approx(margin)
    assert found.guard == pytest.approx(u)


@pytest.mark.parametrize(
    ("quantity", "cells", "margin"),
    [(AIR, {"air": 15.3}, 0.3), (SURFACE, {"surface": 29.5}, 0.5), (HUMIDITY, {"humidity": 74.0}, 1.0)],
)
def test_coa_05_conditional_pass_closer_than_the_uncertainty(quantity, cells, margin):
    found = one(conditions(*hourly(**cells)), quantity)
    assert found.verdict is CONDITIONAL_PASS
    assert found.margin == pytest.approx(margin)


@pytest.mark.parametrize(
    ("quantity", "cells", "margin"),
    [(AIR, {"air": 14.7}, -0.3), (SURFACE, {"surface": 30.5}, -0.5), (HUMIDITY, {"humidity": 76.5}, -1.5)],
)
def test_coa_05_conditional_fail_outside_by_less_than_the_uncertainty(quantity, cells, margin):
    found = one(conditions(*hourly(**cells)), quantity)
    assert found.verdict is CONDITIONAL_FAIL
    assert found.margin == pytest.approx(margin)


@pytest.mark.parametrize(
    ("quantity", "cells", "margin"),
    [(AIR, {"air": 12.0}, -3.0), (SURFACE, {"surface": 33.0}, -3.0), (HUMIDITY, {"humidity": 80.0}, -5.0)],
)
def test_coa_05_fail_outside_by_more_than_the_uncertainty(quantity, cells, margin):
    found = one(conditions(*hourly(**cells)), quantity)
    assert found.verdict is FAIL
    assert found.margin == pytest.approx(margin)


def test_coa_05_fail_one_reading_of_four():
    found = one(conditions(at(8), at(9, air=12.0), at(10), at(11)), AIR)
    assert (found.verdict, value(found)) == (FAIL, 12.0)
    assert found.working[0].startswith("4 readings from 12 to 20; nearest to the limit at 2026-03-18 09:00")


def test_coa_05_each_limit_has_its_own_worst_reading():
    """Sheet 12 to 40 degC, published 10 to 35 degC: 14 is nearest to the sheet's end, 36 outside the published one."""
    sheet = {**SHEET, "air_low": 12, "air_high": 40}
    found = conditions(at(8, air=14.0), at(9, air=36.0), at(10), at(11), sheet=sheet)
    assert (one(found, AIR).verdict, value(one(found, AIR))) == (PASS, 14.0)
    beside = one(found, AIR, role=REFERENCE)
    assert (beside.verdict, value(beside)) == (FAIL, 36.0)


def test_coa_05_the_published_range_governs_where_the_sheet_is_silent():
    sheet = {**SHEET, "humidity_high": None}
    found = conditions(*hourly(humidity=80.0), sheet=sheet)
    humidity = one(found, HUMIDITY)
    assert (humidity.verdict, limit_of(humidity).high) == (PASS, 85.0)
    assert [finding for finding in found if finding.key.quantity == HUMIDITY] == [humidity]


def test_coa_05_the_builders_range_comes_before_the_sheets():
    mine = specification(specified("COA-05", HUMIDITY, "%", high=60.0))
    assert one(conditions(*hourly(humidity=70.0), specification=mine), HUMIDITY).verdict is FAIL


def test_coa_05_inconclusive_with_a_gap():
    found = conditions(at(8), at(9), at(11))
    assert {one(found, quantity).verdict for quantity in (AIR, SURFACE, HUMIDITY)} == {INCONCLUSIVE}


def test_coa_05_inconclusive_for_a_coat_that_cannot_be_read():
    held = evidence({Climate: hourly()}, unread={Coat: [{"coat": "Z1-1", "zone": "Z1"}]})
    found = list(temperature_and_humidity(held))
    assert {finding.verdict for finding in found} == {INCONCLUSIVE}
    assert len(found) == 3


def test_coa_05_no_record_without_any_reading():
    assert {finding.verdict for finding in conditions()} == {NO_RECORD}


def test_coa_05_inconclusive_where_no_humidity_can_be_told_from_dry_to_saturated():
    """U = 40 % against at most 75 %, and no humidity is below 0: 75 - 0 > 40, so there is room; 80 % leaves none."""
    coarse = [INSTRUMENTS[0], instrument("TH-01", HUMIDITY, "%", 80.0), INSTRUMENTS[2]]
    found = one(conditions(*hourly(humidity=50.0), instruments=coarse), HUMIDITY)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "too coarse for this limit")
