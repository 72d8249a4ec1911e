"""A hull kept in workbooks gives the book that the same hull gives in files of text, but for where its rows stand."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace

import pytest

from buildbook.core.fault import Severity
from buildbook.core.finding import Finding
from buildbook.pipeline import Made, make_book
from tests.as_workbooks import as_workbooks
from tests.demonstration import demonstration
from tests.end_to_end.spoiling import HULL

# The sheet of a place, as Python writes it, and a place in words.
SHEET = re.compile(r"sheet='[^']*'")
IN_WORDS = re.compile(r"[\w/]+\.xlsx\[([\w.]+)\]")


@pytest.fixture(scope="module", params=["chapters", "one each"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    folder = tmp_path_factory.mktemp("books") / "hull"
    shutil.copytree(HULL, folder)
    return make_book(as_workbooks(folder, one_each=request.param == "one each"))


def told(finding: Finding) -> str:
    """All of a finding, its places named as in files of text."""
    return places(repr(finding))


def places(text: str) -> str:
    def file(match: re.Match[str]) -> str:
        return (
            match[1].replace(".", "/") + ".csv" if match[1] != "readings" else match[0].partition(".xlsx")[0] + ".csv"
        )

    return SHEET.sub("sheet=''", IN_WORDS.sub(file, text))


def test_every_finding_is_the_same(made: Made) -> None:
    before = {finding.key: finding for finding in demonstration().findings}
    after = {finding.key: finding for finding in made.findings}
    assert before.keys() == after.keys()
    assert {key for key in before if told(before[key]) != told(after[key])} == set()


def test_every_row_stands_in_a_workbook(made: Made) -> None:
    rows = [where for finding in made.findings for where in finding.at if where.file.endswith(".csv")]
    assert rows
    assert all(".xlsx[" in where.sheet for where in rows)
    before = {where.row for finding in demonstration().findings for where in finding.at}
    assert {replace(where, sheet="").row for where in rows} <= before


def test_matters_answers_and_faults_are_the_same(made: Made) -> None:
    before, after = demonstration().book, made.book
    assert [places(repr(matter)) for matter in after.matters] == [places(repr(matter)) for matter in before.matters]
    assert [chapter.answer for chapter in after.chapters] == [chapter.answer for chapter in before.chapters]
    assert after.in_short == before.in_short
    assert [fault for fault in after.faults if fault.severity is Severity.FAULT] == []
    # in text one table is in another encoding; a workbook has but one
    assert len(after.faults) == len(before.faults) - 1


def test_tables_say_where_they_stand_and_are_received_once(made: Made) -> None:
    for view in made.book.tables:
        if view.rows:
            assert view.workbook.endswith(".xlsx")
            assert (view.received in made.received) != (view.file in made.book.copies)
    assert not any(name.endswith(".csv") and name not in made.book.copies.values() for name in made.received)
    assert made.book.unused_files == ()
