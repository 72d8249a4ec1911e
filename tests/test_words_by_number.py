"""Words that go by the number beside them, and no sign behind the word `by`. Plain English grammar; no other source."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pytest

from buildbook.core.fault import Fault
from buildbook.core.grammar import counted, off_by
from buildbook.core.where import Where
from buildbook.render.package import Written
from buildbook.terminal import show_written
from tests.demonstration import demonstration
from tests.sample_book import book

ONE_OF_MANY = re.compile(r"(?<![\w.,−/-])1 (?!(?:as|is|was|has|pass|asks|class|less)\b)[a-z]+s\b")
SIGNED = re.compile(r"\b(?:by|above|under|over|more than|less than) −")


def texts(of: object) -> Iterator[str]:
    """Every text of a book."""
    if isinstance(of, str):
        yield of
    elif isinstance(of, dict):
        yield from (text for value in of.values() for text in texts(value))
    elif isinstance(of, (tuple, list, frozenset)):
        yield from (text for value in of for text in texts(value))
    elif is_dataclass(of):
        yield from (text for one in fields(of) for text in texts(getattr(of, one.name)))


def test_one_thing_is_told_in_the_singular_everywhere() -> None:
    every = list(texts(demonstration().book))
    assert any("1 place found" in text for text in every)
    assert any(text.startswith("1 mix, ") for text in every)
    assert [text for text in every if ONE_OF_MANY.search(text)] == []
    assert ONE_OF_MANY.search("44.1 m² of 46.2 m²; 1 places found")


def test_how_far_off_a_value_is_has_a_word_for_its_side_and_no_sign() -> None:
    every = list(texts(demonstration().book))
    assert any(re.search(r"thinnest against the design is blade .*, thinner by [\d.]+ %", text) for text in every)
    assert [text for text in every if SIGNED.search(text)] == []
    assert SIGNED.search("thinnest against the design is blade B4 at 0.95 R, by −2.4 %")


@pytest.mark.parametrize(("number", "words"), [(0, "0 mixes"), (1, "1 mix"), (2, "2 mixes")])
def test_only_one_is_the_singular(number: int, words: str) -> None:
    assert counted(number, "mix", "mixes") == words


def test_what_is_off_by_nothing_has_no_sign() -> None:
    assert off_by(-0.04, 1, "%", "thicker", "thinner") == "thinner by 0.0 %"


@pytest.mark.parametrize(("number", "words"), [(1, "1 fault in the folder"), (2, "2 faults in the folder")])
def test_the_faults_of_a_folder_are_counted_in_words(
    number: int, words: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    faults = tuple(Fault(Where("a.csv", line), "a number", "'x'", "This row is not used.") for line in range(number))
    show_written(replace(book(), faults=faults), Written(tmp_path, (), "digest", "", ()), tmp_path)
    assert words in capsys.readouterr().out
