"""What the first page tells: every exception in just one matter, and each under the heading that its report earns."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from buildbook.core.book import Book, Matter, State
from buildbook.core.finding import Verdict
from tests.end_to_end.spoiling import Sheet, Spoil, cell, in_table, without_row

REPORTS = "nonconformities.csv"


def row_of(hull: Path, report: str) -> int:
    """The data row (from 0) of a report."""
    lines = (hull / REPORTS).read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines) if line.startswith(f"{report},")) - 1


def of_report(book: Book, report: str) -> Matter:
    (matter,) = [matter for matter in book.matters if matter.report == report]
    return matter


def test_every_exception_is_told_in_just_one_matter(sound: Book) -> None:
    told = Counter(number for matter in sound.matters for number in matter.findings)
    assert told == Counter(item.number for item in sound.exceptions)
    assert len(sound.matters) < len(sound.exceptions)


def test_what_is_open_comes_first_and_near_misses_last(sound: Book) -> None:
    order = [list(State).index(matter.state) for matter in sound.matters]
    assert order == sorted(order)
    assert sound.matters[0].state is State.OPEN
    assert sound.matters[-1].state is State.CLOSE


def test_a_reworked_reading_tells_the_later_one(sound: Book) -> None:
    matter = of_report(sound, "NCR-03")
    assert matter.state is State.PUT_RIGHT
    assert "206.0 ± 6.0 µm" in matter.what
    assert matter.became.startswith("After rework: 268.0 ± 6.0 µm, pass.")


def test_a_reworked_reading_without_the_later_one_is_open(spoil: Spoil) -> None:
    film = "coating/film_thickness.csv"

    def first_attempts_only(sheet: Sheet) -> None:
        sheet.rows = [sheet.rows[0], *(row for row in sheet.body if row[sheet.index("attempt")] == "1")]

    matter = of_report(spoil(film, in_table(first_attempts_only)).book, "NCR-03")
    assert matter.state is State.OPEN
    assert "No later reading is shown" in matter.became


def test_a_reworked_reading_whose_later_one_cannot_be_used_is_open(hull: Path, spoil: Spoil) -> None:
    def later_spoiled(sheet: Sheet) -> None:
        for row in sheet.body:
            if row[sheet.index("zone")] == "Z3" and row[sheet.index("attempt")] == "2":
                row[sheet.index("thickness")] = "thick"

    matter = of_report(spoil("coating/film_thickness.csv", in_table(later_spoiled)).book, "NCR-03")
    assert matter.state is State.OPEN


def test_a_report_closed_without_a_decision_is_open(hull: Path, spoil: Spoil) -> None:
    def closed_undecided(sheet: Sheet) -> None:
        row = row_of(hull, "NCR-04")
        sheet.set(row, "closed_on", "2026-05-01")
        for column in ("disposition", "approved_by", "approver_role", "justification"):
            sheet.set(row, column, "")

    matter = of_report(spoil(REPORTS, in_table(closed_undecided)).book, "NCR-04")
    assert matter.state is State.OPEN
    assert matter.became == "Nothing is decided. Report NCR-04 was closed on 2026-05-01 without all that it demands."


def test_a_report_that_cannot_be_read_is_not_called_absent(hull: Path, spoil: Spoil) -> None:
    book = spoil(REPORTS, cell(row_of(hull, "NCR-03"), "found_on", "2026-0x-25")).book
    (matter,) = [matter for matter in book.matters if matter.what.startswith("Smallest reading, Transom")]
    assert matter.became == "A report that may be about it could not be read."
    assert all("says" not in matter.what and matter.what for matter in book.matters if not matter.report)


def test_a_report_not_closed_is_open_whoever_accepted_it(hull: Path, sound: Book, spoil: Spoil) -> None:
    assert of_report(sound, "NCR-01").state is State.ACCEPTED
    assert "approved by the builder" in of_report(sound, "NCR-01").became
    assert of_report(sound, "NCR-04").state is State.OPEN
    matter = of_report(spoil(REPORTS, cell(row_of(hull, "NCR-01"), "closed_on", "")).book, "NCR-01")
    assert matter.state is State.OPEN


def test_a_failed_reading_without_a_report_is_open_and_says_so(hull: Path, spoil: Spoil) -> None:
    book = spoil(REPORTS, without_row(row_of(hull, "NCR-04"))).book
    (matter,) = [matter for matter in book.matters if matter.what.startswith("Dust inclusions")]
    assert matter.state is State.OPEN
    assert matter.became == "The folder holds no report of it."


def test_the_plan_and_the_check_tell_one_gap_once(sound: Book) -> None:
    (matter,) = [matter for matter in sound.matters if matter.what == "Pull-off strength, Hardtop, upper side (Z7)"]
    assert matter.state is State.NOT_SHOWN
    assert {number.partition("/")[0] for number in matter.findings} == {"COA-10", "REG-02"}


def test_the_sentences_before_the_list_count_what_the_list_tells(sound: Book) -> None:
    total = sum(count.number for count in sound.counts)
    fails = [item.number for item in sound.exceptions if item.finding.verdict is Verdict.FAIL]
    by_state = Counter(matter.state for matter in sound.matters for number in matter.findings if number in fails)
    assert sound.in_short.startswith(f"{len(fails)} of {total} findings failed: {by_state[State.OPEN]} open today, ")
    for state, number in by_state.items():
        assert f"{number} {state.value}" in sound.in_short
    assert sound.in_short.endswith("3 were not measured or have no record.")
