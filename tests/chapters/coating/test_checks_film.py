"""COA-08 film thickness by the rule of the specification: every verdict, on synthetic rows.

The worked examples W11, W15, W16 and W17 stand in tests/published (film_statistics, pa2_spots).
"""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.film import (
    AREA_MEAN,
    HIGH_SPOT,
    LARGEST,
    LOW_SPOT,
    MEAN,
    NOMINAL,
    SHARE,
    SMALLEST,
    film_thickness,
)
from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_APPLICABLE,
    NOT_MEASURED,
    PASS,
    Tables,
    expanded,
    instrument,
    limit_of,
    near,
    one,
    planned,
    said,
    specification,
    specified,
    value,
    zone,
)
from tests.published_values import numbers, rows

GAUGE = instrument("UT-01", "film thickness", "um", 6.0, range_low=0, range_high=1000)
SIMPLE = instrument("UT-01", "film thickness", "um", None, range_low=0, range_high=1000)
AT_120 = specified("COA-08", NOMINAL, "um", 120.0)
FROM_110_TO_150 = specified("COA-08", NOMINAL, "um", 110.0, 150.0)


def published(table, example):
    return next(row for row in rows(table) if row["example"] == example)


def readings(*values, where="Z1", attempt=1, spots=(), **more):
    """One reading a minute; `spots` numbers them."""
    return [
        {
            "zone": where,
            "attempt": attempt,
            "number": number,
            "spot": spots[number - 1] if spots else None,
            "thickness": thickness,
            "extra": False,
            "at": f"2026-03-30 09:{number:02}",
            **more,
        }
        for number, thickness in enumerate(values, 1)
    ]


def survey(*given, limits=(AT_120,), gauge=GAUGE, places=None, unread=None, plan=(), **rules):
    """All findings of COA-08; 2 m2 ask for ten readings by the sampling plan of ISO 19840 (from memory)."""
    tables: Tables = {
        Place: places or [zone()],
        FilmReading: given,
        Instrument: [gauge],
        Planned: plan,
    }
    return list(film_thickness(evidence(tables, specification=specification(*limits, **rules), unread=unread)))


# The 80/20 rule of ISO 19840 (second-hand)

GOOD = (130, 128, 126, 132, 129, 127, 131, 133, 125, 129)


def test_coa_08_pass_by_the_80_20_rule():
    """Mean 129.0: +9 over 120; s of these ten = 2.582, over sqrt(10) 0.816, gauge 3: u = 3.109, nu = 1892: U = 6.22."""
    found = survey(*readings(*GOOD))
    mean, smallest, share = one(found, MEAN), one(found, SMALLEST), one(found, SHARE)
    assert {finding.verdict for finding in found} == {PASS}
    assert {finding.key.quantity for finding in found} == {MEAN, SMALLEST, SHARE, LARGEST}
    assert (value(mean), mean.margin) == (near(129.0), near(9.0))
    assert expanded(mean) == near(6.222, abs=5e-3)
    assert (value(smallest), smallest.margin, smallest.guard) == (125.0, near(29.0), 6.0)  # 0.8 x 120 = 96
    assert (value(share), share.guard) == (0.0, 0.0)
    assert limit_of(one(found, LARGEST)).high == 360.0  # three times nominal, recommendation of an older ISO 12944-5
    assert limit_of(smallest).standing is Standing.SECOND_HAND
    assert limit_of(one(found, LARGEST)).standing is Standing.MEMORY
    assert said(mean, "borrowed for plastic")


def test_coa_08_fail_w16_exactly_a_fifth_below_nominal():
    """W16: 2 of 10 below 120: 20 %, and ISO 19840 wants fewer than 20 %; the mean of 124.0 is met."""
    example = published("film_statistics", "W16")
    found = survey(*readings(*numbers(example["readings [um]"])), gauge=SIMPLE)
    share, mean = one(found, SHARE), one(found, MEAN)
    assert (share.verdict, value(share), share.margin) == (FAIL, near(20.0), 0.0)
    assert (mean.verdict, value(mean)) == (CONDITIONAL_PASS, near(float(example["mean [um]"])))  # no U is stated
    assert one(found, SMALLEST).verdict is CONDITIONAL_PASS


def test_coa_08_pass_w16_by_the_paint_makers_sheet():
    """The same ten readings: the maker's sheet allows 20 % and does not judge the mean."""
    example = published("film_statistics", "W16")
    found = survey(*readings(*numbers(example["readings [um]"])), gauge=SIMPLE, COA_08="maker-80-20")
    assert {finding.key.quantity: finding.verdict for finding in found} == {
        SMALLEST: CONDITIONAL_PASS,  # no U is stated
        SHARE: PASS,  # counted
    }


