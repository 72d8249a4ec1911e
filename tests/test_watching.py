"""A folder looked at again whenever it changes. Changes are handed in; nothing sleeps and no clock is read."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from buildbook.core.fault import Fault
from buildbook.core.where import Where
from buildbook.daily import Daily, daily
from buildbook.daily_text import look_lines
from buildbook.watching import MOST_PAUSES, PAUSE, Look, change, changes, looks, scanned
from tests.demonstration import demonstration


def with_faults(*cells: tuple[int, str]) -> Daily:
    book = replace(demonstration().book, matters=())
    faults = tuple(
        Fault(Where("coating/gloss.csv", line, "gloss [GU]"), "a number", found, "It is not used.")
        for line, found in cells
    )
    return daily(replace(book, faults=faults))


def told(look: Look) -> str:
    return " ".join(" ".join(line.text for line in look_lines(look)).split())


def test_what_is_mended_and_what_is_new_is_told_from_look_to_look() -> None:
    days = iter([with_faults((5, "'a'"), (7, "'b'")), with_faults((6, "'a'"), (9, "'c'")), with_faults()])
    first, second, third = looks(lambda: next(days), [1, 2])
    assert first.change is None
    assert second.change is not None
    assert third.change is not None
    assert [task.what for task in second.change.mended] == [
        "found 'b'; expected a number"
    ]  # a row that moved is no news
    assert [task.at.line for task in second.change.new] == [9]
    assert (len(third.change.mended), third.change.new) == (2, ())
    assert told(second).startswith("mended: 1, new: 1 ")
    assert told(third).startswith("mended: 2, new: 0 ")
    assert "Next: Nothing stands in the way." in told(third)


def test_a_look_after_a_change_shows_the_files_that_it_is_about() -> None:
    book = demonstration().book
    before = daily(book)
    fault = Fault(Where("coating/gloss.csv", 5, "gloss [GU]"), "a number", "'a'", "It is not used.")
    after = daily(replace(book, faults=(*book.faults, fault)))
    look = Look(after, change(before, after))
    words = told(look)
    assert "coating/gloss.csv line 5" in words
    assert "trial/runs.csv" not in words
    assert "trial/runs.csv" in " ".join(line.text for line in look_lines(look, everything=True))


def test_a_look_after_a_change_in_a_sheet_shows_that_sheet() -> None:
    book = demonstration().book
    where = Where("coating/gloss.csv", 5, "gloss [GU]", "march.xlsx[coating.gloss]", "F5")
    after = daily(replace(book, faults=(*book.faults, Fault(where, "a number", "'a'", "It is not used."))))
    words = told(Look(after, change(daily(book), after)))
    _, _, below = words.partition("new: 1")
    assert "march.xlsx[coating.gloss]" in below
    assert "found 'a'; expected a number" in below


def test_a_folder_that_cannot_be_read_is_told_and_watched_on() -> None:
    days: Iterator[Daily | str] = iter(
        [with_faults((5, "'a'")), "hull: no such folder", with_faults((5, "'a'"), (8, "'b'"))]
    )
    first, second, third = looks(lambda: next(days), [1, 2])
    assert (second.today, second.trouble) == (None, "hull: no such folder")
    assert told(second).startswith("hull: no such folder Nothing can be judged until it can be read again.")
    assert third.change == change(first.today, third.today)  # type: ignore[arg-type]
    assert len(third.change.new) == 1


def test_a_folder_that_cannot_be_read_at_first_is_watched_too() -> None:
    days: Iterator[Daily | str] = iter(["hull: no such folder", with_faults((5, "'a'"))])
    _, second = looks(lambda: next(days), [1])
    assert second.change is None
    assert told(second).startswith("Specimen")


SEEN = [{"a": (1, n)} for n in range(6)]


def scripted(*scans: int) -> tuple[list[float], Iterator[None]]:
    """The pauses that are made, and the changes that scans of a folder give: the n-th state at each scan."""
    pauses: list[float] = []
    states = iter([SEEN[n] for n in scans])
    return pauses, changes(lambda: next(states), pauses.append)


def test_a_change_is_given_once_the_folder_rests() -> None:
    pauses, given = scripted(0, 0, 0, 1, 2, 2, 2, 3, 3)
    assert len(list(islice(given, 2))) == 2
    assert pauses == [PAUSE] * 8  # one before each scan but the first


def test_a_log_that_never_rests_is_looked_at_all_the_same() -> None:
    count = iter(range(1000))
    given = changes(lambda: {"log": (next(count), 0)}, lambda _: None)
    next(given)
    assert next(count) == MOST_PAUSES + 2


def test_a_change_while_the_folder_is_judged_is_not_missed() -> None:
    _, given = scripted(0, 1, 1, 2, 2)
    next(given)
    next(given)  # what changed after the first was given, and before the second was asked for


def test_a_scan_sees_each_file_its_size_and_its_time(tmp_path: Path) -> None:
    (tmp_path / "coating").mkdir()
    (tmp_path / ".git").mkdir()
    for name in ("hull.toml", "coating/gloss.csv", ".git/index"):
        (tmp_path / name).write_text("x", "utf-8")
    seen = scanned(tmp_path)
    assert {os.path.relpath(name, tmp_path) for name in seen} == {"hull.toml", os.path.join("coating", "gloss.csv")}
    (tmp_path / "hull.toml").write_text("xy", "utf-8")
    longer = scanned(tmp_path)
    assert longer != seen
    os.utime(tmp_path / "hull.toml", ns=(1, 1))
    assert scanned(tmp_path) != longer


@pytest.mark.parametrize("name", ["nowhere", "file"])
def test_what_is_no_folder_holds_nothing(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("x", "utf-8")
    assert scanned(tmp_path / name) == {}
