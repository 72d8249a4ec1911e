"""SHA-01 to SHA-05: every verdict, on synthetic rows; U worked out by hand beside each test."""

from __future__ import annotations

import math
from typing import Any

import pytest

from buildbook.chapters.shafting.checks import diameter, fit, keyway, straight
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft, ShaftEnd
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.core.finding import Finding
from tests.chapters.shafting.shaft_folder import TOOLS, Rows, end, gaps, line, shaft, turned
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)

JUDGES = {
    "SHA-01": (diameter.fitted, ShaftEnd, end),
    "SHA-02": (keyway.keyways, ShaftEnd, end),
    "SHA-04": (fit.seated, ShaftEnd, end),
}


def found(check: str, *rows: dict[str, Any], tables: Rows | None = None, mine: Any = ()) -> list[Finding]:
    judge, kind, _ = JUDGES[check]
    return list(judge(line({kind: list(rows), **(tables or {})}, *mine)))


# SHA-01: W2 of the handbook, 44.2 mm for 300 kW at 1050 r/min; the micrometer has U = 0.02 mm


@pytest.mark.parametrize(
    ("size", "verdict"), [(44.3, PASS), (44.225, CONDITIONAL_PASS), (44.21, CONDITIONAL_FAIL), (44.0, FAIL)]
)
def test_sha_01_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_rule_for_yachts(size, verdict):
    at = one(found("SHA-01", end(size)), diameter.FITTED)
    assert limit_of(at).low == near(44.2, abs=0.05)
    assert expanded(at) == near(0.02)
    assert at.verdict is verdict
    assert [term.standing.value for term in limit_of(at).terms] == ["builder", "read"]


@pytest.mark.parametrize(
    ("service", "low", "others"),
    [
        ("small passenger vessel", 63.02, {"class", "yacht"}),
        ("seagoing ship", None, {"passenger", "yacht"}),
    ],
)
def test_the_rule_that_the_specification_names_governs_and_the_others_never_judge(service, low, others):
    """W4: 309 kW at 1100.92 r/min, 655 MPa, propeller 762 mm, C 144: 63.02 mm by a published sheet."""
    other = shaft(service=service, factor=None, power=309.0, speed=1100.92, strength=655.0, tensile_yield=500.0)
    both = found("SHA-01", end(50.0), tables={Shaft: [other]})
    at = one(both, diameter.FITTED)
    assert at.verdict is FAIL
    if low is not None:
        assert limit_of(at).low == near(low, abs=0.006)
    rest = [f for f in both if f.key.quantity != diameter.FITTED]
    assert {f.verdict for f in rest} == {INFORMATION}
    assert all(said(f, "another service") for f in rest)
    assert len(rest) < len(diameter.BY_RULE)
    assert others


def test_sha_01_information_where_the_specification_names_no_rule():
    both = found("SHA-01", end(50.0), tables={Shaft: [shaft(service=None, factor=None)]})
    assert {f.verdict for f in both} == {INFORMATION}
    assert said(one(both, diameter.FITTED), "names no rule")


def test_sha_01_inconclusive_or_not_measured_or_no_record():
    assert one(found("SHA-01", end(part="SH2")), diameter.FITTED, "SH2").verdict is INCONCLUSIVE
    assert one(found("SHA-01", end(part="SH2")), diameter.FITTED, "SH1").verdict is NOT_MEASURED
    assert one(found("SHA-01"), diameter.FITTED).verdict is NO_RECORD


def test_a_shaft_end_whose_row_is_lost_is_inconclusive():
    unread: Rows = {ShaftEnd: [{"part": "SH1", "attempt": 1}]}
    given = line({ShaftEnd: [end(part="SH2")]}, unread=unread)
    for judge, _, _ in JUDGES.values():
        assert {f.verdict for f in judge(given) if f.key.place == "SH1"} == {INCONCLUSIVE}


# SHA-02: radius 0.1 mm of 100 mm diameter is 0.1 %; the diameter adds less than a thousandth


@pytest.mark.parametrize(
    ("fillet", "verdict"), [(2.0, PASS), (1.3, CONDITIONAL_PASS), (1.2, CONDITIONAL_FAIL), (1.0, FAIL)]
)
def test_sha_02_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_fillet(fillet, verdict):
    """The fillet is at least 0.0125 of the diameter (public notes on tail shafts)."""
    at = one(found("SHA-02", end(fillet=fillet)), keyway.FILLET)
    assert value(at) == near(fillet)
    assert expanded(at) == near(0.1, rel=1e-3)
    assert limit_of(at).low == 1.25
    assert at.verdict is verdict


