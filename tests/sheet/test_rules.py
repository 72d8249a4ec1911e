"""When something may be said: every rule alone forbids what it is there to forbid, and nothing else does."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.core.book import Book
from buildbook.core.finding import CALIBRATION_NOT_SHOWN, NO_MEASUREMENT, Role, Verdict
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing, rules
from buildbook.sheet.characteristics import Characteristic, characteristics
from buildbook.sheet.kinds import same_things
from buildbook.sheet.rules import RULES, Rule, reasons
from buildbook.sheet.words import words
from tests.sheet.small_sheet import (
    CHECK,
    FILM,
    PASSES,
    QUANTITY,
    found,
    limit_of,
    other,
    plan_line,
    put_right,
    report,
    small_book,
    table,
)

SHOWN = f"{CALIBRATION_NOT_SHOWN}: UT-01."
CLOSED_WELL = (("NCR-1", Verdict.PASS),)

OF_ITS_KIND: dict[str, Any] = {
    "others": (other("COA-09", QUANTITY, Verdict.PASS, value=400.0),),
    "reports": (report(closed_on="", check="COA-09"),),
    "closings": CLOSED_WELL,
}

# What is wrong, by the one rule that speaks of it. Two good findings stand beside it each time.
WRONG: tuple[tuple[Rule, str, Book], ...] = (
    (rules.missed, "fail", small_book(*PASSES, found("Z3", 200.0, Verdict.FAIL))),
    (rules.missed, "conditional fail", small_book(*PASSES, found("Z3", 275.0, Verdict.CONDITIONAL_FAIL))),
    (
        rules.missed,
        "failed at first, put right, and passed when it was measured again",
        small_book(
            *PASSES,
            found("Z3", 200.0, Verdict.FAIL),
            found("Z3", attempt=2),
            matters=(put_right("COA-08/3"),),
            reports=(report(),),
            closings=CLOSED_WELL,
        ),
    ),
    (rules.undecided, "inconclusive", small_book(*PASSES, found("Z3", 290.0, Verdict.INCONCLUSIVE))),
    (
        rules.undecided,
        "undecided at first, and decided when it was made again",
        small_book(*PASSES, found("Z3", 290.0, Verdict.INCONCLUSIVE), found("Z3", attempt=2)),
    ),
    (rules.unshown, "not measured", small_book(*PASSES, found("Z3", verdict=Verdict.NOT_MEASURED, measured=None))),
    (
        rules.unshown,
        "no record",
        small_book(*PASSES, found("Z3", verdict=Verdict.NO_RECORD, measured=None, period=None)),
    ),
    (
        rules.of_its_kind,
        "the same quantity fails in another check of the chapter",
        small_book(*PASSES, others=(other("COA-09", QUANTITY, Verdict.CONDITIONAL_FAIL),)),
    ),
    (
        rules.of_its_kind,
        "the same quantity is not decided in another check",
        small_book(*PASSES, others=(other("COA-09", QUANTITY, Verdict.INCONCLUSIVE),)),
    ),
    (
        rules.of_its_kind,
        "the same quantity fails in another chapter",
        small_book(*PASSES, others=(other("LAM-12", QUANTITY, Verdict.FAIL),)),
    ),
    (
        rules.not_clear,
        "nearest of all is one without a clear margin in another check",
        small_book(*PASSES, others=(other("COA-09", QUANTITY, Verdict.CONDITIONAL_PASS, value=285.0),)),
    ),
    (
        rules.not_clear,
        "nearest of all is one without a clear margin in another chapter",
        small_book(*PASSES, others=(other("LAM-12", QUANTITY, Verdict.CONDITIONAL_PASS, value=285.0),)),
    ),
    (
        rules.not_clear,
        "a fact in words that is no clear pass in another check",
        small_book(*PASSES, others=(other("COA-09", QUANTITY, Verdict.CONDITIONAL_PASS, measured=None, margin=None),)),
    ),
    (
        rules.nearer_elsewhere,
        "a clear pass of another chapter is nearer to its limit",
        small_book(*PASSES, others=(other("LAM-12", QUANTITY, Verdict.PASS, value=300.0),)),
    ),
    (
        rules.nearer_elsewhere,
        "another check has values of it, and nobody set a limit for any",
        small_book(
            found(verdict=Verdict.INFORMATION, limit=None, margin=None),
            others=(other("COA-09", QUANTITY, Verdict.INFORMATION, limit=None, margin=None),),
        ),
    ),
    (
        rules.of_its_rows,
        "another quantity that rests on a row of it fails",
        small_book(*PASSES, others=(other("COA-09", "something else", Verdict.FAIL, at=(Where(FILM, 2, "x"),)),)),
    ),
    (
        rules.not_clear,
        "nearest to its limit is one without a clear margin",
        small_book(*PASSES, found("Z3", 285.0, Verdict.CONDITIONAL_PASS, margin=5.0)),
    ),
    (
        rules.not_clear,
        "the same, measured again and clear the second time",
        small_book(*PASSES, found("Z3", 285.0, Verdict.CONDITIONAL_PASS), found("Z3", 330.0, attempt=2)),
    ),
    (
        rules.no_measurement,
        "a note says so",
        small_book(*PASSES, found("Z3", notes=(f"So {NO_MEASUREMENT} of film.",))),
    ),
    (rules.open_report, "about its kind", small_book(*PASSES, **OF_ITS_KIND)),
    (rules.gap_in_the_plan, "planned", small_book(*PASSES, plan=(plan_line(CHECK, Verdict.NOT_MEASURED),))),
    (
        rules.gap_in_the_plan,
        "a line that cannot be read",
        small_book(*PASSES, plan=(plan_line("", Verdict.NO_RECORD),)),
    ),
    (rules.gap_in_the_plan, "no plan at all", small_book(*PASSES, plan=())),
    (
        rules.gap_in_the_plan,
        "planned and not there, and the line has a worse fault besides: a hold point that was passed",
        small_book(*PASSES, plan=(plan_line(CHECK, Verdict.FAIL),), unkept=("ITP-9",)),
    ),
    (rules.lost_rows, "a row", small_book(*PASSES, tables=(table(FILM, "", "thickness: expected a number"),))),
    (
        rules.lost_rows,
        "a number is missing",
        small_book(*PASSES, tables=(table(FILM, "", state="number 3 is missing"),)),
    ),
    (rules.lost_report, "a report", small_book(*PASSES, tables=(table("nonconformities.csv", "check: expected"),))),
    (rules.open_report, "open", small_book(*PASSES, reports=(report(closed_on=""),), closings=CLOSED_WELL)),
    (rules.open_report, "closing not shown", small_book(*PASSES, reports=(report(),))),
    (
        rules.open_report,
        "closed without what it demands",
        small_book(*PASSES, reports=(report(),), closings=(("NCR-1", Verdict.FAIL),)),
    ),
    (rules.open_report, "about the whole check", small_book(*PASSES, reports=(report(closed_on="", quantity=""),))),
    (rules.open_report, "about nothing that is named", small_book(*PASSES, reports=(report(closed_on="", check=""),))),
    (rules.open_report, "a quantity nobody has", small_book(*PASSES, reports=(report(closed_on="", quantity="film"),))),
    (
        rules.open_report,
        "by its finding",
        small_book(*PASSES, reports=(report(closed_on="", check="", findings=("COA-08/1",)),)),
    ),
    (rules.accepted, "use as is", small_book(*PASSES, reports=(report("use as is"),), closings=CLOSED_WELL)),
    (rules.accepted, "repair", small_book(*PASSES, reports=(report("repair"),), closings=CLOSED_WELL)),
    (
        rules.reference_missed,
        "the published one fails",
        small_book(*PASSES, found("Z1", verdict=Verdict.FAIL, role=Role.REFERENCE)),
    ),
    (
        rules.reference_missed,
        "the published one is not decided",
        small_book(*PASSES, found("Z1", verdict=Verdict.INCONCLUSIVE, role=Role.REFERENCE)),
    ),
    (rules.uncalibrated, "overdue", small_book(*PASSES, found("Z3", notes=(SHOWN,)))),
    (
        rules.uncalibrated,
        "overdue, for information",
        small_book(found(verdict=Verdict.INFORMATION, limit=None, notes=(SHOWN,))),
    ),
    (rules.weak_limit, "memory", small_book(*PASSES, found("Z3", limit=limit_of(Standing.MEMORY)))),
    (rules.weak_limit, "practice", small_book(*PASSES, found("Z3", limit=limit_of(Standing.PRACTICE)))),
    (
        rules.weak_limit,
        "the weakest of two",
        small_book(*PASSES, found("Z3", limit=limit_of(Standing.BUILDER, Standing.MEMORY))),
    ),
    (rules.without_a_number, "words", small_book(*PASSES, found("Z3", measured=None, observed="sound"))),
    (rules.without_uncertainty, "no U", small_book(*PASSES, found("Z3", expanded=None))),
    (rules.without_day_or_place, "no day", small_book(*PASSES, found("Z3", period=None))),
    (rules.without_day_or_place, "no place", small_book(*PASSES, found(""))),
    (rules.not_clear, "close", small_book(found("Z3", 285.0, Verdict.CONDITIONAL_PASS))),
    (
        rules.not_clear,
        "close, and one without a limit",
        small_book(found("Z3", 285.0, Verdict.CONDITIONAL_PASS), found("Z1", verdict=Verdict.INFORMATION, limit=None)),
    ),
    (rules.nothing_clear, "all on parts that are gone", small_book(found("Z3", verdict=Verdict.INFORMATION))),
    (
        rules.without_wording,
        "not worded",
        small_book(*(found(place, quantity="largest reading") for place in ("Z1", "Z2"))),
    ),
)


def only(book: Book) -> Characteristic:
    """The one characteristic of a small book besides its reports."""
    said = ((it.check, it.quantity) for it in words(templates_dir()).sayings)
    return next(it for it in characteristics(book, said) if it.check == CHECK)


@pytest.mark.parametrize(
    ("rule", "book"), [(rule, book) for rule, _, book in WRONG], ids=[words for _, words, _ in WRONG]
)
def test_each_rule_alone_forbids_a_sentence(rule: Rule, book: Book):
    it = only(book)
    assert rule(it) != ""
    assert reasons(it) == (rule(it),)
    assert reasons(it, [one for one in RULES if one is not rule]) == (), "without the rule it would be said"
    sheet = listing(book, words(templates_dir()))
    assert [one for one in sheet.sayings if one.check == CHECK] == []
    assert [one.reasons for one in sheet.withheld if one.check == CHECK] == [(rule(it),)]


def test_every_rule_has_a_case():
    assert {rule for rule, _, _ in WRONG} == set(RULES)
    assert len(RULES) == 21


def test_a_reason_is_one_short_line():
    for rule, _, book in WRONG:
        assert rule(only(book)).count(".") == 1 or rule is rules.lost_rows or rule is rules.lost_report
        assert len(rule(only(book))) < 120
        assert "\n" not in rule(only(book))


GOOD: dict[str, Book] = {
    "passes": small_book(*PASSES),
    "a builder's limit known second-hand": small_book(found(limit=limit_of(Standing.SECOND_HAND, Standing.READ))),
    "one without a clear margin that is farther from its limit than a pass": small_book(
        found("Z1", 282.0, expanded=1.0), found("Z3", 290.0, Verdict.CONDITIONAL_PASS, expanded=15.0)
    ),
    "the same quantity in another check, farther from its limit": small_book(
        *PASSES, others=(other("COA-09", QUANTITY, Verdict.PASS, value=400.0),)
    ),
    "the same quantity without a clear margin in another check, farther from its limit": small_book(
        *PASSES, others=(other("COA-09", QUANTITY, Verdict.CONDITIONAL_PASS, value=340.0, expanded=70.0),)
    ),
    "the same quantity in another check, to which it does not apply": small_book(
        *PASSES, others=(other("COA-09", QUANTITY, Verdict.NOT_APPLICABLE, measured=None, margin=None),)
    ),
    "another quantity that fails on rows of its own": small_book(
        *PASSES, others=(other("COA-09", "something else", Verdict.FAIL),)
    ),
    "a value that nobody limits": small_book(found(verdict=Verdict.INFORMATION, limit=None, margin=None)),
    "measured twice, clear both times": small_book(*PASSES, found("Z3"), found("Z3", attempt=2)),
    "a gap of another check": small_book(*PASSES, plan=(plan_line("COA-10", Verdict.NOT_MEASURED),)),
    "a report about another quantity": small_book(
        *PASSES,
        found("Z1", quantity="largest reading"),
        reports=(report(closed_on="", quantity="largest reading"),),
    ),
    "a row of another check": small_book(*PASSES, tables=(table("coating/gloss.csv", "gloss: expected a number"),)),
    "no table of reports": small_book(
        *PASSES, tables=(table("nonconformities.csv", state="is not in the folder", size=0),)
    ),
    "an empty table": small_book(*PASSES, tables=(table("nonconformities.csv", state="has heads and no rows"),)),
    "a place it does not apply to": small_book(*PASSES, found("Z3", verdict=Verdict.NOT_APPLICABLE, measured=None)),
}


@pytest.mark.parametrize("name", GOOD)
def test_what_may_be_said_is_said(name: str):
    assert reasons(only(GOOD[name])) == ()
    (one,) = [it for it in listing(GOOD[name], words(templates_dir())).sayings if it.quantity == QUANTITY]
    assert one.check == CHECK


def test_every_reason_is_told_those_about_verdicts_first_and_that_nobody_worded_it_last():
    quantity = "largest film thickness"
    book = small_book(
        found("Z1", 200.0, Verdict.FAIL, quantity=quantity, limit=limit_of(Standing.MEMORY)),
        found("Z2", 290.0, Verdict.INCONCLUSIVE, quantity=quantity, notes=(SHOWN,)),
    )
    (one,) = [it for it in listing(book, words(templates_dir())).withheld if it.check == CHECK]
    assert one.reasons == (
        "1 of 2 missed the limit: COA-08/1.",
        "1 of 2 could not be decided: COA-08/2.",
        "No reading is clear of its limit.",
        "Instrument calibration not shown: COA-08/2.",
        "Its limit is quoted from memory.",
        "No sentence is written for it.",
    )


def test_a_reason_says_that_what_missed_was_put_right():
    book = small_book(*PASSES, found("Z3", 200.0, Verdict.FAIL), matters=(put_right("COA-08/3"),))
    assert reasons(only(book)) == ("1 of 3 missed the limit: COA-08/3, put right and measured again.",)


def test_two_names_of_one_thing_are_held_together_by_the_table():
    """Mean hardness of a skin and Barcol hardness before painting: the one without a clear margin forbids the other."""
    book = small_book(
        others=(
            other("LAM-07", "mean hardness", Verdict.PASS, value=320.0),
            other("COA-16", "Barcol hardness", Verdict.CONDITIONAL_PASS, value=285.0),
        )
    )
    hardness, before_paint = (
        next(it for it in characteristics(book, ()) if it.check == check) for check in ("LAM-07", "COA-16")
    )
    told = "The reading nearest to its limit is inside it without a clear margin: COA-16/1"
    assert rules.not_clear(hardness) == f"{told}, in another check."
    assert rules.not_clear(before_paint) == f"{told}."
    one = other("LAM-01", "glass content by mass", Verdict.PASS, value=320.0)
    apart = small_book(others=(one, other("COA-16", "Barcol hardness", Verdict.CONDITIONAL_PASS, value=285.0)))
    assert reasons(next(it for it in characteristics(apart, ()) if it.check == "LAM-01"), (rules.not_clear,)) == ()


def test_each_line_of_the_table_names_quantities_that_are_there_and_share_unit_and_table_and_says_why():
    """Of the chapters' own declarations: a name that no check has would tie nothing, and say so to nobody."""
    checks = {check.id: check for chapter in CHAPTERS for check in chapter.checks}
    assert same_things() != ()
    for line in same_things():
        mine = checks[line.check]
        others = [it for it in checks.values() if it.id != line.check and line.kind in it.quantities]
        assert others != [], line
        for it in others:
            assert it.quantities[line.kind] == mine.quantities[line.quantity], line
            assert set(it.tables) & set(mine.tables) != set(), line
        assert line.kind not in mine.quantities
        assert len(line.reason.split()) > 5
