"""How a reader says no."""

from __future__ import annotations

from buildbook.core.fault import Fault


class Refused(Exception):
    """A file that is not read. `fault` says which one, what was expected, what was found and what follows."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault
