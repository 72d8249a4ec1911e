"""INF-01, 02, 03 and 07 again: pressures, temperatures and times of the infusion.

Written from the pages and the worked text; nothing of the program is imported. The figures that the book names are
printed here once more: 1 mbar/min for large hulls, 18 to 25 degC, 80 degC beside foam (all common practice, no source),
one inch of mercury in five minutes (second-hand), a reading every 15 minutes (the book's own rule).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise

from tests.again.common_rules import GOVERNING, REFERENCE, Limit, Own, Package, Row, distance
from tests.again.drive_rules import NO_LIMIT, above, agreed, figure, judged, rows_of

PRACTICE_RISE, PUBLISHED_RISE = 1.0, 6.77  # mbar/min; 33.8639 mbar in 5 min is 6.77
EVERY = 15.0  # min
MINUTE_STEP = 1.0 / math.sqrt(12.0)  # min: a clock that is read to the minute
MINUTE = timedelta(minutes=1)
WORKSHOP = Limit(low=18.0, high=25.0)  # degC


def infusions(package: Package) -> dict[str, Row]:
    """The row of each part."""
    return {row.text("part"): row for row in package.rows("infusion/infusions.csv")}


def of_part(package: Package, part: str) -> list[Row]:
    """The log of one part in order of time."""
    return sorted((row for row in package.rows("infusion/log.csv") if row.text("part") == part), key=Row.when)


def absolute(row: Row) -> float:
    """Pressure in the bag [mbar]: as read, or the barometer less the reading."""
    if row.text("reads") == "absolute":
        return row.value("reading")
    return row.value("barometer") - row.value("reading")


def drop_tests(package: Package) -> Iterator[Own]:
    """INF-01: the rise over the last half of the time, with gauge and barometer counted at both ends.

    A rise of less than two digits of the gauge is a bound: two digits over that time.
    """
    tests: dict[tuple[str, int], list[Row]] = {}
    for row in package.rows("infusion/drop_tests.csv"):
        tests.setdefault((row.text("part"), int(row.value("attempt"))), []).append(row)
    for (part, attempt), rows in tests.items():
        rows.sort(key=Row.when)
        last, half = rows[-1], rows[-1].when() - (rows[-1].when() - rows[0].when()) / 2
        first = [row for row in rows if row.when() <= half][-1]
        minutes = (last.when() - first.when()) / MINUTE
        rise = absolute(last) - absolute(first)
        gauge = last.text("gauge")
        u = [package.standard(gauge, "bag pressure")] * 2
        u += [
            package.standard(row.text("barometer_gauge"), "barometric pressure")
            for row in (first, last)
            if row.text("reads") != "absolute"
        ]
        U = 2.0 * math.hypot(*u) / minutes
        digits = 2.0 * package.instrument(gauge, "bag pressure").value("resolution")
        if rise < digits:
            number = figure(digits / minutes, "mbar/min", U, kind="at most")
            observed = f"below resolution, over {minutes:g} min"
        else:
            number = figure(rise / minutes, "mbar/min", U)
            observed = f"over {minutes:g} min"
        about = ("INF-01", "rise of pressure", part, "", attempt)
        governing = agreed(package, *about[:3]) or Limit(high=PRACTICE_RISE)
        for limit, role in ((governing, GOVERNING), (Limit(high=PUBLISHED_RISE), REFERENCE)):
            yield judged(about, number, _physical(limit), role=role, observed=observed, rows=rows_of(rows))


def _physical(limit: Limit) -> Limit:
    """The builder's limit as it stands; a published one knows that a rise is not below zero."""
    return limit if limit.high not in (PRACTICE_RISE, PUBLISHED_RISE) else above(limit)


def holes(times: list[datetime], start: datetime, end: datetime) -> list[tuple[datetime, datetime]]:
    """The stretches from one reading to the next, with start and end counted as readings."""
    marks = [start, *(time for time in sorted(times) if start <= time <= end), end]
    return [(one, other) for one, other in pairwise(marks) if other > one]


def gap(times: list[datetime], start: datetime, end: datetime) -> bool:
    """Whether any stretch is longer than the rule allows."""
    return any((other - one) / MINUTE > EVERY for one, other in holes(times, start, end))


def minutes_between(start: datetime, end: datetime) -> tuple[float, float]:
    """A time of the log [min] and its U: the minute at both ends."""
    return (end - start) / MINUTE, 2.0 * math.sqrt(2.0) * MINUTE_STEP


def held(package: Package) -> Iterator[Own]:
    """INF-02: longest stretch, largest pressure after fill, time after gel, temperature at the end."""
    for part, row in infusions(package).items():
        log = of_part(package, part)
        bagged, filled, gelled, released = (row.when(name) for name in ("bagged", "filled", "gelled", "released"))
        times = [one.when() for one in log]
        longest = max(holes(times, bagged, released), key=lambda pair: pair[1] - pair[0])
        value, U = minutes_between(*longest)
        quantity = "longest stretch without a pressure reading"
        limit = agreed(package, "INF-02", quantity, part) or Limit(high=EVERY, guard=0.0, natural_low=0.0)
        ends = rows_of([row, *(one for one in log if one.when() in longest)])
        yield judged(
            ("INF-02", quantity, part, "", 1), figure(value, "min", U), limit, rows=ends, observed=span(longest)
        )
        after = [one for one in log if filled <= one.when() <= released]
        worst = max(after, key=lambda one: one.value("pressure"))
        U = 2.0 * package.standard(worst.text("gauge"), "bag pressure")
        about = ("INF-02", "largest bag pressure after fill", part, "", 1)
        yield judged(
            about,
            figure(worst.value("pressure"), "mbar", U),
            agreed(package, *about[:3]) or NO_LIMIT,
            doubt=gap(times, filled, released),
            rows=rows_of(after),
        )
        about = ("INF-02", "time under vacuum after gel", part, "", 1)
        usual = Limit(low=0.0, low_strict=True)
        specified = agreed(package, *about[:3])
        behind = rows_of([row, *(one for one in log if gelled <= one.when() <= released)])
        for limit, role in ((specified or usual, GOVERNING), *(((usual, REFERENCE),) if specified else ())):
            whole = judged(about, figure(*minutes_of(gelled, released)), limit, role=role, rows=behind)
            piece = longest_piece(times, gelled, released)
            if piece == (gelled, released) or "fail" in whole.verdict:
                yield whole
            else:
                yield judged(about, figure(*minutes_of(*piece), kind="at least"), limit, role=role, rows=behind)
        yield _cooled(package, part, row, log)


