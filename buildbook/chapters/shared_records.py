"""Tables that two chapters or more ask: places, instruments, plan, reports, photographs, documents, hull condition."""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar, Literal

from pydantic import model_validator

from buildbook.core.finding import Key
from buildbook.core.record import Record, Table, column

MOST = 1e9  # no instrument has a range, a step or a U beyond that in any unit a yard writes: a typing error


class Place(Record):
    table: ClassVar[Table] = Table("places.csv", "Places on her", "one zone, part or position", ("place",), "place")

    place: str = column("Short id of the place, used in every other table", example="Z1")
    name: str = column("Its name in words", example="Topsides, port")
    kind: Literal["zone", "part", "opening", "position"] = column("What kind of place it is", example="zone")
    x: float | None = column("Forward of the transom", unit="m", low=-5, high=120, blank=True, example="9.5")
    y: float | None = column("To starboard of the centreline", unit="m", low=-20, high=20, blank=True, example="-2.4")
    z: float | None = column("Above the design waterline", unit="m", low=-10, high=40, blank=True, example="1.1")
    area: float | None = column("Painted area", unit="m2", low=0.001, high=5000, blank=True, example="31.5")
    visibility: Literal["high", "low"] | None = column("How closely it is looked at", blank=True, example="high")
    substrate: Literal["gelcoat", "laminate", "filler", "aluminium", "steel", "stainless steel"] | None = column(
        "What the paint stands on", blank=True, example="gelcoat"
    )
    painted: bool = column("Whether it is painted", example="yes")
    note: str | None = column("Anything a reader should know", blank=True)


class Instrument(Record):
    table: ClassVar[Table] = Table(
        "instruments.csv",
        "Instruments",
        "one instrument and one quantity it measures",
        ("instrument", "quantity"),
        "instrument",
    )

    instrument: str = column("Short id of the instrument, named by every reading", example="TH-01")
    quantity: str = column(
        "What this row is about: an instrument may measure several quantities", example="air temperature"
    )
    type: str = column("What it is", example="thermo-hygrometer")
    serial: str | None = column("Serial number", blank=True, example="004117")
    certificate: str | None = column("Number of the calibration certificate", blank=True, example="CAL-2025-118")
    laboratory: str | None = column("Who calibrated it", blank=True, example="Example Calibration Laboratory")
    calibrated: date | None = column("Date of calibration", blank=True, example="2025-09-12")
    due: date | None = column("Date the next calibration is due", blank=True, ahead=True, example="2026-09-12")
    unit: str = column("Unit of the next five columns", example="degC")
    range_low: float | None = column(
        "Lower end of its range, in the unit of this row", low=-MOST, high=MOST, blank=True, example="-10"
    )
    range_high: float | None = column(
        "Upper end of its range, in the unit of this row", low=-MOST, high=MOST, blank=True, example="60"
    )
    resolution: float | None = column(
        "Smallest step it shows, in the unit of this row", low=0, high=MOST, blank=True, example="0.1"
    )
    uncertainty: float | None = column(
        "Expanded uncertainty U from the certificate, in the unit of this row",
        low=0,
        high=MOST,
        blank=True,
        example="0.3",
    )
    coverage: float | None = column("Coverage factor k of that U", low=1, high=3, blank=True, example="2")
    note: str | None = column("Anything a reader should know", blank=True)

    @model_validator(mode="after")
    def _dates_in_order(self) -> Instrument:
        if self.calibrated and self.due and self.due < self.calibrated:
            raise ValueError("due: a date on or after `calibrated`")
        if self.range_low is not None and self.range_high is not None and self.range_high < self.range_low:
            raise ValueError("range_high: an end not below `range_low`")
        if self.uncertainty is not None and self.coverage is None:
            raise ValueError("coverage: a coverage factor k beside every uncertainty")
        width = None if self.range_low is None or self.range_high is None else self.range_high - self.range_low
        if self.uncertainty is not None and width is not None and 2.0 * self.uncertainty >= width > 0:
            raise ValueError("uncertainty: less than half of its range; with more, its readings tell nothing apart")
        return self


