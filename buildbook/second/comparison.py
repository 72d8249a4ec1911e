"""What a comparison is: the two sides of each reading, the outcome, and what only one side has. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from buildbook.core.finding import Finding, Verdict
from buildbook.core.quantity import Part


class Outcome(StrEnum):
    """What setting two readings beside each other can give, and nothing else."""

    DO_NOT_AGREE = "do not agree"
    NO_UNCERTAINTY = "no uncertainty given"
    NOT_COMPARABLE = "not comparable"
    AGREE = "agree"


@dataclass(frozen=True, slots=True)
class Stated:
    """What a row of the table of instruments states: U of the certificate at its k, and the resolution, in `unit`."""

    instrument: str
    quantity: str
    unit: str
    resolution: float | None
    uncertainty: float | None
    coverage: float | None


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison.

    `value` and the uncertainties are in `unit`, full precision. `parts` are the standard uncertainties that the root of
    the sum of squares makes `standard` of; `degrees` the effective degrees of freedom where few repeats are among them,
    None where all is taken as known. `expanded` is U = k u with k the `coverage`; `expanded_at_95` covers about 95 %,
    which is what is compared: brought to k = 2, or, where readings were few, as stated. `stated` is what the rows of
    its instruments state. `verdict` is by the rule for this side's claim and
    `shows` whether the reading shows the claim: the yard's that the limit is met, the surveyor's that it is missed
    (None without a limit). `calibration` says of which instruments a valid calibration is not shown. `rows` are the
    rows it rests on, by file and line.
    """

    text: str
    value: float | None
    unit: str
    expanded: float | None
    coverage: float | None
    degrees: int | None
    standard: float | None
    parts: tuple[Part, ...]
    expanded_at_95: float | None
    verdict: Verdict
    shows: bool | None
    attempt: int
    condition: str
    method: str
    first: str
    last: str
    instruments: tuple[str, ...]
    stated: tuple[Stated, ...]
    calibration: tuple[str, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Subject:
    """What a reading is about: the key without the attempt, and the place in words."""

    check: str
    quantity: str
    place: str
    place_words: str
    condition: str


@dataclass(frozen=True, slots=True)
class Allowed:
    """The limit that both sides are judged by: its ends in `unit`, None for an open one, and its words."""

    low: float | None
    high: float | None
    unit: str
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class Pair:
    """One reading of both sides.

    `difference` is surveyor minus yard, `joint` the root of the sum of the squares of both U of about 95 %,
    `matters` the difference that would matter [all in the unit of the readings]; None where they cannot be formed.
    `both_outside` says that both readings lie outside their limit, whatever the outcome, and are of the same whole.
    `one_limit` says that the limit is about both readings; where it is not, the surveyor's is not judged by it.
    `too_coarse` says that no difference was found and that the uncertainties stated, together, are larger than
    `matters`. `without_limit` says, where two agree and no limit tells what matters, up to which difference they would.
    `why` are the reasons of the outcome, `claims` what each verdict shows, `time` the days between and
    since delivery, `notes` what else a reader must know, the other runs and the earlier attempts too.
    """

    number: int
    subject: Subject
    surveyor: Side
    yard: Side
    limit: Allowed | None
    one_limit: bool
    outcome: Outcome
    both_outside: bool
    why: tuple[str, ...]
    difference: float | None
    joint: float | None
    en: float | None
    matters: float | None
    too_coarse: bool
    without_limit: str
    same_instruments: tuple[str, ...]
    claims: str
    days_between: int | None
    days_since_delivery: int | None
    time: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Lone:
    """A reading that only one side has; `notes` name its earlier attempts."""

    subject: Subject
    side: Side
    limit: str
    notes: tuple[str, ...]

    @property
    def shown(self) -> str:
        """The condition in words: with the run of its side, and the place on a blade where a whole was taken apart."""
        parts = (*self.subject.condition.split(", "), *self.side.condition.split(", "))
        return ", ".join(part for part in dict.fromkeys(parts) if part)


@dataclass(frozen=True, slots=True)
class Count:
    """How many of how many: a number with its denominator."""

    words: str
    number: int
    of: int


@dataclass(frozen=True, slots=True)
class Met:
    """One field of the matrix: how many readings have this verdict of the yard and this one of the surveyor."""

    yard: Verdict
    surveyor: Verdict
    number: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """A survey beside a hull's folder.

    `pairs` are measurements, `in_words` what is stated in words or counted. `yard_elsewhere` counts the yard's other
    findings, of kinds that nobody measured a second time. `yard_digest` is that of the book that a plain build makes of
    the hull folder; `yard_book_refused` says that build refuses to write that book. `survey_digest` is the SHA-256 of
    the list of all files of the survey. `faults` are rows of the survey that could not be used, `filled` how many rows
    of each table were filled, of those that the sheet has as it is laid out.
    """

    version: str
    hull_name: str
    hull_number: str
    demonstration: str
    yard_as_of: str
    survey_as_of: str
    yard_digest: str
    yard_book_refused: bool
    survey_digest: str
    delivered: str
    launched: str
    time: str
    pairs: tuple[Pair, ...]
    in_words: tuple[Pair, ...]
    surveyor_only: tuple[Lone, ...]
    yard_only: tuple[Lone, ...]
    yard_elsewhere: int
    counts: tuple[Count, ...]
    matrix: tuple[Met, ...]
    filled: tuple[Count, ...]
    faults: tuple[str, ...]
    limitations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """The two findings behind a pair, for its picture."""

    yard: Finding
    surveyor: Finding
