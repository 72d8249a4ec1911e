"""Small synthetic rows for the checks of any chapter, limits as a builder would set them, and picking one finding.

All rows are invented for these tests. Instruments state round uncertainties at k = 2 and no resolution, so that the
expected values can be worked out by hand beside each test.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest

from buildbook.core.finding import Finding, Role, Verdict
from buildbook.core.hull import ChosenRule, Specification, SpecifiedLimit
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.core.source import Standing

GOVERNING, REFERENCE = Role.GOVERNING, Role.REFERENCE
PASS, CONDITIONAL_PASS = Verdict.PASS, Verdict.CONDITIONAL_PASS
CONDITIONAL_FAIL, FAIL = Verdict.CONDITIONAL_FAIL, Verdict.FAIL
INCONCLUSIVE, NOT_MEASURED, NO_RECORD = Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD
NOT_APPLICABLE, INFORMATION = Verdict.NOT_APPLICABLE, Verdict.INFORMATION

near: Any = pytest.approx
Tables = dict[type[Record], Any]
CALIBRATED = {"certificate": "CAL-1", "calibrated": "2025-09-01", "due": "2026-09-01", "coverage": 2}


def instrument(name: str, quantity: str, unit: str, uncertainty: float | None, **more: Any) -> dict[str, Any]:
    """One calibrated instrument: U at k = 2."""
    coverage = {"coverage": None} if uncertainty is None else {}
    row = {"instrument": name, "quantity": quantity, "type": quantity, "unit": unit, "uncertainty": uncertainty}
    return {**CALIBRATED, **row, **coverage, **more}


def zone(name: str = "Z1", **more: Any) -> dict[str, Any]:
    """One painted zone on gelcoat."""
    row = {"place": name, "name": name, "kind": "zone", "painted": "yes", "substrate": "gelcoat"}
    return {**row, "visibility": "high", "area": 2.0, **more}


def planned(check: str, place: str | None, record: str, readings: int | None = None, **more: Any) -> dict[str, Any]:
    """One line of the plan."""
    row = {"line": f"{check}-{place}", "check": check, "place": place, "record": record, "readings": readings}
    return {**row, "point": "monitor", **more}


def specified(
    check: str,
    quantity: str,
    unit: str,
    low: float | None = None,
    high: float | None = None,
    **more: Any,
) -> SpecifiedLimit:
    """A limit of the builder's specification; `place` and `condition` say what it applies to."""
    scope = {name: more.pop(name, "") for name in ("place", "condition")}
    term = Term("specified", Standing.BUILDER, "builder", "SPEC-07", "C")
    return SpecifiedLimit(check, quantity, Limit(unit, (term,), low, high, **more), **scope)


def specification(*limits: SpecifiedLimit, **rules: str) -> Specification:
    """A builder's specification: limits, and the rule of a check as `COA_08="maker-80-20"`."""
    chosen = tuple(
        ChosenRule(check.replace("_", "-"), rule, Term(rule, Standing.BUILDER, "builder", "SPEC-07", "C"))
        for check, rule in rules.items()
    )
    return Specification(limits, chosen)


def one(
    findings: Iterable[Finding],
    quantity: str = "",
    place: str = "",
    condition: str = "",
    attempt: int = 1,
    role: Role = GOVERNING,
) -> Finding:
    """The only finding with this key; empty fields match all."""
    found = [
        finding
        for finding in findings
        if (not quantity or finding.key.quantity == quantity)
        and (not place or finding.key.place == place)
        and (not condition or finding.key.condition == condition)
        and finding.key.attempt == attempt
        and finding.key.role is role
    ]
    assert len(found) == 1, [finding.key for finding in found]
    return found[0]


def value(finding: Finding) -> float:
    """The measured value."""
    assert finding.measured is not None
    return finding.measured.value


def expanded(finding: Finding) -> float:
    """U at k = 2 of the measured value."""
    assert finding.measured is not None
    assert finding.measured.at_two is not None
    return finding.measured.at_two


def limit_of(finding: Finding) -> Limit:
    """The limit it was judged by."""
    assert finding.limit is not None
    return finding.limit


def said(finding: Finding, words: str) -> bool:
    """Whether a note of the finding holds these words."""
    return any(words in note for note in finding.notes)
