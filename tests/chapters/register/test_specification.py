"""Limits against the places and documents the folder lists. All data are synthetic."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks import CHECKS
from buildbook.chapters.coating.records import Coat
from buildbook.chapters.register.records import Document
from buildbook.chapters.register.specification import conditioned_limits, placed_limits
from buildbook.chapters.shared_records import Nonconformity, Place
from buildbook.core.fault import Severity
from buildbook.core.hull import Specification, SpecifiedLimit
from buildbook.core.limit import Limit, Term
from buildbook.core.record import Record
from buildbook.core.source import Standing
from buildbook.core.where import Where
from tests.chapters.evidence_builder import Cells, evidence


def _limit(place: str, document: str = "SPEC-1") -> SpecifiedLimit:
    at = Where("hull.toml", 12, part="limits[0]")
    term = Term("at least 120", Standing.BUILDER, "builder", document, "A", at=at)
    return SpecifiedLimit("COA-08", "nominal film thickness", Limit("um", (term,), low=120.0), place)


def test_a_limit_for_a_listed_place_stays():
    given = evidence({Place: [{"place": "Z1"}]}, specification=Specification((_limit("Z1"), _limit(""))))
    kept, faults = placed_limits(given)
    assert kept.specification == given.specification
    assert faults == ()


def test_a_limit_for_a_place_that_is_not_listed_is_a_fault_and_holds_its_check():
    given = evidence({Place: [{"place": "Z1"}]}, specification=Specification((_limit("Z11"),)))
    kept, (fault,) = placed_limits(given)
    assert kept.specification.limits == ()
    assert kept.specification.unusable("COA-08")
    assert not kept.specification.unusable("COA-09")
    assert fault.severity is Severity.FAULT
    assert str(fault.where).startswith("hull.toml:12")
    assert "did you mean 'Z1'?" in fault.found


def test_a_document_that_is_not_listed_is_noticed_and_the_limit_used():
    tables: dict[type[Record], list[Cells]] = {Place: [{"place": "Z1"}], Document: [{"document": "SPEC-2"}]}
    kept, (notice,) = placed_limits(evidence(tables, specification=Specification((_limit("Z1"),))))
    assert notice.severity is Severity.NOTICE
    assert len(kept.specification.limits) == 1


def test_without_a_list_of_documents_nothing_is_said():
    given = evidence({Place: [{"place": "Z1"}]}, specification=Specification((_limit("Z1"),)))
    assert placed_limits(given)[1] == ()


def _conditioned(check: str, quantity: str, condition: str, place: str = "") -> SpecifiedLimit:
    entry = _limit(place)
    return SpecifiedLimit(check, quantity, entry.limit, place, condition)


TABLES: dict[type[Record], list[Cells]] = {
    Place: [{"place": "Z1", "visibility": "high"}, {"place": "Z2", "visibility": None}],
    Coat: [{"coat": "Z1-1", "zone": "Z1"}, {"coat": "Z2-1", "zone": "Z2"}],
}


@pytest.mark.parametrize(
    ("check", "quantity", "condition", "place"),
    [
        ("COA-04", "dew-point margin", "Z1-1", ""),
        ("COA-05", "air temperature", "Z1-1", "Z1"),
        ("COA-07", "time from mixing to end", "Z2-1", ""),
        ("COA-12", "dust inclusions", "high", "Z1"),
        ("COA-12", "orange peel", "low", ""),
        ("COA-14", "surface profile", "", "Z1"),
    ],
)
def test_a_condition_that_a_row_can_have_stays(check, quantity, condition, place):
    given = evidence(TABLES, specification=Specification((_conditioned(check, quantity, condition, place),)))
    kept, faults = conditioned_limits(given, CHECKS)
    assert kept.specification == given.specification
    assert faults == ()


@pytest.mark.parametrize(
    ("check", "quantity", "condition", "place", "words"),
    [
        ("COA-04", "dew-point margin", "Z1-11", "", "did you mean 'Z1-1'?"),
        ("COA-04", "interval between readings", "Z1-1", "", "can name a place only"),
        ("COA-05", "air temperature", "Z1-1", "Z2", "at place 'Z2'"),
        ("COA-12", "dust inclusions", "hihg", "", "did you mean 'high'?"),
        ("COA-12", "dust inclusions", "low", "Z1", "at place 'Z1'"),
        ("COA-12", "dust inclusions", "medium", "", "column 'visibility'"),
        ("COA-08", "nominal film thickness", "Z1-1", "", "can name a place only"),
        ("COA-13", "shift of b*", "high", "", "can name a place only"),
        ("COA-14", "surface profile", "steel", "", "can name a place only"),
    ],
)
def test_a_condition_that_no_row_can_have_is_a_fault_and_holds_its_check(check, quantity, condition, place, words):
    given = evidence(TABLES, specification=Specification((_conditioned(check, quantity, condition, place),)))
    kept, (fault,) = conditioned_limits(given, CHECKS)
    assert kept.specification.limits == ()
    assert kept.specification.unusable(check)
    assert not kept.specification.unusable("COA-01")
    assert fault.severity is Severity.FAULT
    assert str(fault.where).startswith("hull.toml:12, limits[0].condition")
    assert words in str(fault)


def test_every_condition_stands_in_a_column_that_is_there():
    for check in CHECKS:
        for quantity, (kind, name) in check.conditions.items():
            assert name in kind.columns()
            assert quantity in check.quantities
            assert quantity not in check.facts


def test_limits_in_one_line_are_told_in_their_own_order():
    """limits = [{…}, {…}]: all stand in one line; the order may not hang on how a set happens to be kept."""
    entries = []
    for number in range(1, 9):
        at = Where("hull.toml", 12, part=f"limits[{number}]")
        term = Term("at least 120", Standing.BUILDER, "builder", f"SPEC-{9 - number}", "A", at=at)
        entries.append(
            SpecifiedLimit("COA-08", "nominal film thickness", Limit("um", (term,), low=120.0), f"Z{number}")
        )
    tables: dict[type[Record], list[Cells]] = {
        Place: [{"place": f"Z{number}"} for number in range(1, 9)],
        Document: [{"document": "OTHER-1"}],
    }
    told = placed_limits(evidence(tables, specification=Specification(tuple(reversed(entries)))))[1]
    assert [notice.where.part for notice in told] == [f"limits[{number}]" for number in range(1, 9)]


def test_one_document_that_is_not_listed_is_one_notice_however_many_name_it():
    entries = []
    for number in range(1, 9):
        term = Term("at least 120", Standing.BUILDER, "builder", "SPEC-07", "A", at=Where("hull.toml", 10 * number))
        limit = Limit("um", (term,), low=120.0)
        entries.append(SpecifiedLimit("COA-08", "nominal film thickness", limit, f"Z{number}"))
    tables: dict[type[Record], list[Cells]] = {
        Place: [{"place": f"Z{number}"} for number in range(1, 9)],
        Document: [{"document": f"TN-{number}"} for number in range(40)],
        Nonconformity: [{"justification": "SPEC-07 C 6.5"}],
    }
    (told,) = placed_limits(evidence(tables, specification=Specification(tuple(entries))))[1]
    assert told.where == Where("hull.toml", 10)
    assert told.expected == "a row of documents.csv for SPEC-07"
    words = "none; 8 limits and 1 report name it: hull.toml:10, hull.toml:20, hull.toml:30 and 6 more"
    assert told.found == words
