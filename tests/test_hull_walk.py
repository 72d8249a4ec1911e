"""A walk through the hull of the demonstration, from part to batch and back, and from what the book says to the rows.

The tables are read with the standard library alone; the two ways are turned about here, not by the program.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections import defaultdict
from datetime import date
from pathlib import Path

import pytest

from buildbook.core.finding import Finding
from tests.demonstration import demonstration

HULL = Path(__file__).parents[1] / "demo_build" / "hull"
PART = re.compile(r"\bN7\d{3}\b")
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    """The rows of a table."""
    with (HULL / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


@pytest.fixture(scope="module")
def parts() -> dict[str, Row]:
    return {row["part"]: row for row in rows("parts/register.csv")}


@pytest.fixture(scope="module")
def batches() -> dict[str, Row]:
    return {row["batch"]: row for row in rows("batches.csv")}


@pytest.fixture(scope="module")
def found() -> list[Finding]:
    """Every finding of the chapter of parts."""
    (chapter,) = [one for one in demonstration().book.chapters if one.key == "parts"]
    return [numbered.finding for check in chapter.checks for numbered in check.governing]


def of(found: list[Finding], check: str, quantity: str) -> list[Finding]:
    return [one for one in found if (one.key.check, one.key.quantity) == (check, quantity)]


def told(line: str) -> tuple[str, set[str]]:
    """The first number of a line of the working, and what stands after its colon."""
    name, _, rest = line.partition(": ")
    return name.split(" ")[0], set(re.findall(r"\b[A-Z]+-?[A-Z0-9-]*\d\b", rest.split("; ")[0]))


def test_each_batch_in_a_part_is_in_the_table_of_batches(parts: dict[str, Row], batches: dict[str, Row]) -> None:
    links = rows("parts/batches.csv")
    assert len(links) > 50
    for link in links:
        assert link["batch"] in batches, link
        assert link["part"] in parts, link
        received = batches[link["batch"]]["received"]
        assert date.fromisoformat(received) <= date.fromisoformat(link["used_on"]), link


def test_each_part_that_was_made_leads_to_a_batch(parts: dict[str, Row]) -> None:
    linked = {link["part"] for link in rows("parts/batches.csv")}
    assert {number for number, row in parts.items() if row["state"] != "not used"} == linked


def test_each_part_that_a_finding_names_is_in_the_register(parts: dict[str, Row], found: list[Finding]) -> None:
    assert len(found) > 30
    named = set()
    for one in found:
        for words in (one.key.place, one.observed, *one.working, *one.notes):
            named |= set(PART.findall(words))
    assert named <= set(parts)
    assert named == set(parts)  # and none is left out
    stands = {one.key.place for one in of(found, "PAR-03", "release before fitting")}
    assert stands == {number for number, row in parts.items() if row["state"] == "fitted"}


def test_the_way_back_from_each_batch_is_the_way_there_turned_about(
    found: list[Finding], batches: dict[str, Row]
) -> None:
    (forward,), (back,) = (
        of(found, "PAR-02", name) for name in ("batches behind each part", "parts behind each batch")
    )
    there = dict(told(line) for line in forward.working)
    turned: dict[str, set[str]] = defaultdict(set)
    for part, its in there.items():
        for batch in its:
            turned[batch].add(part)
    again = {batch: set(PART.findall(" ".join(its))) for batch, its in (told(line) for line in back.working)}
    assert {batch: its for batch, its in again.items() if its} == turned
    apart = {batch for batch, its in again.items() if not its}
    assert apart == {row["batch"] for row in rows("parts/stock.csv")}
    kinds = {batches[batch]["kind"] for batch in turned}
    assert set(again) == {number for number, row in batches.items() if row["kind"] in kinds}


def test_the_links_in_the_book_are_those_of_the_table(found: list[Finding]) -> None:
    (forward,) = of(found, "PAR-02", "batches behind each part")
    written: dict[str, set[str]] = defaultdict(set)
    for link in rows("parts/batches.csv"):
        written[link["part"]].add(link["batch"])
    assert dict(told(line) for line in forward.working) == written


def test_from_the_hull_number_to_each_part_and_from_each_item_to_its_numbers(parts: dict[str, Row]) -> None:
    """Every fitted part bears her number; each item of the list is fitted as often as it asks."""
    text = (HULL / "hull.toml").read_text(encoding="utf-8")
    number = re.search(r'^number = "(.+)"$', text, re.MULTILINE)
    assert number
    fitted = [row for row in parts.values() if row["state"] == "fitted"]
    assert {row["hull"] for row in fitted} == {number[1]}
    counted: dict[str, int] = defaultdict(int)
    for row in fitted:
        counted[row["item"]] += 1
    assert counted == {row["item"]: int(row["quantity"]) for row in rows("parts/list.csv")}


def test_each_scrapped_number_leads_to_its_report_and_to_the_part_that_is_fitted(parts: dict[str, Row]) -> None:
    reports = {row["report"]: row for row in rows("nonconformities.csv")}
    scrapped = [row for row in parts.values() if row["state"] == "scrapped"]
    assert len(scrapped) == 2
    for row in scrapped:
        assert parts[row["replaced_by"]]["state"] == "fitted"
        report = reports[row["report"]]
        assert report["disposition"] == "scrap" or report["replaced_on"]
        assert parts[row["replaced_by"]]["made_on"] > report["found_on"]


def test_batches_of_the_laminate_came_in_as_its_deliveries_say(batches: dict[str, Row]) -> None:
    for delivery in rows("laminate/deliveries.csv"):
        row = batches[delivery["batch"]]
        assert (row["material"], row["received"]) == (delivery["material"], delivery["received"])
        assert (row["certificate"], row["supplier"]) == (delivery["certificate"], delivery["supplier"])


def test_a_rudder_blade_is_closed_after_its_slot_was_measured_and_fitted_before_launch(parts: dict[str, Row]) -> None:
    """Blade and stock are one piece by then: cloth, resin, hardener, a plate of stainless steel, glue to close it."""
    measured = max(row["at"] for row in rows("shafting/rudder_stocks.csv"))
    launched = tomllib.loads((HULL / "hull.toml").read_text("utf-8"))["dates"]["launched"].isoformat()
    kinds = {row["batch"]: row["kind"] for row in rows("batches.csv")}
    for stock, blade in (("N7018", "N7020"), ("N7019", "N7021")):
        assert measured < parts[stock]["released_on"] < parts[stock]["fitted_on"] < launched
        assert measured[:10] < parts[blade]["made_on"] < parts[blade]["released_on"] < parts[blade]["fitted_on"]
        assert parts[blade]["fitted_on"] == parts[stock]["fitted_on"]
        its = sorted(kinds[link["batch"]] for link in rows("parts/batches.csv") if link["part"] == blade)
        assert its == ["adhesive", "hardener", "metal", "reinforcement", "resin"]


def test_a_part_that_is_also_a_place_of_another_chapter_stands_where_that_stands() -> None:
    places = {row["place"]: (row["x [m]"], row["y [m]"], row["z [m]"]) for row in rows("places.csv")}
    for part, other in (("N7026", "Y12"), ("N7022", "T2"), ("N7018", "F3"), ("N7019", "F4")):
        assert places[part] == places[other]
