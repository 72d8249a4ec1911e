"""Tables of bonding, insulation and voltage drop, and of the circuits they are about."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record, Table, column


class Circuit(Record):
    table: ClassVar[Table] = Table(
        "systems/circuits.csv", "Circuits that were measured", "one circuit", ("circuit",), "circuit"
    )

    circuit: str = column("Circuit: its id in the table of places", refers=Place, example="C-1")
    supply: Literal["12 V DC", "24 V DC", "230 V AC", "400 V AC"] = column("Its supply", example="24 V DC")
    critical: bool = column(
        "Whether it is critical: panel feeders, navigation lights, bilge pumps and blowers, electronics", example="yes"
    )
    current: float | None = column(
        "Current it was designed for", unit="A", low=0.01, high=2000, blank=True, example="6.2"
    )
    drawing: str = column("Document that says so", example="DWG-403")
    revision: str | None = column("Its revision", blank=True, example="C")

    @property
    def alternating(self) -> bool:
        """Whether it carries alternating current."""
        return self.supply.endswith("AC")


class Bonding(Record):
    table: ClassVar[Table] = Table(
        "systems/bonding.csv",
        "Bonding of metal fittings",
        "one fitting measured once",
        ("fitting", "attempt"),
        "fitting",
        attempt="attempt",
        time="at",
    )

    fitting: str = column("Fitting", refers=Place, example="P1")
    attempt: int = column("1 as first measured, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-11 14:05")
    resistance: float = column(
        "Resistance from the fitting to the common point, leads included",
        unit="ohm",
        low=0,
        high=100000,
        example="0.42",
    )
    leads: float | None = column(
        "Resistance of the two leads touching each other", unit="ohm", low=0, high=100, blank=True, example="0.18"
    )
    ashore: bool = column("Whether the hull was out of the water", example="yes")
    by: str = column("Who measured: role and initials", person=True, example="EL MS")
    instrument: str = column(
        "Ohmmeter", refers=Instrument, example="OM-01", measures={"resistance": "resistance", "leads": "resistance"}
    )

    @model_validator(mode="after")
    def _leads_are_part_of_it(self) -> Bonding:
        if self.leads is not None and self.leads > self.resistance:
            raise ValueError("resistance: no less than `leads`, that of the leads alone")
        return self


class Insulation(Record):
    table: ClassVar[Table] = Table(
        "systems/insulation.csv",
        "Insulation of circuits",
        "one circuit measured once",
        ("circuit", "attempt"),
        "circuit",
        attempt="attempt",
        time="at",
    )

    circuit: str = column("Circuit", refers=Circuit, example="C-7")
    attempt: int = column("1 as first measured, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-14 09:30")
    between: Literal["live conductors and earth", "live and neutral"] = column(
        "Between what", example="live conductors and earth"
    )
    voltage: float = column("Direct voltage of the test", unit="V", low=10, high=5000, example="500")
    resistance: float = column("Insulation resistance", unit="Mohm", low=0, high=100000, example="48.5")
    beyond: bool = column(
        "Whether the meter read more than its range; `resistance` is then the end of the range", example="no"
    )
    by: str = column("Who measured: role and initials", person=True, example="EL MS")
    instrument: str = column(
        "Insulation tester", refers=Instrument, example="IM-01", measures={"resistance": "insulation resistance"}
    )


class VoltageDrop(Record):
    table: ClassVar[Table] = Table(
        "systems/voltage_drop.csv",
        "Voltage drop of circuits",
        "one circuit measured once",
        ("circuit", "attempt"),
        "circuit",
        attempt="attempt",
        time="at",
    )

    circuit: str = column("Circuit", refers=Circuit, example="C-1")
    attempt: int = column("1 as first measured, 2 after work …", low=1, high=50, example="1")
    at: datetime = column("Date and time", example="2026-05-14 13:40")
    source: float = column("Voltage at the source, under load", unit="V", low=5, high=500, example="25.61")
    load: float = column(
        "Voltage at the load, right after, under the same load", unit="V", low=0, high=500, example="25.09"
    )
    current: float | None = column("Current that flowed", unit="A", low=0.01, high=2000, blank=True, example="6.1")
    by: str = column("Who measured: role and initials", person=True, example="EL MS")
    instrument: str = column(
        "Voltmeter", refers=Instrument, example="VT-01", measures={"source": "voltage", "load": "voltage"}
    )
    ammeter: str | None = column(
        "Ammeter", refers=Instrument, blank=True, example="AM-01", measures={"current": "current"}
    )

    @model_validator(mode="after")
    def _load_below_source(self) -> VoltageDrop:
        if self.load > self.source:
            raise ValueError("load: no more than `source`, the voltage at the source")
        if self.load < 0.25 * self.source:
            raise ValueError("load: at least a quarter of `source`; the voltage at the load, not the drop")
        return self


TABLES = (Circuit, Bonding, Insulation, VoltageDrop)
