"""The papers about shafts and rudders: limits, documents, instruments, plan, the report of the bowed shaft."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

import numpy as np

from buildbook.chapters.shafting.aft_records import Bearing, RudderStock
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft, ShaftEnd
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.record import Record
from demo_build.evidence_maker import shafting_work
from demo_build.evidence_maker.shafting_work import BENT, DRAWING, PORT, RUDDERS, STARBOARD
from demo_build.evidence_maker.tables import Tool, here, limit_entry, paper, tool

Row = dict[str, object]
LINES = "SPEC-10"

LIMITS = (
    ("SHA-03", "run-out per metre", 'high = 0.05\nunit = "mm/m"', LINES, "A", "3"),
    ("SHA-04", "taper", 'low = 62.35\nhigh = 62.65\nunit = "mm/m"', DRAWING, "B", "note 3"),
    ("SHA-06", "bearing clearance", 'low = 0.15\nhigh = 0.30\nunit = "mm"', LINES, "A", "4.1"),
    ("SHA-07", "bearing spacing", 'high = 2250\nunit = "mm"', LINES, "A", "4.2"),
    ("SHA-09", "side pressure in the slot", 'high = 60\nunit = "MPa"', RUDDERS, "A", "note 2"),
)
"""Check, quantity, the lines that set it, document, revision, clause."""

DOCUMENTS = (
    paper(DRAWING, "Shafts, tapers, couplings and struts", "B", date(2025, 10, 24), "designer"),
    paper(RUDDERS, "Rudders, stocks and their welds", "A", date(2025, 11, 14), "designer"),
    paper(LINES, "Shaft lines, EXY 62 demonstration", "A", date(2026, 1, 12)),
    paper("PT-118", "Rudder R1: welds looked at with dye penetrant", "1", date(2026, 3, 19)),
    paper("TN-110", "Shaft SH2: straightened", "1", date(2026, 4, 21)),
)


def limit_entries() -> list[str]:
    """The entries of hull.toml about run-out, taper, bearings and rudder stocks."""
    return [limit_entry(*entry) for entry in LIMITS]


# id, quantity, kind, unit, range, resolution, U, serial, certificate
_INSTRUMENTS: tuple[Tool, ...] = (
    ("MI-11", "diameter", "outside micrometer", "mm", (50, 75), 0.01, 0.02, "MI-52", "ECL-26-0107"),
    ("DI-11", "run-out", "dial indicator", "mm", (-5, 5), 0.01, 0.02, "DI-31", "ECL-26-0109"),
    ("FG-11", "gap", "feeler gauges", "mm", (0.03, 1.0), 0.01, 0.02, "FG-08", "ECL-26-0111"),
    ("CL-11", "length", "calliper", "mm", (0, 300), 0.01, 0.04, "CL-77", "ECL-26-0113"),
    ("RG-11", "radius", "radius gauges", "mm", (0.5, 7), 0.1, 0.2, "RG-03", "ECL-26-0115"),
    ("TP-11", "length", "steel tape", "mm", (0, 5000), 1, 2.0, "TP-19", "ECL-26-0117"),
)  # fmt: skip


def instruments() -> tuple[Instrument, ...]:
    """Micrometer, dial indicator, feelers, calliper, radius gauges, tape."""
    return tuple(tool(values, date(2026, 1, 20)) for values in _INSTRUMENTS)


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """Ends, run-out and coupling of both shafts, their bearings, the stocks of the rudders."""
    lines: list[Row] = []

    def add(what: str, check: str, file: str, asked: str, how: str, place: str) -> None:
        row: Row = {"line": f"ITS-{len(lines) + 1:02}", "characteristic": what, "check": check, "record": file}
        lines.append({**row, "requirement": asked, "method": how, "place": place, "readings": counted[(file, place)]})

    for place, side in ((PORT, "port"), (STARBOARD, "starboard")):
        for what, check, file, asked, how in (
            ("shaft end and fit of the hub", "SHA-04", "shafting/shaft_ends.csv", f"{DRAWING} B", "gauges, blue"),
            ("run-out", "SHA-03", "shafting/run_out.csv", f"{LINES} A 3", "on two supports, every quarter"),
            ("coupling faces", "SHA-05", "shafting/couplings.csv", f"{LINES} A 5", "feelers, afloat"),
        ):
            add(f"{what}, {side}", check, file, asked, how, place)
    for place, side in (("BE1", "port"), ("BE2", "starboard")):
        file = "shafting/bearings.csv"
        add(f"strut bearing, {side}", "SHA-06", file, f"{LINES} A 4", "feelers with the shaft in it", place)
    for place, side in (("R1", "port"), ("R2", "starboard")):
        file = "shafting/rudder_stocks.csv"
        add(f"slot of the stock and its welds, {side}", "SHA-09", file, f"{RUDDERS} A", "before closing", place)
    shared = {"stage": "shafts and rudders", "point": "monitor", "party": "builder QA"}
    return tuple(Planned.model_validate({"where": here(Planned), **shared, **line}) for line in lines)


def reports() -> tuple[Nonconformity, ...]:
    """One shaft bowed in the middle as received."""
    row: Row = {
        "report": "NCR-S1",
        "found_on": date(2026, 4, 15),
        "found_by": "ME OB",
        "stage": "shafts and rudders",
        "check": "SHA-03",
        "quantity": "run-out per metre",
        "place": BENT,
        "attempt": 1,
        "requirement": f"{LINES} A 3",
        "as_found": "0.41 mm in the middle, 0.186 mm for each metre; at most 0.05 mm",
        "correction": "shaft marked, not fitted",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-110",
        "work": "straightened cold between supports; looked at with dye: no cracks; turned again at every quarter",
        "reinspected_on": date(2026, 4, 22),
        "reinspected_by": "QA KL",
        "as_left_attempt": 2,
        "cause": "carried on two slings without a beam",
        "corrective_action": "shafts travel in a trough",
        "closed_on": date(2026, 4, 22),
        "other_hulls": "no",
    }
    return (Nonconformity.model_validate({"where": here(Nonconformity), **row}),)


def tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of shafts and rudders."""
    return {
        Shaft: shafting_work.shafts(),
        ShaftEnd: shafting_work.shaft_ends(),
        RunOut: shafting_work.run_out(stream(90)),
        CouplingGap: shafting_work.couplings(),
        Bearing: shafting_work.bearings(),
        RudderStock: shafting_work.rudder_stocks(),
    }


DECIMALS: Mapping[type[Record], Mapping[str, int]] = {
    ShaftEnd: {"diameter": 2, "small": 2, "taper": 1, "fillet": 1},
    RunOut: {"reading": 2},
    CouplingGap: {"gap": 2},
    Bearing: {"clearance": 2},
    RudderStock: {"diameter": 2, "slot": 1},
}
