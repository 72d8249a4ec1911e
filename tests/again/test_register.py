"""REG-01 to REG-07: every finding of the demonstration recomputed from its package."""

from __future__ import annotations

from pathlib import Path

from tests.again import register_instruments, register_looks, register_plan
from tests.again.common_rules import Package
from tests.again.comparing import by_key, differences


def test_every_finding_of_the_register_is_recomputed_and_agrees(unpacked: Path) -> None:
    package = Package(unpacked)
    own = register_instruments.recomputed(package) | register_plan.recomputed(package)
    own |= register_looks.recomputed(package)
    assert differences(by_key(package.findings, "REG"), own) == []


def test_no_table_with_readings_of_an_instrument_is_left_out() -> None:
    """The looks walk over SERIES: a table of USES that is in neither list would never be looked at."""
    known = {use.file for use in register_instruments.USES if use.columns}
    assert known == {*register_looks.SERIES, *register_looks.LOGGED}


def test_inspections_rejects_and_rework_of_each_stage_are_counted_again(unpacked: Path) -> None:
    package = Package(unpacked)
    told = register_looks.told_of_stages(package)
    assert told
    book = by_key(package.findings, "REG-07")
    assert {key: line["notes"].split(" | ")[0] for key, line in book.items()} == told


def test_what_the_ages_leave_out_is_named(unpacked: Path) -> None:
    """Every table with days that are no days of readings stands in a note, but for what may be withheld."""
    package = Package(unpacked)
    lines = by_key(package.findings, "REG-06").values()
    (told,) = (note for line in lines for note in line["notes"].split(" | ") if note.startswith("Left out"))
    named = told.partition("such as those of ")[2].removesuffix(".").replace(" and ", ", ").split(", ")
    withholdable = {"laminate/deliveries.csv"}  # the page of columns says so
    assert sorted(named) == sorted(set(register_looks.days_left_out(package)) - withholdable)
