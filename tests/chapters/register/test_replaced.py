"""Readings of a part that was replaced: shown, and no longer a pass; synthetic rows."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from buildbook.chapters.register.replaced import told_of_parts_gone
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.finding import Finding, Key, Period, Verdict
from tests.chapters.evidence_builder import evidence

REPORT = {"report": "NCR-9", "place": "L5", "found_on": "2025-11-06", "replaced_on": "2025-11-20"}
OLD, NEW = datetime(2025, 11, 1, 9, 0), datetime(2025, 11, 20, 9, 0)


def found(verdict: Verdict, place: str = "L5", at: datetime | None = OLD) -> Finding:
    return Finding(Key("LAM-04", "plies counted", place), verdict, period=Period(at, at) if at else None)


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        (found(Verdict.PASS), Verdict.INFORMATION),
        (found(Verdict.CONDITIONAL_PASS), Verdict.INFORMATION),
        (found(Verdict.FAIL), Verdict.FAIL),  # bad news stays
        (found(Verdict.INCONCLUSIVE), Verdict.INCONCLUSIVE),
        (found(Verdict.PASS, at=NEW), Verdict.PASS),
        (found(Verdict.PASS, place="L4"), Verdict.PASS),
        (found(Verdict.PASS, at=None), Verdict.PASS),
    ],
)
def test_a_pass_of_the_old_part_is_shown_for_information(given, verdict):
    (told,) = told_of_parts_gone(evidence({Nonconformity: [REPORT]}), [given])
    assert told.verdict is verdict
    assert any("replaced on 2025-11-20 (report NCR-9)" in note for note in told.notes) == (told != given)


def test_a_report_that_cannot_be_used_otherwise_still_says_it():
    lost = evidence({Nonconformity: []}, unread={Nonconformity: [{**REPORT, "replaced_on": NEW.date()}]})
    (told,) = told_of_parts_gone(lost, [found(Verdict.PASS)])
    assert told.verdict is Verdict.INFORMATION


def test_without_a_replacement_nothing_changes():
    kept = replace(found(Verdict.PASS))
    assert told_of_parts_gone(evidence({Nonconformity: [{**REPORT, "replaced_on": None}]}), [kept]) == (kept,)
