"""The papers about the systems tests: limits, documents, instruments, plan and reports."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from demo_build.evidence_maker.systems_work import CRITICAL, HOLDING, LATE, LEAKED, NOT_TRIED, THIN
from demo_build.evidence_maker.tables import Tool, here, limit_entry, paper, tool

Row = dict[str, object]
SPEC = "SPEC-11"

LIMITS = (
    ("SYS-01", "level at the alarm", 'low = 93\nhigh = 97\nunit = "%"', "2.2"),
    ("SYS-03", "sender off the meter", 'high = 4\nunit = "%"', "2.4"),
    ("SYS-03", "display off the meter", 'high = 4\nunit = "%"', "2.4"),
    ("SYS-04", "test pressure", 'place = "T3"\nlow = 15\nunit = "kPa"', "3.2"),
    ("SYS-04", "test pressure", f'place = "{HOLDING}"\nlow = 15\nunit = "kPa"', "3.2"),
    ("SYS-04", "time under pressure", 'low = 15\nunit = "min"', "3.3"),
    *(("SYS-09", "voltage drop", f'place = "{circuit}"\nhigh = 3\nunit = "%"', "8") for circuit in CRITICAL),
    ("SYS-09", "voltage drop", 'place = "E6"\nhigh = 5\nunit = "%"', "8"),
    ("SYS-06", "pumps that ran", 'low = 3\nunit = "1"', "5.1"),
)
"""Check, quantity, the lines that set it, clause of SPEC-11 A."""

DOCUMENTS = (
    paper(SPEC, "Tests of the systems, EXY 62 demonstration", "A", date(2026, 4, 20)),
    paper("DWG-400", "Fuel system", "B", date(2025, 10, 20), "designer"),
    paper("DWG-402", "Bilge system", "B", date(2025, 11, 3), "designer"),
    paper("DWG-403", "Electric circuits, with their currents", "C", date(2026, 1, 12), "designer"),
    paper("TN-141", "Sender of the starboard fuel tank set again", "1", date(2026, 5, 15)),
    paper("TN-142", "Seal of the saloon door set again", "1", date(2026, 5, 22)),
    paper("TN-143", "Terminal of the engine-room bilge pump made again", "1", date(2026, 5, 26)),
)


def limit_entries() -> list[str]:
    """The entries of hull.toml about the systems."""
    return [limit_entry(check, quantity, lines, SPEC, "A", clause) for check, quantity, lines, clause in LIMITS]


# id, quantity, kind, unit, range, resolution, U, serial, certificate
_INSTRUMENTS: tuple[Tool, ...] = (
    ("FM-01", "volume of fuel", "flow meter, positive displacement", "L", (0, 20000), 0.1, 4.0, "FM-3", "ECL-26-0131"),
    ("PM-01", "pressure", "pressure gauge, digital", "kPa", (0, 60), 0.1, 0.2, "PM-18", "ECL-26-0132"),
    ("PM-02", "pressure", "pressure gauge at the nozzle", "MPa", (0, 1), 0.001, 0.008, "PM-27", "ECL-26-0133"),
    ("MV-01", "volume of water", "measuring vessel", "L", (0, 100), 0.1, 0.4, "MV-2", "ECL-26-0134"),
    ("OM-01", "resistance", "ohmmeter", "ohm", (0, 200), 0.01, 0.03, "OM-40", "ECL-26-0135"),
    ("IM-01", "insulation resistance", "insulation tester", "Mohm", (0, 200), 0.1, 2.5, "IM-11", "ECL-26-0136"),
    ("TP-01", "air temperature", "thermometer, digital probe", "degC", (-10, 60), 0.1, 0.3, "TP-14", "ECL-26-0138"),
    ("VT-01", "voltage", "voltmeter", "V", (0, 60), 0.01, 0.03, "VT-52", "ECL-26-0137"),
    ("VT-02", "voltage", "voltmeter, mains", "V", (50, 600), 0.1, 0.6, "VT-61", "ECL-26-0139"),
    ("AM-01", "current", "clamp ammeter", "A", (0, 200), 0.1, 0.3, "AM-07", "ECL-26-0140"),
)  # fmt: skip


def instruments() -> tuple[Instrument, ...]:
    """Flow meter, gauges, vessel and the meters of the electrician."""
    return tuple(tool(values, date(2026, 2, 10)) for values in _INSTRUMENTS)


_PLANNED = (
    ("fuel alarm at both tanks", "SYS-01", "fuel_fills", f"{SPEC} A 2.2", "filled from empty through a meter"),
    ("vents while filling", "SYS-02", "fuel_fills", f"{SPEC} A 2.3", "watched the whole time"),
    ("sender and display", "SYS-03", "sender_readings", f"{SPEC} A 2.4", "beside the meter, at nine volumes"),
    ("tanks under pressure", "SYS-04", "pressure_tests", f"{SPEC} A 3", "air, gauge read after half an hour"),
    ("doors, hatches and windows", "SYS-05", "hose_tests", f"{SPEC} A 4", "jet of a hose"),
    ("bilge pumps", "SYS-06", "bilge_pumps", "DWG-402 B", "caught at the outlet"),
    ("bonding of fittings and seacocks", "SYS-07", "bonding", f"{SPEC} A 6", "ohmmeter, before she is launched"),
    ("insulation", "SYS-08", "insulation", f"{SPEC} A 7", "insulation tester"),
    ("voltage drop", "SYS-09", "voltage_drop", f"{SPEC} A 8", "voltmeters and clamp, loads running"),
)


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """A line for each test, and one for each bilge alarm, of which one was never tried."""
    lines: list[Row] = []

    def add(what: str, check: str, table: str, requirement: str, method: str, **more: object) -> None:
        row: Row = {"line": f"ITT-{len(lines) + 1:02}", "characteristic": what, "check": check}
        lines.append({**row, "record": f"systems/{table}.csv", "requirement": requirement, "method": method, **more})

    for what, check, table, requirement, method in _PLANNED:
        readings = counted[(f"systems/{table}.csv", "")]
        add(what, check, table, requirement, method, readings=readings)
    for place in ("B-1", "B-2", "B-3", NOT_TRIED):
        what = f"bilge alarm, {place}"
        add(what, "SYS-06", "bilge_alarms", f"{SPEC} A 5.2", "water poured in", place=place, readings=1)
    shared = {"stage": "systems", "point": "monitor", "party": "builder QA"}
    return tuple(Planned.model_validate({"where": here(Planned), **shared, **line}) for line in lines)


_FAILED: tuple[Row, ...] = (
    {
        "found_on": date(2026, 5, 13), "found_by": "SY OD", "check": "SYS-01", "quantity": "level at the alarm",
        "place": LATE, "requirement": f"{SPEC} A 2.2", "as_found": "alarm at 98.2 ± 0.3 %, at most 97 %",
        "correction": "alarm tagged; tank left full, emptied on 2026-05-15", "justification": "TN-141",
        "work": "float of the sender set again in its bracket", "reinspected_on": date(2026, 5, 15),
        "reinspected_by": "QA RT", "cause": "float sat too low on its arm", "closed_on": date(2026, 5, 15),
        "corrective_action": "float set with a gauge block before it is fitted",
    },
    {
        "found_on": date(2026, 5, 18), "found_by": "QA RT", "check": "SYS-05", "quantity": "no water inside",
        "place": LEAKED, "requirement": f"{SPEC} A 4 test: dry by practice",
        "as_found": "a cupful of water at the lower hinge",
        "correction": "dried, door marked", "justification": "TN-142",
        "work": "hinge set in by 1.5 mm, seal set again", "reinspected_on": date(2026, 5, 22),
        "reinspected_by": "QA KL", "cause": "hinge stood proud of its recess", "closed_on": date(2026, 5, 22),
        "corrective_action": "depth of the recess checked before the door is hung",
    },
    {
        "found_on": date(2026, 5, 21), "found_by": "EL MS", "check": "SYS-09", "quantity": "voltage drop",
        "place": THIN, "requirement": f"{SPEC} A 8", "as_found": "4.35 ± 0.15 %, at most 3 %",
        "correction": "circuit switched off", "justification": "TN-143",
        "work": "terminal crimped again, contact cleaned", "reinspected_on": date(2026, 5, 26),
        "reinspected_by": "QA RT", "cause": "crimp with half of its strands", "closed_on": date(2026, 5, 26),
        "corrective_action": "every crimp pulled before it is covered",
    },
)  # fmt: skip


def reports() -> tuple[Nonconformity, ...]:
    """A late alarm, a door that leaked, a circuit that lost too much: each set right and tried again."""
    shared: Row = {"stage": "systems", "attempt": 1, "as_left_attempt": 2, "disposition": "rework"}
    shared |= {"approved_by": "MD", "approver_role": "builder", "other_hulls": "no", "where": here(Nonconformity)}
    return tuple(
        Nonconformity.model_validate({"report": f"NCR-T{number}", **shared, **row})
        for number, row in enumerate(_FAILED, 1)
    )
