"""People in tables: they stand as role and initials, so that no name is published by mistake."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from buildbook.core.fault import Fault, Severity
from buildbook.core.record import Record, about
from buildbook.readers.row_cells import place_of

MAY_BE_A_NAME = "which may be a name"
_ONLY_SAID = "It is printed as it is."

# A word that looks like somebody's name: a capital and at least two small letters after it.
_NAME = re.compile(r"[^\W\d_]*[A-ZÀ-ÖØ-Þ][a-zß-öø-ÿ]{2,}")
_LONGEST_PERSON = 24  # characters; a role and initials take fewer


def persons(kind: type[Record], records: Iterable[Record]) -> Iterator[Fault]:
    """People stand as role and initials: `QA KL`, `painter AB`. A word like `Smith`, or a long text, is only said."""
    records = tuple(records)
    for name in (name for name, info in kind.columns().items() if about(info, "person")):
        seen: dict[str, list[Record]] = {}
        for row in records:
            value = getattr(row, name)
            if value and not role_and_initials(value):
                seen.setdefault(value, []).append(row)
        for rows in seen.values():
            expected = "a role and initials, like 'QA KL' or 'painter AB'"
            again = f", in {len(rows)} rows" if len(rows) > 1 else ""
            found = f"something longer, {MAY_BE_A_NAME}{again}"
            yield Fault(place_of(rows[0], name), expected, found, _ONLY_SAID, Severity.NOTICE)


def role_and_initials(text: str) -> bool:
    """Whether a text is a role and initials: no word with a capital and two small letters after it, and not long.

    >>> role_and_initials("QA KL"), role_and_initials("painter AB"), role_and_initials("John Smith")
    (True, True, False)
    """
    return len(text) <= _LONGEST_PERSON and not any(_NAME.match(word) for word in text.split())
