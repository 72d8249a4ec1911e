"""What one side looked at before it was due, in a comparison. Both sides are made up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.finding import Finding, Verdict
from buildbook.core.shown_units import ShownUnits
from buildbook.core.stage import Stage, not_due
from buildbook.second.comparing import compare
from buildbook.second.in_units import in_units
from tests.second.parties import KEY, party


@pytest.mark.parametrize(
    ("shown", "told_as"), [("metric", "3 of 20 gaps of 0.5 mm"), ("us", "3 of 20 gaps of 0.0197 in")]
)
def test_what_is_not_due_yet_is_said_so_on_either_side(shown: str, told_as: str) -> None:
    """A side that was looked at before it had to be is not one with nothing to say. Half a millimetre is 0.0197 in."""
    looked = Finding(KEY, Verdict.NO_RECORD, observed="3 of 20 gaps of 0.5 mm")
    later, due = not_due(looked, Stage.LAUNCHED), replace(looked, verdict=Verdict.FAIL)
    for yard, his in ((later, due), (due, later)):
        comparison = in_units(compare(party(yard), party(his)), ShownUnits(shown)).comparison
        (pair,) = (*comparison.pairs, *comparison.in_words)
        said = [f"{told_as} (not due yet)" if it is later else told_as for it in (yard, his)]
        assert [pair.yard.text, pair.surveyor.text] == said