class Nonconformity(Record):
    table: ClassVar[Table] = Table("nonconformities.csv", "Nonconformity reports", "one report", ("report",), "report")

    report: str = column("Number of the report", example="NCR-03")
    found_on: date = column("Date it was found", example="2026-03-19")
    found_by: str = column("Who found it: role and initials", person=True, example="QA KL")
    stage: str = column("Stage of the work", example="topcoat")
    check: str | None = column("Check it belongs to", blank=True, example="COA-08")
    quantity: str | None = column(
        "Quantity of that check, in the words of the check", blank=True, example="smallest film thickness"
    )
    place: str | None = column("Place it was found at", blank=True, example="Z4")
    condition: str | None = column("Coat, specimen or other condition", blank=True, example="")
    attempt: int | None = column("Attempt that failed, if a reading failed", low=1, high=50, blank=True, example="1")
    requirement: str = column("The requirement that was not met: document, revision, clause", example="SPEC-07 C 5.3")
    as_found: str = column("What was found, with its uncertainty", example="88 ± 6 µm, at least 120 µm")
    correction: str | None = column("What was done at once", blank=True, example="zone marked, no further coat")
    disposition: Literal["rework", "repair", "use as is", "scrap", "regrade"] | None = column(
        "What was decided; empty while it is open", blank=True, example="rework"
    )
    approved_by: str | None = column("Who decided that: initials", blank=True, person=True, example="MD")
    approver_role: Literal["builder", "designer", "paint maker", "class", "flag", "client"] | None = column(
        "In which role", blank=True, example="designer"
    )
    justification: str | None = column("Document that justifies it", blank=True, example="TN-112")
    work: str | None = column("What was done", blank=True, example="abraded P320, two further coats")
    reinspected_on: date | None = column("Date of the re-inspection", blank=True, example="2026-03-23")
    reinspected_by: str | None = column("Who re-inspected: role and initials", blank=True, person=True, example="QA RT")
    as_left_attempt: int | None = column("Attempt that shows the result", low=1, high=50, blank=True, example="2")
    cause: str | None = column("Cause", blank=True, example="spray gun at the wrong distance")
    corrective_action: str | None = column("What stops it from coming back", blank=True)
    replaced_on: date | None = column(
        "Date a new part took the place of the old one, where that was done; older readings speak of the old part",
        blank=True,
        example="",
    )
    closed_on: date | None = column("Date it was closed; empty while open", blank=True, example="2026-03-24")
    other_hulls: str | None = column("Whether other hulls are affected, and which", blank=True, example="no")

    @property
    def concerns(self) -> Key:
        """The finding it is about, as far as the row says; the first attempt where it names none."""
        return Key(self.check or "", self.quantity or "", self.place or "", self.condition or "", self.attempt or 1)

    @model_validator(mode="after")
    def _dates_in_order(self) -> Nonconformity:
        if self.closed_on and self.closed_on < self.found_on:
            raise ValueError("closed_on: a date on or after `found_on`")
        if self.replaced_on and self.replaced_on < self.found_on:
            raise ValueError("replaced_on: a date on or after `found_on`")
        if self.reinspected_on and self.reinspected_on < self.found_on:
            raise ValueError("reinspected_on: a date on or after `found_on`")
        return self


class Planned(Record):
    table: ClassVar[Table] = Table("plan.csv", "Inspection and test plan", "one planned inspection", ("line",), "line")

    line: str = column("Number of the line", example="ITP-14")
    stage: str = column("Stage of the work", example="topcoat")
    characteristic: str = column("What is inspected", example="film thickness, topsides port")
    check: str = column("Check it belongs to", example="COA-08")
    place: str | None = column("Place, if it is about one place", blank=True, example="Z1")
    requirement: str = column("Requirement: document, revision, clause", example="SPEC-07 C 5.3")
    method: str = column("How it is done", example="ultrasonic gauge, 20 readings")
    record: str = column("File of this folder that holds the record", example="coating/film_thickness.csv")
    readings: int | None = column(
        "How many readings are planned for the first attempt", low=1, high=100000, blank=True, example="20"
    )
    point: Literal["hold", "witness", "monitor", "review"] = column("Kind of inspection point", example="hold")
    party: str = column("Who releases, witnesses or looks", example="builder QA")
    notified_on: date | None = column("Witness point: date of the notice", blank=True, example="2026-03-10")
    attended: Literal["attended", "waived"] | None = column(
        "Witness point: what came of it", blank=True, example="attended"
    )
    released_on: datetime | None = column("Hold point: when it was released", blank=True, example="2026-03-18 15:30")
    released_by: str | None = column("Hold point: role and initials", person=True, blank=True, example="QA KL")
    went_on: datetime | None = column("When the next stage began", blank=True, example="2026-03-19 07:30")


