"""The tables of the chapter, one module for each subject."""

from __future__ import annotations

from buildbook.chapters.systems.records.bilge import TABLES as BILGE_TABLES
from buildbook.chapters.systems.records.electric import TABLES as ELECTRIC_TABLES
from buildbook.chapters.systems.records.engine import EngineReading, EngineSheet
from buildbook.chapters.systems.records.fuel import TABLES as FUEL_TABLES
from buildbook.chapters.systems.records.gas import GasTest
from buildbook.chapters.systems.records.lights import Tried
from buildbook.chapters.systems.records.safety import SafetyDevice
from buildbook.chapters.systems.records.seacocks import Seacock
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.records.steering import Steering
from buildbook.chapters.systems.records.tanks_and_hose import TABLES as TANK_TABLES
from buildbook.chapters.systems.records.trial_speed import FuelFlow
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.core.record import Record

TABLES: tuple[type[Record], ...] = (
    *FUEL_TABLES,
    *TANK_TABLES,
    *BILGE_TABLES,
    *ELECTRIC_TABLES,
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
