"""The yard's papers: inspection and test plan, photographs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from buildbook.chapters.coating.records import Coat
from buildbook.chapters.shared_records import PhotographRecord, Planned
from buildbook.core.record import Record
from demo_build.evidence_maker.coating_work import moment
from demo_build.evidence_maker.readings import NOT_PULLED
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
    _laminate(book)
    file, clause = "coating/preparation.csv", "QP-12 B 3"
    what = "order of washing, de-waxing and sanding"
    book.add("surface preparation", what, "COA-01", file, clause, "log read", readings=None)
    for zone in ZONES:
        ready = moment(_READY[_GROUP[zone.place]]) + timedelta(minutes=5 * int(zone.place[1]))
        book.add(
            "surface preparation",
            f"water-break and release for primer, {_NAMES[zone.place]}",
            "COA-02",
            "coating/water_break.csv",
            "QP-12 B 4",
            "sprayed with water, watched",
            place=zone.place,
            **_hold(ready, starts[f"{zone.place}-1"]),
        )
    more = {"readings": None, "point": "review"}
    book.add("surface preparation", "sequence of grits", "COA-03", file, "SPEC-07 C 4.3", "log read", **more)
    for part in PLACES:
        if part.kind == "part":
            _metal(book, part.place)


def _laminate(book: _Plan) -> None:
    hold = _hold(moment("02-17 16:10"), moment("02-18 07:30"))
    how = "meter against a dry reference"
    book.add("laminate", "moisture of the laminate", "COA-16", "moisture.csv", "SPEC-07 C 2.1", how, **hold)
    how = "ten readings a zone"
    book.add("laminate", "hardness of the laminate", "COA-16", "hardness.csv", "SPEC-07 C 2.2", how)


def _metal(book: _Plan, part: str) -> None:
    book.add(
        "metal parts",
        f"salt, dust, profile and time to primer, {_NAMES[part]}",
        "COA-14",
        "coating/metal_parts.csv",
        "SPEC-07 C 3",
        "extraction, tape, needle gauge",
        place=part,
        point="witness",
        party="paint maker",
        notified_on=date(2026, 2, 24),
        attended="attended" if part in ("M2", "M3") else "waived",
    )


_LOGGED = (
    ("dew-point margin", "COA-04", "coating/climate.csv", "SPEC-07 C 5.1", "logger in each zone"),
    ("temperature and humidity", "COA-05", "coating/climate.csv", "data sheets", "logger in each zone"),
    ("time between coats", "COA-06", "coating/coats.csv", "data sheets, table 3", "log read"),
    ("batches and pot life", "COA-07", "coating/coats.csv", "data sheets, table 1", "log read"),
    ("litres against area", "COA-09", "coating/coats.csv", "SPEC-07 C 6.4", "log read"),
    ("people and days in preparation", "COA-15", "coating/effort.csv", "ITP-07 2", "day sheets"),
)


def _while(book: _Plan, starts: Mapping[str, datetime]) -> None:
    for what, check, file, clause, method in _LOGGED:
        book.add("painting", what, check, file, clause, method, readings=None, point="monitor")
    for zone in ZONES:
        key = zone.place
        first = starts[f"{key}-3"] if key == "Z7" else starts[f"{key}-4"]
        ready = moment(_TOPCOAT_READY[_GROUP[key]]) + timedelta(minutes=4 * int(key[1]))
        if key == LATE_RELEASE_ZONE:
            ready = moment("03-11 11:20")
        book.add(
            "painting",
            f"undercoat sanded to P400 and cleaned, release for topcoat, {_NAMES[key]}",
            "COA-03",
            "coating/preparation.csv",
            "SPEC-07 C 4.4",
            "preparation log read",
            place=key,
            readings=None,
            **_hold(ready, first),
        )


_FINISHED = (
    ("cross-cut", "COA-10", "coating/cross_cut.csv", "SPEC-07 C 7.2", "two lattices on each of four panels"),
    ("gloss", "COA-11", "coating/gloss.csv", "SPEC-07 C 8.1", "ten readings a zone at 60° and at 20°"),
    ("image, orange peel and dust", "COA-12", "coating/appearance.csv", "SPEC-07 C 8.2", "three areas a zone or more"),
    ("colour", "COA-13", "coating/colour.csv", "SPEC-07 C 8.4", "colour meter against the master panel"),
)


def _after(book: _Plan) -> None:
    stage = "finished film"
    for zone in ZONES:
        how = "eddy-current gauge on witness plates" if zone.place == "Z7" else "ultrasonic gauge"
        what, file = f"film thickness, {_NAMES[zone.place]}", "coating/film_thickness.csv"
        book.add(stage, what, "COA-08", file, "SPEC-07 C 6.1", how, place=zone.place)
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
    for what, check, file, clause, method in _FINISHED:
        book.add(stage, what, check, file, clause, method)
    book.add(stage, "hull number everywhere", "REG-01", "hull_number.csv", "QP-15 A 4", "read", point="review")


def photographs(
    captions: Mapping[str, tuple[str, str, str | None, str, str]], scales: Mapping[str, str]
) -> tuple[PhotographRecord, ...]:
    """One row for each picture: file to caption, alternative, place, day, check; and what shows the size in some."""
    return tuple(
        PhotographRecord(
            where=here(PhotographRecord),
            file=f"photographs/{file}",
            caption=caption,
            alternative=alternative,
            place=place,
            taken=moment(f"{day} 00:00").date(),
            check=check,
            scale=scales.get(file),
        )
        for file, (caption, alternative, place, day, check) in captions.items()
    )
