"""What the recomputations of the propellers, the vibration and the sound need besides the common rules.

Nothing here comes from the program that made the book. Here a finding carries its own key, since one reading may be
shown for several.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from tests.again import common_rules
from tests.again.common_rules import GOVERNING, SAME, Key, Limit, Own, Package, Row, Value, held, student
from tests.again.comparing import Tolerance

K = 2.0  # the coverage factor, wherever few repeats are no part of an uncertainty
NO_LIMIT = Limit()
CLOSED: Tolerance = (SAME, SAME)  # where the arithmetic of U is closed, too

About = tuple[str, str, str, str, int]  # check, quantity, place, condition, attempt


def figure(value: float, unit: str, U: float | None = None, k: float = K, kind: str = "measured") -> Value:
    """A value with its unit and its expanded uncertainty U at the factor k, which is not 2 for few readings alone."""
    return Value(value, U, k, kind, few=k != K, unit=unit)


def few(u: float, scatter: float, degrees: int) -> tuple[float, float]:
    """U and k of a known standard uncertainty u beside that of a mean of few readings (`scatter`, with its degrees).

    Effective degrees by Welch and Satterthwaite, cut down to a whole number, then Student's t for 95.45 %.
    Source: GUM (JCGM 100:2008) G.4.1, G.6.4.
    """
    total = math.hypot(u, scatter)
    if scatter == 0.0:
        return K * total, K
    k = student(math.floor(total**4 / (scatter**4 / degrees) * (1.0 + 1e-12)))
    return k * total, k


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


def judged(
    about: About,
    number: Value,
    limit: Limit,
    *,
    doubt: bool = False,
    role: str = GOVERNING,
    observed: str = "",
    rows: frozenset[str] = frozenset(),
) -> Own:
    """A value set against its limit, which may have no end; held at inconclusive where what it rests on is in doubt."""
    ended = None if limit.low is None and limit.high is None else limit
    own = held(common_rules.judged(number, ended), doubt)
    return replace(own, observed=observed, rows=rows, key=Key(*about, role))


def worded(
    about: About, verdict: str, observed: str = "", rows: frozenset[str] = frozenset(), limit: Limit | None = None
) -> Own:
    """A finding in words."""
    return Own(verdict, limit=limit, observed=observed, rows=rows, key=Key(*about))


def keyed(own: Iterable[Own]) -> dict[Key, Own]:
    """Findings by key; one that is worked out twice is an error."""
    found: dict[Key, Own] = {}
    for one in own:
        assert one.key not in found, f"{one.key}: recomputed twice"
        found[one.key] = one
    return found


def agreed(package: Package, check: str, quantity: str, place: str = "", condition: str = "") -> Limit | None:
    """What hull.toml sets for a quantity; None where it sets nothing."""
    return package.specified(check, quantity, place, condition)


def above(limit: Limit, least: float = 0.0) -> Limit:
    """The same limit of something that is never less than this by nature."""
    return replace(limit, natural_low=least)


def rows_of(rows: Iterable[Row]) -> frozenset[str]:
    """The places of some rows."""
    return frozenset(row.where for row in rows)


def worst(numbers: Sequence[tuple[Own, float]]) -> tuple[Own, float]:
    """The finding to be shown of several, each with what it should be.

    The worst verdict; among those the least margin as a share of what is allowed, so that a thick section and a thin
    one can be compared; of equals the first. With no limit there is nothing to compare, and the first is taken.
    """
    gravest = max(WORSE.index(own.verdict) for own, _ in numbers)
    return min((one for one in numbers if WORSE.index(one[0].verdict) == gravest), key=_share_left)


def _share_left(one: tuple[Own, float]) -> float:
    own, design = one
    if own.margin is None or own.limit is None:
        return math.inf
    allowed = [abs(end - design) for end in (own.limit.low, own.limit.high) if end is not None]
    return own.margin / min(allowed)
