"""Under a chart whose axis gives places by their ids stand their names. Synthetic book."""

from __future__ import annotations

from buildbook.core.chart import Axis, Chart
from buildbook.render.content import places_told
from tests import sample_book


def chart(*categories: str) -> Chart:
    axis = Axis("zone", kind="category", categories=categories)
    return Chart("COA-08-film", "COA-08", "Film", "Film by zone", axis, Axis("film", "um"), ())


def test_places_of_the_axis_are_named_once_in_the_order_of_their_table() -> None:
    book = sample_book.book()
    first, second = book.places[0], book.places[1]
    told = places_told(book, chart(f"{second.place} again", second.place, first.place))
    assert told == f"{first.place} {first.name}; {second.place} {second.name}"


def test_an_axis_of_other_things_is_left_alone() -> None:
    book = sample_book.book()
    assert places_told(book, chart(f"{book.places[0].place}-2", "topcoat")) == ""
