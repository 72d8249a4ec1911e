"""VIB-10: every verdict, on tones of known velocity at 2560 samples a second."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from buildbook.chapters.vibration.checks.blades import blade_levels
from buildbook.chapters.vibration.checks.comfort import where_people_are
from buildbook.chapters.vibration.checks.machines import LEVEL, UNIT, machines, zone_of
from buildbook.chapters.vibration.checks.pairs import port_against_starboard
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.core.quantity import Kind
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
    REFERENCE,
    expanded,
    limit_of,
    near,
    one,
    said,
    specified,
    value,
)
from tests.chapters.vibration.shaking import judged, position, row, sine, survey

FAST = 2560.0


def box(name="V1", machine_class="II", **more):
    return position(name, "machine", "none", machine_class=machine_class, **more)


def on_machine(level, mine=(), frequency=800.0, spots=None, rate=FAST, unread=None):
    values = None if level is None else sine(level, frequency, 64.0, rate)
    given = survey([(row(), values)], mine, tables={Position: spots or [box()]}, rate=rate, unread=unread)
    return judged(machines, given)


@pytest.mark.parametrize(
    ("machine_class", "level", "zone"),
    [
        ("II", 3.2, "C"),  # worked example on a public page about ISO 10816-1 (read)
        ("II", 1.12, "A"),  # on the boundary: the better zone (house rule)
        ("II", 1.13, "B"),
        ("II", 7.11, "D"),
        ("I", 0.71, "A"),
        ("III", 4.5, "B"),
        ("III", 11.2, "C"),
        ("IV", 18.0, "C"),
        ("IV", 18.01, "D"),
    ],
)
def test_zones_of_the_printed_table(machine_class, level, zone):
    """ISO 10816-1:1995, table B.1 (second-hand): A/B 0.71 1.12 1.8 2.8, B/C 1.8 2.8 4.5 7.1, C/D 4.5 7.1 11.2 18."""
    assert zone_of(machine_class, level) == zone


@pytest.mark.parametrize(
    ("level", "verdict"), [(2.5, PASS), (2.75, CONDITIONAL_PASS), (2.85, CONDITIONAL_FAIL), (3.2, FAIL)]
)
def test_vib_10_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_zone_for_long_service(level, verdict):
    """Class II: zone B ends at 2.8 mm/s; the chain states 3 % (k = 2)."""
    found = one(on_machine(level))
    assert value(found) == near(level, rel=0.002)
    assert expanded(found) == near(0.03 * level, rel=0.01)
    assert limit_of(found).high == 2.8
    assert found.verdict is verdict


def test_what_lies_outside_10_hz_to_1000_hz_does_not_count():
    """2 mm/s at 800 Hz beside 5 mm/s at 5 Hz and 1 mm/s at 1100 Hz: 2 mm/s."""
    values = sine(2.0, 800.0, 64.0, FAST) + sine(5.0, 5.0, 64.0, FAST) + sine(1.0, 1100.0, 64.0, FAST)
    found = judged(machines, survey([(row(), values)], tables={Position: [box()]}, rate=FAST))
    assert value(one(found)) == near(2.0, rel=0.005)


def test_the_makers_own_limit_governs_and_the_zone_stands_beside_it():
    mine = [specified("VIB-10", LEVEL, UNIT, high=2.0, place="V1")]
    found = on_machine(2.5, mine)
    assert one(found).verdict is FAIL
    assert (limit_of(one(found)).high, limit_of(one(found, role=REFERENCE)).high) == (2.0, 2.8)
    assert one(found, role=REFERENCE).verdict is PASS
    assert one(found).observed == "zone B of class II"


@pytest.mark.parametrize(
    ("level", "rate", "told"),
    [(1.0, FAST, ""), (2.5, FAST, "zone B."), (8.0, FAST, "zone D."), (1.0, 1024.0, "zone A or worse.")],
)
def test_a_machine_that_does_not_lie_in_the_zone_of_new_ones_is_told_so(level, rate, told):
    """ISO 10816-1:1995, 5.3.1: newly commissioned machines normally lie in zone A (from memory; the page says it too).

    Class II: zone A ends at 1.12 mm/s, B at 2.8 mm/s, C at 7.1 mm/s; 1024 samples a second give a lower bound only.
    """
    notes = one(on_machine(level, frequency=100.0, rate=rate)).notes
    words = [note for note in notes if "New machines lie in zone A" in note]
    assert words == ([f"New machines lie in zone A; this one lies in {told}"] if told else [])


def test_vib_10_information_of_a_machine_without_a_class():
    found = one(on_machine(2.5, spots=[box(machine_class="none")]))
    assert found.verdict is INFORMATION
    assert said(found, "class of this machine")


def test_vib_10_inconclusive_or_fail_of_a_record_that_does_not_reach():
    """1024 samples a second reach to 410 Hz: a lower bound, which can show a miss but not that a limit is met."""
    found = one(on_machine(2.0, frequency=100.0, rate=1024.0))
    assert found.verdict is INCONCLUSIVE
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_LEAST
    assert said(found, "up to 410 Hz only")
    assert found.observed == "zone B of class II or worse"
    assert one(on_machine(3.5, frequency=100.0, rate=1024.0)).verdict is FAIL


def test_vib_10_inconclusive_or_not_measured_or_not_applicable_or_no_record_of_a_position():
    assert one(judged(machines, survey([], tables={Position: []}))).verdict is NO_RECORD
    assert one(on_machine(None)).verdict is INCONCLUSIVE
    lost = {VibrationRecord: [{"record": "A-09", "position": "V1"}]}
    assert one(on_machine(1.0, unread=lost), condition="A-09").verdict is INCONCLUSIVE
    assert one(on_machine(1.0, spots=[box(), box("V2")]), place="V2").verdict is NOT_MEASURED
    assert one(on_machine(1.0, spots=[position()])).verdict is NOT_APPLICABLE


def test_a_machine_without_a_class_is_not_read_and_its_records_are_inconclusive():
    """A blank would turn a fail into information; so the word is asked for."""
    with pytest.raises(ValidationError, match="machine_class: a class beside every machine"):
        on_machine(1.0, spots=[box(machine_class=None)])
    lost = {Position: [{"position": "V1", "space": "machine"}]}
    given = survey([(row(), sine(9.0, 800.0, 64.0, FAST))], tables={Position: [box("V2")]}, rate=FAST, unread=lost)
    assert one(judged(machines, given), place="V1").verdict is INCONCLUSIVE


def test_two_machines_are_set_against_each_other_over_the_band_for_machines():
    """800 Hz hardly counts for a person; 3.0 over 2.0 mm/s on the housings is 1.5."""
    spots = [box("V1", mirror="V2"), box("V2", mirror="V1")]
    records = [(row("A-01"), sine(3.0, 800.0, 64.0, FAST)), (row("A-02", "V2"), sine(2.0, 800.0, 64.0, FAST))]
    found = one(judged(port_against_starboard, survey(records, tables={Position: spots}, rate=FAST)))
    assert value(found) == near(1.5, rel=0.002)
    assert found.method == "ratio of the velocities from 10 Hz to 1000 Hz of two records"


def test_a_machine_is_no_place_for_people():
    given = survey([(row(), sine(1.0, 800.0, 64.0, FAST))], tables={Position: [box()]}, rate=FAST)
    assert judged(where_people_are, given) == []
    assert judged(blade_levels, given) == []
