"""Values that are told alike in the units of the columns, and are not once converted: each keeps its own figures.

Everything is synthetic. What a value is in inches is asked of pint; its digits follow those of its U (two of them).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.core.book import Book, Numbered
from buildbook.core.decide import decide
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.finding_words import result_text, sentence_on
from buildbook.core.limit import Limit, Term
from buildbook.core.matter import Matter, State
from buildbook.core.quantity import Part, Quantity
from buildbook.core.shown_units import ShownUnits
from buildbook.core.source import Standing
from buildbook.core.wording import limit_text, uncertainty_text
from buildbook.restated.book import restated
from buildbook.restated.figures import finding_in
from buildbook.restated.texts import Telling
from tests.restated.test_converted_figures import FIGURE, by_pint, number, rounded_from, step_of
from tests.sample_book import without_listing

SPECIFIED = (Term("thickness", Standing.BUILDER, "builder", "SPEC-07", "C"),)
TOLD = "50.0 ± 1.2 mm"
# Each told so, by the digits of its U; in inches 1.9670, 1.9701, 1.9685 ± 0.0472.
VALUES = {"LAM-07/1": 49.962, "LAM-07/2": 50.041, "INF-04/1": 50.0}
IN_INCHES = {"LAM-07/1": "1.967 ± 0.047 in", "LAM-07/2": "1.970 ± 0.047 in", "INF-04/1": "1.969 ± 0.047 in"}


def found(check: str, measured: Quantity, limit: Limit) -> Finding:
    decision = decide(measured, limit)
    return Finding(
        Key(check, "thickness", "Z1"), decision.verdict, measured, limit, margin=decision.margin, guard=decision.guard
    )


def item(name: str) -> Numbered:
    """One finding of this number, beside which its value is told once more."""
    measured = Quantity.combined(VALUES[name], "mm", (Part("certificate", 0.6),))
    finding = found(name.partition("/")[0], measured, Limit("mm", SPECIFIED, low=60.0))
    value, limit = result_text(finding), limit_text(finding.limit)
    sentence, uncertainty = sentence_on(finding, "Topsides"), uncertainty_text(finding.measured)
    return Numbered(name, name, finding, "Topsides", value, limit, "fail", "", sentence, (f"Was {TOLD}.",), uncertainty)


@pytest.fixture(scope="module")
def before() -> Book:
    """A book of three findings told alike, two of one check, and of one matter that tells all three."""
    made = without_listing()
    items = tuple(map(item, VALUES))
    of = {check: tuple(it for it in items if it.number.startswith(check)) for check in ("LAM-07", "INF-04")}
    first = made.chapters[0].checks[1]
    checks = tuple(
        replace(first, id=check, answer=f"It is {TOLD}.", governing=its, nearest=its[0]) for check, its in of.items()
    )
    chapter = replace(made.chapters[0], checks=checks, nearest=items[0])
    numbers = ("LAM-07/1", "INF-04/1")
    matter = Matter(State.OPEN, f"It is {TOLD}.", "", (), numbers, ())
    return replace(made, chapters=(chapter,), exceptions=items, matters=(matter,), shown=ShownUnits.US)


@pytest.fixture(scope="module")
def after(before: Book) -> Book:
    return restated(before)


def test_the_figures_above_are_those_of_pint(before: Book) -> None:
    assert {it.value for it in before.findings} == {TOLD}
    for name, value in VALUES.items():
        figure = FIGURE.fullmatch(IN_INCHES[name])
        assert figure is not None
        assert rounded_from(figure["number"], by_pint(value, "mm", "inch"), 0.001, "inch")
        assert rounded_from(figure["within"], by_pint(1.2, "mm", "inch"), 0.001, "inch")


def test_each_finding_is_told_with_its_own_figures_wherever_its_value_stands(after: Book) -> None:
    assert {it.number: it.value for it in after.findings} == IN_INCHES
    assert {it.number: it.told for it in after.findings} == {name: (f"Was {us}.",) for name, us in IN_INCHES.items()}


def test_where_nobody_can_tell_which_of_several_is_meant_it_is_converted_as_it_was_told(after: Book) -> None:
    """50.0 mm are 1.9685 in. The other check has one such value, whose figures stand."""
    assert rounded_from("1.969", by_pint(50.0, "mm", "inch"), 0.001, "inch")
    assert {check.answer for chapter in after.chapters for check in chapter.checks} == {"It is 1.969 ± 0.047 in."}
    assert after.in_short == without_listing().in_short


def test_a_matter_has_the_figures_of_the_finding_that_weighs_most(after: Book) -> None:
    """And not those of another check, where one value alone is told so."""
    assert [matter.what for matter in after.matters] == [f"It is {IN_INCHES['LAM-07/1']}."]


@pytest.mark.parametrize(("value", "end"), [(881.59, 881.58), (881.583, 881.582)])
def test_digits_enough_for_the_outcome_where_the_usual_ones_would_turn_it_round(value: float, end: float) -> None:
    """A reading above its largest value: 34.70827 in above 34.70787 in, with five digits both are 34.708 in."""
    above = found("PRP-04", Quantity(value, "mm"), Limit("mm", SPECIFIED, high=end))
    told = finding_in(above, Telling("PRP-04"))
    assert above.verdict is told.verdict is Verdict.FAIL
    reading, limit = FIGURE.search(result_text(told)), FIGURE.search(limit_text(told.limit))
    assert reading is not None
    assert limit is not None
    assert number(reading["number"]) > number(limit["number"])
    for figure, exact in ((reading, value), (limit, end)):
        assert figure["unit"] == "in"
        assert rounded_from(figure["number"], by_pint(exact, "mm", "inch"), step_of(figure["number"]), "inch")
        assert round(by_pint(exact, "mm", "inch"), 3) == pytest.approx(34.708)
