"""The numbered parts of her: what the list asks for, what was made, of which batches, and what became of it."""

from __future__ import annotations

from datetime import date

from buildbook.chapters.batch_records import GIVES_A_DATE, Batch
from buildbook.chapters.parts.records import ListedPart, Part, PartBatch, Stock
from buildbook.chapters.shared_records import Place
from demo_build.evidence_maker.tables import here

HULL = "XX-EXY00007H526"
LIST = "DWG-210"
SCRAPPED_TANK, REMADE_TANK = "N7012", "N7022"
OLD_BULKHEAD, NEW_BULKHEAD = "N7002", "N7010"
EARLY, LATE_WINDOW = "N7026", "N7030"  # fitted before its release; bonded with an adhesive past its date
SHELLS = "Shells laid up 2026-01-21, plate welded into the slot of the stock, blade closed 2026-03-24"
LATE_BATCH, NO_DATE_BATCH = "GA-25-118", "SE-25-203"

_ITEMS = (
    ("1", "Bulkhead 1", "structure", 1),
    ("2", "Bulkhead 2", "structure", 1),
    ("3", "Bulkhead 3", "structure", 1),
    ("4", "Floors, one side", "structure", 2),
    ("5", "Engine beds, one side", "structure", 2),
    ("6", "Fuel tank", "tanks", 2),
    ("7", "Water tank", "tanks", 1),
    ("8", "Holding tank", "tanks", 1),
    ("9", "Shaft tunnel", "underwater", 2),
    ("10", "Shaft strut", "underwater", 2),
    ("11", "Rudder stock", "underwater", 2),
    ("12", "Rudder blade", "underwater", 2),
    ("13", "Seacock", "underwater", 4),
    ("14", "Foredeck hatch", "deck", 1),
    ("15", "Engine-room hatch", "deck", 1),
    ("16", "Hull window", "deck", 2),
)
ITEMS = tuple(
    ListedPart(where=here(ListedPart), item=item, name=name, group=group, quantity=number, drawing=LIST, revision="C")
    for item, name, group, number in _ITEMS
)

# number, item, made, released, fitted, what else
_FITTED = (
    ("N7001", "1", "2025-09-02", "2025-09-16 14:20", "2025-10-06 09:30"),
    (OLD_BULKHEAD, "2", "2025-09-04", "2025-09-17 10:05", "2025-10-08 08:40"),
    ("N7003", "3", "2025-09-08", "2025-09-19 15:10", "2025-10-09 09:10"),
    ("N7004", "4", "2025-09-10", "2025-09-23 11:30", "2025-10-01 13:15"),
    ("N7005", "4", "2025-09-10", "2025-09-23 11:45", "2025-10-02 08:20"),
    ("N7006", "5", "2025-09-12", "2025-09-25 09:40", "2025-10-13 10:30"),
    ("N7007", "5", "2025-09-12", "2025-09-25 09:55", "2025-10-14 10:10"),
    ("N7008", "9", "2025-09-15", "2025-09-29 16:00", "2025-10-16 08:15"),
    ("N7009", "9", "2025-09-15", "2025-09-29 16:10", "2025-10-17 08:30"),
    (NEW_BULKHEAD, "2", "2025-11-13", "2025-11-19 15:30", "2025-11-20 09:00"),
    ("N7011", "6", "2025-12-01", "2025-12-08 10:20", "2025-12-15 09:45"),
    (SCRAPPED_TANK, "6", "2025-12-02", "", ""),
    ("N7013", "7", "2025-12-03", "2025-12-08 11:15", "2025-12-16 13:40"),
    ("N7014", "8", "2025-12-04", "2025-12-08 11:50", "2025-12-17 08:50"),
    ("N7015", "", "", "", ""),
    ("N7016", "10", "2026-01-08", "2026-01-13 14:00", "2026-02-03 10:00"),
    ("N7017", "10", "2026-01-08", "2026-01-13 14:30", "2026-02-04 10:20"),
    ("N7018", "11", "2026-01-19", "2026-03-20 10:15", "2026-04-01 13:30"),
    ("N7019", "11", "2026-01-19", "2026-03-20 10:40", "2026-04-02 13:10"),
    ("N7020", "12", "2026-03-24", "2026-03-27 09:25", "2026-04-01 13:30"),
    ("N7021", "12", "2026-03-24", "2026-03-27 09:35", "2026-04-02 13:10"),
    (REMADE_TANK, "6", "2026-01-12", "2026-01-15 15:20", "2026-01-19 09:10"),
    ("N7023", "13", "2026-04-13", "2026-04-16 10:30", "2026-04-20 09:00"),
    ("N7024", "13", "2026-04-13", "2026-04-16 10:40", "2026-04-20 10:30"),
    ("N7025", "13", "2026-04-13", "2026-04-16 10:50", "2026-04-20 14:10"),
    (EARLY, "13", "2026-04-13", "2026-04-21 15:30", "2026-04-21 08:40"),
    ("N7027", "14", "2026-03-30", "2026-04-14 09:20", "2026-04-22 09:15"),
    ("N7028", "15", "2026-03-30", "2026-04-14 09:40", "2026-04-22 13:30"),
    ("N7029", "16", "2026-03-31", "2026-04-07 10:10", "2026-04-09 10:00"),
    (LATE_WINDOW, "16", "2026-03-31", "2026-04-07 10:20", "2026-04-14 10:20"),
    ("N7031", "13", "2026-04-13", "2026-04-16 11:00", ""),
)
_MORE: dict[str, dict[str, object]] = {
    OLD_BULKHEAD: {"state": "scrapped", "report": "NCR-L5", "replaced_by": NEW_BULKHEAD},
    SCRAPPED_TANK: {"state": "scrapped", "report": "NCR-N2", "replaced_by": REMADE_TANK},
    "N7020": {"note": SHELLS},
    "N7021": {"note": f"{SHELLS}; released without a record of its weld inspection, see SHA-09"},
    "N7015": {"state": "not used", "hull": None, "note": "Card spoiled while it was written, number not given again"},
    "N7031": {"state": "in stock", "hull": None, "note": "Spare, goes aboard with the spares"},
}


