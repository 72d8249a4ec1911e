"""A slip in a word of one row: named as a fault at that row, and a number that failed still fails. Synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.adhesion import STRENGTH, adhesion
from buildbook.chapters.coating.checks.appearance import DIFFERENCE, GLOSS, IMAGE, colour, gloss, image_peel_dust
from buildbook.chapters.coating.checks.film import NOMINAL, SMALLEST, film_thickness
from buildbook.chapters.coating.checks.laminate import MOISTURE, dry_and_hard
from buildbook.chapters.coating.cross import CROSS_CHECKS
from buildbook.chapters.coating.odd_rows import odd_angles
from buildbook.chapters.coating.records import Appearance, Colour, CrossCut, FilmReading, Gloss, MetalPart, PullOff
from buildbook.chapters.shared_records import Instrument, Moisture, Place
from buildbook.core.finding import Verdict
from tests.chapters.evidence_builder import evidence, record
from tests.chapters.small_folder import (
    FAIL,
    INCONCLUSIVE,
    PASS,
    Tables,
    instrument,
    limit_of,
    one,
    specification,
    specified,
    zone,
)

INSTRUMENTS = (
    instrument("UT-01", "film thickness", "um", 6.0),
    instrument("PO-01", "force", "N", 60.0),
    instrument("GL-01", "gloss", "GU", 1.0),
    instrument("IM-01", "distinctness of image", "1", 2.0),
    instrument("CM-01", "colour", "1", 0.15),
    instrument("MM-01", "moisture", "1", 1.2),
)
MINE = specification(
    specified("COA-08", NOMINAL, "um", 120.0),
    specified("COA-10", STRENGTH, "MPa", 3.5),
    specified("COA-11", GLOSS[60], "GU", 85.0),
    specified("COA-12", IMAGE, "1", 85.0),
    specified("COA-13", DIFFERENCE, "1", high=1.0),
    specified("COA-16", MOISTURE, "1", high=5.0),
)


def at(number):
    return {"number": number, "at": f"2026-04-09 10:{number:02}"}


def films(worst):
    values = (worst, 128, 126, 132, 129, 127, 131, 133, 125, 129)
    return [{"zone": "Z1", "attempt": 1, "thickness": um, "extra": False, **at(n)} for n, um in enumerate(values, 1)]


def wet(worst):
    rows = [{"place": "Z1", "reading": reading, "dry_reference": 9} for reading in (10, worst, 11)]
    return [{**row, **at(n)} for n, row in enumerate(rows, 1)]


def images(worst):
    rows = [{"zone": "Z1", "attempt": 1, "image": image, "instrument": "IM-01"} for image in (worst, worst, worst)]
    return [{**row, "image_method": "method B", **at(n)} for n, row in enumerate(rows, 1)]


def colours(off):
    labs = [("reference", 2.0), ("sample", 2.0 + off), ("sample", 2.0 + off)]
    return [
        {"zone": "Z1", "role": role, "lightness": 93, "red_green": -0.9, "yellow_blue": b, **at(n)}
        for n, (role, b) in enumerate(labs, 1)
    ]


def pulled(force):
    return [{"specimen": "A-01", "zone": "Z1", "attempt": 1, "dolly": 20, "force": force, "fracture": "100 % B"}]


# Table, its rows for a bad and a good value, what judges it, the quantity, the column with the slip, the slip.
SLIPS = [
    (FilmReading, films, 60, 130, film_thickness, SMALLEST, "system", "primer and topcaot"),
    (Moisture, wet, 20, 11, dry_and_hard, MOISTURE, "meter_scale", "relative 0-100, mode 3"),
    (Appearance, images, 78, 92, image_peel_dust, IMAGE, "image_method", "methode B"),
    (Appearance, images, 78, 92, image_peel_dust, IMAGE, "image_method", None),
    (Colour, colours, 3.0, 0.2, colour, DIFFERENCE, "illuminant", "D65/1O"),
    (Colour, colours, 3.0, 0.2, colour, DIFFERENCE, "geometry", "d/8 inclded"),
    (PullOff, pulled, 900, 1600, adhesion, STRENGTH, "fracture", "100 % b"),
    (PullOff, pulled, 900, 1600, adhesion, STRENGTH, "fracture", "70 % B, 20 % B/C"),
]
NAMES = [f"{kind.__name__} {column} {slip}" for kind, _, _, _, _, _, column, slip in SLIPS]


def held(kind, rows):
    tables: Tables = {kind: rows, Instrument: INSTRUMENTS, Place: [zone()]}
    return evidence(tables, specification=MINE)


@pytest.mark.parametrize(("kind", "rows", "bad", "good", "judge", "quantity", "column", "slip"), SLIPS, ids=NAMES)
def test_a_slip_in_a_word_is_a_fault_at_its_row_and_never_a_better_verdict(
    kind, rows, bad, good, judge, quantity, column, slip
):
    for value, whole, slipped in ((bad, FAIL, FAIL), (good, PASS, INCONCLUSIVE)):
        clean = held(kind, rows(value))
        assert one(judge(clean), quantity).verdict is whole
        assert [fault for check in CROSS_CHECKS for fault in check(clean)] == []
        *others, last = rows(value)
        given = held(kind, [*others, {**last, column: slip}])
        found = one(judge(given), quantity)
        assert (found.verdict, limit_of(found) is not None) == (slipped, True)
        faults = [fault for check in CROSS_CHECKS for fault in check(given)]
        assert len(faults) == 1
        for fault in faults:
            assert (fault.where.line, fault.where.column) == (len(others) + 2, column)
            assert fault.row_kept
            assert (slip or "nothing") in fault.found


def test_the_slip_names_what_the_others_say_or_the_nearest_word():
    rows = [{**row, "system": "primer"} if row["number"] == 3 else row for row in films(130)]
    (fault,) = [fault for check in CROSS_CHECKS for fault in check(held(FilmReading, rows))]
    assert str(fault).startswith(
        "coating/film_thickness.csv:4, column 'system': expected 'primer and topcoat', one for all readings of zone Z1 "
        "and attempt 1; found 'primer'."
    )
    (fault,) = [
        fault
        for check in CROSS_CHECKS
        for fault in check(held(Colour, [{**row, "geometry": "d/8 include"} for row in colours(0.2)[:1]]))
    ]
    assert fault.found == "'d/8 include' (did you mean 'd/8 included'?)"


# Cross-cut: the scales run opposite ways, so the wrong one makes the worst class the best.


def test_a_cut_on_another_scale_than_its_neighbour_is_read_on_both():
    def cuts(*scales):
        rows = [{"zone": "Z1", "attempt": 1, "scale": scale, "rating": 5} for scale in scales]
        return [{**row, "spacing": 2, "film": 110, **at(n)} for n, row in enumerate(rows, 1)]

    given = held(CrossCut, cuts("ISO 2409", "ISO 2409", "ASTM D3359 B"))
    assert one(adhesion(given), condition="cut 3").verdict is FAIL
    (fault,) = [fault for check in CROSS_CHECKS for fault in check(given)]
    assert (fault.where.line, fault.where.column) == (4, "scale")
    assert one(adhesion(held(CrossCut, cuts("ASTM D3359 B", "ASTM D3359 B"))), condition="cut 2").verdict is PASS


# Colour: a reading of the surface called one of the master panel brings the two together.


def test_a_reading_of_the_surface_called_master_panel_does_not_lessen_the_difference():
    roles = ["reference"] * 3 + ["sample"] * 6
    labs = [
        {"zone": "Z1", "role": role, "lightness": 93, "red_green": 0, "yellow_blue": 2.0 if n < 4 else 3.5, **at(n)}
        for n, role in enumerate(roles, 1)
    ]
    whole = one(colour(held(Colour, labs)), DIFFERENCE)
    given = held(Colour, [{**row, "role": "reference"} if row["number"] == 6 else row for row in labs])
    found = one(colour(given), DIFFERENCE)
    assert whole.verdict is FAIL
    assert found.verdict.rank >= whole.verdict.rank
    (fault,) = [fault for check in CROSS_CHECKS for fault in check(given)]
    assert str(fault).startswith("coating/colour.csv:7, column 'role': expected sample, as the readings beside it;")
    good = [
        {**row, "yellow_blue": 2.0, "role": "reference"} if row["number"] == 6 else {**row, "yellow_blue": 2.0}
        for row in labs
    ]
    assert one(colour(held(Colour, good)), DIFFERENCE).verdict is INCONCLUSIVE


# Gloss: the angle decides which mean a reading belongs to, so a wrong one could lift a mean.


def shines(*series):
    """Series of readings, each (angle, values)."""
    pairs = [(angle, gu) for angle, values in series for gu in values]
    return [
        {"zone": "Z1", "attempt": 1, "angle": angle, "gloss": gu, **at(n)} for n, (angle, gu) in enumerate(pairs, 1)
    ]


LOW = (86, 86, 86, 70, 86, 86)  # mean 83.3; without the 70 it would be 86
AT_20 = (76, 77, 76, 77, 76, 77)


@pytest.mark.parametrize(
    ("series", "odd"),
    [
        (((60, LOW), (20, AT_20)), []),
        (((60, (86, 86, 86)), (20, (70,)), (60, (86, 86)), (20, AT_20)), [4]),
        (((60, LOW), (85, (95,))), [7]),
        (((60, (86, 86, 86)), (20, (86, 86, 76, 76))), []),
        (((60, (86, 85, 86, 85)), (20, (86, 76, 77, 76, 77, 76))), [5]),
        (((60, (86, 85, 86, 85, 86, 76)), (20, (76, 77, 76, 77))), [6]),
        (((60, (86, 85, 86, 85, 86, 85)), (20, (76, 77, 76, 77))), []),  # six and four, as somebody may read
        (((60, (86,)), (20, (76,)), (60, (85,)), (20, (77,)), (60, (86,)), (20, (75,))), []),  # in turn
        (((60, (86, 85)), (20, (76,))), []),
    ],
)
def test_a_gloss_reading_that_most_likely_carries_the_wrong_angle(series, odd):
    rows = [record(Gloss, row, n) for n, row in enumerate(shines(*series))]
    assert [row.number for row in odd_angles(rows)] == odd


def test_a_reading_at_another_angle_is_named_and_does_not_lift_the_mean():
    clean = held(Gloss, shines((60, LOW), (20, AT_20)))
    assert one(gloss(clean), GLOSS[60]).verdict is Verdict.CONDITIONAL_FAIL
    given = held(Gloss, [{**row, "angle": 20} if row["number"] == 4 else row for row in shines((60, LOW), (20, AT_20))])
    found = one(gloss(given), GLOSS[60])
    assert found.verdict is Verdict.CONDITIONAL_FAIL
    (fault,) = [fault for check in CROSS_CHECKS for fault in check(given)]
    assert (fault.where.line, fault.where.column) == (5, "angle [deg]")
    high = [{**row, "angle": 20} if row["number"] == 4 else row for row in shines((60, [90] * 6), (20, AT_20))]
    assert one(gloss(held(Gloss, high)), GLOSS[60]).verdict is INCONCLUSIVE


def test_a_part_of_another_metal_than_its_place():
    given = evidence({MetalPart: [{"part": "M1", "metal": "steel"}], Place: [zone("M1", substrate="aluminium")]})
    (fault,) = [fault for check in CROSS_CHECKS for fault in check(given)]
    assert str(fault).startswith("coating/metal_parts.csv:2, column 'metal': expected aluminium, as in places.csv:2;")


# Which limit holds depends on the visibility: without it the worst counts.


def test_a_fail_stays_one_when_the_visibility_of_its_zone_is_lost():
    mine = specification(
        specified("COA-11", GLOSS[60], "GU", 88.0, condition="high"),
        specified("COA-11", GLOSS[60], "GU", 80.0, condition="low"),
    )
    for visibility, verdict in (("high", FAIL), ("low", PASS), (None, FAIL)):
        tables: Tables = {Gloss: shines((60, [84])), Instrument: INSTRUMENTS, Place: [zone(visibility=visibility)]}
        found = one(gloss(evidence(tables, specification=mine)), GLOSS[60])
        assert (found.verdict, limit_of(found).low) == (verdict, 80.0 if visibility == "low" else 88.0)
