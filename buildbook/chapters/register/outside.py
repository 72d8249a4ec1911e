"""Positions that cannot be on her: told with file, line and column, and not drawn."""

from __future__ import annotations

from collections.abc import Iterable

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


def _expected(name: str, reach: Reach) -> str:
    ends = [("from", reach.low), ("to", reach.high)]
    words = " ".join(f"{word} {fixed(end, 1)}" for word, end in ends if end is not None)
    return f"a place on her: {WORDS[name]}, {words} m"


CROSS_CHECKS = (inside_her,)
