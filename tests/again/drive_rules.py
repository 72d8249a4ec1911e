"""What every recomputation of the propellers, the vibration and the sound needs: tables, instruments, limits, judging.

Nothing here comes from the program that made the book. Rules and their sources stand in the docstrings; the only
input is an unpacked evidence package: the tables as received, hull.toml and the raw records.
"""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

from scipy.stats import t as student

K = 2.0  # the coverage factor, wherever few repeats are no part of an uncertainty
COVERED = 0.9545  # what k = 2 covers of a normal distribution (GUM, JCGM 100:2008, table G.1)
SAME = 1e-9  # two numbers that differ by less than this share are one number

Row = dict[str, str]
Ends = tuple[float | None, float | None]  # of a limit, the lower and the upper
Tolerances = dict[str, tuple[float, float]]  # of the value and of U, by check


@dataclass(frozen=True)
class Own:
    """What this recomputation says of one finding; `rows` are the lines of the tables as received that it rests on."""

    check: str
    quantity: str
    place: str
    condition: str
    attempt: int
    verdict: str
    role: str = "governing"
    value: float | None = None
    unit: str = ""
    U: float | None = None
    k: float | None = None
    low: float | None = None
    high: float | None = None
    margin: float | None = None
    guard: float | None = None
    observed: str = ""
    rows: frozenset[str] = field(default=frozenset())

    @property
    def key(self) -> tuple[str, str, str, str, int, str]:
        """What a finding is about: the columns of findings.csv that tell it from all others."""
        return (self.check, self.quantity, self.place, self.condition, self.attempt, self.role)


@dataclass(frozen=True)
class Number:
    """A value with its expanded uncertainty U at the factor k; U is None for a count, which has none."""

    value: float
    unit: str
    U: float | None = None
    k: float = K


@dataclass(frozen=True)
class Package:
    """An unpacked evidence package."""

    root: Path

    def table(self, name: str) -> list[Row]:
        """The rows of one table as received, by its heads; `row` is `file:line`, the line counted as an editor does."""
        return [dict(row) for row in _table(self.root, name)]

    @property
    def hull(self) -> dict[str, Any]:
        """hull.toml as received."""
        return tomllib.loads((self.root / "data/evidence/received/hull.toml").read_text(encoding="utf-8"))

    def raw(self, name: str) -> Path:
        """A raw record by the name that a table gives it."""
        return self.root / "data/raw" / name

    def findings(self) -> list[Row]:
        """What the book found: never an input of a value, only what is checked."""
        with (self.root / "data/findings.csv").open(encoding="utf-8", newline="") as opened:
            return list(csv.DictReader(opened))

    def instrument(self, name: str, quantity: str) -> Row:
        """The line of instruments.csv for one instrument and one quantity."""
        (line,) = (
            one for one in self.table("instruments.csv") if (one["instrument"], one["quantity"]) == (name, quantity)
        )
        return line


@cache
def _table(root: Path, name: str) -> tuple[Row, ...]:
    with (root / "data/evidence/received" / name).open(encoding="utf-8-sig", newline="") as opened:
        reader = csv.DictReader(opened)
        return tuple({**row, "row": f"{name}:{reader.line_num}"} for row in reader)


def standard(line: Row) -> float:
    """The standard uncertainty of one reading of an instrument, in its unit.

    The certificate states U at k, so u = U / k. A display of resolution r adds r / sqrt(12): the true value lies
    anywhere within half a step to either side. Root sum of squares. Source: GUM (JCGM 100:2008) 4.3.3, 4.3.7, 5.1.2.
    """
    certificate = float(line["uncertainty"]) / float(line["coverage"])
    return math.hypot(certificate, float(line["resolution"]) / math.sqrt(12.0))


