"""Every finding about fuel, tanks, openings, bilges and circuits, worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import systems_electric, systems_tanks
from tests.again.common_rules import SAME, Own, Package
from tests.again.comparing import Tolerance, by_key, differences
from tests.again.drive_rules import CLOSED, keyed

CHECKS = tuple(f"SYS-{number:02}" for number in range(1, 10))
SLOPES: Tolerance = (SAME, 1e-8)  # U here by the derivative, in the book by finite differences
TOLERANCES = dict.fromkeys(("SYS-01", "SYS-03", "SYS-06", "SYS-07", "SYS-09"), SLOPES)


def recomputed(package: Package) -> list[Own]:
    """What the package says of SYS-01 to SYS-09."""
    return [
        *systems_tanks.fills(package),
        *systems_tanks.senders(package),
        *systems_tanks.pressures(package),
        *systems_tanks.hoses(package),
        *systems_tanks.bilges(package),
        *systems_electric.bonds(package),
        *systems_electric.insulations(package),
        *systems_electric.drops(package),
    ]


def test_every_finding_of_tanks_and_circuits_is_worked_out_again(package: Package) -> None:
    """Numbers as `TOLERANCES` says; verdicts, words and rows exactly; none is left out on either side."""
    book = {key: line for key, line in by_key(package.findings, "SYS-").items() if key.check in CHECKS}
    told = differences(book, keyed(recomputed(package)), TOLERANCES, CLOSED)
    assert not told, "\n".join(["", *told])
