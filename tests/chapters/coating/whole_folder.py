"""One small synthetic folder with a row in every table of the coating chapter, near its limits and beyond some.

Every fail has its report and every series its planned number, as decision 2 asks for.
"""

from __future__ import annotations

from typing import Any

from buildbook.chapters.coating.checks.film import NOMINAL, SMALLEST
from buildbook.chapters.coating.checks.laminate import BARCOL, MOISTURE
from buildbook.chapters.coating.checks.preparation import FILM
from buildbook.chapters.coating.records import (
    Appearance,
    Batch,
    Climate,
    Coat,
    Colour,
    CrossCut,
    Effort,
    FilmReading,
    Gloss,
    MetalPart,
    Preparation,
    Product,
    PullOff,
    WaterBreak,
    Window,
)
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Nonconformity, Place, Planned
from buildbook.core.evidence import Evidence
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import Tables, instrument, planned, specification, specified, zone


def _numbered(values: Any, column: str, **cells: Any) -> list[dict[str, Any]]:
    return [
        {"number": number, column: value, "at": f"2026-03-30 09:{number:02}", **cells}
        for number, value in enumerate(values, 1)
    ]


def _step(number: int, where: str, step: str, day: int, hour: int, grit: str | None = None) -> dict[str, Any]:
    start, end = f"2026-03-{day:02} {hour:02}:00", f"2026-03-{day:02} {hour + 1:02}:00"
    row = {"id": f"P-{number:03}", "zone": where, "step": step, "started": start, "finished": end, "grit": grit}
    return {**row, "by": "PT AB"}


def _preparation() -> list[dict[str, Any]]:
    rows = []
    for base, where, day in ((0, "Z1", 2), (10, "Z2", 3)):
        rows += [
            _step(base + 1, where, "wash", day, 8),
            _step(base + 2, where, "de-wax", day, 9),
            _step(base + 3, where, "sand", day, 10, "P80"),
            _step(base + 4, where, "sand", day, 11, "P120"),
            _step(base + 5, where, "sand", day, 12, "P180"),
        ]
    late = [_step(21, "Z2", "sand", 13, 8, "P180"), _step(22, "Z2", "wipe", 13, 9)]
    return [*rows, *late]


def _coat(where: str, layer: int, day: int, product: str, abraded: str | None = None) -> dict[str, Any]:
    start = f"2026-03-{day:02}"
    times = {"mixed": f"{start} 09:40", "started": f"{start} 10:00", "finished": f"{start} 11:00"}
    tins = {"base_batch": f"{product}-B", "hardener_batch": f"{product}-H", "thinner_batch": "T"}
    row = {"coat": f"{where}-{layer}", "zone": where, "layer": layer, "product": product, "abraded": abraded}
    return {**row, **times, **tins, "thinning": 5, "litres": 0.4, "loss": 40, "wet_film": 120, "by": "PT CD"}


COATS = (
    _coat("Z1", 1, 6, "EP"),
    _coat("Z1", 2, 7, "PU"),
    _coat("Z1", 3, 8, "PU"),
    _coat("Z2", 1, 9, "EP"),
    _coat("Z2", 2, 13, "PU", "P180"),  # late, and abraded again
)


def _climate() -> list[dict[str, Any]]:
    """Hourly from before each coat to the end of its first cure; one margin close to its limit."""
    rows = []
    for where, days in (("Z1", (6, 7, 8)), ("Z2", (9, 13))):
        for day in days:
            for hour in (10, 11, 12, 13):
                damp = (where, day, hour) == ("Z1", 7, 12)
                surface = 15.5 if damp else 18.0 + 0.1 * hour
                row = {"zone": where, "at": f"2026-03-{day:02} {hour}:00", "air": 20 if damp else 20 + 0.1 * hour}
                rows.append({**row, "humidity": 60 if damp else 55, "surface": surface})
    return rows


def _products() -> list[dict[str, Any]]:
    limits = {"air_low": 15, "air_high": 30, "surface_low": 15, "surface_high": 30, "humidity_high": 75}
    common = {**limits, "margin_low": 3, "pot_life": 3, "pot_life_at": 20, "first_cure": 2, "volume_solids": 50}
    return [{"product": name, **common, "sheet": f"TDS-{name}", "revision": "1"} for name in ("EP", "PU")]


def _windows() -> list[dict[str, Any]]:
    pairs = (("EP", "PU"), ("PU", "PU"))
    lines = ((10, 16, 72), (20, 8, 48), (30, 4, 36))
    again = {"reopened_by": "abrading", "reopening_grit": "P180 to P240"}
    return [
        {"product": below, "next_product": above, "surface": surface, "shortest": shortest, "longest": longest, **again}
        for below, above in pairs
        for surface, shortest, longest in lines
    ]


