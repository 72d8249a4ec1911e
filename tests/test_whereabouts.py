"""Numbers of places and positions, what stands at them, and the drawings they are parted into. SYNTHETIC rows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.chapters.laminate.records import BondFinding, BurnOff, ThicknessReading
from buildbook.chapters.shared_records import Nonconformity, Place, Planned
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull
from buildbook.core.matter import Matter, State
from buildbook.core.record import Record
from buildbook.core.where import Where
from buildbook.positions import NOT_DRAWN, NOT_GIVEN, marks, place_columns
from buildbook.whereabouts import MOST, Found, drawings
from tests.chapters.evidence_builder import evidence
from tests.test_listings import LATE, numbered

SHE = Hull(length_hull=19.0, beam=5.0, draught=1.4)
OUTLINE = ((0.0, -0.4), (0.0, 1.6), (19.0, 2.8), (17.0, 0.0))
PLAN = ((0.0, 2.3), (10.0, 2.5), (19.0, 0.0))


def place(name, x=5.0, y=1.0, z=0.5, kind="zone"):
    return {"place": name, "name": f"Name of {name}", "kind": kind, "x": x, "y": y, "z": z}


def grid(number, x, zone="L1", y=-0.9, z=-0.5):
    return {"zone": zone, "number": number, "grid": f"A{number}", "x": x, "y": y, "z": z, "thickness": 10.2}


def drawn(folder, given=(), exceptions=(), matters=()):
    items = dict(given)
    return drawings(Found(folder, items, exceptions, matters, marks(folder)), CHAPTERS)


def lines(folder, given=(), exceptions=(), matters=()):
    return drawn(folder, given, exceptions, matters)[0].lines


def test_a_broken_hold_point_and_a_report_stand_at_the_place_that_their_rows_name():
    folder = evidence({Place: [{"place": "Z5"}, {"place": "Z6"}], Planned: [{"line": "ITP-27", "place": "Z6"}],
                       Nonconformity: [LATE]})  # fmt: skip
    broken = numbered("REG-02", "release of the hold point", "ITP-27", met=False)[1]
    accepted = numbered("REG-04", "closing of the nonconformity report", "NCR-06", met=False)[1]
    assert [line.findings for line in lines(folder, (), (broken, accepted))] == [("REG-04/1",), ("REG-02/1",)]


@pytest.mark.parametrize(
    ("state", "worst", "accepted"),
    [
        (State.PUT_RIGHT, Verdict.PASS, False),
        (State.SCRAPPED, Verdict.PASS, False),
        (State.ACCEPTED, Verdict.FAIL, True),
        (State.SETTLED, Verdict.FAIL, True),
        (State.OPEN, Verdict.FAIL, False),
    ],
)
def test_a_place_stands_as_the_worst_that_was_not_put_right_and_accepted_is_not_open(state, worst, accepted):
    folder = evidence({Place: [{"place": "Z5"}, {"place": "Z6"}, {"place": "Z7"}]})
    first = numbered("COA-06", "time since the coat below", "Z5", met=False)
    later = numbered("COA-08", "smallest film thickness", "Z5")
    undecided = numbered("COA-05", "air temperature", "Z6", met=None)
    matter = Matter(state, "", "", (), (first[1].number,), ())
    found = lines(folder, (first, later, undecided), (first[1], undecided[1]), (matter,))
    assert [line.verdict for line in found] == [worst, Verdict.INCONCLUSIVE, None]
    assert found[0].findings == (first[1].number,)
    assert [line.put_right for line in found] == [state is State.PUT_RIGHT, False, False]
    assert [line.accepted for line in found] == [accepted, False, False]


def test_one_open_miss_beside_an_accepted_one_makes_a_place_open():
    folder = evidence({Place: [{"place": "Z5"}]})
    items = [
        numbered("COA-08", "smallest film thickness", "Z5", met=False),
        numbered("COA-12", "dust", "Z5", met=False),
    ]
    told = [
        Matter(state, "", "", (), (item.number,), ())
        for state, (_, item) in zip((State.ACCEPTED, State.OPEN), items, strict=True)
    ]
    (line,) = lines(folder, items, [item for _, item in items], told)
    assert (line.verdict, line.accepted) == (Verdict.FAIL, False)


def test_a_place_looks_alike_in_the_drawing_of_its_chapter_where_only_its_plan_or_its_report_was_missed():
    """A hold point of the preparation released too late, and a coat whose concession stands in a report."""
    line = {"line": "ITP-27", "place": "Z6", "check": "COA-03"}
    folder = evidence({Place: [place("Z5"), place("Z6")], Planned: [line], Nonconformity: [LATE]}, hull=SHE)
    broken = numbered("REG-02", "release of the hold point", "ITP-27", met=False)
    conceded = numbered("REG-04", "closing of the nonconformity report", "NCR-06", met=False)
    passed = [numbered("COA-03", "grit", zone) for zone in ("Z5", "Z6")]
    whole, coating = drawn(folder, (*passed, broken, conceded), (broken[1], conceded[1]))
    assert [line.verdict for line in coating.lines] == [line.verdict for line in whole.lines] == [Verdict.FAIL] * 2
    assert [line.findings for line in coating.lines] == [("REG-04/1",), ("REG-02/1",)]


def test_a_chapters_drawing_tells_what_that_chapter_found_there():
    folder = evidence({Place: [place("L1"), place("Z1")], BurnOff: [{"zone": "L1", "opening": "L1"}]}, hull=SHE)
    bad, good = numbered("COA-08", "film", "L1", met=False), numbered("LAM-01", "glass", "L1")
    whole, laminate, coating = drawn(folder, (bad, good), (bad[1],))
    assert [line.verdict for line in whole.lines] == [Verdict.FAIL, None]
    assert (laminate.chapter, [(it.number, it.verdict) for it in laminate.lines]) == ("laminate", [(1, Verdict.PASS)])
    assert (coating.chapter, [(it.number, it.verdict) for it in coating.lines]) == ("coating", [(1, Verdict.FAIL)])
    assert "Missed and open today: 1." in whole.says
    assert "No limit was missed here." in laminate.says


def test_rows_with_a_position_of_their_own_are_numbered_after_the_places_and_share_a_number_at_one_spot():
    rows = [grid(1, 3.0), grid(2, 3.6), grid(3, 3.0), grid(4, 3.0, zone="L2")]
    folder = evidence({Place: [place("L1"), place("L2")], ThicknessReading: rows}, hull=SHE)
    found = marks(folder)
    assert [(thing.number, len(thing.rows)) for thing in found.things] == [(1, 1), (2, 1), (3, 2), (4, 1), (5, 1)]
    at = [found.of_row(where.file, where.line) for where in (row.where for row in folder.of(ThicknessReading))]
    assert at == [(3, 1), (4, 1), (3, 1), (5, 2)]
    named = next(thing.name for thing in found.things if thing.number == 3)
    assert named == "A1, thickness 10.2 mm, A3, thickness 10.2 mm, Name of L1"


def test_a_row_leads_first_to_what_is_most_particular():
    cut = {"zone": "L1", "opening": "O1"}
    tables: dict[type[Record], Any] = {
        Place: [place("L1"), place("O1", kind="opening")],
        BurnOff: [cut],
        BondFinding: [{"zone": "L1", "x": None, "y": None, "z": None}],
    }
    folder = evidence(tables, hull=SHE)
    (coupon,), (bond,) = folder.of(BurnOff), folder.of(BondFinding)
    found = marks(folder)
    assert found.of_row(coupon.where.file, coupon.where.line) == (2, 1)
    assert found.of_row(bond.where.file, bond.where.line) == (1,), "without x, y and z it has the number of its zone"


def test_places_are_found_through_the_tables_that_stand_for_them():
    assert place_columns(VibrationRecord) == ("position",)
    assert place_columns(Position) == ("position", "mirror")
    assert place_columns(BurnOff) == ("zone", "opening")


def test_an_unreadable_row_keeps_the_number_of_its_place():
    folder = evidence({Place: [place("Z1")]}, hull=SHE, unread={ThicknessReading: [{"zone": "Z1"}]})
    (lost,) = folder.lost(ThicknessReading)
    assert marks(folder).of_row(lost.where.file, lost.where.line) == (1,)


@pytest.mark.parametrize(
    ("hull", "where", "why"),
    [
        (SHE, {"x": None}, NOT_GIVEN),
        (SHE, {"y": None, "z": None}, NOT_GIVEN),
        (SHE, {"x": 42.0}, "x = 42 m lies outside her"),
        (SHE, {"x": -3.0, "y": 4.0}, "x = −3 m and y = 4 m lie outside her"),
        (SHE, {"y": None}, ""),
        (Hull(), {}, NOT_DRAWN),
        (Hull(outline=OUTLINE), {}, ""),
        (Hull(outline=OUTLINE), {"z": None}, NOT_DRAWN),
        (Hull(plan_outline=PLAN), {"z": None}, ""),
    ],
)
def test_what_has_no_mark_is_listed_and_says_why(hull, where, why):
    folder = evidence({Place: [place("Z1", **where)]}, hull=hull)
    (line,) = lines(folder)
    assert line.unplaced == why
    assert marks(folder).of_row(line.at.file, line.at.line) == (() if why else (1,))


@pytest.mark.parametrize(
    ("hull", "words"),
    [
        (replace(SHE, outline=OUTLINE, plan_outline=PLAN), "Profile and plan to scale, from her own outline, with 1 "),
        (SHE, "Profile and plan to scale, a plain form from her main dimensions (schematic), with 1 numbered mark."),
        (replace(SHE, outline=OUTLINE), "the profile from her own outline, the other view a plain form"),
        (Hull(outline=OUTLINE), "the profile from her own outline, the other view not on record"),
        (Hull(), "She is not drawn: neither an outline nor her length is on record. The places are listed here."),
    ],
)
def test_a_drawing_says_from_what_it_is_drawn(hull, words):
    (drawing,) = drawn(evidence({Place: [place("Z1")]}, hull=hull))
    assert words in drawing.says


def test_too_many_marks_are_parted_among_drawings():
    rows = [place(f"Z{n}", x=1.0 + n / 100.0) for n in range(MOST + 5)]
    first, second = drawn(evidence({Place: rows}, hull=SHE))
    assert (len(first.lines), len(second.lines)) == (MOST, 5)
    assert (first.key, second.key) == ("where-1", "where-2")
    assert second.title == "Places on her, part 2 of 2"


def test_a_finding_leads_to_its_place_and_to_the_positions_its_rows_say():
    tables: dict[type[Record], Any] = {
        Place: [place("L1"), place("L2")],
        ThicknessReading: [grid(1, 3.0), grid(2, 3.6)],
    }
    folder = evidence(tables, hull=SHE)
    at = tuple(row.where for row in folder.of(ThicknessReading))
    _, item = numbered("LAM-12", "mean thickness", "L1")
    found = marks(folder)
    assert found.of_finding(item, {}) == (1,)
    assert found.of_finding(replace(item, finding=replace(item.finding, at=at)), {}) == (1, 3, 4)
    _, nowhere = numbered("VIB-04", "sea state", "")
    assert found.of_finding(nowhere, {}) == ()
    assert found.of_finding(replace(nowhere, finding=replace(nowhere.finding, at=(*at, Where("x", 1)))), {}) == (3, 4)


def test_a_position_is_judged_only_by_findings_that_rest_on_it_alone():
    tables: dict[type[Record], Any] = {Place: [place("L1")], ThicknessReading: [grid(1, 3.0), grid(2, 3.6)]}
    folder = evidence(tables, hull=SHE)
    one, two = (row.where for row in folder.of(ThicknessReading))
    key, mean = numbered("LAM-12", "mean thickness", "L1", met=False)
    alone_key, alone = numbered("LAM-12", "least thickness", "L1", met=False)
    mean = replace(mean, finding=replace(mean.finding, at=(one, two)))
    alone = replace(alone, finding=replace(alone.finding, at=(two,)))
    *_, own = drawn(folder, ((key, mean), (alone_key, alone)))
    assert own.file == "laminate/thickness.csv"
    assert [line.verdict for line in own.lines] == [None, Verdict.FAIL]
