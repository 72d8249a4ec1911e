"""What the coating checks are about: zones, planned places, attempts, coats; and whose limits count. Synthetic rows."""

from __future__ import annotations

from datetime import datetime

import pytest

from buildbook.chapters.coating.records import Coat, FilmReading, Product
from buildbook.chapters.coating.subjects import asked_places, coats, missing_layers, painted_zones, sheet_limit
from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.chapters.subjects import attempts, period, planned_places, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Period
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import evidence, record
from tests.chapters.small_folder import Tables, instrument, planned, zone


def places(*rows, unread=()) -> Evidence:
    given: Tables = {Place: rows}
    return evidence(given, unread={Place: unread})


def test_painted_zones_leave_out_parts_and_what_is_not_painted():
    held = places(zone("Z2"), zone("Z1"), zone("M1", kind="part"), zone("Z3", painted="no"))
    assert painted_zones(held) == ("Z1", "Z2")


@pytest.mark.parametrize(
    ("cells", "listed"),
    [
        ({"place": "Z4", "kind": "zone"}, True),
        ({"place": "Z4"}, True),  # it may be a zone
        ({"place": "M4", "kind": "part"}, False),
        ({"kind": "zone"}, False),  # a zone, and nobody knows which
        ({}, False),
    ],
)
def test_a_zone_whose_row_cannot_be_read_is_still_a_zone(cells, listed):
    assert painted_zones(places(zone(), unread=[cells])) == (("Z1", cells.get("place")) if listed else ("Z1",))


def test_a_zone_that_only_another_table_names_is_a_zone_and_a_part_stays_one():
    rows: Tables = {Place: [zone(), zone("M1", kind="part")], Coat: [{"zone": "Z9"}, {"zone": "M1", "coat": "M1-1"}]}
    assert painted_zones(evidence(rows), (Coat, "zone")) == ("Z1", "Z9")


def test_places_with_readings_or_in_the_plan_are_asked_about_whatever_they_are():
    rows: Tables = {
        Place: [zone(), zone("M1", kind="part"), zone("M2", kind="part")],
        FilmReading: [{"zone": "M1"}],
        Planned: [planned("COA-08", "Z7", "x.csv"), planned("COA-09", "Z8", "x.csv")],
    }
    assert asked_places(evidence(rows), "COA-08", (FilmReading,)) == ("M1", "Z1", "Z7")


def test_planned_places_come_in_the_order_of_the_plan_each_once():
    lines = [
        planned("COA-10", place, "coating/pull_off.csv", line=n) for n, place in enumerate(("Z2", "Z1", "Z2", None))
    ]
    rows: Tables = {Planned: [{**line, "line": str(line["line"])} for line in lines]}
    lost = [
        {"check": "COA-10", "place": "Z5", "record": "coating/cross_cut.csv"},
        {"check": "COA-10", "place": "Z6"},
        {"place": "Z8"},
    ]
    held = evidence(rows, unread={Planned: lost})
    assert planned_places(held, "COA-10") == ("Z2", "Z1", "Z5", "Z6")
    assert planned_places(held, "COA-10", "coating/cross_cut.csv") == ("Z5", "Z6")
    assert planned_places(held, "COA-11") == ()


@pytest.mark.parametrize(
    ("readable", "lost", "expected"),
    [((), (), (1,)), ((1,), (), (1,)), ((3,), (), (1, 2, 3)), ((1,), (2, None), (1, 2))],
)
def test_an_attempt_between_two_others_was_made_too(readable, lost, expected):
    rows: Tables = {FilmReading: [{"zone": "Z1", "attempt": attempt} for attempt in readable]}
    held = evidence(rows, unread={FilmReading: [{"zone": "Z1", "attempt": attempt} for attempt in lost]})
    assert attempts(held, FilmReading, zone="Z1") == expected


def coat(layer: int, where: str = "Z1") -> dict[str, object]:
    return {"coat": f"{where}-{layer}", "zone": where, "layer": layer}


def test_layers_without_a_row_count_from_the_first():
    rows: Tables = {Coat: [coat(2), coat(4), coat(1, "Z2")]}
    held = evidence(rows)
    assert missing_layers(held) == (("Z1", 1), ("Z1", 3))
    assert missing_layers(held, "Z2") == ()
    assert [(name, row is None, where) for name, row, where in coats(held)] == [
        ("Z1-2", False, "Z1"),
        ("Z1-4", False, "Z1"),
        ("Z2-1", False, "Z2"),
        ("layer 1", True, "Z1"),
        ("layer 3", True, "Z1"),
    ]


@pytest.mark.parametrize(
    ("cells", "missing"),
    [
        ({"zone": "Z1", "layer": 1}, ()),
        ({"zone": "Z1"}, ()),
        ({}, ()),
        ({"zone": "Z2", "layer": 1}, (("Z1", 1),)),
        ({"zone": "Z1", "layer": 3}, (("Z1", 1),)),
    ],
)
def test_a_lost_row_may_be_the_missing_layer(cells, missing):
    held = evidence({Coat: [coat(2)]}, unread={Coat: [cells]})
    assert missing_layers(held) == missing


def product(**cells) -> Product:
    found = record(Product, {"product": "PU-T", "sheet": "TDS-PU-T", "revision": "4", "clause": "p. 2", **cells})
    assert isinstance(found, Product)
    return found


def test_a_limit_of_the_data_sheet_is_the_builders_and_names_the_sheet():
    limit = sheet_limit(product(), "%", "humidity", low=None, high=75.0)
    assert limit is not None
    assert (limit.low, limit.high, limit.natural_low, limit.natural_high) == (None, 75.0, 0.0, 100.0)
    assert (limit.standing, limit.terms[0].document, limit.terms[0].clause) == (Standing.BUILDER, "TDS-PU-T", "p. 2")
    warm = sheet_limit(product(), "degC", "air", low=0.0, high=None)
    assert warm is not None
    assert (warm.low, warm.natural_low, warm.natural_high) == (0.0, None, None)
    assert sheet_limit(product(), "%", "humidity", low=None, high=None) is None


def films(*instruments):
    return [record(FilmReading, {"zone": "Z1", "number": n, "instrument": i}, n) for n, i in enumerate(instruments, 1)]


GAUGES = (instrument("UT-01", "film thickness", "um", 6.0), instrument("UT-02", "film thickness", "um", 10.0))


def test_of_several_instruments_the_coarsest_counts():
    held = evidence({Instrument: GAUGES})
    for order in (("UT-01", "UT-02"), ("UT-02", "UT-01")):
        use = used(held, films(*order), "instrument", "film thickness", "um")
        assert use.instruments == ("UT-01", "UT-02")
        assert [part.standard for part in use.parts] == [5.0]
        assert use.caps == ()


def test_a_period_runs_from_the_first_to_the_last():
    first, last = datetime(2026, 3, 2, 8), datetime(2026, 3, 2, 9)
    assert period([last, first]) == Period(first, last)
    assert period([]) is None
