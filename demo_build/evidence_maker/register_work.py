"""The work behind her, stage by stage, and a grid of readings that stands twice; all of it invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from buildbook.chapters.laminate.records import ThicknessReading
from buildbook.chapters.register.records import Work
from buildbook.chapters.shared_records import Planned
from demo_build.evidence_maker.tables import here

Row = dict[str, object]

LIDS = "L6"
READ_AS = "L3"  # the sheet of the lids bears the readings of this zone
SCALES = {"dust-count.png": "the square is 10 cm wide"}

_INFUSION = "INF-01; INF-02; INF-04; LAM-01; LAM-03; LAM-05; LAM-07; LAM-11"
_BLADES = "PRO-02; PRO-05; PRO-12"
_FILM = "COA-06; COA-08; COA-11; COA-12"
_TRIAL = "PRO-16; VIB-01; VIB-03"

# stage, kind, from, to, days, people, hours, by, what it is for, which checks show its result
_ROWS: tuple[tuple[str, str, str, str, int, int, float, str, str | None, str | None], ...] = (
    ("laminate", "preparation", "2025-08-11", "2025-08-15", 5, 6, 8, "shop GF", "moulds cleaned and waxed", None),
    (
        "laminate", "first pass", "2025-08-18", "2025-09-26", 29, 9, 8, "shop GF",
        "plies laid, resin drawn in under vacuum", _INFUSION,
    ),
    ("laminate", "inspection", "2025-10-20", "2025-11-27", 12, 2, 6, "QA KL", None, "LAM-09; LAM-10"),
    (
        "laminate", "rework", "2025-10-30", "2025-11-27", 11, 3, 8, "shop GF",
        "loose places bonded again, bulkhead 2 built again", "LAM-11",
    ),
    (
        "joinery and fitting out", "first pass", "2025-11-03", "2026-05-08", 118, 11, 8, "shop HB",
        "furniture, floors and linings on mounts that keep noise out", "VIB-07",
    ),
    (
        "shafting", "first pass", "2026-04-13", "2026-05-06", 15, 3, 8, "shop ME", "shafts in line",
        "SHA-03; SHA-05; SHA-06; SHA-07; SHA-08",
    ),
    ("shafting", "inspection", "2026-04-14", "2026-04-28", 6, 2, 6, "ME OB", None, "SHA-01; SHA-02; SHA-04"),
    ("shafting", "rework", "2026-04-20", "2026-04-22", 3, 2, 8, "shop ME", "starboard shaft straightened", None),
    (
        "coating", "first pass", "2026-03-05", "2026-04-03", 17, 7, 8, "shop PD",
        "a film of even thickness, gloss and colour", _FILM,
    ),
    ("coating", "rework", "2026-03-30", "2026-04-02", 4, 3, 7, "shop PD", "transom coated twice more", None),
    ("coating", "inspection", "2026-03-05", "2026-04-17", 20, 2, 5, "QA KL", None, "COA-04; COA-10"),
    ("propellers", "inspection", "2026-03-02", "2026-03-04", 3, 2, 7, "PS TW", "every blade read", _BLADES),
    ("propellers", "rework", "2026-03-05", "2026-03-06", 2, 2, 8, "shop PS", "blade pressed back, balanced", None),
    (
        "systems", "first pass", "2025-12-01", "2026-05-08", 98, 6, 8, "shop EL", "piping, wiring and tanks",
        "SYS-03; SYS-04; SYS-07; SYS-08; SYS-09",
    ),
    (
        "systems", "inspection", "2026-05-11", "2026-06-03", 9, 3, 8, "QA RT", "everything tried once",
        "SYS-01; SYS-05; SYS-06; SYS-14; SYS-15; SYS-17; SYS-18",
    ),
    ("systems", "rework", "2026-05-13", "2026-06-03", 5, 2, 4, "shop EL", "what had failed set right", None),
    ("trial", "preparation", "2026-05-13", "2026-05-19", 5, 4, 8, "shop ME", "engines set, sensors placed", None),
    ("trial", "inspection", "2026-05-20", "2026-05-20", 1, 7, 10, "QA RT", "speed, slip, vibration and sound", _TRIAL),
)  # fmt: skip


def work() -> tuple[Work, ...]:
    """What the yard's sheets add up to; the preparation of the paint has day sheets of its own."""
    names = ("stage", "kind", "begun", "ended", "days", "people", "hours", "by", "purpose", "shown_by")
    rows = []
    for values in _ROWS:
        row: Row = dict(zip(names, values, strict=True))
        begun, ended = date.fromisoformat(str(row["begun"])), date.fromisoformat(str(row["ended"]))
        row |= {"begun": begun, "ended": None if ended == begun else ended}
        rows.append(Work.model_validate({"where": here(Work), **row}))
    return tuple(rows)


def plan() -> tuple[Planned, ...]:
    """The grid of the lids, asked for after the plan of the laminate was written."""
    row: Row = {"line": "ITX-01", "stage": "laminate", "characteristic": "thickness grid, lids of the lockers"}
    row |= {"check": "LAM-12", "place": LIDS, "requirement": "SPEC-05 D 8.2", "method": "pulse-echo", "readings": 8}
    row |= {"record": ThicknessReading.table.file, "point": "monitor", "party": "builder QA"}
    return (Planned.model_validate({"where": here(Planned), **row}),)


def thickness(known: Sequence[ThicknessReading]) -> tuple[ThicknessReading, ...]:
    """The grid of the lids, two days after that of the side: reading for reading the same figures."""
    rows = []
    for row in known:
        if row.zone == READ_AS:
            column, line = divmod(row.number - 1, 4)
            values: Row = {**{name: getattr(row, name) for name in row.columns()}, "zone": LIDS}
            values |= {"x": round(16.0 + 0.4 * line, 2), "y": round(-0.3 + 0.6 * column, 2), "z": 2.35}
            values |= {"at": datetime(2026, 5, 8, 10, 0) + timedelta(minutes=4 * row.number)}
            rows.append(ThicknessReading.model_validate({"where": here(ThicknessReading), **values}))
    return tuple(rows)
