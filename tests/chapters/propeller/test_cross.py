"""Rows of the pitch bench that contradict each other, on synthetic rows."""

from __future__ import annotations

from buildbook.chapters.propeller.blade_cross import BLADE_CROSS_CHECKS
from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.cross import CROSS_CHECKS, pitch_beside_the_order
from buildbook.chapters.propeller.records import PitchReading, Propeller
from buildbook.core.fault import Fault
from tests.chapters.propeller.blade_folder import (
    RADII,
    Rows,
    across,
    all_across,
    all_standing,
    blade,
    folder,
    given,
    ordered,
    standing,
    whole,
)


def faults(tables: Rows | None = None) -> list[Fault]:
    evidence = folder(tables)
    return [fault for check in (*CROSS_CHECKS, *BLADE_CROSS_CHECKS) for fault in check(evidence)]


def test_a_sound_sheet_is_not_complained_of():
    assert faults() == []


def test_angles_counted_the_wrong_way():
    first = [{**row, "angle": -row["angle"]} if row["radius"] == 70.0 else row for row in blade("B1")]
    found = faults({PitchReading: whole(first)})
    assert len(found) == 3
    assert {fault.where.column for fault in found} == {"angle [deg]"}
    assert all("the whole section runs the other way" in fault.expected for fault in found)


def test_heights_that_do_not_change():
    flat = [{**row, "height": 50.0} if row["radius"] == 70.0 else row for row in blade("B1")]
    found = faults({PitchReading: whole(flat)})
    assert {fault.expected for fault in found} == {"heights that grow with the angle; all of this section are alike"}


def test_heights_in_another_unit():
    """Ten times as high: a pitch of 10 m where 1 m was ordered. Half and twice as much may be of another design."""
    for times, column in ((10.0, "height [mm]"), (0.1, "height [mm]"), (1.9, None), (0.55, None)):
        rows = [{**row, "height": times * row["height"]} if row["radius"] == 70.0 else row for row in blade("B1")]
        found = list(pitch_beside_the_order(folder({PitchReading: whole(rows)})))
        assert {fault.where.column for fault in found} == ({column} if column else set())
        assert all("since 1000 mm were ordered" in fault.expected for fault in found)


def test_one_height_out_of_order():
    first = blade("B1")
    first[13]["height"] = 500.0
    found = faults({PitchReading: whole(first)})
    assert {fault.where.column for fault in found} == {"height [mm]"}
    assert len(found) == 2


def test_a_radius_missing_on_one_blade():
    found = faults({PitchReading: whole(blade("B1", radii=[radius for radius in RADII if radius != 90.0]))})
    assert [(fault.row_kept, fault.expected) for fault in found] == [
        (True, "readings at 0.9 R too, as on the other blades")
    ]


def test_fewer_blades_than_ordered():
    (found,) = faults({PitchReading: [*blade("B1"), *blade("B2")]})
    assert found.where.file == Propeller.table.file
    assert "2 in propeller/pitch.csv: B1 and B2" in found.found


def test_a_station_read_twice_and_a_section_given_twice():
    twice = [*blade("B1"), {**blade("B1")[13], "number": 25}]
    assert {fault.where.column for fault in faults({PitchReading: whole(twice)})} >= {"angle [deg]"}
    both = [*blade("B1"), {**given("B1")[4], "number": 25}]
    assert {fault.where.column for fault in faults({PitchReading: whole(both)})} == {"radius [%]"}


def test_two_propellers_on_one_side():
    (found,) = faults({Propeller: [ordered(), ordered(propeller="P2")]})
    assert found.where.column == "side"


# --- beside the pitch -----------------------------------------------------------------------------------------------


def test_two_blades_whose_angles_were_swapped():
    found = faults({BladeReading: all_standing(B2={"angle": 240.0}, B3={"angle": 120.0})})
    assert [fault.found for fault in found] == ["240° of B2", "120° of B3"]
    assert found[0].expected == "less than the 120° of B3"
    assert {fault.where.column for fault in found} == {"angle [deg]"}


def test_angles_of_a_later_attempt_are_looked_at_by_themselves():
    assert faults({BladeReading: [*all_standing(), standing("B2", attempt=2, angle=119.0)]}) == []


def test_a_section_shorter_than_the_stretch_on_which_its_pitch_was_read():
    """36 degrees at 0.95 R of 1000 mm are 298.5 mm round the axis and 100 mm along it: 314.8 mm (worked by hand)."""
    found = faults({SectionReading: all_across(across("B1", r95={"length": 310.0}))})
    assert [(fault.where.column, fault.expected, fault.found) for fault in found] == [
        ("length [mm]", "at least the 315 mm on which the pitch was read at 0.95 R", "310 mm")
    ]
    assert faults({SectionReading: all_across(across("B1", r95={"length": 313.0}))}) == []


def test_a_blade_or_a_radius_that_is_missing_beside_the_pitch():
    (few,) = faults({BladeReading: all_standing()[:2]})
    assert few.found == "2 in propeller/blades.csv: B1 and B2"
    (short,) = faults({SectionReading: all_across(across("B1", radii=RADII[1:]))})
    assert (short.row_kept, short.expected) == (True, "readings at 0.3 R too, as on the other blades")
    assert short.where.file == SectionReading.table.file
