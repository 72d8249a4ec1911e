"""COA-01 order of work, COA-03 grit sequence: every verdict, on synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.preparation import (
    FINER,
    NUMBER,
    ORDER,
    RATIO,
    grit_sequence,
    order_of_work,
)
from buildbook.chapters.coating.records import Coat, Preparation
from buildbook.chapters.shared_records import Place, Planned
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    FAIL,
    GOVERNING,
    INCONCLUSIVE,
    NO_RECORD,
    NOT_APPLICABLE,
    PASS,
    REFERENCE,
    Tables,
    one,
    planned,
    said,
    specification,
    specified,
    value,
    zone,
)

DAY = "2026-03-02"
Z1 = (zone(),)


def steps(*given, where="Z1"):
    """Steps as (what, start hour, end hour, grit)."""
    return [
        {
            "id": f"{where}-{number}",
            "zone": where,
            "step": step,
            "started": f"{DAY} {start:02}:00",
            "finished": f"{DAY} {end:02}:00",
            "grit": grit[0] if grit else None,
        }
        for number, (step, start, end, *grit) in enumerate(given)
    ]


def ordered(*given, places=Z1, **more):
    return order_of_work(evidence({Place: list(places), Preparation: steps(*given)}, **more))


# COA-01. Refinishing article of 2012 (read): washed and de-waxed, and only then sanded.

WASH, WAX, SAND = ("wash", 8, 10), ("de-wax", 10, 12), ("sand", 13, 16, "P120")


def test_coa_01_pass_washed_and_de_waxed_before_the_first_sanding():
    found = one(ordered(WASH, WAX, SAND), ORDER)
    assert found.verdict is PASS
    assert found.observed == "washed by 2026-03-02 10:00, de-waxed by 2026-03-02 12:00, first sanded 2026-03-02 13:00"
    assert len(found.at) == 3
    assert found.period is not None
    assert (found.period.start.hour, found.period.end.hour) == (8, 13)
    assert found.limit is not None
    assert found.limit.standing is Standing.READ


def test_coa_01_pass_whichever_of_the_two_came_first():
    assert one(ordered(("de-wax", 8, 9), ("wash", 9, 10), SAND)).verdict is PASS


def test_coa_01_pass_sanding_begins_the_minute_the_other_ended():
    assert one(ordered(WASH, WAX, ("sand", 12, 16, "P120"))).verdict is PASS


@pytest.mark.parametrize(
    "given",
    [
        (WASH, ("de-wax", 14, 15), SAND),
        (("wash", 14, 15), WAX, SAND),
        (WASH, ("de-wax", 10, 14), SAND),  # still at it when the first sanding began
        (WASH, WAX, ("sand", 7, 8, "P80"), SAND),  # a second sanding does not mend the first
    ],
    ids=["wax ground in", "washed too late", "de-wax not finished", "sanded first, then again"],
)
def test_coa_01_fail_sanded_before_it_was_clean(given):
    assert one(ordered(*given)).verdict is FAIL


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ((WASH, SAND), "No record of de-waxing for this zone."),
        ((SAND,), "No record of washing and de-waxing for this zone."),
        ((WASH, WAX), "No record of sanding for this zone."),
    ],
)
def test_coa_01_no_record_of_a_step(given, words):
    found = one(ordered(*given))
    assert (found.verdict, found.notes[0]) == (NO_RECORD, words)
    assert found.limit is not None


def test_coa_01_no_record_of_a_painted_zone_at_all():
    found = one(ordered(WASH, WAX, SAND, places=(zone(), zone("Z2"))), place="Z2")
    assert (found.verdict, found.notes) == (NO_RECORD, ("No preparation of this zone is on record.",))


def test_coa_01_no_record_where_the_table_is_missing():
    found = one(order_of_work(evidence({Place: [zone()], Preparation: []})))
    assert found.verdict is NO_RECORD
    assert said(found, "coating/preparation.csv")


def test_coa_01_no_record_of_a_zone_that_only_the_coating_log_or_the_plan_names():
    rows: Tables = {
        Preparation: [],
        Coat: [{"zone": "Z8"}],
        Planned: [planned("COA-01", "Z9", "coating/preparation.csv")],
    }
    found = list(order_of_work(evidence(rows)))
    assert [(finding.key.place, finding.verdict) for finding in found] == [("Z8", NO_RECORD), ("Z9", NO_RECORD)]


def test_coa_01_inconclusive_when_no_row_of_the_zone_can_be_read():
    found = one(order_of_work(evidence({Place: [zone()]}, unread={Preparation: [{"zone": "Z1", "step": "wash"}]})))
    assert found.verdict is INCONCLUSIVE


def test_coa_01_not_applicable_to_metal():
    found = one(ordered(SAND, places=(zone(substrate="aluminium"),)))
    assert (found.verdict, found.notes) == (NOT_APPLICABLE, ("A metal part: see the check of metal parts.",))


def test_coa_01_a_chosen_procedure_governs_and_the_reference_stands_beside():
    chosen = specification(COA_01="washed and de-waxed before sanding")
    found = list(ordered(WASH, WAX, SAND, specification=chosen))
    assert [one(found, role=role).verdict for role in (GOVERNING, REFERENCE)] == [PASS, PASS]
    limit = one(found).limit
    assert limit is not None
    assert (limit.words, limit.standing) == ("washed and de-waxed before sanding", Standing.BUILDER)


# COA-03. Sizes of the FEPA P grades: P36 538, P80 201, P120 125 um (second-hand: sizes.com), P180 82 um (from memory).


def sanded(*grades, coats=(), more=(), **kwargs):
    """Grades in the order used, one an hour."""
    rows = steps(*[("sand", 6 + hour, 7 + hour, grade) for hour, grade in enumerate(grades)], *more)
    coating = [{"coat": f"Z1-{n}", "layer": n, "started": f"{DAY} {hour:02}:30"} for n, hour in enumerate(coats, 1)]
    coating = [{**row, "mixed": row["started"], "finished": row["started"]} for row in coating]
    return list(grit_sequence(evidence({Place: [zone()], Preparation: rows, Coat: coating}, **kwargs)))


def test_coa_03_pass_each_grit_at_most_twice_as_fine():
    """P80 to P120 is 201 / 125 = 1.608, P120 to P180 is 125 / 82 = 1.524; at most 2.0 (common practice, no source)."""
    found = sanded("P80", "P120", "P180")
    ratio = one(found, RATIO)
    assert (ratio.verdict, ratio.observed) == (PASS, "widest step P80 to P120")
    assert value(ratio) == pytest.approx(1.608)
    assert ratio.margin == pytest.approx(0.392)
    assert one(found, FINER).verdict is PASS
    assert ratio.limit is not None
    assert ratio.limit.standing is Standing.PRACTICE


@pytest.mark.parametrize(
    ("grades", "ratio"), [(("P80", "P180"), 2.451), (("P36", "P80"), 2.677)]
)  # 201 / 82 and 538 / 201
def test_coa_03_fail_a_step_too_wide(grades, ratio):
    found = one(sanded(*grades), RATIO)
    assert found.verdict is FAIL
    assert value(found) == pytest.approx(ratio, abs=5e-4)


def test_coa_03_fail_coarser_again_on_the_same_layer():
    found = one(sanded("P120", "P180", "P120"), FINER)
    assert (found.verdict, found.observed) == (FAIL, "not finer: P180 to P120")


def test_coa_03_fail_the_same_grade_twice_is_not_finer():
    assert one(sanded("P120", "P120"), FINER).verdict is FAIL


@pytest.mark.parametrize("layer", ["coat", "fill"])
def test_coa_03_pass_coarser_again_after_a_new_layer(layer):
    """P80 P120, then a coat (or filler), then P120 P180: the step from P120 to P120 is not one."""
    if layer == "coat":
        found = sanded("P80", "P120", "P120", "P180", coats=(7,))
    else:
        found = sanded("P80", "P120", "P120", "P180", more=(("fill", 8, 8),))
    assert one(found, FINER).verdict is PASS
    assert value(one(found, RATIO)) == pytest.approx(1.608)


def test_coa_03_the_number_rule_and_the_size_rule_disagree_on_the_same_steps():
    """P80 to P180 is +100, which the number rule allows, and 2.45 times finer; P400 to P600 is +200 and 1.36 times.

    Sizes of P400 and P600: 35.0 and 25.8 um (from memory). Both rules: common practice, no source.
    """
    by_number = specification(COA_03="grit number step")
    assert one(sanded("P80", "P180", specification=by_number), NUMBER).verdict is PASS
    assert one(sanded("P80", "P180"), RATIO).verdict is FAIL
    assert one(sanded("P400", "P600", specification=by_number), NUMBER).verdict is FAIL
    found = one(sanded("P400", "P600"), RATIO)
    assert (found.verdict, round(value(found), 2)) == (PASS, 1.36)


def test_coa_03_the_builders_ratio_governs_and_the_customary_one_stands_beside():
    mine = specification(specified("COA-03", RATIO, "1", high=1.55))
    found = sanded("P80", "P120", specification=mine)
    assert (one(found, RATIO).verdict, one(found, RATIO, role=REFERENCE).verdict) == (FAIL, PASS)


@pytest.mark.parametrize("grade", ["180", "P123", "P180/P240"])
def test_coa_03_inconclusive_a_grade_that_is_not_in_the_table(grade):
    assert one(sanded("P80", grade)).verdict is INCONCLUSIVE


def test_coa_03_inconclusive_when_no_row_can_be_read():
    unread: Tables = {Preparation: [{"zone": "Z1", "step": "sand"}]}
    assert one(grit_sequence(evidence({Place: [zone()]}, unread=unread))).verdict is INCONCLUSIVE


def test_coa_03_no_record_of_any_sanding():
    found = one(grit_sequence(evidence({Place: [zone()], Preparation: steps(WASH)})))
    assert (found.verdict, found.notes) == (NO_RECORD, ("No sanding of this zone is on record.",))


def test_coa_03_grinding_is_not_a_step_of_the_sanding():
    """P36 to P80 would be 2.68; the P36 was used to grind, before the sanding of this layer began."""
    found = sanded("P80", "P120", more=(("grind", 5, 6, "P36"),))
    assert one(found, RATIO).observed == "widest step P80 to P120"


def test_coa_03_not_applicable_one_grade_on_each_layer():
    assert one(sanded("P120", "P240", coats=(6,))).verdict is NOT_APPLICABLE


def test_coa_03_not_applicable_beyond_the_end_of_the_number_rule_yet_still_in_order():
    """The number rule speaks of grades up to P400; that each grit is finer is asked of all."""
    found = sanded("P600", "P500", specification=specification(COA_03="grit number step"))
    assert (one(found, NUMBER).verdict, one(found, FINER).verdict) == (NOT_APPLICABLE, FAIL)


def test_coa_03_a_sanded_part_is_looked_at_too():
    part = zone("P1", kind="part")
    rows: Tables = {Place: [part], Preparation: steps(("sand", 8, 9, "P36"), ("sand", 9, 10, "P80"), where="P1")}
    assert one(grit_sequence(evidence(rows)), RATIO, "P1").verdict is FAIL
