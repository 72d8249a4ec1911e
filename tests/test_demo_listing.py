"""The listing sheet of the demonstration: what it may say, and its facts worked out from the tables."""

from __future__ import annotations

import csv
import math
from functools import cache
from pathlib import Path
from statistics import fmean

import pytest

from buildbook.core.book import Book, State
from buildbook.core.listing import Saying
from buildbook.pipeline import Made, make_book
from buildbook.render.banned_words import banned
from buildbook.render.html import Facts
from buildbook.render.listing_data import data
from buildbook.render.templates import templates_dir
from buildbook.sheet.summary import MOST_WORDS, count_words
from buildbook.sheet.words import words

DEMO = Path(__file__).parents[1] / "demo_build" / "hull"


@cache
def demo() -> Made:
    return make_book(DEMO)


def book() -> Book:
    return demo().book


def fact(check: str, quantity: str) -> Saying:
    return next(one for one in book().listing.facts if (one.check, one.quantity) == (check, quantity))


def rows(file: str, **wanted: str) -> list[dict[str, str]]:
    with (DEMO / file).open(encoding="utf-8", newline="") as opened:
        return [row for row in csv.DictReader(opened) if all(row[name] == value for name, value in wanted.items())]


def test_there_are_five_to_eight_facts_with_everything_that_belongs_to_each():
    sheet = book().listing
    assert 5 <= len(sheet.facts) <= 8
    assert sheet.facts == sheet.sayings[: len(sheet.facts)]
    for one in sheet.sayings:
        parts = (one.value, one.place, one.day, one.limit if one.setter else "nobody set a limit", *one.told)
        assert [part for part in parts if part not in one.sentence] == []
        assert one.sentence.count(". ") == 0, "one sentence, so that nothing can be cut off at its end"
    assert {one.check[:3] for one in sheet.facts} == {"LAM", "PRO", "VIB", "COA"}


def test_the_summary_has_120_to_150_words():
    assert 120 <= count_words(" ".join(book().listing.summary)) <= MOST_WORDS


def test_nothing_said_claims_more_than_records_can_show():
    sheet = book().listing
    said = (sheet.exceptions, *sheet.summary, *sheet.validity, *(one.sentence for one in sheet.sayings))
    wording = [text for one in words(templates_dir()).sayings for text in (one.name, one.subject)]
    assert [
        found for text in (*said, *wording, *(one.reason for one in sheet.withheld)) for found in banned(text)
    ] == []


def test_the_wording_names_characteristics_that_exist_and_each_once():
    known = {
        (check.id, item.finding.key.quantity)
        for chapter in book().chapters
        for check in chapter.checks
        for item in check.governing
    }
    named = [(one.check, one.quantity) for one in words(templates_dir()).sayings]
    assert set(named) <= known
    assert len(named) == len(set(named))


def test_every_characteristic_is_either_said_or_withheld_with_a_reason():
    sheet = book().listing
    said = {(one.check, one.quantity) for one in sheet.sayings}
    withheld = {(one.check, one.quantity): one.reason for one in sheet.withheld}
    assert said.isdisjoint(withheld)
    assert all(withheld.values())
    everything = {
        (check.id, item.finding.key.quantity)
        for chapter in book().chapters
        for check in chapter.checks
        for item in check.governing
    }
    assert said | set(withheld) == everything


def test_nothing_that_failed_and_stands_so_is_said():
    bad = {
        (item.finding.key.check, item.finding.key.quantity)
        for item in book().exceptions
        for matter in book().matters
        if item.number in matter.findings and matter.state not in (State.PUT_RIGHT, State.CLOSE)
    }
    assert bad & {(one.check, one.quantity) for one in book().listing.sayings} == set()
    assert ("VIB-01", "weighted vibration") in bad
    assert ("COA-10", "pull-off strength") in bad


def test_data_for_programs_have_one_property_for_each_sentence():
    made = data(book())
    assert [one["description"] for one in made["additionalProperty"]] == [
        one.sentence for one in book().listing.sayings
    ]


