"""What a broker may say of her in a listing, each thing with its figures, and what may not be said, with the reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

NOT_WORDED = "No sentence is written for it."  # the reason of what nobody worded, told last


@dataclass(frozen=True, slots=True)
class Saying:
    """One short text that may be used as it stands, with the figures in it.

    `finding` is the number of the finding it tells. `value`, `unit`, `place`, `day` and `limit` are texts as printed;
    `amount`, `expanded` (U), `coverage` (its k) and `degrees` (of freedom, where they are known) are the same figures
    as numbers, rounded alike; U is None for a count and for a bound. `bound` is `at least` or `at most` where the value
    is only a bound, else empty. `unit_code` is the common code of the unit where it is sure, else empty.

    `text` is all of it: what was found, then `standing` (which of how many it is), `told` (what must not be left out)
    and `record` (its number, who set the limit, U with k, known limits of the method). `first_day` and `last_day` are
    the days of the readings behind it.
    """

    check: str
    quantity: str
    name: str
    finding: str
    value: str
    amount: float
    expanded: float | None
    coverage: float | None
    degrees: int | None
    bound: str
    unit: str
    unit_code: str
    place: str
    day: str
    first_day: date
    last_day: date
    limit: str
    setter: str
    standing: str
    told: tuple[str, ...]
    record: str
    text: str


@dataclass(frozen=True, slots=True)
class Withheld:
    """One characteristic (check and quantity) of which nothing may be said, and every reason, each in one line.

    What was found about it stands first among the reasons, that nobody worded it last.
    """

    check: str
    quantity: str
    findings: tuple[str, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One matter in a line: what it is, what else shows it, and the number of the finding that weighs most.

    `what` ends with what a later reading showed, or with the reason why nothing is decided. `short` is quantity, id of
    the place, value and limit of that finding, with the same end in few words.
    """

    what: str
    short: str
    also: tuple[str, ...]
    finding: str


@dataclass(frozen=True, slots=True)
class Open:
    """All matters that stand alike: how they stand, how many, and in how many findings they show."""

    state: str
    matters: int
    findings: int
    told: tuple[Told, ...]
    close: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """The listing sheet as data. `exceptions` and `cautions` travel with every extract.

    `opened` names every matter of the book. `summary` are the sentences of the neutral summary; `facts` are the sayings
    that stand on the sheet, `sayings` all of them; `withheld` is everything else. `validity` says of what days the
    readings are and when they are older than a year.
    """

    exceptions: str = ""
    opened: tuple[Open, ...] = ()
    summary: tuple[str, ...] = ()
    facts: tuple[Saying, ...] = ()
    sayings: tuple[Saying, ...] = ()
    withheld: tuple[Withheld, ...] = ()
    validity: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
