"""LAM-04 to LAM-07 and LAM-10: plies, residue, thickness, hardness, coverage; every verdict, on synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.laminate.checks.coverage import OPENING, SKIN, WITNESS, sampled
from buildbook.chapters.laminate.checks.hardness import MEAN, NUMBER, hard_enough
from buildbook.chapters.laminate.checks.plies import RESIDUE, plies_counted, residue
from buildbook.chapters.laminate.checks.thickness import OWN, THICKNESS, thickness
from buildbook.chapters.laminate.records import BurnOff, Material, Ply, PlyCount
from buildbook.chapters.shared_records import Hardness, Instrument, Place, Planned
from tests.chapters.laminate.cut_folder import (
    MATERIALS,
    METERS,
    Rows,
    counts,
    coupon,
    folder,
    judged,
    plies,
    with_glass,
)
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

# --- LAM-04 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("counted", "verdict"),
    [
        ((4, 4), PASS),
        ((3, 3), FAIL),
        ((5, 5), FAIL),
        ((4, 3), INCONCLUSIVE),  # one reader is one short
        ((3, 2), FAIL),  # they differ, and neither found them all
        ((4,), INCONCLUSIVE),  # one reader alone
    ],
)
def test_lam_04_pass_or_fail_or_inconclusive_by_two_readers(counted, verdict):
    found = one(judged(plies_counted, {PlyCount: counts(*counted)}))
    assert found.verdict is verdict
    assert (limit_of(found).low, limit_of(found).high) == (4.0, 4.0)


def test_the_same_reader_twice_is_one_reader():
    twice = [{**row, "by": "QA A"} for row in counts(4, 4)]
    assert one(judged(plies_counted, {PlyCount: twice})).verdict is INCONCLUSIVE


def test_a_schedule_with_a_line_missing_says_so():
    """The lines say that the skin has five plies; the fifth is gone."""
    found = one(judged(plies_counted, {PlyCount: counts(4, 4), Ply: plies(4, of=5)}))
    assert found.verdict is FAIL
    assert said(found, "4 of 5 plies")
    other = one(judged(plies_counted, {PlyCount: counts(5, 5), Ply: plies(4, of=5)}))
    assert other.verdict is INCONCLUSIVE


def test_lam_04_not_measured_or_no_record_of_a_coupon_that_nobody_counted():
    assert one(
        judged(plies_counted, {PlyCount: counts(4, 4), BurnOff: [coupon("C-02")]}), condition="C-02"
    ).verdict is (NOT_MEASURED)
    assert one(judged(plies_counted, {PlyCount: [], BurnOff: [coupon()]}), condition="C-01").verdict is NO_RECORD
    lost: Rows = {BurnOff: [{"coupon": "C-03", "zone": "L1", "attempt": 1}]}
    found = judged(plies_counted, {PlyCount: counts(4, 4), BurnOff: [coupon("C-02", attempt=2)]}, (), lost)
    assert {one(found, condition=name).verdict for name in ("C-02", "C-03")} == {NOT_MEASURED}


def test_without_a_schedule_the_count_cannot_be_judged():
    assert one(judged(plies_counted, {PlyCount: counts(4, 4), Ply: []})).verdict is INCONCLUSIVE


# --- LAM-05 -------------------------------------------------------------------------------------------------------


def left(grams: float, **more):
    """A coupon of 25 mm by 25 mm that left so many grams."""
    full = 25.0 + grams / 0.7
    sized = {"length": 25.0, "width": 25.0, **more}
    return coupon(crucible=25.0, full=full, residue=25.0 + grams, reheated=25.0 + grams, **sized)


@pytest.mark.parametrize(
    ("grams", "verdict"),
    [
        (2.940, PASS),  # example W27: 4704 g/m2
        (3.290, CONDITIONAL_PASS),  # 5264, half a ply more is 5292
        (3.330, CONDITIONAL_FAIL),
        (3.420, FAIL),
    ],
)
def test_lam_05_pass_or_conditional_pass_or_conditional_fail_or_fail_by_half_a_ply(grams, verdict):
    """Four plies of 1200 g/m2 less 2 % leave 4704 g/m2; half a ply is 588 (W27; worked by hand).

    U is about 2 x 4704 x 1 % / sqrt(3) = 54 g/m2 from the fabrics, and little from caliper and balance.
    """
    found = one(judged(residue, {BurnOff: [left(grams)]}))
    assert value(found) == near(grams * 1600.0, abs=0.5)
    assert (limit_of(found).low, limit_of(found).high) == (near(4116.0), near(5292.0))
    assert expanded(found) == near(55.0, abs=2.0)
    assert found.verdict is verdict


def test_lam_05_inconclusive_where_the_fabrics_are_not_known_well_enough():
    """Twelve plies with 5 %: U = 2 x 14112 x 0.05 / sqrt(3) = 815 g/m2, more than half a ply."""
    loose = [{**row, "tolerance": 5.0} if row["material"] == "QX" else row for row in MATERIALS]
    found = one(judged(residue, {BurnOff: [left(8.82)], Ply: plies(12), Material: loose}))
    assert found.verdict is INCONCLUSIVE


def test_residue_is_not_judged_where_a_material_of_the_schedule_is_gone():
    """What the schedule leaves is not known then: a limit of the other plies alone would be a wrong one."""
    mixed = [*plies(3, of=4), {**plies(1, of=4, material="MAT")[0], "ply": 4}]
    gone = [row for row in MATERIALS if row["material"] != "MAT"]
    found = one(judged(residue, {BurnOff: [left(2.94)], Ply: mixed, Material: gone}))
    assert found.verdict is INCONCLUSIVE
    assert found.limit is None
    assert said(found, "no usable row of MAT")
    assert one(judged(plies_counted, {PlyCount: counts(4, 4), Ply: mixed, Material: gone})).verdict is PASS


def test_a_burn_still_losing_mass_leaves_the_residue_undecided():
    """2 mg more burned away; 5 mg would be a fail of LAM-09."""
    assert one(judged(residue, {BurnOff: [left(2.94) | {"reheated": 27.935}]})).verdict is INCONCLUSIVE


def test_lam_05_not_measured_or_no_record_without_its_size_or_the_table():
    assert one(judged(residue, {BurnOff: [left(2.94, length=None)]})).verdict is NOT_MEASURED
    assert one(judged(residue, {BurnOff: []}), place="L1").verdict is NO_RECORD


# --- LAM-06 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("thick", "verdict"),
    [(4.0, PASS), (3.24, CONDITIONAL_PASS), (3.21, CONDITIONAL_FAIL), (3.0, FAIL), (4.7, FAIL)],
)
def test_lam_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_window(thick, verdict):
    """4.8 kg/m2: equation C.1 gives 4.542 mm at 60 % and 3.230 mm at 74.7 % of glass (worked by hand); U = 0.02 mm."""
    found = one(judged(thickness, {BurnOff: [coupon(thickness=thick)]}), THICKNESS)
    assert (limit_of(found).low, limit_of(found).high) == (near(3.230, abs=0.0005), near(4.542, abs=0.0005))
    assert found.verdict is verdict


def test_lam_06_information_or_inconclusive_of_the_own_glass():
    """4.704 kg/m2 of glass, 70 %, 2.60 and 1.15 g/cm3: 4.704 (1 / 2.60 + 0.3 / (0.7 x 1.15)) = 3.562 mm (by hand)."""
    found = one(judged(thickness, {BurnOff: [with_glass("C-01", 70.0, thickness=3.562)]}), OWN)
    assert value(found) == near(100.0, abs=0.02)
    assert found.verdict is INFORMATION
    without = judged(thickness, {BurnOff: [coupon(thickness=4.0)], Ply: []})
    assert {one(without, quantity).verdict for quantity in (THICKNESS, OWN)} == {INCONCLUSIVE}


def weighed(**more):
    """A coupon of 70 % glass, 3.6 mm, weighed in water."""
    hung = {"in_air": 5.0, "in_water": 5.0 * (1.0 - 0.9976 / 1.84), "water": 23.0}
    return with_glass("C-01", 70.0, thickness=3.6, **hung, **more)


def test_densities_put_in_cancel_where_the_coupon_was_weighed_in_water():
    """With the voids of the same piece the prediction is glass / (share x density of the piece): no other density."""
    loose = [{**row, "density_uncertainty": 0.2} if row["density_uncertainty"] else row for row in (
        {"density_uncertainty": None, **row} for row in MATERIALS)]  # fmt: skip
    sure = one(judged(thickness, {BurnOff: [weighed()]}), OWN)
    unsure = one(judged(thickness, {BurnOff: [weighed()], Material: loose}), OWN)
    assert value(sure) == near(100.0 * 3.6 * 0.70 * 1.84 / 4.704, rel=1e-3)
    assert expanded(unsure) == near(expanded(sure), rel=1e-3)


def test_a_balance_beyond_its_range_holds_the_own_thickness_too():
    narrow = [{**row, "range_high": 20} if row["instrument"] == "BA-01" else row for row in METERS]
    mine = [specified("LAM-06", OWN, "%", 80.0, 120.0)]
    assert one(judged(thickness, {BurnOff: [weighed()]}, mine), OWN).verdict is PASS
    assert one(judged(thickness, {BurnOff: [weighed()], Instrument: narrow}, mine), OWN).verdict is INCONCLUSIVE


def test_lam_06_not_measured_or_no_record_without_a_thickness_or_the_table():
    assert one(judged(thickness, {BurnOff: [coupon()]}), THICKNESS).verdict is NOT_MEASURED
    assert one(judged(thickness, {BurnOff: []}), THICKNESS).verdict is NO_RECORD


# --- LAM-07 -------------------------------------------------------------------------------------------------------


def barcol(*values, where="L1", attempt=1):
    row = {"place": where, "attempt": attempt, "instrument": "BI-01", "at": "2025-10-27 11:00"}
    return [{**row, "number": number, "barcol": value} for number, value in enumerate(values, 1)]


@pytest.mark.parametrize(
    ("low", "verdict"), [(38.0, PASS), (39.5, CONDITIONAL_PASS), (40.5, CONDITIONAL_FAIL), (42.0, FAIL)]
)
def test_lam_07_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_mean(low, verdict):
    """24 readings of 39 and 41: mean 40, s = 1.0215, U about 2 sqrt(0.5^2 + 0.2085^2) = 1.08."""
    mine = [specified("LAM-07", MEAN, "1", low)]
    found = judged(hard_enough, {Hardness: barcol(*[39.0, 41.0] * 12)}, mine)
    assert value(one(found, MEAN)) == near(40.0)
    assert expanded(one(found, MEAN)) == near(1.08, abs=0.01)
    assert one(found, MEAN).verdict is verdict
    beside = one(found, MEAN, role=REFERENCE)
    assert limit_of(beside).low == near(36.0)  # 90 % of the maker's 40
    assert beside.verdict is PASS


def test_the_readings_asked_for_follow_from_the_mean():
    """ASTM D2583, table 1 (from memory): 22 readings at 40 Barcol."""
    for many, verdict in ((22, PASS), (21, FAIL)):
        found = one(judged(hard_enough, {Hardness: barcol(*[40.0] * many)}), NUMBER)
        assert limit_of(found).low == 22.0
        assert found.verdict is verdict


def test_lam_07_information_where_neither_builder_nor_maker_says_a_number():
    silent = [{**row, "hardness": None} for row in MATERIALS if row["material"] == "VE"]
    silent += [row for row in MATERIALS if row["material"] != "VE"]
    found = judged(hard_enough, {Hardness: barcol(*[40.0] * 22), Material: silent})
    assert one(found, MEAN).verdict is INFORMATION


def test_a_resin_softer_than_the_printed_plan_says_no_number():
    """ASTM D2583, table 1 begins at 20 Barcol."""
    found = one(judged(hard_enough, {Hardness: barcol(*[11.0] * 40)}), NUMBER)
    assert found.verdict is INCONCLUSIVE


def test_readings_of_an_unpainted_place_without_a_schedule_are_not_lost():
    assert one(judged(hard_enough, {Hardness: barcol(*[8.0] * 25, where="O1")}), MEAN, "O1").verdict is INFORMATION


def test_readings_of_a_place_without_a_row_may_be_of_paint():
    """Paint on gelcoat is measured too; what is not known to be laminate is not judged as laminate."""
    found = judged(hard_enough, {Hardness: barcol(*[60.0] * 25, where="Z1"), Place: []})
    assert one(found, MEAN, "Z1").verdict is INCONCLUSIVE
    assert one(found, NUMBER, "Z1").verdict is INCONCLUSIVE
    assert "may be painted" in one(found, MEAN, "Z1").notes[0]
    known = judged(hard_enough, {Hardness: barcol(*[60.0] * 25), Place: []})  # L1 is in the schedule
    assert one(known, MEAN).verdict is PASS


def test_lam_07_not_measured_or_no_record_or_inconclusive():
    plan: Rows = {Planned: [planned("LAM-07", "L1", "hardness.csv", 22)]}
    assert one(judged(hard_enough, {**plan, Hardness: barcol(40.0, where="L9")}), MEAN, "L1").verdict is NOT_MEASURED
    assert one(judged(hard_enough, {**plan, Hardness: []}), MEAN, "L1").verdict is NO_RECORD
    unknown = judged(hard_enough, {Hardness: barcol(*[40.0] * 22), Instrument: []})
    assert one(unknown, MEAN).verdict is INCONCLUSIVE


# --- LAM-10 -------------------------------------------------------------------------------------------------------


def test_lam_10_pass_or_fail_by_the_witness_halves():
    assert one(judged(sampled, {BurnOff: [coupon()]}), WITNESS).verdict is PASS
    assert one(judged(sampled, {BurnOff: [coupon(), coupon("C-02", witness=None)]}), WITNESS).verdict is FAIL


def test_lam_10_not_measured_where_an_opening_or_a_zone_was_never_tested():
    places = [
        {"place": "L1", "name": "Bottom", "kind": "zone", "painted": "no"},
        {"place": "O1", "name": "Tunnel", "kind": "opening", "painted": "no"},
        {"place": "O2", "name": "Hatch", "kind": "opening", "painted": "no"},
    ]
    found = judged(sampled, {BurnOff: [coupon()], Place: places, Ply: [*plies(), *plies(zone="L2")]})
    assert one(found, OPENING, "O1").verdict is PASS
    assert one(found, OPENING, "O2").verdict is NOT_MEASURED
    assert one(found, SKIN, "L1").verdict is PASS
    assert one(found, SKIN, "L2").verdict is NOT_MEASURED


def test_each_skin_of_a_sandwich_needs_its_own_coupon():
    found = judged(
        sampled, {BurnOff: [coupon(skin="outer skin")], Ply: plies(skin="outer skin") + plies(skin="inner skin")}
    )
    assert one(found, SKIN, condition="outer skin").verdict is PASS
    assert one(found, SKIN, condition="inner skin").verdict is NOT_MEASURED


def test_a_place_of_unknown_kind_may_be_an_opening():
    lost: Rows = {Place: [{"place": "O8", "kind": None}, {"place": None, "kind": None}]}
    found = judged(sampled, {BurnOff: [coupon()]}, (), lost)
    assert one(found, OPENING, "O8").verdict is NOT_MEASURED
    assert sum(f.verdict is INCONCLUSIVE and f.key.quantity == OPENING for f in found) == 1


def test_lam_10_inconclusive_or_no_record_where_a_row_or_the_table_is_lost():
    lost = {BurnOff: [{"coupon": "C-02", "zone": "L1", "attempt": 1}]}
    assert one(judged(sampled, {BurnOff: [coupon()]}, (), lost), WITNESS).verdict is INCONCLUSIVE
    assert one(judged(sampled, {BurnOff: []}, (), lost), WITNESS).verdict is NO_RECORD  # the zone has a schedule
    assert one(judged(sampled, {BurnOff: []}), OPENING).verdict is NO_RECORD


def test_the_small_folder_is_what_it_says():
    assert len(folder().of(Ply)) == 4
    assert RESIDUE
