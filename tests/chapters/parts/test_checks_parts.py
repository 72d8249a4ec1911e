"""PAR-01, PAR-03 and PAR-04: every verdict, on synthetic rows. What is asked for is common practice, no source, but for
the hold point (read on public teaching pages).
"""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.parts.checks.listed import BEYOND, LISTED, in_the_register
from buildbook.chapters.parts.checks.released import before_fitting
from buildbook.chapters.parts.checks.remade import FOLLOWED, RUN, accounted
from buildbook.chapters.parts.records import ListedPart, Part
from buildbook.chapters.shared_records import Nonconformity, Place
from buildbook.core.finding import Finding
from tests.chapters.evidence_builder import record
from tests.chapters.parts.parts_folder import PARTS, Rows, aboard, item, part, report, scrapped
from tests.chapters.small_folder import FAIL, INCONCLUSIVE, NO_RECORD, PASS, limit_of, one, said


def listed(*parts: dict[str, Any], tables: Rows | None = None, **more: Any) -> list[Finding]:
    return list(in_the_register(aboard({Part: list(parts or PARTS), **(tables or {})}, **more)))


def released(*parts: dict[str, Any], **more: Any) -> list[Finding]:
    return list(before_fitting(aboard({Part: list(parts)}, **more)))


def followed(*parts: dict[str, Any], reports: list[dict[str, Any]] | None = None, **more: Any) -> list[Finding]:
    rows: Rows = {Part: list(parts), Nonconformity: [report()] if reports is None else reports}
    return list(accounted(aboard(rows, **more)))


def test_par_01_pass_where_each_item_is_fitted_as_often_as_listed():
    at = one(listed(), LISTED)
    assert at.verdict is PASS
    assert at.observed == "2 items, 3 parts, all in the register"
    assert limit_of(at).terms[0].document == "DWG-1"
    assert "item 1 thing 1: 2 listed, fitted: A-1 and A-2" in at.working


def test_par_01_pass_with_a_spare_in_stock_and_a_scrapped_number():
    spare = part("A-4", state="in stock", fitted_on=None)
    assert one(listed(*PARTS, spare, scrapped("A-5", "A-1")), LISTED).verdict is PASS


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([*PARTS, part("A-4")], "item 1 thing 1: 3 fitted, 2 listed"),
        ([PARTS[0], part("A-2", state="in stock", fitted_on=None), PARTS[2]], "item 1 thing 1: A-2 made, not fitted"),
    ],
)
def test_par_01_fail_where_one_is_too_many_or_not_fitted(parts, words):
    at = one(listed(*parts), LISTED)
    assert at.verdict is FAIL
    assert at.observed == words


def test_par_01_no_record_where_an_item_has_too_few_numbers():
    at = one(listed(PARTS[0], PARTS[2]), LISTED)
    assert at.verdict is NO_RECORD
    assert said(at, "Item 1 thing 1: 1 of 2 in the register.")


def test_par_01_fail_tells_what_is_lacking_beside_it():
    at = one(listed(PARTS[0], PARTS[2], part("A-4", "2")), LISTED)
    assert at.verdict is FAIL
    assert said(at, "Item 1 thing 1: 1 of 2 in the register.")


def test_par_01_inconclusive_where_the_row_that_lacks_may_be_one_that_cannot_be_read():
    at = one(listed(PARTS[0], PARTS[2], unread={Part: [{"part": "A-2", "item": "1"}]}), LISTED)
    assert at.verdict is INCONCLUSIVE
    of_another = one(listed(PARTS[0], PARTS[2], unread={Part: [{"part": "A-9", "item": "2"}]}), LISTED)
    assert of_another.verdict is NO_RECORD


@pytest.mark.parametrize("kind", [ListedPart, Part])
def test_par_01_no_record_without_list_or_register(kind):
    found = listed(tables={kind: []})
    assert {at.verdict for at in found} == {NO_RECORD}
    assert {at.key.quantity for at in found} == {LISTED, BEYOND}


def test_par_01_pass_or_fail_by_what_the_list_does_not_ask_for():
    assert one(listed(), BEYOND).verdict is PASS
    at = one(listed(*PARTS, part("A-4", "9")), BEYOND)
    assert at.verdict is FAIL
    assert at.observed == "not on the list: A-4 (item 9)"


