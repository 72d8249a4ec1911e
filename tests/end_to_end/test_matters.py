"""What the first page tells: every exception in just one matter, and each under the heading that its report earns."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.core.book import Book, Numbered
from buildbook.core.check import About
from buildbook.core.finding import Verdict
from buildbook.core.matter import Matter, State
from buildbook.core.wording import capital
from buildbook.later import words_of
from tests.end_to_end.spoiling import HULL, Sheet, Spoil, cell, in_table, made_after, without_row

REPORTS = "nonconformities.csv"


def row_of(hull: Path, report: str) -> int:
    """The data row (from 0) of a report."""
    lines = (hull / REPORTS).read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines) if line.startswith(f"{report},")) - 1


def of_report(book: Book, report: str) -> Matter:
    (matter,) = [matter for matter in book.matters if report in matter.reports]
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
    (matter,) = [matter for matter in book.matters if matter.what.startswith("Smallest film thickness, Transom")]
    assert matter.became == "A report that may be about it could not be read. Measured again: 268.0 ± 6.0 µm, pass."
    assert all("says" not in matter.what and matter.what for matter in book.matters if not matter.reports)


def test_a_report_not_closed_is_open_whoever_accepted_it(hull: Path, sound: Book, spoil: Spoil) -> None:
    assert of_report(sound, "NCR-01").state is State.ACCEPTED
    assert "decided by the builder" in of_report(sound, "NCR-01").became
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


def test_the_sentences_before_the_list_count_what_the_headings_count(sound: Book) -> None:
    """One thing, one number: a heading, the sentence above it and the sentence of the chapter count matters."""
    by_state = Counter(matter.state for matter in sound.matters)
    wrong = [state for state in State if state.went_wrong]
    all_wrong, *numbers = [int(number) for number in re.findall(r"\d+", sound.in_short)]
    assert all_wrong == sum(numbers[: len(wrong)])
    assert numbers[:-2] == [by_state[state] for state in (*wrong, State.NOT_SHOWN, State.UNDECIDED)]
    fails = [item for item in sound.exceptions if item.finding.verdict.missed]
    assert numbers[-2:] == [len(fails), sum(count.number for count in sound.counts)]
    unshown = [it for it in sound.exceptions if it.finding.verdict.unshown and not it.number.startswith("REG")]
    # two pull-offs, an opening, a density, a depth on trial, a batch without a date, a weld inspection, a bilge alarm,
    # a seacock, the day of a light
    assert by_state[State.NOT_SHOWN] == len(unshown) == 10


def test_each_chapter_says_what_became_of_its_own(sound: Book) -> None:
    chapters = {chapter.key: chapter for chapter in sound.chapters}
    total = sum(count.number for count in chapters["vibration"].counts)
    assert chapters["vibration"].in_short == (
        "2 matters went wrong. Of these, 1 was accepted as found. 1 was put right and measured again. "
        "1 more was not measured or has no record. 1 more was measured but not decided. "
        f"3 of {total} findings failed."
    )
    assert chapters["coating"].in_short.startswith("3 matters went wrong. Of these, 1 is open today. ")


def test_a_piece_that_was_scrapped_is_told_though_no_reading_of_it_is_in_the_folder(sound: Book) -> None:
    """A buyer hears of the tank that was cut up and made anew, and of what is in its place."""
    told = of_report(sound, "NCR-N2")
    assert told.state is State.SCRAPPED
    assert not told.state.stands
    assert "cracked beside the weld" in told.what
    assert "N7022" in told.became
    assert {number.partition("/")[0] for number in told.findings} == {"PAR-04", "REG-04"}


def with_report(hull: Path, like: str, **cells: str) -> Callable[[Path], None]:
    """One more report at the end, like another but for some cells."""

    def add(sheet: Sheet) -> None:
        row = list(sheet.rows[row_of(hull, like)])
        for column, text in {"report": "NCR-99", **cells}.items():
            row[sheet.index(column)] = text
        sheet.rows.append(row)

    return in_table(add)


def test_a_report_that_names_no_quantity_takes_no_finding_from_another_matter(hull: Path) -> None:
    """A piece scrapped by a report on the dust of one zone would have hidden that its dust is open today."""
    scrap = {"quantity": "", "disposition": "scrap", "work": "cut out", "reinspected_on": "2026-05-01"}
    closed = {"reinspected_by": "QA KL", "closed_on": "2026-05-02"}
    book = made_after(hull, REPORTS, with_report(hull, "NCR-04", **scrap, **closed)).book
    told = Counter(number for matter in book.matters for number in matter.findings)
    assert set(told.values()) == {1}
    assert of_report(book, "NCR-04").state is State.OPEN
    dust = next(check for chapter in book.chapters for check in chapter.checks if check.id == "COA-12")
    assert dust.counts[0].became == "open today"


@pytest.mark.parametrize("first", [True, False])
def test_of_two_reports_about_one_finding_the_open_one_says_how_it_stands(hull: Path, first: bool) -> None:
    def add(sheet: Sheet) -> None:
        row = list(sheet.rows[row_of(hull, "NCR-04")])
        row[sheet.index("report")], row[sheet.index("closed_on")] = "NCR-99", "2026-05-02"
        sheet.rows.insert(1 if first else len(sheet.rows), row)

    book = made_after(hull, REPORTS, in_table(add)).book
    (dust,) = [matter for matter in book.matters if "COA-12/14" in matter.findings]
    assert dust.state is State.OPEN


def test_a_setting_is_part_of_what_was_measured_and_the_name_of_a_run_is_not() -> None:
    """`run R3` and `run R4` are two names of one thing; `2000 r/min` and `1000 r/min` are not."""
    assert words_of("vertical, 2000 r/min, run R3") == ["vertical", "2000 r/min"]
    assert words_of("A-13, vertical, cruise, run R3") == ["vertical", "cruise"]


def test_a_third_attempt_decides_the_first_as_well(hull: Path, spoil: Spoil) -> None:
    """Read ashore twice and afloat at last: neither of the first two is undecided today."""

    def twice_ashore(sheet: Sheet) -> None:
        ashore = [row for row in sheet.body if row[sheet.index("part")] == "SH1" and row[sheet.index("attempt")] == "1"]
        for row in [row for row in sheet.body if row[sheet.index("part")] == "SH1"]:
            if row not in ashore:
                row[sheet.index("attempt")] = "3"
        again = [list(row) for row in ashore]
        for row in again:
            row[sheet.index("attempt")] = "2"
            row[sheet.index("at")] = row[sheet.index("at")].replace("2026-05-06", "2026-05-07")
        sheet.rows += again

    book = spoil("shafting/couplings.csv", in_table(twice_ashore)).book
    stand = [matter.state for matter in book.matters if {"SHA-05/1", "SHA-05/2"} & set(matter.findings)]
    assert stand == [State.DECIDED] * 2


def test_every_report_is_told_in_a_matter(sound: Book) -> None:
    assert {report.id for report in sound.reports} == {report for matter in sound.matters for report in matter.reports}


def test_what_a_later_reading_decided_is_no_longer_undecided(sound: Book) -> None:
    """The coupling was read ashore, which decides nothing, and again afloat."""
    (told,) = [matter for matter in sound.matters if "SHA-05/1" in matter.findings]
    assert told.state is State.DECIDED
    assert "Measured again: " in told.became
    assert told.became.endswith(", pass.")


def test_the_question_that_was_put_right_does_not_stand_as_failed_today(sound: Book) -> None:
    checks = {check.id: check for chapter in sound.chapters for check in chapter.checks}
    run_out, dust, glass = checks["SHA-03"], checks["COA-12"], checks["VIB-01"]
    assert run_out.counts[0].of(len(run_out.governing)).endswith(" fail (put right)")
    assert run_out.today is not None
    assert not run_out.today.missed
    assert dust.today is Verdict.FAIL
    assert dust.counts[0].became == "open today"
    became = {count.verdict: count.became for count in glass.counts}
    assert became[Verdict.FAIL] == "accepted"
    assert became[Verdict.INCONCLUSIVE] == "put right"


def test_a_chapter_looks_first_at_what_still_stands(sound: Book) -> None:
    """Not at the lost sensor, whose record was made again, but at the cabin that was left as it was."""
    (vibration,) = [chapter for chapter in sound.chapters if chapter.key == "vibration"]
    assert vibration.nearest is not None
    assert "Guest cabin, port, at the door (V6)" in vibration.nearest.sentence
    assert vibration.nearest.finding.verdict.missed


def test_within_a_heading_her_own_misses_stand_before_conditions_and_paper(sound: Book) -> None:
    accepted = [matter.findings[0].partition("/")[0] for matter in sound.matters if matter.state is State.ACCEPTED]
    assert accepted == ["VIB-01", "PRO-07", "INF-02", "PAR-03", "COA-04", "REG-02", "REG-03", "REG-04"]
    of_the_work = ["LAM-09", "INF-01", "VIB-03"]
    put_right = [matter.findings[0].partition("/")[0] for matter in sound.matters if matter.state is State.PUT_RIGHT]
    parts_of_her = ["LAM-11", "PRO-01", "PRO-12", "SHA-03", "COA-08", "SYS-01", "SYS-09", "SYS-14"]
    assert put_right == [*parts_of_her, *["LAM-11"] * 2, "SYS-05", "SYS-17", *of_the_work]
    unshown = [matter.what for matter in sound.matters if matter.state is State.NOT_SHOWN]
    assert unshown[-1].startswith("Depth of water over her draught")


def test_conditions_of_infusion_are_about_the_work_and_the_resin_she_took_is_about_her() -> None:
    about = {check.id: check.about for chapter in CHAPTERS for check in chapter.checks}
    infusion = {check: what for check, what in about.items() if check.startswith("INF-")}
    assert {check for check, what in infusion.items() if what is About.HER} == {"INF-06"}
    assert set(infusion.values()) == {About.HER, About.WORK}
    assert {check for check, what in about.items() if what is About.FELT} == {"VIB-01", "VIB-02", "VIB-11"}


def test_reports_of_one_piece_of_work_are_told_once(sound: Book) -> None:
    blade = of_report(sound, "NCR-P2")
    assert blade.reports == ("NCR-P1", "NCR-P2", "NCR-P3")
    assert blade.findings == ("PRO-01/8", "PRO-02/8", "PRO-03/8")
    assert "Reports NCR-P1, NCR-P2 and NCR-P3, closed 2026-03-06." in blade.became
    assert blade.also[0].startswith("Mean pitch at a radius: 926.8 ± 1.9 mm")
    assert blade.also[0].endswith("measured again 898.0 ± 1.9 mm, pass")
    assert [len(of_report(sound, one).reports) for one in ("NCR-L6", "NCR-P4", "NCR-D1", "NCR-V2")] == [2, 2, 2, 1]


def test_of_several_attempts_that_missed_the_last_one_is_told_and_the_first_beside_it(sound: Book) -> None:
    cabin = of_report(sound, "NCR-V3")
    assert cabin.reports == ("NCR-V1", "NCR-V3")
    assert "attempt 2: 2.48 ±" in cabin.what
    assert "A loose clamp of the exhaust pipe tightened" in cabin.became
    (first,) = cabin.also
    assert first.startswith("Weighted vibration, vertical, cruise, run R3: 2.86 ±")
    assert "measured again" not in first  # it is the line itself


def test_reports_of_one_piece_of_work_that_stand_otherwise_are_told_apart(hull: Path, spoil: Spoil) -> None:
    book = spoil(REPORTS, cell(row_of(hull, "NCR-P2"), "closed_on", "")).book
    assert of_report(book, "NCR-P2").reports == ("NCR-P2",)
    assert of_report(book, "NCR-P2").state is State.OPEN
    assert of_report(book, "NCR-P1").reports == ("NCR-P1", "NCR-P3")


def test_a_lost_sensor_is_told_once_with_what_was_measured_again(sound: Book) -> None:
    lost = of_report(sound, "NCR-V2")
    checks = [number.partition("/")[0] for number in lost.findings]
    assert checks == ["VIB-03", "VIB-01", "VIB-05", "VIB-06", "VIB-06", "VIB-06"]
    assert re.fullmatch(r"Weighted vibration, measured again 1\.66 ± .* mm/s .*run R4.*pass", lost.also[0])
    undecided = [matter for matter in sound.matters if "the sensor was lost" in matter.became]
    assert [matter.checks for matter in undecided] == [{"VIB-08", "VIB-09"}]  # nothing shows these later
    assert "Report NCR-V2 is about the same rows: reworked" in undecided[0].became


def test_what_a_lost_record_left_open_stays_undecided_without_the_later_one(spoil: Spoil) -> None:
    records = "vibration/records.csv"
    sheet = Sheet.read(HULL / records)
    again = [row[0] for row in sheet.body].index("A-20")
    book = spoil(records, without_row(again)).book
    lost = of_report(book, "NCR-V2")
    assert lost.state is State.OPEN
    assert "VIB-01" not in lost.checks
    assert not any("measured again" in words for words in lost.also)


def test_one_course_without_another_is_one_gap(sound: Book) -> None:
    (slow,) = [matter for matter in sound.matters if "No run on the opposite course" in matter.became]
    assert slow.findings == ("PRO-16/3", "SYS-13/6", "PRO-16/6", "PRO-16/9")
    slips = ("Apparent slip, Propeller, port (P1)", "Apparent slip, Propeller, starboard (P2)")
    assert slow.also == ("Trial speed", *slips)


def test_comparisons_that_are_worse_than_what_is_counted_are_said(sound: Book) -> None:
    checks = {check.id: check for chapter in sound.chapters for check in chapter.checks}
    said = "Beside these, 4 comparisons with other limits, 4 of them missed."
    assert checks["PRO-15"].beside == said
    assert said in checks["PRO-15"].answer
    missed = [item for item in checks["PRO-15"].references if item.finding.verdict is Verdict.FAIL]
    assert len(missed) == 4
    assert checks["VIB-01"].beside == ""


def test_what_a_set_aside_attempt_could_not_show_is_told_with_its_report(sound: Book, spoil: Spoil) -> None:
    """The first burn of C-05 was not burned out, so its glass, voids and residue decide nothing; a second burn does."""
    matter = of_report(sound, "NCR-L1")
    checks = {number.partition("/")[0] for number in matter.findings}
    assert checks == {"LAM-01", "LAM-03", "LAM-05", "LAM-06", "LAM-09"}
    assert matter.what.startswith("Change on heating again")
    burns = "laminate/burn_off.csv"
    sheet = Sheet.read(HULL / burns)
    second = sheet.pairs("coupon", "attempt").index(("C-05", "2"))
    alone = of_report(spoil(burns, without_row(second)).book, "NCR-L1")
    assert not any(number.startswith("LAM-01") for number in alone.findings)


def test_what_holds_a_value_is_the_reason_told(sound: Book) -> None:
    (coarse,) = [matter for matter in sound.matters if matter.what.startswith("Void content") and "C-17" in matter.what]
    assert coarse.became.startswith("The measurement is too coarse for this limit")


def test_a_place_found_open_and_repaired_is_told_although_its_later_state_passes(sound: Book) -> None:
    loose = of_report(sound, "NCR-L2")
    assert loose.state is State.PUT_RIGHT
    assert loose.reports == ("NCR-L2", "NCR-L3")  # one zone, one piece of work
    assert "140 mm × 60 mm, dull sound, outer skin off the core" in loose.what
    assert "After rework: sound, pass. Drilled at both ends, resin injected under vacuum." in loose.became
    assert loose.in_brief == "After rework: sound, pass."
    passes = [item for item in found(sound, "LAM-11", "place found open") if item.finding.key.attempt == 2]
    assert [item.finding.verdict for item in passes] == [Verdict.PASS] * 3


def test_the_short_form_leaves_work_and_reports_to_the_pages_of_reports_and_nothing_else(sound: Book) -> None:
    """Worked out from the words themselves; where no report tells of work there is no short form."""
    works = {report.id: f". {capital(report.work)}" for report in sound.reports if report.work}
    told = 0
    for matter in sound.matters:
        rest = matter.became
        for work in dict.fromkeys(works[report] for report in matter.reports if report in works):
            told += work in rest  # of an open report nothing was decided, so none is told
            rest = rest.replace(work, "", 1)
        if matter.state is State.PUT_RIGHT:
            rest = re.sub(r" Reports? [^.]*, closed \d{4}-\d\d-\d\d\.$", "", rest)
        if matter.state is State.DECIDED:
            rest = rest[rest.index("Measured again: ") :]
        if matter.state is State.OVERDUE:
            rest = rest.removeprefix("Instrument calibration not shown: ")
        if matter.state in (State.UNDECIDED, State.OVERDUE):
            rest = re.sub(r" Report \S+ is about the same rows: [^.]*\.", "", rest)
        assert matter.in_brief == ("" if rest == matter.became else rest)
    assert told > 10


def test_what_was_found_and_repaired_without_a_report_is_told_with_that(hull: Path, spoil: Spoil) -> None:
    book = spoil(REPORTS, without_row(row_of(hull, "NCR-L4"))).book
    (deck,) = [matter for matter in book.matters if "outer skin off the core" in matter.what and "Deck" in matter.what]
    assert deck.state is State.OPEN  # what is not shown counts as not done, and nothing shows who accepted the repair
    assert deck.became == (
        "The folder holds no report of it. Drilled at both ends, resin injected under vacuum. Looked at again: pass."
    )
    unreported = [item for item in book.exceptions if item.finding.observed == "fail without nonconformity report"]
    assert [item.finding.key.place for item in unreported] == ["L4"]
    assert [item.number for item in unreported] == list(deck.findings[1:])


def found(book: Book, check: str, quantity: str) -> list[Numbered]:
    """The governing findings of one characteristic."""
    checks = {one.id: one for chapter in book.chapters for one in chapter.checks}
    return [item for item in checks[check].governing if item.finding.key.quantity == quantity]