def register() -> tuple[Part, ...]:
    """One row for each number."""
    rows = []
    for number, item, made, released, fitted in _FITTED:
        row: dict[str, object] = {"part": number, "item": item or None, "hull": HULL, "state": "fitted"}
        row |= {"made_on": made or None, "released_on": released or None, "fitted_on": fitted or None}
        row |= {"released_by": "QA KL" if released else None, "where": here(Part)}
        rows.append(Part.model_validate(row | _MORE.get(number, {})))
    return tuple(rows)


# batch, material, kind, made, expires, received, certificate, supplier
_BATCHES = (
    ("HI-25-1120", "initiator", "hardener", "2025-11-20", "2026-05-20", "2025-12-15", "CC-25-191", "resin agent 1"),
    ("CK-25-019", "core kit, engine beds", "core", "", "", "2025-08-11", "CC-25-152", "core agent 1"),
    ("AD-25-071", "bonding paste", "adhesive", "2025-08-18", "2026-02-18", "2025-09-08", "CC-25-160", "glue agent 1"),
    ("AD-26-014", "bonding paste", "adhesive", "2026-01-26", "2026-07-26", "2026-02-09", "CC-26-011", "glue agent 1"),
    (LATE_BATCH, "glazing adhesive", "adhesive", "2025-07-10", "2026-04-10", "2025-11-17", "CC-25-188", "glue agent 2"),
    (NO_DATE_BATCH, "bedding sealant", "adhesive", "", "", "2026-02-23", "", "chandler 1"),
    ("AL-2208", "aluminium plate 6 mm", "metal", "", "", "2025-11-10", "MC-25-311", "metal agent 1"),
    ("AL-2251", "aluminium plate 6 mm", "metal", "", "", "2025-12-18", "MC-25-340", "metal agent 1"),
    ("BZ-3307", "nickel aluminium bronze, cast", "metal", "", "", "2025-12-15", "MC-25-336", "foundry 1"),
    ("BZ-3312", "bronze, hot pressed", "metal", "", "", "2026-04-13", "MC-26-084", "fittings agent 1"),
    ("ST-60417", "stainless steel bar 75 mm", "metal", "", "", "2025-12-10", "MC-25-333", "metal agent 1"),
    ("ST-60422", "stainless steel bar 75 mm", "metal", "", "", "2025-12-10", "MC-25-334", "metal agent 1"),
    ("ST-60431", "stainless steel plate 16 mm", "metal", "", "", "2025-12-10", "MC-25-335", "metal agent 1"),
    ("HT-1440", "deck hatches, series 1440", "component", "", "", "2026-03-30", "CO-26-017", "fittings agent 1"),
    ("GL-2671", "toughened glass, hull windows", "component", "", "", "2026-03-31", "CO-26-019", "glazing agent 1"),
)  # fmt: skip
_HEADS = ("batch", "material", "kind", "made", "expires", "received", "certificate", "supplier")