def test_coa_08_fail_w17_one_reading_under_the_floor_whatever_the_mean():
    """W17: 95 against 0.8 x 120 = 96, mean 123.0, one of ten below nominal."""
    example = published("film_statistics", "W17")
    found = survey(*readings(*numbers(example["readings [um]"])), gauge=SIMPLE)
    smallest = one(found, SMALLEST)
    assert (smallest.verdict, smallest.margin) == (FAIL, near(-1.0))
    assert (one(found, MEAN).verdict, one(found, SHARE).verdict) == (CONDITIONAL_PASS, PASS)


def test_coa_08_conditional_fail_w17_with_a_gauge_that_cannot_tell_95_from_96():
    example = published("film_statistics", "W17")
    smallest = one(survey(*readings(*numbers(example["readings [um]"]))), SMALLEST)
    assert (smallest.verdict, smallest.guard) == (CONDITIONAL_FAIL, 6.0)


def test_coa_08_conditional_pass_over_the_floor_by_less_than_the_uncertainty():
    smallest = one(survey(*readings(99, *GOOD[1:])), SMALLEST)
    assert smallest.verdict is CONDITIONAL_PASS
    assert smallest.margin == near(3.0)  # 99 - 96, U = 6


def test_coa_08_w11_by_the_90_10_rule():
    """W11: nominal 320, floor 288 (read); one of ten below nominal is 10 %, which is allowed."""
    example = published("film_statistics", "W11")
    nominal = specified("COA-08", NOMINAL, "um", 320.0)
    found = survey(*readings(*numbers(example["readings [um]"])), limits=(nominal,), COA_08="pspc-90-10")
    assert {finding.key.quantity: finding.verdict for finding in found} == {SMALLEST: PASS, SHARE: PASS}
    assert limit_of(one(found, SMALLEST)).low == near(float(example["floor [um]"]))


def test_coa_08_fail_thicker_than_specified():
    found = survey(*readings(*GOOD[:9], 190), limits=(FROM_110_TO_150,))
    largest = one(found, LARGEST)
    assert (largest.verdict, largest.margin) == (FAIL, -40.0)
    assert [term.words for term in limit_of(largest).terms] == ["specified"]
    assert (limit_of(one(found, MEAN)).low, limit_of(one(found, MEAN)).high) == (110.0, None)


def test_coa_08_fail_thicker_than_specified_by_a_rule_that_names_no_greatest():
    found = survey(*readings(*GOOD[:9], 190), limits=(FROM_110_TO_150,), COA_08="maker-80-20")
    assert one(found, LARGEST).verdict is FAIL


def test_coa_08_extra_readings_at_thin_spots_stay_out_of_mean_and_share_but_not_out_of_the_smallest():
    """A Dutch inspectors' association (read): extra readings on thin spots must not enter the mean."""
    thin = [{**row, "number": 11, "extra": True} for row in readings(60)]
    found = survey(*readings(*GOOD), *thin)
    assert value(one(found, MEAN)) == near(129.0)
    assert value(one(found, SHARE)) == 0.0
    for quantity, told in ((MEAN, True), (SHARE, True), (SMALLEST, False)):
        assert said(one(found, quantity), "Left out of this value: 1 taken on purpose at thin spots (60 µm)") is told
    assert (one(found, SMALLEST).verdict, value(one(found, SMALLEST))) == (FAIL, 60.0)


def test_coa_08_inconclusive_with_extra_readings_only():
    found = survey(*readings(130, extra=True))
    assert {finding.verdict for finding in found} == {INCONCLUSIVE}
    assert len(found) == 4


# Enough readings


@pytest.mark.parametrize(
    ("area", "count", "enough"), [(2.0, 10, True), (2.0, 9, False), (1.0, 5, True), (3.5, 14, False), (3.5, 15, True)]
)
def test_coa_08_inconclusive_with_too_few_readings_for_the_area(area, count, enough):
    """ISO 19840, sampling plan (from memory): 5 up to 1 m2, 10 up to 3 m2, 15 up to 10 m2."""
    found = survey(*readings(*[130] * count), places=[zone(area=area)])
    assert {finding.verdict for finding in found} == {PASS if enough else INCONCLUSIVE}
    assert said(found[0], "the sampling plan asks for") is not enough


def test_coa_08_fail_stays_a_fail_with_too_few_readings():
    assert one(survey(*readings(60, 130)), SMALLEST).verdict is FAIL


@pytest.mark.parametrize("places", [[zone(area=None)], [zone("Z2")]], ids=["area not given", "place not in the table"])
def test_coa_08_inconclusive_when_the_area_is_not_known(places):
    found = one(survey(*readings(*GOOD), places=places), MEAN, "Z1")
    assert found.verdict is INCONCLUSIVE
    assert said(found, "The area of this zone is not given")


