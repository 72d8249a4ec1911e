"""VIB-06: every verdict, on tones at 985 r/min x 5 blades: 82.083 Hz, 164.17 Hz and 246.25 Hz (by hand)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.chapters.vibration.charts import charts
from buildbook.chapters.vibration.checks.blades import LEVELS, UNIT, blade_levels
from buildbook.chapters.vibration.records import VibrationRecord
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
    instrument,
    near,
    one,
    said,
    specified,
    value,
)
from tests.chapters.vibration.shaking import judged, row, sine, survey

BLADE = 985.0 * 5 / 60
ONCE, TWICE, THRICE = LEVELS.values()


def beating(once, twice=0.4, thrice=0.2):
    return sine(once, BLADE) + sine(twice, 2 * BLADE) + sine(thrice, 3 * BLADE)


def test_the_level_at_each_multiple_is_read_from_its_own_band():
    """A tone outside the bands does not count: 2.0, 0.4 and 0.2 mm/s stay what they are beside 3 mm/s at 40 Hz."""
    found = judged(blade_levels, survey([(row(), beating(2.0) + sine(3.0, 40.0))]))
    assert [value(one(found, name)) for name in (ONCE, TWICE, THRICE)] == near([2.0, 0.4, 0.2], rel=0.005)


def test_velocity_and_acceleration_sensors_read_the_same():
    time = np.arange(round(64 * 1024.0)) / 1024.0
    velocity = 2.0 * math.sqrt(2.0) * np.sin(2 * np.pi * BLADE * time)
    assert value(one(judged(blade_levels, survey([(row(quantity="velocity"), velocity)])), ONCE)) == near(
        2.0, rel=0.005
    )


def test_both_shafts_lie_in_one_band():
    """985 and 970 r/min: 82.083 Hz and 80.833 Hz with 1.2 and 0.9 mm/s make 1.5 mm/s together (by hand)."""
    shafts = [{"run": "R1", "propeller": p, "shaft_speed": n} for p, n in (("P1", 985.0), ("P2", 970.0))]
    given = survey([(row(), sine(1.2, BLADE) + sine(0.9, 970.0 * 5 / 60))], tables={ShaftSpeed: shafts})
    assert value(one(judged(blade_levels, given), ONCE)) == near(1.5, rel=0.005)


@pytest.mark.parametrize(
    ("level", "verdict"), [(1.9, PASS), (1.97, CONDITIONAL_PASS), (2.03, CONDITIONAL_FAIL), (2.1, FAIL)]
)
def test_vib_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_builders_limit(level, verdict):
    """At most 2.0 mm/s as specified; the chain states 3 % (k = 2)."""
    mine = [specified("VIB-06", ONCE, UNIT, high=2.0, place="V1")]
    found = one(judged(blade_levels, survey([(row(), beating(level))], mine)), ONCE)
    assert found.verdict is verdict
    assert expanded(found) == near(0.03 * level, rel=0.01)


def test_vib_06_information_where_nobody_set_a_limit():
    found = judged(blade_levels, survey([(row(), beating(2.0))]))
    assert {finding.verdict for finding in found} == {INFORMATION}


def test_the_strongest_direction_counts():
    records = [(row("A-01"), beating(1.0)), (row("A-02", axis="transverse"), beating(1.5))]
    found = one(judged(blade_levels, survey(records)), ONCE)
    assert value(found) == near(1.5, rel=0.005)
    assert found.method.startswith("record A-02, transverse, the strongest of 2 axes")
    half = judged(blade_levels, survey([records[0], (records[1][0], None)]))
    assert one(half, ONCE).verdict is INCONCLUSIVE


def flat_for_a_while(values):
    """The sensor lost after two seconds."""
    return np.where(np.arange(len(values)) < 2048, values, 0.0)


@pytest.mark.parametrize(
    "spoiled",
    [lambda values: 0.0 * values, lambda values: np.clip(values, -0.05, 0.05), flat_for_a_while],
    ids=["dead", "clipped", "lost"],
)
def test_a_direction_whose_record_is_not_good_lifts_nothing(spoiled):
    """3 mm/s upright and 0.3 mm/s across, at most 1.0 mm/s: without the upright one only 0.3 mm/s would be left."""
    mine = [specified("VIB-06", ONCE, UNIT, high=1.0, place="V1")]
    strong, weak = beating(3.0), (row("A-02", axis="transverse"), beating(0.3, 0.1, 0.1))
    assert one(judged(blade_levels, survey([(row(), strong), weak], mine)), ONCE).verdict is FAIL
    found = one(judged(blade_levels, survey([(row(), spoiled(strong)), weak], mine)), ONCE)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "Record A-01: ")


@pytest.mark.parametrize("gone", ["machine", "speed"])
def test_vib_06_inconclusive_where_one_shaft_is_not_known(gone):
    """3 mm/s come from the starboard propeller at 970 r/min; the band of the port one alone holds 0.3 mm/s."""
    mine = [specified("VIB-06", ONCE, UNIT, high=1.0, place="V1")]
    shafts = [{"run": "R1", "propeller": p, "shaft_speed": n} for p, n in (("P1", 985.0), ("P2", 940.0))]
    screws = [
        {"machine": f"S{p}", "kind": "propeller", "propeller": p, "blades": 5, "name": p, "document": "D"}
        for p in ("P1", "P2")
    ]
    values = sine(0.3, BLADE) + sine(3.0, 940.0 * 5 / 60)
    whole = {ShaftSpeed: shafts, Machine: screws}
    assert one(judged(blade_levels, survey([(row(), values)], mine, tables=whole)), ONCE).verdict is FAIL
    part = {ShaftSpeed: shafts, Machine: screws[:1]} if gone == "machine" else {ShaftSpeed: shafts[:1], Machine: screws}
    found = one(judged(blade_levels, survey([(row(), values)], mine, tables=part)), ONCE)
    assert found.verdict is INCONCLUSIVE
    words = {
        "machine": "No propeller of P2 stands among the machines.",
        "speed": "The speed of the shaft of P2 in run R1",
    }
    assert said(found, words[gone])


def test_vib_06_not_measured_beyond_the_reach_of_a_record():
    """512 samples a second reach to 204.8 Hz (40 %): not to three times blade rate."""
    slow = survey([(row(), sine(2.0, BLADE, rate=512.0))], rate=512.0)
    found = judged(blade_levels, slow)
    assert one(found, THRICE).verdict is NOT_MEASURED
    assert said(one(found, THRICE), "speaks of up to 205 Hz")
    assert value(one(found, ONCE)) == near(2.0, rel=0.005)


def test_vib_06_no_record_without_a_speed_or_blades_or_records():
    for kind in (ShaftSpeed, Machine):
        found = judged(blade_levels, survey([(row(), beating(2.0))], tables={kind: []}))
        assert one(found, ONCE).verdict is NO_RECORD
    assert one(judged(blade_levels, survey([])), ONCE).verdict is NO_RECORD


def test_vib_06_inconclusive_where_a_file_or_a_row_is_lost_or_a_record_is_not_good():
    good = beating(2.0)
    assert one(judged(blade_levels, survey([(row(), None)])), ONCE).verdict is INCONCLUSIVE
    lost = {VibrationRecord: [{"record": "A-09", "position": "V1"}]}
    found = judged(blade_levels, survey([(row(), good)], unread=lost))
    assert one(found, ONCE, condition="A-09").verdict is INCONCLUSIVE
    found = judged(blade_levels, survey([(row(), good)], unread={ShaftSpeed: [{"run": "R1"}]}))
    assert one(found, ONCE).verdict is INCONCLUSIVE
    assert one(judged(blade_levels, survey([(row(), good[:30_000])])), ONCE).verdict is INCONCLUSIVE
    unknown = survey([(row(), good)], tables={Instrument: [instrument("VM-02", "acceleration", "%", 3.0)]})
    assert one(judged(blade_levels, unknown), ONCE).verdict is INCONCLUSIVE


def test_the_chart_names_the_other_tones_or_puts_a_question_mark():
    engine = {"machine": "E", "kind": "engine", "name": "Engine", "propeller": "P1", "cylinders": 8, "strokes": 4}
    generator = {"machine": "G", "kind": "generator", "name": "Generator", "speed": 1500.0, "document": "D"}
    screw = {"machine": "S", "kind": "propeller", "propeller": "P1", "blades": 5, "name": "x", "document": "D"}
    machines = [screw, {**engine, "ratio": 2.0, "document": "D"}, generator]
    shafts = [{"run": "R1", "propeller": "P1", "shaft_speed": 985.0}]
    values = beating(2.0) + sine(0.5, 25.0) + sine(0.4, 985.0 * 2 * 4 / 60) + sine(0.3, 57.0)
    given = survey([(row(), values)], tables={Machine: machines, ShaftSpeed: shafts})
    (chart,) = charts(given, tuple(judged(blade_levels, given)))
    rules = {rule.words: rule.value for rule in chart.rules}
    assert (rules["Generator"], rules["engines fire"], rules["?"]) == near((25.0, 131.33, 57.0), abs=0.02)


def test_the_chart_shows_the_record_with_the_highest_level_and_names_its_lines():
    records = [(row("A-01"), beating(1.0)), (row("A-02", "V2"), beating(2.0))]
    given = survey(records)
    drawn = [chart for chart in charts(given, tuple(judged(blade_levels, given))) if chart.check == "VIB-06"]
    (chart,) = drawn
    assert chart.title.startswith(
        "V2, cruise, run R1: 2.00 mm/s in the band where the blades pass, 82.1 times a second"
    )
    rules = {rule.words: rule.value for rule in chart.rules}
    assert rules == near(
        {"shaft rate": 16.417, "blade rate": 82.083, "2 × blade rate": 164.167, "3 × blade rate": 246.25}, abs=0.01
    )
    (curve,) = chart.series
    highest = max(range(len(curve.y)), key=lambda n: curve.y[n])
    assert curve.x[highest] == near(82.083, abs=0.5)  # the middle of its hertz
    assert charts(survey([]), ()) == ()
