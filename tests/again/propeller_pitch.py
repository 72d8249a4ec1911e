"""Pitch from angles and heights: PRO-01 to PRO-04, PRO-13, and the pitch half of PRO-14. Only the tables are read.

Formulas: pitch = 360 * rise / turn (definition of a helix); means are plain ones (ISO 484-2 clause 7, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from tests.again.common_rules import Limit, Own, Package, Row, standard
from tests.again.drive_rules import NO_LIMIT, agreed, figure, judged, rows_of, worst
from tests.again.propeller_classes import BLADE, LOCAL, RADIUS, WHOLE, other_way, set_against


@dataclass(frozen=True)
class Pitch:
    """One pitch [mm] with its standard uncertainty [mm]; `words` say between which stations."""

    value: float
    u: float
    words: str = ""


@dataclass(frozen=True)
class BladePitch:
    """One blade at one attempt: its stations on the face, by radius [% of the tip radius]."""

    package: Package
    propeller: str
    blade: str
    attempt: int

    @cached_property
    def rows(self) -> list[Row]:
        """Its rows in the order of their running numbers."""
        wanted = (self.propeller, self.blade, str(self.attempt))
        rows = self.package.rows("propeller/pitch.csv")
        mine = [
            row for row in rows if (row["propeller"], row["blade"], row["attempt"]) == wanted and row["on"] == "face"
        ]
        return sorted(mine, key=lambda row: int(row["number"]))

    @cached_property
    def sections(self) -> dict[float, list[Row]]:
        """The stations of each radius, by their angle."""
        radii = dict.fromkeys(float(row["radius [%]"]) for row in self.rows)
        return {
            radius: sorted(
                (r for r in self.rows if float(r["radius [%]"]) == radius), key=lambda r: float(r["angle [deg]"])
            )
            for radius in radii
        }

    def between(self, one: Row, other: Row) -> Pitch:
        """The pitch between two stations: P = 360 (h2 - h1) / (a2 - a1).

        Each reading has its own uncertainty, so both enter twice: u = hypot(sqrt2 u_h 360 / da, sqrt2 u_a P / da).
        """
        u_h = standard(self.package.instrument(one["instrument"], "height"))
        u_a = standard(self.package.instrument(one["instrument"], "angle"))
        first, second = float(one["angle [deg]"]), float(other["angle [deg]"])
        turn = second - first
        value = 360.0 * (float(other["height [mm]"]) - float(one["height [mm]"])) / turn
        u = math.hypot(math.sqrt(2.0) * u_h * 360.0 / turn, math.sqrt(2.0) * u_a * value / turn)
        return Pitch(value, u, f"from {first:g}° to {second:g}°")

    def local(self) -> Iterator[tuple[float, Pitch]]:
        """Radius and pitch of every step between neighbouring stations."""
        for radius, stations in self.sections.items():
            for one, other in pairwise(stations):
                yield radius, self.between(one, other)

    def by_radius(self) -> dict[float, Pitch]:
        """The mean pitch at each radius: from the first station to the last."""
        return {radius: self.between(stations[0], stations[-1]) for radius, stations in self.sections.items()}

    def mean(self) -> Pitch:
        """The plain mean of the radii. One error of the bench may be in all of them: u is the mean of their u."""
        pitches = list(self.by_radius().values())
        return mean_of(pitches)


def mean_of(pitches: list[Pitch]) -> Pitch:
    """Plain mean; fully correlated uncertainties average like the values."""
    return Pitch(math.fsum(p.value for p in pitches) / len(pitches), math.fsum(p.u for p in pitches) / len(pitches))


def propellers(package: Package) -> dict[str, Row]:
    """The propellers as ordered, by id."""
    return {row["propeller"]: row for row in package.rows("propeller/propellers.csv")}


def design(package: Package, propeller: str, column: str) -> dict[float, float]:
    """A column of the drawn sections of one propeller, by radius [%]."""
    rows = package.rows("propeller/sections.csv")
    return {
        float(row["radius [%]"]): float(row[column]) for row in rows if row["propeller"] == propeller and row[column]
    }


def read(package: Package, table: str, propeller: str) -> list[tuple[str, int]]:
    """The blades of a propeller with the attempts at which a table has them, in order."""
    rows = package.rows(table)
    return sorted({(row["blade"], int(row["attempt"])) for row in rows if row["propeller"] == propeller})


def as_of(package: Package, table: str, propeller: str, attempt: int) -> dict[str, int]:
    """The attempt at which each blade stood after `attempt`: its last one up to then."""
    return {blade: number for blade, number in read(package, table, propeller) if number <= attempt}


def attempts(package: Package, table: str, propeller: str) -> list[int]:
    """The attempts of a whole propeller: as received, and again after each correction of any blade."""
    return sorted({number for _, number in read(package, table, propeller)})


def whole(package: Package, propeller: str, attempt: int) -> tuple[dict[str, Pitch], Pitch, list[Row]]:
    """The mean pitch of each blade as it stood after an attempt, that of the propeller, and the rows."""
    state = as_of(package, "propeller/pitch.csv", propeller, attempt).items()
    blades = [BladePitch(package, propeller, blade, number) for blade, number in state]
    means = {one.blade: one.mean() for one in blades}
    return means, mean_of(list(means.values())), [row for one in blades for row in one.rows]


def of_the_radius(radius: float) -> str:
    """A radius in words: 0.7 R."""
    return f"{radius / 100.0:.4g} R"


def blade_findings(package: Package) -> Iterator[Own]:
    """PRO-01, PRO-02, PRO-03: each blade at each attempt, the worst place of it."""
    for name, order in propellers(package).items():
        drawn = design(package, name, "pitch [mm]")
        for blade, attempt in read(package, "propeller/pitch.csv", name):
            one = BladePitch(package, name, blade, attempt)
            local = [(r, p, f"{of_the_radius(r)} {p.words}") for r, p in one.local()]
            means = [(r, p, of_the_radius(r)) for r, p in one.by_radius().items()]
            for check, quantity, places in (("PRO-01", LOCAL, local), ("PRO-02", RADIUS, means)):
                about = (check, quantity, name, blade, attempt)
                shown = []
                for r, p, words in places:
                    number, aim = figure(p.value, "mm", 2.0 * p.u), (drawn[r], drawn[r])
                    shown.append((set_against(package, order, about, number, aim, observed=words), drawn[r]))
                own, at = worst(shown)
                yield from with_rows(order, own, (at, at), one.rows)
            mean, pitch = one.mean(), float(order["pitch [mm]"])
            about = ("PRO-03", BLADE, name, blade, attempt)
            own = set_against(package, order, about, figure(mean.value, "mm", 2.0 * mean.u), (pitch, pitch))
            yield from with_rows(order, own, (pitch, pitch), one.rows)


def with_rows(order: Row, own: Own, aim: tuple[float, float], rows: list[Row]) -> Iterator[Own]:
    """A finding with its rows, and behind it the other way to read the standard where that is told."""
    shown = replace(own, rows=rows_of(rows))
    yield shown
    yield from other_way(order, shown, aim)


def propeller_findings(package: Package) -> Iterator[Own]:
    """PRO-04 and PRO-13: the mean of the blades after each attempt, and their spread as left.

    The spread is the highest mean less the lowest; both uncertainties count in full, as of two readings by themselves.
    """
    for name, order in propellers(package).items():
        pitch = float(order["pitch [mm]"])
        for attempt in attempts(package, "propeller/pitch.csv", name):
            _, mean, rows = whole(package, name, attempt)
            about = ("PRO-04", WHOLE, name, "", attempt)
            own = set_against(package, order, about, figure(mean.value, "mm", 2.0 * mean.u), (pitch, pitch))
            yield from with_rows(order, own, (pitch, pitch), rows)
        last = attempts(package, "propeller/pitch.csv", name)[-1]
        blades, _, rows = whole(package, name, last)
        high, low = (pick(blades.values(), key=lambda p: p.value) for pick in (max, min))
        about = ("PRO-13", "spread of the blades' mean pitch", name, "", last)
        number = figure(high.value - low.value, "mm", 2.0 * math.hypot(high.u, low.u))
        ends = NO_LIMIT  # no class sets one
        yield judged(about, number, agreed(package, "PRO-13", about[1], name) or ends, rows=rows_of(rows))


def sides(package: Package) -> Iterator[Own]:
    """PRO-14: the mean pitches of both sides, and their diameters, as left: 100 (port - starboard) / mean of both.

    By the derivative, a change of one side by d moves this by 100 * other side / mean^2 * d. The diameter is twice
    the mean tip radius; one error of the bench may be in all tips of a propeller, so it does not average out.
    """
    order = propellers(package)
    by_side = {row["side"]: name for name, row in order.items()}
    port, starboard = by_side["port"], by_side["starboard"]
    last = max(attempts(package, "propeller/pitch.csv", name)[-1] for name in (port, starboard))
    pitches = {name: whole(package, name, last) for name in (port, starboard)}
    tips = {name: tip_circle(package, name, last) for name in (port, starboard)}
    for quantity, one, other, rows in (
        ("mean pitch, port against starboard", *beside([pitches[name][1:] for name in (port, starboard)])),
        ("diameter, port against starboard", *beside([tips[name] for name in (port, starboard)])),
    ):
        mean = (one.value + other.value) / 2.0
        value = 100.0 * (one.value - other.value) / mean
        u = math.hypot(100.0 * other.value / mean**2 * one.u, 100.0 * one.value / mean**2 * other.u)
        ends = agreed(package, "PRO-14", quantity) or Limit(-0.5, 0.5)  # half a per cent: common practice, no source
        yield judged(("PRO-14", quantity, "", "", last), figure(value, "%", 2.0 * u), ends, rows=rows_of(rows))


def beside(both: list[tuple[Pitch, list[Row]]]) -> tuple[Pitch, Pitch, list[Row]]:
    """Port, starboard, and the rows of both."""
    (one, some), (other, more) = both
    return one, other, some + more


def tip_circle(package: Package, propeller: str, attempt: int) -> tuple[Pitch, list[Row]]:
    """The diameter from the tips [mm], with the rows."""
    state = as_of(package, "propeller/blades.csv", propeller, attempt)
    rows = [
        row
        for row in package.rows("propeller/blades.csv")
        if row["propeller"] == propeller and state.get(row["blade"]) == int(row["attempt"])
    ]
    radii = [
        Pitch(float(row["tip_radius [mm]"]), standard(package.instrument(row["instrument"], "tip radius")))
        for row in rows
    ]
    mean = mean_of(radii)
    return Pitch(2.0 * mean.value, 2.0 * mean.u), rows
