"""Readings beyond the plan, and rows with one number: they may not turn a fail into a pass. Synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.appearance import DIFFERENCE, GLOSS, IMAGE, colour, gloss, image_peel_dust
from buildbook.chapters.coating.checks.film import MEAN, NOMINAL, SHARE, SMALLEST, film_thickness
from buildbook.chapters.coating.checks.laminate import BARCOL, dry_and_hard
from buildbook.chapters.coating.records import Appearance, Colour, FilmReading, Gloss
from buildbook.chapters.shared_records import Hardness, Instrument, Place, Planned
from buildbook.chapters.surplus import more_than_planned
from buildbook.core.fault import Severity
from tests.chapters.evidence_builder import deleted, evidence, spoiled
from tests.chapters.small_folder import (
    FAIL,
    INCONCLUSIVE,
    PASS,
    Tables,
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

INSTRUMENTS = (
    instrument("UT-01", "film thickness", "um", 6.0),
    instrument("GL-01", "gloss", "GU", 1.0),
    instrument("IM-01", "distinctness of image", "1", 2.0),
    instrument("CM-01", "colour", "1", 0.15),
    instrument("BI-01", BARCOL, "1", 1.5),
)
MINE = specification(
    specified("COA-08", NOMINAL, "um", 120.0),
    specified("COA-11", GLOSS[60], "GU", 85.0),
    specified("COA-12", IMAGE, "1", 85.0),
    specified("COA-13", DIFFERENCE, "1", high=1.0),
    specified("COA-16", BARCOL, "1", 38.0),
)


def held(kind, rows, *plan, places=("Z1",)):
    tables: Tables = {kind: rows, Instrument: INSTRUMENTS, Planned: plan, Place: [zone(name) for name in places]}
    return evidence(tables, specification=MINE)


def at(number):
    return {"number": number, "at": f"2026-04-09 {10 + number // 60}:{number % 60:02}"}


def hard(*values, where="Z1"):
    return [{"place": where, "attempt": 1, "barcol": value, **at(n)} for n, value in enumerate(values, 1)]


SOFT, HARD = [30.0, 32.0] * 5, [44.0] * 29


def test_29_more_readings_do_not_lift_a_mean_over_its_limit():
    """Ten readings around 31 fail 38 clearly; with 29 of 44 the mean is 40.7."""
    by_place = planned("COA-16", "Z1", "hardness.csv", 10)
    assert value(one(dry_and_hard(held(Hardness, hard(*SOFT, *HARD))), BARCOL)) == near(40.667, abs=1e-3)
    for plan in (by_place, planned("COA-16", None, "hardness.csv", 10)):
        found = one(dry_and_hard(held(Hardness, hard(*SOFT, *HARD), plan)), BARCOL)
        assert (found.verdict, value(found)) == (FAIL, near(31.0))
        assert said(
            found, "39 readings, more than the plan asks for: the first 10 count, since they are worse than all."
        )


def test_a_plan_for_all_places_together_is_shared_out():
    """20 planned for two places: ten each. The other place took its ten and is not touched."""
    rows = [*hard(*SOFT, *HARD), *hard(*[44.0] * 10, where="Z2")]
    found = list(dry_and_hard(held(Hardness, rows, planned("COA-16", None, "hardness.csv", 20), places=("Z1", "Z2"))))
    assert [one(found, BARCOL, place).verdict for place in ("Z1", "Z2")] == [FAIL, PASS]
    assert not said(one(found, BARCOL, "Z2"), "more than the plan")


def test_where_a_plan_does_not_tell_how_many_a_place_gets_a_fail_of_the_first_ones_stays():
    rows = [*hard(*SOFT, *HARD), *hard(*[44.0] * 11, where="Z2")]
    found = list(dry_and_hard(held(Hardness, rows, planned("COA-16", None, "hardness.csv", 21), places=("Z1", "Z2"))))
    assert [one(found, BARCOL, place).verdict for place in ("Z1", "Z2")] == [FAIL, PASS]
    assert said(one(found, BARCOL, "Z1"), "of 39 the first 10 count, since they are worse than all.")


@pytest.mark.parametrize("soft", [14, 20])
def test_where_a_plan_does_not_tell_it_no_number_that_may_have_been_planned_is_better(soft):
    """The equal share of 21 is 10, all of them hard; the first 14 or 20 readings with soft ones after them fail."""
    rows = [*hard(*[39.0] * 10, *[30.0] * soft, *[60.0] * 40), *hard(*[44.0] * 11, where="Z2")]
    found = list(dry_and_hard(held(Hardness, rows, planned("COA-16", None, "hardness.csv", 21), places=("Z1", "Z2"))))
    assert [one(found, BARCOL, place).verdict for place in ("Z1", "Z2")] == [INCONCLUSIVE, PASS]
    assert said(one(found, BARCOL, "Z1"), f"How many readings were planned here is not known; of {50 + soft} the first")


def shone(where="Z1", *, low=10, more=40, other=0):
    """Ten of 70 GU at 60°, ten at 20°, then 40 of 99 GU at 60°; and some readings of another zone."""
    values = [(60, 70.0)] * low + [(20, 80.0)] * 10 + [(60, 99.0)] * more
    rows = [{"zone": where, "attempt": 1, "angle": a, "gloss": gu, **at(n)} for n, (a, gu) in enumerate(values, 1)]
    return [*rows, *[{**row, "zone": "Z2"} for row in shines(*[99.0] * other)]]


@pytest.mark.parametrize("other", [0, 1, 12, 60])
@pytest.mark.parametrize("plan", [20, 21, 30, 31])
def test_rows_of_another_place_do_not_turn_a_fail_into_a_pass(other, plan):
    """Ten of 70 GU fail 85, however many rows there are elsewhere; all 50 have a mean of 93.2 GU."""
    line = planned("COA-11", None, "coating/gloss.csv", plan)
    found = list(gloss(held(Gloss, shone(other=other), line, places=("Z1", "Z2"))))
    assert one(found, GLOSS[60], "Z1").verdict is FAIL


def test_a_line_of_the_plan_that_is_lost_does_not_turn_a_fail_into_a_pass():
    """Spoiled or gone: the readings at 20° between them tell two series apart, the lines of other places a number."""
    line = planned("COA-11", "Z1", "coating/gloss.csv", 20)
    with_line = held(Gloss, shone(), line, planned("COA-11", "Z2", "coating/gloss.csv", 20, line="ITP-9"))
    assert one(gloss(with_line), GLOSS[60], "Z1").verdict is FAIL
    assert one(gloss(held(Gloss, shone())), GLOSS[60], "Z1").verdict is FAIL
    for column in ("readings", "place", "check", "record", "line"):
        assert one(gloss(spoiled(with_line, Planned, 0, [column])), GLOSS[60], "Z1").verdict is FAIL
    soft = planned("COA-16", "Z1", "hardness.csv", 10)
    beside = planned("COA-16", "Z2", "hardness.csv", 10, line="ITP-9")
    both = held(Hardness, [*hard(*SOFT, *HARD), *hard(*[44.0] * 10, where="Z2")], soft, beside, places=("Z1", "Z2"))
    assert one(dry_and_hard(deleted(both, Planned, 0)), BARCOL, "Z1").verdict is FAIL
    only = held(Hardness, hard(*SOFT, *HARD), soft)
    assert one(dry_and_hard(spoiled(only, Planned, 0, ["stage"])), BARCOL).verdict is FAIL
    assert one(dry_and_hard(spoiled(only, Planned, 0, ["readings"])), BARCOL).verdict is INCONCLUSIVE


def test_rows_missing_elsewhere_do_not_turn_a_fail_into_a_pass():
    """20 for two places; of the ten of the other one most are gone, so there are no more than planned altogether."""
    plan = planned("COA-16", None, "hardness.csv", 20)
    for elsewhere in (10, 3, 2, 1):
        rows = [*hard(*SOFT, *[60.0] * 8), *hard(*[44.0] * elsewhere, where="Z2")]
        found = dry_and_hard(held(Hardness, rows, plan, places=("Z1", "Z2")))
        assert one(found, BARCOL, "Z1").verdict is (FAIL if elsewhere != 2 else INCONCLUSIVE)


def test_readings_by_turns_or_as_many_as_planned_are_no_surplus():
    by_turns = [{**row, "angle": (60, 20)[n % 2]} for n, row in enumerate(shines(*[84, 90] * 2, *[99] * 10))]
    assert not said(one(gloss(held(Gloss, by_turns)), GLOSS[60]), "planned")
    good = held(Gloss, [{**row, "gloss": 99.0} for row in shone()])
    assert one(gloss(good), GLOSS[60]).verdict is PASS


def test_more_readings_that_change_nothing_are_only_said():
    found = one(dry_and_hard(held(Hardness, hard(*[44.0] * 12), planned("COA-16", "Z1", "hardness.csv", 10))), BARCOL)
    assert (found.verdict, value(found)) == (PASS, 44.0)
    assert said(found, "12 readings, more than the plan asks for; the first 10 alone are no worse.")


@pytest.mark.parametrize("planned_number", [10, 12, None])
def test_as_many_as_planned_are_not_mentioned(planned_number):
    plan = planned("COA-16", "Z1", "hardness.csv", planned_number)
    found = one(dry_and_hard(held(Hardness, hard(*[44.0] * 10), plan)), BARCOL)
    assert not said(found, "more than the plan")


def shines(*values, angle=60):
    return [{"zone": "Z1", "attempt": 1, "angle": angle, "gloss": gu, **at(n)} for n, gu in enumerate(values, 1)]


def test_one_more_gloss_reading():
    """Three of 82 fail 85; a fourth of 100 lifts the mean to 86.5."""
    plan = planned("COA-11", "Z1", "coating/gloss.csv", 3)
    assert one(gloss(held(Gloss, shines(82, 82, 82), plan)), GLOSS[60]).verdict is FAIL
    assert one(gloss(held(Gloss, shines(82, 82, 82, 100), plan)), GLOSS[60]).verdict is FAIL


def test_one_more_reading_of_image_and_of_colour():
    images = [
        {"zone": "Z1", "attempt": 1, "image": i, "instrument": "IM-01", **at(n)} for n, i in enumerate((80, 99), 1)
    ]
    named = [{**row, "image_method": "method B"} for row in images]
    plan = planned("COA-12", "Z1", "coating/appearance.csv", 1)
    assert one(image_peel_dust(held(Appearance, named, plan)), IMAGE).verdict is FAIL
    more = [{**row, "number": n, "image": 99} for n, row in enumerate(named * 3, 3)]
    dusty = [{**row, "image": None, "dust": 1} for row in named]  # rows of the plan that hold no image
    plan_of_2 = planned("COA-12", "Z1", "coating/appearance.csv", 2)
    held_dusty = held(Appearance, [named[0], {**dusty[1]}, *more], plan_of_2)
    assert one(image_peel_dust(held_dusty), IMAGE).verdict is FAIL
    labs = (("reference", 2.0), ("sample", 4.0), ("sample", 0.0))
    colours = [
        {"zone": "Z1", "role": role, "lightness": 93, "red_green": 0, "yellow_blue": b, **at(n)}
        for n, (role, b) in enumerate(labs, 1)
    ]
    plan = planned("COA-13", "Z1", "coating/colour.csv", 2)
    found = one(colour(held(Colour, colours, plan)), DIFFERENCE)
    assert (found.verdict, len(found.at)) == (FAIL, 2)


def films(*values, extra=()):
    return [
        {"zone": "Z1", "attempt": 1, "thickness": um, "extra": n in extra, **at(n)} for n, um in enumerate(values, 1)
    ]


def test_more_film_readings_do_not_lift_the_mean_or_water_down_the_share():
    thin = (118, 118, 118, *[121] * 7)  # 3 of 10 below 120; mean 120.1
    plan = planned("COA-08", "Z1", "coating/film_thickness.csv", 10)
    found = list(film_thickness(held(FilmReading, films(*thin, *[140] * 20), plan)))
    assert (one(found, SHARE).verdict, value(one(found, SHARE))) == (FAIL, near(30.0))
    assert value(one(found, SMALLEST)) == 118.0
    fewer = planned("COA-08", "Z1", "coating/film_thickness.csv", 5)
    good = list(film_thickness(held(FilmReading, films(*[130] * 10), fewer)))
    assert {finding.verdict for finding in good} == {PASS}  # ten are enough for the area, whatever the plan asked for


def test_a_reading_marked_as_extra_by_a_slip_is_missed_in_the_count_of_the_plan():
    plan = planned("COA-08", "Z1", "coating/film_thickness.csv", 11)
    found = list(film_thickness(held(FilmReading, films(*[130] * 11, extra=(4,)), plan)))
    assert one(found, MEAN).verdict is INCONCLUSIVE
    assert said(one(found, MEAN), "10 of 11 planned readings enter the mean")


def test_readings_that_are_all_taken_at_thin_spots_are_not_counted_by_the_plan():
    plan = planned("COA-08", "Z1", "coating/film_thickness.csv", 5)
    found = list(film_thickness(held(FilmReading, films(*[130] * 10, extra=range(1, 11)), plan)))
    assert not said(one(found, MEAN), "more than the plan")


def test_of_two_rows_with_one_number_the_worse_counts():
    """82, 82, 82 and once more number 3 with 100: which of the two was meant cannot be told."""
    rows = [*shines(82, 82, 82), {**shines(82, 82, 100)[2]}]
    assert one(gloss(held(Gloss, rows)), GLOSS[60]).verdict is FAIL
    assert one(gloss(held(Gloss, [rows[3], *rows[:3]])), GLOSS[60]).verdict is FAIL


def test_more_than_planned_is_a_notice_at_the_line_of_the_plan():
    plan = [planned("COA-16", "Z1", "hardness.csv", 10), planned("COA-11", None, "coating/gloss.csv", 3)]
    (notice,) = more_than_planned(held(Hardness, hard(*[44.0] * 12), *plan))
    assert notice.severity is Severity.NOTICE
    assert str(notice).startswith(
        "plan.csv:2, column 'readings': expected 10 readings in hardness.csv at Z1, as planned;"
    )
    assert notice.found == "12"
    assert list(more_than_planned(held(Gloss, shines(82, 82, 82), *plan))) == []
    twice = [*plan, planned("COA-16", None, "hardness.csv", 5, line="ITP-9")]
    assert list(more_than_planned(held(Hardness, hard(*[44.0] * 12), *twice))) == []  # the lines share what is there
