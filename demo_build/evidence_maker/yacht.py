"""The invented yacht herself: hull.toml, her places, her number, the documents and instruments that are named."""

from __future__ import annotations

from datetime import date

from buildbook.chapters.register.records import NumberSeen
from buildbook.chapters.shared_records import Instrument, Place
from demo_build.evidence_maker import (
    drive_papers,
    infusion_papers,
    laminate_papers,
    shafting_papers,
    systems_papers,
    vibration_papers,
    whole_boat_papers,
)
from demo_build.evidence_maker.tables import here, limit_entry, paper

NUMBER = "XX-EXY00007H526"
LABORATORY = "Example Calibration Laboratory"

HULL_TOML = """\
# Everything in this folder is invented. No yard, yacht, person, product or laboratory in it exists.
as_of = 2026-06-15

[hull]
name = "Specimen"
number = "XX-EXY00007H526"
builder = "Example Yard"
model = "EXY 62 demonstration"
category = "B"
demonstration = "Demonstration: the yacht, her builder and every number in this book are invented."

[dimensions]
# metres and kilograms
length_hull = 18.95
length_waterline = 16.60
beam = 5.10
draught = 1.55
displacement = 34500

[outline]
# metres: x forward of the transom, z above the design waterline, y to starboard of the centreline
profile = [
  [0.00, -0.55], [0.00, 0.36], [-1.28, 0.36], [-1.36, 0.43], [-1.34, 0.50], [0.06, 0.54],
  [0.30, 1.30], [0.52, 1.58], [0.90, 1.66], [2.00, 1.72], [3.20, 1.82], [3.90, 1.96],
  [4.55, 2.02], [4.75, 3.80], [3.00, 3.74], [1.90, 3.70], [1.72, 3.76], [1.95, 3.88],
  [3.20, 4.06], [5.00, 4.22], [6.20, 4.28], [6.08, 4.94], [6.18, 5.06], [6.58, 5.06],
  [7.30, 4.31], [8.60, 4.26], [9.60, 4.14], [10.30, 3.98], [10.90, 3.74], [12.30, 3.02],
  [13.00, 2.74], [13.60, 2.66], [15.00, 2.60], [15.90, 2.48], [16.30, 2.36], [17.40, 2.44],
  [18.50, 2.54], [18.95, 2.56], [18.72, 2.20], [18.20, 1.50], [17.60, 0.85], [17.05, 0.36],
  [16.60, 0.00], [15.90, -0.45], [15.00, -0.78], [13.80, -1.00], [12.00, -1.10], [9.00, -1.08],
  [6.00, -0.96], [3.00, -0.76],
]
plan = [
  [0.00, -2.34], [1.50, -2.46], [4.00, -2.54], [7.00, -2.55], [10.00, -2.51], [12.00, -2.36],
  [14.00, -2.02], [15.60, -1.58], [17.00, -1.02], [18.10, -0.50], [18.70, -0.18], [18.95, 0.00],
  [18.70, 0.18], [18.10, 0.50], [17.00, 1.02], [15.60, 1.58], [14.00, 2.02], [12.00, 2.36],
  [10.00, 2.51], [7.00, 2.55], [4.00, 2.54], [1.50, 2.46], [0.00, 2.34],
]

[dates]
lay_up_started = 2025-08-18
moulded = 2025-09-26
paint_started = 2026-03-05
launched = 2026-05-12
delivered = 2026-06-05

[machinery]
engines = "two diesel engines, 735 kW each at 2300 rpm"
gearboxes = "reversing, with a ratio of 2.04 to 1"
shafts = "70 mm stainless steel, in tunnels"
propellers = "two, five blades, 0.76 m diameter, nickel aluminium bronze"
rudders = "two spade rudders"
generator = "one diesel generator, 17 kW"

[release]
withhold = ["coating/batches.csv:supplier", "documents/DWG-201.png"]

# Limits: what the builder's coating specification sets. COA-02 is left to the published reference, COA-07 to the data
# sheets; salt on steel to the published reference. Salt and profile of the other metals have no limit at all: they are
# shown for information.
"""