def test_sha_02_information_on_stress_and_what_raises_it():
    """W: r / d = 0.02 gives 2.62 in torsion; 300 kW at 1050 r/min are 2728 Nm, 13.9 MPa at 100 mm (by hand)."""
    both = found("SHA-02", end())
    torsion, bending = one(both, keyway.TORSION), one(both, keyway.BENDING)
    assert {torsion.verdict, bending.verdict} == {INFORMATION}
    assert value(torsion) == near(2.62, abs=0.005)
    assert said(torsion, "No table prints a factor in torsion for a sled-runner")
    assert said(torsion, "3.98 (quoted from memory)")
    assert value(bending) == 1.7
    stress = one(both, keyway.STRESS)
    assert value(stress) == near(16 * 2728.4 / math.pi / 1000, rel=1e-4)
    assert expanded(stress) == near(value(stress) * 2.0 * 0.05 / math.sqrt(3.0), rel=0.01)
    assert said(stress, "Torque at full power is good to 5 % to either side")


def test_shapes_have_factors_of_their_own():
    milled = found("SHA-02", end(keyway="end-milled"))
    assert value(one(milled, keyway.BENDING)) == near(2.20, abs=0.005)
    round_bottom = found("SHA-02", end(keyway="round-bottomed", fillet=12.5))
    assert value(one(round_bottom, keyway.TORSION)) == near(1.75)
    assert one(round_bottom, keyway.BENDING).verdict is NOT_MEASURED


def test_sha_02_inconclusive_outside_the_chart_or_without_a_drawing():
    assert one(found("SHA-02", end(fillet=0.3)), keyway.TORSION).verdict is INCONCLUSIVE
    assert one(found("SHA-02", end(part="SH2")), keyway.STRESS, "SH2").verdict is INCONCLUSIVE
    nameless = found("SHA-02", end(gauge=None))
    assert one(nameless, keyway.FILLET).verdict is INCONCLUSIVE


def test_sha_02_not_measured_or_no_record():
    assert one(found("SHA-02", end(fillet=None, gauge=None)), keyway.FILLET).verdict is NOT_MEASURED
    assert {f.verdict for f in found("SHA-02")} == {NO_RECORD}


# SHA-03: the indicator has U = 0.01 mm, of a difference 0.0141 mm; over 2 m 0.0071 mm/m


def run_outs(*rows: dict[str, Any], tables: Rows | None = None, **more: Any) -> list[Finding]:
    return list(straight.straightness(line({RunOut: list(rows), **(tables or {})}, **more)))


@pytest.mark.parametrize(
    ("span", "verdict"), [(0.08, PASS), (0.095, CONDITIONAL_PASS), (0.105, CONDITIONAL_FAIL), (0.2, FAIL)]
)
def test_sha_03_pass_or_conditional_pass_or_conditional_fail_or_fail_by_practice(span, verdict):
    """0.05 mm for each metre; over 2 m that is 0.10 mm (common practice, no source)."""
    at = one(run_outs(*turned(span, "between"), *turned(0.02), *turned(0.02, "taper")), straight.METRE)
    assert value(at) == near(span / 2.0)
    assert expanded(at) == near(0.01 * math.sqrt(2) / 2.0)
    assert at.verdict is verdict
    assert at.observed == "500 mm from the coupling"


def test_stations_have_limits_of_their_own():
    both = run_outs(*turned(0.10), *turned(0.10, "taper"))
    assert one(both, straight.BEARING).verdict is PASS
    assert one(both, straight.TAPER).verdict is FAIL
    assert (limit_of(one(both, straight.BEARING)).high, limit_of(one(both, straight.TAPER)).high) == (0.13, 0.05)


def test_sha_03_inconclusive_where_a_turn_was_not_read_whole():
    short = run_outs(*turned(0.02)[:3])
    assert one(short, straight.METRE).verdict is INCONCLUSIVE
    assert said(one(short, straight.METRE), "every quarter of a turn")
    assert said(one(short, straight.METRE), "Angles read 1000 mm from the coupling: 3.")
    assert one(run_outs(*turned(0.02, part="SH2")), straight.METRE, "SH2").verdict is INCONCLUSIVE


