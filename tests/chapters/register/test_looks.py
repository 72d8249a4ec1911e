"""REG-05: what a careful reader would ask about, in tables of any chapter. All inputs are synthetic."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from buildbook.chapters import CHAPTERS
from buildbook.chapters.coating.records import Climate, FilmReading
from buildbook.chapters.infusion.records import LogReading
from buildbook.chapters.laminate.records import ThicknessReading
from buildbook.chapters.register.looks import FOR_THE_YARD, LOOKS
from buildbook.chapters.register.looks import look_findings as looked
from buildbook.chapters.register.repeats import ORDER, RECURS
from buildbook.chapters.register.steps import DIGITS, ON_LIMIT
from buildbook.chapters.register.twice_shown import PICTURES
from buildbook.chapters.shared_records import Hardness, Instrument, Nonconformity, PhotographRecord, Planned
from buildbook.chapters.systems.records.fuel import SenderReading
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.hull import Hull
from buildbook.core.limit import Limit, Term
from buildbook.core.picture import PictureLook
from buildbook.core.record import Record
from buildbook.core.source import Standing
from buildbook.pipeline import judge
from tests.chapters.evidence_builder import evidence, spoiled

FILM = FilmReading.table.file
GAUGE = {"instrument": "UT-01", "quantity": "film thickness", "unit": "um", "resolution": 1.0}
COPIED = (181, 207, 195, 222, 190, 211, 199, 204)


def drawn(number, seed=1, middle=200.0, scatter=15.0):
    return [round(value) for value in np.random.default_rng(seed).normal(middle, scatter, number)]


def film(values, zone="Z1", *, first=1, minutes=None, **more):
    minutes = minutes or range(len(values))
    return [
        {
            "zone": zone,
            "attempt": 1,
            "number": n,
            "thickness": value,
            "at": f"2026-03-30 {9 + m // 60:02d}:{m % 60:02d}",
        }
        | {"instrument": "UT-01"}
        | more
        for n, (value, m) in enumerate(zip(values, minutes, strict=True), start=first)
    ]


def folder(rows, **more):
    return evidence({FilmReading: rows, Instrument: [GAUGE]}, hull=Hull(as_of=date(2026, 6, 15)), **more)


def told(given, quantity, findings=()):
    """Verdict, place and words of one look, the whole folder first."""
    found = [finding for finding in looked(given, findings) if finding.key.quantity == quantity]
    return [(finding.verdict, finding.key.place, finding.observed) for finding in found]


def test_reg_05_information_where_nothing_is_to_explain():
    given = folder([*film(drawn(60)), *film(drawn(60, seed=2), "Z2")])
    found = list(looked(given, ()))
    assert [finding.key.quantity for finding in found] == list(LOOKS)
    assert {finding.verdict for finding in found} == {Verdict.INFORMATION}
    assert all(finding.observed.endswith("nothing to explain") for finding in found)


def test_reg_05_inconclusive_where_a_series_stands_twice():
    given = folder([*film([*drawn(10), *COPIED]), *film([*drawn(6, seed=3), *COPIED], "Z2")])
    whole, notice = told(given, RECURS)
    assert whole[0] is Verdict.INFORMATION
    assert whole[2].endswith("1 thing to explain in 1 table")
    assert notice == (Verdict.INCONCLUSIVE, FILM, "rows 7 to 14 of Z2 are the same as rows 11 to 18 of Z1")
    (finding,) = [one for one in looked(given, ()) if one.key.place == FILM]
    assert FOR_THE_YARD in finding.notes
    assert [where.line for where in finding.at] == [*range(12, 20), *range(26, 34)]


def test_a_series_is_found_within_one_place_and_once_only():
    given = folder(film([*COPIED, *drawn(5), *COPIED]))
    assert [words for _, _, words in told(given, RECURS)[1:]] == [
        "rows 14 to 21 of Z1 are the same as rows 1 to 8 of Z1"
    ]


def test_a_whole_copy_of_a_short_table_is_found():
    """Eight readings of eight: the copy itself must not make agreement look common."""
    given = folder([*film(COPIED), *film(drawn(8, seed=5), "Z2"), *film(COPIED, "Z3")])
    assert [words for _, _, words in told(given, RECURS)[1:]] == ["rows 1 to 8 of Z3 are the same as rows 1 to 8 of Z1"]


def test_coarse_readings_agree_by_chance_and_are_not_told():
    """Steps of the size of the scatter: ten in a row may recur, so ten are not enough."""
    coarse = [5 * value for value in drawn(300, seed=7, middle=40, scatter=0.6)]
    assert len(told(folder(film(coarse)), RECURS)) == 1


def test_profiles_that_are_alike_by_nature_are_not_told():
    """Every series falls from 300 to 210 in tens, with one reading of its own: agreement at one number is common."""
    series = []
    for zone in range(1, 7):
        values = [310 - 10 * n for n in range(1, 11)]
        values[zone] += zone
        series += film(values, f"Z{zone}")
    assert len(told(folder(series), RECURS)) == 1


def test_false_alarms_of_recurring_series_are_rare():
    """300 tables of 60 readings in steps that agree one time in ten or so: at most a handful are told."""
    alarms = 0
    for seed in range(300):
        values = drawn(60, seed=seed, middle=200, scatter=3)
        alarms += len(told(folder([*film(values[:30]), *film(values[30:], "Z2")]), RECURS)) - 1
    assert alarms <= 3


def test_a_log_that_repeats_itself_is_left_out():
    rows = [{"zone": "Z1", "at": f"2026-03-10 {n // 6:02d}:{n % 6}0", "air": 20.5} for n in range(100)]
    assert list(looked(evidence({Climate: rows}), ())) == []


LOGGED_BAG = [
    {"part": "I1", "at": f"2025-09-09 {n // 6:02d}:{n % 6}0", "pressure": 25.0 if n < 80 else 26.5, "gauge": "VG-11"}
    for n in range(120)
]


def test_a_log_of_a_bag_that_repeats_itself_is_left_out():
    """A logger that shows 25 mbar for hours and always the same last digit: nobody is asked about a pump that holds."""
    gauge = {"instrument": "VG-11", "quantity": "bag pressure", "unit": "mbar", "resolution": 0.1}
    given = evidence({LogReading: LOGGED_BAG, Instrument: [gauge]})
    assert list(looked(given, ())) == []
    beside = evidence({LogReading: LOGGED_BAG, FilmReading: film(drawn(60)), Instrument: [gauge, GAUGE]})
    assert [finding.verdict for finding in looked(beside, ())] == [Verdict.INFORMATION] * len(LOOKS)
    lost = spoiled(beside, LogReading, 3, ["pressure"])
    assert {finding.verdict for finding in looked(lost, ())} == {Verdict.INFORMATION}, "nothing was to be seen there"


def filled(tank, minutes):
    """A tank filled on the meter: display and sender are read at the same round litres in every tank."""
    return [
        {"tank": tank, "attempt": 1, "number": n, "metered": 100.0 * n, "at": f"2026-05-13 08:{m:02d}"}
        | {"instrument": "FM-01"}
        for n, m in enumerate(minutes, start=1)
    ]


def test_litres_at_which_two_tanks_are_read_do_not_recur():
    given = evidence({SenderReading: [*filled("T1", range(9)), *filled("T2", range(20, 29))]})
    whole = told(given, RECURS)
    assert [words for _, _, words in whole] == ["0 series of 0 tables with running numbers: nothing to explain"]


def test_times_of_readings_at_set_litres_are_still_looked_at():
    given = evidence({SenderReading: [*filled("T1", range(9)), *filled("T2", [20, 21, 25, 23, 27])]})
    whole, notice = told(given, ORDER)
    assert whole[2].startswith("2 series of 1 table with running numbers and times")
    assert notice == (Verdict.INCONCLUSIVE, SenderReading.table.file, "T2: 4 was taken before 3")


def test_reg_05_inconclusive_where_somebody_prefers_a_digit():
    rounded = [10 * round(value / 10) if n % 2 else value for n, value in enumerate(drawn(120))]
    whole, notice = told(folder(film(rounded)), DIGITS)
    assert whole[0] is Verdict.INFORMATION
    assert notice[0] is Verdict.INCONCLUSIVE
    assert "last digits not even" in notice[2]


@pytest.mark.parametrize(
    ("values", "looked_at"),
    [
        (drawn(60), "1 column"),
        (drawn(49), "0 columns"),  # too few to expect five of each digit
        (drawn(60, scatter=2), "0 columns"),  # scatter of less than half the way round the digits
    ],
)
def test_digits_are_looked_at_where_they_can_be_even(values, looked_at):
    (whole,) = told(folder(film(values)), DIGITS)
    assert whole[2].startswith(looked_at)


def test_readings_written_in_tens_are_judged_in_tens():
    tens = [10 * value for value in drawn(60, middle=200, scatter=20)]
    (whole,) = [one for one in looked(folder(film(tens)), ()) if one.key.quantity == DIGITS]
    assert "in steps of 10 µm" in whole.working[0]


def test_readings_that_are_no_steps_of_their_instrument_are_left_out():
    between = [value + 0.5 for value in drawn(60)]
    (whole,) = told(folder(film(between)), DIGITS)
    assert whole[2].startswith("0 columns")


def test_steps_of_a_half_have_two_digits():
    values = [0.5 * value for value in drawn(60, middle=84, scatter=4)]
    rows = [{"place": "Z1", "number": n, "barcol": value, "at": f"2026-02-27 11:{n:02d}"} for n, value in
            enumerate(values[:59], 1)]  # fmt: skip
    gauge = {"instrument": "BI-01", "quantity": "Barcol hardness", "unit": "1", "resolution": 0.5}
    (whole,) = [
        one for one in looked(evidence({Hardness: rows, Instrument: [gauge]}), ()) if one.key.quantity == DIGITS
    ]
    assert "59 readings in steps of 0.5" in whole.working[0]
    assert "at most 10.828" in whole.working[0]


def test_reg_05_inconclusive_where_time_runs_backwards():
    given = folder(film(drawn(5), minutes=[0, 1, 5, 3, 7]))
    assert told(given, ORDER)[1] == (Verdict.INCONCLUSIVE, FILM, "Z1: 4 was taken before 3")


def test_times_that_are_alike_are_in_order():
    assert len(told(folder(film(drawn(4), minutes=[0, 0, 1, 1])), ORDER)) == 1


def photographs(*looks):
    rows = [{"file": f"photographs/{n}.png"} for n, _ in enumerate(looks)]
    given = evidence({PhotographRecord: rows})
    return replace(given, looks={row["file"]: look for row, look in zip(rows, looks, strict=True)})


TONES = tuple(float(value) for value in drawn(1024, middle=120, scatter=40))


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        (PictureLook("a"), PictureLook("a"), "the same picture, byte for byte"),
        (
            PictureLook("a", TONES),
            PictureLook("b", tuple(0.8 * tone + 9 for tone in TONES)),
            "alike when both are made",
        ),
    ],
)
def test_reg_05_inconclusive_where_a_picture_is_shown_twice(one, other, said):
    _, notice = told(photographs(one, other), PICTURES)
    assert notice[:2] == (Verdict.INCONCLUSIVE, "photographs.csv")
    assert notice[2].startswith(f"photographs/1.png and photographs/0.png: {said}")


def test_other_pictures_and_pictures_of_one_tone_are_not_alike():
    other = tuple(reversed(TONES))
    plain = (255.0,) * 1024
    assert len(told(photographs(PictureLook("a", TONES), PictureLook("b", other)), PICTURES)) == 1
    assert len(told(photographs(PictureLook("a", plain), PictureLook("b", plain)), PICTURES)) == 1


def judged_by(given, low):
    """What a check found that judged every reading by a least film of `low` µm."""
    limit = Limit("um", (Term("at least", Standing.BUILDER, set_by="builder"),), low=low)
    at = tuple(row.where for row in given.of(FilmReading))
    return [Finding(Key("COA-08", "smallest film thickness", "Z1"), Verdict.PASS, limit=limit, at=at)]


def test_reg_05_inconclusive_where_readings_pile_up_on_the_limit():
    given = folder(film([*drawn(40), *[192] * 9]))
    _, notice = told(given, ON_LIMIT, judged_by(given, 192))
    assert notice[0] is Verdict.INCONCLUSIVE
    assert "readings are exactly 192 µm, the limit" in notice[2]


def test_readings_near_a_limit_are_not_told():
    given = folder(film(drawn(200)))
    for low in (180, 190, 200, 199.5):
        assert len(told(given, ON_LIMIT, judged_by(given, low))) == 1


def test_steps_as_wide_as_the_scatter_explain_what_stands_on_the_limit():
    given = folder(film([200 + value for value in drawn(40, middle=0, scatter=1)]))
    (whole,) = told(given, ON_LIMIT, judged_by(given, 200))
    assert whole[2].startswith("0 limits")


EXPLAINED = {
    "report": "NCR-R1",
    "check": "REG-05",
    "quantity": RECURS,
    "place": FILM,
    "condition": "",
    "attempt": 1,
    "cause": "the sheet of the other zone was typed in twice",
    "disposition": "use as is",
    "found_on": "2026-04-02",
    "closed_on": "2026-04-03",
}


def test_what_the_yard_explains_is_told_and_fails_nobody():
    rows = [*film(COPIED), *film(drawn(8, seed=5), "Z2"), *film(COPIED, "Z3")]
    tables: dict[type[Record], Any] = {FilmReading: rows, Instrument: [GAUGE], Nonconformity: [EXPLAINED]}
    found = {one.key: one for one in judge(evidence(tables, hull=Hull(as_of=date(2026, 6, 15))), CHAPTERS)}
    finding = found[Key("REG-05", RECURS, FILM)]
    assert finding.verdict is Verdict.INFORMATION
    assert finding.notes[0] == "The yard explains it in report NCR-R1: the sheet of the other zone was typed in twice"


@pytest.mark.parametrize("left_out", [{"closed_on": None}, {"cause": None}, {"place": "other.csv"}])
def test_an_open_or_silent_report_explains_nothing(left_out):
    rows = [*film(COPIED), *film(drawn(8, seed=5), "Z2"), *film(COPIED, "Z3")]
    given = folder(rows)
    given = replace(given, records={**given.records, **evidence({Nonconformity: [{**EXPLAINED, **left_out}]}).records})
    assert told(given, RECURS)[1][0] is Verdict.INCONCLUSIVE


def test_rows_that_cannot_be_used_leave_the_look_open():
    given = spoiled(folder(film(drawn(60))), FilmReading, 3, ["thickness"])
    for finding in looked(given, ()):
        assert finding.verdict is Verdict.INCONCLUSIVE
        assert f"1 row of {FILM}" in finding.notes[-1]


PLANNED = {"line": "1", "check": "COA-08", "place": "Z1", "record": FILM, "readings": 60}


def test_planned_readings_that_are_not_there_leave_series_and_order_open():
    given = evidence({FilmReading: film(drawn(59)), Instrument: [GAUGE], Planned: [PLANNED]})
    open_looks = {one.key.quantity for one in looked(given, ()) if one.verdict is Verdict.INCONCLUSIVE}
    assert open_looks == {RECURS, ORDER}


def test_a_planned_table_that_is_not_there_leaves_every_look_open():
    elsewhere = {**PLANNED, "record": "hardness.csv", "readings": None}
    tables: dict[type[Record], Any] = {FilmReading: film(drawn(60)), Instrument: [GAUGE]}
    tables |= {Planned: [elsewhere], Hardness: []}
    for finding in looked(evidence(tables), ()):
        assert finding.verdict is Verdict.INCONCLUSIVE
        assert "hardness.csv is planned for and is not there." in finding.notes


def test_without_the_list_of_instruments_steps_are_not_known():
    given = evidence({FilmReading: film(drawn(60)), Instrument: []})
    open_looks = {one.key.quantity for one in looked(given, ()) if one.verdict is Verdict.INCONCLUSIVE}
    assert open_looks == {DIGITS, ON_LIMIT}


def test_every_chapter_is_looked_at_through_its_declared_columns():
    """Any table with an instrument's readings is looked at, whatever it is about."""
    rows: list[dict[str, Any]] = [
        {"zone": "L1", "number": n, "thickness": v, "at": f"2026-05-04 10:{n:02d}"} for n, v in enumerate(COPIED, 1)
    ]
    rows += [row | {"zone": "L2"} for row in rows]
    rows += [row | {"zone": "L3", "thickness": row["thickness"] + row["number"]} for row in rows[:8]]
    found = told(evidence({ThicknessReading: [row | {"thickness": row["thickness"] / 10} for row in rows]}), RECURS)
    assert [place for _, place, _ in found] == ["whole hull", "laminate/thickness.csv"]
