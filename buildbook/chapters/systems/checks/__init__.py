"""The checks of the chapter, each in the module of its subject; here their list, SYS-01 to SYS-18."""

from __future__ import annotations

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.checks import (
    bilge,
    electric,
    engine,
    fuel,
    gas,
    lights,
    safety,
    seacocks,
    sockets,
    steering,
    tanks_and_hose,
    trial_fuel,
    trial_speed,
    weighing,
)
from buildbook.chapters.systems.formulas.bilge import flow_at_outlet
from buildbook.chapters.systems.formulas.electric import drop_at_full_current, voltage_drop, without_leads
from buildbook.chapters.systems.formulas.fuel import off_the_meter, share_of_capacity
from buildbook.chapters.systems.formulas.gas import warming
from buildbook.chapters.systems.formulas.tanks import head_pressure, least_test_pressure
from buildbook.chapters.systems.formulas.trial import (
    course_weights,
    depth_froude,
    mean_of_courses,
    mean_of_means,
    opposite,
    run_weights,
    scatter_of_mean,
)
from buildbook.chapters.systems.formulas.weighing import centre_of_mass, total_mass
from buildbook.chapters.systems.records.bilge import BilgeAlarm, BilgePump
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.records.fuel import FuelFill, SenderReading
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.records.tanks_and_hose import HoseTest, PressureTest
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict
from buildbook.core.stage import Stage

SEEN = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD})

CHECKS: tuple[Check, ...] = (
    Check(
        id="SYS-01",
        question="Did the fuel alarm come in time, and was filling stopped at full?",
        due=Stage.ON_TRIAL,
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
        due=Stage.ON_TRIAL,
        judge=fuel.vents,
        tables=(FuelFill, Place),
        verdicts=SEEN,
        quantities={fuel.DRY: "1"},
        facts=(fuel.DRY,),
    ),
    Check(
        id="SYS-03",
        question="Do sender and remote display agree with the litres that ran in?",
        due=Stage.ON_TRIAL,
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
        verdicts=ANY_RESULT,
        quantities={electric.DROP: "%"},
        formulas=(voltage_drop, drop_at_full_current),
    ),
    Check(
        id="SYS-10",
        question="Is the gas system strong and tight?",
        judge=gas.gas,
        tables=(GasTest, Instrument),
        verdicts=ANY_RESULT - {Verdict.INFORMATION},
        quantities={gas.STRENGTH: "mbar", gas.DROP: "mbar"},
        formulas=(warming,),
    ),
    Check(
        id="SYS-11",
        question="Does she steer as she was drawn?",
        judge=steering.steering,
        tables=(Steering, Instrument),
        verdicts=ANY_RESULT,
        quantities={
            steering.PORT: "deg",
            steering.STARBOARD: "deg",
            steering.TIME: "s",
            steering.SHIP_TIME: "s",
            steering.STOPS: "1",
            steering.EMERGENCY: "1",
        },
        facts=(steering.STOPS, steering.EMERGENCY),
    ),
    Check(
        id="SYS-12",
        question="What does she weigh, and where does her weight lie?",
        due=Stage.ON_TRIAL,
        judge=weighing.weighed,
        tables=(CellReading, Aboard, Instrument),
        verdicts=ANY_RESULT,
        quantities=weighing.UNITS,
        formulas=(total_mass, centre_of_mass),
    ),
    Check(
        id="SYS-13",
        question="How fast did she run on trial, and what did she burn?",
        due=Stage.ON_TRIAL,
        judge=trial_speed.trial_speed,
        tables=(TrialRun, FuelFlow, Instrument),
        verdicts=ANY_RESULT,
        quantities={trial_speed.SPEED: "kn", trial_fuel.FUEL: "L/h"},
        formulas=(mean_of_means, mean_of_courses, scatter_of_mean, run_weights, course_weights, opposite, depth_froude),
        conditions={trial_speed.SPEED: (TrialRun, "setting"), trial_fuel.FUEL: (TrialRun, "setting")},
    ),
    Check(
        id="SYS-14",
        question="Do the detectors sound, and is every extinguisher in date?",
        due=Stage.ON_TRIAL,
        judge=safety.safety,
        tables=(SafetyDevice,),
        verdicts=SEEN,
        quantities={safety.WORKS: "1", safety.IN_DATE: "d"},
        facts=(safety.WORKS,),
    ),
    Check(
        id="SYS-15",
        question="Can every opening below the waterline be shut?",
        judge=seacocks.seacocks,
        tables=(Seacock, Place),
        verdicts=SEEN | {Verdict.INFORMATION, Verdict.NOT_APPLICABLE},
        quantities={seacocks.OPERATED: "1", seacocks.CLAMPS: "1"},
        facts=(seacocks.OPERATED,),
    ),
    Check(
        id="SYS-16",
        question="Are the engines built in as their maker asks?",
        due=Stage.ON_TRIAL,
        judge=engine.engine,
        tables=(EngineSheet, EngineReading, Instrument),
        verdicts=ANY_RESULT,
        quantities=engine.UNITS,
    ),
    Check(
        id="SYS-17",
        question="Do the residual-current devices trip, and are the sockets wired right?",
        due=Stage.ON_TRIAL,
        judge=sockets.sockets,
        tables=(ResidualCurrentDevice, Socket, Instrument),
        verdicts=ANY_RESULT | {Verdict.NOT_APPLICABLE},
        quantities={sockets.TRIPS: "1", sockets.TRIP: "s", sockets.WIRES: "1"},
        facts=(sockets.TRIPS, sockets.WIRES),
    ),
    Check(
        id="SYS-18",
        question="Do navigation lights, horn and emergency stops work?",
        due=Stage.ON_TRIAL,
        judge=lights.lights,
        tables=(Tried,),
        verdicts=SEEN,
        quantities={lights.WORKS: "1"},
        facts=(lights.WORKS,),
    ),
)
