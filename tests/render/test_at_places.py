"""The list beside a drawing of her: the order of its lines, what is folded away, the words for how a place stands."""

from __future__ import annotations

import pytest

from buildbook.core.finding import Verdict
from buildbook.core.her_marks import PlaceLine
from buildbook.core.where import Where
from buildbook.render.at_places import ALL_RIGHT, ANOTHER_RIGHT, FEW, NOTHING_JUDGED, besides, parted

PASSED = tuple(range(20, 21 + FEW))


def line(number: int, verdict: Verdict | None, *, findings: tuple[str, ...] = (), put_right: bool = False) -> PlaceLine:
    """SYNTHETIC."""
    at = Where("places.csv", number)
    return PlaceLine(number, f"Z{number}", "", None, None, None, verdict, findings, at, put_right=put_right)


def numbers(lines: tuple[PlaceLine, ...]) -> list[int]:
    return [it.number for it in lines]


WORDS: dict[tuple[Verdict | None, bool], str] = {
    **{(verdict, False): "" for verdict in Verdict},
    (None, False): NOTHING_JUDGED,
    (None, True): ALL_RIGHT,
    (Verdict.PASS, True): ALL_RIGHT,
    (Verdict.CONDITIONAL_PASS, True): ALL_RIGHT,
    (Verdict.INFORMATION, True): ALL_RIGHT,
    (Verdict.NOT_APPLICABLE, True): ALL_RIGHT,
    (Verdict.FAIL, True): ANOTHER_RIGHT,
    (Verdict.CONDITIONAL_FAIL, True): ANOTHER_RIGHT,
    (Verdict.INCONCLUSIVE, True): ANOTHER_RIGHT,
    (Verdict.NOT_MEASURED, True): ANOTHER_RIGHT,
    (Verdict.NO_RECORD, True): ANOTHER_RIGHT,
}


@pytest.mark.parametrize("verdict", [None, *Verdict])
@pytest.mark.parametrize("put_right", [False, True])
def test_each_verdict_has_its_words_with_and_without_what_was_put_right(verdict: Verdict | None, put_right: bool):
    assert besides(line(1, verdict, put_right=put_right)) == WORDS[verdict, put_right]


def test_what_was_not_measured_is_never_said_to_be_put_right():
    """The words name another thing as the one that was put right: nothing can be put right that nobody measured."""
    for verdict in (Verdict.NOT_MEASURED, Verdict.NO_RECORD, Verdict.INCONCLUSIVE):
        assert besides(line(1, verdict, put_right=True)).startswith("something else ")


def test_what_did_not_simply_pass_stands_first_the_worst_before_the_rest():
    lines = (
        line(1, Verdict.PASS, put_right=True),
        line(2, Verdict.CONDITIONAL_PASS),
        line(3, Verdict.FAIL, findings=("A-01/1",)),
        line(4, Verdict.NOT_MEASURED),
        line(5, Verdict.FAIL, findings=("A-01/2",)),
        line(6, Verdict.PASS, findings=("A-01/3",)),
        line(7, None, put_right=True),
        *(line(number, Verdict.PASS) for number in PASSED),
        line(40, None),
        line(41, Verdict.INFORMATION),
    )
    made = parted(lines)
    assert numbers(made.told) == [3, 5, 4, 2, 1, 7, 6]
    assert numbers(made.passed) == list(PASSED)
    assert numbers(made.unjudged) == [40, 41]


def test_every_line_stands_in_exactly_one_part():
    lines = tuple(
        line(n, verdict, put_right=put_right)
        for n, (verdict, put_right) in enumerate(WORDS, 1)
    ) + tuple(line(n, Verdict.PASS) for n in range(40, 60))  # fmt: skip
    made = parted(lines)
    assert sorted(numbers((*made.told, *made.passed, *made.unjudged))) == numbers(lines)


def test_a_few_that_passed_stay_in_the_table():
    lines = tuple(line(number, Verdict.PASS) for number in range(1, FEW + 1))
    assert parted(lines).told == lines
    assert parted((*lines, line(9, Verdict.PASS))).told == ()
