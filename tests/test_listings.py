"""What must be read beside a verdict in the lists: calibration not shown, a guard band of the builder's own choice."""

from __future__ import annotations

from datetime import datetime

import pytest

from buildbook.chapters.readings import calibration_notes
from buildbook.chapters.shared_records import Instrument
from buildbook.core.book import Numbered
from buildbook.core.finding import Key
from buildbook.core.judging import About, Limits, judge
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.listings import told
from tests.chapters.coating.small_folder import instrument
from tests.chapters.evidence_builder import evidence, record


def shown(guard, standing, notes=(), unit="GU"):
    limit = Limit(unit, (Term("at least 85", standing, source="ISO-2813"),), low=85.0, guard=guard)
    (finding,) = judge(
        Key("COA-11", "gloss at 60°", "Z3"), Quantity(89.0, unit, 1.0), Limits(limit), About(notes=notes)
    )
    item = Numbered("COA-11/1", "coa-11-1", finding, "", "", "", finding.verdict.value, "", "", (), "")
    return told(evidence({}), item, ())


@pytest.mark.parametrize(
    ("guard", "standing", "words"),
    [
        (1.0, Standing.BUILDER, ()),
        (0.5, Standing.BUILDER, ("The guard band of this limit is 0.5 times the uncertainty, not the whole of it.",)),
        (0.5, Standing.READ, ("The guard band of this limit is 0.5 times the uncertainty, not the whole of it.",)),
        (0.0, Standing.READ, ()),  # the printed tables say why: glossary, coating_limits.csv
    ],
)
def test_a_guard_band_that_somebody_chose_is_told_with_the_verdict(guard, standing, words):
    assert shown(guard, standing, notes=("A note for the working.",)) == words


def test_no_guard_band_by_the_builders_choice_is_told_with_the_verdict():
    (words,) = shown(0.0, Standing.BUILDER)
    assert words.startswith("This limit has no guard band")
    assert shown(0.0, Standing.BUILDER, unit="h") == ()


def test_an_overdue_instrument_is_told_with_the_verdict_and_what_rests_on_it():
    overdue = record(Instrument, instrument("GL-01", "gloss", "GU", 1.0, due="2026-04-01"))
    notes = calibration_notes(overdue, [datetime(2026, 4, 14)])
    assert shown(1.0, Standing.BUILDER, notes) == notes
    assert notes[0].endswith("first 2026-04-14; the uncertainty shown rests on its certificate.")
    silent = record(Instrument, instrument("GL-01", "gloss", "GU", None, due="2026-04-01"))
    assert "rests" not in calibration_notes(silent, [datetime(2026, 4, 14)])[0]
