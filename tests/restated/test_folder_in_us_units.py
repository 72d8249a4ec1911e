"""The demonstration as a yard in the United States would write it: the same findings, and told alike the same words."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache

import pytest

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Key
from buildbook.core.shown_units import ShownUnits
from buildbook.pipeline import make_book
from buildbook.restated.book import restated
from tests.demonstration import HULL, demonstration
from tests.in_us_units import in_us_units

# Nine digits do not keep what is asked of the digits themselves, or told of an instrument in its own unit.
OF_DIGITS = ("REG-03", "REG-05")
NUMBER = re.compile(r"[−-]?\d+(?: \d{3})*(?:\.\d+)?")


@pytest.fixture(scope="module")
def written_there(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return make_book(in_us_units(HULL, tmp_path_factory.mktemp("us") / "hull")).book


def by_key(book: Book) -> dict[Key, Numbered]:
    return {item.finding.key: item for item in book.findings}


@cache
def metric() -> dict[Key, Numbered]:
    return by_key(demonstration().book)


def near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=2e-6)  # of differences of numbers up to 1000


def same_words(one: str, other: str) -> bool:
    """Whether texts are alike but for what nine digits leave of a number: its last printed place, or less than 1e-6."""
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    return all(map(same_number, NUMBER.findall(one), NUMBER.findall(other)))


def same_number(one: str, other: str) -> bool:
    first, second = (float(text.replace("−", "-").replace(" ", "")) for text in (one, other))
    places = min(len(text.partition(".")[2]) for text in (one, other))
    return math.isclose(first, second, rel_tol=1e-6) or abs(first - second) <= 1.01 * 10.0**-places


def test_the_findings_are_the_same(written_there: Book) -> None:
    there = by_key(written_there)
    assert there.keys() == metric().keys()
    differing = [(key, item.value, there[key].value) for key, item in metric().items() if differ(item, there[key])]
    assert not differing


def differ(here: Numbered, there: Numbered) -> bool:
    """Whether verdict, rows, instruments, value, U or limit of a finding are not those of another."""
    one, other = here.finding, there.finding
    if one.verdict is not other.verdict or one.key.check in OF_DIGITS:
        return one.verdict is not other.verdict
    if (one.at, one.instruments, one.measured is None) != (other.at, other.instruments, other.measured is None):
        return True
    pairs: list[tuple[float | None, float | None]] = []
    if one.measured is not None and other.measured is not None:
        pairs += [(one.measured.value, other.measured.value), (one.measured.expanded, other.measured.expanded)]
    if one.limit is not None and other.limit is not None:
        pairs += [(one.limit.low, other.limit.low), (one.limit.high, other.limit.high)]
    return not all(near(*pair) for pair in pairs)


@pytest.mark.parametrize("units", ShownUnits)
def test_told_in_the_same_units_they_say_the_same(written_there: Book, units: ShownUnits) -> None:
    here, there = (by_key(restated(replace(book, shown=units))) for book in (demonstration().book, written_there))
    differing = [
        (key, name, one, other)
        for key in here
        if key.check not in OF_DIGITS
        for name, one, other in words_of(here[key], there[key])
        if not same_words(one, other)
    ]
    assert not differing


def words_of(one: Numbered, other: Numbered) -> list[tuple[str, str, str]]:
    """Texts of two findings side by side; of two parts of U of one size either may stand first."""
    names = ("subject", "value", "limit", "verdict", "sentence")
    made = [(name, getattr(one, name), getattr(other, name)) for name in names]
    parts = [", ".join(sorted(re.split(", |: ", item.uncertainty))) for item in (one, other)]
    made.append(("uncertainty", parts[0], parts[1]))
    for name in ("notes", "method", "observed"):
        made.append((name, str(getattr(one.finding, name)), str(getattr(other.finding, name))))
    return [*made, ("told", str(one.told), str(other.told))]
