"""What every recomputation needs: reading a package, combining uncertainties, judging.

Nothing here imports the program that made the book. The sources are those that the book names: JCGM 100 (the GUM) for
uncertainties, ILAC-G8:09/2019 clause 4.2.3 for the four outcomes, and the page "How readings are judged".
"""

from __future__ import annotations

import csv
import io
import math
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from pathlib import Path

from scipy import stats

from tests.again.own_heads import Said, said

RECEIVED = Path("data/evidence/received")
IN_PART = Path("data/evidence/in-part")  # tables of which a column is withheld
FINDINGS = Path("data/findings.csv")
GOVERNING, REFERENCE = "governing", "reference"
SAME = 1e-9  # two numbers are the same where they differ by less than this share of the larger
SHARE_OF_K_2 = 0.9545  # JCGM 100:2008, table G.2: what k = 2 covers with many degrees of freedom


@dataclass(frozen=True)
class Row:
    """One row of a table as received: where it stands, and its cells by head without the unit.

    By square brackets a cell is got by its whole head as received, unit and all; `row` is its place.
    """

    file: str
    line: int
    cells: dict[str, str]
    comma: bool
    whole: dict[str, str] = field(default_factory=dict)

    def __getitem__(self, head: str) -> str:
        return self.where if head == "row" else self.whole[head]

    def text(self, head: str) -> str:
        """A cell as written."""
        return self.cells[head].strip()

    def number(self, head: str) -> float | None:
        """A cell as a number; None where it is empty. Files with semicolons write a decimal comma."""
        words = self.text(head)
        return float(words.replace(",", ".") if self.comma else words) if words else None

    def value(self, head: str) -> float:
        """A cell that must hold a number."""
        number = self.number(head)
        assert number is not None, f"{self.file}:{self.line}: {head} is empty"
        return number

    def when(self, head: str = "at") -> datetime:
        """A cell as date and time."""
        return datetime.fromisoformat(self.text(head))

    def day(self, head: str) -> date | None:
        """A cell as a date; None where it is empty."""
        return date.fromisoformat(self.text(head)) if self.text(head) else None

    @property
    def where(self) -> str:
        """File and line, as the book names rows."""
        return f"{self.file}:{self.line}"


@dataclass(frozen=True)
class Limit:
    """What is allowed: `low` and `high`, strict or not; `guard` times U is the guard band; bounds of nature."""

    low: float | None = None
    high: float | None = None
    low_strict: bool = False
    high_strict: bool = False
    guard: float = 1.0
    natural_low: float | None = None
    natural_high: float | None = None


@dataclass(frozen=True)
class Part:
    """A standard uncertainty and, where it comes from few repeats, its degrees of freedom."""

    standard: float
    degrees: int | None = None


@dataclass(frozen=True)
class Value:
    """A result with U and k. `kind` is measured, counted, "at least"; U is None where nobody stated one."""

    value: float
    u: float | None = None
    k: float = 2.0
    kind: str = "measured"
    few: bool = False  # k is Student's t for few degrees of freedom: U then covers as much as k = 2 does
    unit: str | None = None  # None: not compared with the book


@dataclass(frozen=True)
class Key:
    """What a finding is about."""

    check: str
    quantity: str
    place: str = ""
    condition: str = ""
    attempt: int = 1
    role: str = GOVERNING


NOWHERE = Key("", "")


@dataclass(frozen=True)
class Own:
    """What the recomputation makes of one finding; `seen` are words that the book must give as observed.

    `observed` are all of these words, `rows` the places of all rows it rests on; None where they are not compared.
    `key` is empty where it is said beside it.
    """

    verdict: str
    value: Value | None = None
    limit: Limit | None = None
    margin: float | None = None
    guard: float | None = None
    seen: tuple[str, ...] = ()
    observed: str | None = None
    rows: frozenset[str] | None = None
    key: Key = NOWHERE


