"""Positions that cannot be on her are told at their cell and stop nothing. SYNTHETIC rows."""

from __future__ import annotations

from typing import Any

from buildbook.chapters.laminate.records import ThicknessReading
from buildbook.chapters.register.outside import NOT_DRAWN, inside_her
from buildbook.chapters.shared_records import Place
from buildbook.core.fault import Severity
from buildbook.core.hull import Hull
from buildbook.core.record import Record
from tests.chapters.evidence_builder import evidence

SHE = Hull(length_hull=19.0, beam=5.0, draught=1.4)


def test_each_coordinate_outside_is_told_at_its_cell_in_every_table_that_has_positions():
    tables: dict[type[Record], Any] = {
        Place: [{"x": 42.0, "y": 0.0, "z": 1.0}, {"x": 9.5, "y": -2.4, "z": -4.0}],
        ThicknessReading: [{"x": 3.0, "y": -9.5, "z": 0.0}, {"x": None, "y": None, "z": None}],
    }
    told = list(inside_her(evidence(tables, hull=SHE)))
    assert [(fault.where.file, fault.where.column, fault.found) for fault in told] == [
        ("places.csv", "x [m]", "42 m"),
        ("places.csv", "z [m]", "−4 m"),
        ("laminate/thickness.csv", "y [m]", "−9.5 m"),
    ]
    assert {(fault.severity, fault.effect) for fault in told} == {(Severity.NOTICE, NOT_DRAWN)}
    assert told[0].expected == "a place on her: metres forward of the transom, from −0.5 to 19.5 m"
    assert told[1].expected == "a place on her: metres above the waterline, from −1.9 m"


def test_nothing_is_told_where_she_bounds_nothing_or_everything_lies_on_her():
    rows: dict[type[Record], Any] = {Place: [{"x": 42.0, "y": 0.0, "z": 1.0}]}
    assert list(inside_her(evidence(rows))) == []
    assert list(inside_her(evidence({Place: [{"x": 18.9, "y": 2.4, "z": 1.0}]}, hull=SHE))) == []
