"""What keeps a book from being shown: in words, in the order asked for, with who has to do what. Invented data."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.daily import daily
from buildbook.readers.persons import MAY_BE_A_NAME
from buildbook.ready.readiness import Part, Readiness, readiness
from tests import growing
from tests.demonstration import demonstration

ORDER = [
    "open", "unreported", "gaps", "faults", "private", "state", "stays", "pictures", "documents", "sentences", "later",
]  # fmt: skip


def of(book: Book) -> Readiness:
    return readiness(book, daily(book))


def part(ready: Readiness, key: str) -> Part:
    return next(one for one in ready.parts if one.key == key)


@pytest.fixture(scope="module")
def demo() -> Readiness:
    return of(demonstration().book)


@pytest.fixture(scope="module")
def moulded() -> Readiness:
    return of(growing.moulded().book)


def test_the_parts_stand_in_their_order_with_who_does_what(demo: Readiness, moulded: Readiness) -> None:
    for ready in (demo, moulded):
        assert [one.key for one in ready.parts] == ORDER
        barring = [item for one in ready.parts if one.bars for item in one.items]
        assert barring
        assert [item for item in barring if not (item.who and item.todo and item.where)] == []


def test_who_has_to_do_it_goes_by_what_is_to_be_done(demo: Readiness) -> None:
    """Filling in a paper is for the quality office, measuring for who measures."""
    asked = {item.todo: item.who for item in part(demo, "gaps").items}
    measured = {who for todo, who in asked.items() if todo.startswith("Measure")}
    written = {who for todo, who in asked.items() if todo.startswith(("Fill in", "Add the record", "Find out"))}
    assert (measured, written) == ({"whoever measures"}, {"the quality office"})
    by_file = {item.where.partition(":")[0]: item.who for item in part(demo, "gaps").items}
    assert by_file["batches.csv"] == by_file["shafting/rudder_stocks.csv"] == "the quality office"
    assert by_file["systems/seacocks.csv"] == "whoever measures"


def test_the_answer_is_words_and_names_each_part_that_stands_in_the_way_regression(demo: Readiness) -> None:
    # 18 before NCR-02 and NCR-05 were read as reports of the coat beside the same hole, and of the gloss meter's day
    assert (
        demo.answer == "Not as it is. What stands in the way: 1 under “open matters” and 16 under “gaps that are due”."
    )


def test_a_fail_without_a_report_is_told_apart_from_an_open_report_regression(
    demo: Readiness, moulded: Readiness
) -> None:
    assert (len(part(demo, "open").items), part(demo, "unreported").items) == (1, ())
    assert "NCR-04" in part(demo, "open").items[0].todo
    assert part(moulded, "open").items == ()
    assert len(part(moulded, "unreported").items) > 3


def test_what_is_not_due_is_told_last_and_never_as_a_gap(demo: Readiness, moulded: Readiness) -> None:
    assert [item.what.split(":")[0] for item in part(moulded, "later").items] == [
        "From fitting out", "From painted", "From launched", "From on trial", "From delivered",
    ]  # fmt: skip
    assert part(demo, "later").items == ()
    gaps = " ".join(item.what for item in part(moulded, "gaps").items)
    assert "Not due" not in gaps


def test_an_unfinished_boat_is_called_that(moulded: Readiness) -> None:
    told = " ".join(item.what for item in part(moulded, "state").items)
    assert "She is not finished: this is how she stood on 2025-12-15, out of the mould." in told
    assert "Every page says Draft" in told


def test_a_fault_and_a_name_keep_it_from_being_shown() -> None:
    book = demonstration().book
    fault = Fault(Where("coating/gloss.csv", 5, "gloss [GU]"), "a number", "'x'", "This row is not used.")
    name = Fault(
        Where("plan.csv", 3, "released_by"), "a role", f"something longer, {MAY_BE_A_NAME}", "", Severity.NOTICE
    )
    ready = of(replace(book, faults=(fault, name), matters=()))
    assert [item.where for item in part(ready, "faults").items] == ["coating/gloss.csv:5, column 'gloss [GU]'"]
    assert [item.where for item in part(ready, "private").items] == ["plan.csv:3, column 'released_by'"]
    assert "1 under “faults that hide data” and 1 under “private things still visible”" in ready.answer
    coating = next(one for one in ready.chapters if one.title == "Preparation and paint")
    assert (coating.questions, coating.whole) == (0, False)


def test_pictures_without_words_of_their_own_are_told() -> None:
    book = demonstration().book
    photo = replace(book.photographs[0], alternative=book.photographs[0].caption)
    ready = of(replace(book, photographs=(photo,), unused_files=("photographs/stern.JPG", "notes.txt")))
    first, second = part(ready, "pictures").items
    assert first.what.startswith(photo.file)
    assert second.what.startswith("photographs/stern.JPG")


def test_documents_that_are_only_named_do_not_bar_it(demo: Readiness) -> None:
    documents = part(demo, "documents")
    table = (Path(__file__).parents[2] / "demo_build" / "hull" / "documents.csv").read_text("utf-8").splitlines()
    only_named = [line for line in table[1:] if line.split(",")[-2] == ""]
    assert (len(documents.items), documents.bars) == (len(only_named), False)


def test_sentences_that_may_not_be_used_say_why(demo: Readiness) -> None:
    sentences = part(demo, "sentences")
    listing = demonstration().book.listing
    assert len(sentences.items) + int(sentences.more.split()[1]) == len(listing.withheld)
    assert any("not closed" in item.what or "Open, or closed" in item.what for item in sentences.items)


def test_a_book_without_any_of_it_may_be_shown() -> None:
    book = demonstration().book
    ready = of(replace(book, faults=(), matters=(), unused_files=()))
    assert ready.answer == "Nothing that this program can see keeps her book from being shown."
    assert [one.whole for one in ready.chapters] == [True] * len(book.chapters)