def test_coa_08_inconclusive_on_an_area_that_has_to_be_split():
    found = one(survey(*readings(*GOOD), places=[zone(area=1200)]), MEAN)
    assert found.verdict is INCONCLUSIVE


# Restriction levels of SSPC-PA 2 (levels 1, 2, 4, 5 from memory, level 3 second-hand)


def spotted(level, *, limits=(FROM_110_TO_150,), area=10.0, skip=0, gauge=SIMPLE):
    """W15: five spots of three readings, least 110, greatest 150 um."""
    spots = [numbers(spot) for spot in published("pa2_spots", "W15")["readings [um]"].split(";")]
    values = [value for spot in spots for value in spot]
    marks = [number for number, spot in enumerate(spots, 1) for _ in spot]
    kept = readings(*values[: len(values) - skip], spots=marks)
    return survey(*kept, limits=limits, gauge=gauge, places=[zone(area=area)], COA_08=f"pa-2-level-{level}")


def test_coa_08_pass_w15_by_level_3():
    """Area mean 123.2 in 110 to 150; lowest spot 100 against 0.8 x 110 = 88; highest 140 against 1.2 x 150 = 180."""
    found = spotted(3)
    assert {finding.key.quantity: finding.verdict for finding in found} == {
        AREA_MEAN: CONDITIONAL_PASS,  # no U is stated
        LOW_SPOT: CONDITIONAL_PASS,
        HIGH_SPOT: CONDITIONAL_PASS,
    }
    example = published("pa2_spots", "W15")
    assert value(one(found, AREA_MEAN)) == near(float(example["mean [um]"]))
    assert (value(one(found, LOW_SPOT)), value(one(found, HIGH_SPOT))) == (100.0, 140.0)
    assert limit_of(one(found, LOW_SPOT)).low == near(88.0)
    assert limit_of(one(found, HIGH_SPOT)).high == near(180.0)


def test_coa_08_fail_w15_by_level_2():
    """Lowest spot 100 against 110; single readings 96 (0.8 x 110 = 88) and 142 (1.2 x 150 = 180) meet theirs."""
    found = spotted(2)
    assert one(found, LOW_SPOT).verdict is FAIL
    assert one(found, LOW_SPOT).margin == near(-10.0)
    smallest, largest = one(found, SMALLEST), one(found, LARGEST)
    assert (smallest.verdict, value(smallest), limit_of(smallest).low) == (CONDITIONAL_PASS, 96.0, near(88.0))
    assert (largest.verdict, value(largest), limit_of(largest).high) == (CONDITIONAL_PASS, 142.0, near(180.0))


def test_coa_08_the_scatter_of_spots_belongs_to_their_mean_only():
    """Spots 120, 130, 100, 126, 140: s^2 = 884.8 / 4 = 221.2, over 5: 44.24; gauge 3^2: u = sqrt(53.24) = 7.297.

    nu = 53.24^2 / (44.24^2 / 4) = 5.8, cut down to 5: k = 2.65 (JCGM 100:2008, table G.2, 95.45 %), U = 19.3.
    """
    found = spotted(3, gauge=GAUGE)
    assert expanded(one(found, AREA_MEAN)) == near(19.33, abs=0.02)
    assert (expanded(one(found, LOW_SPOT)), expanded(one(found, HIGH_SPOT))) == (6.0, 6.0)
    assert one(found, AREA_MEAN).verdict is CONDITIONAL_PASS  # 123.2 - 110 = 13.2


def test_coa_08_not_applicable_an_end_of_the_rule_without_a_greatest_thickness():
    found = spotted(3, limits=(specified("COA-08", NOMINAL, "um", 110.0),))
    assert one(found, HIGH_SPOT).verdict is NOT_APPLICABLE
    assert said(one(found, HIGH_SPOT), "The specification sets no greatest thickness")
    assert (one(found, AREA_MEAN).verdict, limit_of(one(found, AREA_MEAN)).high) == (CONDITIONAL_PASS, None)


def test_coa_08_inconclusive_with_too_few_spots_or_readings_in_one():
    """Five spots in each 10 m2, three readings in each spot (a newsletter of the publisher, read)."""
    on_two_areas = spotted(3, area=15.0)
    assert {finding.verdict for finding in on_two_areas} == {INCONCLUSIVE}
    assert said(on_two_areas[0], "5 spots; the rule asks for 10 on 15 m².")
    short = spotted(3, skip=1)
    assert {finding.verdict for finding in short} == {INCONCLUSIVE}
    assert said(short[0], "A spot has 2 readings; the rule asks for 3 or more.")


# Nothing to judge by, nothing to judge


