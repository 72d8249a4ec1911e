"""LAM-01, LAM-02, LAM-03 and LAM-09: every verdict, on synthetic rows."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.laminate.checks.burned import (
    GLASS,
    MEAN,
    VOIDS,
    glass_of_coupons,
    glass_of_zones,
    voids_of_coupons,
)
from buildbook.chapters.laminate.checks.weighings import CHANGE, CLEAN, FURNACE, MASS, SPECIMENS, weighings
from buildbook.chapters.laminate.formulas.burn_off import void_free_density, water_density
from buildbook.chapters.laminate.records import BurnOff, Material, Ply
from buildbook.chapters.shared_records import Planned
from tests.chapters.laminate.cut_folder import MATERIALS, Rows, coupon, judged, plies, with_glass
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
    near,
    one,
    planned,
    said,
    specified,
    value,
)

# --- LAM-01 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "verdict"),
    [
        (71.0, PASS),
        (71.325, CONDITIONAL_PASS),  # 71.331 - 71.325 is less than U = 0.016
        (71.340, CONDITIONAL_FAIL),
        (71.4, FAIL),
    ],
)
def test_lam_01_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_window(low, verdict):
    """Example W1: 71.331 %, u about 0.007 % from weighings of 0.3 mg (worked by hand)."""
    found = one(judged(glass_of_coupons, {BurnOff: [coupon()]}, [specified("LAM-01", GLASS, "%", low)]))
    assert value(found) == near(71.331, abs=0.0005)
    assert found.measured is not None
    parts = {part.name: part.standard for part in found.measured.parts}
    assert parts.pop("constant mass") == near(100.0 * 0.0003 / 5.1607 / math.sqrt(3.0))  # 0.3 mg when heated again
    assert 2.0 * math.hypot(*parts.values()) == near(0.014, abs=0.001)
    assert expanded(found) == near(0.0161, abs=0.0001)
    assert found.verdict is verdict
    assert said(found, "it speaks for this coupon")


def test_lam_01_information_without_a_limit():
    assert one(judged(glass_of_coupons, {BurnOff: [coupon()]})).verdict is INFORMATION


def test_lam_01_inconclusive_where_its_row_cannot_be_used():
    lost = {BurnOff: [{"coupon": "C-02", "zone": "L1", "attempt": 1}]}
    found = judged(glass_of_coupons, {BurnOff: [coupon()]}, [specified("LAM-01", GLASS, "%", 60.0)], lost)
    assert one(found, condition="C-02").verdict is INCONCLUSIVE


def test_lam_01_not_measured_where_a_coupon_was_planned():
    plan: Rows = {Planned: [planned("LAM-01", "L7", "laminate/burn_off.csv", 3)], BurnOff: [coupon()]}
    assert one(judged(glass_of_coupons, plan), place="L7").verdict is NOT_MEASURED


def test_lam_01_no_record_of_a_first_burn_and_without_the_table():
    second = one(judged(glass_of_coupons, {BurnOff: [coupon(attempt=2)]}), attempt=1)
    assert second.verdict is NO_RECORD
    assert one(judged(glass_of_coupons, {BurnOff: []}), place="L1").verdict is NO_RECORD


def test_a_limit_of_one_skin_holds_for_that_skin():
    mine = [specified("LAM-01", GLASS, "%", 80.0, condition="inner skin"), specified("LAM-01", GLASS, "%", 60.0)]
    assert one(judged(glass_of_coupons, {BurnOff: [coupon()]}, mine)).verdict is PASS


# --- LAM-02 -------------------------------------------------------------------------------------------------------

FOUR = [with_glass(f"C-0{n}", share) for n, share in enumerate((69.0, 70.0, 71.0, 70.0), 1)]


@pytest.mark.parametrize(
    ("low", "verdict"), [(68.0, PASS), (69.0, CONDITIONAL_PASS), (71.0, CONDITIONAL_FAIL), (72.0, FAIL)]
)
def test_lam_02_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_mean(low, verdict):
    """Mean 70, s = 0.8165, s / sqrt(4) = 0.408; t for 95.45 % and 3 degrees of freedom is 3.307: U = 1.35 (scipy)."""
    found = one(judged(glass_of_zones, {BurnOff: FOUR}, [specified("LAM-02", MEAN, "%", low)]))
    assert (value(found), found.key.condition) == (near(70.0), "single skin")
    assert expanded(found) == near(1.35, abs=0.005)
    assert found.verdict is verdict


def test_two_coupons_take_the_published_scatter_and_say_so():
    """0.63 % within published plates, over the root of two, k = 2: 0.891 % (OptiDAT; calculated)."""
    found = one(judged(glass_of_zones, {BurnOff: FOUR[:2]}))
    assert expanded(found) == near(0.891, abs=0.002)
    assert said(found, "Only 2 coupons")


def test_lam_02_information_or_inconclusive_without_a_limit_or_with_a_lost_row():
    assert one(judged(glass_of_zones, {BurnOff: FOUR})).verdict is INFORMATION
    lost = {BurnOff: [{"coupon": "C-05", "zone": "L1", "attempt": 1, "skin": "single skin"}]}
    mine = [specified("LAM-02", MEAN, "%", 60.0)]
    assert one(judged(glass_of_zones, {BurnOff: FOUR}, mine, lost)).verdict is INCONCLUSIVE


def test_a_row_of_another_skin_lost_leaves_the_mean_alone():
    lost = {BurnOff: [{"coupon": "C-05", "zone": "L1", "attempt": 1, "skin": "outer skin"}]}
    mine = [specified("LAM-02", MEAN, "%", 60.0)]
    found = judged(glass_of_zones, {BurnOff: FOUR}, mine, lost)
    assert one(found, condition="single skin").verdict is PASS
    assert one(found, condition="outer skin").verdict is INCONCLUSIVE  # the one that was lost


def test_lam_02_not_measured_or_no_record_where_it_was_planned():
    plan = [planned("LAM-02", "L7", "laminate/burn_off.csv", 3)]
    assert one(judged(glass_of_zones, {BurnOff: FOUR, Planned: plan}), place="L7").verdict is NOT_MEASURED
    assert one(judged(glass_of_zones, {BurnOff: [], Planned: plan}), place="L7").verdict is NO_RECORD


def test_a_first_burn_that_was_set_aside_is_left_out_and_told():
    lossy = with_glass("C-01", 62.0, attempt=1) | {"reheated": 28.0950}  # 5 mg more burned away
    again = [*FOUR, lossy, with_glass("C-01", 69.0, attempt=2)][1:]
    found = one(judged(glass_of_zones, {BurnOff: again}))
    assert value(found) == near(70.0)
    assert said(found, "C-01 burn 1. With all burns the mean is 68.40 %")  # (70 + 71 + 70 + 62 + 69) / 5


def test_a_second_burn_does_not_choose_the_better_result():
    """The record of the first burn is in order, so it counts where it is worse: (70 + 71 + 70 + 52) / 4 = 65.75 %."""
    again = [*FOUR, with_glass("C-01", 52.0, attempt=1), with_glass("C-01", 69.0, attempt=2)][1:]
    mine = [specified("LAM-02", MEAN, "%", 68.0)]
    found = one(judged(glass_of_zones, {BurnOff: again}, mine))
    assert value(found) == near(65.75)
    assert not found.verdict.met


def test_two_coupons_far_apart_take_their_own_scatter():
    """55 % and 69 %: s = 9.90, u of the mean 7, and one degree of freedom (JCGM 100, table G.2: t = 13.97)."""
    found = one(judged(glass_of_zones, {BurnOff: [with_glass("C-01", 55.0), with_glass("C-02", 69.0)]}))
    assert expanded(found) == near(13.97 * 7.0, rel=0.01)


def test_a_skin_of_the_schedule_without_a_coupon_is_told():
    layered = [*plies(), *plies(skin="inner skin")]
    found = judged(glass_of_zones, {BurnOff: FOUR, Ply: layered})
    assert one(found, condition="inner skin").verdict is NOT_MEASURED


@pytest.mark.parametrize(
    "cells",
    [
        {"gelcoat": "left on"},
        {"filled": "yes"},
        {"gelcoat": None},
        {"filled": None},
        {"reheated": 28.7990},
        {"reheated": None},
    ],
)
def test_a_burn_whose_record_is_not_in_order_decides_nothing(cells):
    """Gelcoat, filler, or mass still burning away: what was weighed is not the glass of the laminate alone."""
    mine = [specified("LAM-01", GLASS, "%", 60.0)]
    assert one(judged(glass_of_coupons, {BurnOff: [coupon()]}, mine)).verdict is PASS
    assert one(judged(glass_of_coupons, {BurnOff: [coupon(**cells)]}, mine)).verdict is INCONCLUSIVE


# --- LAM-03 -------------------------------------------------------------------------------------------------------


def hung(voids: float, **more):
    """A coupon of 70 % glass whose density is that of so many voids [%]; water of 23 °C."""
    density = void_free_density(70.0, 2.60, 1.15) * (1.0 - voids / 100.0)
    in_water = 5.0 * (1.0 - water_density(23.0) / density)
    return with_glass("C-01", 70.0, in_air=5.0, in_water=in_water, water=23.0, **more)


@pytest.mark.parametrize(
    ("high", "verdict"), [(3.5, PASS), (2.5, CONDITIONAL_PASS), (1.9, CONDITIONAL_FAIL), (1.3, INCONCLUSIVE)]
)
def test_lam_03_pass_or_conditional_pass_or_conditional_fail_or_inconclusive_by_the_voids(high, verdict):
    """2.0 % of voids; U about 1.15 from densities of U = 0.04 and 0.02 g/cm3, so at most 1.1 % could not be shown."""
    high = 1.1 if high < 1.4 else high
    found = one(judged(voids_of_coupons, {BurnOff: [hung(2.0)]}, [specified("LAM-03", VOIDS, "%", high=high)]))
    assert value(found) == near(2.0, abs=0.01)
    assert expanded(found) == near(1.15, abs=0.1)
    assert found.verdict is verdict


def test_lam_03_fail_far_beyond_the_limit():
    found = one(judged(voids_of_coupons, {BurnOff: [hung(6.0)]}))
    assert found.verdict is FAIL
    assert found.limit is not None
    assert found.limit.high == 2.0  # customary, no source


def test_negative_voids_are_kept_and_explained():
    found = one(judged(voids_of_coupons, {BurnOff: [hung(-0.3)]}))
    assert value(found) == near(-0.3, abs=0.01)
    assert said(found, "Below zero")
    assert said(found, "at the limit of the method")
    beyond = one(judged(voids_of_coupons, {BurnOff: [hung(-1.0)]}))
    assert beyond.verdict is INCONCLUSIVE
    assert said(beyond, "cannot be: a weighing of this coupon, or a density")


def test_lam_03_not_measured_or_no_record_without_a_density_or_the_table():
    assert one(judged(voids_of_coupons, {BurnOff: [coupon()]})).verdict is NOT_MEASURED
    assert one(judged(voids_of_coupons, {BurnOff: []}), place="L1").verdict is NO_RECORD


def test_voids_are_not_judged_without_the_densities_or_the_schedule():
    no_density = [{**row, "density": None, "density_uncertainty": None, "coverage": None} for row in MATERIALS]
    spoiled: tuple[Rows, ...] = ({Material: no_density}, {Ply: []})
    for tables in spoiled:
        assert one(judged(voids_of_coupons, {BurnOff: [hung(1.0)], **tables})).verdict is INCONCLUSIVE


# --- LAM-09 -------------------------------------------------------------------------------------------------------


def test_a_coupon_that_was_not_heated_again_carries_the_change_that_is_allowed():
    """At most 1 mg: 100 x 0.001 g / 5.1607 g = 0.0194 %, over the root of three 0.0112 % (worked by hand)."""
    found = one(judged(glass_of_coupons, {BurnOff: [coupon(reheated=None)]}), GLASS)
    assert found.measured is not None
    (part,) = [part for part in found.measured.parts if part.name == "constant mass"]
    assert part.standard == near(0.01119, abs=0.00001)
    assert any("not heated again" in line for line in found.working)


def record_of(quantity, found):
    return one(found, quantity)


@pytest.mark.parametrize(
    ("cells", "quantity", "verdict"),
    [
        ({}, MASS, PASS),
        ({"full": 26.1, "residue": 25.8, "reheated": 25.8}, MASS, FAIL),  # 0.98 g, from 2 g
        ({"furnace": 565.0}, FURNACE, FAIL),  # 605 to 645 °C
        ({"method": "ASTM D2584", "furnace": 565.0}, FURNACE, PASS),  # 565 ± 28 °C
        ({"thermometer": None}, FURNACE, CONDITIONAL_PASS),  # as set, and nobody read it
        ({"reheated": 28.8020}, CHANGE, FAIL),  # 2.6 mg, at most 1 mg
        ({}, CHANGE, PASS),  # 0.3 mg
        ({"gelcoat": "left on"}, CLEAN, FAIL),
        ({"filled": "yes"}, CLEAN, FAIL),
        ({"filled": "yes", "method": "ISO 1172 B"}, CLEAN, PASS),
        ({"furnace": None}, FURNACE, NO_RECORD),
        ({"reheated": None}, CHANGE, NO_RECORD),
        ({"gelcoat": None}, CLEAN, NO_RECORD),
    ],
)
def test_lam_09_pass_or_fail_or_no_record_by_the_method(cells, quantity, verdict):
    assert one(judged(weighings, {BurnOff: [coupon(**cells)]}), quantity).verdict is verdict


def test_lam_09_conditional_pass_or_conditional_fail_by_a_limit_with_a_guard_band():
    """5.1607 g against a builder's own window: U of two weighings of U = 0.6 mg is 0.85 mg."""
    for low, verdict in ((5.1603, CONDITIONAL_PASS), (5.1611, CONDITIONAL_FAIL)):
        mine = [specified("LAM-09", MASS, "g", low)]
        assert one(judged(weighings, {BurnOff: [coupon()]}, mine), MASS).verdict is verdict