@pytest.mark.parametrize(
    ("angles", "unread"),
    [
        ((0, 10, 20, 30), "from 30° to 0°"),  # four readings side by side
        ((0, 90, 180, 190), "from 190° to 0°"),  # 190 typed for 270
        ((10, 100, 190, 200, 210), "from 210° to 10°"),  # the indicator was taken off before the turn was done
        ((0, 45, 90, 135, 180), "from 180° to 0°"),  # half a turn, finely
        ((5, 15.5, 200, 300), "from 15.5° to 200°"),
        ((0, 1.57, 3.14, 4.71), "from 4.7° to 0°"),  # radians under a head in degrees
    ],
)
def test_sha_03_inconclusive_where_the_readings_do_not_go_round(angles, unread):
    """Readings over a part of the turn may pass by the high side of a bow: the place and the remedy are said."""
    rows = [{**row, "number": n, "angle": float(angle)} for n, (row, angle) in enumerate(
        zip([*turned(0.02), *turned(0.02)], angles, strict=False), 1)]  # fmt: skip
    found = run_outs(*rows)
    for quantity in (straight.METRE, straight.BEARING):
        at = one(found, quantity)
        assert at.verdict is INCONCLUSIVE
        assert said(at, f"Nothing was read 1000 mm from the coupling {unread}")
        assert said(at, "Read it again all the way round")
    wide = [{**row, "reading": 0.5 * n} for n, row in enumerate(rows)]
    assert one(run_outs(*wide), straight.BEARING).verdict is FAIL  # what was seen is at least so much


@pytest.mark.parametrize(
    "angles", [(0, 90, 180, 270), (90, 180, 270, 360), (3, 98, 185, 280), tuple(range(0, 360, 30))]
)
def test_readings_about_a_quarter_apart_or_closer_go_round(angles):
    rows = [{**row, "number": n, "angle": float(angle)} for n, (row, angle) in enumerate(
        zip(turned(0.02) * 3, angles, strict=False), 1)]  # fmt: skip
    assert one(run_outs(*rows), straight.BEARING).verdict is PASS


def test_only_the_station_that_was_not_read_all_round_holds_its_own_quantity():
    side = [{**row, "angle": angle} for row, angle in zip(turned(0.02, "taper"), (0.0, 10.0, 20.0, 30.0), strict=True)]
    both = run_outs(*turned(0.02), *side)
    assert one(both, straight.BEARING).verdict is PASS
    assert one(both, straight.TAPER).verdict is INCONCLUSIVE
    assert one(both, straight.METRE).verdict is INCONCLUSIVE


def test_sha_03_not_measured_or_no_record():
    assert one(run_outs(*turned(0.02)), straight.TAPER).verdict is NOT_MEASURED
    plan: Rows = {Planned: [planned("SHA-03", "SH2", RunOut.table.file, 12)]}
    assert one(run_outs(*turned(0.02), tables=plan), straight.METRE, "SH2").verdict is NOT_MEASURED
    assert {f.verdict for f in run_outs()} == {NO_RECORD}


# SHA-04: contact by eye has U = 10 points


@pytest.mark.parametrize(
    ("share", "verdict"), [(85.0, PASS), (75.0, CONDITIONAL_PASS), (65.0, CONDITIONAL_FAIL), (50.0, FAIL)]
)
def test_sha_04_pass_or_conditional_pass_or_conditional_fail_or_fail_by_contact(share, verdict):
    """At least 70 % (a propeller shop's procedure)."""
    at = one(found("SHA-04", end(contact=share)), fit.CONTACT)
    assert (value(at), expanded(at), limit_of(at).low) == (share, near(10.0), 70.0)
    assert at.verdict is verdict


@pytest.mark.parametrize(("mark", "verdict"), [("yes", PASS), ("no", FAIL)])
def test_a_key_that_holds_the_hub_off_fails(mark, verdict):
    assert one(found("SHA-04", end(same_mark=mark)), fit.MARK).verdict is verdict


def test_sha_04_information_on_the_taper_without_a_limit():
    """10 mm in 200 mm are 50 mm/m; U of both diameters 0.02 mm, of the length 0.02 mm (by hand)."""
    at = one(found("SHA-04", end()), fit.RATE)
    assert at.verdict is INFORMATION
    assert value(at) == near(50.0)
    assert expanded(at) == near(math.hypot(0.1, 0.1, 0.005), rel=1e-6)
    mine = [specified("SHA-04", fit.RATE, "mm/m", low=62.35, high=62.65)]
    assert one(found("SHA-04", end(), mine=mine), fit.RATE).verdict is FAIL


def test_sha_04_inconclusive_where_the_instrument_is_not_known():
    tools: Rows = {Instrument: [row for row in TOOLS if row["instrument"] != "MI-11"]}
    mine = [specified("SHA-04", fit.RATE, "mm/m", low=49.0, high=51.0)]
    assert one(found("SHA-04", end(), tables=tools, mine=mine), fit.RATE).verdict is INCONCLUSIVE