def _batches() -> list[dict[str, Any]]:
    rows = [
        {"batch": f"{product}-{letter}", "product": product, "component": component, "expires": "2026-12-01"}
        for product in ("EP", "PU")
        for letter, component in (("B", "base"), ("H", "hardener"))
    ]
    return [*rows, {"batch": "T", "product": "PU", "component": "thinner", "expires": "2026-12-01"}]


INSTRUMENTS = (
    instrument("TH-01", "air temperature", "degC", 0.4),
    instrument("TH-01", "relative humidity", "%", 2.0),
    instrument("ST-01", "surface temperature", "degC", 0.6),
    instrument("SW-01", "time", "s", 0.5),
    instrument("UT-01", "film thickness", "um", 6.0),
    instrument("PO-01", "force", "N", 60.0),
    instrument("GL-01", "gloss", "GU", 1.0),
    instrument("IM-01", "distinctness of image", "1", 2.0),
    instrument("CM-01", "colour", "1", 0.15),
    instrument("CO-01", "conductivity", "uS/cm", 0.3),
    instrument("PG-01", "surface profile", "um", 4.0),
    instrument("MM-01", "moisture", "1", 1.2),
    instrument("BI-01", BARCOL, "1", 1.5),
)

SPECIFICATION = specification(
    specified("COA-02", FILM, "s", 60.0),
    specified("COA-03", "particle size ratio", "1", high=1.55),
    specified("COA-08", NOMINAL, "um", 120.0, 160.0),
    specified("COA-09", "film from litres", "um", 100.0, 200.0),
    specified("COA-10", "pull-off strength", "MPa", 3.5),
    specified("COA-11", "gloss at 60°", "GU", 85.0, condition="high"),
    specified("COA-11", "gloss at 60°", "GU", 60.0, condition="low"),
    specified("COA-12", "distinctness of image", "1", 85.0),
    specified("COA-13", "colour difference", "1", high=1.0),
    specified("COA-14", "surface profile", "um", 45.0, 80.0),
    specified("COA-16", MOISTURE, "1", high=5.0),
    specified("COA-16", BARCOL, "1", 38.0),
)


def _report(number: int, check: str, quantity: str, place: str, **more: Any) -> dict[str, Any]:
    row = {"report": f"NCR-{number:02}", "check": check, "quantity": quantity, "place": place, "attempt": 1}
    closed = {"disposition": "rework", "reinspected_on": "2026-04-05", "closed_on": "2026-04-06"}
    return {**row, "found_on": "2026-04-01", "as_left_attempt": 2, "other_hulls": "no", **closed, **more}


def _films() -> list[dict[str, Any]]:
    good = (130, 128, 126, 132, 129, 127, 131, 133, 125, 129)
    rows = _numbered((100, *good[1:]), "thickness", zone="Z1", attempt=1, extra=False)  # 4 um over the floor of 96
    rows += _numbered((60, *good[1:]), "thickness", zone="Z2", attempt=1, extra=False)
    return rows + _numbered((*good, 128), "thickness", zone="Z2", attempt=2, extra=False)


def _appearance() -> list[dict[str, Any]]:
    image = _numbered((86, 88), "image", zone="Z1", attempt=1, image_method="method B", instrument="IM-01", dust=2)
    peel = {"zone": "Z1", "attempt": 1, "number": 3, "orange_peel": 8, "peel_scale": "panels", "at": "2026-03-30 10:00"}
    dusty = {"zone": "Z2", "attempt": 1, "number": 1, "dust": 9, "at": "2026-03-30 10:00"}
    clean = {"zone": "Z2", "attempt": 2, "number": 1, "dust": 2, "at": "2026-04-05 10:00"}
    return [*image, peel, dusty, clean]


def _colours() -> list[dict[str, Any]]:
    rows = []
    for where, yellow in (("Z1", 2.4), ("Z2", 2.9)):
        for number, (role, b) in enumerate((("reference", 2.0), ("sample", yellow)), 1):
            lab = {"lightness": 93.0, "red_green": -0.9, "yellow_blue": b}
            rows.append({"zone": where, "number": number, "role": role, "at": "2026-03-30 11:00", **lab})
    return rows


