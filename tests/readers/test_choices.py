"""What a column holds, told from the record class alone."""

from __future__ import annotations

import pytest

from buildbook.readers.choices import Choices, choices_of, holds, is_number
from tests.readers.synthetic import Log

COLUMNS = Log.columns()


def test_coded_columns_take_their_words_in_every_spelling():
    wet, kind = choices_of(COLUMNS["wet"]), choices_of(COLUMNS["kind"])
    assert (wet.choices, kind.choices) == (("yes", "no"), ("first coat", "top-coat"))
    assert wet.has("TRUE")
    assert kind.has(" First-Coat ")
    assert not kind.has("second coat")
    assert (wet.meant("y"), wet.meant("False"), kind.meant("top coat")) == ("yes", "no", "top-coat")


@pytest.mark.parametrize("name", ["spot", "film", "at", "angle", "day", "number"])
def test_others_take_none(name):
    assert choices_of(COLUMNS[name]) == Choices()
    assert not choices_of(COLUMNS[name]).has("")


def test_what_a_column_holds_in_words():
    told = {name: holds(info) for name, info in COLUMNS.items()}
    assert (told["film"], told["angle"], told["day"], told["at"], told["by"], told["wet"]) == (
        "numbers",
        "numbers",
        "dates",
        "times",
        "any text",
        "one of a few words",
    )
    assert [name for name in COLUMNS if is_number(COLUMNS[name])][:3] == ["attempt", "number", "film"]
