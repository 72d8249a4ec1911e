"""A comparison told in US units: the same outcomes and data, and no metric unit but in what stays."""

from __future__ import annotations

import re
from functools import cache

import pytest

from buildbook.core.shown_units import ShownUnits
from buildbook.second.comparing import Compared, compare
from buildbook.second.in_units import in_units
from buildbook.second.reading import read_both
from buildbook.second.write import CSV, JSON, PAGE, contents
from tests.demonstration import HULL
from tests.page_texts import texts_of
from tests.restated.test_converted_figures import FIGURE, PRINTED, by_pint, rounded_from, step_beside, step_of
from tests.restated.test_pages_in_us_units import METRIC
from tests.restated.test_pairs import LOOSER, PINT

# Quoted words of both parties, and the grades of balance, which are named by their unit.
STAYS = re.compile(r"“[^”]*”|\b[Bb]ars?\b|\d mm/s(?= \(at \d+ r/min\)|: pass|, at most 2\.5|: fail)")


@cache
def compared() -> Compared:
    return compare(*read_both(HULL, HULL.parent / "survey", lambda _: None))


@cache
def told(units: ShownUnits) -> dict[str, bytes]:
    return contents(compared(), pdf=False, units=units)[0]


def test_the_data_are_the_same() -> None:
    for name in (JSON, CSV):
        assert told(ShownUnits.US)[name] == told(ShownUnits.METRIC)[name]


def test_no_metric_unit_is_left_on_the_page() -> None:
    page = re.sub(r"</?n-b\b[^>]*>", "", told(ShownUnits.US)[PAGE].decode("utf-8"))
    read = texts_of(page)
    texts = (*(block.text for block in read.blocks), *read.spoken)
    assert not [text for text in texts if METRIC.search(STAYS.sub("", text))]
    assert METRIC.search(told(ShownUnits.METRIC)[PAGE].decode("utf-8"))


def test_numbers_fit_as_before() -> None:
    """En has no unit: the difference over the combined uncertainty is the same number in any."""
    us = {pair.number: pair for pair in in_units(compared(), ShownUnits.US).comparison.pairs}
    converted = 0
    for pair in compared().comparison.pairs:
        other = us[pair.number]
        assert (pair.outcome, pair.en, pair.both_outside) == (other.outcome, other.en, other.both_outside)
        converted += pair.yard.unit != other.yard.unit
        if other.difference is not None and other.yard.value is not None and other.surveyor.value is not None:
            assert other.surveyor.value - other.yard.value == pytest.approx(other.difference, rel=1e-9, abs=1e-9)
        if other.en is not None and other.joint and other.difference is not None:
            assert other.difference / other.joint == pytest.approx(other.en, rel=1e-9, abs=1e-9)
    assert converted > 20


def test_both_sides_of_each_pair_are_those_of_pint() -> None:
    us = {pair.number: pair for pair in in_units(compared(), ShownUnits.US).comparison.pairs}
    looked_at = 0
    for pair in compared().comparison.pairs:
        for side, other in ((pair.yard, us[pair.number].yard), (pair.surveyor, us[pair.number].surveyor)):
            if side.value is None or side.unit == other.unit:
                continue
            unit, near = PINT.get(other.unit, other.unit), LOOSER.get(other.unit, 1e-12)
            assert other.value == pytest.approx(by_pint(side.value, side.unit, unit), rel=near), pair.number
            for across, told_as in ((side.expanded, other.expanded), (side.standard, other.standard)):
                wanted = None if across is None else by_pint(across, side.unit, unit, difference=True)
                assert told_as == pytest.approx(wanted, rel=near), pair.number
            looked_at += 1
    assert looked_at > 40


def test_the_text_of_each_side_tells_its_own_value_with_the_figures_of_pint() -> None:
    us = {pair.number: pair for pair in in_units(compared(), ShownUnits.US).comparison.pairs}
    looked_at, apart = 0, 0
    for pair in compared().comparison.pairs:
        sides = ((pair.yard, us[pair.number].yard), (pair.surveyor, us[pair.number].surveyor))
        for side, other in sides:
            if side.value is None or side.unit == other.unit:
                assert FIGURE.sub("", other.text) == FIGURE.sub("", side.text), pair.number
                continue
            found = FIGURE.search(other.text)
            assert found is not None, (pair.number, other.text)
            step = step_beside(found["within"]) if found["within"] else step_of(found["number"])
            exact, unit = by_pint(side.value, side.unit, PRINTED[found["unit"]]), PRINTED[found["unit"]]
            assert rounded_from(found["number"], exact, step, unit), (pair.number, side.text, other.text)
            looked_at += 1
        apart += sides[0][1].text != sides[1][1].text
    assert looked_at > 40
    assert apart > 20
