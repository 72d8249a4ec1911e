"""The sentences a reader should keep: what went wrong first, and no praise where nothing was judged."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Numbered
from buildbook.core.finding import Verdict
from buildbook.core.matter import Matter, State
from buildbook.in_short import WENT_WRONG, in_short
from tests.sheet.small_sheet import found, put_right, small_book


def governing(*verdicts: Verdict) -> list[Numbered]:
    book = small_book(*(found(f"Z{number}", verdict=verdict) for number, verdict in enumerate(verdicts, 1)))
    return [item for chapter in book.chapters for check in chapter.checks for item in check.governing]


def matter(number: str, state: State) -> Matter:
    return replace(put_right(number), state=state)


def test_matters_come_first_and_failed_findings_are_counted_apart_and_last():
    items = governing(Verdict.PASS, Verdict.FAIL, Verdict.CONDITIONAL_FAIL)
    told = [put_right(*(item.number for item in items[1:]))]
    assert in_short(told, items) == "1 matter went wrong and was put right and measured again. 2 of 3 findings failed."


def test_the_numbers_of_the_first_sentence_add_up_whatever_only_a_report_tells():
    """3 of 597 findings failed, of which 10 were then counted out, did not add up for a reader."""
    items = governing(Verdict.FAIL, Verdict.PASS, Verdict.PASS, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED)
    states = (State.PUT_RIGHT, State.SCRAPPED, State.ACCEPTED, State.UNDECIDED, State.NOT_SHOWN)
    told = [matter(item.number, state) for item, state in zip(items, states, strict=True)]
    assert in_short(told, items) == (
        "3 matters went wrong. Of these, 1 was accepted as found. 1 was put right and measured again. 1 was scrapped. "
        "1 more was not measured or has no record. 1 more was measured but not decided. 1 of 5 findings failed."
    )


def test_where_nothing_went_wrong_what_is_not_known_is_counted_as_matters():
    items = governing(Verdict.PASS, Verdict.INCONCLUSIVE)
    told = [matter(items[1].number, State.UNDECIDED)]
    assert in_short(told, items) == "1 matter was measured but not decided. None of 2 findings failed."


def test_what_was_decided_later_is_neither_wrong_nor_unknown():
    items = governing(Verdict.INCONCLUSIVE, Verdict.PASS)
    assert in_short([matter(items[0].number, State.DECIDED)], items) == "None of 2 findings failed."


def test_every_state_that_went_wrong_has_its_words():
    assert set(WENT_WRONG) == {state for state in State if state.went_wrong}


def test_where_none_failed_that_is_said_last():
    assert in_short([], governing(Verdict.PASS)) == "None of 1 finding failed."


def test_where_nothing_was_judged_nothing_can_be_said_not_to_have_failed():
    for verdict in (Verdict.NOT_MEASURED, Verdict.NO_RECORD, Verdict.INFORMATION):
        assert in_short([], governing(verdict)).startswith("Nothing was judged")
