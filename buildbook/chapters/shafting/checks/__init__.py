"""The checks of the chapter on shafting and steering gear."""

from __future__ import annotations

from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.checks import bearings, diameter, fit, keyway, stock, straight
from buildbook.chapters.shafting.formulas.diameter import (
    class_diameter,
    passenger_diameter,
    torsional_yield,
    yacht_diameter,
)
from buildbook.chapters.shafting.formulas.keyway import (
    keyway_bending_factor,
    keyway_torsion_factor,
    round_groove_factor,
    shaft_torque,
    torsional_stress,
)
from buildbook.chapters.shafting.formulas.line import bearing_spacing, face_mismatch, run_out_per_metre, taper_per_metre
from buildbook.chapters.shafting.formulas.slot import ring_weld_stress, slot_pressure, two_welds_stress
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft, ShaftEnd
from buildbook.chapters.shared_records import Instrument, PhotographRecord
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict

JUDGED = ANY_RESULT - {Verdict.INFORMATION}  # some limit always governs
FOR_INFORMATION = frozenset({Verdict.INFORMATION, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD})

CHECKS: tuple[Check, ...] = (
    Check(
        id="SHA-01",
        question="Is each shaft thick enough for its power?",
        judge=diameter.fitted,
        tables=(Shaft, ShaftEnd, Instrument),
        verdicts=ANY_RESULT,
        quantities={diameter.FITTED: "mm", **dict.fromkeys(diameter.BY_RULE.values(), "mm")},
        facts=tuple(diameter.BY_RULE.values()),
        formulas=(yacht_diameter, torsional_yield, passenger_diameter, class_diameter),
    ),
    Check(
        id="SHA-02",
        question="Is the keyway rounded where the stress gathers?",
        judge=keyway.keyways,
        tables=(Shaft, ShaftEnd, Instrument),
        verdicts=ANY_RESULT,
        quantities={keyway.FILLET: "%", keyway.TORSION: "1", keyway.BENDING: "1", keyway.STRESS: "MPa"},
        formulas=(keyway_torsion_factor, keyway_bending_factor, round_groove_factor, shaft_torque, torsional_stress),
    ),
    Check(
        id="SHA-03",
        question="Do the shafts turn straight?",
        judge=straight.straightness,
        tables=(Shaft, RunOut, Instrument),
        verdicts=JUDGED,
        quantities={straight.METRE: "mm/m", straight.BEARING: "mm", straight.TAPER: "mm"},
        formulas=(run_out_per_metre,),
    ),
    Check(
        id="SHA-04",
        question="Do the propellers sit on their tapers, not on their keys?",
        judge=fit.seated,
        tables=(ShaftEnd, Instrument),
        verdicts=ANY_RESULT,
        quantities={fit.RATE: "mm/m", fit.CONTACT: "%", fit.MARK: "1"},
        facts=(fit.MARK,),
        formulas=(taper_per_metre,),
    ),
    Check(
        id="SHA-05",
        question="Do the coupling faces meet squarely, afloat?",
        judge=straight.faces,
        tables=(Shaft, CouplingGap, Instrument),
        verdicts=JUDGED,
        quantities={straight.FACES: "mm/m"},
        formulas=(face_mismatch,),
    ),
    Check(
        id="SHA-06",
        question="How much play do the bearings in the water have?",
        judge=bearings.clearances,
        tables=(Bearing, Instrument),
        verdicts=ANY_RESULT,
        quantities={bearings.CLEARANCE: "mm", bearings.SHARE: "mm/m"},
    ),
    Check(
        id="SHA-07",
        question="Do the bearings stand close enough together?",
        judge=bearings.spacings,
        tables=(Shaft, Bearing, Instrument),
        verdicts=JUDGED,
        quantities={bearings.SPACING: "mm"},
        formulas=(bearing_spacing,),
    ),
    Check(
        id="SHA-08",
        question="Can water get into the bearings?",
        judge=bearings.grooves,
        tables=(Bearing,),
        verdicts=FOR_INFORMATION,
        quantities={bearings.ALONG: "1", bearings.AROUND: "1"},
        facts=(bearings.ALONG, bearings.AROUND),
    ),
    Check(
        id="SHA-09",
        question="Does a slot carry the rudder's torque, or does a weld?",
        judge=stock.stocks,
        tables=(RudderStock, PhotographRecord, Instrument),
        verdicts=ANY_RESULT,
        quantities={stock.PRESSURE: "MPa", stock.WELDS: "MPa", stock.RING: "MPa", stock.PICTURE: "1",
                    stock.INSPECTION: "1"},
        facts=(stock.WELDS, stock.RING, stock.PICTURE, stock.INSPECTION),
        formulas=(slot_pressure, two_welds_stress, ring_weld_stress),
    ),
)  # fmt: skip
