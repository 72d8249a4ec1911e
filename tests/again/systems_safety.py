"""Detectors, extinguishers, seacocks, mains, lights: SYS-14, SYS-15, SYS-17 and SYS-18."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from tests.again.common_rules import REFERENCE, Limit, Own, Package, Row, Value, held, standard
from tests.again.drive_rules import NO_LIMIT, About, agreed, figure, judged, rows_of, worded

NOT_TRIED = ("extinguisher", "fixed extinguishing system", "fire blanket")  # a trial would empty them
IN_DATE, PAIR = Limit(low=0.0, guard=0.0), Limit(low=2.0, guard=0.0)  # common practice


def counted(value: float, unit: str) -> Value:
    """A number of days or of clamps."""
    return Value(value, None, kind="counted", unit=unit)


def about(check: str, quantity: str, row: Row) -> About:
    """The key of a row."""
    return check, quantity, row["place"], "", int(row["attempt"])


def answered(key: About, row: Row, head: str, good: str) -> Own:
    """A thing that was tried, with its answer in words; not measured where the cell is empty."""
    answer = row.text(head)
    if not answer:
        return worded(key, "not measured", "", rows_of([row]), NO_LIMIT)
    return worded(key, "pass" if answer == good else "fail", answer, rows_of([row]), NO_LIMIT)


def devices(package: Package) -> Iterator[Own]:
    """SYS-14: does it work, where it can be tried; days from delivery to the last good day of its label."""
    delivered: date = package.hull["dates"]["delivered"]
    for row in package.rows("systems/safety_devices.csv"):
        if row["kind"] not in NOT_TRIED or row.text("works"):
            works = row.text("works") == "yes"
            words = "works" if works else "does not work"
            key = about("SYS-14", "works when tried", row)
            yield worded(key, "pass" if works else "fail", words, rows_of([row]), NO_LIMIT)
        until = row.day("good_until")
        assert until is not None
        key = about("SYS-14", "days in date", row)
        words = f"until {until.isoformat()}"
        left = counted(float(until.toordinal() - delivered.toordinal()), "d")
        own = agreed(package, *key[:3])
        yield judged(key, left, own or IN_DATE, observed=words, rows=rows_of([row]))
        if own:
            yield judged(key, left, IN_DATE, role=REFERENCE, observed=words, rows=rows_of([row]))


def seacocks(package: Package) -> Iterator[Own]:
    """SYS-15: worked by hand; clamps, of which practice asks two below the waterline and nothing above it.

    Where no hose is fitted there is nothing to count; where neither hose nor clamps are on record nobody counted.
    """
    for row in package.rows("systems/seacocks.csv"):
        yield answered(about("SYS-15", "opens and shuts", row), row, "operated", "opens and shuts")
        key = about("SYS-15", "clamps on each hose end", row)
        usual = PAIR if row["below"] == "yes" else NO_LIMIT
        if row["hose"] == "none" or not row.text("clamps"):
            nothing = "not applicable" if row["hose"] == "none" else "not measured"
            yield worded(key, nothing, "", rows_of([row]), agreed(package, *key[:3]) or usual)
            continue
        yield judged(key, counted(row.value("clamps"), "1"), agreed(package, *key[:3]) or usual, rows=rows_of([row]))


def tripped(key: About, row: Row) -> Own:
    """Whether a device tripped, by its row; a time alone does not say so."""
    said = row.text("tripped")
    if not said:
        return worded(key, "inconclusive" if row.text("time") else "not measured", "", rows_of([row]), NO_LIMIT)
    words = "tripped" if said == "yes" else "It did not trip."
    return worded(key, "pass" if said == "yes" else "fail", words, rows_of([row]), NO_LIMIT)


def mains(package: Package) -> Iterator[Own]:
    """SYS-17: did it trip at its rated residual current, and how fast, by the builder's figure; wires of the sockets.

    Both are held where another current was used. What did not trip has no time.
    """
    for row in package.rows("systems/residual_current.csv"):
        u = standard(package.instrument(row["instrument"], "trip time"))
        heads = {head.split(" ")[0]: head for head in row.whole}
        other = row[heads["rated"]] != row[heads["current"]]
        key, rows = about("SYS-17", "trips at rated residual current", row), rows_of([row])
        yield held(tripped(key, row), other)
        key = about("SYS-17", "trip time at rated residual current", row)
        time, limit = row.number("time"), agreed(package, *key[:3]) or NO_LIMIT
        if time is None or row.text("tripped") != "yes":
            answer = {"no": "not applicable", "yes": "inconclusive"}.get(row.text("tripped"), "inconclusive")
            neither = time is None and not row.text("tripped")
            yield worded(key, "not measured" if neither else answer, "", rows, limit)
            continue
        yield judged(key, figure(time, "s", 2.0 * u), limit, doubt=other, rows=rows)
    for row in package.rows("systems/sockets.csv"):
        yield answered(about("SYS-17", "wires of the socket", row), row, "wiring", "right")


def lights(package: Package) -> Iterator[Own]:
    """SYS-18: each works, on a day that is on record; without the day nothing shows it."""
    for row in package.rows("systems/lights_and_stops.csv"):
        key = about("SYS-18", "works", row)
        works = row.text("works") == "yes"
        if works and row.day("on") is None:
            yield worded(key, "no record", "", rows_of([row]), NO_LIMIT)
            continue
        words = "works" if works else "does not work"
        seen = f"{words}: {row.text('found')}" if row.text("found") else words
        yield worded(key, "pass" if works else "fail", seen, rows_of([row]), NO_LIMIT)
