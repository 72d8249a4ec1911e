"""The tables of the chapter, one module for each subject; here those of fuel, tanks, openings, bilges and circuits."""

from __future__ import annotations

from buildbook.chapters.systems.records.bilge import TABLES as BILGE_TABLES
from buildbook.chapters.systems.records.electric import TABLES as ELECTRIC_TABLES
from buildbook.chapters.systems.records.fuel import TABLES as FUEL_TABLES
from buildbook.chapters.systems.records.tanks_and_hose import TABLES as TANK_TABLES

TABLES = (*FUEL_TABLES, *TANK_TABLES, *BILGE_TABLES, *ELECTRIC_TABLES)
