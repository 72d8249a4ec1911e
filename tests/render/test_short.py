"""What the printed book tells in short lines: nothing is lost, and only what is alike stands under one head."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Book, Numbered, PlanLine
from buildbook.core.finding import Verdict
from buildbook.core.limit import Term
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.render.content import Line, Mark, Requirement, lines
from buildbook.render.short import Kind, counted_only, kinds, plan_in_short, used_by


def _film(book: Book) -> tuple[Numbered, ...]:
    (check,) = [check for chapter in book.chapters for check in chapter.checks if check.id == "COA-08"]
    return tuple(item for item in check.governing if item.verdict == "pass")


def _numbers(made: tuple[Kind, ...]) -> list[str]:
    return [item.number for kind in made for one in kind.told for item in one.items]


def test_passes_of_one_quantity_and_limit_stand_under_one_head_and_none_is_lost(sample_book: Book) -> None:
    found = lines(_film(sample_book))
    assert len(found) > 10
    made = kinds(found)
    assert sorted(_numbers(made)) == sorted(line.item.number for line in found)
    for kind in made:
        members = [line for line in found if line.item.number in _numbers((kind,))]
        assert {line.item.limit for line in members} == {kind.limit.limit}
        assert {line.item.finding.key.quantity for line in members} == {kind.quantity}
        assert kind.headed == (len(members) > 1)
        for one in kind.told:
            assert f"{kind.quantity}, {one.where}" == one.items[0].subject


def test_another_limit_or_another_note_is_another_head(sample_book: Book) -> None:
    first, second = lines(_film(sample_book))[:2]
    assert len(kinds((first, second))) == 1
    other = replace(second, item=replace(second.item, limit="at least 1 µm"))
    assert len(kinds((first, other))) == 2
    assert len(kinds((first, replace(second, shared=(Mark("1", "note-1", "a note"),))))) == 2


def test_marks_of_who_set_the_limit_stand_in_the_head_or_at_each_finding(sample_book: Book) -> None:
    a, b = Mark("a", "limit-a"), Mark("b", "limit-b")
    first, second = lines(_film(sample_book))[:2]
    (kind,) = kinds((replace(first, setters=(a,)), replace(second, setters=(a,))))
    assert kind.limit.setters == (a,)
    assert [one.setters for one in kind.told] == [(), ()]
    (kind,) = kinds((replace(first, setters=(a,)), replace(second, setters=(b,))))
    assert kind.limit.setters == ()
    assert [one.setters for one in kind.told] == [(a,), (b,)]


def test_a_reference_beside_a_pass_keeps_its_number_and_its_limit(sample_book: Book) -> None:
    first, second = lines(_film(sample_book))[:2]
    beside = tuple(_renumbered(line, f"COA-08/9{n}") for n, line in enumerate((first, second)))
    made = kinds((replace(first, beside=beside[:1]), replace(second, beside=beside[1:])))
    (kind,) = made
    assert [it.limit for it in kind.references] == [beside[0].item.limit]
    assert {line.item.number for line in beside} < set(_numbers(made))


def _renumbered(line: Line, number: str) -> Line:
    return replace(line, item=replace(line.item, number=number))


def test_counted_passes_keep_every_number_and_what_is_to_be_read_beside_them(sample_book: Book) -> None:
    first, second, third, *rest = lines(_film(sample_book))
    beside = _renumbered(second, "COA-08/91")
    noted = replace(third, shared=(Mark("1", "note-1", "a note"),))
    other = replace(second, item=replace(second.item, limit="at least 1 µm"))
    found = (replace(first, beside=(beside,)), other, noted, *rest)
    made = counted_only(found)
    told = [item.number for one in made for item in one.items]
    assert sorted(told) == sorted([*(line.item.number for line in found), "COA-08/91"])
    (with_note,) = [one for one in made if one.shared]
    assert noted.item.number in [item.number for item in with_note.items]
    of_one = [one for one in made if first.item in one.items]
    assert other.item.number in [item.number for item in of_one[0].items], "whatever each limit says"
    assert all(sum(many for _, many in one.quantities) == len(one.items) for one in made)


def test_counted_passes_that_follow_one_another_are_told_as_a_stretch(sample_book: Book) -> None:
    one = lines(_film(sample_book))[0]
    asked = replace(one.item.finding.key, quantity="another")
    other = replace(one, item=replace(one.item, finding=replace(one.item.finding, key=asked)))
    numbered = [_renumbered(one if n % 2 else other, f"COA-08/{n}") for n in (12, 3, 1, 2, 9, 10)]
    (made,) = counted_only(numbered)
    assert [[item.number for item in run] for run in made.runs] == [
        ["COA-08/1", "COA-08/2", "COA-08/3"],
        ["COA-08/9", "COA-08/10"],
        ["COA-08/12"],
    ]
    assert dict(made.quantities) == {one.item.finding.key.quantity: 3, "another": 3}


def test_of_the_limits_those_are_told_whose_marks_are_printed(sample_book: Book) -> None:
    first, second = lines(_film(sample_book))[:2]
    a, b, c = (Mark(sign, f"limit-{sign}") for sign in "abc")
    limits = [Requirement(mark, "1", Term("as specified", Standing.BUILDER), "") for mark in (c, b, a)]
    shown = replace(first, setters=(a,), beside=(replace(second, setters=(c,)),))
    assert [it.mark for it in used_by(limits, (shown,))] == [c, a]
    assert used_by(limits, ()) == ()


def test_every_line_of_the_plan_that_did_not_simply_pass_stays_in_the_table() -> None:
    plan = [
        PlanLine(str(n), "", "", "", "", "", "", "", verdict, Where("plan.csv", n)) for n, verdict in enumerate(Verdict)
    ]
    made = plan_in_short(plan)
    assert [line.verdict for line in made.passed] == [Verdict.PASS]
    assert list(made.table) == [line for line in plan if line.verdict is not Verdict.PASS]
