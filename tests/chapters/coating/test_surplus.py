"""Readings beyond the plan, and rows with one number: they may not turn a fail into a pass. Synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.appearance import DIFFERENCE, GLOSS, IMAGE, colour, gloss, image_peel_dust
from buildbook.chapters.coating.checks.film import MEAN, NOMINAL, SHARE, SMALLEST, film_thickness
from buildbook.chapters.coating.checks.laminate import BARCOL, dry_and_hard
from buildbook.chapters.coating.records import Appearance, Colour, FilmReading, Gloss
from buildbook.chapters.coating.surplus import more_than_planned
from buildbook.chapters.shared_records import Hardness, Instrument, Place, Planned
from buildbook.core.fault import Severity
from tests.chapters.coating.small_folder import (
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
from tests.chapters.evidence_builder import evidence

INSTRUMENTS = (
    instrument("UT-01", "film thickness", "um", 6.0),
    instrument("GL-01", "gloss", "GU", 1.0),
    instrument("IM-01", "distinction of image", "1", 2.0),
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


def test_a_plan_that_does_not_tell_how_many_a_place_gets_holds_at_inconclusive():
    rows = [*hard(*SOFT, *HARD), *hard(*[44.0] * 11, where="Z2")]
    found = list(dry_and_hard(held(Hardness, rows, planned("COA-16", None, "hardness.csv", 21), places=("Z1", "Z2"))))
    assert [one(found, BARCOL, place).verdict for place in ("Z1", "Z2")] == [INCONCLUSIVE, PASS]
    assert said(one(found, BARCOL, "Z1"), "the first 10 alone give fail")


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