def test_lam_09_information_where_a_method_names_no_mass():
    assert one(judged(weighings, {BurnOff: [coupon(method="ASTM D2584")]}), MASS).verdict is INFORMATION


def test_lam_09_fail_or_inconclusive_by_the_number_of_specimens():
    """ISO 1172 asks for two (from memory), ASTM D2584 for three (clause 6.1, read)."""
    assert one(judged(weighings, {BurnOff: [coupon()]}), SPECIMENS).verdict is FAIL
    assert one(judged(weighings, {BurnOff: FOUR[:2]}), SPECIMENS).verdict is PASS
    two_skins = [with_glass("C-01", 70.0, skin="outer skin"), with_glass("C-02", 70.0, skin="inner skin")]
    found = judged(weighings, {BurnOff: two_skins})
    assert {one(found, SPECIMENS, condition=skin).verdict for skin in ("outer skin", "inner skin")} == {FAIL}
    d2584 = [{**row, "method": "ASTM D2584"} for row in FOUR[:2]]
    assert one(judged(weighings, {BurnOff: d2584}), SPECIMENS).verdict is FAIL
    mixed = [FOUR[0], FOUR[1], {**FOUR[2], "method": "ASTM D2584"}]
    assert one(judged(weighings, {BurnOff: mixed}), SPECIMENS).verdict is INCONCLUSIVE


def test_lam_09_not_measured_where_it_was_planned():
    plan = [planned("LAM-09", "L7", "laminate/burn_off.csv", 3)]
    found = judged(weighings, {BurnOff: FOUR, Planned: plan})
    assert one(found, SPECIMENS, "L7").verdict is NOT_MEASURED


@pytest.mark.parametrize(
    ("check", "quantity", "judge"),
    [("LAM-01", GLASS, glass_of_coupons), ("LAM-02", MEAN, glass_of_zones)],
)
def test_a_limit_that_names_a_zone_without_a_coupon_is_asked_for(check, quantity, judge):
    mine = [specified(check, quantity, "%", 60.0, place="L9")]
    found = one(judged(judge, {BurnOff: [coupon()]}, mine), quantity, "L9")
    assert found.verdict is NOT_MEASURED
    assert said(found, "A limit is set here, and no coupon of this zone was burned.")