@dataclass(eq=False)
class Package:
    """An unpacked evidence package."""

    root: Path
    tables: dict[str, list[Row]] = field(default_factory=dict)

    def rows(self, name: str) -> list[Row]:
        """The rows of a table as received, or without a withheld column; none where there is no such table."""
        if name not in self.tables:
            paths = (self.root / folder / name for folder in (RECEIVED, IN_PART))
            self.tables[name] = [row for path in paths if path.exists() for row in _read(path, name, self.said)]
        return self.tables[name]

    def raw(self, name: str) -> Path:
        """A raw record by the name that a table gives it."""
        return self.root / "data/raw" / name

    @cached_property
    def said(self) -> Said:
        """The heads and words of the yard's own."""
        return said(self.root)

    @cached_property
    def hull(self) -> dict:
        """hull.toml as received."""
        return tomllib.loads((self.root / RECEIVED / "hull.toml").read_text(encoding="utf-8"))

    @cached_property
    def findings(self) -> list[dict[str, str]]:
        """The findings of the book, which are to be checked."""
        with (self.root / FINDINGS).open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    def instrument(self, instrument: str, quantity: str) -> Row:
        """The line of an instrument for one quantity."""
        (row,) = [
            row
            for row in self.rows("instruments.csv")
            if (row.text("instrument"), row.text("quantity")) == (instrument, quantity)
        ]
        return row

    def standard(self, instrument: str, quantity: str) -> float:
        """The standard uncertainty of one reading: certificate (U over its k) and resolution (rectangular, d/√12).

        Source: JCGM 100:2008, 4.3.3 and F.2.2.1.
        """
        return standard(self.instrument(instrument, quantity))

    def parts(self, instrument: str, quantity: str) -> tuple[Part, Part]:
        """Certificate and resolution of an instrument as two standard uncertainties."""
        return parts(self.instrument(instrument, quantity))

    def specified(self, check: str, quantity: str, place: str = "", condition: str = "") -> Limit | None:
        """The limit of hull.toml that is meant for this place and condition; the most special entry counts."""
        fit = [
            entry
            for entry in self.hull.get("limits", [])
            if entry["check"] == check
            and entry["quantity"] == quantity
            and entry.get("place", "") in ("", place)
            and entry.get("condition", "") in ("", condition)
        ]
        if not fit:
            return None
        entry = max(fit, key=lambda entry: (entry.get("place", "") != "", entry.get("condition", "") != ""))
        return Limit(entry.get("low"), entry.get("high"), guard=float(entry.get("guard", 1)))

    def rule(self, check: str) -> str:
        """The rule of hull.toml for a check."""
        return next((rule["rule"] for rule in self.hull.get("rules", []) if rule["check"] == check), "")


def _read(path: Path, name: str, own: Said) -> Iterable[Row]:
    received = path.read_bytes()
    try:
        text = received.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = received.decode("cp1252")
    head_line = text.splitlines()[0]
    comma = ";" in head_line
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=";" if comma else ",")
    given = [own.head(name, head) for head in next(lines)]
    heads = [head.split("[")[0].strip() for head in given]
    before = lines.line_num
    for received_cells in lines:
        cells = [own.cell(name, head, cell) for head, cell in zip(heads, received_cells, strict=True)]
        yield Row(name, before + 1, dict(zip(heads, cells, strict=True)), comma, dict(zip(given, cells, strict=True)))
        before = lines.line_num


def parts(line: Row) -> tuple[Part, Part]:
    """What an instrument brings to one reading: its certificate (U over its k) and its resolution (d/√12)."""
    return Part(line.value("uncertainty") / line.value("coverage")), Part(line.value("resolution") / math.sqrt(12))


def standard(line: Row) -> float:
    """Both together as one standard uncertainty."""
    return math.hypot(*(part.standard for part in parts(line)))


def student(degrees: int) -> float:
    """Student's t that covers 95.45 % (JCGM 100:2008, annex G)."""
    return float(stats.t.ppf((1 + SHARE_OF_K_2) / 2, degrees))


def combined(value: float, parts: Sequence[Part], kind: str = "measured") -> Value:
    """A value with U from its parts: root of the sum of squares; k = 2, or t for the effective degrees of freedom.

    Source: JCGM 100:2008, 5.1.2, and G.4.1 (Welch and Satterthwaite, cut down to a whole number).
    """
    total = math.sqrt(sum(part.standard**2 for part in parts))
    few = [part for part in parts if part.degrees is not None and part.standard > 0]
    share = sum((part.standard / total) ** 4 / part.degrees for part in few if part.degrees)
    if share < 1e-9:
        return Value(value, 2 * total, 2.0, kind)
    k = student(max(1, math.floor((1 + 1e-12) / share)))
    return Value(value, k * total, k, kind, few=True)


