"""Which limits the printed book lists as one. Synthetic terms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.limit import Term
from buildbook.core.source import Standing
from buildbook.core.where import Where
from buildbook.render.content import Mark, Requirement
from buildbook.render.joined import joined


def _requirement(sign: str, words: str, clause: str, standing: Standing = Standing.BUILDER) -> Requirement:
    term = Term(words, standing, "builder", "inspection plan", "C", clause, at=Where("plan.csv", len(clause)))
    return Requirement(Mark(sign, f"limit-{sign}"), "", term, f"set by builder: inspection plan, {clause}")


def test_limits_that_differ_only_in_their_clause_are_one_and_none_is_lost() -> None:
    one, two, three = (_requirement(sign, "released before", f"line {sign}") for sign in "acd")
    other = _requirement("b", "told beforehand", "line b")
    groups = joined((one, other, two, three))
    assert [group.members for group in groups] == [(one, two, three), (other,)]
    assert groups[0].setter == "set by builder: inspection plan, revision C"


def test_limits_of_another_size_or_standing_are_never_joined() -> None:
    first, second = (_requirement(sign, "at least 3 K", f"line {sign}") for sign in "ab")
    assert len(joined((first, replace(second, limit="at least 5 K")))) == 2
    assert len(joined((first, replace(second, term=replace(second.term, document="data sheet"))))) == 2
    practice = [_requirement(sign, "at least 3 K", "", Standing.PRACTICE) for sign in "cd"]
    assert len(joined(practice)) == 2


@pytest.mark.parametrize(
    ("signs", "told"),
    [
        (("b", "c", "d", "e", "g", "h", "i"), "b–e, g–i"),
        (("a", "c"), "a, c"),
        (("y", "z", "aa", "ab"), "y–ab"),
        (("az", "ba"), "az–ba"),
    ],
)
def test_the_signs_of_all_stand_before_the_line(signs: tuple[str, ...], told: str) -> None:
    (group,) = joined(_requirement(sign, "released before", f"line {n}") for n, sign in enumerate(signs))
    assert group.signs == told
