"""The questions of the register.

Only REG-01 asks the folder alone. REG-02 to REG-04 look at what the other checks found, so they have no answer yet when
checks are judged: their functions give nothing here, and `review` adds their findings under the same ids.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.register.identity import identity
from buildbook.chapters.register.records import NumberSeen
from buildbook.chapters.shared_records import Instrument, Nonconformity, Planned
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict


def left_to_review(evidence: Evidence) -> Iterable[Finding]:
    """Nothing: the findings of this check are made by the review, when all others are known."""
    return ()


CHECKS = (
    Check(
        id="REG-01",
        question="Is she the same boat in every record?",
        judge=identity,
        tables=(NumberSeen,),
        verdicts=frozenset(
            {Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_APPLICABLE}
        ),
    ),
    Check(
        id="REG-02",
        question="Was every planned inspection carried out and recorded?",
        judge=left_to_review,
        tables=(Planned,),
        verdicts=frozenset(
            {
                Verdict.PASS,
                Verdict.FAIL,
                Verdict.INCONCLUSIVE,
                Verdict.NOT_MEASURED,
                Verdict.NO_RECORD,
                Verdict.INFORMATION,
            }
        ),
    ),
    Check(
        id="REG-03",
        question="Was every instrument in calibration on the day it was used?",
        judge=left_to_review,
        tables=(Instrument,),
        verdicts=frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}),
    ),
    Check(
        id="REG-04",
        question="Was everything that failed put right, or openly accepted?",
        judge=left_to_review,
        tables=(Nonconformity,),
        verdicts=frozenset(
            {Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}
        ),
    ),
)
