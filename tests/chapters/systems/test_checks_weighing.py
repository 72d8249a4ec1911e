"""SYS-12: every verdict, on synthetic rows; sums worked by hand beside each test."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.systems.checks.weighing import ACROSS, FORWARD, MASS, weighed
from buildbook.chapters.systems.records.weighing import Aboard, CellReading
from buildbook.core.finding import Finding
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    Tables,
    expanded,
    instrument,
    near,
    one,
    said,
    specified,
    value,
)
from tests.chapters.systems.boat_folder import TOOLS, aboard


def cell(point: str, mass: float, x: float, y: float, **more: Any) -> dict[str, Any]:
    """One cell with U = 10 kg, u = 5 kg; its place is known to 0.02 m."""
    of = {"point": point, "mass": mass, "x": x, "y": y, "position_uncertainty": 0.02, "instrument": "LC-01"}
    return {**of, "attempt": 1, **more}


CELLS = [
    cell("aft, port", 300.0, 2.0, -1.0),
    cell("aft, starboard", 300.0, 2.0, 1.0),
    cell("forward", 400.0, 8.0, 0.0),
]
FUEL = {"item": "diesel", "attempt": 1, "change": "taken off", "mass": 100.0, "uncertainty": 8.0, "x": 4.0, "y": 0.0}


def found(tables: Tables, mine: Any = (), unread: Any = None) -> list[Finding]:
    return list(weighed(aboard(tables, mine, unread)))


BOTH: Tables = {CellReading: CELLS, Aboard: [FUEL]}


def test_mass_and_centre_worked_by_hand() -> None:
    """1000 - 100 = 900 kg; moments 600 x 2 + 400 x 8 - 100 x 4 = 4000 kg m, over 900 kg = 4.444 m.

    Cells together 3 x 5 kg, fuel 4 kg: U = 2 sqrt(225 + 16) = 31.05 kg. Arms of the cells 2.444, 2.444 and 3.556 m:
    8.444 / 900 x 5 kg = 0.04691 m; tape 1000 x 0.01 / 900 = 0.01111 m; fuel 0.444 / 900 x 4 = 0.00198 m.
    """
    mass, centre = (one(found(BOTH), quantity) for quantity in (MASS, FORWARD))
    assert value(mass) == near(900.0)
    assert expanded(mass) == near(31.048, abs=0.001)
    assert value(centre) == near(4.44444, abs=1e-5)
    assert expanded(centre) == near(2.0 * (0.046914**2 + 0.011111**2 + 0.001975**2) ** 0.5, abs=1e-5)
    assert value(one(found(BOTH), ACROSS)) == near(0.0)
    assert said(mass, "state a displacement of 1200 kg and not for which load")


def test_what_was_missing_is_added() -> None:
    added = {**FUEL, "item": "anchor", "change": "added", "x": 9.0}
    both = found({CellReading: CELLS, Aboard: [FUEL, added]})
    assert value(one(both, MASS)) == near(1000.0)
    assert value(one(both, FORWARD)) == near(4.9)  # (4000 + 900) / 1000, worked by hand


@pytest.mark.parametrize(
    ("high", "verdict"), [(940.0, PASS), (910.0, CONDITIONAL_PASS), (890.0, CONDITIONAL_FAIL), (860.0, FAIL)]
)
def test_sys_12_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_builder(high: float, verdict: Any) -> None:
    """900 kg with U = 31 kg."""
    assert one(found(BOTH, [specified("SYS-12", MASS, "kg", high=high)]), MASS).verdict is verdict


def test_sys_12_information_where_nobody_set_a_limit() -> None:
    assert {f.verdict for f in found(BOTH)} == {INFORMATION}
    assert said(one(found({CellReading: CELLS}), MASS), "Nothing is listed")


def test_sys_12_inconclusive_where_a_cell_or_its_calibration_is_lost() -> None:
    lost = {CellReading: [{"point": "forward", "attempt": 1}]}
    assert {f.verdict for f in found({CellReading: CELLS[:2]}, unread=lost)} == {INCONCLUSIVE}
    unknown: Tables = {**BOTH, Instrument: [tool for tool in TOOLS if tool["instrument"] != "LC-01"]}
    assert {f.verdict for f in found(unknown)} == {INCONCLUSIVE}
    assert {f.verdict for f in found({}, unread={CellReading: [{"attempt": 1}]})} == {INCONCLUSIVE}


@pytest.mark.parametrize(
    ("tables", "unread"),
    [
        ({CellReading: CELLS[:2], Aboard: [FUEL]}, {CellReading: [{"point": "forward", "attempt": 1}]}),
        ({CellReading: CELLS, Aboard: [FUEL]}, {Aboard: [{"item": "water", "attempt": 1}]}),
        ({CellReading: CELLS, Aboard: []}, {}),
    ],
)
def test_a_sum_of_which_a_part_is_unknown_is_not_told_as_her_mass(tables: Tables, unread: Tables) -> None:
    lost = found(tables, [specified("SYS-12", MASS, "kg", low=950.0)], unread=unread)
    assert {f.verdict for f in lost} == {INCONCLUSIVE}
    assert all(f.measured is None for f in lost)
    assert said(one(lost, MASS), next(iter(unread), Aboard).table.file)


def test_sys_12_inconclusive_where_the_list_of_what_was_aboard_is_lost() -> None:
    """Something heavy may have been missing, so that even 1000 kg under a limit of 1100 kg proves nothing."""
    mine = [specified("SYS-12", MASS, "kg", high=1100.0)]
    assert one(found(BOTH, mine), MASS).verdict is PASS
    lost = found({CellReading: CELLS, Aboard: []}, mine)
    assert {f.verdict for f in lost} == {INCONCLUSIVE}
    assert said(one(lost, MASS), "systems/weighing_aboard.csv: the table has no rows")


def test_sys_12_not_measured_or_no_record_only_where_it_was_asked_for() -> None:
    mine = [specified("SYS-12", MASS, "kg", high=1000.0)]
    assert {f.verdict for f in found({}, mine)} == {NOT_MEASURED}
    assert {f.verdict for f in found({CellReading: []}, mine)} == {NO_RECORD}
    assert not found({CellReading: []})


def test_cells_of_two_sets_are_unsure_apart() -> None:
    """5 kg of one set and 5 + 5 kg of the other: U = 2 sqrt(25 + 100) = 22.36 kg (worked by hand)."""
    tools = [*TOOLS, instrument("LC-02", "mass", "kg", 10.0, range_low=0, range_high=9000)]
    cells = [*CELLS[:2], {**CELLS[2], "instrument": "LC-02"}]
    assert expanded(one(found({CellReading: cells, Instrument: tools}), MASS)) == near(22.3607, abs=1e-4)