LIMITS = (
    ("COA-03", "particle size ratio", 'high = 2.0\nunit = "1"', "4.3"),
    ("COA-04", "dew-point margin", 'low = 3.0\nunit = "K"', "5.1"),
    ("COA-04", "interval between readings", 'high = 1.0\nunit = "h"', "5.2"),
    ("COA-08", "nominal film thickness", 'low = 280\nhigh = 450\nunit = "um"', "6.1"),
    ("COA-08", "nominal film thickness", 'place = "Z7"\nlow = 190\nhigh = 360\nunit = "um"', "6.1"),
    ("COA-09", "film from litres", 'low = 300\nhigh = 480\nunit = "um"', "6.4"),
    ("COA-09", "film from litres", 'place = "Z7"\nlow = 210\nhigh = 400\nunit = "um"', "6.4"),
    ("COA-10", "pull-off strength", 'low = 3.5\nunit = "MPa"', "7.1"),
    ("COA-10", "cross-cut class", 'high = 1\nunit = "1"', "7.2"),
    ("COA-11", "gloss at 60°", 'low = 85\nunit = "GU"', "8.1"),
    ("COA-11", "gloss at 20°", 'low = 75\nunit = "GU"', "8.1"),
    ("COA-12", "distinctness of image", 'condition = "high"\nlow = 85\nunit = "1"', "8.2"),
    ("COA-12", "distinctness of image", 'condition = "low"\nlow = 80\nunit = "1"', "8.2"),
    ("COA-12", "orange peel", 'condition = "high"\nlow = 7\nunit = "1"\nguard = 0', "8.2"),
    ("COA-12", "orange peel", 'condition = "low"\nlow = 6\nunit = "1"\nguard = 0', "8.2"),
    ("COA-12", "dust inclusions", 'condition = "high"\nhigh = 4\nunit = "1/dm2"', "8.3"),
    ("COA-12", "dust inclusions", 'condition = "low"\nhigh = 5\nunit = "1/dm2"', "8.3"),
    ("COA-13", "colour difference", 'high = 1.0\nunit = "1"', "8.4"),
    ("COA-14", "dust quantity", 'high = 1\nunit = "1"', "3.3"),
    ("COA-14", "surface profile", 'place = "M1"\nlow = 50\nhigh = 75\nunit = "um"', "3.2"),
    ("COA-14", "surface profile", 'place = "M4"\nlow = 50\nhigh = 75\nunit = "um"', "3.2"),
    ("COA-14", "time to primer", 'high = 4.0\nunit = "h"', "3.4"),
    ("COA-16", "moisture above dry reference", 'high = 5\nunit = "1"', "2.1"),
    ("COA-16", "Barcol hardness", 'low = 38\nunit = "1"', "2.2"),
)
"""Check, quantity, the lines that set it, clause of SPEC-07 C."""


def hull_toml() -> bytes:
    """hull.toml with the limits and the rule of the invented coating specification."""
    by = 'set_by = "builder"\ndocument = "SPEC-07"\nrevision = "C"'
    parts = [limit_entry(check, quantity, lines, "SPEC-07", "C", clause) for check, quantity, lines, clause in LIMITS]
    parts += [
        limit_entry(check, quantity, lines, "SPEC-05", "D", clause)
        for check, quantity, lines, clause in laminate_papers.LIMITS
    ]
    for papers in (
        drive_papers,
        vibration_papers,
        infusion_papers,
        shafting_papers,
        systems_papers,
        whole_boat_papers,
    ):
        parts += papers.limit_entries()
    own = 'set_by = "builder"\ndocument = "QP-12"\nrevision = "B"\nclause = "3"'
    parts.append(f'[[rules]]\ncheck = "COA-01"\nrule = "washed and de-waxed before the first sanding"\n{own}\n')
    parts.append(f'[[rules]]\ncheck = "COA-08"\nrule = "iso-19840"\n{by}\nclause = "6.2"\n')
    parts.append(vibration_papers.rule_entry())
    return (HULL_TOML + "\n" + "\n".join(parts)).encode()


def _zone(key: str, name: str, at: tuple[float, float, float], area: float, seen: str, note: str = "") -> Place:
    values = {"place": key, "name": name, "kind": "zone", "x": at[0], "y": at[1], "z": at[2], "area": area}
    rest = {"visibility": seen, "substrate": "gelcoat", "painted": True, "note": note or None}
    return Place.model_validate({"where": here(Place), **values, **rest})


def _part(key: str, name: str, at: tuple[float, float, float], area: float, metal: str) -> Place:
    values = {"place": key, "name": name, "kind": "part", "x": at[0], "y": at[1], "z": at[2], "area": area}
    rest = {"visibility": None, "substrate": metal, "painted": True, "note": None}
    return Place.model_validate({"where": here(Place), **values, **rest})


