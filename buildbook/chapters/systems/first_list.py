"""The checks of fuel, tanks, openings, bilges and electric circuits: SYS-01 to SYS-09."""

from __future__ import annotations

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.checks import bilge, electric, fuel, tanks_and_hose
from buildbook.chapters.systems.formulas.bilge import flow_at_outlet
from buildbook.chapters.systems.formulas.electric import voltage_drop, without_leads
from buildbook.chapters.systems.formulas.fuel import off_the_meter, share_of_capacity
from buildbook.chapters.systems.formulas.tanks import head_pressure, least_test_pressure
from buildbook.chapters.systems.records.bilge import BilgeAlarm, BilgePump
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.records.tanks_and_hose import HoseTest, PressureTest
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict

SEEN = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD})

FIRST_CHECKS: tuple[Check, ...] = (
    Check(
        id="SYS-01",
        question="Did the fuel alarm come in time, and was filling stopped at full?",
        judge=fuel.filled,
        tables=(FuelFill, Place, Instrument),
        verdicts=ANY_RESULT,
        quantities={fuel.ALARM: "%", fuel.STEPS: "1"},
        formulas=(share_of_capacity,),
        facts=(fuel.STEPS,),
    ),
    Check(
        id="SYS-02",
        question="Did the vents stay dry while she was filled?",
        judge=fuel.vents,
        tables=(FuelFill, Place),
        verdicts=SEEN,
        quantities={fuel.DRY: "1"},
        facts=(fuel.DRY,),
    ),
    Check(
        id="SYS-03",
        question="Do sender and remote display agree with the litres that ran in?",
        judge=fuel.shown,
        tables=(SenderReading, FuelFill, Place, Instrument),
        verdicts=ANY_RESULT,
        quantities={fuel.SENDER: "%", fuel.DISPLAY: "%"},
        formulas=(off_the_meter, share_of_capacity),
    ),
    Check(
        id="SYS-04",
        question="Did the tanks hold pressure?",
        judge=tanks_and_hose.pressed,
        tables=(PressureTest, Place, Instrument),
        verdicts=ANY_RESULT,
        quantities={tanks_and_hose.TEST: "kPa", tanks_and_hose.DROP: "kPa", tanks_and_hose.HELD: "min"},
        formulas=(least_test_pressure, head_pressure),
    ),
    Check(
        id="SYS-05",
        question="Did doors, hatches and windows keep the jet of a hose out?",
        judge=tanks_and_hose.hosed,
        tables=(HoseTest, Place, Instrument),
        verdicts=ANY_RESULT - {Verdict.INFORMATION},
        quantities={tanks_and_hose.TIGHT: "1", tanks_and_hose.JET: "MPa"},
        facts=(tanks_and_hose.TIGHT,),
    ),
    Check(
        id="SYS-06",
        question="Do the bilge alarms reach the helm, and do the bilge pumps deliver?",
        judge=bilge.bilges,
        tables=(BilgeAlarm, BilgePump, Place, Instrument),
        verdicts=ANY_RESULT,
        quantities={bilge.AT_HELM: "1", bilge.FLOW: "L/min", bilge.PUMPS: "1"},
        formulas=(flow_at_outlet,),
        facts=(bilge.AT_HELM,),
    ),
    Check(
        id="SYS-07",
        question="Are her metal fittings bonded?",
        judge=electric.bonded,
        tables=(Bonding, Place, Instrument),
        verdicts=ANY_RESULT - {Verdict.INFORMATION},
        quantities={electric.BOND: "ohm"},
        formulas=(without_leads,),
    ),
    Check(
        id="SYS-08",
        question="Is the insulation of her circuits sound?",
        judge=electric.insulated,
        tables=(Insulation, Circuit, Place, Instrument),
        verdicts=ANY_RESULT,
        quantities={electric.INSULATION: "Mohm"},
    ),
    Check(
        id="SYS-09",
        question="How much voltage is lost on the way to the loads?",
        judge=electric.dropped,
        tables=(VoltageDrop, Circuit, Place, Instrument),
        verdicts=ANY_RESULT - {Verdict.INFORMATION},
        quantities={electric.DROP: "%"},
        formulas=(voltage_drop,),
    ),
)
