"""The working as the printed book lists it: what is common once, and the rows of every finding."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Book, Numbered
from buildbook.core.quantity import Part, Quantity
from buildbook.core.where import Where
from buildbook.render.content import Line, lines
from buildbook.render.worked import Worked, worked


def _line(book: Book, number: int, *parts: tuple[str, float], at: tuple[Where, ...], method: str = "gauge") -> Line:
    item: Numbered = book.chapters[0].checks[0].governing[0]
    measured = Quantity.combined(120.0, "um", tuple(Part(name, size) for name, size in parts))
    finding = replace(
        item.finding, measured=measured, method=method, instruments=("G-1",), at=at, working=(f"step {number}",)
    )
    (line,) = lines((replace(item, number=f"COA-08/{number}", finding=finding),))
    return line


def _rows(*numbers: int) -> tuple[Where, ...]:
    return tuple(Where("film.csv", number) for number in numbers)


def _numbers(groups: tuple[Worked, ...]) -> list[str]:
    return [step.line.item.number for group in groups for step in (*group.steps, *group.others)]


def test_method_parts_and_file_are_said_once_and_sizes_follow_the_order_of_the_names(sample_book: Book) -> None:
    one = _line(sample_book, 1, ("scatter", 3.0), ("gauge", 1.0), at=_rows(4, 5, 6))
    other = _line(sample_book, 2, ("scatter", 0.5), ("gauge", 1.0), at=_rows(9))
    (group,) = worked((one, other), ())
    assert (group.method, group.instruments, group.parts, group.file) == (
        "gauge",
        ("G-1",),
        ("scatter", "gauge"),
        "film.csv",
    )
    assert [step.where for step in group.steps] == ["lines 4–6", "line 9"]
    assert [step.parts for step in group.steps] == [" (3.0 µm, 1.0 µm)", " (0.50 µm, 1.0 µm)"]
    assert all(step.total for step in group.steps)


def test_a_finding_alone_is_told_whole(sample_book: Book) -> None:
    line = _line(sample_book, 1, ("scatter", 3.0), at=_rows(4))
    (group,) = worked((line,), ())
    assert group.single
    assert group.steps[0].parts == " from standard uncertainties: scatter 3.0 µm"
    assert (group.file, group.steps[0].where) == ("", "")


def test_another_method_or_other_parts_are_another_group_and_none_is_lost(sample_book: Book) -> None:
    all_of_them = (
        _line(sample_book, 1, ("scatter", 3.0), at=_rows(4)),
        _line(sample_book, 2, ("scatter", 3.0), at=_rows(5), method="comb"),
        _line(sample_book, 3, ("gauge", 3.0), at=_rows(6)),
        _line(sample_book, 4, ("scatter", 2.0), at=(Where("other.csv", 7),)),
    )
    groups = worked(all_of_them[:2], all_of_them[2:])
    assert len(groups) == 4
    assert _numbers(groups) == ["COA-08/1", "COA-08/2", "COA-08/3", "COA-08/4"]


def test_arithmetic_of_plain_passes_is_told_once_and_never_left_out_of_the_others(sample_book: Book) -> None:
    made = [_line(sample_book, n, ("scatter", 3.0), at=_rows(n)) for n in range(1, 6)]
    (group,) = worked(made[:2], made[2:])
    assert [step.line.item.number for step in group.steps] == ["COA-08/1", "COA-08/2"]
    assert [step.where for step in group.others] == ["line 3", "line 4", "line 5"]
    (group,) = worked((), made)
    assert [step.line.item.number for step in group.steps] == ["COA-08/1"]
    assert sorted(_numbers((group,))) == sorted(line.item.number for line in made)
