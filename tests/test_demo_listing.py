"""The listing sheet of the demonstration: what it may say, and its facts worked out from the tables."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path
from statistics import fmean

import pytest

from buildbook.core.book import Book, Numbered
from buildbook.core.finding import Verdict
from buildbook.core.judging import AGREED_GOVERNS, NOBODY_SET, REFERENCE_GOVERNS
from buildbook.core.listing import Saying, Told
from buildbook.core.matter import State
from buildbook.pipeline import Made
from buildbook.render.banned_words import banned
from buildbook.render.html import Facts
from buildbook.render.listing_data import data
from buildbook.render.templates import templates_dir
from buildbook.sheet.summary import MOST_WORDS, count_words, near_misses
from buildbook.sheet.words import words
from tests.demonstration import demonstration

DEMO = Path(__file__).parents[1] / "demo_build" / "hull"


def demo() -> Made:
    return demonstration()


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
        parts = (one.value, one.place, one.day, one.limit if one.setter else "Nobody set a limit", *one.told)
        assert [part for part in (*parts, one.standing, one.record) if part not in one.text] == []
        assert one.text.endswith(one.record)
    # Nothing is said of the propellers: one missed its ordered class, the other failed before it was put right.
    assert {one.check[:3] for one in sheet.facts} == {"LAM", "VIB", "COA"}


def governing() -> list[Numbered]:
    return [item for chapter in book().chapters for check in chapter.checks for item in check.governing]


def kind(item: Numbered) -> str:
    """What is read: hardness has two names, both the mean of the readings of a Barcol impressor in hardness.csv."""
    quantity = item.finding.key.quantity
    return "Barcol hardness" if (item.finding.key.check, quantity) == ("LAM-07", "mean hardness") else quantity


def test_the_value_told_is_that_with_the_least_margin_of_all_checks_places_and_attempts_and_a_clear_pass():
    items = {it.number: it for it in governing()}
    for one in book().listing.sayings:
        its = [it for it in governing() if kind(it) == kind(items[one.finding])]
        limited = [it for it in its if it.finding.limit is not None]
        if not limited:
            continue
        # Margin over the limit, worked out anew: over the width where there are two ends.
        ends = {it.number: (it.finding.limit.low, it.finding.limit.high) for it in limited if it.finding.limit}
        least = min(limited, key=lambda it: share_of_limit(it, *ends[it.number]))
        assert least.number == one.finding, one.name
        assert {it.finding.verdict for it in limited} == {Verdict.PASS}


def share_of_limit(item: Numbered, low: float | None, high: float | None) -> float:
    assert item.finding.measured is not None
    value = item.finding.measured.value
    if low is not None and high is not None:
        return min(value - low, high - value) / (high - low)
    return (value - low) / low if low is not None else ((high or 0.0) - value) / (high or 1.0)


@pytest.mark.parametrize(
    ("check", "quantity", "words"),
    [
        ("VIB-02", "weighted vibration", "The same quantity missed its limit"),
        ("VIB-06", "level at blade rate", "What rests on the same records missed its limit: VIB-01/19"),
        ("VIB-11", "sound level", "without a clear margin: VIB-11/13"),
        ("LAM-02", "mean glass content", "without a clear margin: LAM-02/7"),
        ("COA-16", "moisture above dry reference", "without a clear margin: COA-16/6."),
        ("LAM-12", "moisture above dry reference", "without a clear margin: COA-16/6, in another check."),
        ("LAM-07", "mean hardness", "without a clear margin: COA-16/13, in another check."),
        ("COA-08", "mean film thickness", "without a clear margin: COA-08/11"),
        ("COA-09", "film from litres", "plausibility, not a measurement"),
        ("PRO-04", "mean pitch of the propeller", "What rests on the same records missed its limit"),
        ("PRO-12", "balance grade", "1 of 7 missed the limit: PRO-12/12, put right and measured again."),
    ],
)
def test_what_a_surveyor_would_catch_is_not_said_and_why(check: str, quantity: str, words: str):
    (one,) = [it for it in book().listing.withheld if (it.check, it.quantity) == (check, quantity)]
    assert words in " ".join(one.reasons)


def test_the_same_place_is_never_praised_alone():
    told = {one.check: one for one in book().listing.sayings}
    assert "dust inclusions at Z4 (COA-12/14, open today)" in told["COA-12"].text
    assert "place found open at L4 (LAM-11/16, put right and measured again)" in told["LAM-12"].text


def test_notes_that_stand_beside_the_number_in_the_book_travel_with_it():
    items = {it.number: it for it in governing()}
    said_otherwise = (NOBODY_SET, REFERENCE_GOVERNS, AGREED_GOVERNS)
    for one in book().listing.sayings:
        notes = [note for note in items[one.finding].finding.notes if note not in said_otherwise]
        assert [note for note in notes if note not in one.record] == []
    (machines,) = [one for one in book().listing.sayings if one.check == "VIB-10"]
    assert "Not measured here in this run: longitudinal and transverse." in machines.text
    assert "run R1 (28.2 kn, shafts at 1133 and 1130 r/min)" in machines.text
    # ISO 10816-1:1995 (second-hand): a new machine lies in zone A, and class III ends there at 1.8 mm/s.
    assert machines.amount > 1.8
    assert "New machines lie in zone A; this one lies in zone B." in machines.text
    (salt,) = [one for one in book().listing.sayings if one.quantity == "soluble salt"]
    assert "The method is written for steel." in salt.text


def test_no_text_says_that_the_builder_set_a_limit_and_that_he_set_none():
    texts = [one.text for one in book().listing.sayings]
    assert [text for text in texts if "limit set by" in text and "sets no limit" in text] == []
    (machines,) = [text for text in texts if text.startswith("Vibration of a machine")]
    assert "class or kind set by builder: VP-01, revision A; its limit after ISO 10816-1:1995" in machines


def test_every_matter_of_the_book_is_named_with_what_else_shows_it():
    told = [one for group in book().listing.opened for one in group.told]
    assert len(told) == len(book().matters)
    matters = [it for state in State for it in book().matters if it.state is state]
    assert [one.finding for one in told] == [it.findings[0] for it in matters]
    for one, it in zip(told, matters, strict=True):
        assert one.what.startswith(it.what.removesuffix("."))
    assert [it.also for it in book().matters] == [one.also for one in told]
    assert any("Accuracy class: class III (asked for: class I)" in one.also for one in told)
    assert sum(group.findings for group in book().listing.opened) == len(book().exceptions)


def line_of(number: str) -> Told:
    return next(one for group in book().listing.opened for one in group.told if one.finding == number)


def test_what_was_put_right_is_told_with_its_limit_and_with_what_was_measured_after():
    """From the tables: the film and the circuit as left, and the extinguisher that was bought."""
    film = [int(row["thickness [um]"]) for row in rows("coating/film_thickness.csv", zone="Z3", attempt="2")]
    (found,) = rows("systems/voltage_drop.csv", circuit="E2", attempt="2")
    (circuit,) = rows("systems/circuits.csv", circuit="E2")
    source, load, flowed = (float(found[head]) for head in ("source [V]", "load [V]", "current [A]"))
    drop = (source - load) / source * float(circuit["current [A]"]) / flowed * 100
    (device,) = rows("systems/safety_devices.csv", place="Y6", attempt="2")
    delivered = next(day for event, day in book().hull.dates if event == "delivered")
    left = (date.fromisoformat(device["good_until"]) - delivered).days
    for number, limit, after in (
        ("COA-08/15", "at least 224 µm", f"{min(film):.1f} ± 6.0 µm"),
        ("SYS-09/3", "at most 3 %", f"{drop:.3f} ± 0.063 %"),
        ("SYS-14/3", "at least 0 days", f"{left} days"),
    ):
        one = line_of(number)
        assert one.what.endswith(f"; {limit}. After rework: {after}, pass")
        assert one.short.endswith(f", {limit}, after rework: {after}, pass")
    put_right = [line_of(it.findings[0]) for it in book().matters if it.state is State.PUT_RIGHT]
    assert [
        one.finding for one in put_right if "fter rework: " not in one.what or "after rework: " not in one.short
    ] == []


def test_what_is_not_decided_is_told_with_its_reason():
    (flowed,) = (row["current [A]"] for row in rows("systems/voltage_drop.csv", circuit="E5"))
    one = line_of("SYS-09/10")
    assert one.what.endswith(
        f"at most 10 %. Only {flowed} A of 8 A flowed, less than nine tenths. The full drop is larger"
    )
    assert one.short.endswith(f", at most 10 % (only {flowed} A of 8 A flowed, less than nine tenths)")
    undecided = [line_of(it.findings[0]) for it in book().matters if it.state is State.UNDECIDED]
    assert [one.finding for one in undecided if not one.short.endswith(")")] == []


def test_near_misses_are_those_that_the_book_lists_as_such():
    close = [it for it in book().matters if it.state is State.CLOSE]
    accepted = 11  # reports of what was accepted as found or repaired, REG-04
    assert near_misses(book()) == (sum(len(it.findings) for it in close), accepted)


def test_the_summary_has_120_to_150_words():
    assert 120 <= count_words(" ".join(book().listing.summary)) <= MOST_WORDS


def test_nothing_said_claims_more_than_records_can_show():
    sheet = book().listing
    said = (sheet.exceptions, *sheet.summary, *sheet.validity, *(one.text for one in sheet.sayings))
    wording = [text for one in words(templates_dir()).sayings for text in (one.name, one.subject)]
    assert [
        found
        for text in (*said, *wording, *(why for one in sheet.withheld for why in one.reasons))
        for found in banned(text)
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
    withheld = {(one.check, one.quantity): one.reasons for one in sheet.withheld}
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
    assert [one["description"] for one in made["additionalProperty"]] == [one.text for one in book().listing.sayings]


# Worked out from the tables with nothing of the program


def test_salt_is_the_reading_of_the_one_part_with_a_limit():
    one = fact("COA-14", "soluble salt")
    assert "(M3)" in one.place
    assert (one.limit, one.setter.startswith("IMO MSC.1/Circ.1378")) == ("at most 50 mg/m²", True)


def test_the_near_skin_is_the_thinnest_mean_since_thin_is_worse():
    found = rows("laminate/thickness.csv")
    means = {
        place: fmean(float(row["thickness [mm]"]) for row in found if row["zone"] == place)
        for place in {row["zone"] for row in found}
    }
    one = fact("LAM-12", "mean thickness of the near skin")
    least = min(means, key=lambda place: means[place])
    assert f"({least})" in one.place
    assert one.amount == pytest.approx(means[least], abs=0.005)


def whole_reasons(check: str, quantity: str) -> str:
    (one,) = [it for it in book().listing.withheld if (it.check, it.quantity) == (check, quantity)]
    return " ".join(one.reasons)


def test_the_softest_place_of_all_keeps_hardness_from_being_said():
    """From hardness.csv alone, for both limits are 38 (specification of the demonstration)."""
    found = rows("hardness.csv")
    means = {
        place: fmean(float(row["barcol"]) for row in found if row["place"] == place)
        for place in {row["place"] for row in found}
    }
    softest = min(means, key=lambda place: means[place])
    items = {it.number: it for it in governing()}
    number = whole_reasons("LAM-07", "mean hardness").partition("margin: ")[2].partition(",")[0]
    assert items[number].finding.key.place == softest
    assert f"without a clear margin: {number}." in whole_reasons("COA-16", "Barcol hardness")


def test_the_wettest_place_of_all_keeps_moisture_from_being_said():
    """From moisture.csv alone, for both limits are 5 (specification of the demonstration)."""
    found = rows("moisture.csv")
    above = {
        place: max(float(row["reading"]) - float(row["dry_reference"]) for row in found if row["place"] == place)
        for place in {row["place"] for row in found}
    }
    wettest = max(above, key=lambda place: above[place])
    items = {it.number: it for it in governing()}
    number = whole_reasons("LAM-12", "moisture above dry reference").partition("margin: ")[2].partition(",")[0]
    assert items[number].finding.key.place == wettest


def test_distinction_of_image_is_the_mean_of_its_rows():
    with (DEMO / "coating/appearance.csv").open(encoding="cp1252", newline="") as opened:
        found = [row for row in csv.DictReader(opened, delimiter=";") if row["zone"] == "Z3" and row["image"]]
    one = fact("COA-12", "distinctness of image")
    assert "(Z3)" in one.place
    assert one.amount == pytest.approx(fmean(float(row["image"].replace(",", ".")) for row in found), abs=0.051)
    assert "each against its own limit" in one.standing


def test_the_printed_sheet_has_two_pages_with_what_was_measured_after_and_why_nothing_is_decided():
    import pypdfium2

    from buildbook.render.listing_pdf import listing_pdf

    numbers = {item.anchor: 123 for item in governing()}
    printed = pypdfium2.PdfDocument(listing_pdf(book(), Facts("0" * 64, {}, "x.pdf"), numbers))
    try:
        texts = [" ".join(page.get_textpage().get_text_range().split()) for page in printed]
    finally:
        printed.close()
    assert len(texts) == 2
    for words_of in (
        "0.186 ± 0.013 mm/m, at most 0.05 mm/m, after rework: 0.036 ± 0.013 mm/m, pass",
        "(only 5.1 A of 8 A",
    ):
        assert words_of in " ".join(texts).replace("\u00a0", " ")
