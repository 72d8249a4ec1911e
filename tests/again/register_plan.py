"""REG-02 and REG-04 again: was everything planned recorded, and everything that failed put right or accepted?

Both look at what all chapters found. Of the chapters of laminate and paint, and of the register itself, that is what is
recomputed here. Of the other chapters it is taken from the book's own list, since other scripts recompute those: where
all scripts agree with the book, this rests on them too.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from tests.again import (
    coating_climate,
    coating_film,
    coating_work,
    laminate_burned,
    laminate_tested,
    register_instruments,
)
from tests.again.common_rules import GOVERNING, Key, Limit, Own, Package, Row, fact, held
from tests.again.comparing import by_key

PLACE_COLUMNS = ("zone", "place", "part", "propeller", "position", "space", "pump", "tank")
MET = ("pass", "conditional pass")
DECIDED = {"rework": "reworked", "repair": "repaired", "scrap": "scrapped", "use as is": "accepted as found"}


def recomputed(package: Package) -> dict[Key, Own]:
    """Every finding of these checks."""
    verdicts = known(package)
    own = _plan(package, verdicts)
    verdicts |= {key: result.verdict for key, result in own.items()}
    return own | _reports(package, verdicts) | _fails(package, verdicts)


def known(package: Package) -> dict[Key, str]:
    """The verdicts that REG-02 and REG-04 look at: own ones, and for the other chapters those of the book."""
    verdicts = {
        key: line["verdict"]
        for chapter in ("INF", "PAR", "PRO", "SHA", "VIB", "SYS")
        for key, line in by_key(package.findings, chapter).items()
    }
    for script in (
        laminate_burned,
        laminate_tested,
        coating_climate,
        coating_film,
        coating_work,
        register_instruments,
    ):
        verdicts |= {key: result.verdict for key, result in script.recomputed(package).items()}
    return verdicts


def _plan(package: Package, verdicts: Mapping[Key, str]) -> dict[Key, Own]:
    """REG-02: a record for each line; hold points released before work went on; witnesses told beforehand."""
    own: dict[Key, Own] = {}
    for line in package.rows("plan.csv"):
        name, rows = line.text("line"), counted(package, line)
        key = Key("REG-02", "record present", name)
        if not rows:
            own[key] = Own("not measured", limit=Limit())
        else:
            opening = any(row.cells.get("opening") == line.text("place") for row in rows)
            words = "finding of" if opening else f"{len(rows)} readable row"
            short = (line.number("readings") or 0) > len([r for r in rows if r.cells.get("attempt", "1") == "1"])
            own[key] = held(fact(True, words, line.text("check") if opening else line.text("record")), short)
        if line.text("point") == "hold" or line.text("released_on") or line.text("released_by"):
            released, on = line.when("released_on"), line.when("went_on")
            words = (
                f"released {released:%Y-%m-%d %H:%M} by {line.text('released_by')}, work went on {on:%Y-%m-%d %H:%M}"
            )
            own[Key("REG-02", "release of the hold point", name)] = fact(released <= on, words)
        if line.text("point") == "witness":
            told = line.day("notified_on")
            began = min((_day(row) for row in rows), default=date.max)
            words = f"{line.text('party')} told {told}, {line.text('attended')}"
            met = told is not None and told <= began and line.text("attended") in ("attended", "waived")
            own[Key("REG-02", "notice and attendance", name)] = fact(met, words)
    return own | _outside(package, verdicts)


def _day(row: Row) -> date:
    return row.when("prepared_at" if "prepared_at" in row.cells else "at").date()


def counted(package: Package, line: Row) -> list[Row]:
    """The rows that a line of the plan counts: those of its place, or those that no line with a place counts.

    A line that names no place but a number leaves out what other lines of its check, or of another chapter, count.
    """
    rows = package.rows(line.text("record"))
    if line.text("place"):
        return [row for row in rows if line.text("place") in (_place(row), row.cells.get("opening"))]
    if line.number("readings") is None:
        return rows
    taken = {
        other.text("place")
        for other in package.rows("plan.csv")
        if other.text("record") == line.text("record")
        and other.text("place")
        and (other.text("check") == line.text("check") or other.text("check")[:3] != line.text("check")[:3])
    }
    return [row for row in rows if _place(row) not in taken]


def _place(row: Row) -> str:
    columns = ("part",) if row.file == "infusion/areas.csv" else PLACE_COLUMNS  # its zones are those of the schedule
    return next((row.text(column) for column in columns if column in row.cells), "")


def _outside(package: Package, verdicts: Mapping[Key, str]) -> dict[Key, Own]:
    """Checks with results at places for which the plan has no line of theirs."""
    lines = package.rows("plan.csv")
    found = {
        key.check
        for key, verdict in verdicts.items()
        if not key.check.startswith("REG")
        and key.role == GOVERNING
        and key.place
        and verdict not in ("not measured", "no record")
        if not any(line.text("check") == key.check and line.text("place") in ("", key.place) for line in lines)
    }
    return {Key("REG-02", "records outside the plan", condition=check): Own("information") for check in sorted(found)}


def _reports(package: Package, verdicts: Mapping[Key, str]) -> dict[Key, Own]:
    """REG-04: what each report's decision asks for, and whether it is shown."""
    own = {}
    for report in package.rows("nonconformities.csv"):
        closed, decided = report.text("closed_on"), report.text("disposition")
        accepted = all(report.text(head) for head in ("approved_by", "approver_role", "justification"))
        if not closed:
            verdict = "fail"
        elif decided == "rework":
            later = _later(report, verdicts)
            verdict = "pass" if later and all(verdicts[key] in MET for key in later) else "fail"
        elif decided == "scrap":
            verdict = "pass"
        else:
            verdict = "conditional pass" if accepted else "fail"
        words = f"closed {closed}, {DECIDED[decided]}" if closed else f"open; decided: {DECIDED[decided]}"
        key = Key("REG-04", "closing of the nonconformity report", report.text("report"))
        own[key] = Own(verdict, limit=Limit(guard=0), seen=(words,))
    return own


def _later(report: Row, verdicts: Mapping[Key, str]) -> list[Key]:
    """The findings that show the rework: the same key with the attempt as left, or that attempt under a new number.

    A new specimen has a number of its own, so any piece of the same place counts that has no first attempt itself.
    """
    attempt = int(report.value("as_left_attempt"))
    check, quantity, place, condition = (report.text(head) for head in ("check", "quantity", "place", "condition"))
    exact = Key(check, quantity, place, condition, attempt)
    if exact in verdicts:
        return [exact]
    return [
        key
        for key in verdicts
        if (key.check, key.quantity, key.place, key.attempt, key.role) == (check, quantity, place, attempt, GOVERNING)
        and Key(check, quantity, place, key.condition) not in verdicts
    ]


def _fails(package: Package, verdicts: Mapping[Key, str]) -> dict[Key, Own]:
    """REG-04: a report behind every governing finding that failed, matched word for word."""
    reports: dict[Key, str] = {}
    for report in package.rows("nonconformities.csv"):
        check, quantity, place, condition = (report.text(head) for head in ("check", "quantity", "place", "condition"))
        reports[Key(check, quantity, place, condition, int(report.number("attempt") or 1))] = report.text("report")
    own = {}
    for key, verdict in verdicts.items():
        if verdict in ("fail", "conditional fail") and key.role == GOVERNING:
            about = ", ".join(filter(None, (key.check, key.quantity, key.condition)))
            reported = reports.get(key)
            words = (f"reported as {reported}",) if reported else ()
            own[Key("REG-04", "report behind the fail", key.place, about, key.attempt)] = fact(bool(reported), *words)
    return own
