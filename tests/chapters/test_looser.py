"""A limit of the builder that is looser than the reference: told as a notice, told on the finding, and the reference
beside it shows the value as failed. Synthetic rows.

References: dew-point margin at least 3 K (read in a paint manual), surface profile of aluminium 50 to 75 um (read in a
guide), of steel none.
"""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.climate import INTERVAL, MARGIN, dew_point_margins, temperature_and_humidity
from buildbook.chapters.looser import looser, looser_limits
from buildbook.chapters.shared_records import Place
from buildbook.core.fault import Severity
from buildbook.core.limit import Limit, Term
from buildbook.core.source import Standing
from tests.chapters.coating.test_checks_climate import at, hourly, rows
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import FAIL, PASS, REFERENCE, one, said, specification, specified, zone

TERM = (Term("test", Standing.BUILDER),)


def notices(*limits, places=()):
    held = evidence({Place: list(places)}, specification=specification(*limits))
    return [(fault.found, fault.severity) for fault in looser_limits(held)]


def test_a_looser_limit_is_told_in_words():
    assert notices(specified("COA-04", MARGIN, "K", low=-5.0)) == [
        (
            "the limit set by builder (at least −5 K) is looser than the published reference (at least 3 K)",
            Severity.NOTICE,
        )
    ]


@pytest.mark.parametrize("low", [3.0, 4.0])
def test_a_limit_as_strict_or_stricter_is_not_told(low):
    assert notices(specified("COA-04", MARGIN, "K", low=low)) == []


def test_common_practice_is_called_by_its_name():
    ((found, _),) = notices(specified("COA-03", "particle size ratio", "1", high=3.0))
    assert "looser than common practice (at most 2)" in found


def test_the_reference_for_what_the_place_is_made_of_is_the_one():
    profile = specified("COA-14", "surface profile", "um", 45.0, 80.0, place="M1")
    for metal, told in (("aluminium", 1), ("steel", 0)):
        assert len(notices(profile, places=[zone("M1", kind="part", substrate=metal)])) == told


@pytest.mark.parametrize(
    ("low", "high", "wider"),
    [(50, 75, False), (55, 70, False), (45, 75, True), (50, 80, True), (None, 75, True), (50, None, True)],
)
def test_an_end_that_is_lower_higher_or_missing_makes_it_looser(low, high, wider):
    assert looser(Limit("um", TERM, low, high), Limit("um", TERM, 50, 75)) is wider
    assert not looser(Limit("mm", TERM, low, high), Limit("um", TERM, 50, 75))


def test_a_wet_surface_passes_the_builder_and_fails_the_reference_and_says_why():
    """13 degC against a dew point of 11.9955 degC: 1.0 K, over the builder's -5 K and under the published 3 K."""
    mine = specification(specified("COA-04", MARGIN, "K", low=-5.0))
    found = list(dew_point_margins(evidence(rows(*hourly(surface=13.0)), specification=mine)))
    assert one(found, MARGIN).verdict is PASS
    assert said(one(found, MARGIN), "The limit set by builder (at least −5 K) is looser than the published reference")
    assert one(found, MARGIN, role=REFERENCE).verdict is FAIL


def test_a_longer_interval_and_a_wider_range_say_so_too():
    mine = specification(
        specified("COA-04", INTERVAL, "h", high=2.0), specified("COA-05", "relative humidity", "%", high=95.0)
    )
    held = evidence(rows(at(8), at(9), at(11)), specification=mine)
    assert said(one(dew_point_margins(held), INTERVAL), "(at most 2 h) is looser than the published reference")
    damp = one(temperature_and_humidity(held), "relative humidity")
    assert said(damp, "(at most 95 %) is looser than the published reference (at most 85 %)")
