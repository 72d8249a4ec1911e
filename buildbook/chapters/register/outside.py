"""Positions that cannot be on her, or not where their place is said to be: told with file, line and column."""

from __future__ import annotations

import re
from collections.abc import Iterable

from buildbook.chapters.shared_records import Place
from buildbook.core.evidence import Evidence
from buildbook.core.extent import Reach, beyond
from buildbook.core.fault import Fault, Severity
from buildbook.core.record import AXES
from buildbook.core.wording import fixed, plain_number

WORDS = {
    "x": "metres forward of the transom",
    "y": "metres to starboard of the centreline, port negative",
    "z": "metres above the waterline",
}
SIDES = {"port": -1.0, "starboard": 1.0}
DRAWN = "It is drawn where its number says; its readings count as they are."
NOT_DRAWN = "It is not drawn; its readings count as they are."


def inside_her(evidence: Evidence) -> Iterable[Fault]:
    """Rows whose x, y or z lies outside her by her outline or her dimensions; nothing where neither is on record."""
    for kind, rows in evidence.records.items():
        if not kind.positioned():
            continue
        for row in rows:
            position = {name: getattr(row, name) for name in AXES}
            for name, reach in beyond(evidence.hull, **position).items():
                found = f"{plain_number(position[name])} m"
                yield Fault(row.cell(name), _expected(name, reach), found, NOT_DRAWN, Severity.NOTICE)


def on_the_side_it_is_called_by(evidence: Evidence) -> Iterable[Fault]:
    """Places that are called port or starboard and lie on the other side by their y."""
    for row in evidence.of(Place):
        named = set(re.findall(r"[a-z]+", row.name.lower())) & SIDES.keys()
        if len(named) != 1 or row.y is None:
            continue
        (side,) = named
        if row.y * SIDES[side] < 0.0:
            expected = f"a place to {side}, as it is called: {WORDS['y']}"
            yield Fault(row.cell("y"), expected, f"{plain_number(row.y)} m", DRAWN, Severity.NOTICE)


def _expected(name: str, reach: Reach) -> str:
    ends = [("from", reach.low), ("to", reach.high)]
    words = " ".join(f"{word} {fixed(end, 1)}" for word, end in ends if end is not None)
    return f"a place on her: {WORDS[name]}, {words} m"


CROSS_CHECKS = (inside_her, on_the_side_it_is_called_by)
