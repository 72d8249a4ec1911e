"""PAR-02 and PAR-05: every verdict, on synthetic rows. That batches can be traced and are used in date is read in the
materials rules of a class society.
"""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.checks.in_date import DAYS, UNDATED, on_the_day
from buildbook.chapters.parts.checks.traced import BACK, FORWARD, HULL, both_ways
from buildbook.chapters.parts.cross import batches_on_record, used_after_it_came, used_before_it_was_fitted
from buildbook.chapters.parts.records import Part, PartBatch, Stock
from buildbook.core.finding import Finding
from tests.chapters.parts.parts_folder import BATCHES, LINKS, NUMBER, PARTS, Rows, aboard, batch, link, part
from tests.chapters.small_folder import (
    FAIL,
    INCONCLUSIVE,
    NO_RECORD,
    NOT_APPLICABLE,
    PASS,
    limit_of,
    one,
    said,
    specified,
    value,
)

KEPT = {"batch": "R-2", "where_now": "in stock", "seen_on": "2026-03-09"}


def traced(tables: Rows | None = None, **more: Any) -> list[Finding]:
    return list(both_ways(aboard(tables, **more)))


def in_date(tables: Rows | None = None, **more: Any) -> list[Finding]:
    return list(on_the_day(aboard(tables, **more)))


def test_par_02_pass_both_ways_and_the_two_lists_are_each_other_turned_about():
    forward, back = one(traced(), FORWARD), one(traced(), BACK)
    assert forward.verdict is PASS
    assert back.verdict is PASS
    assert forward.working == ("A-1 thing 1: R-1", "A-2 thing 1: R-1", "A-3 thing 2: M-1")
    assert back.working == ("R-1 (material R-1, adhesive): A-1, A-2", "M-1 (material M-1, metal): A-3")


def test_par_02_no_record_of_a_part_without_a_batch():
    at = one(traced({PartBatch: LINKS[1:]}), FORWARD)
    assert at.verdict is NO_RECORD
    assert said(at, "No batch is named for A-1 thing 1.")


def test_par_02_no_record_of_a_batch_that_is_not_in_the_table():
    at = one(traced({PartBatch: [*LINKS, link("A-1", "R-9")]}), FORWARD)
    assert at.verdict is NO_RECORD
    assert said(at, "no usable row of R-9 (in A-1)")


@pytest.mark.parametrize(
    ("tables", "unread"),
    [
        ({PartBatch: LINKS[1:]}, {PartBatch: [{"part": "A-1"}]}),
        ({Batch: BATCHES[1:]}, {Batch: [{"batch": "R-1"}]}),
    ],
)
def test_par_02_inconclusive_where_what_lacks_may_be_a_row_that_cannot_be_read(tables, unread):
    assert one(traced(tables, unread=unread), FORWARD).verdict is INCONCLUSIVE


def test_par_02_no_record_or_pass_by_where_a_batch_went():
    more: Rows = {Batch: [*BATCHES, batch("R-2")]}
    at = one(traced(more), BACK)
    assert at.verdict is NO_RECORD
    assert said(at, "Nothing says where R-2 (material R-2, adhesive) went.")
    assert said(one(traced({**more, Stock: []}), BACK), "parts/stock.csv: the table has no rows.")
    kept = one(traced({**more, Stock: [KEPT]}), BACK)
    assert kept.verdict is PASS
    assert kept.observed == "3 batches: 2 in parts, 1 accounted for elsewhere"
    assert kept.working[-1] == "R-2 (material R-2, adhesive): in stock, seen 2026-03-09"


def test_par_02_pass_whatever_became_of_kinds_that_no_part_is_made_of():
    assert one(traced({Batch: [*BATCHES, batch("G-1", "gelcoat")]}), BACK).verdict is PASS


def test_par_02_inconclusive_where_the_row_of_the_stock_cannot_be_read():
    found = traced({Batch: [*BATCHES, batch("R-2")]}, unread={Stock: [{"batch": "R-2"}]})
    assert one(found, BACK).verdict is INCONCLUSIVE