def test_sha_04_not_measured_or_no_record():
    bare = end(small=None, taper=None, calliper=None, contact=None, same_mark=None)
    assert {f.verdict for f in found("SHA-04", bare)} == {NOT_MEASURED}
    assert {f.verdict for f in found("SHA-04")} == {NO_RECORD}


# SHA-05: the feelers have U = 0.02 mm, of a difference 0.0283 mm; over 200 mm 0.141 mm/m, whichever way it gapes


def faces(*rows: dict[str, Any], tables: Rows | None = None) -> list[Finding]:
    return list(straight.faces(line({CouplingGap: list(rows), **(tables or {})})))


@pytest.mark.parametrize(
    ("gap", "verdict"), [(0.10, PASS), (0.18, CONDITIONAL_PASS), (0.22, CONDITIONAL_FAIL), (0.30, FAIL)]
)
def test_sha_05_pass_or_conditional_pass_or_conditional_fail_or_fail_by_a_thousandth(gap, verdict):
    """0.001 of the diameter: of 200 mm 0.2 mm (an engine maker's manual)."""
    at = one(faces(*gaps(0.1, 0.1, 0.1 + gap, 0.1)))
    assert value(at) == near(gap * 5.0)
    assert expanded(at) == near(0.02 * math.sqrt(2) * 5.0)
    assert at.verdict is verdict
    assert at.observed == "afloat for 48 h, half tanks"


@pytest.mark.parametrize("turn", [0.0, 20.0, 45.0, 70.0])
def test_a_face_tilted_any_way_is_found_with_its_whole_tilt(turn):
    """A flat face tilted by 0.9 mm/m of 200 mm: the gap at an angle is its mean plus half the tilt times the cosine."""
    four = [0.3 + 0.09 * math.cos(math.radians(at - turn)) for at in (0.0, 90.0, 180.0, 270.0)]
    at = one(faces(*gaps(*four)))
    assert value(at) == near(0.9, rel=1e-9)
    assert expanded(at) == near(0.02 * math.sqrt(2) * 5.0, rel=1e-6)


def test_both_diameters_count_where_each_alone_would_pass():
    """0.16 mm across each: sqrt(2) x 0.16 / 0.2 = 1.13 mm/m, though each alone is 0.8 mm/m."""
    at = one(faces(*gaps(0.1, 0.1, 0.26, 0.26)))
    assert (value(at), at.verdict) == (near(math.sqrt(2) * 0.8), CONDITIONAL_FAIL)
    assert any("sum of both squares" in words for words in at.working)


def test_of_eight_places_the_four_that_gape_most_count():
    more = [{**row, "number": 4 + row["number"], "angle": row["angle"] + 45.0} for row in gaps(0.1, 0.1, 0.2, 0.2)]
    assert value(one(faces(*gaps(0.1, 0.1, 0.12, 0.1), *more))) == near(math.sqrt(2) * 0.5)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ({"afloat": "no", "hours": None}, "stood ashore"),
        ({"hours": 6.0}, "too soon"),
        ({"hours": None}, "not noted"),
    ],
)
def test_sha_05_inconclusive_ashore_or_too_soon(state, words):
    at = one(faces(*gaps(0.1, 0.1, 0.15, 0.1, **state)))
    assert at.verdict is INCONCLUSIVE
    assert said(at, words)


def test_angles_that_were_converted_are_opposite_all_the_same():
    """1.5708 rad are 90.0002 deg, and 4.7124 rad are 270.0006 deg (180 / pi = 57.29578)."""
    angles = (0.0, 90.0002, 180.0, 270.0006)
    rows = [{**row, "angle": angle} for row, angle in zip(gaps(0.1, 0.1, 0.2, 0.1), angles, strict=True)]
    assert one(faces(*rows)).verdict is PASS


def test_one_line_across_the_rim_is_not_enough():
    at = one(faces(*gaps(0.1, 0.1, 0.15)))
    assert (value(at), at.verdict) == (near(0.25), INCONCLUSIVE)
    assert said(at, "one diameter alone")
    assert said(one(faces(*gaps(0.1, 0.2))), "opposite places")
    assert one(faces(*gaps(0.1, 0.1, 0.1, 0.1, part="SH2")), place="SH2").verdict is INCONCLUSIVE


def test_sha_05_not_measured_or_no_record():
    assert one(faces(*gaps(0.1, 0.1, 0.1, 0.1, part="SH2")), place="SH1").verdict is NOT_MEASURED
    assert {f.verdict for f in faces()} == {NO_RECORD}