def minutes_of(start: datetime, end: datetime) -> tuple[float, str, float]:
    """A time of the log [min] with its unit and its U."""
    value, U = minutes_between(start, end)
    return value, "min", U


def longest_piece(times: list[datetime], start: datetime, end: datetime) -> tuple[datetime, datetime]:
    """The longest time that the log bears out: its stretches joined as long as none is longer than the rule allows."""
    best = piece = (start, start)
    for one, other in holes(times, start, end):
        piece = (piece[0], other) if (other - one) / MINUTE <= EVERY else (other, other)
        best = max(best, piece, key=lambda pair: pair[1] - pair[0])
    return best


def span(pair: tuple[datetime, datetime]) -> str:
    """A stretch of one day in words."""
    return f"{pair[0]:%Y-%m-%d %H:%M} to {pair[1]:%H:%M}"


def _cooled(package: Package, part: str, row: Row, log: list[Row]) -> Own:
    """The last temperature of the laminate before the vacuum was let go."""
    mine = [one for one in log if row.when("started") <= one.when() <= row.when("released")]
    last = mine[-1]
    hottest = max(mine, key=lambda one: one.value("laminate"))
    about = ("INF-02", "temperature when the vacuum was let go", part, "", 1)
    U = 2.0 * package.standard(last.text("thermometer"), "temperature")
    early = (row.when("released") - last.when()) / MINUTE > EVERY
    limit = agreed(package, *about[:3]) or NO_LIMIT
    return judged(about, figure(last.value("laminate"), "degC", U), limit, doubt=early, rows=rows_of([last, hottest]))


def climate(package: Package) -> Iterator[Own]:
    """INF-03: the reading nearest to its limit, from the first resin to gel; the resin at its mixes."""
    (sheet,) = package.rows("infusion/resins.csv")
    of_resin = Limit(low=sheet.number("temperature_low"), high=sheet.number("temperature_high"))
    for part, row in infusions(package).items():
        log = of_part(package, part)
        start, end = row.when("started"), row.when("gelled")
        mine = [one for one in log if start <= one.when() <= end]
        doubt = gap([one.when() for one in log], start, end)
        mixes = [one for one in package.rows("infusion/mixes.csv") if one.text("part") == part]
        for quantity, column, tool, read_as, unit, rows, usual in (
            ("air temperature", "air", "hygrometer", "air temperature", "degC", mine, WORKSHOP),
            ("mould temperature", "mould", "thermometer", "temperature", "degC", mine, WORKSHOP),
            ("relative humidity", "humidity", "hygrometer", "relative humidity", "%", mine, NO_LIMIT),
            ("resin temperature", "temperature", "thermometer", "temperature", "degC", mixes, of_resin),
        ):
            limit = agreed(package, "INF-03", quantity, part) or usual
            values = [one.value(column) for one in rows]
            worst = min(values, key=lambda value: distance(value, limit))
            U = 2.0 * package.standard(rows[0].text(tool), read_as)
            shown = "%" if unit == "%" else "°C"
            yield judged(
                ("INF-03", quantity, part, "", 1),
                figure(worst, unit, U),
                limit,
                doubt=doubt and rows is mine,
                observed=f"smallest {min(values):g} {shown}, largest {max(values):g} {shown}",
                rows=rows_of(rows),
            )


def peaks(package: Package) -> Iterator[Own]:
    """INF-07: the hottest reading from the first resin to the end; a part without foam has no limit."""
    cored = {row.text("part") for row in package.rows("infusion/areas.csv") if row.text("core")}
    for part, row in infusions(package).items():
        start, end = row.when("started"), row.when("released")
        log = of_part(package, part)
        mine = [one for one in log if start <= one.when() <= end]
        hottest = max(mine, key=lambda one: one.value("laminate"))
        U = 2.0 * package.standard(hottest.text("thermometer"), "temperature")
        about = ("INF-07", "largest laminate temperature", part, "", 1)
        limit = agreed(package, *about[:3]) or (Limit(high=80.0) if part in cored else NO_LIMIT)
        doubt = gap([one.when() for one in log], start, end) or hottest is mine[-1]
        inside = row.text("thermometer_lay") == "between plies"  # elsewhere it is cooler: a least value
        number = figure(hottest.value("laminate"), "degC", U, kind="measured" if inside else "at least")
        seen = f"thermometer: {row.text('thermometer_at')}"
        yield judged(about, number, limit, doubt=doubt, observed=seen, rows=rows_of(mine))
