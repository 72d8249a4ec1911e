"""INF-03 and INF-07: every verdict, on synthetic rows. Air U = 0.5 K, mould and laminate 1 K, humidity 3 %."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.infusion.checks.climate import AIR, HUMIDITY, MOULD, PEAK, RESIN, conditions, peaks
from buildbook.chapters.infusion.records import Area, Infusion, LogReading, Mix, ResinSheet
from buildbook.chapters.schedule_records import Ply
from buildbook.core.finding import Finding
from buildbook.core.quantity import Kind
from tests.chapters.infusion.infusion_folder import SHEET, area, at, folder, infusion, log, mix
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    PASS,
    REFERENCE,
    expanded,
    limit_of,
    near,
    one,
    said,
    specified,
    value,
)


def climate(tables: Any = None, mine: Any = (), **more: Any) -> list[Finding]:
    return list(conditions(folder(tables, mine, **more)))


def hottest(tables: Any = None, mine: Any = (), **more: Any) -> Finding:
    return one(list(peaks(folder(tables, mine, **more))), PEAK, "P")


# --- INF-03 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("air", "verdict"), [(18.6, PASS), (18.2, CONDITIONAL_PASS), (17.8, CONDITIONAL_FAIL), (17.0, FAIL)]
)
def test_inf_03_pass_or_conditional_pass_or_conditional_fail_or_fail_in_a_cold_shop(air, verdict):
    """Practice: 18 to 25 degC; U = 0.5 K."""
    cold = log(air=lambda moment: air if moment == at(9, 30) else 21.0)
    found = one(climate({LogReading: cold}), AIR)
    assert value(found) == air
    assert expanded(found) == near(0.5)
    assert found.verdict is verdict
    assert found.observed == f"smallest {air:g} °C, largest 21 °C"


def test_only_the_time_from_first_resin_to_gel_counts():
    before = log(air=lambda moment: 21.0 if at(8) <= moment <= at(10) else 5.0)
    assert one(climate({LogReading: before}), AIR).verdict is PASS


def test_mould_by_practice_and_by_the_builder_beside_it():
    warm = log(mould=26.5)
    found = climate({LogReading: warm}, [specified("INF-03", MOULD, "degC", low=15.0, high=30.0)])
    assert one(found, MOULD).verdict is PASS
    assert one(found, MOULD, role=REFERENCE).verdict is FAIL
    assert said(one(found, MOULD), "looser than common practice")


def test_resin_by_its_data_sheet():
    """The sheet asks for 18 degC at least; the thermometer has U = 1 K. The colder of two mixes counts."""
    found = one(climate({Mix: [mix(), mix("B", temperature=16.5)]}), RESIN)
    assert value(found) == 16.5
    assert found.verdict is FAIL
    assert limit_of(found).terms[0].set_by == "resin maker"
    mine = [specified("INF-03", RESIN, "degC", low=15.0)]
    assert one(climate({Mix: [mix(temperature=16.5)]}, mine), RESIN).verdict is PASS


def test_inf_03_information_of_humidity_that_nobody_limited():
    assert one(climate(), HUMIDITY).verdict is INFORMATION
    damp = climate({LogReading: log(humidity=70.0)}, [specified("INF-03", HUMIDITY, "%", high=65.0)])
    assert one(damp, HUMIDITY).verdict is FAIL
    no_sheet = climate({ResinSheet: [{**SHEET, "temperature_low": None}]})
    assert one(no_sheet, RESIN).verdict is INFORMATION


def test_inf_03_inconclusive_over_a_gap_or_without_gel():
    holed = [row for row in log() if not at(8, 30) < row["at"] < at(9, 30)]
    assert one(climate({LogReading: holed}), AIR).verdict is INCONCLUSIVE
    assert one(climate({Infusion: [infusion(gelled=None)]}), AIR).verdict is INCONCLUSIVE
    assert one(climate({Mix: [mix(), mix("B", temperature=None)]}), RESIN).verdict is INCONCLUSIVE
    assert one(climate({ResinSheet: []}), RESIN).verdict is INCONCLUSIVE


def test_inf_03_no_record_without_a_log_a_moment_or_a_mix():
    assert one(climate({LogReading: []}), AIR).verdict is NO_RECORD
    assert one(climate({Infusion: []}), AIR).verdict is NO_RECORD
    assert one(climate({Infusion: [infusion(filled=None, gelled=None)]}), AIR).verdict is NO_RECORD
    assert one(climate({Mix: []}), RESIN).verdict is NO_RECORD


# --- INF-07 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("peak", "verdict"), [(78.0, PASS), (79.5, CONDITIONAL_PASS), (80.5, CONDITIONAL_FAIL), (82.0, FAIL)]
)
def test_inf_07_pass_or_conditional_pass_or_conditional_fail_or_fail_beside_foam(peak, verdict):
    """Practice: at most 80 degC; U = 1 K."""
    found = hottest({LogReading: log(laminate=lambda moment: peak if moment == at(11) else 40.0)})
    assert value(found) == peak
    assert expanded(found) == near(1.0)
    assert found.verdict is verdict


def test_zones_without_foam_in_a_part_with_foam_are_told():
    """The thickest place, where the thermometer lies, may be one of them."""
    zones = [area(), area(zone="M", core=None)]
    untold = hottest({Area: zones, Infusion: [infusion(thermometer_at=None)]})
    assert any(line.startswith("solid, without foam: M; nothing on record says") for line in untold.working)
    assert "solid, without foam: M" in hottest({Area: zones}).working
    assert not any("solid" in line for line in hottest().working)


def test_where_the_thermometer_lay_is_told_and_that_nobody_wrote_it_down():
    told = hottest()
    assert told.observed == "thermometer: L, plies 1 and 2"
    assert not said(told, "is not on record")
    untold = hottest({Infusion: [infusion(thermometer_at=None)]})
    assert said(untold, "Where the thermometer lay is not on record")
    assert (untold.verdict, untold.observed) == (told.verdict, "")


@pytest.mark.parametrize("lay", [None, "under the bag", "on the mould"])
@pytest.mark.parametrize(
    ("peak", "verdict"), [(40.0, INCONCLUSIVE), (79.5, INCONCLUSIVE), (80.5, CONDITIONAL_FAIL), (82.0, FAIL)]
)
def test_inf_07_a_thermometer_that_lay_cooler_may_fail_and_cannot_pass(lay, peak, verdict):
    """Resin heats itself from inside; that bag and mould are cooler is common practice, no source."""
    rows = log(laminate=lambda moment: peak if moment == at(11) else 30.0)
    found = hottest({Infusion: [infusion(thermometer_lay=lay)], LogReading: rows})
    assert found.verdict is verdict
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_LEAST
    assert said(found, f"lay {lay}, where it is cooler" if lay else "between the plies is not on record")
    assert said(found, "a least value")


def test_inf_07_information_of_a_part_without_foam():
    found = hottest({Area: [area(core=None)], LogReading: log(laminate=95.0)})
    assert said(found, "no core")
    assert found.limit is None
    shown = hottest({Area: [area(core=None)]})
    assert shown.verdict is INFORMATION
    mine = [specified("INF-07", PEAK, "degC", high=90.0)]
    held = hottest({Area: [area(core=None)]}, mine)
    assert held.verdict is PASS


def test_two_skins_have_foam_between_them_whatever_the_row_says():
    skins = [
        {"zone": "L", "skin": skin, "ply": 1, "of": 1, "material": "GLASS"} for skin in ("outer skin", "inner skin")
    ]
    found = hottest(
        {Area: [area(core=None)], Ply: skins, LogReading: log(laminate=lambda t: 95.0 if t == at(11) else 40.0)}
    )
    assert found.verdict is FAIL
    assert hottest({Area: [area(core=None)], Ply: []}).limit is not None


def test_inf_07_inconclusive_while_still_rising_or_over_a_gap_or_without_areas():
    rising = log(laminate=lambda moment: 20.0 + (moment - at(6)).total_seconds() / 3600.0)
    assert said(hottest({LogReading: rising}), "may have come after")
    assert hottest({LogReading: rising}).verdict is INCONCLUSIVE
    holed = [row for row in log() if not at(10, 30) < row["at"] < at(11, 30)]
    assert hottest({LogReading: holed}).verdict is INCONCLUSIVE
    assert hottest({Area: []}).verdict is INCONCLUSIVE


def test_inf_07_no_record_without_a_log_or_an_end():
    assert hottest({LogReading: []}).verdict is NO_RECORD
    assert hottest({Infusion: []}).verdict is NO_RECORD
    assert hottest({Infusion: [infusion(released=None)]}).verdict is NO_RECORD
