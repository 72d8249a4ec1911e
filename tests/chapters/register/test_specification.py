"""Limits against the places and documents the folder lists. All data are synthetic."""

from __future__ import annotations

from buildbook.chapters.register.records import Document
from buildbook.chapters.register.specification import placed_limits
from buildbook.chapters.shared_records import Place
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
    assert "did you mean Z1?" in fault.found


def test_a_document_that_is_not_listed_is_noticed_and_the_limit_used():
    tables: dict[type[Record], list[Cells]] = {Place: [{"place": "Z1"}], Document: [{"document": "SPEC-2"}]}
    kept, (notice,) = placed_limits(evidence(tables, specification=Specification((_limit("Z1"),))))
    assert notice.severity is Severity.NOTICE
    assert len(kept.specification.limits) == 1


def test_without_a_list_of_documents_nothing_is_said():
    given = evidence({Place: [{"place": "Z1"}]}, specification=Specification((_limit("Z1"),)))
    assert placed_limits(given)[1] == ()
