"""A workbook is taken apart once though each of its tables asks for it, and what is kept has a cap. All synthetic."""

from __future__ import annotations

import pytest

from buildbook.readers import kept_sheets
from buildbook.readers.kept_sheets import sheets_of
from buildbook.readers.xlsx import taken_apart
from tests.as_workbooks import saved, workbook


def book(text: str) -> bytes:
    return saved(workbook({"plan": [["a"], [text]], "spots": [["b"]]}))


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.setattr(kept_sheets, "_kept", type(kept_sheets._kept)())


@pytest.fixture
def asked(monkeypatch) -> list[str]:
    """The names of the workbooks that were taken apart."""
    names: list[str] = []

    def told(data, file):
        names.append(file)
        return taken_apart(data, file)

    monkeypatch.setattr(kept_sheets, "taken_apart", told)
    return names


def test_more_workbooks_than_a_hull_has_chapters_are_each_taken_apart_once(asked):
    names = [f"{number}.xlsx" for number in range(40)]
    for name in (*names, *names):
        assert [sheet.name for sheet in sheets_of(book(name), name)] == ["plan", "spots"]
    assert asked == names


def test_other_bytes_or_another_name_are_taken_apart_anew(asked):
    """A macro workbook is refused by its name alone, so that the name counts as the bytes do."""
    values = [sheets_of(book(text), name)[0].rows[2][1].value for text, name in (("x", "a"), ("y", "a"), ("x", "b"))]
    assert (values, asked) == (["x", "y", "x"], ["a", "a", "b"])


def test_what_was_asked_for_longest_ago_is_let_go_beyond_the_cap(asked, monkeypatch):
    one, other, third = book("1"), book("2"), book("3")
    assert len({taken_apart(data, "x").unpacked for data in (one, other, third)}) == 1
    monkeypatch.setattr(kept_sheets, "MOST_KEPT", 2 * taken_apart(one, "x").unpacked)
    for data, name in ((one, "a"), (other, "b"), (one, "a"), (third, "c"), (one, "a"), (other, "b")):
        sheets_of(data, name)
    assert asked == ["a", "b", "c", "b"]
