"""Every finding of SYS-10 to SYS-18, worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import systems_safety, systems_whole
from tests.again.common_rules import Own, Package
from tests.again.comparing import by_key, differences
from tests.again.drive_rules import CLOSED, keyed

SECOND = "SYS-1"  # SYS-10 and above


def recomputed(package: Package) -> list[Own]:
    """What the package says of the tests with the whole boat and of what was tried aboard."""
    return [
        *systems_whole.gas(package),
        *systems_whole.steering(package),
        *systems_whole.weight(package),
        *systems_whole.trial(package),
        *systems_whole.engines(package),
        *systems_safety.devices(package),
        *systems_safety.seacocks(package),
        *systems_safety.mains(package),
        *systems_safety.lights(package),
    ]


def test_every_finding_of_the_tests_aboard_is_worked_out_again(package: Package) -> None:
    """Numbers to 1e-9; verdicts, words and rows exactly; none is left out on either side."""
    told = differences(by_key(package.findings, SECOND), keyed(recomputed(package)), {}, CLOSED)
    assert not told, "\n".join(["", *told])
