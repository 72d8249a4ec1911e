"""Overcoating windows and pot life against UFGS 09971."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.formulas.schedule import WindowRow, overcoat_window, pot_life
from buildbook.formulas import OutOfRange
from tests.published_values import rows

TABLE = [
    WindowRow(float(r["low [degC]"]), float(r["high [degC]"]), float(r["minimum [h]"]), float(r["maximum [h]"]))
    for r in rows("overcoat_rows")
]
# A sheet that prints single temperatures (synthetic numbers).
SHEET = [WindowRow(20, 20, 8, 72), WindowRow(10, 10, 16, 96), WindowRow(30, 30, 4, None)]


@pytest.mark.parametrize(
    "row", rows("overcoat_window"), ids=lambda row: f"{row['lowest [degC]']}-{row['highest [degC]']}"
)
def test_ufgs_09971_window(row):
    window = overcoat_window(float(row["lowest [degC]"]), float(row["highest [degC]"]), TABLE)
    assert (window.minimum, window.maximum) == (float(row["shortest [h]"]), float(row["longest [h]"]))


@pytest.mark.parametrize(
    ("lowest", "highest", "minimum", "maximum"),
    [
        (10, 10, 16, 96),
        (20, 20, 8, 72),
        (15, 15, 16, 72),  # between two columns: the longer minimum, the shorter maximum
        (12, 18, 16, 72),
        (20, 25, 8, 72),  # one neighbour without an end: the other's end holds
        (22, 30, 8, None),
        (30, 30, 4, None),
    ],
)
def test_single_temperatures_take_the_stricter_neighbour(lowest, highest, minimum, maximum):
    window = overcoat_window(lowest, highest, SHEET)
    assert (window.minimum, window.maximum) == (minimum, maximum)


def test_the_rows_used_are_named():
    window = overcoat_window(15.0, 20.0, SHEET)
    assert [row.low for row in window.minimum_from] == [10, 20]
    assert [row.low for row in window.maximum_from] == [20]


def test_a_window_that_never_opens():
    """UFGS 09971 with a cold night and a hot noon: not before 8 h, not after 2 h."""
    window = overcoat_window(18.0, 46.0, TABLE)
    assert window.never_open
    assert not overcoat_window(18.0, 30.0, TABLE).never_open
    assert not overcoat_window(22.0, 30.0, SHEET).never_open


@pytest.mark.parametrize(("lowest", "highest"), [(15.9, 20.0), (20.0, 49.1), (5.0, 60.0)])
def test_never_beyond_the_table(lowest, highest):
    with pytest.raises(OutOfRange, match="the printed table, 16 to 49 degC"):
        overcoat_window(lowest, highest, TABLE)


def test_no_table_and_turned_ends():
    with pytest.raises(OutOfRange, match="a table that has rows"):
        overcoat_window(20.0, 20.0, [])
    with pytest.raises(OutOfRange, match="highest surface temperature"):
        overcoat_window(20.0, 19.0, TABLE)


@given(st.floats(16, 49), st.floats(0, 33), st.floats(0, 5))
def test_a_wider_spread_of_temperature_never_widens_the_window(lowest, spread, more):
    highest = min(lowest + spread, 49.0)
    narrow = overcoat_window(lowest, highest, TABLE)
    wide = overcoat_window(max(lowest - more, 16.0), min(highest + more, 49.0), TABLE)
    assert wide.minimum >= narrow.minimum
    assert narrow.maximum is not None
    assert wide.maximum is not None
    assert wide.maximum <= narrow.maximum


@pytest.mark.parametrize(
    "row", rows("pot_life"), ids=lambda row: f"{row['pot life [h]']} h {row['temperature [degC]']}"
)
def test_printed_pot_lives(row):
    found = pot_life(float(row["pot life [h]"]), float(row["reference [degC]"]), float(row["temperature [degC]"]))
    assert found == pytest.approx(float(row["expected [h]"]))


def test_pot_life_at_the_ends_of_the_range():
    assert pot_life(1.0, 5.0, 35.0) == 0.125
    assert pot_life(1.0, 40.0, 5.0) == pytest.approx(2**3.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: pot_life(4, 40.1, 21),
        lambda: pot_life(4, 21, 4.9),
        lambda: pot_life(0, 21, 21),
        lambda: pot_life(4, 21, 41),
        lambda: pot_life(4, 4, 21),
    ],
)
def test_pot_life_outside_the_range(call):
    with pytest.raises(OutOfRange):
        call()