def test_par_01_no_record_or_pass_group_by_group():
    rows = [item("1", 2), item("2"), item("3", group="deck")]
    found = listed(tables={ListedPart: rows})
    assert one(found, LISTED, condition="structure").verdict is PASS
    assert one(found, LISTED, condition="deck").verdict is NO_RECORD


@pytest.mark.parametrize(
    ("released_on", "verdict"), [("2026-03-05 10:00", PASS), ("2026-03-06 08:00", PASS), ("2026-03-06 08:01", FAIL)]
)
def test_par_03_pass_or_fail_to_the_minute(released_on, verdict):
    at = one(released(part("A-1", released_on=released_on)))
    assert at.verdict is verdict
    assert at.observed == f"thing 1: released {released_on} by QA AB, fitted 2026-03-06 08:00"
    assert at.key.place == "A-1"


@pytest.mark.parametrize(
    ("column", "words"), [("released_on", "when it was released"), ("fitted_on", "when it was fitted")]
)
def test_par_03_no_record_where_a_time_is_missing(column, words):
    at = one(released(part("A-1", **{column: None})))
    assert at.verdict is NO_RECORD
    assert said(at, f"the register does not say {words}.")


def test_par_03_shows_the_note_of_the_register():
    assert said(one(released(part("A-1", note="no weld record"))), "The register notes: no weld record.")
    assert not said(one(released(part("A-1"))), "The register notes")


def test_par_03_no_record_without_a_register():
    assert one(released()).verdict is NO_RECORD


def test_par_03_inconclusive_where_the_row_cannot_be_read():
    at = one(released(PARTS[0], unread={Part: [{"part": "A-2", "state": "fitted"}]}), place="A-2")
    assert at.verdict is INCONCLUSIVE
    beside = released(PARTS[0], unread={Part: [{"part": "A-2", "state": "scrapped"}]})
    assert [at.key.place for at in beside] == ["A-1"]


def test_nothing_is_asked_of_what_is_not_aboard():
    rows = [part("A-1", state="in stock", fitted_on=None), scrapped("A-2", "A-1"), part("A-3", None, state="not used")]
    assert released(*rows) == []


def test_who_released_is_asked_for_but_decides_nothing():
    at = one(released(part("A-1", released_by=None)))
    assert at.verdict is PASS
    assert said(at, "Nobody is named who released it.")


@pytest.mark.parametrize("more", [{}, {"disposition": "rework", "replaced_on": "2026-03-03"}])
def test_par_04_pass_where_report_and_new_part_are_there(more):
    at = one(followed(part("A-1"), scrapped("A-2", "A-1"), reports=[report(**more)]), FOLLOWED, "A-2")
    assert at.verdict is PASS
    assert at.observed == "thing 1: scrapped by report NCR-1, replaced by A-1"


@pytest.mark.parametrize(
    ("heir", "more", "words"),
    [
        (part("A-1", state="in stock", fitted_on=None), {}, "A-1 is not fitted (in stock)"),
        (part("A-1", "2"), {}, "A-1 is of item 2, not 1"),
        (part("A-1"), {"disposition": "repair"}, "report NCR-1 says “repaired”, and of no new part"),
    ],
)
def test_par_04_fail_where_the_records_speak_against_it(heir, more, words):
    at = one(followed(heir, scrapped("A-2", "A-1"), reports=[report(**more)]), FOLLOWED, "A-2")
    assert at.verdict is FAIL
    assert at.observed == f"thing 1: {words}"


def test_par_04_fail_where_one_part_took_the_place_of_two():
    found = followed(part("A-1"), scrapped("A-2", "A-1"), scrapped("A-3", "A-1"))
    assert one(found, FOLLOWED, "A-2").verdict is FAIL
    assert one(found, FOLLOWED, "A-2").observed == "thing 1: A-1 also took the place of A-3"


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (scrapped("A-2", "A-1", None), "No report is named."),
        (scrapped("A-2", "A-1", "NCR-9"), "Report NCR-9 has no usable row in nonconformities.csv."),
        (scrapped("A-2", None), "No number is named that took its place."),
        (scrapped("A-2", "A-9"), "Number A-9 has no usable row in parts/register.csv."),
    ],
)
def test_par_04_no_record_where_something_is_not_shown(row, words):
    at = one(followed(part("A-1"), row), FOLLOWED, "A-2")
    assert at.verdict is NO_RECORD
    assert said(at, words)


