"""The questions of the register.

Only REG-01 asks the folder alone. REG-02 to REG-07 look at what the other checks found, so they have no answer yet when
checks are judged: their functions give nothing here, and `review` adds their findings under the same ids.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.register.ages import AGE
from buildbook.chapters.register.chances import (
    chance_of_so_many,
    chi_square_of_even,
    likeness,
    run_beyond_chance,
    share_that_agrees,
)
from buildbook.chapters.register.identity import identity
from buildbook.chapters.register.looks import LOOKS
from buildbook.chapters.register.records import NumberSeen, Work
from buildbook.chapters.register.spans import months_before, person_days
from buildbook.chapters.register.work import BEHIND
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Nonconformity, Planned
from buildbook.core.check import About, Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict
from buildbook.core.stage import Stage

TOLD = frozenset({Verdict.INFORMATION, Verdict.INCONCLUSIVE})


def left_to_review(evidence: Evidence) -> Iterable[Finding]:
    """Nothing: the findings of this check are made by the review, when all others are known."""
    return ()


CHECKS = (
    Check(
        id="REG-01",
        about=About.PAPER,
        due=Stage.MOULDED,
        question="Is she the same boat in every record?",
        judge=identity,
        tables=(NumberSeen,),
        verdicts=frozenset(
            {Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_APPLICABLE}
        ),
    ),
    Check(
        id="REG-02",
        about=About.PAPER,
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
        about=About.PAPER,
        question="Was every instrument in calibration on the day it was used?",
        judge=left_to_review,
        tables=(Instrument,),
        verdicts=frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}),
    ),
    Check(
        id="REG-04",
        about=About.PAPER,
        question="Was everything that failed put right, or openly accepted?",
        judge=left_to_review,
        tables=(Nonconformity,),
        verdicts=frozenset(
            {Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD}
        ),
    ),
    Check(
        id="REG-05",
        about=About.TRUST,
        question="Does the data look real?",
        judge=left_to_review,
        tables=(Instrument,),
        verdicts=TOLD,
        quantities=dict.fromkeys(LOOKS, "1"),
        facts=LOOKS,
        formulas=(
            share_that_agrees,
            run_beyond_chance,
            chi_square_of_even,
            likeness,
            chance_of_so_many,
        ),
    ),
    Check(
        id="REG-06",
        about=About.PAPER,
        due=Stage.PAINTED,
        question="How old are the readings?",
        judge=left_to_review,
        tables=(Hardness, Moisture),
        verdicts=TOLD,
        quantities={AGE: "1"},
        facts=(AGE,),
        formulas=(months_before,),
    ),
    Check(
        id="REG-07",
        about=About.PAPER,
        question="How much work is behind her, and what shows its result?",
        judge=left_to_review,
        tables=(Work,),
        verdicts=TOLD | {Verdict.NO_RECORD},
        quantities={BEHIND: "d"},
        facts=(BEHIND,),
        formulas=(person_days,),
    ),
)
