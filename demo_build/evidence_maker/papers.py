"""The yard's papers: plan, nonconformity reports, photographs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from buildbook.chapters.coating.records import Coat
from buildbook.chapters.shared_records import Nonconformity, PhotographRecord, Planned
from buildbook.core.record import Record
from demo_build.evidence_maker.air import GAP_COAT
from demo_build.evidence_maker.coating_work import THIN_ZONE, moment
from demo_build.evidence_maker.readings import DUSTY_ZONE, NOT_PULLED
from demo_build.evidence_maker.tables import here
from demo_build.evidence_maker.yacht import PLACES, ZONES

LATE_RELEASE_ZONE = "Z6"
_NAMES = {place.place: place.name.lower() for place in PLACES}
_READY = {"A": "03-04 16:40", "B": "03-09 11:30", "C": "03-16 08:35"}
_TOPCOAT_READY = {"A": "03-10 16:50", "B": "03-16 11:10", "C": "03-23 16:30"}
_GROUP = {"Z1": "C", "Z2": "C", "Z3": "B", "Z4": "B", "Z5": "A", "Z6": "A", "Z7": "A"}

Counts = Mapping[tuple[str, str], int]


def counts(tables: Mapping[type[Record], Sequence[Record]]) -> dict[tuple[str, str], int]:
    """How many rows of the first attempt each file holds: for each place, and in all under the empty place.

    Readings taken on purpose at thin spots are not planned and do not count.
    """
    found: dict[tuple[str, str], int] = {}
    for kind, rows in tables.items():
        for row in rows:
            if getattr(row, "attempt", 1) != 1 or getattr(row, "extra", False):
                continue
            place = str(getattr(row, kind.table.place, "")) if kind.table.place else ""
            for key in {(kind.table.file, place), (kind.table.file, "")}:
                found[key] = found.get(key, 0) + 1
    return found


class _Plan:
    """The plan while it is written: lines are numbered in order."""

    def __init__(self, counted: Counts) -> None:
        self.counted = counted
        self.lines: list[Planned] = []

    def add(self, stage: str, what: str, check: str, file: str, clause: str, method: str, **more: object) -> None:
        """One more line. Readings planned are as many as were then taken, except where `readings` says otherwise."""
        place = more.get("place")
        readings = self.counted.get((file, str(place or "")))
        values = {"line": f"ITP-{len(self.lines) + 1:02}", "stage": stage, "characteristic": what, "check": check}
        rest = {"requirement": clause, "method": method, "record": file, "readings": readings}
        row = {"point": "monitor", "party": "builder QA", **values, **rest, **more}
        self.lines.append(Planned.model_validate({"where": here(Planned), **row}))


def plan(counted: Counts, log: Sequence[Coat]) -> tuple[Planned, ...]:
    """The inspection and test plan."""
    starts = {coat.coat: coat.mixed or coat.started for coat in log}
    book = _Plan(counted)
    _before(book, starts)
    _while(book, starts)
    _after(book)
    return tuple(book.lines)


def _hold(released: datetime, went_on: datetime) -> dict[str, object]:
    return {"point": "hold", "released_on": released, "released_by": "QA KL", "went_on": went_on}


def _before(book: _Plan, starts: Mapping[str, datetime]) -> None:
    stage = "laminate"
    book.add(
        stage,
        "moisture of the laminate",
        "COA-16",
        "moisture.csv",
        "SPEC-07 C 2.1",
        "meter against a dry reference",
        **_hold(moment("02-17 16:10"), moment("02-18 07:30")),
    )
    book.add(stage, "hardness of the laminate", "COA-16", "hardness.csv", "SPEC-07 C 2.2", "ten readings a zone")
    stage = "surface preparation"
    book.add(
        stage,
        "order of washing, de-waxing and sanding",
        "COA-01",
        "coating/preparation.csv",
        "PRO-12 B 3",
        "log read",
        readings=None,
    )
    for zone in ZONES:
        ready = moment(_READY[_GROUP[zone.place]]) + timedelta(minutes=5 * int(zone.place[1]))
        book.add(
            stage,
            f"water-break and release for primer, {_NAMES[zone.place]}",
            "COA-02",
            "coating/water_break.csv",
            "PRO-12 B 4",
            "sprayed with water, watched",
            place=zone.place,
            **_hold(ready, starts[f"{zone.place}-1"]),
        )
    book.add(
        stage,
        "sequence of grits",
        "COA-03",
        "coating/preparation.csv",
        "SPEC-07 C 4.3",
        "log read",
        readings=None,
        point="review",
    )
    for part in PLACES:
        if part.kind == "part":
            book.add(
                "metal parts",
                f"salt, dust, profile and time to primer, {_NAMES[part.place]}",
                "COA-14",
                "coating/metal_parts.csv",
                "SPEC-07 C 3",
                "extraction, tape, needle gauge",
                place=part.place,
                point="witness",
                party="paint maker",
                notified_on=date(2026, 2, 24),
                attended="attended" if part.place in ("M2", "M3") else "waived",
            )


def _while(book: _Plan, starts: Mapping[str, datetime]) -> None:
    stage = "painting"
    logged = (
        ("dew-point margin", "COA-04", "coating/climate.csv", "SPEC-07 C 5.1", "logger in each bay"),
        ("temperature and humidity", "COA-05", "coating/climate.csv", "data sheets", "logger in each bay"),
        ("time between coats", "COA-06", "coating/coats.csv", "data sheets, table 3", "log read"),
        ("batches and pot life", "COA-07", "coating/coats.csv", "data sheets, table 1", "log read"),
        ("litres against area", "COA-09", "coating/coats.csv", "SPEC-07 C 6.4", "log read"),
        ("people and days in preparation", "COA-15", "coating/effort.csv", "ITP-07 2", "day sheets"),
    )
    for what, check, file, clause, method in logged:
        book.add(stage, what, check, file, clause, method, readings=None, point="monitor")
    for zone in ZONES:
        key = zone.place
        first = starts[f"{key}-3"] if key == "Z7" else starts[f"{key}-4"]
        ready = moment(_TOPCOAT_READY[_GROUP[key]]) + timedelta(minutes=4 * int(key[1]))
        if key == LATE_RELEASE_ZONE:
            ready = moment("03-11 11:20")
        book.add(
            stage,
            f"undercoat sanded and clean, release for topcoat, {_NAMES[key]}",
            "COA-03",
            "coating/preparation.csv",
            "SPEC-07 C 4.4",
            "looked at under raking light",
            place=key,
            readings=None,
            **_hold(ready, first),
        )


def _after(book: _Plan) -> None:
    stage = "finished film"
    for zone in ZONES:
        how = "eddy-current gauge on witness plates" if zone.place == "Z7" else "ultrasonic gauge"
        book.add(
            stage,
            f"film thickness, {_NAMES[zone.place]}",
            "COA-08",
            "coating/film_thickness.csv",
            "SPEC-07 C 6.1",
            how,
            place=zone.place,
        )
    for key in ("Z1", "Z2", "Z4", "Z5", NOT_PULLED):
        book.add(
            stage,
            f"pull-off, {_NAMES[key]}",
            "COA-10",
            "coating/pull_off.csv",
            "SPEC-07 C 7.1",
            "three dollies on a witness panel",
            place=key,
            readings=3,
            point="witness",
            party="client",
            notified_on=date(2026, 3, 30),
            attended="attended" if key in ("Z4", "Z5") else "waived",
        )
    others = (
        ("cross-cut", "COA-10", "coating/cross_cut.csv", "SPEC-07 C 7.2", "two lattices on each of four panels"),
        ("gloss", "COA-11", "coating/gloss.csv", "SPEC-07 C 8.1", "ten readings a zone at 60° and at 20°"),
        (
            "image, orange peel and dust",
            "COA-12",
            "coating/appearance.csv",
            "SPEC-07 C 8.2",
            "three areas a zone or more",
        ),
        ("colour", "COA-13", "coating/colour.csv", "SPEC-07 C 8.4", "colour meter against the master panel"),
    )
    for what, check, file, clause, method in others:
        book.add(stage, what, check, file, clause, method)
    book.add(stage, "hull number everywhere", "REG-01", "hull_number.csv", "PRO-03 D 9", "read", point="review")


def late_release_line(lines: Sequence[Planned]) -> Planned:
    """The hold point that was released after the next stage had begun."""
    return next(line for line in lines if line.released_on and line.went_on and line.released_on > line.went_on)


def reports(lines: Sequence[Planned], log: Sequence[Coat]) -> tuple[Nonconformity, ...]:
    """The five reports, in order of date."""
    late = late_release_line(lines)
    begun = next(coat for coat in log if coat.zone == late.place and coat.mixed == late.went_on)
    times = [f"{when:%H:%M}" if when else "" for when in (late.released_on, begun.mixed, begun.started)]
    found_late = f"released at {times[0]}; the first topcoat was mixed at {times[1]} and begun at {times[2]} that day"
    rows: tuple[dict[str, object], ...] = (
        {
            "report": "NCR-01",
            "found_on": date(2026, 3, 11),
            "found_by": "QA RT",
            "stage": "painting",
            "check": "REG-02",
            "quantity": "released in time",
            "place": late.line,
            "requirement": "ITP-07 2, hold point before topcoat",
            "as_found": found_late,
            "correction": "spraying of the next zone stopped until it was released",
            "disposition": "use as is",
            "approved_by": "MD",
            "approver_role": "builder",
            "justification": "TN-114",
            "work": "undercoat looked at on the strips under the tape and on the panel; both sanded and clean",
            "reinspected_on": date(2026, 3, 12),
            "reinspected_by": "QA KL",
            "cause": "release form lay in the office while the painter read the board in the shed",
            "corrective_action": "the form hangs on the zone; no mixing without it",
            "closed_on": date(2026, 3, 13),
            "other_hulls": "no",
        },
        {
            "report": "NCR-02",
            "found_on": date(2026, 3, 20),
            "found_by": "QA KL",
            "stage": "painting",
            "check": "COA-04",
            "quantity": "interval between readings",
            "place": GAP_COAT[:2],
            "condition": GAP_COAT,
            "attempt": 1,
            "requirement": "SPEC-07 C 5.2",
            "as_found": "no reading from 10:30 to 13:00 (2.5 h) while the undercoat was sprayed and set; at most 1 h",
            "correction": "logger plugged in again at 12:55",
            "disposition": "use as is",
            "approved_by": "MD",
            "approver_role": "builder",
            "justification": "TN-117",
            "work": "readings of the port bay over the same hours set beside it; nothing repainted",
            "reinspected_on": date(2026, 3, 23),
            "reinspected_by": "QA RT",
            "cause": "logger unplugged for a lamp",
            "corrective_action": "loggers on their own locked socket",
            "closed_on": date(2026, 3, 24),
            "other_hulls": "no",
        },
        {
            "report": "NCR-03",
            "found_on": date(2026, 3, 25),
            "found_by": "QA KL",
            "stage": "finished film",
            "check": "COA-08",
            "quantity": "smallest reading",
            "place": THIN_ZONE,
            "attempt": 1,
            "requirement": "SPEC-07 C 6.2",
            "as_found": "smallest reading 206 µm, at least 224 µm (80 % of 280 µm); thin along the port edge",
            "correction": "zone marked, three more readings taken along the edge",
            "disposition": "rework",
            "approved_by": "MD",
            "approver_role": "builder",
            "justification": "SPEC-07 C 6.5",
            "work": "abraded P320 and P400, wiped, two further topcoats",
            "reinspected_on": date(2026, 4, 7),
            "reinspected_by": "QA RT",
            "as_left_attempt": 2,
            "cause": "second high-build coat sprayed past the edge of the staging",
            "corrective_action": "staging moved for the transom of the next hull",
            "closed_on": date(2026, 4, 8),
            "other_hulls": "no",
        },
        {
            "report": "NCR-04",
            "found_on": date(2026, 4, 8),
            "found_by": "QA RT",
            "stage": "finished film",
            "check": "COA-12",
            "quantity": "dust inclusions",
            "place": DUSTY_ZONE,
            "attempt": 1,
            "requirement": "SPEC-07 C 8.3",
            "as_found": "9 inclusions per dm² in the worst of four sample areas, 7 to 8 in the others; at most 5",
            "correction": "area mapped",
            "disposition": "use as is",
            "approved_by": "JV",
            "approver_role": "client",
            "justification": "TN-121",
            "cause": "side doors opened for a delivery while the last coat was wet",
            "corrective_action": "doors locked while a coat is wet",
            "other_hulls": "no",
        },
        {
            "report": "NCR-05",
            "found_on": date(2026, 4, 14),
            "found_by": "QA KL",
            "stage": "finished film",
            "check": "REG-03",
            "quantity": "in calibration on the day",
            "place": "GL-01",
            "condition": "gloss",
            "requirement": "PRO-03 D 4",
            "as_found": "gloss of the transom read on 2026-04-14, four days after the meter was due",
            "correction": "meter taken out of use after the readings",
            "disposition": "use as is",
            "approved_by": "MD",
            "approver_role": "builder",
            "justification": "TN-122",
            "work": "re-checked against the reference tile the same day: 0.3 GU from its value at 60°, 0.4 GU at 20°",
            "reinspected_on": date(2026, 4, 14),
            "reinspected_by": "QA RT",
            "cause": "transom measured late after its recoat; the due date had passed in between",
            "corrective_action": "list of due dates read every Monday",
            "closed_on": date(2026, 4, 22),
            "other_hulls": "no",
        },
    )
    return tuple(Nonconformity.model_validate({"where": here(Nonconformity), **row}) for row in rows)


def photographs(captions: Mapping[str, tuple[str, str, str | None, str, str]]) -> tuple[PhotographRecord, ...]:
    """One row for each picture: file to caption, alternative, place, day, check."""
    return tuple(
        PhotographRecord(
            where=here(PhotographRecord),
            file=f"photographs/{file}",
            caption=caption,
            alternative=alternative,
            place=place,
            taken=moment(f"{day} 00:00").date(),
            check=check,
        )
        for file, (caption, alternative, place, day, check) in captions.items()
    )
