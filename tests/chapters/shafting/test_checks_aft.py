"""SHA-06 to SHA-09: every verdict, on synthetic rows; U worked out by hand beside each test."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.checks import bearings, stock
from buildbook.chapters.shared_records import Instrument, PhotographRecord, Planned
from buildbook.core.finding import Finding
from tests.chapters.shafting import shaft_folder
from tests.chapters.shafting.shaft_folder import PICTURE, TOOLS, Rows, bearing, line
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    REFERENCE,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)

LIMIT = specified("SHA-06", bearings.CLEARANCE, "mm", low=0.15, high=0.30)


def clear(*rows: dict[str, Any], mine: Any = (), tables: Rows | None = None) -> list[Finding]:
    return list(bearings.clearances(line({Bearing: list(rows), **(tables or {})}, *mine)))


# SHA-06: the feelers have U = 0.02 mm


@pytest.mark.parametrize(
    ("gap", "verdict"), [(0.2, PASS), (0.29, CONDITIONAL_PASS), (0.31, CONDITIONAL_FAIL), (0.4, FAIL)]
)
def test_sha_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_specification(gap, verdict):
    at = one(clear(bearing(gap), mine=[LIMIT]), bearings.CLEARANCE)
    assert (value(at), expanded(at)) == (gap, near(0.02))
    assert at.verdict is verdict


def test_sha_06_information_with_both_figures_beside():
    """Chart, line for 2 in: 0.13 to 0.25 mm; the other figure: 1 to 2 mm for each metre. 0.2 mm of 50 mm are 4."""
    both = clear(bearing())
    assert one(both, bearings.CLEARANCE).verdict is INFORMATION
    assert one(both, bearings.SHARE).verdict is INFORMATION
    chart = one(both, bearings.CLEARANCE, role=REFERENCE)
    assert (limit_of(chart).low, limit_of(chart).high, chart.verdict) == (0.13, 0.25, PASS)
    share = one(both, bearings.SHARE, role=REFERENCE)
    assert (value(share), share.verdict) == (near(4.0), FAIL)
    assert said(share, "disagree")
    assert said(
        share, "For this shaft the chart's figures are 2.6 and 2.5 times the other's."
    )  # 0.13 / 0.05, 0.25 / 0.1
    assert {limit_of(f).standing.value for f in (chart, share)} == {"second-hand"}


def test_far_outside_the_lines_of_the_chart_it_is_not_used():
    near_it = clear(bearing(shaft_diameter=70.0))
    assert said(
        one(near_it, bearings.CLEARANCE, role=REFERENCE), "The shaft of 70 mm lies 10 % outside the lines of the chart"
    )
    for size in (30.0, 80.0):
        far = [f for f in clear(bearing(shaft_diameter=size)) if f.key.quantity == bearings.CLEARANCE]
        assert [f.verdict for f in far] == [INFORMATION]


def test_sha_06_inconclusive_where_row_or_instrument_is_missing():
    tools: Rows = {Instrument: [row for row in TOOLS if row["instrument"] != "FG-11"]}
    assert one(clear(bearing(), tables=tools, mine=[LIMIT]), bearings.CLEARANCE).verdict is INCONCLUSIVE
    unread: Rows = {Bearing: [{"part": "BE1", "attempt": 1}]}
    given = line({Bearing: [bearing(part="BE2")]}, unread=unread)
    for judge in (bearings.clearances, bearings.spacings, bearings.grooves):
        assert {f.verdict for f in judge(given) if f.key.place == "BE1"} == {INCONCLUSIVE}


def test_sha_06_not_measured_or_no_record():
    assert {f.verdict for f in clear(bearing(None, feeler=None))} == {NOT_MEASURED}
    plan: Rows = {Planned: [planned("SHA-06", "BE2", Bearing.table.file, 1)]}
    assert {f.verdict for f in clear(tables=plan)} == {NO_RECORD}


# SHA-07: the tape has U = 10 mm


def spaced(*rows: dict[str, Any], mine: Any = (), tables: Rows | None = None) -> list[Finding]:
    return list(bearings.spacings(line({Bearing: list(rows), **(tables or {})}, *mine)))


# by hand: 50 mm are 1.9685 in, 196 000 MPa 28.427e6 psi, 7850 kg/m3 0.28360 lb/in3
MOST = 304.8 * math.sqrt(3.21 * 1.968504 / 1050.0) * (28.42739e6 / 0.2835994) ** 0.25


@pytest.mark.parametrize(
    ("off", "verdict"), [(-50.0, PASS), (-5.0, CONDITIONAL_PASS), (5.0, CONDITIONAL_FAIL), (50.0, FAIL)]
)
def test_sha_07_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_formula(off, verdict):
    at = one(spaced(bearing(spacing=MOST + off)), bearings.SPACING)
    assert limit_of(at).high == near(MOST, rel=1e-6)
    assert at.verdict is verdict
    beside = one(spaced(bearing(spacing=MOST + off)), bearings.SPACING, role=REFERENCE)
    assert (limit_of(beside).low, limit_of(beside).high) == (1000.0, 2000.0)  # 20 to 40 diameters of 50 mm
    assert said(at, "critical length itself")
    assert said(at, "no margin")


def test_the_builders_own_spacing_goes_before_the_formula():
    mine = [specified("SHA-07", bearings.SPACING, "mm", high=1400.0)]
    both = spaced(bearing(), mine=mine)
    assert [f.verdict for f in both] == [FAIL, PASS]
    assert limit_of(one(both, bearings.SPACING, role=REFERENCE)).high == near(MOST, rel=1e-6)
    assert all(said(f, "not a safe distance") and said(f, "20 to 40 diameters") for f in both)


def test_the_drawing_of_the_shaft_stands_among_the_rows_of_the_spacing():
    at = one(spaced(bearing()), bearings.SPACING)
    assert {where.file for where in at.at} == {"shafting/bearings.csv", "shafting/shafts.csv"}


def test_sha_07_inconclusive_without_a_drawing_of_its_shaft():
    assert one(spaced(bearing(shaft="SH2")), bearings.SPACING).verdict is INCONCLUSIVE


def test_sha_07_not_measured_or_no_record():
    assert one(spaced(bearing(spacing=None, tape=None)), bearings.SPACING).verdict is NOT_MEASURED
    plan: Rows = {Planned: [planned("SHA-07", "BE2", Bearing.table.file, 1)]}
    assert {f.verdict for f in spaced(tables=plan)} == {NO_RECORD}


# SHA-08


def grooved(*rows: dict[str, Any], tables: Rows | None = None, unread: Rows | None = None) -> list[Finding]:
    return list(bearings.grooves(line({Bearing: list(rows), **(tables or {})}, unread=unread)))


def test_sha_08_information_on_both_kinds_of_groove():
    both = grooved(bearing())
    assert [(f.key.quantity, value(f), f.verdict) for f in both] == [
        (bearings.ALONG, 8, INFORMATION),
        (bearings.AROUND, 2, INFORMATION),
    ]


def test_sha_08_not_measured_or_no_record():
    assert one(grooved(bearing(around=None)), bearings.AROUND).verdict is NOT_MEASURED
    plan: Rows = {Planned: [planned("SHA-08", "BE2", Bearing.table.file, 1)]}
    assert {f.verdict for f in grooved(tables=plan)} == {NO_RECORD}


def test_sha_08_inconclusive_where_its_row_is_lost():
    unread: Rows = {Bearing: [{"part": "BE1", "attempt": 1}]}
    assert {f.verdict for f in grooved(bearing(part="BE2"), unread=unread) if f.key.place == "BE1"} == {INCONCLUSIVE}


# SHA-09: of 70 mm and 250 mm, U = 0.02 mm each; p = 14.69 MPa, U = p hypot(2 x 0.02 / 70, 0.02 / 250) = 0.0085 MPa


def stocks(*rows: dict[str, Any], mine: Any = (), tables: Rows | None = None) -> list[Finding]:
    return list(stock.stocks(line({RudderStock: list(rows), **(tables or {})}, *mine)))


@pytest.mark.parametrize(
    ("high", "verdict"), [(15.0, PASS), (14.697, CONDITIONAL_PASS), (14.69, CONDITIONAL_FAIL), (14.0, FAIL)]
)
def test_sha_09_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_drawing(high, verdict):
    """W20: 3 kNm, 70 mm, 250 mm: 14.7 MPa."""
    mine = [specified("SHA-09", stock.PRESSURE, "MPa", high=high)]
    at = one(stocks(shaft_folder.stock(), mine=mine), stock.PRESSURE)
    assert value(at) == near(14.7, abs=0.05)
    assert expanded(at) == near(14.694 * math.hypot(0.04 / 70.0, 0.02 / 250.0), rel=1e-4)
    assert at.verdict is verdict


def test_sha_09_information_on_what_welds_would_carry():
    """W20: two welds with plate 18 mm and throat 6 mm 83.3 MPa; a ring 2T / (pi d2 a) = 65.0."""
    every = stocks(shaft_folder.stock())
    assert one(every, stock.PRESSURE).verdict is INFORMATION
    welds, ring = one(every, stock.WELDS), one(every, stock.RING)
    assert {welds.verdict, ring.verdict} == {INFORMATION}
    assert value(welds) == near(83.3, abs=0.05)
    assert value(ring) == near(65.0, abs=0.05)
    assert said(welds, "are of different kinds")
    assert not any("times" in words for words in (*welds.working, *ring.working))


@pytest.mark.parametrize(("sound", "verdict"), [("yes", PASS), ("no", FAIL), (None, INCONCLUSIVE)])
def test_welds_are_what_their_record_says(sound, verdict):
    assert one(stocks(shaft_folder.stock(welds_sound=sound)), stock.INSPECTION).verdict is verdict


def test_a_picture_of_the_slot_passes():
    assert one(stocks(shaft_folder.stock()), stock.PICTURE).verdict is PASS


def test_sha_09_inconclusive_where_the_picture_is_of_another_place():
    other: Rows = {PhotographRecord: [{**PICTURE, "place": "R2"}]}
    assert one(stocks(shaft_folder.stock(), tables=other), stock.PICTURE).verdict is INCONCLUSIVE
    unread: Rows = {RudderStock: [{"part": "R1", "attempt": 1}]}
    given = line({RudderStock: [shaft_folder.stock("R2")]}, unread=unread)
    assert {f.verdict for f in stock.stocks(given) if f.key.place == "R1"} == {INCONCLUSIVE}


def test_sha_09_no_record_of_picture_or_inspection():
    bare = shaft_folder.stock(photograph=None, inspected=None, weld_record=None, welds_sound=None)
    every = stocks(bare)
    assert one(every, stock.PICTURE).verdict is NO_RECORD
    assert one(every, stock.INSPECTION).verdict is NO_RECORD


def test_sha_09_not_measured_where_a_planned_rudder_has_no_row():
    plan: Rows = {Planned: [planned("SHA-09", "R2", RudderStock.table.file, 1)]}
    every = stocks(shaft_folder.stock(), tables=plan)
    assert {f.verdict for f in every if f.key.place == "R2"} == {NOT_MEASURED}
