"""The papers about balance, room, drive and trial: limits, documents, instruments, plan and reports."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from demo_build.evidence_maker.drive_work import UNBALANCED
from demo_build.evidence_maker.propeller_work import DRAWING, PORT, STARBOARD
from demo_build.evidence_maker.tables import Tool, here, limit_entry, paper, tool

Row = dict[str, object]
TRIAL = "SPEC-09"

LIMITS = (
    ("PRO-12", "balance grade", 'high = 2.5\nunit = "mm/s"', DRAWING, "B", "note 6"),
    ("PRO-16", "apparent slip", 'condition = "full"\nlow = 10\nhigh = 20\nunit = "%"', TRIAL, "A", "3.2"),
)
"""Check, quantity, the lines that set it, document, revision, clause."""

DOCUMENTS = (
    paper(
        "DWG-300",
        "Shaft lines, gearboxes and tunnels, with the figures of the hull",
        "C",
        date(2025, 9, 30),
        "designer",
    ),
    paper(TRIAL, "Sea trial, EXY 62 demonstration", "A", date(2026, 4, 27)),
    paper("TN-098", "Propeller P2: balanced again", "1", date(2026, 3, 6)),
)


def limit_entries() -> list[str]:
    """The entries of hull.toml about balance and slip."""
    return [limit_entry(*entry) for entry in LIMITS]


# id, quantity, kind, unit, range, resolution, U, serial, certificate
_INSTRUMENTS: tuple[Tool, ...] = (
    ("BS-01", "residual mass", "balancing stand, rollers", "g", (0, 500), 0.1, 0.8, "BS-7", "ECL-25-1304"),
    ("BM-01", "residual mass", "balancing machine, two planes", "g", (0, 200), 0.01, 0.12, "BM-22", "ECL-25-1306"),
    ("TS-01", "distance", "telescopic gauge", "mm", (50, 400), 0.5, 1.0, "TS-14", "ECL-25-1310"),
    ("GP-01", "speed over ground", "satellite receiver", "kn", (0, 60), 0.1, 0.2, "GP-331", "ECL-25-1312"),
    ("TA-01", "shaft speed", "optical speed meter", "rpm", (30, 10000), 1, 2.0, "TA-09", "ECL-25-1314"),
)  # fmt: skip


def instruments() -> tuple[Instrument, ...]:
    """Balancing stand and machine, gauge, receiver, speed meter."""
    return tuple(tool(values, date(2025, 12, 2)) for values in _INSTRUMENTS)


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """Balance and room of both propellers, their match, and the runs on trial."""
    lines: list[Row] = []

    def add(what: str, check: str, file: str, requirement: str, method: str, **more: object) -> None:
        row: Row = {"line": f"ITD-{len(lines) + 1:02}", "characteristic": what, "check": check, "record": file}
        lines.append({**row, "requirement": requirement, "method": method, **more})

    for place, side in ((PORT, "port"), (STARBOARD, "starboard")):
        for what, check, file, asked, how in (
            ("balance", "PRO-12", "propeller/balance.csv", f"{DRAWING} B", "at rest, then in two planes"),
            ("room at the blade tips", "PRO-15", "propeller/clearances.csv", "DWG-300 C", "gauge in the tunnel"),
            ("shaft speed", "PRO-16", "trial/shafts.csv", f"{TRIAL} A 3", "speed meter at the coupling"),
        ):
            add(f"{what}, {side}", check, file, asked, how, place=place, readings=counted[(file, place)])
    for what, check in (("blades beside each other", "PRO-13"), ("port beside starboard", "PRO-14")):
        add(what, check, "propeller/pitch.csv", f"{DRAWING} B", "from the pitch bench")
    file = "trial/runs.csv"
    told = {"point": "witness", "party": "client", "notified_on": date(2026, 5, 11), "attended": "attended"}
    what, how = "runs there and back", "satellite receiver, both courses"
    add(what, "PRO-16", file, f"{TRIAL} A 2", how, readings=counted[(file, "")], **told)
    shared = {"stage": "propellers", "point": "monitor", "party": "builder QA"}
    return tuple(Planned.model_validate({"where": here(Planned), **shared, **line}) for line in lines)


_FAILED = (
    ("unbalance at the blade tip", "6.8 g at the blade tip, class I allows 3.2 g at 1127 r/min"),
    ("balance grade", "G 4.9 at 1127 r/min, at most G 2.5"),
)


def reports() -> tuple[Nonconformity, ...]:
    """One propeller out of balance as received: two figures of one balancing, two reports."""
    shared: Row = {
        "found_on": date(2026, 3, 4),
        "found_by": "PS TW",
        "stage": "propellers",
        "check": "PRO-12",
        "place": UNBALANCED,
        "condition": "static",
        "attempt": 1,
        "requirement": f"{DRAWING} B",
        "correction": "propeller marked, not released",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-098",
        "work": "back of the heavy blade ground near the tip after blade B3 was pressed; balanced at rest again",
        "reinspected_on": date(2026, 3, 6),
        "reinspected_by": "QA KL",
        "as_left_attempt": 2,
        "cause": "blade bent in transport",
        "corrective_action": "blades packed in a frame of their own",
        "closed_on": date(2026, 3, 6),
        "other_hulls": "no",
    }
    return tuple(
        Nonconformity.model_validate(
            {"where": here(Nonconformity), "report": f"NCR-D{number}", "quantity": what, "as_found": found} | shared
        )
        for number, (what, found) in enumerate(_FAILED, 1)
    )
