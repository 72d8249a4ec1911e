"""Rows that contradict each other: neither is used, and both faults say where the other one stands. Synthetic rows."""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.climate import dew_point_margins
from buildbook.chapters.coating.cross import CROSS_CHECKS, batches_of_their_product, coats_in_order
from buildbook.chapters.coating.records import Batch, Coat
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Severity
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import INCONCLUSIVE, Tables


def coat(layer, start, end, where="Z1", name="", **more):
    day = "2026-03-18"
    times = {"mixed": f"{day} {start}", "started": f"{day} {start}", "finished": f"{day} {end}"}
    row = {"coat": name or f"{where}-{layer}", "zone": where, "layer": layer, "product": "PU-T", **times}
    return {**row, "base_batch": "B-1", "hardener_batch": None, "thinner_batch": None, **more}


def folder(*coats, batches=()) -> Evidence:
    rows: Tables = {Coat: coats, Batch: batches}
    return evidence(rows)


def test_coats_that_follow_each_other_are_in_order():
    one_after_the_other = (coat(1, "08:00", "09:00"), coat(2, "09:00", "10:00"), coat(1, "08:30", "09:30", "Z2"))
    assert list(coats_in_order(folder(*one_after_the_other))) == []
    assert list(coats_in_order(folder(*reversed(one_after_the_other)))) == []


def test_a_coat_begun_before_the_one_below_ended():
    faults = list(coats_in_order(folder(coat(1, "08:00", "09:30"), coat(2, "09:00", "10:00"))))
    assert [(str(fault.where), fault.found) for fault in faults] == [
        ("coating/coats.csv:2, column 'finished'", "2026-03-18 09:30 (see line 3)"),
        ("coating/coats.csv:3, column 'started'", "2026-03-18 09:00 (see line 2)"),
    ]
    assert {fault.severity for fault in faults} == {Severity.FAULT}
    assert "2026-03-18 09:00" in faults[0].expected
    assert "2026-03-18 09:30" in faults[1].expected


def test_two_coats_with_one_layer_number():
    rows = (coat(1, "08:00", "09:00"), coat(1, "10:00", "11:00", name="Z1-1b"), coat(2, "12:00", "13:00"))
    faults = list(coats_in_order(folder(*rows)))
    assert [(fault.where.line, fault.where.column, fault.found) for fault in faults] == [
        (2, "layer", "another in line 3"),
        (3, "layer", "another in line 2"),
    ]


@pytest.mark.parametrize(("product", "wrong"), [("PU-T", False), ("EP-S", True)])
def test_the_batch_of_a_coat_is_a_batch_of_its_product(product, wrong):
    batch = {"batch": "B-1", "product": product, "component": "base"}
    faults = list(batches_of_their_product(folder(coat(1, "08:00", "09:00"), batches=[batch])))
    assert [(fault.where.column, fault.found) for fault in faults] == (
        [("base_batch", "B-1, a batch of EP-S")] if wrong else []
    )


def test_a_thinner_may_serve_several_products_and_an_unknown_batch_is_left_to_the_check():
    thinner = {"batch": "T-1", "product": "EP-S", "component": "thinner"}
    rows = (coat(1, "08:00", "09:00", base_batch="B-9", thinner_batch="T-1"),)
    assert list(batches_of_their_product(folder(*rows, batches=[thinner]))) == []


def test_what_rests_on_a_contradiction_is_not_judged():
    given = folder(coat(1, "08:00", "09:30"), coat(2, "09:00", "10:00"))
    faults = [fault for check in CROSS_CHECKS for fault in check(given)]
    found = list(dew_point_margins(given.without(faults)))
    assert {finding.key.condition: finding.verdict for finding in found} == {
        "Z1-1": INCONCLUSIVE,
        "Z1-2": INCONCLUSIVE,
    }
