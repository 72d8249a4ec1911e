"""The chart of use-before dates: what stands in it is what the tables say."""

from __future__ import annotations

from datetime import datetime

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.charts import charts
from buildbook.chapters.parts.checks.in_date import on_the_day
from buildbook.chapters.parts.records import PartBatch
from buildbook.core.chart import Chart
from tests.chapters.parts.parts_folder import BATCHES, LINKS, Rows, aboard, batch, link


def drawn(tables: Rows | None = None) -> list[Chart]:
    given = aboard(tables)
    return list(charts(given, tuple(on_the_day(given))))


def test_each_dated_batch_has_its_time_and_its_days_of_use():
    (chart,) = drawn({Batch: [*BATCHES, batch("R-2", expires="2026-03-08")], PartBatch: [*LINKS, link("A-3", "R-2")]})
    good, used = chart.series
    assert chart.y.categories == ("R-2", "R-1")  # the first to go off above
    assert good.x == tuple(datetime(*day, 12) for day in ((2025, 9, 10), (2026, 3, 8), (2025, 9, 10), (2026, 3, 10)))
    assert good.y == ("R-2", "R-2", "R-1", "R-1")
    assert used.x == (datetime(2026, 3, 1, 12),) * 2  # two parts on one day are one dot
    assert "each used while it was good" in chart.title


def test_what_was_late_stands_in_the_title():
    (chart,) = drawn({PartBatch: [link("A-1", used_on="2026-03-11"), *LINKS[1:]]})
    assert chart.title == "Batches with a use-before date, used after its date: R-1"
    *_, late = chart.series
    assert (late.name, late.y, late.x) == ("used after its date", ("R-1",), (datetime(2026, 3, 11, 12),))
    assert late.labels == ("1 day late",)  # good until 2026-03-10


def test_without_a_date_nothing_is_drawn():
    assert drawn({Batch: BATCHES[1:]}) == []
