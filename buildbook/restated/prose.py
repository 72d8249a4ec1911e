"""The book's own prose in the units that it tells figures in."""

from __future__ import annotations

import re
from collections.abc import Callable

from buildbook.core.shown_units import ShownUnits
from buildbook.restated.texts import Telling

# Entries of the glossary that say what a metric unit is: the rows as received have it.
METRIC_WORDS = re.compile(r"^## (?:kelvin|megapascal|micrometre)\n.*?(?=^## |\Z)", re.MULTILINE | re.DOTALL)


def prose_in(shown: ShownUnits, check: str = "") -> Callable[[str], str]:
    """What tells prose in some units: as it is written in metric ones. `check` is the one that it is about."""
    return str if shown is ShownUnits.METRIC else Telling(check, received=METRIC_WORDS)
