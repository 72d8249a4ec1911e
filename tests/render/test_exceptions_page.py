"""The page of exceptions: by how each thing stands, with its rows and its report. Synthetic book."""

from __future__ import annotations

from dataclasses import replace

from buildbook.core.book import Book
from buildbook.core.matter import Matter, State
from buildbook.render.first import exceptions_page
from buildbook.render.package import contents
from tests.render.site_reader import read_page, squeezed
from tests.sample_book import received


def reworked(book: Book) -> Book:
    """The same book, where the report belongs to the failed finding and names another one as its result."""
    failed, later = book.exceptions[0], book.chapters[0].checks[0].governing[-1]
    assert later not in book.exceptions
    rest = tuple(Matter(State.CLOSE, it.sentence, "", (), (it.number,), ()) for it in book.exceptions[1:])
    first = Matter(State.PUT_RIGHT, failed.sentence, "After rework.", (), (failed.number,), ("NCR-01",))
    report = replace(book.reports[0], findings=(failed.number, later.number))
    return replace(book, matters=(first, *rest), reports=(report,))


def test_the_later_result_stands_behind_the_first_one(sample_book: Book) -> None:
    book = reworked(sample_book)
    page = exceptions_page(book)
    put_right, close = page.standings
    assert put_right.group.state is State.PUT_RIGHT
    assert [line.item.number for line in put_right.lines] == list(book.reports[0].findings)
    assert put_right.reports == book.reports
    assert page.others == ()
    assert {line.item.number for line in close.lines} == {item.number for item in book.exceptions[1:]}


def test_a_report_that_no_exception_has_is_still_there(sample_book: Book) -> None:
    assert exceptions_page(sample_book).others == sample_book.reports


def test_each_entry_links_its_rows_and_its_report(sample_book: Book) -> None:
    book = reworked(sample_book)
    files, *_ = contents(book, received(), pdf=False)
    text = files["exceptions.html"].decode("utf-8")
    page = read_page(text)
    assert page.faults == []
    assert "report-ncr-01" in page.ids
    addresses = [address for _, address in page.addresses]
    assert "#report-ncr-01" in addresses
    behind = [(item.number, item.finding.at[0]) for item in book.exceptions if item.finding.at]
    assert len(behind) > 2
    for number, where in behind:
        table = next(table for table in book.tables if table.file == where.file)
        assert f"evidence/{table.anchor}.html#L{where.line}" in addresses, number
    words = squeezed(page.text)
    assert "Put right and measured again: 1" in words
    assert f"Inside the limit without a clear margin: {len(book.exceptions) - 1}" in words
