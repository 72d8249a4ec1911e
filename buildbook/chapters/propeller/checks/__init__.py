"""The checks of the propeller chapter."""

from __future__ import annotations

from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.checks import accuracy, geometry, pitch
from buildbook.chapters.propeller.checks.drive_list import DRIVE_CHECKS
from buildbook.chapters.propeller.formulas.geometry import class_tolerance, even_step, steps_round
from buildbook.chapters.propeller.formulas.pitch import helix_pitch, pitch_tolerance
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.propeller.subjects import (
    BLADE,
    CUP,
    LENGTH,
    LOCAL,
    RADIUS,
    RAKE,
    ROUGHNESS,
    SPACING,
    THICK,
    THIN,
    TIP,
    TRACK,
    WHOLE,
)
from buildbook.chapters.shared_records import Instrument
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict

TABLES = (Propeller, DesignSection, PitchReading, Instrument)
STANDING = (Propeller, BladeReading, Instrument)
SECTIONS = (Propeller, DesignSection, SectionReading, Instrument)

CHECKS: tuple[Check, ...] = (
    Check(
        id="PRO-01",
        question="Is the pitch right at every step across a blade?",
        judge=pitch.local,
        tables=TABLES,
        verdicts=ANY_RESULT,
        quantities={LOCAL: "mm"},
        formulas=(helix_pitch, pitch_tolerance),
    ),
    Check(
        id="PRO-02",
        question="Is the pitch right at every radius of a blade?",
        judge=pitch.at_radii,
        tables=TABLES,
        verdicts=ANY_RESULT,
        quantities={RADIUS: "mm"},
        formulas=(helix_pitch, pitch_tolerance),
    ),
    Check(
        id="PRO-03",
        question="Is the pitch right over each blade?",
        judge=pitch.of_blades,
        tables=TABLES,
        verdicts=ANY_RESULT,
        quantities={BLADE: "mm"},
        formulas=(helix_pitch, pitch_tolerance),
    ),
    Check(
        id="PRO-04",
        question="Is the pitch right over the whole propeller?",
        judge=pitch.of_propellers,
        tables=TABLES,
        verdicts=ANY_RESULT,
        quantities={WHOLE: "mm"},
        formulas=(helix_pitch, pitch_tolerance),
    ),
    Check(
        id="PRO-05",
        question="Which class of accuracy do her propellers meet?",
        judge=accuracy.classed,
        tables=(*TABLES, BladeReading, SectionReading),
        verdicts=ANY_RESULT - {Verdict.CONDITIONAL_FAIL},
        quantities={accuracy.CLASS: "1", accuracy.PITCH_CLASS: "1"},
        facts=(accuracy.CLASS, accuracy.PITCH_CLASS),
        formulas=(pitch_tolerance, class_tolerance),
    ),
    Check(
        id="PRO-06",
        question="Do the blades stand evenly round the boss?",
        judge=geometry.spacing,
        tables=STANDING,
        verdicts=ANY_RESULT,
        quantities={SPACING: "deg"},
        formulas=(steps_round, even_step),
    ),
    Check(
        id="PRO-07",
        question="Is each blade as thick as it was drawn?",
        judge=geometry.thickness,
        tables=SECTIONS,
        verdicts=ANY_RESULT,
        quantities={THIN: "mm", THICK: "mm"},
        formulas=(class_tolerance,),
    ),
    Check(
        id="PRO-08",
        question="Is each blade as long across as it was drawn?",
        judge=geometry.length,
        tables=SECTIONS,
        verdicts=ANY_RESULT,
        quantities={LENGTH: "mm", CUP: "mm"},
        formulas=(class_tolerance,),
    ),
    Check(
        id="PRO-09",
        question="Do the blades follow one another in one track?",
        judge=geometry.placing,
        tables=STANDING,
        verdicts=ANY_RESULT,
        quantities={RAKE: "mm", TRACK: "mm"},
        formulas=(class_tolerance,),
    ),
    Check(
        id="PRO-10",
        question="Does each tip reach as far out as was ordered?",
        judge=geometry.tips,
        tables=STANDING,
        verdicts=ANY_RESULT,
        quantities={TIP: "mm"},
        formulas=(class_tolerance,),
    ),
    Check(
        id="PRO-11",
        question="How smooth are the blades?",
        judge=geometry.surface,
        tables=STANDING,
        verdicts=ANY_RESULT,
        quantities={ROUGHNESS: "um"},
    ),
    *DRIVE_CHECKS,
)
