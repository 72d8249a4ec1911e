"""How a theme or a folder of texts is refused: all its faults at once."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.core.fault import Fault

EFFECT = "The book is not made."


class FaceRefused(Exception):
    """A theme or a folder of texts that is not used; `faults` say why, in the order of files and lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(faults, key=lambda fault: (fault.where.order, fault.expected)))
        super().__init__("\n".join(map(str, self.faults)))
