"""A workbook is taken apart once though each of its tables asks for it, and what is kept has a cap. All synthetic."""

from __future__ import annotations

import io
import zipfile

import pytest

from buildbook.readers import kept_sheets, xlsx, xlsx_package
from buildbook.readers.kept_sheets import sheets_of
from buildbook.readers.xlsx import taken_apart
from tests.as_workbooks import saved, workbook


def book(text: str) -> bytes:
    return saved(workbook({"plan": [["a"], [text]], "spots": [["b"]]}))


def with_picture(data: bytes, size: int) -> bytes:
    """The workbook with so many bytes more that no sheet is made of."""
    buffer = io.BytesIO(data)
    with zipfile.ZipFile(buffer, "a") as made:
        made.writestr("xl/media/image1.png", bytes(size))
    return buffer.getvalue()


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
    books = {f"{number}.xlsx": book(f"{number}") for number in range(40)}
    for name, data in (*books.items(), *books.items()):
        assert [sheet.name for sheet in sheets_of(data, name)] == ["plan", "spots"]
    assert asked == list(books)


def test_other_bytes_or_another_name_are_taken_apart_anew(asked):
    """A macro workbook is refused by its name alone, so that the name counts as the bytes do."""
    values = [sheets_of(book(text), name)[0].rows[2][1].value for text, name in (("x", "a"), ("y", "a"), ("x", "b"))]
    assert (values, asked) == (["x", "y", "x"], ["a", "a", "b"])


@pytest.mark.parametrize("cap", ["MOST_KEPT_CELLS", "MOST_KEPT_READ"])
def test_what_was_asked_for_longest_ago_is_let_go_beyond_each_cap(asked, monkeypatch, cap):
    one, other, third = book("1"), book("2"), book("3")
    apart = taken_apart(one, "x")
    assert {(taken_apart(data, "x").cells, taken_apart(data, "x").read) for data in (other, third)} == {(3, apart.read)}
    monkeypatch.setattr(kept_sheets, cap, 2 * (3 if cap == "MOST_KEPT_CELLS" else apart.read))
    for data, name in ((one, "a"), (other, "b"), (one, "a"), (third, "c"), (one, "a"), (other, "b")):
        sheets_of(data, name)
    assert asked == ["a", "b", "c", "b"]


def test_pictures_do_not_count_since_nothing_of_them_is_kept(asked, monkeypatch):
    books = {name: with_picture(book(name), 50_000) for name in ("a", "b", "c")}
    monkeypatch.setattr(kept_sheets, "MOST_KEPT_READ", 50_000)
    for name, data in (*books.items(), *books.items()):
        sheets_of(data, name)
    assert asked == list(books)


def test_texts_count_by_their_length(asked, monkeypatch):
    """Else a few cells with very long texts were kept without end."""
    books = {name: book(name * 20_000) for name in ("a", "b", "c")}
    monkeypatch.setattr(kept_sheets, "MOST_KEPT_READ", 50_000)
    for name, data in (*books.items(), *books.items()):
        sheets_of(data, name)
    assert asked == [*books, *books]


def test_the_caps_are_those_of_one_workbook():
    assert (kept_sheets.MOST_KEPT_CELLS, kept_sheets.MOST_KEPT_READ) == (xlsx.MOST_CELLS, xlsx_package.MOST_UNPACKED)
