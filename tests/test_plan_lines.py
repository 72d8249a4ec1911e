"""The lists beside the chapters, and the order in which findings stand. All rows are synthetic."""

from __future__ import annotations

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.chapters.coating.records import FilmReading
from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.core.book import Numbered
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Verdict
from buildbook.core.natural import natural
from buildbook.listings import plan_lines
from buildbook.pipeline import judge
from buildbook.readers.rows import validate
from buildbook.readers.table import read_table
from tests.chapters.evidence_builder import evidence

FILM = "coating/film_thickness.csv"


def given(folder: Evidence) -> dict[Key, Numbered]:
    """Every finding with its value as it stands in the book, without numbers."""
    return {
        f.key: Numbered("", "", f, "", f.observed or f.verdict.value, "", f.verdict.value, "", "", (), "")
        for f in judge(folder, CHAPTERS)
    }


def line(name, **more):
    return {"line": name, "check": "COA-08", "record": FILM, "point": "monitor", **more}


def test_a_line_of_the_plan_is_as_bad_as_the_worst_that_is_asked_of_it():
    """The film was measured, but the next coat went on before the hold point was released."""
    late = {"point": "hold", "released_on": "2026-03-19 10:00", "released_by": "QA KL", "went_on": "2026-03-19 09:00"}
    in_time = {**late, "released_on": "2026-03-19 08:00"}
    plan = [line("L-1", **in_time), line("L-2", **late), line("L-3", record="gloss.csv", check="COA-11", place="Z9")]
    folder = evidence({FilmReading: [{"zone": "Z1", "number": 1}], Planned: plan})
    lines = plan_lines(folder, given(folder))
    assert [(one.line, one.verdict) for one in lines] == [
        ("L-3", Verdict.NOT_MEASURED),  # what is missing comes first
        ("L-2", Verdict.FAIL),
        ("L-1", Verdict.PASS),
    ]
    assert lines[1].recorded.startswith("recorded: 1 readable row")
    assert "release of the hold point: released 2026-03-19 10:00" in lines[1].recorded
    assert "recorded" not in lines[0].recorded


def test_a_line_that_could_not_be_read_is_not_left_out():
    folder = evidence(
        {FilmReading: [{"zone": "Z1", "number": 1}], Planned: [line("L-1")]}, unread={Planned: [{"line": "L-2"}]}
    )
    assert {one.line: one.verdict for one in plan_lines(folder, given(folder))}["L-2"] is Verdict.INCONCLUSIVE


@pytest.mark.parametrize("place", ["Z1²", "Z٣", "Z" + "9" * 5000, "", "²"])
def test_any_id_can_be_put_in_order(place):
    """Only the digits 0 to 9 are numbers to Python and to a reader alike, and no number is longer than it can be."""
    keys = [Key("COA-08", "mean", name) for name in ("Z10", place, "Z2")]
    order = [key.place for key in sorted(keys, key=natural)]
    assert order.index("Z2") < order.index("Z10")


@pytest.mark.parametrize("column", ["uncertainty", "resolution", "range_low", "range_high"])
def test_a_number_that_no_instrument_has_is_a_typing_error(column):
    heads = "instrument,quantity,type,unit,coverage," + column
    raw = read_table(f"{heads}\nUT-01,film thickness,gauge,um,2,1e200\n".encode(), "instruments.csv")
    found = validate(Instrument, raw)
    assert found.records == ()
    assert [(fault.where.line, fault.where.column) for fault in found.faults if "1e200" in fault.found] == [(2, column)]
