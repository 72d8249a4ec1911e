"""INF-01 to INF-09: every finding of the demonstration worked out again from the evidence package alone."""

from __future__ import annotations

from tests.again import infusion_log, infusion_resin
from tests.again.common_rules import Own, Package
from tests.again.comparing import by_key, differences
from tests.again.drive_rules import keyed


def recomputed(package: Package) -> list[Own]:
    """What the package says of INF-01 to INF-09."""
    return [
        *infusion_log.drop_tests(package),
        *infusion_log.held(package),
        *infusion_log.climate(package),
        *infusion_log.peaks(package),
        *infusion_resin.clocks(package),
        *infusion_resin.hardeners(package),
        *infusion_resin.ratios(package),
        *infusion_resin.batches(package),
        *infusion_resin.speeds(package),
    ]


def test_every_finding_about_the_infusion_is_worked_out_again(package: Package) -> None:
    told = differences(by_key(package.findings, "INF-"), keyed(recomputed(package)))
    assert not told, "\n".join(["", *told])