PLACES = (
    _zone("Z1", "Topsides, port", (9.5, -2.45, 1.10), 33.4, "high"),
    _zone("Z2", "Topsides, starboard", (9.5, 2.45, 1.10), 33.4, "high"),
    _zone("Z3", "Transom", (0.1, 0.0, 1.00), 9.2, "high", "Without the bathing platform, which is covered with teak"),
    _zone("Z4", "Foredeck and side-deck coamings", (12.4, 0.0, 2.50), 18.6, "low", "Walking surfaces are not painted"),
    _zone("Z5", "Superstructure, port", (8.6, -1.75, 3.00), 16.8, "high"),
    _zone("Z6", "Superstructure, starboard", (8.6, 1.75, 3.00), 16.8, "high"),
    _zone("Z7", "Hardtop, upper side", (6.4, 0.0, 4.35), 14.5, "low", "Seen only from above; one high-build coat less"),
    _part("M1", "Foredeck hatch frame", (14.2, 0.0, 2.70), 0.42, "aluminium"),
    _part("M2", "Bow fitting", (18.8, 0.0, 2.45), 0.31, "stainless steel"),
    _part("M3", "Davit base", (0.9, 1.60, 1.70), 0.55, "steel"),
    _part("M4", "Mast foot on the hardtop", (6.3, 0.0, 4.45), 0.38, "aluminium"),
)

ZONES = tuple(place for place in PLACES if place.kind == "zone")


def _seen(on: str, kind: str, day: date, by: str) -> NumberSeen:
    row = {"seen_on": on, "kind": kind, "number": NUMBER, "read_on": day, "read_by": by}
    return NumberSeen.model_validate({"where": here(NumberSeen), **row})


NUMBERS_SEEN = (
    _seen("transom, starboard side", "moulded", date(2026, 6, 2), "QA KL"),
    _seen("second place known to the builder", "moulded", date(2026, 6, 2), "QA KL"),
    _seen("builder's plate, cockpit", "plate", date(2026, 6, 2), "QA KL"),
    _seen("owner's manual, first page", "paper", date(2026, 6, 3), "QA RT"),
    _seen("inspection and test plan, heading", "record", date(2026, 2, 16), "QA RT"),
    _seen("coating log, cover", "record", date(2026, 4, 17), "QA RT"),
)


DOCUMENTS = (
    paper("SPEC-07", "Coating specification, EXY 62 demonstration", "C", date(2025, 10, 1)),
    paper("QP-12", "Procedure for washing, de-waxing and sanding before paint", "B", date(2025, 9, 15)),
    paper("ITP-07", "Inspection and test plan, coating", "2", date(2026, 2, 16)),
    paper("QP-03", "Procedure for measuring instruments", "D", date(2025, 3, 3)),
    paper("QP-15", "Procedure for fitting the hull number and the builder's plate", "A", date(2025, 5, 19)),
    paper("TDS-EP-H", "Data sheet, two-pack epoxy high-build primer", "5", date(2025, 4, 14), "paint maker"),
    paper("TDS-EP-U", "Data sheet, two-pack epoxy undercoat", "3", date(2025, 2, 10), "paint maker"),
    paper("TDS-PU-T", "Data sheet, two-pack polyurethane topcoat", "4", date(2025, 6, 2), "paint maker"),
    paper("TN-114", "Release of the starboard superstructure after the topcoat had begun", "1", date(2026, 3, 12)),
    paper("TN-117", "Gap in the climate log, starboard topsides", "1", date(2026, 3, 23)),
    paper("TN-121", "Dust inclusions, coamings: proposal to use as they are", "1", date(2026, 4, 15)),
    paper("CL-04", "Client's letter accepting the coamings as TN-121 proposes", "1", date(2026, 4, 20), "client"),
    paper("TN-122", "Gloss meter used after its due date: check on the reference tile", "1", date(2026, 4, 21)),
    paper("TN-123", "Late topcoat, port superstructure: re-keyed as its data sheet provides", "1", date(2026, 4, 22)),
)


def _instrument(
    key: str, quantity: str, kind: str, unit: str, span: tuple[float, float], step: float, u: float, **more: object
) -> Instrument:
    dates = {"calibrated": date(2025, 9, 12), "due": date(2026, 9, 12)}
    values = {"instrument": key, "quantity": quantity, "type": kind, "unit": unit, "range_low": span[0]}
    rest = {"range_high": span[1], "resolution": step, "uncertainty": u, "coverage": 2.0, "laboratory": LABORATORY}
    return Instrument.model_validate({"where": here(Instrument), **values, **rest, **dates, **more})


