"""What a broker may say of her in a listing, each thing with its figures, and what may not be said, with the reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Saying:
    """One sentence that may be used as it stands, with the figures in it.

    `finding` is the number of the finding it tells. `value`, `unit`, `place`, `day` and `limit` are texts as printed;
    `amount` and `expanded` (U, k = 2, None for a count) are the same figures as numbers, rounded alike. `unit_code` is
    the common code of the unit where it is sure, else empty. `standing` says which of how many it is, `told` what must
    not be left out. `first_day` is the day of the first reading behind it.
    """

    check: str
    quantity: str
    name: str
    finding: str
    value: str
    amount: float
    expanded: float | None
    unit: str
    unit_code: str
    place: str
    day: str
    first_day: date
    limit: str
    setter: str
    standing: str
    told: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Withheld:
    """One characteristic (check and quantity) of which nothing may be said, and why, in one line."""

    check: str
    quantity: str
    findings: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Open:
    """Matters that stand alike, for the lines of exceptions: how they stand, how many they are, the first of them."""

    state: str
    number: int
    first: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """The listing sheet as data. `exceptions` and `cautions` travel with every extract.

    `summary` are the sentences of the neutral summary; `facts` are the sayings that stand on the sheet, `sayings` all
    of them; `withheld` is everything else. `validity` says of what day the data are and when their readings are older
    than a year.
    """

    exceptions: str = ""
    opened: tuple[Open, ...] = ()
    summary: tuple[str, ...] = ()
    facts: tuple[Saying, ...] = ()
    sayings: tuple[Saying, ...] = ()
    withheld: tuple[Withheld, ...] = ()
    validity: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
