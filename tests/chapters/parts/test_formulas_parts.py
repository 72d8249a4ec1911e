"""Days and runs of numbers: days against calendar facts that are printed elsewhere and against another library."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.parts.formulas.days import days_left
from buildbook.chapters.parts.formulas.numbering import part_number, runs
from buildbook.formulas import Malformed
from tests.published_values import rows

DAYS = st.dates(date(1900, 1, 1), date(2200, 1, 1))


@pytest.mark.parametrize("row", rows("parts_days"), ids=lambda row: row["from"])
def test_days_between_two_dates_as_printed(row):
    used, expires = date.fromisoformat(row["from"]), date.fromisoformat(row["to"])
    assert days_left(expires, used) == int(row["days"])
    assert days_left(used, expires) == -int(row["days"])


@given(DAYS, DAYS)
def test_days_as_numpy_counts_them(expires, used):
    """numpy keeps its own calendar of days since 1970."""
    other = np.array(expires.isoformat(), "datetime64[D]") - np.array(used.isoformat(), "datetime64[D]")
    assert days_left(expires, used) == int(other / np.timedelta64(1, "D"))


@given(DAYS, st.integers(0, 4000))
def test_the_last_day_has_none_left(expires, before):
    assert days_left(expires, expires) == 0
    assert days_left(expires, expires - timedelta(days=before)) == before


@given(st.sets(st.integers(1, 400), min_size=1), st.sampled_from(["", "7-", "B/", "A2-"]))
def test_what_is_missing_and_what_is_there_make_the_whole_run(counts, series):
    (run,) = runs(f"{series}{count:03}" for count in counts)
    whole = {f"{series}{count:03}" for count in range(min(counts), max(counts) + 1)}
    assert set(run.missing) == whole - {f"{series}{count:03}" for count in counts}
    assert run.twice == ()
    assert (run.first, run.last) == (f"{series}{min(counts):03}", f"{series}{max(counts):03}")


def test_each_series_has_its_own_run():
    found = runs(["A-2", "B-7", "A-1", "B-9"])
    assert [(run.series, run.first, run.last, run.missing) for run in found] == [
        ("A-", "A-1", "A-2", ()),
        ("B-", "B-7", "B-9", ("B-8",)),
    ]


def test_one_count_written_two_ways_is_one_number_twice():
    (run,) = runs(["A-7", "A-007"])
    assert run.twice == (("A-007", "A-7"),)


@pytest.mark.parametrize("text", ["", "keel", "7-", "A-1b"])
def test_a_number_without_digits_at_its_end_is_refused(text):
    with pytest.raises(Malformed, match="does not end in digits"):
        part_number(text)
