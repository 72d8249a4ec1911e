"""Charts of film thickness and gloss as plain values: what is drawn and what the title claims. Synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.film import NOMINAL
from buildbook.chapters.coating.records import FilmReading, Gloss
from buildbook.chapters.shared_records import Instrument, Place
from tests.chapters.coating.drawn_charts import drawn
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import instrument, near, specification, specified, zone

Z1 = zone(area=2.0)


# Film


def films(*values, attempt=1, where="Z1"):
    return [
        {"zone": where, "attempt": attempt, "number": number, "thickness": value, "at": f"2026-03-30 09:{number:02}"}
        | {"extra": False}
        for number, value in enumerate(values, 1)
    ]


def filmed(*rows, mine=None, places=(Z1,), **rules):
    limits = (specified("COA-08", NOMINAL, "um", 120.0),) if mine is None else mine
    gauge = instrument("UT-01", "film thickness", "um", 6.0)
    held = evidence(
        {Place: places, FilmReading: rows, Instrument: [gauge]}, specification=specification(*limits, **rules)
    )
    return drawn(held)["coa-08-film"]


GOOD = (130.0, 128.0, 126.0, 132.0, 129.0, 127.0, 131.0, 133.0, 125.0, 129.0)


def test_film_by_zone_with_the_lines_of_the_rule():
    chart = filmed(*films(*GOOD))
    assert chart.series[0].y == GOOD
    assert [(rule.value, rule.words, rule.start, rule.forbidden) for rule in chart.rules] == [
        (120.0, "nominal", "Z1", "none"),
        (near(96.0), "80 %", "Z1", "below"),
    ]
    assert chart.title == "Film thickness, 10 readings: every zone meets its rule"


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (films(60, *GOOD[1:]), "Z1 missed the rule"),
        (films(60, *GOOD[1:]) + films(*GOOD, attempt=2), "Z1 missed the rule at first"),
        (films(*GOOD[:4]), "not every zone could be judged"),
    ],
    ids=["missed", "mended", "too few readings"],
)
def test_the_title_claims_no_more_than_the_findings(rows, told):
    assert filmed(*rows).title == f"Film thickness, {len(rows)} readings: {told}"


def test_the_title_does_not_speak_of_a_rule_where_nobody_set_one():
    assert filmed(*films(*GOOD), mine=()).title.endswith("not every zone could be judged")


def test_surveys_of_one_zone_stand_side_by_side():
    rows = [row for attempt in (1, 2, 3) for row in films(*GOOD, attempt=attempt)]
    assert filmed(*rows).x.categories == ("Z1", "Z1 again", "Z1 again (3)")


def test_readings_on_a_part_are_drawn_too():
    part = zone("P1", kind="part")
    assert filmed(*films(*GOOD, where="P1"), places=(part,)).x.categories == ("P1",)


# Gloss


def test_gloss_by_zone_and_angle_with_the_limits():
    readings = [(60, 88.4, 1), (60, 91.0, 1), (20, 80.0, 1), (60, 95.0, 2)]
    rows = [
        {"zone": "Z1", "attempt": attempt, "number": number, "angle": angle, "gloss": gloss}
        for number, (angle, gloss, attempt) in enumerate(readings, 1)
    ]
    chart = drawn(evidence({Place: [Z1], Gloss: rows}))["coa-11-gloss"]
    assert {series.name: (series.x, series.y) for series in chart.series} == {
        "at 60°": (("Z1", "Z1", "Z1 again"), (88.4, 91.0, 95.0)),
        "at 20°": (("Z1",), (80.0,)),
    }
    assert [(rule.value, rule.words) for rule in chart.rules] == [(85.0, "60°: at least 85 GU")]
    assert chart.title == "Gloss by zone, 4 readings: lowest single reading at 60° 88.4 units; means are judged"


def test_gloss_read_at_20_degrees_only():
    rows = [{"zone": "Z1", "angle": 20, "gloss": 80}]
    assert drawn(evidence({Place: [Z1], Gloss: rows}))["coa-11-gloss"].title.endswith("not read at 60°")
