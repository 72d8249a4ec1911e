"""Every finding about parts and materials, worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import parts_materials, parts_register
from tests.again.common_rules import Own, Package
from tests.again.comparing import by_key, differences
from tests.again.drive_rules import keyed


def recomputed(package: Package) -> list[Own]:
    """What the package says of PAR-01 to PAR-05."""
    return [
        *parts_register.listed(package),
        *parts_materials.traced(package),
        *parts_register.released(package),
        *parts_register.remade(package),
        *parts_materials.in_date(package),
    ]


def test_every_finding_about_parts_is_worked_out_again(package: Package) -> None:
    """Days to the day; verdicts, words and rows exactly; none is left out on either side."""
    own = recomputed(package)
    assert len(own) > 40
    told = differences(by_key(package.findings, "PAR-"), keyed(own))
    assert not told, "\n".join(["", *told])
