"""No row that is deleted, and no cell that is spoiled, moves a verdict of the coating chapter to the better end.

Judged as the book judges: with the plan's counts, the running rows and the reports of nonconformity. Verdicts in their
order: pass, conditional pass, the three of not known, conditional fail, fail. Where a finding is gone with its row, the
worst verdict of its check must not be better than before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.chapters import CHAPTERS
from buildbook.chapters.coating.checks import CHECKS
from buildbook.chapters.coating.records import Climate, FilmReading
from buildbook.chapters.shared_records import Instrument, Moisture, Nonconformity, Planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.record import Record
from buildbook.pipeline import judge
from tests.chapters.coating.whole_folder import ROWS, whole
from tests.chapters.evidence_builder import deleted, spoiled

Findings = dict[Key, Finding]
KINDS = tuple(ROWS)
ORDER_OF_WORK = tuple(f"COA-{number:02}" for number in range(1, 17))


def governing(evidence: Evidence) -> Findings:
    """The coating findings that count."""
    found = judge(evidence, CHAPTERS)
    return {f.key: f for f in found if f.key.role is Role.GOVERNING and f.key.check in ORDER_OF_WORK}


@cache
def before() -> Findings:
    return governing(whole())


def worst(findings: Findings) -> dict[str, int]:
    ranks: dict[str, int] = {}
    for key, finding in findings.items():
        ranks[key.check] = max(ranks.get(key.check, 0), finding.verdict.rank)
    return ranks


def better(old: Findings, new: Findings) -> list[str]:
    """What looks better than before, in words."""
    moved = [
        f"{key}: {old[key].verdict.value} became {new[key].verdict.value}"
        for key in old
        if key in new and new[key].verdict.rank < old[key].verdict.rank
    ]
    now, then = worst(new), worst(old)
    gone = {key.check for key in old if key not in new}
    return moved + [f"{check}: its worst finding is gone" for check in sorted(gone) if now.get(check, -1) < then[check]]


def losses(kind: type[Record], evidence: Evidence) -> Iterator[tuple[str, Evidence]]:
    """Every way to lose one row or one cell of a table."""
    for index, row in enumerate(evidence.records[kind]):
        yield f"{row.where} deleted", deleted(evidence, kind, index)
        for column in kind.columns():
            yield f"{row.where}, {column} spoiled", spoiled(evidence, kind, index, [column])


def test_the_folder_holds_something_of_everything():
    """A folder of passes could not get better; here most checks stand near a limit, beyond it, or miss something."""
    found = before()
    assert {key.check for key in found} == set(ORDER_OF_WORK)
    assert {finding.verdict for finding in found.values()} == {
        Verdict.PASS,
        Verdict.CONDITIONAL_PASS,
        Verdict.FAIL,
        Verdict.INCONCLUSIVE,
        Verdict.NOT_MEASURED,
        Verdict.INFORMATION,
    }
    assert sum(worst(found)[check] > 0 for check in ORDER_OF_WORK) >= 10
    assert all(len(whole().records[kind]) > 0 for kind in KINDS)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.table.file)
def test_no_lost_row_or_cell_looks_better(kind):
    """Every row of every table deleted, every cell of it spoiled, one at a time."""
    seen = {what: better(before(), governing(after)) for what, after in losses(kind, whole())}
    assert seen
    assert {what: moved for what, moved in seen.items() if moved} == {}


# A lost line of the plan or a lost report takes away what would notice the next loss: see decision 2.
LOSABLE = [kind for kind in KINDS if kind not in (Planned, Nonconformity)]


@st.composite
def several_losses(draw) -> tuple[list[str], Evidence]:
    evidence, told = whole(), []
    for _ in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from([kind for kind in LOSABLE if evidence.records[kind]]))
        index = draw(st.integers(0, len(evidence.records[kind]) - 1))
        column = draw(st.sampled_from(["", *kind.columns()]))
        told.append(f"{evidence.records[kind][index].where} {column or 'deleted'}")
        if column:
            evidence = spoiled(evidence, kind, index, [column])
        else:
            evidence = deleted(evidence, kind, index)
    return told, evidence


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(several_losses())
@pytest.mark.slow
def test_no_few_losses_together_look_better(losses):
    told, evidence = losses
    assert better(before(), governing(evidence)) == [], told
    for check in CHECKS:
        assert {finding.verdict for finding in check.judge(evidence)} <= check.verdicts, told


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_no_lost_table_looks_better(data):
    """Whole tables gone, one to three of them; the plan and the reports stay."""
    evidence = whole()
    for kind in data.draw(st.lists(st.sampled_from(LOSABLE), min_size=1, max_size=3, unique=True)):
        while evidence.records[kind]:
            evidence = deleted(evidence, kind, 0)
    assert better(before(), governing(evidence)) == []


# What no program can notice, said here so that nobody believes otherwise (decision 2).


MOISTURE_OF_Z1 = Key("COA-16", "moisture above dry reference", "Z1")


def test_known_limit_the_last_reading_of_a_series_and_its_line_of_the_plan_deleted_together():
    """Number 2 of 2 was 4 units above its reference, close to the limit of 5; number 1 is 1 unit above."""
    evidence = whole()
    last = next(i for i, row in enumerate(evidence.of(Moisture)) if (row.place, row.number) == ("Z1", 2))
    line = next(i for i, row in enumerate(evidence.of(Planned)) if row.record == Moisture.table.file)
    assert before()[MOISTURE_OF_Z1].verdict is Verdict.CONDITIONAL_PASS
    alone = governing(deleted(evidence, Moisture, last))
    assert alone[MOISTURE_OF_Z1].verdict is Verdict.INCONCLUSIVE
    both = governing(deleted(deleted(evidence, Moisture, last), Planned, line))
    assert both[MOISTURE_OF_Z1].verdict is Verdict.PASS


def test_a_reading_and_its_line_of_the_plan_deleted_together_may_still_be_missed_by_the_sampling_plan():
    """Ten film readings on 2 m2 are as many as ISO 19840 asks for."""
    evidence = whole()
    line = next(i for i, row in enumerate(evidence.of(Planned)) if (row.check, row.place) == ("COA-08", "Z1"))
    after = governing(deleted(deleted(evidence, Planned, line), FilmReading, 0))
    assert after[Key("COA-08", "smallest film thickness", "Z1")].verdict is Verdict.INCONCLUSIVE


def test_known_limit_a_logger_row_between_two_others_is_noticed_by_the_plan_only():
    evidence = whole()
    damp = next(i for i, row in enumerate(evidence.of(Climate)) if row.surface == 15.5)
    key = Key("COA-04", "dew-point margin", "Z1", "Z1-2")
    assert before()[key].verdict is Verdict.CONDITIONAL_PASS
    assert governing(deleted(evidence, Climate, damp))[key].verdict is Verdict.INCONCLUSIVE


def test_an_instrument_without_an_uncertainty_gives_no_plain_pass():
    """Without a U nobody can tell what is too near, and the page says that it can be wrong half of the time."""
    evidence = whole()
    silent = tuple(row.model_copy(update={"uncertainty": None, "coverage": None}) for row in evidence.of(Instrument))
    after = governing(replace(evidence, records={**evidence.records, Instrument: silent}))
    key = Key("COA-08", "smallest film thickness", "Z1")
    assert after[key].verdict is Verdict.CONDITIONAL_PASS
    assert any("The uncertainty was not stated" in note for note in after[key].notes)