def _rows(given: tuple[tuple[str, ...], ...]) -> tuple[Batch, ...]:
    return tuple(
        Batch.model_validate(
            {
                "where": here(Batch),
                **{n: v or None for n, v in zip(_HEADS, row, strict=True)},
                "shelf_life": row[2] in GIVES_A_DATE,
            }
        )
        for row in given
    )


BATCHES = _rows(_BATCHES)

_HARDENER, _LATER_HARDENER = "HI-25-0707", "HI-25-1120"  # the first is good to 2026-01-07
_LAMINATE = ("GB-25-0209", "FC-25-0061", "VR-25-1102", _HARDENER)
_MADE_OF: tuple[tuple[tuple[str, ...], tuple[str, ...], str], ...] = (
    # parts, batches used when they were made, batch they were fitted with
    (("N7001", OLD_BULKHEAD, "N7003"), _LAMINATE, "AD-25-071"),
    (("N7004", "N7005"), ("GQ-25-0417", "FC-25-0080", "VR-25-1146", _HARDENER), "AD-25-071"),
    (("N7006", "N7007"), ("GQ-25-0417", "CK-25-019", "VR-25-1146", _HARDENER), "AD-25-071"),
    (("N7008", "N7009"), ("GM-25-0311", "GB-25-0209", "VR-25-1146", _HARDENER), "AD-25-071"),
    ((NEW_BULKHEAD,), ("GB-25-0209", "FC-25-0061", "VR-25-1146", _HARDENER), "AD-25-071"),
    (("N7011", SCRAPPED_TANK, "N7013", "N7014"), ("AL-2208",), ""),
    (("N7016", "N7017"), ("BZ-3307",), ""),
    (("N7018", "N7019"), ("ST-60417",), ""),
    (("N7020", "N7021"), ("GB-25-0209", "VR-25-1146", _LATER_HARDENER, "ST-60431", "AD-26-014"), ""),
    ((REMADE_TANK,), ("AL-2251",), ""),
    (("N7023", "N7024", "N7025", EARLY), ("BZ-3312",), "AD-26-014"),
    (("N7027", "N7028"), ("HT-1440",), NO_DATE_BATCH),
    (("N7029", LATE_WINDOW), ("GL-2671",), LATE_BATCH),
    (("N7031",), ("BZ-3312",), ""),
)


_SHELL = dict.fromkeys(("GB-25-0209", "VR-25-1146", _LATER_HARDENER), date(2026, 1, 21))
_EARLIER = {**_SHELL, "ST-60431": date(2026, 3, 18)}
BLADES = ("N7020", "N7021")  # shells first, then the plate, then the two halves glued


def links() -> tuple[PartBatch, ...]:
    """The batches in each part: those it was made of on the day it was made, the adhesive on the day it was fitted.

    A rudder blade was made in three steps, each on its day.
    """
    rows = {row.part: row for row in register()}
    found = []
    for parts, made_of, fitted_with in _MADE_OF:
        for number in parts:
            part = rows[number]
            assert part.made_on is not None
            steps = _EARLIER if number in BLADES else {}
            days: list[tuple[str, date]] = [(batch, steps.get(batch, part.made_on)) for batch in made_of]
            if fitted_with and part.fitted_on is not None:
                days.append((fitted_with, part.fitted_on.date()))
            found += [PartBatch(where=here(PartBatch), part=number, batch=batch, used_on=day) for batch, day in days]
    return tuple(sorted(found, key=lambda link: link.part))


STOCK = (Stock(where=here(Stock), batch="ST-60422", where_now="in stock", seen_on=date(2026, 5, 18), by="ST MO"),)


def _place(part: str, name: str, x: float, y: float, z: float) -> Place:
    values = {"place": part, "name": name, "kind": "part", "x": x, "y": y, "z": z, "painted": False}
    return Place.model_validate({"where": here(Place), **values})


PLACES = (
    _place("N7018", "Rudder stock before it was fitted, port", 0.6, -1.1, -0.1),
    _place("N7019", "Rudder stock before it was fitted, starboard", 0.6, 1.1, -0.1),
    _place(REMADE_TANK, "Fuel tank before it was fitted, starboard", 6.2, 1.5, 0.1),
    _place(EARLY, "Seacock before it was fitted, starboard engine", 4.5, 0.8, -0.7),
)
