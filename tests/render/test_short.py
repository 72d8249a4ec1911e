"""What the printed book tells in short lines: nothing is lost, and only what is alike stands under one head."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Book, Numbered, PlanLine
from buildbook.core.finding import Verdict
from buildbook.core.where import Where
from buildbook.render.content import Line, Mark, lines
from buildbook.render.short import Kind, kinds, plan_in_short


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


def test_every_line_of_the_plan_that_did_not_simply_pass_stays_in_the_table() -> None:
    plan = [
        PlanLine(str(n), "", "", "", "", "", "", "", verdict, Where("plan.csv", n)) for n, verdict in enumerate(Verdict)
    ]
    made = plan_in_short(plan)
    assert [line.verdict for line in made.passed] == [Verdict.PASS]
    assert list(made.table) == [line for line in plan if line.verdict is not Verdict.PASS]