PLAN = (
    planned("COA-01", None, "coating/preparation.csv", 12, line="ITP-01"),
    planned("COA-02", None, "coating/water_break.csv", 2, line="ITP-02"),
    planned("COA-03", None, "coating/preparation.csv", 12, line="ITP-03"),
    *(planned(f"COA-0{n}", None, "coating/coats.csv", 5, line=f"ITP-0{n}") for n in (4, 5, 6, 7, 9)),
    *(planned(f"COA-0{n}", None, "coating/climate.csv", 20, line=f"ITP-1{n}") for n in (4, 5, 6, 7)),
    planned("COA-08", "Z1", "coating/film_thickness.csv", 10, line="ITP-20"),
    planned("COA-08", "Z2", "coating/film_thickness.csv", 10, line="ITP-21"),
    planned("COA-10", "Z1", "coating/pull_off.csv", 2, line="ITP-22"),
    planned("COA-10", "Z2", "coating/pull_off.csv", 2, line="ITP-23"),  # never measured
    planned("COA-10", None, "coating/cross_cut.csv", 2, line="ITP-24"),
    planned("COA-11", None, "coating/gloss.csv", 6, line="ITP-25"),
    planned("COA-12", None, "coating/appearance.csv", 4, line="ITP-26"),
    planned("COA-13", None, "coating/colour.csv", 4, line="ITP-27"),
    planned("COA-14", None, "coating/metal_parts.csv", 1, line="ITP-28"),
    planned("COA-15", None, "coating/effort.csv", 2, line="ITP-29"),
    planned("COA-16", None, "moisture.csv", 4, line="ITP-30"),
    planned("COA-16", None, "hardness.csv", 4, line="ITP-31"),
)

ROWS: Tables = {
    Place: [zone(area=2.0), zone("Z2", visibility="low", area=2.0), zone("M1", kind="part", substrate="steel")],
    Instrument: INSTRUMENTS,
    Planned: PLAN,
    Nonconformity: [
        _report(1, "COA-08", SMALLEST, "Z2"),
        _report(2, "COA-02", FILM, "Z2"),
        _report(3, "COA-12", "dust inclusions", "Z2"),
        _report(4, "COA-03", "particle size ratio", "Z1", as_left_attempt=None, disposition=None, closed_on=None),
        _report(5, "COA-03", "particle size ratio", "Z2", as_left_attempt=None, disposition=None, closed_on=None),
        _report(6, "COA-10", "cross-cut class", "Z2", condition="cut 1", disposition=None, closed_on=None),
    ],
    Preparation: _preparation(),
    WaterBreak: [
        {"zone": "Z1", "attempt": 1, "watched": 60.3, "held": True, "at": "2026-03-04 08:00"},
        {"zone": "Z2", "attempt": 1, "watched": 22, "held": False, "at": "2026-03-04 09:00"},
        {"zone": "Z2", "attempt": 2, "watched": 75, "held": True, "at": "2026-03-04 12:00"},
    ],
    Product: _products(),
    Window: _windows(),
    Batch: _batches(),
    Coat: COATS,
    Climate: _climate(),
    FilmReading: _films(),
    PullOff: [
        {"specimen": "A-01", "zone": "Z1", "attempt": 1, "dolly": 20, "force": 1130, "fracture": "100 % B"},
        {"specimen": "A-02", "zone": "Z1", "attempt": 1, "dolly": 20, "force": 900, "fracture": "100 % Y"},
    ],
    CrossCut: [
        {"zone": "Z1", "attempt": 1, "number": 1, "rating": 0, "spacing": 2, "film": 110, "scale": "ISO 2409"},
        {"zone": "Z2", "attempt": 1, "number": 1, "rating": 3, "spacing": 2, "film": 110, "scale": "ISO 2409"},
    ],
    Gloss: [
        *_numbered((86, 88), "gloss", zone="Z1", attempt=1, angle=60),
        *[{**row, "number": 3, "angle": 20} for row in _numbered((78,), "gloss", zone="Z1", attempt=1)],
        *_numbered((61, 70), "gloss", zone="Z2", attempt=1, angle=60),
        *[{**row, "number": 3, "angle": 20} for row in _numbered((50,), "gloss", zone="Z2", attempt=1)],
    ],
    Appearance: _appearance(),
    Colour: _colours(),
    MetalPart: [
        {
            "part": "M1",
            "metal": "steel",
            "profile": 47,
            "profile_instrument": "PG-01",
            "rise": 8.3,
            "blank_rise": 0.3,
            "water": 15,
            "patch": 1250,
            "salt_instrument": "CO-01",
            "dust_quantity": 1,
            "dust_size": 3,
        }
    ],
    Effort: [
        {"day": "2026-03-02", "stage": "sand", "people": 6, "hours": 8},
        {"day": "2026-03-03", "stage": "sand", "people": 6, "hours": 8},
    ],
    Moisture: [
        *_numbered((11, 14), "reading", place="Z1", dry_reference=10, instrument="MM-01"),
        *_numbered((11, 12), "reading", place="Z2", dry_reference=10, instrument="MM-01"),
    ],
    Hardness: [
        *_numbered((39, 41), "barcol", place="Z1", attempt=1, instrument="BI-01"),
        *_numbered((44, 46), "barcol", place="Z2", attempt=1, instrument="BI-01"),
    ],
}


def whole() -> Evidence:
    """The folder, read."""
    return evidence(ROWS, specification=SPECIFICATION)
