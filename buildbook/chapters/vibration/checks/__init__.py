"""The checks of the vibration chapter."""

from __future__ import annotations

from buildbook.chapters.machine_records import Machine
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.checks import (
    blades,
    comfort,
    conditions,
    loudness,
    machines,
    pairs,
    quality,
    sweep,
    tones,
)
from buildbook.chapters.vibration.formulas.orders import beat, blade_rate, electrical_double, firing_rate, order_rate
from buildbook.chapters.vibration.formulas.sound import energy_mean, without_background
from buildbook.chapters.vibration.formulas.spectrum import spectrum
from buildbook.chapters.vibration.formulas.spectrum import tones as tones_in
from buildbook.chapters.vibration.formulas.sweep import humps
from buildbook.chapters.vibration.formulas.weighting import whole_body, whole_body_velocity
from buildbook.chapters.vibration.records import Position, SweepReading, VibrationRecord
from buildbook.chapters.vibration.sound_records import SoundLevel, SoundPlace
from buildbook.core.check import ANY_RESULT, About, Check
from buildbook.core.finding import Verdict

SURVEY = (Position, VibrationRecord, TrialRun, ShaftSpeed, Machine, Instrument)
WEIGHTINGS = (spectrum, whole_body, whole_body_velocity)

CHECKS: tuple[Check, ...] = (
    Check(
        id="VIB-01",
        question="How much does she shake where people are?",
        about=About.FELT,
        judge=comfort.where_people_are,
        tables=SURVEY,
        verdicts=ANY_RESULT,
        quantities={comfort.WEIGHTED: "mm/s"},
        formulas=WEIGHTINGS,
    ),
    Check(
        id="VIB-02",
        question="How much does she shake right above the propellers?",
        about=About.FELT,
        judge=comfort.above_the_propellers,
        tables=SURVEY,
        verdicts=ANY_RESULT,
        quantities={comfort.WEIGHTED: "mm/s"},
        formulas=WEIGHTINGS,
    ),
    Check(
        id="VIB-03",
        question="Is each record good enough to speak from?",
        about=About.WORK,
        judge=quality.records_good,
        tables=(VibrationRecord, TrialRun),
        verdicts=frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_MEASURED}),
        quantities={quality.GOOD: "1"},
        facts=(quality.GOOD,),
        formulas=(),
    ),
    Check(
        id="VIB-04",
        question="Were the conditions on trial fair?",
        about=About.WORK,
        judge=conditions.fair_conditions,
        tables=(VibrationRecord, TrialRun),
        verdicts=frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}),
        quantities={
            conditions.DEPTH: "1",
            conditions.SEA: "1",
            conditions.WIND: "1",
            conditions.RUDDER: "deg",
            conditions.SAID: "1",
        },
        facts=(conditions.SAID,),
        formulas=(),
    ),
    Check(
        id="VIB-05",
        question="Where does each tone come from?",
        judge=tones.sources_of_tones,
        tables=SURVEY,
        verdicts=frozenset({Verdict.INFORMATION, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}),
        quantities={tones.TONES: "1", tones.COINCIDENCES: "1"},
        facts=(tones.TONES, tones.COINCIDENCES),
        formulas=(spectrum, tones_in, order_rate, blade_rate, firing_rate, electrical_double, beat),
    ),
    Check(
        id="VIB-06",
        question="How hard do the propeller blades beat on her?",
        judge=blades.blade_levels,
        tables=SURVEY,
        verdicts=ANY_RESULT,
        quantities=dict.fromkeys(blades.LEVELS.values(), blades.UNIT),
        formulas=(spectrum, blade_rate),
    ),
    Check(
        id="VIB-07",
        question="Is there a speed to avoid?",
        judge=sweep.speeds_to_avoid,
        tables=(SweepReading, TrialRun, ShaftSpeed, Instrument),
        verdicts=frozenset(
            {
                Verdict.PASS,
                Verdict.FAIL,
                Verdict.INFORMATION,
                Verdict.INCONCLUSIVE,
                Verdict.NO_RECORD,
                Verdict.NOT_MEASURED,
            }
        ),
        quantities={sweep.HUMPS: "1", sweep.NAMED: "1"},
        facts=(sweep.HUMPS, sweep.NAMED),
        rules=(sweep.CLEAR,),
        formulas=(humps,),
    ),
    Check(
        id="VIB-08",
        question="Are port and starboard alike?",
        judge=pairs.port_against_starboard,
        tables=(Position, VibrationRecord, TrialRun, Instrument),
        verdicts=frozenset({Verdict.INFORMATION, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_MEASURED}),
        quantities={pairs.SIDES: "1"},
        facts=(pairs.SIDES,),
        formulas=WEIGHTINGS,
    ),
    Check(
        id="VIB-09",
        question="Did what was done help?",
        judge=pairs.before_and_after,
        tables=(VibrationRecord, TrialRun, Instrument),
        verdicts=frozenset({Verdict.INFORMATION, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_APPLICABLE}),
        quantities={pairs.CHANGE: "1"},
        facts=(pairs.CHANGE,),
        formulas=WEIGHTINGS,
    ),
    Check(
        id="VIB-10",
        question="How much do the machines themselves shake?",
        judge=machines.machines,
        tables=(Position, VibrationRecord, TrialRun, Instrument),
        verdicts=ANY_RESULT | {Verdict.NOT_APPLICABLE},
        quantities={machines.LEVEL: machines.UNIT},
        formulas=(spectrum,),
    ),
    Check(
        id="VIB-11",
        question="How loud is she?",
        about=About.FELT,
        judge=loudness.how_loud,
        tables=(SoundPlace, SoundLevel, TrialRun, Instrument),
        verdicts=ANY_RESULT,
        quantities={loudness.LEVEL: loudness.UNIT},
        formulas=(energy_mean, without_background),
    ),
)
