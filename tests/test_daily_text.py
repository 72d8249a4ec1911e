"""The same as lines of text: readable on a narrow terminal and in a pipe."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.daily import Daily, Kind, Task, daily
from buildbook.daily_text import MOST_IN_FILE, lines
from buildbook.pipeline import make_book, waits
from tests import growing
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import Sheet, copied


@pytest.fixture(scope="module")
def today() -> Daily:
    return daily(demonstration().book)


@pytest.fixture(scope="module")
def moulded() -> Daily:
    return daily(growing.moulded().book)


def printed(given: Daily, *, everything: bool = False, width: int = 80) -> list[str]:
    return [line.text for line in lines(given, everything=everything, width=width)]


@pytest.mark.parametrize("width", [40, 80, 132])
def test_no_line_is_wider_than_the_terminal(today: Daily, moulded: Daily, width: int) -> None:
    for given in (today, moulded):
        wide = [line for line in printed(given, width=width, everything=True) if len(line) > width]
        assert [line for line in wide if " " in line.strip()] == []  # a name that is longer by itself is never cut


def test_two_thousand_findings_take_some_pages_and_the_next_thing_is_last(today: Daily) -> None:
    told = printed(today)
    assert today.findings > 2000
    assert len(told) < 240
    end = next(at for at, line in enumerate(told) if line.startswith("Next: "))
    assert " ".join(line.strip() for line in told[end:]) == f"Next: {today.next}"
    assert len(told) - end <= 3


def test_each_file_stands_once_as_a_head(today: Daily) -> None:
    def heads(*, everything: bool) -> list[str]:
        told = lines(today, everything=everything)
        return [line.text for line in told if line.style == "bold" and line.text.endswith((".csv", ".toml"))]

    assert heads(everything=True) == [file.file for file in today.files]
    to_do = [file.file for file in today.files if {task.kind for task in file.tasks} != {Kind.STAYS}]
    assert heads(everything=False) == to_do != heads(everything=True)


def test_of_a_file_with_much_to_do_the_rest_is_counted(today: Daily) -> None:
    (first,) = today.files[0].tasks[:1]
    many = tuple(first for _ in range(MOST_IN_FILE + 4))
    told = printed(_with(today, many))
    assert "  and 4 open more (--all)" in told
    assert "  and 4 open more (--all)" not in printed(_with(today, many), everything=True)


def _with(today: Daily, tasks: tuple[Task, ...]) -> Daily:
    return replace(today, files=(replace(today.files[0], tasks=tasks),))


def test_what_is_not_due_is_told_with_its_denominator(moulded: Daily, today: Daily) -> None:
    told = "\n".join(printed(moulded))
    later = moulded.findings - moulded.due
    assert f"Due: {moulded.due} of {moulded.findings} findings. Not due yet: {later}." in told
    assert f"Not due yet, since she is out of the mould: {later} of {moulded.findings}" in told
    assert "ot due" not in "\n".join(printed(today))


def test_what_only_waits_for_rows_told_as_faults_is_one_line(tmp_path: Path) -> None:
    """A word for a number in the schedule: the parts of what rests on it wait for that cell."""
    hull = copied(tmp_path / "hull")
    sheet = Sheet.read(hull / "laminate" / "schedule.csv")
    sheet.rows[1][sheet.index("ply")] = "first"
    sheet.write()
    made = make_book(hull)
    today = daily(made.book, waits=waits(made))
    waiting = [task for task in today.tasks if task.waits]
    assert waiting
    short, whole = " ".join(printed(today)), " ".join(printed(today, everything=True))
    assert " for rows that are told as faults: " in short
    assert " for rows that are told as faults: " not in whole
    for task in waiting:
        assert f"{task.numbers[0]} {task.what}"[:40] in whole
        assert f"{task.numbers[0]} {task.what}"[:40] not in short
