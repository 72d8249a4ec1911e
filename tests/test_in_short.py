"""The sentences a reader should keep: failed findings first, and no praise where nothing was judged."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Numbered, State
from buildbook.core.finding import Verdict
from buildbook.in_short import in_short
from tests.sheet.small_sheet import found, put_right, small_book


def governing(*verdicts: Verdict) -> list[Numbered]:
    book = small_book(*(found(f"Z{number}", verdict=verdict) for number, verdict in enumerate(verdicts, 1)))
    return [item for chapter in book.chapters for check in chapter.checks for item in check.governing]


def test_failed_findings_come_first_with_the_number_of_matters_they_are_in():
    items = governing(Verdict.PASS, Verdict.FAIL, Verdict.CONDITIONAL_FAIL)
    told = [put_right(*(item.number for item in items[1:]))]
    words = "2 of 3 findings failed, in 1 matter. Of these, 1 was put right and measured again."
    assert in_short(told, items) == words


def test_matters_that_only_a_report_tells_are_counted_with_those_that_failed():
    """22 failed in 14 matters, of which 15 were then counted out, did not add up for a reader."""
    items = governing(Verdict.FAIL, Verdict.PASS, Verdict.INCONCLUSIVE)
    alone = replace(put_right(items[1].number), state=State.ACCEPTED)
    undecided = replace(put_right(items[2].number), state=State.UNDECIDED)
    assert in_short([alone, put_right(items[0].number), undecided], items) == (
        "1 of 3 findings failed, in 1 of 2 matters. Of these, 1 was accepted as found. "
        "1 was put right and measured again. 1 more was measured but not decided."
    )


def test_a_failed_finding_that_is_in_no_matter_is_counted_alone():
    items = governing(Verdict.FAIL, Verdict.PASS)
    words = "1 of 2 findings failed. 1 matter was put right and measured again."
    assert in_short([put_right(items[1].number)], items) == words


def test_where_none_failed_that_is_said_last():
    assert in_short([], governing(Verdict.PASS)) == "None of 1 findings failed."


def test_where_nothing_was_judged_nothing_can_be_said_not_to_have_failed():
    for verdict in (Verdict.NOT_MEASURED, Verdict.NO_RECORD, Verdict.INFORMATION):
        assert in_short([], governing(verdict)).startswith("Nothing was judged")