def test_coa_08_information_without_a_nominal_thickness():
    found = survey(*readings(*GOOD), limits=())
    assert (one(found).key.quantity, one(found).verdict, value(one(found))) == (MEAN, INFORMATION, near(129.0))
    assert not said(one(found), "borrowed")
    assert one(survey(*readings(130), limits=(), places=[zone(area=None)])).verdict is INFORMATION  # no rule, no plan


def test_coa_08_pass_by_a_limit_that_the_builder_set_for_one_quantity():
    alone = specified("COA-08", MEAN, "um", 100.0)
    found = survey(*readings(*GOOD), limits=(alone,))
    assert (one(found, MEAN).verdict, limit_of(one(found, MEAN)).low) == (PASS, 100.0)
    beside = survey(*readings(*GOOD), limits=(AT_120, specified("COA-08", SMALLEST, "um", 128.0)))
    assert (one(beside, SMALLEST).verdict, one(beside, MEAN).verdict) == (CONDITIONAL_FAIL, PASS)  # 125 - 128, U = 6


@pytest.mark.parametrize(
    "limits", [(specified("COA-08", NOMINAL, "um", high=150.0),), (specified("COA-08", NOMINAL, "um", 0.0),)]
)
def test_coa_08_inconclusive_without_a_usable_nominal_thickness(limits):
    found = survey(*readings(*GOOD), limits=limits)
    assert {finding.verdict for finding in found if finding.key.quantity != LARGEST} == {INCONCLUSIVE}
    assert one(found, LARGEST).verdict in (INCONCLUSIVE, FAIL)  # a greatest of 0 is missed, whatever the nominal is
    assert all(finding.limit is not None for finding in found)


def test_coa_08_inconclusive_a_share_with_nothing_to_count_against():
    share = survey(*readings(*GOOD), limits=(specified("COA-08", SHARE, "%", high=10.0),))
    assert one(share, SHARE).verdict is INCONCLUSIVE


def test_coa_08_inconclusive_by_a_rule_nobody_knows():
    found = one(survey(*readings(*GOOD), COA_08="rule-of-thumb"), MEAN)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "The rule 'rule-of-thumb' is not one of the rules this book knows")
    assert one(survey(*readings(60, *GOOD), COA_08="rule-of-thumb"), SMALLEST).verdict is FAIL


def test_coa_08_inconclusive_readings_of_different_layers():
    mixed = [{**row, "system": "primer" if row["number"] < 5 else "primer and topcoat"} for row in readings(*GOOD)]
    found = survey(*mixed)
    assert {finding.verdict for finding in found} == {INCONCLUSIVE}
    assert said(found[0], "different layers (primer and topcoat; primer): not comparable")


def test_coa_08_inconclusive_with_a_gauge_nobody_knows():
    assert one(survey(*readings(*GOOD, instrument="UT-09")), MEAN).verdict is INCONCLUSIVE


def test_coa_08_not_measured_on_painted_and_planned_places():
    found = survey(
        *readings(*GOOD),
        places=[zone(), zone("Z2"), zone("Z3", painted="no")],
        plan=[planned("COA-08", "Z4", "coating/film_thickness.csv")],
    )
    assert {finding.key.place: finding.verdict for finding in found} == {
        "Z1": PASS,
        "Z2": NOT_MEASURED,
        "Z4": NOT_MEASURED,
    }
    assert len([finding for finding in found if finding.key.place == "Z2"]) == 4
    assert limit_of(one(found, MEAN, "Z2")).low == 120.0


def test_coa_08_not_measured_a_zone_without_readings_by_a_rule_nobody_knows():
    found = survey(*readings(*GOOD), places=[zone(), zone("Z2")], COA_08="rule-of-thumb")
    assert {finding.verdict for finding in found if finding.key.place == "Z2"} == {NOT_MEASURED}


def test_coa_08_no_record_where_the_table_is_missing():
    assert {finding.verdict for finding in survey()} == {NO_RECORD}


def test_coa_08_inconclusive_when_no_row_can_be_read():
    tables: Tables = {Place: [zone()]}
    held = evidence(tables, specification=specification(AT_120), unread={FilmReading: [{"zone": "Z1", "attempt": 1}]})
    assert {finding.verdict for finding in film_thickness(held)} == {INCONCLUSIVE}


def test_coa_08_the_first_survey_stays_beside_the_one_after_rework():
    found = survey(*readings(60, *GOOD[1:]), *readings(*GOOD, attempt=2))
    assert [one(found, SMALLEST, attempt=number).verdict for number in (1, 2)] == [FAIL, PASS]


def test_coa_08_readings_on_a_part_are_judged_too():
    part = zone("P1", kind="part")
    found = survey(*readings(*GOOD), *readings(60, where="P1"), places=[zone(), part])
    assert one(found, SMALLEST, "P1").verdict is FAIL
