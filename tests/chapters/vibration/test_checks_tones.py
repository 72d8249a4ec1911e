"""VIB-05: every verdict, and the frequencies of machines worked out by hand beside each test."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.trial_records import ShaftSpeed
from buildbook.chapters.vibration.checks.tones import COINCIDENCES, TONES, UNEXPLAINED, sources_of_tones
from buildbook.chapters.vibration.formulas.orders import electrical_double
from buildbook.chapters.vibration.lines import coincidences, lines_of, sources_of
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.formulas import OutOfRange
from tests.chapters.small_folder import INCONCLUSIVE, INFORMATION, NO_RECORD, near, one, said
from tests.chapters.vibration.shaking import judged, row, sine, survey

STEP = 0.125  # Hz between lines of a segment of 8 s
DOCUMENT = {"document": "DWG-300", "revision": "C"}
SCREWS = [
    {"machine": f"S{p}", "kind": "propeller", "propeller": p, "blades": 5, "name": f"{side} propeller", **DOCUMENT}
    for p, side in (("P1", "Port"), ("P2", "Starboard"))
]
GENERATOR = {"machine": "GEN", "kind": "generator", "name": "Generator", "speed": 1500.0, **DOCUMENT}
FAN = {"machine": "FAN", "kind": "other", "name": "Fan", "speed": 1440.0, "blades": 7, **DOCUMENT}


def engine(cylinders=8, strokes=4, ratio=2.0, propeller="P1"):
    row = {"machine": "E1", "kind": "engine", "name": "Port engine", "propeller": propeller, **DOCUMENT}
    return {**row, "cylinders": cylinders, "strokes": strokes, "ratio": ratio}


def lines(machines, *speeds):
    shafts = [{"run": "R1", "propeller": f"P{n}", "shaft_speed": speed} for n, speed in enumerate(speeds, 1)]
    found = lines_of(survey([], tables={Machine: machines, ShaftSpeed: shafts}), "R1")
    return {(line.what, line.machine): line.frequency for line in found}, found


def tones(*pairs):
    """Tones of these frequencies [Hz] and levels [mm/s r.m.s.] over a little noise."""
    noise = np.random.default_rng(5).standard_normal(len(sine(1.0))) * 0.002
    return noise + sum(sine(level, frequency) for frequency, level in pairs)


# --- the frequencies of machines ----------------------------------------------------------------------------------


def test_lines_of_a_shaft_line():
    """Worked example: engine at 2000 r/min, ratio 2.0, four blades, twelve cylinders: shaft 16.667 Hz, blade rate
    66.667 Hz and 133.33 Hz, firing 200 Hz, half order 16.667 Hz (calculated by hand from the definitions)."""
    screw = {**SCREWS[0], "blades": 4}
    found, _ = lines([screw, engine(cylinders=12)], 1000.0)
    assert found["shaft rate", "Port propeller"] == near(16.667, abs=0.001)
    assert found["blade rate", "Port propeller"] == near(66.667, abs=0.001)
    assert found["2 × blade rate", "Port propeller"] == near(133.33, abs=0.01)
    assert found["firing, engine order 6", "Port engine"] == near(200.0)
    assert found["engine order 0.5", "Port engine"] == near(16.667, abs=0.001)


def test_a_shaft_and_a_half_order_that_coincide_are_both_listed():
    """The same worked example: half order and shaft rate are both 16.667 Hz; order 2 is blade rate."""
    _, found = lines([{**SCREWS[0], "blades": 4}, engine(cylinders=12)], 1000.0)
    both = set(sources_of(16.70, found, STEP).split("; or "))
    assert both == {"engine order 0.5 (port engine)", "shaft rate (port propeller)"}
    told = coincidences(found, STEP)
    assert told["near 16.7 Hz: engine order 0.5 (port engine) and shaft rate (port propeller)"] == "16.7 Hz"
    assert "near 66.7 Hz: blade rate (port propeller) and engine order 2 (port engine)" in told


def test_two_strokes_have_no_half_orders_and_fire_at_every_turn():
    """Six cylinders, two strokes, 2000 r/min: firing at 6 x 33.33 = 200 Hz (definition)."""
    found, _ = lines([engine(cylinders=6, strokes=2)], 1000.0)
    assert found["firing, engine order 6", "Port engine"] == near(200.0)
    assert not any(".5" in what for what, _ in found)


def test_a_generator_turns_and_hums():
    """Four poles at 1500 r/min: 25 Hz, its double, and 100 Hz of twice the mains (definition)."""
    found, _ = lines([GENERATOR, FAN], 1000.0)
    assert [found[what, "Generator"] for what in ("turning rate", "2 × turning rate")] == [25.0, 50.0]
    assert found["twice its electrical frequency", "Generator"] == near(100.0)
    assert found["passing of its blades", "Fan"] == near(168.0)  # 7 x 1440 / 60
    four_stroke, _ = lines([{**GENERATOR, "cylinders": 4, "strokes": 4}], 1000.0)
    assert four_stroke["firing", "Generator"] == near(50.0)


@pytest.mark.parametrize(("speed", "double"), [(1500, 100), (1800, 120), (3000, 100), (3600, 120), (1000, 100)])
def test_electrical_double_of_a_generator(speed, double):
    """Synchronous speeds of 2, 4 and 6 poles at 50 Hz and 60 Hz (textbooks, from memory)."""
    assert electrical_double(speed, 5.0) == near(double)


def test_a_generator_of_changing_speed_has_no_electrical_double():
    with pytest.raises(OutOfRange):
        electrical_double(2200.0, 5.0)
    found, _ = lines([{**GENERATOR, "speed": 2200.0}], 1000.0)
    assert ("twice its electrical frequency", "Generator") not in found


def test_two_screws_beat():
    """985 and 982 r/min, five blades: 82.083 - 81.833 = 0.25 Hz, a swell every 4 s (by hand).

    Speeds known to 1 % each leave 0.82 Hz + 0.82 Hz, so they may as well be alike; at 985 and 940 r/min they differ by
    3.75 Hz, known to 1.60 Hz.
    """
    found, _ = lines(SCREWS, 985.0, 982.0)
    assert found["beat of both blade rates", "Port propeller, Starboard propeller"] == near(0.25)
    shafts = [{"run": "R1", "propeller": p, "shaft_speed": n} for p, n in (("P1", 985.0), ("P2", 982.0))]
    given = survey([(row(), tones((82.0, 1.0)))], tables={Machine: SCREWS, ShaftSpeed: shafts})
    working = one(judged(sources_of_tones, given), COINCIDENCES).working
    assert any("0.25 Hz apart, known to 1.64 Hz: they may be alike" in line for line in working)
    shafts[1]["shaft_speed"] = 940.0
    given = survey([(row(), tones((82.0, 1.0)))], tables={Machine: SCREWS, ShaftSpeed: shafts})
    working = one(judged(sources_of_tones, given), COINCIDENCES).working
    assert any("3.75 Hz apart, known to 1.60 Hz: it swells and fades about every 0.3 s" in line for line in working)


def test_how_far_a_tone_may_lie_from_its_source():
    """One and a half lines are 0.1875 Hz; where no uncertainty of the speed is stated 1 % of the frequency counts."""
    _, found = lines([SCREWS[0]], 985.0)
    assert sources_of(16.417 + 0.18, found, STEP) == "shaft rate (port propeller)"
    assert sources_of(16.417 + 0.20, found, STEP) == ""
    assert sources_of(82.083 * 1.0095, found, STEP) == "blade rate (port propeller)"
    assert sources_of(82.083 * 1.0105, found, STEP) == ""


def test_tones_of_both_sides_that_merge_are_both_named():
    """985 and 982 r/min: blade rates two lines of 0.125 Hz apart; 985 and 980 r/min: 0.417 Hz (by hand)."""
    _, near_by = lines(SCREWS, 985.0, 982.0)
    assert sources_of(82.083, near_by, STEP) == "blade rate (port propeller and starboard propeller)"
    exact = [replace(line, share=0.002) for line in lines(SCREWS, 985.0, 980.0)[1]]
    assert sources_of(82.083, exact, STEP) == "blade rate (port propeller)"


# --- VIB-05 -------------------------------------------------------------------------------------------------------


def test_vib_05_information_of_every_tone_and_all_that_it_fits():
    """Blade rate 985 x 5 / 60 = 82.083 Hz; generator 25 Hz; nothing makes 37.3 Hz (by hand)."""
    given = survey([(row(), tones((82.083, 1.5), (25.0, 0.6), (37.3, 0.3)))], tables={Machine: [*SCREWS, GENERATOR]})
    found = one(judged(sources_of_tones, given), TONES)
    assert found.verdict is INFORMATION
    assert found.observed.startswith("3 tones; strongest 82.1 Hz, 1.50 mm/s: consistent with blade rate (port prop")
    assert found.observed.endswith(f"{UNEXPLAINED}: 37.3 Hz")
    assert found.working == (
        "82.08 Hz, 1.50 mm/s r.m.s.: consistent with blade rate (port propeller and starboard propeller)",
        "25.00 Hz, 0.60 mm/s r.m.s.: consistent with turning rate (generator)",
        f"37.30 Hz, 0.30 mm/s r.m.s.: {UNEXPLAINED}",
    )
    assert said(found, "no diagnosis")


def test_the_strongest_axis_of_a_position_is_shown():
    records = [(row("A-01"), tones((25.0, 0.5))), (row("A-02", axis="transverse"), tones((40.0, 1.0)))]
    found = one(judged(sources_of_tones, survey(records)), TONES)
    assert found.method.startswith("record A-02, transverse, the strongest of 2 axes")


def test_no_movement_is_counted_twice_where_two_tones_are_near():
    """Three lines apart, 1.0 and 0.5 mm/s: both tones together hold 1.25 mm2/s2 (by hand), shared within 15 %."""
    given = survey([(row(), tones((60.0, 1.0), (60.375, 0.5)))])
    (line, other) = one(judged(sources_of_tones, given), TONES).working
    levels = [float(words.split("Hz, ")[1].split(" ")[0]) for words in (line, other)]
    assert levels[0] ** 2 + levels[1] ** 2 == near(1.25, rel=0.02)
    assert levels == near([1.0, 0.5], rel=0.15)
    merged = survey([(row(), tones((60.0, 1.0), (60.2, 0.9)))])
    assert one(judged(sources_of_tones, merged), TONES).observed.startswith("1 tone;")


def test_noise_has_no_tone():
    noise = np.random.default_rng(1).standard_normal(len(sine(1.0)))
    given = survey([(row(quantity="velocity"), noise)])
    assert one(judged(sources_of_tones, given), TONES).observed == "no tone stands out"


def test_vib_05_no_record_without_speeds_or_machines_or_records():
    heard = [(row(), tones((82.083, 1.5)))]
    for kind, words in ((ShaftSpeed, "trial/shafts.csv"), (Machine, "vibration/machinery.csv")):
        found = one(judged(sources_of_tones, survey(heard, tables={kind: []})), TONES)
        assert found.verdict is NO_RECORD
        assert said(found, words)
    other = survey(heard, tables={ShaftSpeed: [{"run": "R9", "propeller": "P1", "shaft_speed": 985.0}]})
    assert said(one(judged(sources_of_tones, other), TONES), "No shaft speed is on record for this run")
    assert one(judged(sources_of_tones, survey([])), TONES).verdict is NO_RECORD


def test_vib_05_inconclusive_where_a_file_or_a_row_is_lost_or_a_record_is_not_good():
    good = tones((82.083, 1.5))
    assert one(judged(sources_of_tones, survey([(row(), None)])), TONES).verdict is INCONCLUSIVE
    lost = {VibrationRecord: [{"record": "A-09", "position": "V1"}]}
    found = judged(sources_of_tones, survey([(row(), good)], unread=lost))
    assert one(found, TONES, condition="A-09").verdict is INCONCLUSIVE
    for kind, cells in ((Machine, {"machine": "E1"}), (ShaftSpeed, {"run": "R1"})):
        found = judged(sources_of_tones, survey([(row(), good)], unread={kind: [cells]}))
        assert {one(found, name).verdict for name in (TONES, COINCIDENCES)} == {INCONCLUSIVE}
    short = one(judged(sources_of_tones, survey([(row(), good[:20_000])])), TONES)
    assert short.verdict is INCONCLUSIVE
    assert said(short, "not good enough")
