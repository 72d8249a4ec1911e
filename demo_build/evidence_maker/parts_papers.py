"""The papers about parts and materials: documents, plan, reports, and what stands in the tables."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from buildbook.chapters.parts.checks.in_date import DAYS
from buildbook.chapters.parts.checks.released import RELEASED
from buildbook.chapters.parts.records import ListedPart, Part, PartBatch, Stock
from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.core.record import Record
from demo_build.evidence_maker import parts_work
from demo_build.evidence_maker.tables import here, paper

Row = dict[str, object]
BATCHES, PLACES = parts_work.BATCHES, parts_work.PLACES

DOCUMENTS = (
    paper(parts_work.LIST, "Parts list, hull 7", "C", date(2025, 8, 4), "designer"),
    paper("QP-16", "Procedure for numbering, releasing and tracing parts", "B", date(2025, 6, 16)),
    paper("DN-020", "Seacock N7026: fitted before its release", "1", date(2026, 4, 23), "designer"),
    paper("DN-021", "Hull window N7030: frame bolted beside its adhesive", "1", date(2026, 4, 17), "designer"),
    paper("TN-103", "Fuel tank N7012: leak at a weld", "1", date(2025, 12, 9)),
)


def tables() -> dict[type[Record], Sequence[Record]]:
    """The tables of parts and their batches; the batches themselves go into the shared table."""
    return {
        ListedPart: parts_work.ITEMS,
        Part: parts_work.register(),
        PartBatch: parts_work.links(),
        Stock: parts_work.STOCK,
    }


def plan() -> tuple[Planned, ...]:
    """One line for each question, with the rows that the record has to have."""
    made = tables()
    lines: tuple[tuple[str, str, type[Record], str], ...] = (
        ("parts list complete", "PAR-01", ListedPart, f"{parts_work.LIST} C"),
        ("batches of each part", "PAR-02", PartBatch, "QP-16 B 3"),
        ("release of each part", "PAR-03", Part, "QP-16 B 4"),
        ("numbers scrapped and made again", "PAR-04", Part, "QP-16 B 2"),
        ("use-before dates", "PAR-05", PartBatch, "QP-16 B 5"),
    )
    shared = {"stage": "parts", "method": "cards and labels read", "point": "review", "party": "builder QA"}
    return tuple(
        Planned.model_validate(
            {"where": here(Planned), "line": f"ITN-{number:02}", "characteristic": what, "check": check, **shared}
            | {"requirement": asked, "record": kind.table.file, "readings": len(made[kind])}
        )
        for number, (what, check, kind, asked) in enumerate(lines, 1)
    )


_SHARED: Row = {"attempt": 1, "other_hulls": "no"}
_REPORTS: tuple[Row, ...] = (
    {
        "report": "NCR-N1",
        "found_on": date(2026, 4, 21),
        "found_by": "QA RT",
        "stage": "fitting out",
        "check": "PAR-03",
        "quantity": RELEASED,
        "place": parts_work.EARLY,
        "requirement": "QP-16 B 4",
        "as_found": "seacock fitted at 08:40, its release signed only at 15:30 that day",
        "correction": "no hose put on it until it was released",
        "disposition": "use as is",
        "approved_by": "RB",
        "approver_role": "designer",
        "justification": "DN-020",
        "work": "its test sheet of 2026-04-16 shows it tight at 6 bar; only the signature of its release came late",
        "reinspected_on": date(2026, 4, 22),
        "reinspected_by": "QA KL",
        "cause": "seacocks lay released and not released in one box",
        "corrective_action": "parts not yet released stand behind a chain",
        "closed_on": date(2026, 4, 24),
    },
    {
        "report": "NCR-N2",
        "found_on": date(2025, 12, 8),
        "found_by": "QA KL",
        "stage": "parts",
        "check": "PAR-04",
        "place": parts_work.SCRAPPED_TANK,
        "requirement": "QP-16 B 4",
        "as_found": "fuel tank lost air at a weld of its baffle in two tests; the plate is cracked beside the weld",
        "correction": "tank marked, not released",
        "disposition": "scrap",
        "approved_by": "MD",
        "approver_role": "builder",
        "justification": "TN-103",
        "work": "tank N7012 cut up and taken away; tank N7022 made of plate AL-2251 in its place",
        "reinspected_on": date(2026, 1, 15),
        "reinspected_by": "QA RT",
        "cause": "plate bent too sharply before it was welded",
        "corrective_action": "bending radius written on the card of every tank",
        "closed_on": date(2026, 1, 16),
    },
    {
        "report": "NCR-N3",
        "found_on": date(2026, 4, 15),
        "found_by": "QA RT",
        "stage": "fitting out",
        "check": "PAR-05",
        "quantity": DAYS,
        "condition": parts_work.LATE_BATCH,
        "requirement": "QP-16 B 5",
        "as_found": "hull window N7030 bonded on 2026-04-14 with a batch good to 2026-04-10",
        "correction": "rest of the batch thrown away",
        "disposition": "repair",
        "approved_by": "RB",
        "approver_role": "designer",
        "justification": "DN-021",
        "work": "frame of the window bolted through beside the adhesive; hosed for ten minutes, no water came in",
        "reinspected_on": date(2026, 4, 20),
        "reinspected_by": "QA KL",
        "cause": "cartridges taken from the back of the shelf",
        "corrective_action": "use-before date written large on every box",
        "closed_on": date(2026, 4, 21),
    },
)


def reports() -> tuple[Nonconformity, ...]:
    """A release that came late, a tank that was scrapped, an adhesive past its date."""
    return tuple(Nonconformity.model_validate({"where": here(Nonconformity), **_SHARED, **row}) for row in _REPORTS)
