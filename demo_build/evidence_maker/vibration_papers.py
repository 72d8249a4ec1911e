"""The papers about the vibration survey: plan, document, instrument, report."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.chapters.vibration.checks.sweep import CLEAR
from demo_build.evidence_maker import sound_work
from demo_build.evidence_maker.tables import here, limit_entry, paper
from demo_build.evidence_maker.vibration_work import JOBS, LOOSE, PLACES, PLAN, SHORT

Row = dict[str, object]
FILE, SWEEP, SOUND = "vibration/records.csv", "vibration/sweep.csv", "sound/levels.csv"
SWEPT = ("V1", "V4")
DOCUMENTS = (
    paper(PLAN, "Vibration plan, EXY 62 demonstration", "A", date(2026, 4, 27)),
    paper("TN-099", "Vibration in the guest cabin, port", "1", date(2026, 5, 22), "client"),
    paper("TN-100", "Vibration record A-13 made again", "1", date(2026, 5, 21)),
)
LIMITS = (
    ("VIB-06", "level at blade rate", 'place = "V4"\nhigh = 5.0\nunit = "mm/s"', "4.2"),
    ("VIB-06", "level at blade rate", 'place = "V5"\nhigh = 5.0\nunit = "mm/s"', "4.2"),
)
"""Check, quantity, the lines that set it, clause of the vibration plan."""


def rule_entry() -> str:
    """The rule of hull.toml about the speeds she is used at."""
    said = f'rule = "{CLEAR}"\nset_by = "builder"\ndocument = "{PLAN}"\nrevision = "A"\nclause = "4.4"\n'
    return f'[[rules]]\ncheck = "VIB-07"\n{said}'


def limit_entries() -> list[str]:
    """The limits of hull.toml about vibration."""
    return [limit_entry(check, quantity, lines, PLAN, "A", clause) for check, quantity, lines, clause in LIMITS]


WITHOUT_A_NUMBER = (
    ("VIB-03", "every record"),
    ("VIB-04", "conditions on trial"),
    ("VIB-05", "tones and what makes them"),
    ("VIB-06", "level at blade rate and its multiples"),
    ("VIB-08", "port against starboard"),
    ("VIB-09", "levels before and after a change"),
)


_CHAINS: tuple[Row, ...] = (
    {
        "instrument": "VM-01", "quantity": "acceleration", "type": "accelerometer and recorder", "serial": "VM-12",
        "certificate": "ECL-26-0118", "unit": "%", "resolution": 0.1, "uncertainty": 3.0,
    },
    {
        "instrument": "VM-02", "quantity": "weighted vibration", "type": "vibration meter with display",
        "serial": "VM-31", "certificate": "ECL-26-0121", "unit": "mm/s", "range_low": 0.05, "range_high": 50.0,
        "resolution": 0.01, "uncertainty": 0.06,
    },
    {
        "instrument": "SL-01", "quantity": "sound level", "type": "sound level meter, class 1", "serial": "SL-17",
        "certificate": "ECL-26-0124", "unit": "dB", "range_low": 25.0, "range_high": 130.0, "resolution": 0.1,
        "uncertainty": 0.6,
    },
)  # fmt: skip


def instruments() -> tuple[Instrument, ...]:
    """The measuring chain, whose uncertainty its certificate gives in per cent, and the two meters."""
    rest: Row = {"where": here(Instrument), "laboratory": "Example Calibration Laboratory", "coverage": 2.0}
    rest |= {"calibrated": date(2026, 1, 20), "due": date(2027, 1, 20)}
    return tuple(Instrument.model_validate({**row, **rest}) for row in _CHAINS)


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """Every position, as the vibration plan names it."""
    others = {"V4": "VIB-02", "V5": "VIB-02", "V8": "VIB-10", "V9": "VIB-10"}
    lines: list[Row] = []
    for place in PLACES:
        check = others.get(place.place, "VIB-01")
        row = {
            "line": f"ITV-{len(lines) + 1:02}",
            "characteristic": f"vibration, {place.name[0].lower()}{place.name[1:]}",
        }
        lines.append({**row, "check": check, "place": place.place, "readings": counted[(FILE, place.place)]})
    for swept in SWEPT:
        row = {"line": f"ITV-{len(lines) + 1:02}", "characteristic": "level over speed", "check": "VIB-07"}
        lines.append({**row, "record": SWEEP, "place": swept, "readings": counted[(SWEEP, swept)]})
    for heard in dict.fromkeys(level.place for level in sound_work.levels()):
        row = {"line": f"ITV-{len(lines) + 1:02}", "characteristic": "sound level", "check": "VIB-11"}
        lines.append({**row, "record": SOUND, "place": heard, "readings": counted[(SOUND, heard)]})
    shared: Row = {"stage": "trial", "record": FILE, "requirement": f"{PLAN} A", "method": "raw record of 64 s"}
    methods = {SWEEP: "meter read at every step of speed", SOUND: "three readings of 30 s with a class 1 meter"}
    shared |= {"point": "witness", "party": "client", "notified_on": date(2026, 5, 11), "attended": "attended"}
    for check, words in WITHOUT_A_NUMBER:
        lines.append({"line": f"ITV-{len(lines) + 1:02}", "characteristic": words, "check": check})
    rows = [{**shared, **line} for line in lines]
    return tuple(
        Planned.model_validate(
            {"where": here(Planned), **row, "method": methods.get(str(row["record"]), row["method"])}
        )
        for row in rows
    )


def reports() -> tuple[Nonconformity, ...]:
    """One cabin shakes more than was agreed, less after a cure, and the client accepts that; a record made again."""
    (job,) = (one for one in JOBS if one.position == SHORT and one.attempt == 1)
    row: Row = {
        "report": "NCR-V1",
        "found_on": date(2026, 5, 20),
        "found_by": "TR HB",
        "stage": "trial",
        "check": "VIB-01",
        "quantity": "weighted vibration",
        "place": SHORT,
        "condition": f"{job.axis}, cruise, run {job.run}",
        "attempt": 1,
        "requirement": f"{PLAN} A",
        "as_found": "2.86 mm/s, at most 2.0 mm/s",
        "correction": "engine mounts checked",
        "disposition": "use as is",
        "approved_by": "CL",
        "approver_role": "client",
        "justification": "TN-099",
        "work": "a loose clamp of the exhaust pipe tightened before the run back",
        "reinspected_on": date(2026, 5, 20),
        "reinspected_by": "TR HB",
        "as_left_attempt": 2,
        "cause": "the loose clamp for a part; what is left is strongest at blade rate",
        "corrective_action": "clamps checked before the trial",
        "closed_on": date(2026, 5, 26),
        "other_hulls": "no",
    }
    (cured,) = (one for one in JOBS if one.position == SHORT and one.attempt == 2)
    left: Row = {
        **row,
        "report": "NCR-V3",
        "condition": f"{cured.axis}, cruise, run {cured.run}",
        "attempt": 2,
        "as_found": "2.48 mm/s, at most 2.0 mm/s",
        "correction": None,
        "work": None,
        "reinspected_on": None,
        "reinspected_by": None,
        "as_left_attempt": None,
        "cause": "strongest at blade rate; whether the cabin sole answers it was not looked into",
        "corrective_action": "a stiffener below the sole is drawn for the next hull",
    }
    (lost,) = (number for number, one in enumerate(JOBS, 1) if (one.position, one.attempt) == (LOOSE, 1))
    again: Row = {
        **row,
        "report": "NCR-V2",
        "check": "VIB-03",
        "quantity": "quality of the record",
        "place": LOOSE,
        "condition": f"A-{lost:02}, vertical, cruise, run R3",
        "as_found": "the sensor was lost for 1.5 s: it had come off its plate",
        "correction": "record set aside",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-100",
        "work": "sensor fixed again, record made anew on the run back",
        "reinspected_on": date(2026, 5, 20),
        "reinspected_by": "TR HB",
        "as_left_attempt": 2,
        "cause": "plate not pressed down",
        "corrective_action": "sensor pulled by hand before each record",
        "closed_on": date(2026, 5, 21),
    }
    return tuple(Nonconformity.model_validate({"where": here(Nonconformity), **one}) for one in (row, again, left))
