"""What waits for rows that cannot be used is told with those rows, and hides nothing else. Invented data, spoiled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from buildbook.core.decide import TOO_COARSE
from buildbook.core.finding import Finding
from buildbook.core.where import Where
from buildbook.daily import Daily, Kind, Task, daily
from buildbook.daily_text import lines, look_lines
from buildbook.pipeline import Made, make_book, waits
from buildbook.row_remedies import rows_named
from buildbook.watching import Look, change
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import Sheet, copied

BURN_OFF = "laminate/burn_off.csv"


@dataclass(frozen=True)
class Spoiled:
    """A folder after a slip: what is to be done, and the findings by number."""

    made: Made
    today: Daily

    def finding(self, task: Task) -> Finding:
        return next(item.finding for item in self.made.book.governing if item.number == task.numbers[0])

    def of(self, wanted: Callable[[Finding], bool]) -> list[Task]:
        return [task for task in self.today.tasks if task.numbers and wanted(self.finding(task))]


def spoiled(hull: Path) -> Spoiled:
    made = make_book(hull)
    return Spoiled(made, daily(made.book, waits=waits(made)))


def word_for_a_number(hull: Path, file: str, *rows: int) -> None:
    """A word in the first column with a unit, in some rows below the heads."""
    sheet = Sheet.read(hull / file)
    column = next(at for at, name in enumerate(sheet.rows[0]) if "[" in name)
    for row in rows:
        sheet.rows[row][column] = "word"
    sheet.write()


def short(today: Daily) -> str:
    return " ".join(" ".join(line.text for line in lines(today)).split())


@pytest.fixture(scope="module")
def before() -> Daily:
    return daily(demonstration().book)


@pytest.fixture(scope="module")
def burns(tmp_path_factory: pytest.TempPathFactory) -> Spoiled:
    """Five coupons, in lines 4 to 8, of which line 4 is of L1 and the others of L2; their fault is told once."""
    hull = copied(tmp_path_factory.mktemp("burns") / "hull")
    word_for_a_number(hull, BURN_OFF, 3, 4, 5, 6, 7)
    return spoiled(hull)


@pytest.mark.parametrize(
    "file",
    [
        "moisture.csv",
        "coating/cross_cut.csv",
        "coating/products.csv",
        "systems/hose_tests.csv",
        "systems/sender_readings.csv",
        "vibration/machinery.csv",
    ],
)
def test_whatever_follows_from_one_cell_waits_for_its_row_and_nothing_else_does(
    tmp_path: Path, before: Daily, file: str
) -> None:
    hull = copied(tmp_path / "hull")
    word_for_a_number(hull, file, 1)
    after = spoiled(hull).today
    known = {task.id: task.kind for task in before.tasks}
    new = [task for task in after.tasks if task.id not in known and task.numbers and task.kind is not Kind.STAYS]
    assert len(new) > 3
    assert [task.what for task in new if not task.waits] == []
    assert {task.remedy for task in new} == {f"Correct {file}:2; this waits for it."}
    assert [task.what for task in after.tasks if task.waits and known.get(task.id) is Kind.MISSING] == []
    assert not any(task.what in short(after) for task in new)


def test_rows_that_are_told_as_one_fault_are_all_counted(burns: Spoiled) -> None:
    faults = [task for task in burns.today.tasks if task.kind is Kind.FAULT]
    assert [task.at.line for task in faults] == [4]
    (mean,) = burns.of(lambda it: (it.key.check, it.key.place, it.key.condition) == ("LAM-02", "L1", "single skin"))
    assert mean.remedy == f"Correct {BURN_OFF}:4; this waits for it."
    counted = [task.remedy for task in burns.of(lambda it: it.key.check == "LAM-01" and it.key.place == "L3")]
    assert set(counted) == {f"Correct {BURN_OFF}:4 and 4 more rows; this waits for them."}
    of_l2 = [task.remedy for task in burns.of(lambda it: it.key.check in ("LAM-02", "LAM-10") and it.key.place == "L2")]
    assert of_l2
    assert all(f"{BURN_OFF}:4" not in remedy for remedy in of_l2)


def test_one_more_row_is_one() -> None:
    rows = [Where("a.csv", 2), Where("a.csv", 9), Where("b.xlsx", 4, sheet="b.xlsx[c]")]
    assert rows_named(rows) == "a.csv:2 and 1 more row, and b.xlsx[c]:4"
    assert rows_named([Where(f"{name}.csv", 2) for name in "abcde"]).endswith("c.csv:2 and 2 more files")


def test_a_plan_line_of_an_opening_waits_for_the_coupon_that_its_finding_waits_for(burns: Spoiled) -> None:
    """The opening has no place in the table of coupons: only the check knows which coupon was cut from it."""
    waiting = {task.numbers[0]: task for task in burns.today.tasks if task.waits}
    openings = [task for task in waiting.values() if burns.finding(task).key.check == "LAM-10"]
    assert any(burns.finding(task).key.place.startswith("O") for task in openings)
    lines_of = [
        task for task in waiting.values() if "coupon from the opening" in task.what and "REG-02" in task.numbers[0]
    ]
    assert lines_of
    assert all(f"Correct {BURN_OFF}:" in task.remedy for task in lines_of)


def test_what_has_a_remedy_of_its_own_is_not_hidden_behind_rows(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    sheet = Sheet.read(hull / BURN_OFF)
    at = sheet.index("coupon")
    for row in sheet.body:
        row[at] = "" if row[at] == "C-18" else row[at]
    sheet.write()
    now = spoiled(hull)
    coarse = now.of(lambda it: TOO_COARSE in it.notes)
    assert coarse
    for task in coarse:
        assert (task.waits, "reads finer" in task.remedy) == (False, True)
        assert f"{task.numbers[0]} {task.what[:20]}" in short(now.today)


def test_what_hull_toml_does_not_give_is_told_beside_a_lost_row(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    entry = hull / "hull.toml"
    entry.write_text(
        "".join(line for line in entry.read_text("utf-8").splitlines(keepends=True) if "lay_up_started" not in line),
        "utf-8",
    )
    sheet = Sheet.read(hull / "hull_number.csv")
    sheet.rows[2][0] = ""
    sheet.write()
    now = spoiled(hull)
    (task,) = now.of(lambda it: "hull.toml gives no date of lay-up start." in it.notes)
    assert (task.waits, task.remedy) == (False, "Add to hull.toml what is not given there.")
    assert task.remedy in short(now.today)


def test_a_fail_that_nobody_reported_is_first_judged_with_its_lost_row(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    word_for_a_number(hull, "infusion/mixes.csv", 1)
    now = spoiled(hull)
    (task,) = now.of(lambda it: it.key.check == "INF-06" and it.key.place == "I1")
    assert (task.kind, task.waits) == (Kind.OPEN, False)
    assert task.remedy.startswith("First correct infusion/mixes.csv:2: this was judged without it. If it stays")
    assert "Write a report in nonconformities.csv" in task.remedy


def test_a_missing_table_that_a_locked_workbook_may_hold_sends_to_the_workbook(tmp_path: Path) -> None:
    hull = copied(tmp_path / "hull")
    (hull / "laminate/materials.csv").unlink()
    locked = b"\xd0\xcf\x11\xe0" + b"0" * 600 + "EncryptedPackage".encode("utf-16-le")
    (hull / "prices.xlsx").write_bytes(locked)
    today = daily(make_book(hull).book)
    asked = {task.remedy for task in today.tasks if task.what.endswith("expected ids from laminate/materials.csv")}
    assert asked == {"Put prices.xlsx right first; what is to be done stands there."}


def test_a_look_names_the_fault_and_counts_what_waits_for_it(tmp_path: Path, before: Daily) -> None:
    hull = copied(tmp_path / "hull")
    word_for_a_number(hull, BURN_OFF, 3)
    after = spoiled(hull).today

    def told(*days: Daily) -> str:
        text = (line.text for line in look_lines(Look(days[1], change(*days))))
        return " ".join(" ".join(text).split())

    waiting = sum(task.waits for task in change(before, after).new)
    assert waiting > 10
    slip, mended = told(before, after), told(after, before)
    assert slip.startswith(f"mended: 0, new: 1 new {BURN_OFF}:4, column")
    assert f"{waiting} things wait for rows that are told as faults: " in slip.partition("In the way")[0]
    assert mended.startswith(f"mended: 1, new: 0 mended {BURN_OFF}: found")
    assert f"{waiting} things wait no longer for rows that were told as faults" in mended


def test_without_a_lost_row_nothing_waits() -> None:
    assert waits(demonstration()) == {}
