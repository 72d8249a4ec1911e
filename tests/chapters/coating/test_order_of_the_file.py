"""Rows that contradict each other: whichever comes first in the file, the worse one stands. All rows are synthetic."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.preparation import FINER, grit_sequence, order_of_work, water_break
from buildbook.chapters.coating.checks.schedule import BATCHES, pot_life_and_batches
from buildbook.chapters.coating.cross import batches_of_their_product
from buildbook.chapters.coating.formulas.schedule import WindowRow, overcoat_window
from buildbook.chapters.coating.records import Batch, Climate, Coat, Preparation, Product, WaterBreak
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import FAIL, INCONCLUSIVE, Tables, instrument, one, said, value, zone

DAY = "2026-03-02"
BOTH_WAYS = pytest.mark.parametrize("turn", [1, -1], ids=["as written", "turned round"])


def folder(turn: int, kind: type[Record], rows, **more: object):
    tables: Tables = {Place: [zone()], kind: rows[::turn], **more.pop("tables", {})}  # type: ignore[dict-item]
    return evidence(tables)


@BOTH_WAYS
def test_of_two_water_breaks_of_one_attempt_the_broken_film_stands(turn):
    rows = [
        {"zone": "Z1", "attempt": 1, "watched": 90, "held": True, "instrument": "SW-01", "at": f"{DAY} 12:00"},
        {"zone": "Z1", "attempt": 1, "watched": 20, "held": False, "instrument": "SW-01", "at": f"{DAY} 12:00"},
    ]
    meter: Tables = {Instrument: [instrument("SW-01", "time", "s", 0.5)]}
    found = one(water_break(folder(turn, WaterBreak, rows, tables=meter)))
    assert (found.verdict, value(found)) == (FAIL, 20.0)
    assert len(found.at) == 2
    assert said(found, "2 rows tell of this check; the worst of them stands.")


@BOTH_WAYS
def test_of_two_rows_of_one_batch_the_earlier_date_counts(turn):
    tins = [
        {"batch": "B-1", "product": "PU-T", "component": "base", "expires": "2026-12-01"},
        {"batch": "B-1", "product": "PU-T", "component": "base", "expires": "2026-01-01"},
    ]
    coat = {
        "coat": "Z1-1",
        "layer": 1,
        "product": "PU-T",
        "base_batch": "B-1",
        "hardener_batch": "B-1",
        "thinner_batch": None,
    }
    more: Tables = {Coat: [coat], Product: [{"product": "PU-T"}], Climate: []}
    found = one(pot_life_and_batches(folder(turn, Batch, tins, tables=more)), BATCHES)
    assert (found.verdict, found.observed) == (FAIL, "out of date: B-1")


@BOTH_WAYS
def test_a_batch_of_two_products_is_a_contradiction_of_the_coat(turn):
    tins = [{"batch": "B-1", "product": name, "component": "base"} for name in ("PU-T", "EP-S")]
    coat = {"coat": "Z1-1", "product": "PU-T", "base_batch": "B-1", "hardener_batch": None}
    faults = list(batches_of_their_product(folder(turn, Batch, tins, tables={Coat: [coat]})))
    assert [fault.found for fault in faults] == ["B-1, a batch of EP-S"]


@BOTH_WAYS
def test_two_washes_begun_together_the_longer_one_counts(turn):
    times = (("wash", 8, 9), ("wash", 8, 14), ("de-wax", 8, 9), ("sand", 13, 15))
    rows = [
        {
            "id": f"P-{n}",
            "zone": "Z1",
            "step": step,
            "started": f"{DAY} {a:02}:00",
            "finished": f"{DAY} {b:02}:00",
            "grit": "P80",
        }
        for n, (step, a, b) in enumerate(times)
    ]
    assert one(order_of_work(folder(turn, Preparation, rows))).verdict is FAIL


@BOTH_WAYS
def test_two_grades_at_one_time_leave_their_order_open(turn):
    rows = [
        {
            "id": f"P-{n}",
            "zone": "Z1",
            "step": "sand",
            "started": f"{DAY} 08:00",
            "finished": f"{DAY} 10:00",
            "grit": grit,
        }
        for n, grit in enumerate(("P80", "P120"))
    ]
    found = one(grit_sequence(folder(turn, Preparation, rows)), FINER)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "P80 and P120 are logged for the same time")


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 0, 2), (2, 1, 0)])
def test_two_lines_for_one_neighbour_the_stricter_counts(order):
    """Beside 17 degC stand two lines for 15 degC and one for 20 degC: the longer least, the shorter greatest time."""
    lines = (WindowRow(15, 15, 10, 96), WindowRow(15, 15, 18, 60), WindowRow(20, 20, 8, 72))
    window = overcoat_window(17.0, 17.0, [lines[at] for at in order])
    assert (window.minimum, window.maximum) == (18, 60)
