"""What the charts of every chapter ask of findings: which belong to a quantity, and their numbers."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.core.finding import Finding, Role
from buildbook.core.quantity import Quantity


def charted(findings: Iterable[Finding], check: str, quantity: str, role: Role = Role.GOVERNING) -> list[Finding]:
    """The findings of one quantity of a check that have a number."""
    return [finding for finding in findings_of(findings, check, quantity, role) if finding.measured is not None]


def findings_of(findings: Iterable[Finding], check: str, quantity: str, role: Role = Role.GOVERNING) -> list[Finding]:
    """The findings of one quantity of a check."""
    wanted = (check, quantity, role)
    return [f for f in findings if (f.key.check, f.key.quantity, f.key.role) == wanted]


def measured_of(finding: Finding) -> Quantity:
    """What was measured; the finding must have a number."""
    assert finding.measured is not None
    return finding.measured


def value_of(finding: Finding) -> float:
    """The value [unit of the finding]; the finding must have a number."""
    return measured_of(finding).value


def interval_of(finding: Finding) -> float:
    """U at k = 2 to either side of the value [same unit]; 0 where none is stated."""
    return measured_of(finding).at_two or 0.0