def test_par_02_pass_or_fail_by_the_hull_number():
    assert one(traced(), HULL).verdict is PASS
    at = one(traced({Part: [part("A-1", hull="XX-SYN00002A626"), *PARTS[1:]]}), HULL)
    assert at.verdict is FAIL
    assert at.observed == "another number: A-1 thing 1 has XX-SYN00002A626"


def test_par_02_no_record_of_a_hull_number():
    assert said(one(traced({Part: [part("A-1", hull=None), *PARTS[1:]]}), HULL), "No hull number is on record for A-1")
    assert one(traced(number=""), HULL).verdict is NO_RECORD
    assert one(traced({Part: [part("A-1", state="in stock", fitted_on=None)]}), HULL).verdict is NO_RECORD


def test_par_02_fail_tells_the_parts_without_a_number_beside_it():
    rows = [part("A-1", hull="another"), part("A-2", hull=None), PARTS[2]]
    at = one(traced({Part: rows}), HULL)
    assert at.verdict is FAIL
    assert said(at, "No hull number is on record for A-2 thing 1.")


@pytest.mark.parametrize("kind", ["resin", "gelcoat"])
def test_par_02_no_record_of_what_needs_a_hardener_and_has_none(kind):
    """That resin and gelcoat stay liquid without a hardener is common practice, no source."""
    rows: Rows = {Batch: [batch(kind=kind), BATCHES[1], batch("H-1", "hardener")]}
    at = one(traced(rows), FORWARD)
    assert at.verdict is NO_RECORD
    assert said(at, "without the batch of its hardener for A-1 thing 1 and A-2 thing 1. Look it up")
    at = one(traced({**rows, PartBatch: [*LINKS, link("A-1", "H-1")]}), FORWARD)
    assert at.verdict is NO_RECORD
    assert said(at, "hardener for A-2 thing 1. Look it up")
    assert one(traced({**rows, PartBatch: [*LINKS, link("A-1", "H-1"), link("A-2", "H-1")]}), FORWARD).verdict is PASS


def test_par_02_inconclusive_where_the_lost_row_may_name_the_hardener():
    rows: Rows = {Batch: [batch(kind="resin"), BATCHES[1]], PartBatch: [LINKS[0], LINKS[2]], Part: [PARTS[0], PARTS[2]]}
    assert one(traced(rows), FORWARD).verdict is NO_RECORD
    assert one(traced(rows, unread={PartBatch: [{"part": "A-1"}]}), FORWARD).verdict is INCONCLUSIVE


@pytest.mark.parametrize("tables", [{Part: []}, {Batch: []}])
def test_par_02_no_record_without_register_or_batches(tables):
    verdicts = {at.key.quantity: at.verdict for at in traced(tables)}
    assert verdicts[BACK] is NO_RECORD
    assert verdicts[FORWARD] is NO_RECORD


@pytest.mark.parametrize(
    ("used_on", "left", "verdict"), [("2026-03-09", 1, PASS), ("2026-03-10", 0, PASS), ("2026-03-11", -1, FAIL)]
)
def test_par_05_pass_or_fail_by_the_day_of_use(used_on, left, verdict):
    """The use-before date is 2026-03-10; that the day itself counts is common practice, no source."""
    at = one(in_date({PartBatch: [link("A-1", used_on=used_on), *LINKS[1:]]}), DAYS)
    assert value(at) == left
    assert limit_of(at).low == 0.0
    assert at.verdict is verdict
    assert at.margin == left


def test_par_05_fail_names_the_parts_that_hold_what_was_late():
    rows = [link("A-1", used_on="2026-03-12"), link("A-2"), link("A-3", used_on="2026-03-15")]
    at = one(in_date({PartBatch: rows}), DAYS, condition="R-1")
    assert value(at) == -5.0
    assert at.observed == "material R-1, A-1 and A-3"
    assert at.working[0] == "good to 2026-03-10, by its maker"
    assert at.verdict is FAIL


def test_par_05_fail_by_the_earlier_of_two_dates_of_one_batch():
    rows = [*BATCHES, batch(expires="2026-02-28")]
    at = one(in_date({Batch: rows}), DAYS, condition="R-1")
    assert value(at) == -1.0
    assert at.verdict is FAIL


def test_par_05_fail_where_the_builder_asks_for_more_days():
    mine = [specified("PAR-05", DAYS, "d", 30.0)]
    at = one(in_date(mine=mine), DAYS, condition="R-1")
    assert (value(at), at.verdict) == (9.0, FAIL)


