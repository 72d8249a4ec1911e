"""The checks of the propellers as they work: balance, match, room around them, slip."""

from __future__ import annotations

from buildbook.chapters.propeller.blade_records import BladeReading
from buildbook.chapters.propeller.checks import balance, clearance, match, slip
from buildbook.chapters.propeller.drive_records import Balance, Clearance, Drive
from buildbook.chapters.propeller.formulas.balance import (
    balance_grade,
    permissible_unbalance,
    static_allowance,
    tip_mass,
)
from buildbook.chapters.propeller.formulas.clearance import clearance_factor, recommended_share
from buildbook.chapters.propeller.formulas.pitch import helix_pitch
from buildbook.chapters.propeller.formulas.slip import apparent_slip, no_slip_speed
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict
from buildbook.core.stage import Stage

PITCH = (Propeller, DesignSection, PitchReading, Instrument)

DRIVE_CHECKS: tuple[Check, ...] = (
    Check(
        id="PRO-12",
        question="Are the propellers balanced?",
        judge=balance.balanced,
        tables=(Propeller, Balance, TrialRun, ShaftSpeed, Instrument),
        verdicts=ANY_RESULT,
        quantities={balance.TIP: "g", balance.GRADE: "mm/s"},
        formulas=(tip_mass, static_allowance, balance_grade, permissible_unbalance),
        conditions={balance.TIP: (Balance, "way"), balance.GRADE: (Balance, "way")},
    ),
    Check(
        id="PRO-13",
        question="Do the blades match each other?",
        judge=match.spread,
        tables=PITCH,
        verdicts=ANY_RESULT,
        quantities={match.SPREAD: "mm"},
        formulas=(helix_pitch,),
    ),
    Check(
        id="PRO-14",
        question="Do port and starboard match?",
        judge=match.sides,
        tables=(*PITCH, BladeReading),
        verdicts=frozenset(Verdict) - {Verdict.INFORMATION},
        quantities={match.SIDES: "%", match.DIAMETER: "%"},
        formulas=(helix_pitch,),
    ),
    Check(
        id="PRO-15",
        question="How far do the blade tips clear the hull?",
        judge=clearance.cleared,
        tables=(Propeller, Clearance, Instrument),
        verdicts=ANY_RESULT,
        quantities={clearance.GAP: "%", clearance.BRACKET: "%"},
        formulas=(clearance_factor, recommended_share),
    ),
    Check(
        id="PRO-16",
        question="Do hull and propellers suit each other?",
        due=Stage.ON_TRIAL,
        judge=slip.slipped,
        tables=(*PITCH, Drive, TrialRun, ShaftSpeed),
        verdicts=ANY_RESULT,
        quantities={slip.SLIP: "%", slip.BESIDE: "%"},
        formulas=(no_slip_speed, apparent_slip),
        conditions={slip.SLIP: (TrialRun, "setting"), slip.BESIDE: (TrialRun, "setting")},
    ),
)