@pytest.mark.parametrize(
    ("row", "unread"),
    [
        (scrapped("A-2", "A-9"), {Part: [{"part": "A-9"}]}),
        (scrapped("A-2", "A-1", "NCR-9"), {Nonconformity: [{"report": "NCR-9"}]}),
    ],
)
def test_par_04_inconclusive_where_what_is_named_cannot_be_read(row, unread):
    assert one(followed(part("A-1"), row, unread=unread), FOLLOWED, "A-2").verdict is INCONCLUSIVE


def test_par_04_inconclusive_where_a_row_cannot_be_read_that_may_be_scrapped():
    found = followed(part("A-1"), unread={Part: [{"part": "A-2"}]})
    assert one(found, FOLLOWED, "A-2").verdict is INCONCLUSIVE


def test_par_04_inconclusive_where_an_unread_row_may_name_the_same_new_part():
    rows, sure = (part("A-1"), scrapped("A-2", "A-1")), [{"part": "A-3", "state": "fitted"}]
    assert one(followed(*rows, unread={Part: [{"part": "A-3"}]}), FOLLOWED, "A-2").verdict is INCONCLUSIVE
    assert one(followed(*rows, unread={Part: sure}), FOLLOWED, "A-2").verdict is PASS


def test_a_chain_of_scrapped_numbers_is_followed_number_by_number():
    rows = [scrapped("A-1", "A-2"), scrapped("A-2", "A-3", "NCR-2"), part("A-3")]
    found = followed(*rows, reports=[report(), report(report="NCR-2")])
    assert {at.key.place: at.verdict for at in found if at.key.quantity == FOLLOWED} == {"A-1": PASS, "A-2": PASS}


def test_par_04_pass_for_a_run_without_a_gap():
    at = one(followed(part("A-1"), part("A-2"), part("A-3", None, state="not used"), part("A-4")), RUN)
    assert at.verdict is PASS
    assert at.observed == "A-1 to A-4 without a gap"
    assert "given to no part, as the register says: A-3" in at.working


def test_par_04_no_record_of_a_gap():
    at = one(followed(part("A-1"), part("A-4")), RUN)
    assert at.verdict is NO_RECORD
    assert said(at, "The register has no row of A-2 and A-3")


def test_par_04_inconclusive_where_the_gap_may_be_a_row_without_a_number():
    assert one(followed(part("A-1"), part("A-3"), unread={Part: [{"item": "1"}]}), RUN).verdict is INCONCLUSIVE


def test_par_04_fail_where_a_number_was_given_twice():
    at = one(followed(part("A-1"), part("A-01")), RUN)
    assert at.verdict is FAIL
    assert at.observed == "one number given twice: A-01 and A-1"


def test_par_04_inconclusive_where_a_number_has_no_digits():
    at = one(followed(part("A-1"), part("keel")), RUN)
    assert at.verdict is INCONCLUSIVE
    assert said(at, "part number “keel”: does not end in digits")


def test_par_04_no_record_without_a_register():
    assert one(followed(), RUN).verdict is NO_RECORD


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"item": None}, "item: an item of the parts list"),
        ({"replaced_by": "A-2"}, "replaced_by: nothing beside a part that was not scrapped"),
        ({"state": "scrapped", "replaced_by": "A-1"}, "replaced_by: another number"),
        ({"state": "in stock"}, "fitted_on: nothing beside a part in stock"),
        ({"made_on": "2026-03-07"}, "released_on: a time on or after `made_on`"),
    ],
)
def test_rows_of_the_register_that_cannot_be_true_are_refused(cells, words):
    with pytest.raises(ValueError, match=words):
        record(Part, part("A-1", **cells))


def test_what_is_practice_is_asked_for_by_this_book_and_nobody_is_said_to_have_set_less():
    at = one(listed(), BEYOND)
    assert {(term.set_by, term.source) for term in limit_of(at).terms} == {("this book", "common-practice")}
    assert at.notes == ()
    (term,) = limit_of(one(released(part("A-1")))).terms
    assert (term.set_by, term.source) == ("published reference", "quality-training-pages")


def test_a_part_that_has_a_place_bears_its_name_there():
    at = one(before_fitting(aboard({Place: [{"place": "A-1", "name": "Seacock", "kind": "part"}]})), place="A-1")
    assert at.observed.startswith("released ")