class PhotographRecord(Record):
    table: ClassVar[Table] = Table(
        "photographs.csv",
        "Photographs",
        "one picture",
        ("file",),
        "place",
        row_lost="The picture is not shown. What rests on it is no better than inconclusive.",
    )

    file: str = column("Path of the picture inside the hull folder", example="photographs/water-film.png")
    caption: str = column("What to look at", example="Water runs off in a sheet, port topsides")
    alternative: str = column("The same for readers who cannot see it", example="Drawing of an unbroken water film")
    place: str | None = column("Place it shows", refers=Place, blank=True, example="Z1")
    taken: date = column("Date it was taken", example="2026-03-02")
    check: str | None = column("Check it belongs to", blank=True, example="COA-02")
    scale: str | None = column(
        "What shows the size in it: a rule, a coin, a part of known size; empty where size does not matter",
        blank=True,
        example="steel rule, marks of 1 mm",
    )


class Moisture(Record):
    table: ClassVar[Table] = Table(
        "moisture.csv",
        "Moisture readings of the laminate",
        "one reading",
        ("place", "number"),
        "place",
        number="number",
        time="at",
        series="",
    )

    place: str = column("Place", refers=Place, example="Z1")
    number: int = column("Running number of the reading at this place: 1, 2, 3 …", low=1, high=100000, example="1")
    at: datetime = column("Date and time", example="2026-02-27 10:15")
    meter_scale: str = column("Scale of the meter the reading is on", example="relative 0-100, mode 2")
    reading: float = column("Reading on that scale (not per cent of water)", low=0, high=1000, example="11")
    dry_reference: float = column(
        "Reading on the same scale at a dry spot of the same laminate", low=0, high=1000, example="9"
    )
    days_drying: float | None = column(
        "Days in the dry before the reading", unit="d", low=0, high=5000, blank=True, example="21"
    )
    surface_state: str | None = column("State of the surface", blank=True, example="bare gelcoat")
    instrument: str = column(
        "Instrument",
        refers=Instrument,
        example="MM-01",
        measures={"reading": "moisture", "dry_reference": "moisture"},
    )


class Hardness(Record):
    table: ClassVar[Table] = Table(
        "hardness.csv",
        "Hardness of the laminate",
        "one reading",
        ("place", "attempt", "number"),
        "place",
        "",
        "attempt",
        "at",
        "number",
        series="",
    )

    place: str = column("Place", refers=Place, example="Z1")
    attempt: int = column("1 for the first series, 2 after more cure, and so on", low=1, high=50, example="1")
    number: int = column("Running number of the reading: 1, 2, 3 …", low=1, high=100000, example="1")
    at: datetime = column("Date and time", example="2026-02-27 11:00")
    barcol: float = column("Reading of the Barcol impressor, model 934-1 scale", low=0, high=100, example="42")
    instrument: str = column("Instrument", refers=Instrument, example="BI-01", measures={"barcol": "Barcol hardness"})


class Effort(Record):
    table: ClassVar[Table] = Table("coating/effort.csv", "People and days", "one stage on one day", ("day", "stage"))

    day: date = column("Date", example="2026-03-02")
    stage: str = column("Stage of the work", example="wash and de-wax")
    people: int = column("How many people", low=1, high=500, example="6")
    hours: float = column("Hours each of them worked", unit="h", low=0, high=24, example="8")


TABLES: tuple[type[Record], ...] = (
    Place,
    Instrument,
    Planned,
    Nonconformity,
    PhotographRecord,
    Moisture,
    Hardness,
    Effort,
)
