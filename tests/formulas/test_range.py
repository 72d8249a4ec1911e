"""A refusal names the argument, its value and the range, in words that can be printed."""

from __future__ import annotations

import math

import pytest

from buildbook.formulas import Malformed, OutOfRange, require_range


@pytest.mark.parametrize(
    ("value", "ends", "words"),
    [
        (
            101.0,
            {"low": 0.0, "high": 100.0, "above": True},
            "humidity is 101; the formula holds for above 0 and up to 100 %",
        ),
        (-1.0, {"low": 0.0}, "humidity is -1; the formula holds for 0 or more %"),
        (0.0, {"low": 0.0, "above": True}, "humidity is 0; the formula holds for above 0 %"),
        (6.0, {"high": 5.0}, "humidity is 6; the formula holds for 5 or less %"),
        (math.nan, {}, "humidity is nan; the formula holds for finite numbers only %"),
    ],
)
def test_words_of_a_refusal(value, ends, words):
    with pytest.raises(OutOfRange) as caught:
        require_range("humidity", value, "%", **ends)
    assert str(caught.value) == words


def test_ends_belong_to_the_range():
    require_range("humidity", 100.0, "%", 0.0, 100.0)
    require_range("humidity", 0.0, "%", 0.0, 100.0)


def test_a_malformed_text_lists_all_its_problems():
    error = Malformed("fracture", "30 % B", ("one", "two"))
    assert str(error) == "fracture “30 % B”: one; two"
    assert error.problems == ("one", "two")
