"""INF-08: every verdict, on synthetic rows."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.infusion.checks.batches import IN_DATE, TRACED, batches
from buildbook.chapters.infusion.records import BatchUsed, Infusion, Mix
from buildbook.core.finding import Finding
from tests.chapters.infusion.infusion_folder import BATCHES, batch, folder, mix
from tests.chapters.small_folder import FAIL, INCONCLUSIVE, NO_RECORD, PASS, one, said

GIVEN = ("G", "F", "R", "H")


def found(tables: Any = None, **more: Any) -> list[Finding]:
    return list(batches(folder(tables, **more)))


def other(name: str, **more: Any) -> list[dict[str, Any]]:
    """The batches with one of them changed."""
    return [{**row, **more} if row["batch"] == name else row for row in BATCHES]


def test_inf_08_pass_with_every_batch():
    both = found()
    assert one(both, IN_DATE).verdict is PASS
    assert one(both, IN_DATE).observed == "earliest use-before date 2026-05-01"
    assert said(one(both, IN_DATE), "no such date: G and F")
    assert one(both, TRACED).verdict is PASS


def test_inf_08_fail_out_of_date_or_used_before_it_came():
    """Infused on 2025-10-01."""
    assert one(found({Batch: other("R", expires="2025-09-30")}), IN_DATE).verdict is FAIL
    assert one(found({Batch: other("R", expires="2025-10-01")}), IN_DATE).verdict is PASS
    assert one(found({Batch: other("H", received="2025-10-02")}), TRACED).verdict is FAIL


def test_a_batch_named_twice_is_held_by_every_row_of_it():
    twin = [*BATCHES, batch("R", "VE-INF", "resin", expires="2025-09-01")]
    assert one(found({Batch: twin}), IN_DATE).verdict is FAIL


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ({Mix: [mix(), mix("B", hardener_batch=None)]}, "mix B"),
        ({Batch: BATCHES[:-1]}, "Batch F has no usable row"),
        ({BatchUsed: [{"part": "P", "batch": name} for name in ("F", "R", "H")]}, "No batch of GLASS"),
        ({Mix: []}, "No mix of this part"),
        (
            {Mix: [mix(hardener_batch="R")], BatchUsed: [{"part": "P", "batch": name} for name in ("G", "F", "R")]},
            "none of the batches is a hardener",
        ),
    ],
)
def test_inf_08_no_record_of_what_cannot_be_traced(tables, words):
    at = one(found(tables), TRACED)
    assert at.verdict is NO_RECORD
    assert said(at, words)


def test_inf_08_no_record_of_dates_or_tables():
    assert one(found({Batch: other("R", expires=None)}), IN_DATE).verdict is NO_RECORD
    assert one(found({Batch: other("F", expires=None, kind="adhesive")}), IN_DATE).verdict is NO_RECORD
    assert one(found({Batch: BATCHES[1:]}), IN_DATE).verdict is NO_RECORD
    assert one(found({Mix: [mix(resin_batch=None)]}), IN_DATE).verdict is NO_RECORD
    for kind in (Batch, Infusion):
        assert {finding.verdict for finding in found({kind: []})} == {NO_RECORD}
    assert {finding.verdict for finding in found({BatchUsed: [], Mix: []})} == {NO_RECORD}


@pytest.mark.parametrize("name", ["G", "F"])
def test_inf_08_no_record_of_a_date_that_was_lost_where_nobody_says_that_there_is_none(name: str) -> None:
    """A core past its date fails; with the date blanked it must not come out better than no record."""
    late = one(found({Batch: other(name, expires="2025-09-30", shelf_life=True)}), IN_DATE)
    assert late.verdict is FAIL
    for stated in (None, True):
        lost = one(found({Batch: other(name, expires=None, shelf_life=stated)}), IN_DATE)
        assert lost.verdict is NO_RECORD
        assert said(lost, f"gives no use-before date of {name}")
        assert said(lost, "no under shelf_life")
    both = [{**row, "shelf_life": None} for row in BATCHES]
    assert said(one(found({Batch: both}), IN_DATE), "date of G and F")


def test_a_resin_needs_its_date_whatever_its_row_says():
    assert one(found({Batch: other("R", expires=None, shelf_life=False)}), IN_DATE).verdict is NO_RECORD


def test_a_batch_with_a_date_does_not_say_that_it_has_none():
    with pytest.raises(ValueError, match="shelf_life: yes beside a date"):
        found({Batch: other("G", expires="2026-03-01", shelf_life=False)})


def test_inf_08_inconclusive_where_the_row_of_the_infusion_is_lost():
    lost = found({Infusion: []}, unread={Infusion: [{"part": "P"}]}, missing={})
    assert {finding.verdict for finding in lost} <= {INCONCLUSIVE, NO_RECORD}
    mended = found({Infusion: [{"part": "Q"}]}, unread={Infusion: [{"part": "P"}]})
    assert one(mended, IN_DATE, "P").verdict is INCONCLUSIVE
