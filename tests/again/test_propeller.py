"""Every finding about the propellers, worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import propeller_accuracy, propeller_blades, propeller_drive, propeller_pitch
from tests.again.common_rules import SAME, Own, Package
from tests.again.comparing import Tolerance, by_key, differences
from tests.again.drive_rules import CLOSED, keyed

TOLERANCES: dict[str, Tolerance] = {
    "PRO-14": (SAME, 1e-6),  # here by the derivative, in the book with the mean of both sides taken as known
    "PRO-16": (SAME, 1e-4),  # here each run by itself, in the book at the mean speeds of the runs
}


def recomputed(package: Package) -> list[Own]:
    """What the package says of PRO-01 to PRO-16."""
    return [
        *propeller_pitch.blade_findings(package),
        *propeller_pitch.propeller_findings(package),
        *propeller_pitch.sides(package),
        *propeller_accuracy.accuracy_findings(package),
        *propeller_blades.turn_findings(package),
        *propeller_blades.single_findings(package),
        *propeller_blades.section_findings(package),
        *propeller_blades.cups(package),
        *propeller_drive.balance(package),
        *propeller_drive.room(package),
        *propeller_drive.slips(package),
    ]


def test_every_finding_about_the_propellers_is_worked_out_again(package: Package) -> None:
    """Numbers to 1e-9 or as `TOLERANCES` says; verdicts, words and rows exactly; none is left out on either side."""
    told = differences(by_key(package.findings, "PRO-"), keyed(recomputed(package)), TOLERANCES, CLOSED)
    assert not told, "\n".join(["", *told])