def scatter(readings: Sequence[float]) -> Part:
    """The standard uncertainty of a mean from its own scatter, with its degrees of freedom (JCGM 100:2008, 4.2.3)."""
    return Part(deviation(readings) / math.sqrt(len(readings)), len(readings) - 1)


def mean(readings: Sequence[float]) -> float:
    """The arithmetic mean."""
    return math.fsum(readings) / len(readings)


def deviation(readings: Sequence[float]) -> float:
    """The standard deviation of a sample."""
    middle = mean(readings)
    return math.sqrt(math.fsum((reading - middle) ** 2 for reading in readings) / (len(readings) - 1))


def distance(value: float, limit: Limit) -> float:
    """The margin: how far inside the nearer end a value lies; below zero outside."""
    ends = []
    if limit.low is not None:
        ends.append((value - limit.low, limit.low))
    if limit.high is not None:
        ends.append((limit.high - value, limit.high))
    return min(0.0 if abs(margin) <= SAME * abs(end) else margin for margin, end in ends)


def verdict(value: Value, limit: Limit) -> tuple[str, float, float]:
    """One of the four outcomes or `inconclusive`, with margin and guard band.

    Source: ILAC-G8:09/2019, 4.2.3; page "How readings are judged" for counts, values without a stated uncertainty,
    strict limits, bounds, and measurements that are too coarse.
    """
    margin = distance(value.value, limit)
    unstated = value.kind != "counted" and value.u is None
    at_two = 0.0 if value.kind == "counted" or value.u is None else value.u if value.few else 2 * value.u / value.k
    guard = limit.guard * at_two
    missed = margin < 0 or (margin == 0 and _on_strict_end(value.value, limit))
    line = SAME * max(abs(margin), guard)
    if missed:
        outcome = "conditional fail" if guard > 0 and margin >= -guard - line else "fail"
    else:
        outcome = "pass" if margin >= guard - line and not unstated else "conditional pass"
    if outcome != "fail" and guard > 0 and not _room(limit, guard):
        outcome = "inconclusive"
    if value.kind == "at least" and not (limit.high is None and not missed):
        outcome = "inconclusive"
    return outcome, margin, guard


def _on_strict_end(value: float, limit: Limit) -> bool:
    ends = ((limit.low, limit.low_strict), (limit.high, limit.high_strict))
    return any(strict and end is not None and abs(value - end) <= SAME * abs(end) for end, strict in ends)


def _room(limit: Limit, guard: float) -> bool:
    """Whether any reading could be clear of the guard bands; one that could just reach both is not clear."""
    needed = guard * (1 + SAME)
    if limit.low is not None and limit.high is not None:
        return limit.high - limit.low > 2 * needed
    if limit.low is not None and limit.natural_high is not None:
        return limit.natural_high - limit.low > needed
    if limit.high is not None and limit.natural_low is not None:
        return limit.high - limit.natural_low > needed
    return True


def judged(value: Value, limit: Limit | None, seen: tuple[str, ...] = ()) -> Own:
    """A measured value against one limit; without a limit it is for information."""
    if limit is None:
        return Own("information", value, seen=seen)
    outcome, margin, guard = verdict(value, limit)
    return Own(outcome, value, limit, margin, guard, seen)


def both(
    key: Key, value: Value, specified: Limit | None, published: Limit | None, seen: tuple[str, ...] = ()
) -> dict[Key, Own]:
    """The governing finding, and the reference beside it where the hull's own limit governs."""
    made = {key: judged(value, specified or published, seen)}
    if specified and published:
        made[beside(key)] = judged(value, published, seen)
    return made


def beside(key: Key) -> Key:
    """The key of the reference finding of the same result."""
    return Key(key.check, key.quantity, key.place, key.condition, key.attempt, REFERENCE)


def fact(met: bool, *seen: str) -> Own:
    """A requirement in words, met or not."""
    return Own("pass" if met else "fail", limit=Limit(guard=1.0), seen=tuple(seen))


def held(own: Own, reason: bool) -> Own:
    """At best inconclusive for a reason; what missed its limit stays as it is."""
    better = ("pass", "conditional pass", "information")
    if not reason or own.verdict not in better:
        return own
    return replace(own, verdict="inconclusive")
