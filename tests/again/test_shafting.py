"""Every finding about shafts and rudders, worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import shafting_aft, shafting_line
from tests.again.common_rules import SAME, Own, Package
from tests.again.comparing import SAME_U, by_key, differences
from tests.again.drive_rules import keyed


def recomputed(package: Package) -> list[Own]:
    """What the package says of SHA-01 to SHA-09."""
    return [
        *shafting_line.diameters(package),
        *shafting_line.keyways(package),
        *shafting_line.run_outs(package),
        *shafting_line.tapers(package),
        *shafting_line.faces(package),
        *shafting_aft.clearances(package),
        *shafting_aft.spacings(package),
        *shafting_aft.grooves(package),
        *shafting_aft.stocks(package),
    ]


def test_every_finding_about_shafts_and_rudders_is_worked_out_again(package: Package) -> None:
    """Values to 1e-9, U to 1e-8; verdicts, words and rows exactly; none is left out on either side."""
    told = differences(by_key(package.findings, "SHA-"), keyed(recomputed(package)), {}, (SAME, SAME_U))
    assert not told, "\n".join(["", *told])