# Worked out from the tables with nothing of the program


def test_sound_in_the_saloon_is_the_mean_by_energy():
    levels = [float(row["level [dB]"]) for row in rows("sound/levels.csv", place="V2", run="R3")]
    one = fact("VIB-11", "sound level")
    assert one.place.startswith("Saloon, middle (V2)")
    assert one.amount == pytest.approx(10 * math.log10(fmean(10 ** (level / 10) for level in levels)), abs=0.005)
    assert {row["at"][:10] for row in rows("sound/levels.csv", place="V2", run="R3")} == {one.day}


def test_glass_of_a_skin_is_the_mean_of_its_coupons():
    found = rows("laminate/burn_off.csv", zone="L3", skin="outer skin")
    weighed = [[float(row[f"{name} [g]"]) for name in ("crucible", "full", "residue")] for row in found]
    glass = [100 * (residue - crucible) / (full - crucible) for crucible, full, residue in weighed]
    one = fact("LAM-02", "mean glass content")
    assert one.place == "Hull side, starboard (L3), outer skin"
    assert len(glass) == 3
    assert one.amount == pytest.approx(fmean(glass), abs=0.05)
    assert one.day == f"{min(row['at'] for row in found)[:10]} to {max(row['at'] for row in found)[:10]}"


def test_balance_is_the_speed_of_the_centre_of_mass():
    (row,) = rows("propeller/balance.csv", propeller="P1", way="static")
    speed = float(row["residual [g]"]) * float(row["radius [mm]"]) / (1000 * float(row["mass [kg]"]))
    one = fact("PRO-12", "balance grade")
    assert one.amount == pytest.approx(speed * 2 * math.pi * float(row["speed [rpm]"]) / 60, abs=0.005)
    assert one.day == row["at"][:10]


@pytest.mark.parametrize(
    ("check", "quantity", "file", "head", "place", "key"),
    [
        ("COA-08", "mean film thickness", "coating/film_thickness.csv", "thickness [um]", "Z1", "zone"),
        ("LAM-07", "mean hardness", "hardness.csv", "barcol", "L4", "place"),
    ],
)
def test_means_are_those_of_the_rows(check: str, quantity: str, file: str, head: str, place: str, key: str):
    found = rows(file, **{key: place})
    one = fact(check, quantity)
    assert f"({place})" in one.place
    assert one.amount == pytest.approx(fmean(float(row[head]) for row in found), abs=0.051)
    assert {row["at"][:10] for row in found} == {one.day}


def test_moisture_is_the_worst_reading_above_its_dry_spot():
    found = rows("moisture.csv", place="Z1")
    one = fact("COA-16", "moisture above dry reference")
    assert one.amount == max(float(row["reading"]) - float(row["dry_reference"]) for row in found)


def test_the_facts_are_the_nearest_to_their_limits_and_not_chosen():
    """Mean pitch of the propellers, ordered as 880 mm: the one told is as far from it as any that stands today."""
    checks = [check for chapter in book().chapters for check in chapter.checks]
    found = {it.number: it.finding for check in checks for it in check.governing if check.id == "PRO-04"}
    off = {number: abs(it.measured.value - 880) for number, it in found.items() if it.measured is not None}
    attempts = {
        it.key.place: max(o.key.attempt for o in found.values() if o.key.place == it.key.place) for it in found.values()
    }
    today = [number for number, it in found.items() if it.key.attempt == attempts[it.key.place]]
    told = fact("PRO-04", "mean pitch of the propeller").finding
    assert len(today) == 2
    assert off[told] == max(off[number] for number in today)


def test_the_printed_sheet_has_two_pages():
    import io

    import pikepdf

    from buildbook.render.listing_pdf import listing_pdf

    numbers = {one.finding.replace("/", "-"): 123 for one in book().listing.facts}
    with pikepdf.open(io.BytesIO(listing_pdf(book(), Facts("0" * 64, {}, "x.pdf"), numbers))) as opened:
        assert len(opened.pages) == 2