# zone: days of September 2025 on which hygrometer and probe were calibrated; expanded uncertainties [K, %, K]
_LOGGERS = {
    "Z1": (12, 12, 0.4, 2.5, 0.6),
    "Z2": (12, 15, 0.4, 2.4, 0.6),
    "Z3": (12, 12, 0.4, 2.5, 0.6),
    "Z4": (16, 15, 0.3, 2.4, 0.6),
    "Z5": (12, 12, 0.4, 2.5, 0.5),
    "Z6": (16, 16, 0.4, 2.3, 0.6),
    "Z7": (16, 16, 0.3, 2.5, 0.6),
}


def hygrometer(zone: str) -> str:
    """The thermo-hygrometer that stood in this zone, and in no other."""
    return f"TH-0{zone[1:]}"


def probe(zone: str) -> str:
    """The surface thermometer that was stuck to this zone, and to no other."""
    return f"ST-0{zone[1:]}"


def instruments() -> tuple[Instrument, ...]:
    """Every instrument that a reading names, one row for each quantity."""
    rows = []
    for zone, (day, probe_day, u_air, u_humidity, u_surface) in _LOGGERS.items():
        n = zone[1:]
        paper = {"serial": f"00411{n}", "certificate": f"ECL-25-118{n}", **_calibrated(day)}
        key, kind = hygrometer(zone), "thermo-hygrometer, logging"
        rows.append(_instrument(key, "air temperature", kind, "degC", (-10, 60), 0.1, u_air, **paper))
        rows.append(_instrument(key, "relative humidity", kind, "%", (5, 95), 0.5, u_humidity, **paper))
        paper = {"serial": f"00527{n}", "certificate": f"ECL-25-119{n}", **_calibrated(probe_day)}
        kind = "surface thermometer, logging, one probe"
        rows.append(_instrument(probe(zone), "surface temperature", kind, "degC", (-10, 80), 0.1, u_surface, **paper))
    return (*rows, *_gauges())


def _calibrated(day: int) -> dict[str, object]:
    return {"calibrated": date(2025, 9, day), "due": date(2026, 9, day)}


def _paper_of(serial: str, number: int) -> dict[str, object]:
    """Serial and certificate of an instrument."""
    return {"serial": serial, "certificate": f"ECL-25-{number}"}


def _gauges() -> tuple[Instrument, ...]:
    ultrasonic = {"serial": "31-0086", "certificate": "ECL-25-1204", "note": "Verified on a gelcoat step sample"}
    eddy = {"serial": "31-0412", "certificate": "ECL-25-1205", "note": "For witness plates of aluminium"}
    gloss = {"serial": "77-2019", "certificate": "ECL-25-0430", "calibrated": date(2025, 4, 10)}
    overdue = {"due": date(2026, 4, 10), "note": "Used on 2026-04-14, after its due date: see NCR-05"}
    return (
        _instrument("UT-01", "film thickness", "ultrasonic film gauge", "um", (40, 1000), 1, 6, **ultrasonic),
        _instrument("EC-01", "film thickness", "eddy-current film gauge", "um", (0, 1500), 1, 4, **eddy),
        _instrument("PO-01", "force", "pull-off tester", "N", (0, 6000), 10, 60, **_paper_of("9-117", 1210)),
        _instrument("GL-01", "gloss", "gloss meter, 20° and 60°", "GU", (0, 200), 0.1, 1.0, **gloss, **overdue),
        _instrument("CM-01", "colour", "sphere colour meter", "1", (0, 100), 0.01, 0.15, **_paper_of("CM-88", 1213)),
        _instrument(
            "DI-01", "distinctness of image", "image-clarity meter", "1", (0, 100), 0.5, 2.0, **_paper_of("D-204", 1214)
        ),
        _instrument("SW-01", "time", "stopwatch", "s", (0, 3600), 0.1, 0.5, **_paper_of("S-3", 1217)),
        _instrument(
            "CO-01", "conductivity", "conductivity meter", "uS/cm", (0, 200), 0.1, 0.3, **_paper_of("C-61", 1219)
        ),
        _instrument(
            "PG-01", "surface profile", "profile needle gauge", "um", (0, 500), 1, 4, **_paper_of("P-18", 1220)
        ),
        _instrument(
            "MM-01", "moisture", "moisture meter, relative scale", "1", (0, 100), 0.5, 1.2, **_paper_of("M-402", 1222)
        ),
        _instrument(
            "BI-01", "Barcol hardness", "Barcol impressor, 934-1", "1", (0, 100), 0.5, 1.5, **_paper_of("B-77", 1223)
        ),
    )
