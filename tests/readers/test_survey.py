"""One pass over a record in blocks against the whole record at once."""

from __future__ import annotations

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.survey import surveyed


def record(values, cuts):
    """A record that is handed over in pieces cut at these places."""
    whole = np.asarray(values, dtype=np.float64)
    pieces = [piece for piece in np.split(whole, sorted(cut % (len(whole) + 1) for cut in cuts)) if len(piece)]
    return Signal(Where("a.wav"), "channel 1", 100.0, "m/s2", len(whole), 1.0, lambda: iter(pieces))


@given(st.lists(st.integers(-2, 2), min_size=1, max_size=60), st.lists(st.integers(0, 60), max_size=6))
def test_blocks_are_surveyed_like_the_whole(values, cuts):
    found = surveyed(record(values, cuts))
    runs = [(value, len(list(same))) for value, same in groupby(values)]
    assert (found.least, found.most) == (min(values), max(values))
    assert found.mean == pytest.approx(sum(values) / len(values))
    assert found.still == max(length for _, length in runs)
    assert found.at_an_end == max(length for value, length in runs if value in (min(values), max(values)))


def test_a_clipped_sine_stands_at_its_end():
    """A sine cut at 0.9 of its peak: it stays there for 14.4 % of half a period, by hand 143 samples of 1000."""
    sine = np.clip(np.sin(2 * np.pi * np.arange(10_000) / 1000.0), -0.9, 0.9)
    assert surveyed(record(sine, [777, 5001])).at_an_end == pytest.approx(1000 * np.arccos(0.9) / np.pi, abs=1.5)
    assert surveyed(record(np.sin(0.1 + np.arange(10_000) / 159.1), [])).at_an_end == 1