@pytest.mark.parametrize("kind", ["resin", "hardener", "gelcoat", "adhesive"])
def test_par_05_no_record_of_the_date_of_what_goes_off(kind):
    at = one(in_date({Batch: [batch(kind=kind, expires=None), BATCHES[1]]}), DAYS, condition="R-1")
    assert at.verdict is NO_RECORD
    assert said(at, "no use-before date of it is on record")


def test_par_05_not_applicable_to_metal_but_judged_where_its_maker_gives_a_date():
    at = one(in_date(), UNDATED)
    assert at.verdict is NOT_APPLICABLE
    assert said(at, "metal M-1")
    dated = in_date({Batch: [BATCHES[0], batch("M-1", "metal", "2026-04-01")]})
    assert one(dated, DAYS, condition="M-1").verdict is PASS
    assert [at for at in dated if at.key.quantity == UNDATED] == []


@pytest.mark.parametrize("kind", ["reinforcement", "core", "metal", "component"])
@pytest.mark.parametrize("stated", [None, True])
def test_par_05_no_record_of_a_date_that_was_lost_where_nobody_says_that_there_is_none(kind, stated):
    """With its date the batch fails; without it, and without a no, it must not come out as not applicable."""
    late = in_date({Batch: [BATCHES[0], batch("M-1", kind, "2026-02-01", shelf_life=stated)]})
    assert one(late, DAYS, condition="M-1").verdict is FAIL
    found = in_date({Batch: [BATCHES[0], batch("M-1", kind, None, shelf_life=stated)]})
    at = one(found, DAYS, condition="M-1")
    assert at.verdict is NO_RECORD
    assert said(at, "does not say that there is none")
    assert not [at for at in found if at.key.quantity == UNDATED]


def test_par_05_no_record_of_what_goes_off_whatever_its_row_says():
    at = one(in_date({Batch: [batch(expires=None, shelf_life=False), BATCHES[1]]}), DAYS, condition="R-1")
    assert at.verdict is NO_RECORD


def test_par_05_no_record_of_a_batch_that_is_not_in_the_table():
    assert one(in_date({Batch: BATCHES[1:]}), DAYS, condition="R-1").verdict is NO_RECORD


def test_par_05_inconclusive_where_its_row_or_the_day_of_use_cannot_be_read():
    assert one(in_date({Batch: BATCHES[1:]}, unread={Batch: [{"batch": "R-1"}]}), DAYS).verdict is INCONCLUSIVE
    found = in_date({PartBatch: LINKS[2:]}, unread={PartBatch: [{"part": "A-1", "batch": "R-1"}]})
    assert one(found, DAYS, condition="R-1").verdict is INCONCLUSIVE


def test_par_05_no_record_without_links():
    assert one(in_date({PartBatch: []}), DAYS).verdict is NO_RECORD


def test_nothing_is_used_before_it_came_or_after_the_part_was_fitted():
    early = aboard({PartBatch: [link("A-1", used_on="2025-09-30"), *LINKS[1:]]})
    (fault,) = used_after_it_came(early)
    assert "came in (2025-10-01" in fault.expected
    late = aboard({PartBatch: [link("A-1", used_on="2026-03-07"), *LINKS[1:]]})
    (fault,) = used_before_it_was_fitted(late)
    assert "2026-03-06" in fault.expected
    assert not list(used_after_it_came(aboard()))
    assert not list(used_before_it_was_fitted(aboard()))


def test_a_batch_that_the_table_of_batches_does_not_have_is_told_with_the_nearest_and_its_row_stays():
    assert not list(batches_on_record(aboard()))
    told = list(batches_on_record(aboard({PartBatch: [link("A-1", "r-1"), link("A-2", "Z-99"), *LINKS[2:]]})))
    assert [(f.where.line, f.where.column, f.row_kept) for f in told] == [(2, "batch", True), (3, "batch", True)]
    assert "did you mean 'R-1'?" in told[0].found
    assert "write an id that it has, or add a row" in told[1].found


def test_the_number_of_these_rows_is_no_real_one():
    assert NUMBER.startswith("XX-")
