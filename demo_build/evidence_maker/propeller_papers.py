"""The papers about the propellers: documents, instruments, plan and reports."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from buildbook.chapters.propeller.checks.accuracy import CLASS
from buildbook.chapters.propeller.subjects import THIN
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from demo_build.evidence_maker.propeller_blades import DRESSED_THIN
from demo_build.evidence_maker.propeller_work import CORRECTED, DRAWING, PORT, STARBOARD
from demo_build.evidence_maker.tables import here, paper

Row = dict[str, object]
FILE = "propeller/pitch.csv"


DOCUMENTS = (
    paper(DRAWING, "Propellers, 760 x 880 mm, five blades", "B", date(2025, 10, 20), "designer"),
    paper("ITP-06", "Inspection and test plan, propellers", "1", date(2025, 11, 3), "builder"),
    paper("DN-014", "Propeller P1: strength of blade B4 as measured near the tip", "1", date(2026, 3, 5), "designer"),
    paper("TN-097", "Propeller P2: blade B3 corrected near the tip", "1", date(2026, 3, 6), "builder"),
)


def instruments() -> tuple[Instrument, ...]:
    """The pitch bench: a turntable with an encoder, and a height gauge over it."""
    bench = {"instrument": "PB-01", "serial": "PB-3", "laboratory": "Example Calibration Laboratory", "coverage": 2.0}
    dates = {"calibrated": date(2025, 12, 1), "due": date(2026, 12, 1)}
    angle: Row = {"quantity": "angle", "type": "pitch bench, encoder", "unit": "deg", "certificate": "ECL-25-1301"}
    angle |= {"range_low": -360.0, "range_high": 360.0, "resolution": 0.01, "uncertainty": 0.02}
    height: Row = {
        "quantity": "height",
        "type": "pitch bench, height gauge",
        "unit": "mm",
        "certificate": "ECL-25-1301",
    }
    height |= {"range_low": 0.0, "range_high": 400.0, "resolution": 0.01, "uncertainty": 0.04}
    where = {"where": here(Instrument)}
    pitch = tuple(Instrument.model_validate({**where, **bench, **dates, **one}) for one in (angle, height))
    return (*pitch, *_of_the_blades())


_BENCH = "pitch bench, pointer on the reference line"
_TOOLS: tuple[tuple[str, str, str, str, str, float, float, float, float, str], ...] = (
    # id, quantity, what it is, serial, unit, range from, to, step, U, certificate
    ("PB-01", "blade angle", _BENCH, "PB-3", "deg", 0.0, 360.0, 0.01, 0.10, "ECL-25-1301"),
    ("PB-01", "axial position", _BENCH, "PB-3", "mm", 0.0, 400.0, 0.1, 0.3, "ECL-25-1301"),
    ("PB-01", "tip radius", "pitch bench, arm", "PB-3", "mm", 100.0, 700.0, 0.1, 0.2, "ECL-25-1301"),
    ("MC-01", "blade thickness", "micrometer with a deep frame", "M-4417", "mm", 0.0, 50.0, 0.01, 0.02, "ECL-25-1324"),
    ("FR-01", "section length", "flexible steel rule", "FR-12", "mm", 0.0, 500.0, 0.5, 1.0, "ECL-25-1325"),
    ("DG-01", "cup drop", "depth gauge on a straight edge", "D-0083", "mm", 0.0, 30.0, 0.05, 0.1, "ECL-25-1326"),
    ("RT-01", "roughness", "portable roughness tester", "RT-2291", "um", 0.05, 40.0, 0.1, 0.3, "ECL-25-1327"),
)


def _of_the_blades() -> tuple[Instrument, ...]:
    """What the shop measured with beside the pitch."""
    names = ("instrument", "quantity", "type", "serial", "unit", "range_low", "range_high", "resolution", "uncertainty")
    shared = {"laboratory": "Example Calibration Laboratory", "coverage": 2.0}
    dates = {"calibrated": date(2025, 12, 1), "due": date(2026, 12, 1)}
    return tuple(
        Instrument.model_validate(
            {"where": here(Instrument), **dict(zip(names, tool, strict=False)), "certificate": tool[-1]}
            | shared
            | dates
        )
        for tool in _TOOLS
    )


def plan(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """Both propellers on the bench, before they are fitted."""
    lines: list[Row] = []
    for place, side in ((PORT, "port"), (STARBOARD, "starboard")):
        readings = counted[(FILE, place)]
        lines.append({"characteristic": f"pitch at every radius, {side}", "check": "PRO-02", "place": place})
        lines[-1] |= {"readings": readings, "point": "hold" if place == STARBOARD else "monitor"}
    lines[-1] |= {"released_on": "2026-03-06 16:00", "released_by": "QA KL", "went_on": "2026-03-09 08:00"}
    for check, what in (
        ("PRO-01", "pitch between stations"),
        ("PRO-03", "mean pitch of every blade"),
        ("PRO-04", "mean pitch of both propellers"),
        ("PRO-05", "accuracy class of both propellers"),
    ):
        lines.append({"characteristic": what, "check": check, "point": "monitor"})
    lines += _blade_lines(counted)
    shared = {
        "stage": "propellers",
        "requirement": f"{DRAWING} B",
        "method": "pitch bench, eight radii",
        "record": FILE,
    }
    shared |= {"party": "builder QA"}
    return tuple(
        Planned.model_validate({"where": here(Planned), "line": f"ITR-{number:02}", **shared, **line})
        for number, line in enumerate(lines, 1)
    )


_STANDING: Row = {"record": "propeller/blades.csv", "method": "pitch bench and roughness tester, every blade"}
_ACROSS: Row = {"record": "propeller/blade_sections.csv", "method": "micrometer and steel rule, eight radii"}
_BESIDE_THE_PITCH: tuple[tuple[str, str, Row], ...] = (
    ("PRO-06", "angles from blade to blade", _STANDING),
    ("PRO-07", "thickness at every radius", _ACROSS),
    ("PRO-08", "length at every radius", _ACROSS),
    ("PRO-09", "rake and track", _STANDING),
    ("PRO-10", "radius of every tip", _STANDING),
    ("PRO-11", "surface of every blade", _STANDING),
)


def _blade_lines(counted: Mapping[tuple[str, str], int]) -> list[Row]:
    """What the blades are measured for beside their pitch, of each propeller."""
    return [
        {"characteristic": f"{what}, {side}", "check": check, "place": place, "point": "monitor"}
        | how
        | {"readings": counted[(str(how["record"]), place)]}
        for check, what, how in _BESIDE_THE_PITCH
        for place, side in ((PORT, "port"), (STARBOARD, "starboard"))
    ]


_FAILED = (
    ("PRO-01", "local pitch", "3.6 % above the design pitch between stations near the tip, class I allows 2 %"),
    ("PRO-02", "mean pitch at a radius", "3.6 % above the design pitch at 0.95 R, class I allows 1.5 %"),
    ("PRO-03", "mean pitch of a blade", "1.1 % above the design pitch, class I allows 1 %"),
)


def reports() -> tuple[Nonconformity, ...]:
    """One blade too steep near its tip: three levels of pitch, three reports. Another too thin there: two."""
    return (*_too_steep(), *_too_thin())


def _too_steep() -> tuple[Nonconformity, ...]:
    place, blade = CORRECTED
    shared: Row = {
        "found_on": date(2026, 3, 3),
        "found_by": "PS TW",
        "stage": "propellers",
        "place": place,
        "condition": blade,
        "attempt": 1,
        "requirement": f"{DRAWING} B",
        "correction": "propeller marked, not released",
        "disposition": "rework",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-097",
        "work": "blade B3 pressed back at 0.8 R and beyond on blocks, then dressed; read again at every radius",
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
            {
                "where": here(Nonconformity),
                "report": f"NCR-P{number}",
                "check": check,
                "quantity": what,
                "as_found": found,
            }
            | shared
        )
        for number, (check, what, found) in enumerate(_FAILED, 1)
    )


def _too_thin() -> tuple[Nonconformity, ...]:
    """One blade dressed too far near its tip; the designer takes it as it is, and so the agreed class is missed."""
    place, blade = DRESSED_THIN
    shared: Row = {
        "found_on": date(2026, 3, 2),
        "found_by": "PS TW",
        "stage": "propellers",
        "place": place,
        "attempt": 1,
        "requirement": f"{DRAWING} B",
        "correction": "propeller marked, not released",
        "disposition": "use as is",
        "approved_by": "RB",
        "approver_role": "designer",
        "justification": "DN-014",
        "reinspected_on": date(2026, 3, 5),
        "reinspected_by": "QA KL",
        "cause": "dressed by hand after milling, near the tip without a template",
        "corrective_action": "template for the last fifth of the blade",
        "closed_on": date(2026, 3, 5),
        "other_hulls": "no",
    }
    strong = (
        "strength worked out by the designer (DN-014): at 0.95 R the blade needs 5.0 mm and has 5.27 mm. Blade stamped "
        "NCR-P4, propeller released with this concession"
    )
    below = (
        "the same blade as in NCR-P4 (DN-014): all else of this propeller meets class I, but it is not called a "
        "class I propeller"
    )
    thin = "0.13 mm under the design at 0.95 R, class I allows 1.5 % of 5.4 mm, which is 0.08 mm"
    found: tuple[Row, ...] = (
        {"check": "PRO-07", "quantity": THIN, "condition": blade, "as_found": thin, "work": strong},
        {
            "check": "PRO-05",
            "quantity": CLASS,
            "as_found": f"class I was agreed; blade {blade} is {thin}",
            "work": below,
        },
    )
    return tuple(
        Nonconformity.model_validate({"where": here(Nonconformity), "report": f"NCR-P{number}"} | one | shared)
        for number, one in enumerate(found, len(_FAILED) + 1)
    )
