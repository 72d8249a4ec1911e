"""Record classes: heads, places, plausible ranges. Looked at over all tables of all chapters."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar

import pytest
from pydantic import ValidationError

from buildbook.chapters import CHAPTERS
from buildbook.core.record import InColumn, Record, Table, about, column, head
from buildbook.core.where import Where
from buildbook.readers.units import convert

TABLES = tuple(dict.fromkeys(kind for chapter in CHAPTERS for kind in chapter.tables))


class Sample(Record):
    """A table for these tests."""

    table: ClassVar[Table] = Table("sample.csv", "Samples", "one sample", ("place",), "place")
    place: str = column("Place")
    surface: float = column("Surface", unit="degC", low=-30, high=80, example="18.7")
    margin: float | None = column("Margin", unit="K", difference=True, blank=True)


def sample(**cells: Any) -> Sample:
    return Sample(where=Where("sample.csv", 7), **{"place": "Z1", "surface": 18.7, **cells})


def test_a_head_carries_its_unit():
    assert head(Sample, "surface") == "surface [degC]"
    assert head(Sample, "place") == "place"


def test_a_cell_knows_its_place():
    assert str(sample().cell("surface")) == "sample.csv:7, column 'surface [degC]'"
    assert sample().cell("surface").row == sample().where


def test_columns_leave_out_the_place_in_the_file():
    assert list(Sample.columns()) == ["place", "surface", "margin"]
    assert about(Sample.columns()["margin"], "difference") is True
    assert about(Sample.columns()["surface"], "example") == "18.7"


@pytest.mark.parametrize("surface", [-30.0, 80.0])
def test_the_ends_of_a_plausible_range_belong_to_it(surface):
    assert sample(surface=surface).surface == surface


@pytest.mark.parametrize("cells", [{"surface": -30.1}, {"surface": 80.1}, {"surface": "warm"}, {"other": 1}])
def test_what_is_not_plausible_or_not_a_column_is_refused(cells):
    with pytest.raises(ValidationError):
        sample(**cells)


def test_only_a_column_that_may_be_blank_may_be_left_out():
    assert sample().margin is None
    with pytest.raises(ValidationError):
        Sample(where=Where("sample.csv", 7), place="Z1")


def test_a_row_is_frozen():
    with pytest.raises(ValidationError):
        sample().surface = 3.0  # type: ignore[misc]


# All tables


def test_every_table_has_its_own_file_and_title():
    assert len({kind.table.file for kind in TABLES}) == len(TABLES)
    assert len({kind.table.title for kind in TABLES}) == len(TABLES)
    assert all(kind.table.one_row for kind in TABLES)


@pytest.mark.parametrize("kind", TABLES, ids=lambda kind: kind.table.file)
def test_a_table_names_only_its_own_columns(kind):
    table, columns = kind.table, set(kind.columns())
    named = {*table.key, table.place, table.condition, table.attempt, table.time, table.number} - {""}
    assert named <= columns
    assert table.key
    if table.number:
        assert table.number in table.key


@pytest.mark.parametrize("kind", TABLES, ids=lambda kind: kind.table.file)
def test_every_column_has_a_meaning_a_known_unit_and_an_example_that_fits(kind):
    for name, info in kind.columns().items():
        assert info.description, name
        unit = about(info, "unit")
        if unit:
            assert convert(1.0, unit, unit, difference=bool(about(info, "difference"))) == pytest.approx(1.0)
        if info.is_required():
            assert about(info, "example") != "", f"{name} has to be filled and shows no example"
        other = about(info, "refers")
        if other is not None:
            assert other in TABLES, f"{name} refers to a table that no chapter has"
        for measured, quantity in about(info, "measures").items():
            assert measured in kind.columns(), name
            if isinstance(quantity, InColumn):
                assert kind.columns()[quantity.name].is_required(), name


@pytest.mark.parametrize("kind", TABLES, ids=lambda kind: kind.table.file)
def test_the_examples_make_a_row(kind):
    """Each example as the column's own type reads it; what may be blank is left blank first, then filled."""
    cells = {name: _as_read(info, about(info, "example")) for name, info in kind.columns().items()}
    required = {name: cells[name] for name, info in kind.columns().items() if info.is_required()}
    filled = {name: value for name, value in cells.items() if value != ""}
    where = Where(kind.table.file, 2)
    if kind.table.file == "coating/preparation.csv":
        required |= {"step": "wash"}
    if kind.table.file == "coating/windows.csv":
        required |= {"no_longest": "always abraded"}
    if kind.table.file == "propeller/pitch.csv":
        required |= {"angle": cells["angle"], "height": cells["height"]}
    if kind.table.file == "supports.csv":
        required |= {"instrument": cells["instrument"]}
    if kind.table.file == "effort.csv":
        required |= {"ended": cells["ended"]}  # more days than one need a last one
    if kind.table.file == "parts/register.csv":
        required |= {"item": cells["item"]}  # every number that was used belongs to an item
    assert kind.model_validate({"where": where, **required}).where == where
    assert kind.model_validate({"where": where, **filled}).where == where


def _as_read(info: Any, example: str) -> Any:
    annotation = str(info.annotation)
    if example == "" or "str" in annotation:
        return example
    if "Literal" in annotation and example.isdigit() and f"'{example}'" not in annotation:
        return int(example)
    if "datetime" in annotation:
        return datetime.fromisoformat(example)
    if "date" in annotation:
        return date.fromisoformat(example)
    return example


@pytest.mark.parametrize("kind", TABLES, ids=lambda kind: kind.table.file)
def test_plausible_ranges_are_wide_enough_for_their_example(kind):
    for name, info in kind.columns().items():
        low = next((item.ge for item in info.metadata if hasattr(item, "ge")), None)
        high = next((item.le for item in info.metadata if hasattr(item, "le")), None)
        example = about(info, "example")
        if example and (low is not None or high is not None):
            assert low is None or float(example) >= low, name
            assert high is None or float(example) <= high, name
