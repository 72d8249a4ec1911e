"""Words of units without a number in figures: each has a wording by hand, whose sums come out, or stays as written."""

from __future__ import annotations

import csv
import re
from functools import cache
from pathlib import Path

import pint
import pytest

from buildbook.render.prose import prose
from buildbook.restated.pairs import FOLDER
from tests.page_texts import texts_of
from tests.restated.test_pages_in_us_units import NAMES, metric_pages, own_words, pages

ROOT = FOLDER.parents[1]
FIGURE = r"\d+(?:[.,]\d+)*"
# `foot`, `yard` and `degrees` mean other things on these pages, so only `feet` and phrases tell of them.
US_WORD = re.compile(
    rf"(?<!\w)(?P<figure>{FIGURE}[ \u00a0\n])?(?P<word>(?:square |cubic )?(?:inch(?:es)?|feet)|mils?|gallons?|ounces?|"
    r"pounds?|degrees Fahrenheit|microinch(?:es)?|(?:each|square|per|a) (?:foot|yard))(?![\w-])",
    re.IGNORECASE,
)
PINT = {"mm/m": "millimeter/meter", "mil/ft": "thou/foot", "in/s": "inch/second", "in": "inch", "°F": "delta_degF"}


@cache
def phrases() -> tuple[dict[str, str], ...]:
    with (FOLDER / "phrases.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def sums() -> list[tuple[str, str]]:
    return [(row["us"], text) for row in phrases() for text in filter(None, row["sums"].split("; "))]


@pytest.mark.parametrize(("wording", "text"), sums())
def test_the_sums_of_a_wording_come_out(wording: str, text: str) -> None:
    """By pint's own registry, rounded to the digits that are told."""
    registry: pint.UnitRegistry = pint.UnitRegistry()
    (given, unit), (told, us) = (side.split(" ", 1) for side in text.split(" = "))
    exact = registry.Quantity(float(given), _named(unit)).to(_named(us)).magnitude
    assert exact == pytest.approx(float(told), abs=0.5 * 10.0 ** -len(told.partition(".")[2]) + 1e-12), wording


def _named(unit: str) -> str:
    return PINT.get(unit, unit).replace("²", "**2").replace("in**2", "inch**2")


def test_every_figure_of_a_wording_has_its_sum() -> None:
    rounder = {"28.00", "28.22", "32"}  # with a zero or a step more, as the reason says; and where water freezes
    for row in phrases():
        right = set(re.findall(rf"= ({FIGURE})", row["sums"])) | set(re.findall(FIGURE, row["metric"]))
        assert set(re.findall(FIGURE, row["us"])) <= right | rounder, row["us"]
        assert row["reason"], row["metric"]


def test_the_example_told_by_hand_comes_out() -> None:
    """28.22 in against 28.00 in within 0.28 in: 0.28 − 0.22 = 0.06 in inside, less than U of 0.12 in."""
    assert pytest.approx(0.06) == 28.00 + 0.28 - 28.22


def test_every_wording_is_still_said_somewhere() -> None:
    kinds = ("buildbook/**/*.py", "templates/**/*.md", "buildbook/sources/tables/*.csv")
    files = (path for kind in kinds for path in ROOT.glob(kind))
    said = " ".join(" ".join(_words(path) for path in files).split()).lower()
    assert not [row["metric"] for row in phrases() if row["metric"].lower() not in said]


def _words(path: Path) -> str:
    return path.read_text("utf-8")


@cache
def _entries() -> frozenset[str]:
    """Texts of the glossary that say what a US unit is, and of the list of what stays."""
    made = [prose(f"words/{name}", str).pieces for name in ("us-glossary", "us-units")]
    return frozenset(" ".join(f"{it.heading} {it.text.striptags()}".split()) for pieces in made for it in pieces)


@pytest.mark.parametrize("name", NAMES)
def test_a_word_of_a_unit_without_figures_was_written_by_hand_or_stays(name: str) -> None:
    by_hand = re.compile("|".join(re.escape(row["us"]) for row in phrases()), re.IGNORECASE)
    metric = {" ".join(text.split()) for text in own_words(metric_pages()[name])}
    left = []
    for text in own_words(pages()[name]):
        text = " ".join(text.split())
        if text not in metric:  # a text without a figure or a wording by hand is told as it was written
            if any(text in entry for entry in _entries()):
                continue
            rest = re.sub(rf"{FIGURE} mil for each foot", "", by_hand.sub("", text))
            left += [(found[0], text) for found in US_WORD.finditer(rest) if not found["figure"]]
    before = " ".join(metric).lower()
    assert not [(word, text) for word, text in left if word.lower() not in before]


def test_the_search_finds_words_without_figures() -> None:
    """So that it cannot pass by finding nothing."""
    assert [found["figure"] for found in US_WORD.finditer("a few inches; 3 inches; in mils")] == [None, "3 ", None]


@pytest.mark.parametrize("name", NAMES)
def test_no_article_is_wrong(name: str) -> None:
    told = " ".join(block.text for block in texts_of(pages()[name]).blocks)
    assert not re.search(r"\b(?:a (?:inch|ounce)|an (?:mil|gallon|foot|pound))\b", told)
