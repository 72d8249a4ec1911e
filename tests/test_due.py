"""What is not due yet: only what is absent, never a reading, and nothing of a finished boat. Invented data."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.chapters.register.identity import identity
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Hull, Specification
from buildbook.core.stage import Stage
from buildbook.due import due_by_now
from buildbook.pipeline import Made, make_book
from tests.as_workbooks import empty, fill, saved
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import HULL, Sheet, copied
from tests.growing import OF_MOULDED, growing, staged

LOOKING = ("REG-05", "REG-06")
DATES = Key("REG-01", "dates and coded month", "hull.toml")
UNSHOWN = (Verdict.NO_RECORD, Verdict.NOT_MEASURED)
UNFINISHED = [stage.value for stage in Stage if stage is not Stage.DELIVERED]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return growing(tmp_path_factory.mktemp("growing"))


@pytest.fixture(scope="module")
def by_stage(folder: Path) -> dict[str, Made]:
    """The same folder with no stage, as moulded, as fitting out and as delivered."""
    return {stage: make_book(staged(folder, stage)) for stage in ("", "moulded", "painted", "delivered")}


def verdicts(made: Made) -> dict[Key, Finding]:
    return {finding.key: finding for finding in made.findings}


def test_only_what_is_absent_is_not_due_and_nothing_else_changes(by_stage: dict[str, Made]) -> None:
    before, after = verdicts(by_stage[""]), verdicts(by_stage["moulded"])
    assert before.keys() == after.keys()
    looked_at = {key for key in before if key.check in LOOKING or key == DATES}
    changed = [(before[key], after[key]) for key in before if before[key] != after[key] and key not in looked_at]
    assert {one.verdict for one, _ in changed} == set(UNSHOWN)
    assert all(other.due_later and other.notes[1:] == one.notes for one, other in changed)
    assert {one.measured for one, _ in changed} == {None}
    assert len(changed) + 1 == len(by_stage["moulded"].book.not_due) > 400  # one is that of her dates


def test_the_coded_month_waits_for_a_date_that_she_cannot_have_yet(by_stage: dict[str, Made], folder: Path) -> None:
    before, after = verdicts(by_stage[""])[DATES], verdicts(by_stage["moulded"])[DATES]
    assert (before.verdict, after.verdict, after.due_later) == (Verdict.INCONCLUSIVE, Verdict.NOT_APPLICABLE, True)
    assert after.notes[0] == "Not due before she is delivered."
    assert verdicts(by_stage["delivered"])[DATES].verdict is Verdict.INCONCLUSIVE


def test_a_coded_month_before_her_lay_up_fails_at_every_stage_and_a_date_that_cannot_be_read_waits_for_nothing() -> (
    None
):
    number, began = "XX-EXY00007H526", date(2025, 8, 18)
    early = Hull(number=number, stage="moulded", dates=(("lay_up_started", date(2025, 9, 1)),))
    unread = Hull(number=number, stage="moulded", dates=(("lay_up_started", began),), lines=(("dates.delivered", 9),))
    found = [
        {it.key: it for it in identity(Evidence(hull, Specification()))}[DATES].verdict for hull in (early, unread)
    ]
    assert found == [Verdict.FAIL, Verdict.INCONCLUSIVE]


def test_tables_that_are_planned_and_not_due_hold_no_look_at_what_is_there(by_stage: dict[str, Made]) -> None:
    """Those that are due and not there hold it as before: nothing is gained by leaving one out."""
    before, after = verdicts(by_stage[""]), verdicts(by_stage["moulded"])
    held = "{} is planned for and is not there."
    for key in (key for key in before if key.check in LOOKING and key.place == "whole hull"):
        assert held.format("coating/appearance.csv") in before[key].notes
        told = [note for note in after[key].notes if note.endswith("is planned for and is not there.")]
        assert told == [held.format("hull_number.csv")]


def test_a_table_that_is_due_holds_the_look_whatever_the_stage(tmp_path: Path) -> None:
    folder = growing(tmp_path)
    before = not_there(make_book(folder))
    (folder / "hardness.csv").unlink()
    assert not_there(make_book(folder)) == before | {"hardness.csv is planned for and is not there."} != before


def not_there(made: Made) -> set[str]:
    """What the looks at the whole hull say of tables that they miss."""
    its = [it for key, it in verdicts(made).items() if key.check in LOOKING and key.place == "whole hull"]
    assert len(its) > 4
    return {note for it in its for note in it.notes if note.endswith("is planned for and is not there.")}


def test_an_earlier_stage_asks_for_less(by_stage: dict[str, Made]) -> None:
    moulded, painted = ({it.finding.key for it in by_stage[name].book.not_due} for name in ("moulded", "painted"))
    assert painted < moulded
    assert {key.check[:3] for key in moulded - painted} >= {"COA", "PAR"}
    assert "PRO" in {key.check[:3] for key in painted}


def test_what_is_due_and_not_there_stays_a_gap(by_stage: dict[str, Made]) -> None:
    gaps = {it.finding.key.check for it in by_stage["moulded"].book.governing if it.finding.verdict in UNSHOWN}
    assert {"REG-01", "LAM-10"} <= gaps


@pytest.mark.parametrize("stage", ["", "delivered"])
def test_of_a_finished_boat_nothing_is_not_due(by_stage: dict[str, Made], stage: str) -> None:
    assert by_stage[stage].book.not_due == ()
    assert by_stage[stage].book.not_due_in_short == ""
    assert [finding.key for finding in by_stage[stage].findings if finding.due_later] == []


def test_a_delivered_boat_is_judged_as_one_without_a_stage(by_stage: dict[str, Made]) -> None:
    assert verdicts(by_stage["delivered"]) == verdicts(by_stage[""])


@pytest.mark.parametrize("stage", UNFINISHED)
def test_of_the_whole_demonstration_no_finding_but_an_absent_one_moves(stage: str) -> None:
    """The stage put past the faults that would stop it: whatever was read keeps its verdict at every stage."""
    made = demonstration()
    evidence = replace(made.evidence, hull=replace(made.evidence.hull, stage=stage))
    after = due_by_now(evidence, CHAPTERS, made.findings)
    moved = [one for one, other in zip(made.findings, after, strict=True) if one != other]
    assert [one.key for one in moved if one.verdict not in UNSHOWN] == []
    assert not {one.key.check for one in moved} & {one.key.check for one in made.findings if one.verdict.judged}


def test_a_stage_that_her_dates_contradict_changes_no_finding(tmp_path: Path) -> None:
    text = (
        (HULL / "hull.toml")
        .read_text("utf-8")
        .replace("as_of = 2026-06-15\n", 'as_of = 2026-06-15\nstage = "moulded"\n')
    )
    folder = copied(tmp_path / "hull")
    before = make_book(folder)
    (folder / "hull.toml").write_text(text, "utf-8")
    made = make_book(folder)
    assert len(before.findings) > len(UNFINISHED)
    assert {key: one.verdict for key, one in verdicts(made).items()} == {
        key: one.verdict for key, one in verdicts(before).items()
    }
    assert made.book.hull.stage == made.book.hull.unfinished == ""
    assert made.book.not_due == ()
    (fault,) = (fault for fault in made.book.faults if fault.where.part == "stage")
    assert "delivered is 2026-06-05" in fault.found


def test_a_check_that_has_begun_is_asked_for_whole(tmp_path: Path) -> None:
    """The readings of the second propeller deleted: its gaps stay gaps, so that nothing is gained by it."""
    keep = (*OF_MOULDED, "propeller/propellers.csv", "propeller/sections.csv", "propeller/pitch.csv")
    folder = growing(tmp_path, "fitting out", "2026-05-01", keep)
    sheet = Sheet.read(folder / "propeller" / "pitch.csv")
    place = sheet.rows[0].index("propeller")
    left = [row for row in sheet.rows if row[place] != "P2"]
    assert 1 < len(left) < len(sheet.rows)
    sheet.rows = left
    sheet.write()
    made = make_book(folder)
    second = Counter(it.finding.due_later for it in made.book.governing if it.finding.key.check == "PRO-02")
    assert second[False] > 0
    assert second[True] == 0
    assert {it.finding.key.check for it in made.book.not_due} >= {"PRO-15", "SHA-01"}


def test_a_row_that_cannot_be_read_makes_its_check_due(tmp_path: Path) -> None:
    folder = growing(tmp_path, keep=(*OF_MOULDED, "hull_number.csv"))
    whole = {it.finding.key.check for it in make_book(folder).book.not_due}
    assert "SYS-15" in whole
    (folder / "systems").mkdir()
    head = (HULL / "systems" / "seacocks.csv").read_text("utf-8").splitlines()[0]
    (folder / "systems" / "seacocks.csv").write_text(head + "\nno such place" + "," * head.count(",") + "\n", "utf-8")
    assert "SYS-15" not in {it.finding.key.check for it in make_book(folder).book.not_due}


def test_a_file_that_cannot_be_read_makes_its_checks_due(tmp_path: Path) -> None:
    folder = growing(tmp_path)
    assert "SYS-15" in {it.finding.key.check for it in make_book(folder).book.not_due}
    (folder / "systems").mkdir()
    (folder / "systems" / "seacocks.csv").write_bytes(b"\x89PNG\r\n\x1a\n")
    after = {it.finding.key.check for it in make_book(folder).book.not_due}
    assert "SYS-15" not in after
    assert "COA-08" in after


@pytest.mark.parametrize("name", ["march.xlsx", "coating.xlsx"])
def test_beside_a_workbook_that_cannot_be_read_nothing_is_not_due(tmp_path: Path, name: str) -> None:
    """A sheet with the whole name of a table may stand in any workbook: each check may have begun."""
    folder = growing(tmp_path)
    book = empty()
    kind = next(kind for kind in TABLES if kind.table.file == "systems/seacocks.csv")
    fill(book.create_sheet("systems.seacocks"), kind, (HULL / "systems" / "seacocks.csv").read_bytes())
    whole = saved(book)
    (folder / name).write_bytes(whole)
    before = {it.finding.key: it.finding for it in make_book(folder).book.governing}
    assert {it.due_later for key, it in before.items() if key.check == "SYS-15"} == {False}
    (folder / name).write_bytes(whole[: len(whole) // 2])
    after = make_book(folder).book
    assert after.not_due == ()
    worse = {Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED, Verdict.NO_RECORD, Verdict.CONDITIONAL_FAIL, Verdict.FAIL}
    assert {it.finding.verdict for it in after.governing if it.finding.key.check == "SYS-15"} <= worse


def test_a_line_of_the_plan_may_name_its_own_stage(tmp_path: Path) -> None:
    folder = growing(tmp_path, "painted")
    before = {it.finding.key.place for it in make_book(folder).book.not_due if it.finding.key.check == "REG-02"}
    sheet = Sheet.read(folder / "plan.csv")
    line = next(row for row in range(1, len(sheet.rows)) if sheet.rows[row][3] == "COA-08")
    assert sheet.rows[line][0] not in before
    sheet.rows[line][1] = "Launched"
    sheet.write()
    after = {it.finding.key.place for it in make_book(folder).book.not_due if it.finding.key.check == "REG-02"}
    assert after - before == {sheet.rows[line][0]}


def test_a_line_that_is_said_to_be_done_is_never_not_due(tmp_path: Path) -> None:
    folder = growing(tmp_path)
    sheet = Sheet.read(folder / "plan.csv")
    heads = sheet.rows[0]
    row = next(row for row in sheet.rows if row[heads.index("check")] == "COA-02")
    row[heads.index("released_on")], row[heads.index("released_by")] = "2025-12-01 10:00", "QA KL"
    sheet.write()
    found = {it.finding.key: it.finding for it in make_book(folder).book.governing}
    key = Key("REG-02", "record of the inspection", row[0])
    assert (found[key].verdict, found[key].due_later) == (Verdict.NO_RECORD, False)
    assert {it.due_later for key, it in found.items() if key.check == "COA-02"} == {False}  # nor is its check
    assert any(it.due_later for key, it in found.items() if key.check == "COA-08")


def test_a_line_of_the_plan_that_cannot_be_read_may_have_said_so(tmp_path: Path) -> None:
    folder = growing(tmp_path)
    sheet = Sheet.read(folder / "plan.csv")
    heads = sheet.rows[0]
    row = next(row for row in sheet.rows if row[heads.index("check")] == "COA-02")
    row[heads.index("went_on")] = "some day"
    sheet.write()
    found = [it.finding for it in make_book(folder).book.governing]
    assert {it.due_later for it in found if it.key.check == "COA-02"} == {False}
    assert any(it.due_later for it in found if it.key.check == "COA-08")
