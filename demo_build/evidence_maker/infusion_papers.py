"""The papers about the infusion: limits, documents, instruments, batches, plan and reports."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime

import numpy as np

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.infusion import records as infusion
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.record import Record
from demo_build.evidence_maker import infusion_work
from demo_build.evidence_maker.infusion_work import DECK, GAPPED, HULL, LEAKED, LID
from demo_build.evidence_maker.tables import Tool, here, limit_entry, paper, tool

Row = dict[str, object]
SPEC = "SPEC-06"
GLASS = "reinforcement"

LIMITS = (
    ("INF-01", "rise of pressure", 'high = 0.5\nunit = "mbar/min"', "3.2"),
    ("INF-02", "largest bag pressure after fill", 'high = 100\nunit = "mbar"', "5.1"),
    ("INF-02", "time under vacuum after gel", 'low = 240\nunit = "min"', "5.3"),
    ("INF-02", "temperature when the vacuum was let go", 'high = 40\nunit = "degC"', "5.3"),
    ("INF-03", "relative humidity", 'high = 65\nunit = "%"', "2.2"),
)
"""Check, quantity, the lines that set it, clause of SPEC-06 B."""

DOCUMENTS = (
    paper(SPEC, "Infusion specification, EXY 62 demonstration", "B", date(2025, 7, 28)),
    paper("ITP-04", "Inspection and test plan, infusion", "1", date(2025, 8, 18)),
    paper("TN-091", "Leak in the bag of the hull found and mended", "1", date(2025, 9, 9)),
    paper("TN-092", "Gap in the infusion log of the deck", "1", date(2025, 9, 18)),
)


def limit_entries() -> list[str]:
    """The entries of hull.toml about the infusion."""
    return [limit_entry(check, quantity, lines, SPEC, "B", clause) for check, quantity, lines, clause in LIMITS]


# id, quantity, kind, unit, range, resolution, U, serial, certificate
_INSTRUMENTS: tuple[Tool, ...] = (
    ("VG-11", "bag pressure", "absolute pressure sensor, logging", "mbar", (0, 1100), 0.1, 1.0, "VG-88", "ECL-25-1081"),
    ("VG-12", "bag pressure", "vacuum gauge, below the barometer", "mbar", (0, 1000), 1, 2.0, "VG-17", "ECL-25-1082"),
    ("VG-13", "barometric pressure", "barometer", "mbar", (900, 1060), 0.1, 0.5, "BM-4", "ECL-25-1083"),
    ("TL-11", "temperature", "thermocouple logger", "degC", (-10, 150), 0.1, 1.0, "TC-33", "ECL-25-1084"),
    ("TL-12", "air temperature", "thermo-hygrometer, logging", "degC", (-10, 60), 0.1, 0.4, "TH-61", "ECL-25-1085"),
    ("TL-12", "relative humidity", "thermo-hygrometer, logging", "%", (5, 95), 0.5, 2.5, "TH-61", "ECL-25-1085"),
    ("BL-11", "mass", "platform scale", "kg", (0, 300), 0.1, 0.2, "PS-300", "ECL-25-1086"),
    ("BL-12", "mass", "bench scale", "kg", (0, 15), 0.001, 0.004, "BS-15", "ECL-25-1087"),
)


def instruments() -> tuple[Instrument, ...]:
    """Vacuum gauges, barometer, thermometers, balances."""
    return tuple(tool(values, date(2025, 7, 21)) for values in _INSTRUMENTS)


# batch, material, kind, made, use before, received, certificate, supplier
_BATCHES = (
    ("GM-25-0311", "M450", GLASS, date(2025, 3, 11), None, date(2025, 7, 7), "CC-25-141", "glass agent 1"),
    ("GQ-25-0417", "QX-1216", GLASS, date(2025, 4, 17), None, date(2025, 7, 21), "CC-25-142", "glass agent 1"),
    ("GB-25-0209", "BX-812", GLASS, date(2025, 2, 9), None, date(2025, 7, 21), "CC-25-143", "glass agent 1"),
    (
        "VR-25-1102", "VE-INF", "resin", date(2025, 6, 30), date(2025, 12, 30), date(2025, 8, 4), "CC-25-144",
        "resin agent 1",
    ),
    (
        "VR-25-1146", "VE-INF", "resin", date(2025, 7, 28), date(2026, 1, 28), date(2025, 8, 25), "CC-25-145",
        "resin agent 1",
    ),
    ("FC-25-0080", "PVC-80", "core", date(2025, 6, 12), None, date(2025, 7, 28), "CC-25-146", "core agent 1"),
    ("FC-25-0061", "PVC-60", "core", date(2025, 6, 16), None, date(2025, 7, 28), "CC-25-147", "core agent 1"),
    (
        "HI-25-0707", "initiator", "hardener", date(2025, 7, 7), date(2026, 1, 7), date(2025, 8, 4), "CC-25-148",
        "resin agent 1",
    ),
)  # fmt: skip
BATCHES = tuple(
    Batch.model_validate(
        {
            **dict(
                zip(
                    ("batch", "material", "kind", "made", "expires", "received", "certificate", "supplier"),
                    row,
                    strict=True,
                )
            ),
            "shelf_life": row[4] is not None,
            "where": here(Batch),
        }
    )
    for row in _BATCHES
)
NAMES = {HULL: "hull", DECK: "deck", LID: "lid of the anchor locker"}


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """Of each part the drop test, the log, the mixes and the areas; then what is read from the same tables."""
    lines: list[Row] = []

    def add(what: str, check: str, file: str, clause: str, method: str, **more: object) -> None:
        row: Row = {"line": f"ITI-{len(lines) + 1:02}", "characteristic": what, "check": check, "record": file}
        lines.append({**row, "requirement": f"{SPEC} B {clause}", "method": method, **more})

    for part, name in NAMES.items():
        for what, check, file, clause, how in (
            ("drop test before resin", "INF-01", "infusion/drop_tests.csv", "3.2", "pump shut off, read to the end"),
            ("vacuum and temperatures", "INF-02", "infusion/log.csv", "5.1", "logger, bag-up to cool-down"),
            ("mixes weighed", "INF-05", "infusion/mixes.csv", "4.2", "two balances"),
            ("areas and cores", "INF-06", "infusion/areas.csv", "6.1", "from the drawing"),
        ):
            more: Row = {"place": part, "readings": counted[(file, part)]}
            if part == HULL and check == "INF-01":
                more |= {"point": "hold", "released_on": datetime(2025, 9, 9, 8, 50), "released_by": "QA KL"}
                more |= {"went_on": datetime(2025, 9, 9, 9, 0)}
            add(f"{what}, {name}", check, file, clause, how, **more)
    for what, check, file, clause, how in (
        ("shop and mould", "INF-03", "infusion/log.csv", "2.1", "same log"),
        ("resin when mixed", "INF-03", "infusion/mixes.csv", "2.3", "thermometer in the mix"),
        ("clock of every mix", "INF-04", "infusion/mixes.csv", "4.4", "beaker beside the mould"),
        ("resin used", "INF-06", "infusion/mixes.csv", "6.1", "same weighings, left-over taken off"),
        ("hottest place", "INF-07", "infusion/log.csv", "5.2", "same log"),
        ("batches of every part", "INF-08", "infusion/batches.csv", "1.3", "labels read"),
        ("time to fill", "INF-09", "infusion/infusions.csv", "6.2", "clock, against Darcy's law"),
    ):
        add(what, check, file, clause, how, readings=counted[(file, "")])
    shared = {"stage": "infusion", "point": "monitor", "party": "builder QA"}
    return tuple(Planned.model_validate({"where": here(Planned), **shared, **line}) for line in lines)


_REPORTS: tuple[Row, ...] = (
    {
        "found_on": date(2025, 9, 9),
        "found_by": "LT MR",
        "check": "INF-01",
        "quantity": "rise of pressure",
        "place": LEAKED,
        "attempt": 1,
        "requirement": f"{SPEC} B 3.2",
        "as_found": "1.26 mbar/min over the last 15 min of 30, at most 0.5 mbar/min",
        "correction": "no resin mixed; leak looked for with a listening probe",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-091",
        "work": "air let in at 07:25, seam at the port chine taped anew, pump on at 07:40, test made again at 08:15",
        "reinspected_on": date(2025, 9, 9),
        "reinspected_by": "QA KL",
        "as_left_attempt": 2,
        "cause": "glass thread across the sealing tape",
        "corrective_action": "flange wiped and looked at along its whole length before the tape is laid",
        "closed_on": date(2025, 9, 9),
        "other_hulls": "no",
    },
    {
        "found_on": date(2025, 9, 17),
        "found_by": "QA KL",
        "check": "INF-02",
        "quantity": "longest stretch without a pressure reading",
        "place": GAPPED,
        "attempt": 1,
        "requirement": f"{SPEC} B 5.1",
        "as_found": "no reading from 12:25 to 13:55 (90 min), after gel; at most 15 min",
        "correction": "logger started again at 13:55; bag at 37 mbar as before",
        "disposition": "use as is",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-092",
        "work": "44.1 of 46.2 m² tapped on 2025-10-29: B-03 found open, see NCR-L4, injected; nothing else found",
        "reinspected_on": date(2025, 11, 5),
        "reinspected_by": "QA KL",
        "cause": "memory of the logger full",
        "corrective_action": "memory emptied the evening before",
        "closed_on": date(2025, 11, 6),
        "other_hulls": "no",
    },
)


def reports() -> tuple[Nonconformity, ...]:
    """A bag that leaked and was mended, and a gap in a log."""
    return tuple(
        Nonconformity.model_validate(
            {"where": here(Nonconformity), "report": f"NCR-I{number}", "stage": "infusion", **row}
        )
        for number, row in enumerate(_REPORTS, 1)
    )


def tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], tuple[Record, ...]]:
    """What stands in the tables of the infusion."""
    return {
        infusion.Infusion: infusion_work.infusions(),
        infusion.DropReading: infusion_work.drop_tests(),
        infusion.LogReading: infusion_work.log(stream(70)),
        infusion.Mix: infusion_work.mixes(),
        infusion.ResinSheet: infusion_work.sheets(),
        infusion.Area: infusion_work.areas(),
        infusion.BatchUsed: infusion_work.batches_used(),
    }