def few(u: float, scatter: float, degrees: int) -> tuple[float, float]:
    """U and k of a known standard uncertainty u beside that of a mean of few readings (`scatter`, with its degrees).

    Effective degrees by Welch and Satterthwaite, cut down to a whole number, then Student's t for 95.45 %.
    Source: GUM (JCGM 100:2008) G.4.1, G.6.4.
    """
    total = math.hypot(u, scatter)
    if scatter == 0.0:
        return K * total, K
    effective = math.floor(total**4 / (scatter**4 / degrees) * (1.0 + 1e-12))
    k = float(student.ppf(0.5 * (1.0 + COVERED), effective))
    return k * total, k


def four_outcomes(
    value: float, U: float | None, low: float | None, high: float | None, natural_low: float | None = None
) -> tuple[str, float | None, float | None]:
    """Verdict, margin and guard band of a value against a limit.

    m is the distance to the nearer end, negative outside; the guard band w is U at k = 2 or what covers as much. m >=
    w pass, 0 <= m < w conditional pass, -w <= m < 0 conditional fail, m < -w fail; inconclusive where no value
    whatever could clear both guard bands. No limit: information. Source: ILAC-G8:09/2019, 4.2.3; the last rule is the
    book's own.
    """
    if low is None and high is None:
        return "information", None, None
    w = U or 0.0
    m = min(distance for distance in (_off(value, low), _off(value, high, -1.0)) if distance is not None)
    verdict = _outcome(m, w)
    room = _room(low, high, natural_low)
    if verdict != "fail" and w > 0.0 and room is not None and room[0] <= room[1] * w * (1.0 + SAME):
        verdict = "inconclusive"
    return verdict, m, w


def _off(value: float, end: float | None, sign: float = 1.0) -> float | None:
    if end is None:
        return None
    m = sign * (value - end)
    return 0.0 if abs(m) <= SAME * abs(end) else m


def _outcome(m: float, w: float) -> str:
    if m < 0.0:
        return "conditional fail" if w > 0.0 and m >= -w else "fail"
    return "pass" if m >= w else "conditional pass"


def _room(low: float | None, high: float | None, natural_low: float | None) -> tuple[float, float] | None:
    if low is not None and high is not None:
        return high - low, 2.0
    if high is not None and natural_low is not None:
        return high - natural_low, 1.0
    return None


WORSE = (
    "pass",
    "information",
    "conditional pass",
    "inconclusive",
    "not measured",
    "no record",
    "conditional fail",
    "fail",
)


def held(verdict: str, doubt: bool) -> str:
    """A verdict held at inconclusive where what it rests on is in doubt; what is worse stays."""
    return "inconclusive" if doubt and WORSE.index(verdict) < WORSE.index("inconclusive") else verdict


def judged(
    about: tuple[str, str, str, str, int],
    number: Number,
    ends: Ends,
    natural_low: float | None = None,
    **more: Any,
) -> Own:
    """A number set against the two ends of its limit; `more` are the other fields of `Own`."""
    doubt = bool(more.pop("doubt", False))
    low, high = ends
    U = number.U
    verdict, m, w = four_outcomes(number.value, U, low, high, natural_low)
    k = None if U is None else number.k
    own = Own(*about, held(verdict, doubt), **more)
    return replace(own, value=number.value, unit=number.unit, U=U, k=k, low=low, high=high, margin=m, guard=w)


def agreed(hull: dict[str, Any], check: str, quantity: str, place: str = "", condition: str = "") -> Ends | None:
    """The two ends that hull.toml sets for a quantity, (low, high) with None for no end; None where it sets nothing.

    An entry without place or condition holds everywhere; one that names them holds there alone and goes before the
    other.
    """
    fitting = [
        one
        for one in hull.get("limits", ())
        if (one["check"], one["quantity"]) == (check, quantity)
        and one.get("place", place) == place
        and one.get("condition", condition) == condition
    ]
    if not fitting:
        return None
    best = max(fitting, key=lambda one: ("place" in one) + ("condition" in one))
    return best.get("low"), best.get("high")


def rows_of(rows: Iterable[Row]) -> frozenset[str]:
    """The places of some rows."""
    return frozenset(row["row"] for row in rows)


