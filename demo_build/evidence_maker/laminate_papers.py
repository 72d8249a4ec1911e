"""The papers about the laminate: limits, documents, instruments, plan and reports."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from demo_build.evidence_maker.laminate_work import BARCOL, BURNED_AGAIN, PARTED, PARTED_ZONE, PLACES, STACKS
from demo_build.evidence_maker.tables import here, paper

Counts = Mapping[tuple[str, str], int]
Row = dict[str, object]
LABORATORY = "Example Calibration Laboratory"

LIMITS = (
    ("LAM-01", "glass content by mass", 'low = 62\nhigh = 74\nunit = "%"', "4.1"),
    ("LAM-01", "glass content by mass", 'place = "L4"\nlow = 60\nhigh = 72\nunit = "%"', "4.1"),
    ("LAM-01", "glass content by mass", 'place = "L6"\nlow = 54\nhigh = 70\nunit = "%"', "4.1"),
    ("LAM-02", "mean glass content", 'low = 64\nhigh = 73\nunit = "%"', "4.2"),
    ("LAM-02", "mean glass content", 'place = "L4"\nlow = 62\nhigh = 71\nunit = "%"', "4.2"),
    ("LAM-02", "mean glass content", 'place = "L6"\nlow = 55\nhigh = 69\nunit = "%"', "4.2"),
    ("LAM-03", "void content", 'high = 2.5\nunit = "%"', "4.4"),
    ("LAM-03", "void content", 'place = "L6"\nhigh = 1.0\nunit = "%"', "4.4"),
    ("LAM-06", "thickness against its own glass", 'low = 92\nhigh = 108\nunit = "%"', "4.6"),
    ("LAM-07", "mean hardness", 'low = 38\nunit = "1"', "5.1"),
    ("LAM-08", "design value", 'condition = "T0-dry"\nlow = 250\nunit = "MPa"', "6.2"),
    ("LAM-08", "design value", 'condition = "F0-dry"\nlow = 330\nunit = "MPa"', "6.2"),
    ("LAM-08", "design value", 'condition = "S-dry"\nlow = 25\nunit = "MPa"', "6.2"),
    ("LAM-09", "change on heating again", 'high = 1\nunit = "mg"', "4.5"),
    ("LAM-11", "area looked at", 'low = 95\nunit = "%"', "7.2"),
    ("LAM-12", "moisture above dry reference", 'high = 5\nunit = "1"', "8.1"),
)
"""Check, quantity, the lines that set it, clause of SPEC-05 D."""


DOCUMENTS = (
    paper("SPEC-05", "Laminate specification, EXY 62 demonstration", "D", date(2025, 6, 30)),
    paper("DWG-201", "Lay-up schedule, hull, deck, bulkheads and small parts", "D", date(2025, 7, 14), "designer"),
    paper("ITP-05", "Inspection and test plan, laminate", "1", date(2025, 8, 11)),
    paper("GF-TDS-02", "Data sheet, chopped strand mat 450 g/m²", "3", date(2024, 11, 4), "glass maker"),
    paper("GF-TDS-10", "Data sheet, biaxial fabric 812 g/m²", "6", date(2025, 1, 20), "glass maker"),
    paper("GF-TDS-11", "Data sheet, quadriaxial fabric 1216 g/m²", "6", date(2025, 1, 20), "glass maker"),
    paper("VE-TDS-04", "Data sheet, vinyl ester infusion resin", "2", date(2025, 3, 17), "resin maker"),
    paper("FO-TDS-60", "Data sheet, cross-linked foam 60 kg/m³", "4", date(2025, 2, 3), "core maker"),
    paper("FO-TDS-80", "Data sheet, cross-linked foam 80 kg/m³", "4", date(2025, 2, 3), "core maker"),
    paper("TN-095", "Coupon C-05: another piece of the same cut-out burned", "1", date(2025, 10, 31)),
    paper("TN-096", "Bulkhead 2 taken out and built again", "1", date(2025, 11, 12)),
)


def _instrument(
    key: str, quantity: str, kind: str, unit: str, span: tuple[float, float], step: float, u: float, **paper: object
) -> Instrument:
    values = {"instrument": key, "quantity": quantity, "type": kind, "unit": unit, "range_low": span[0]}
    rest = {"range_high": span[1], "resolution": step, "uncertainty": u, "coverage": 2.0, "laboratory": LABORATORY}
    dates = {"calibrated": date(2025, 7, 21), "due": date(2026, 7, 21)}
    return Instrument.model_validate({"where": here(Instrument), **values, **rest, **paper, **dates})


def _by(serial: str, number: int) -> Row:
    return {"serial": serial, "certificate": f"ECL-25-{number}"}


def instruments() -> tuple[Instrument, ...]:
    """What the furnace room, the test house and the launching ramp measured with."""
    return (
        _instrument("BA-01", "mass", "analytical balance", "g", (0, 220), 0.0001, 0.0004, **_by("40-771", 1061)),
        _instrument("CA-01", "length", "digital caliper", "mm", (0, 150), 0.01, 0.03, **_by("CA-2205", 1064)),
        _instrument(
            "FT-01", "furnace temperature", "thermocouple in the furnace", "degC", (20, 1100), 1, 4, **_by("FT-3", 1065)
        ),
        _instrument("TM-01", "force", "universal test machine", "N", (100, 100000), 10, 120, **_by("U-100-3", 1066)),
        _instrument("TM-02", "force", "test machine, 5 kN cell", "N", (20, 5000), 1, 8, **_by("U-5-12", 1067)),
        _instrument(
            "UT-02", "laminate thickness", "ultrasonic thickness gauge", "mm", (1, 60), 0.01, 0.12, **_by("E-58", 1069)
        ),
    )


class _Plan:
    def __init__(self, counted: Counts) -> None:
        self.counted = counted
        self.lines: list[Planned] = []

    def add(self, what: str, check: str, file: str, clause: str, method: str, **more: object) -> None:
        """One more line; readings planned are as many as were then taken, except where `readings` says otherwise."""
        readings = self.counted.get((file, str(more.get("place") or "")))
        values = {"line": f"ITL-{len(self.lines) + 1:02}", "stage": "laminate", "characteristic": what, "check": check}
        rest = {"requirement": f"SPEC-05 D {clause}", "method": method, "record": file, "readings": readings}
        row = {"point": "monitor", "party": "builder QA", **values, **rest, **more}
        self.lines.append(Planned.model_validate({"where": here(Planned), **row}))


NAMES = {place.place: place.name[0].lower() + place.name[1:] for place in PLACES}
ZONES = tuple(dict.fromkeys(zone for zone, _ in STACKS))


def plan(counted: Counts) -> tuple[Planned, ...]:
    """The lines of the plan about the laminate."""
    book = _Plan(counted)
    burned = "laminate/burn_off.csv"
    for zone in ZONES:
        book.add(f"glass content, {NAMES[zone]}", "LAM-02", burned, "4.2", "cut-outs burned", place=zone)
    book.add("glass content of every coupon", "LAM-01", burned, "4.1", "ISO 1172, method A")
    for check, what, clause in (
        ("LAM-03", "voids of every coupon", "4.4"),
        ("LAM-05", "residue against the schedule", "4.5"),
        ("LAM-06", "thickness of every coupon", "4.6"),
    ):
        book.add(what, check, burned, clause, "from the same burn", readings=None)
    for opening in (place for place in PLACES if place.kind == "opening"):
        what = f"coupon from the opening {opening.place}"
        book.add(what, "LAM-10", burned, "4.1", "kept when it was cut", place=opening.place, readings=None)
    for zone in ZONES:
        more: Row = {"place": zone}
        if zone == "L1":
            more |= {"point": "hold", "released_on": datetime(2025, 11, 3, 16, 30), "released_by": "QA KL"}
            more |= {"went_on": datetime(2025, 11, 10, 7, 30), "party": "designer"}
        book.add(
            f"plies counted, {NAMES[zone]}",
            "LAM-04",
            "laminate/ply_counts.csv",
            "4.3",
            "two readers, magnifier",
            **more,
        )
    for zone in BARCOL:
        how = "25 readings on the inside"
        book.add(f"hardness, {NAMES[zone]}", "LAM-07", "hardness.csv", "5.1", how, place=zone)
    seen: Row = {"point": "witness", "party": "designer", "notified_on": date(2025, 10, 27), "attended": "waived"}
    book.add("strength of the panel", "LAM-08", "laminate/strength.csv", "6.2", "three series", place="L2", **seen)
    for zone in ("L2", "L3", "L4", PARTED_ZONE):
        what, how = f"core bond, {NAMES[zone]}", "two pieces pulled apart"
        book.add(what, "LAM-11", "laminate/core_bond.csv", "7.1", how, place=zone)
        how = "tapped on a grid of 100 mm"
        book.add(
            f"bond survey, {NAMES[zone]}", "LAM-11", "laminate/bond_survey.csv", "7.2", how, place=zone, readings=1
        )
    for zone in ("L1", "L2", "L3", "L4"):
        book.add(f"thickness grid, {NAMES[zone]}", "LAM-12", "laminate/thickness.csv", "8.2", "pulse-echo", place=zone)
    for zone in ("L1", "L2", "L3"):
        how = "meter against a dry reference, ashore"
        book.add(f"moisture, {NAMES[zone]}", "LAM-12", "moisture.csv", "8.1", how, place=zone)
    return tuple(book.lines)


def _loose(name: str, zone: str, size: str, found: date, tested: date) -> Row:
    """The report of a place where the skin was found off the core and resin injected."""
    return {
        "found_on": found,
        "found_by": "QA RT",
        "stage": "laminate",
        "check": "LAM-11",
        "quantity": "place found open",
        "place": zone,
        "condition": name,
        "attempt": 1,
        "requirement": "SPEC-05 D 7.2",
        "as_found": f"{size}, dull sound, outer skin off the core",
        "correction": "place marked on the skin",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "SPEC-05 D 7.3",
        "work": "drilled at both ends, resin injected under vacuum",
        "reinspected_on": tested,
        "reinspected_by": "QA KL",
        "as_left_attempt": 2,
        "cause": "cuts of the core not filled there",
        "corrective_action": "resin channels of the next hull set closer",
        "closed_on": tested,
        "other_hulls": "no: first hull with this core",
    }


REPORTS: tuple[Row, ...] = (
    {
        "found_on": date(2025, 10, 22),
        "found_by": "LT MR",
        "stage": "laminate",
        "check": "LAM-09",
        "quantity": "change on heating again",
        "place": "L2",
        "condition": BURNED_AGAIN,
        "attempt": 1,
        "requirement": "SPEC-05 D 4.5",
        "as_found": "4.6 mg burned away when it was heated once more, at most 1 mg",
        "correction": "result set aside",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-095",
        "work": "another piece of the same cut-out burned on 2025-10-30, 90 minutes at 625 °C",
        "reinspected_on": date(2025, 10, 30),
        "reinspected_by": "QA KL",
        "as_left_attempt": 2,
        "cause": "crucible taken out after 40 minutes",
        "corrective_action": "time in the furnace written on the sheet",
        "closed_on": date(2025, 10, 31),
        "other_hulls": "no",
    },
    _loose("B-01", "L2", "140 mm × 60 mm", date(2025, 10, 27), date(2025, 11, 3)),
    _loose("B-02", "L2", "90 mm × 70 mm", date(2025, 10, 27), date(2025, 11, 3)),
    _loose("B-03", "L4", "110 mm × 110 mm", date(2025, 10, 29), date(2025, 11, 5)),
    *(
        {
            "found_on": date(2025, 11, 6),
            "found_by": "QA KL",
            "stage": "laminate",
            "check": "LAM-11",
            "quantity": quantity,
            "place": PARTED_ZONE,
            "condition": PARTED,
            "attempt": 1,
            "requirement": asked,
            "as_found": found,
            "correction": "bulkhead 2 marked, nothing fitted to it",
            "disposition": "rework",
            "approved_by": "RB",
            "approver_role": "designer",
            "justification": "TN-096",
            "work": "bulkhead 2 cut out, a new one bonded in; pieces of it burned and pulled apart",
            "reinspected_on": date(2025, 11, 25),
            "reinspected_by": "QA RT",
            "as_left_attempt": 2,
            "replaced_on": date(2025, 11, 20),
            "cause": "core sheet lay in the shop for a week without its film; dust under the skin",
            "corrective_action": "core stays wrapped until it goes under the bag",
            "closed_on": date(2025, 11, 27),
            "other_hulls": "no: the sheets of that week went into this bulkhead only",
        }
        for quantity, found, asked in (
            (
                "share broken in the core",
                "10 % in the core, 90 % between core and skin; more than half in the core",
                "FO-TDS-60 4, the core breaks before its bond",
            ),
            (
                "flatwise strength",
                "0.92 MPa, at least 1.5 MPa, the strength of the core",
                "FO-TDS-60 4, strength across the sheet",
            ),
        )
    ),
)


def reports() -> tuple[Nonconformity, ...]:
    """The reports about the laminate, in order of date."""
    return tuple(
        Nonconformity.model_validate({"where": here(Nonconformity), "report": f"NCR-L{number}", **row})
        for number, row in enumerate(REPORTS, 1)
    )
