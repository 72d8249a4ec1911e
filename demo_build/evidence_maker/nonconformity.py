"""The yard's nonconformity reports."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from buildbook.chapters.coating.records import Coat
from buildbook.chapters.shared_records import Nonconformity, Planned
from demo_build.evidence_maker.air import GAP_COAT
from demo_build.evidence_maker.coating_work import LATE_COAT, THIN_ZONE
from demo_build.evidence_maker.readings import DUSTY_ZONE
from demo_build.evidence_maker.tables import here

Row = dict[str, object]
_AS_IT_IS: Row = {"disposition": "use as is", "approved_by": "MD", "approver_role": "builder", "other_hulls": "no"}


def late_release_line(lines: Sequence[Planned]) -> Planned:
    """The hold point that was released after the next stage had begun."""
    return next(line for line in lines if line.released_on and line.went_on and line.released_on > line.went_on)


def reports(lines: Sequence[Planned], log: Sequence[Coat]) -> tuple[Nonconformity, ...]:
    """The six reports, in order of date."""
    rows = (_released_late(lines, log), _NO_READINGS, _THIN, _DUSTY, _OVERDUE, _late_coat(log))
    return tuple(
        Nonconformity.model_validate({"where": here(Nonconformity), "report": f"NCR-{number:02}", **row})
        for number, row in enumerate(rows, 1)
    )


def _released_late(lines: Sequence[Planned], log: Sequence[Coat]) -> Row:
    late = late_release_line(lines)
    begun = next(coat for coat in log if coat.zone == late.place and coat.mixed == late.went_on)
    times = [f"{when:%H:%M}" if when else "" for when in (late.released_on, begun.mixed, begun.started)]
    found = f"released at {times[0]}; the first topcoat was mixed at {times[1]} and begun at {times[2]} that day"
    return {
        "found_on": date(2026, 3, 11),
        "found_by": "QA RT",
        "stage": "painting",
        "check": "REG-02",
        "quantity": "release of the hold point",
        "place": late.line,
        "requirement": "ITP-07 2, hold point before topcoat",
        "as_found": found,
        "correction": "spraying of the next zone stopped until it was released",
        **_AS_IT_IS,
        "justification": "TN-114",
        "work": "undercoat looked at on the strips under the tape and on the panel; both sanded and clean",
        "reinspected_on": date(2026, 3, 12),
        "reinspected_by": "QA KL",
        "cause": "release form lay in the office while the painter read the board in the shed",
        "corrective_action": "the form hangs on the zone; no mixing without it",
        "closed_on": date(2026, 3, 13),
    }


_NO_READINGS: Row = {
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
    "correction": "logger TH-02 plugged in again at 12:55",
    **_AS_IT_IS,
    "justification": "TN-117",
    "work": "readings of the port side (TH-01) over the same hours set beside it; nothing repainted",
    "reinspected_on": date(2026, 3, 23),
    "reinspected_by": "QA RT",
    "cause": "logger of this zone unplugged for a lamp",
    "corrective_action": "loggers on their own locked socket",
    "closed_on": date(2026, 3, 24),
}

_THIN: Row = {
    "found_on": date(2026, 3, 25),
    "found_by": "QA KL",
    "stage": "finished film",
    "check": "COA-08",
    "quantity": "smallest film thickness",
    "place": THIN_ZONE,
    "attempt": 1,
    "requirement": "SPEC-07 C 6.2",
    "as_found": "smallest reading 206 µm, at least 224 µm (80 % of 280 µm); thin along the port edge",
    "correction": "zone marked, three more readings taken along the edge",
    "disposition": "rework",
    "approved_by": "MD",
    "approver_role": "builder",
    "justification": "SPEC-07 C 6.5",
    "work": "abraded with P400 and P500, wiped, two further topcoats",
    "reinspected_on": date(2026, 4, 7),
    "reinspected_by": "QA RT",
    "as_left_attempt": 2,
    "cause": "second high-build coat sprayed past the edge of the staging",
    "corrective_action": "staging moved for the transom of the next hull",
    "closed_on": date(2026, 4, 8),
    "other_hulls": "no",
}

_DUSTY: Row = {
    "found_on": date(2026, 4, 8),
    "found_by": "QA RT",
    "stage": "finished film",
    "check": "COA-12",
    "quantity": "dust inclusions",
    "place": DUSTY_ZONE,
    "attempt": 1,
    "requirement": "SPEC-07 C 8.3",
    "as_found": "9 inclusions per dm² in the worst of four sample areas, 7 to 8 in the others; at most 5",
    "correction": "area mapped; TN-121 proposes to leave it as it is",
    **_AS_IT_IS,
    "approved_by": "JV",
    "approver_role": "client",
    "justification": "CL-04",
    "cause": "side doors opened for a delivery while the last coat was wet",
    "corrective_action": "doors locked while a coat is wet",
}

_OVERDUE: Row = {
    "found_on": date(2026, 4, 14),
    "found_by": "QA KL",
    "stage": "finished film",
    "check": "REG-03",
    "quantity": "calibration on the day of use",
    "place": "GL-01",
    "condition": "gloss",
    "requirement": "QP-03 D 4",
    "as_found": "gloss of the transom read on 2026-04-14, four days after the meter was due",
    "correction": "meter taken out of use after the readings",
    **_AS_IT_IS,
    "justification": "TN-122",
    "work": "re-checked against the reference tile the same day: 0.3 GU from its value at 60°, 0.4 GU at 20°",
    "reinspected_on": date(2026, 4, 14),
    "reinspected_by": "QA RT",
    "cause": "transom measured late after its recoat; the due date had passed in between",
    "corrective_action": "list of due dates read every Monday",
    "closed_on": date(2026, 4, 22),
}


def _late_coat(log: Sequence[Coat]) -> Row:
    """Written when the log was read again: the sheet lets the coat follow after abrading, so no finding fails by it."""
    late = next(coat for coat in log if coat.coat == LATE_COAT)
    below = next(coat for coat in log if (coat.zone, coat.layer) == (late.zone, late.layer - 1))
    hours = (late.started - below.finished).total_seconds() / 3600
    return {
        "found_on": date(2026, 4, 17),
        "found_by": "QA RT",
        "stage": "painting",
        "check": "COA-06",
        "place": late.zone,
        "condition": late.coat,
        "requirement": "SPEC-07 C 5.6, a coat that will be late is reported before it is re-keyed",
        "as_found": f"re-keyed as the sheet allows, {hours:.2f} h after the coat below, but not reported before",
        "correction": "abraded with P400 on 2026-03-14, vacuumed and wiped before the coat",
        **_AS_IT_IS,
        "justification": "TN-123",
        "work": "log read again; three pull-off tests on the panel of this zone gave 6.0 to 7.6 MPa",
        "reinspected_on": date(2026, 4, 20),
        "reinspected_by": "QA KL",
        "cause": "spray air dryer out of order on 13 March",
        "corrective_action": "second dryer; a coat that will be late is reported before it is re-keyed",
        "closed_on": date(2026, 4, 23),
    }
