"""Gas, steering, weighing, trial, safety, seacocks, engines, sockets, lights: their tables and checks."""

from __future__ import annotations

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.chapters.systems.checks import (
    engine,
    gas,
    lights,
    safety,
    seacocks,
    sockets,
    steering,
    trial_speed,
    weighing,
)
from buildbook.chapters.systems.formulas.gas import warming
from buildbook.chapters.systems.formulas.trial import mean_of_means, opposite, run_weights
from buildbook.chapters.systems.formulas.weighing import centre_of_mass, total_mass
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.chapters.trial_records import TrialRun
from buildbook.core.check import ANY_RESULT, Check
from buildbook.core.finding import Verdict

ANY_FACT = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD})
TABLES = (
    GasTest,
    Steering,
    CellReading,
    Aboard,
    FuelFlow,
    SafetyDevice,
    Seacock,
    EngineSheet,
    EngineReading,
    ResidualCurrentDevice,
    Socket,
    Tried,
)
CHECKS: tuple[Check, ...] = (
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
        judge=weighing.weighed,
        tables=(CellReading, Aboard, Instrument),
        verdicts=ANY_RESULT,
        quantities=weighing.UNITS,
        formulas=(total_mass, centre_of_mass),
    ),
    Check(
        id="SYS-13",
        question="How fast did she run on trial, and what did she burn?",
        judge=trial_speed.trial_speed,
        tables=(TrialRun, FuelFlow, Instrument),
        verdicts=ANY_RESULT,
        quantities={trial_speed.SPEED: "kn", trial_speed.FUEL: "L/h"},
        formulas=(mean_of_means, run_weights, opposite),
        conditions={trial_speed.SPEED: (TrialRun, "setting"), trial_speed.FUEL: (TrialRun, "setting")},
    ),
    Check(
        id="SYS-14",
        question="Do the detectors sound, and is every extinguisher in date?",
        judge=safety.safety,
        tables=(SafetyDevice,),
        verdicts=ANY_FACT,
        quantities={safety.WORKS: "1", safety.IN_DATE: "d"},
        facts=(safety.WORKS,),
    ),
    Check(
        id="SYS-15",
        question="Can every opening below the waterline be shut?",
        judge=seacocks.seacocks,
        tables=(Seacock, Place),
        verdicts=ANY_FACT | {Verdict.INFORMATION},
        quantities={seacocks.OPERATED: "1", seacocks.CLAMPS: "1"},
        facts=(seacocks.OPERATED,),
    ),
    Check(
        id="SYS-16",
        question="Are the engines built in as their maker asks?",
        judge=engine.engine,
        tables=(EngineSheet, EngineReading, Instrument),
        verdicts=ANY_RESULT,
        quantities=engine.UNITS,
    ),
    Check(
        id="SYS-17",
        question="Do the residual-current devices trip, and are the sockets wired right?",
        judge=sockets.sockets,
        tables=(ResidualCurrentDevice, Socket, Instrument),
        verdicts=ANY_RESULT - {Verdict.INFORMATION},
        quantities={sockets.TRIP: "s", sockets.WIRES: "1"},
        facts=(sockets.WIRES,),
    ),
    Check(
        id="SYS-18",
        question="Do navigation lights, horn and emergency stops work?",
        judge=lights.lights,
        tables=(Tried,),
        verdicts=ANY_FACT,
        quantities={lights.WORKS: "1"},
        facts=(lights.WORKS,),
    ),
)