def worst(numbers: Sequence[tuple[Own, float]]) -> tuple[Own, float]:
    """The finding to be shown of several, each with what it should be.

    The worst verdict; among those the least margin as a share of what is allowed, so that a thick section and a thin
    one can be compared; of equals the first. With no limit there is nothing to compare, and the first is taken.
    """
    gravest = max(WORSE.index(own.verdict) for own, _ in numbers)
    return min((one for one in numbers if WORSE.index(one[0].verdict) == gravest), key=_share_left)


def _share_left(one: tuple[Own, float]) -> float:
    own, design = one
    allowed = [abs(end - design) for end in (own.low, own.high) if end is not None]
    return math.inf if own.margin is None else own.margin / min(allowed)


def differences(package: Package, own: Sequence[Own], prefix: str, tolerances: Tolerances) -> list[str]:
    """Every difference between the book and this recomputation, by key: missing on either side, numbers, words, rows.

    Args:
        package: its findings.csv is what is checked.
        own: what was recomputed.
        prefix: of the checks in question, such as PRO.
        tolerances: relative ones of value and U, by check, where the arithmetic is not closed; 1e-9 elsewhere.
    """
    book = {key: row for key, row in _book(package) if key[0].startswith(prefix)}
    mine = {one.key: one for one in own}
    told = [f"{key}: recomputed twice" for key in mine if sum(one.key == key for one in own) > 1]
    told += [f"{key}: in the book ({book[key]['verdict']}), not recomputed" for key in book if key not in mine]
    told += [f"{key}: recomputed ({mine[key].verdict}), not in the book" for key in mine if key not in book]
    for key in book.keys() & mine.keys():
        told += [f"{key}: {words}" for words in _compared(book[key], mine[key], tolerances.get(key[0], (SAME, SAME)))]
    return sorted(told)


def _book(package: Package) -> Iterator[tuple[tuple[str, str, str, str, int, str], Row]]:
    for row in package.findings():
        yield (row["check"], row["quantity"], row["place"], row["condition"], int(row["attempt"]), row["role"]), row


def _compared(row: Row, own: Own, tolerance: tuple[float, float]) -> Iterator[str]:
    if row["verdict"] != own.verdict:
        yield f"verdict: book {row['verdict']}, own {own.verdict}"
    if row["unit"] != own.unit and own.value is not None:
        yield f"unit: book {row['unit']}, own {own.unit}"
    if "true" in f"{row['limit_low_strict']} {row['limit_high_strict']}".lower():
        yield "a limit that excludes its own end, which this recomputation does not know"
    yield from _numbers_compared(row, own, *tolerance)
    if row["observed"] != own.observed:
        yield f"observed: book {row['observed']!r}, own {own.observed!r}"
    rows = frozenset(row["rows"].split("; ")) if row["rows"] else frozenset()
    if rows != own.rows:
        yield f"rows: only in the book {sorted(rows - own.rows)[:8]}, only own {sorted(own.rows - rows)[:8]}"


def _numbers_compared(row: Row, own: Own, of_value: float, of_u: float) -> Iterator[str]:
    """A margin is a difference, so its tolerance is one of the value or the limit, whichever is larger."""
    scale = max((abs(one) for one in (own.low, own.high, own.value) if one is not None), default=0.0)
    for column, mine, tolerance, size in (
        ("value", own.value, of_value, 0.0),
        ("U", own.U, of_u, 0.0),
        ("coverage", own.k, SAME, 0.0),
        ("limit_low", own.low, SAME, 0.0),
        ("limit_high", own.high, SAME, 0.0),
        ("margin", own.margin, of_value, scale),
        ("guard", own.guard, of_u, 0.0),
    ):
        theirs = float(row[column]) if row[column] and not (column == "coverage" and not row["U"]) else None
        if (theirs is None) != (mine is None):
            yield f"{column}: book {theirs}, own {mine}"
        elif theirs is not None and mine is not None and abs(theirs - mine) > tolerance * max(abs(theirs), size):
            yield f"{column}: book {theirs!r}, own {mine!r}"
