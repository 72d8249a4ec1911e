"""A small synthetic boat for the tests aboard. Every instrument has a round U at k = 2, worked with by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.evidence import Evidence
from buildbook.core.hull import Hull, SpecifiedLimit
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, specification

TOOLS = (
    instrument("GG-01", "gas pressure", "mbar", 2.0, range_low=0, range_high=500, resolution=None),
    instrument("GG-02", "gas pressure", "mbar", 0.0, range_low=0, range_high=500, resolution=0.5),
    instrument("TM-01", "air temperature", "degC", 0.3, range_low=-10, range_high=60, resolution=0.01),
    instrument("AI-01", "rudder angle", "deg", 0.5, range_low=-60, range_high=60),
    instrument("LC-01", "mass", "kg", 10.0, range_low=0, range_high=9000),
    instrument("GP-01", "speed over ground", "kn", 0.2, range_low=0, range_high=80),
    instrument("FF-01", "fuel flow", "L/h", 1.0, range_low=0, range_high=900),
    instrument("PM-01", "engine pressure", "kPa", 0.5, range_low=-2, range_high=80),
    instrument("TC-01", "engine temperature", "degC", 1.0, range_low=0, range_high=150),
    instrument("TA-01", "engine speed", "rpm", 5.0, range_low=0, range_high=9000),
    instrument("RC-01", "trip time", "s", 0.02, range_low=0, range_high=5),
)
DELIVERED = date(2026, 6, 5)
HULL = Hull(dates=(("delivered", DELIVERED),), as_of=date(2026, 6, 15), displacement=1200.0)


def aboard(
    tables: Tables | None = None,
    mine: Iterable[SpecifiedLimit] = (),
    unread: Mapping[Any, Any] | None = None,
    hull: Hull = HULL,
    missing: Mapping[Any, str] | None = None,
) -> Evidence:
    """The boat with these tables; a table that is given without rows counts as missing."""
    places = [{"place": f"Y{n}", "name": f"Thing {n}", "kind": "part", "painted": "no"} for n in range(1, 10)]
    base: Tables = {Place: places, Instrument: list(TOOLS)}
    return evidence(
        {**base, **(tables or {})},
        hull=hull,
        specification=specification(*mine),
        unread=unread,
        missing=missing,
    )
