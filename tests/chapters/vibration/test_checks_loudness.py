"""VIB-11: every verdict; means and corrections worked out by hand beside each test."""

from __future__ import annotations

import pytest

from buildbook.chapters.shared_records import Instrument, Place, Planned
from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.charts import charts
from buildbook.chapters.vibration.checks.loudness import LEVEL, UNIT, how_loud
from buildbook.chapters.vibration.cross import background_below_the_level
from buildbook.chapters.vibration.sound_records import SoundLevel, SoundPlace
from buildbook.core.hull import Hull
from buildbook.core.quantity import Kind
from buildbook.readers.units import UnitError, accepted, convert
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    REFERENCE,
    Tables,
    expanded,
    instrument,
    limit_of,
    near,
    one,
    planned,
    said,
    specification,
    specified,
    value,
)
from tests.chapters.vibration.shaking import RUN, judged

METER = instrument("SL-01", "sound level", "dB", 0.8)


def cabin(name="V1", space="standard cabin", comfort="2", **more):
    return {"place": name, "space": space, "comfort": comfort, "above_propellers": "no", "drawing": "VP-01", **more}


def reading(number, level, background=None, duration=30.0, place="V1", **more):
    row = {"place": place, "run": "R1", "attempt": 1, "number": number, "level": level, "background": background}
    return {**row, "duration": duration, "instrument": "SL-01", **more}


def sounding(*readings, mine=(), spots=None, tables=None, unread=None):
    places = [{"place": name, "name": name, "kind": "position", "painted": "no"} for name in ("V1", "V2")]
    base: Tables = {
        Place: places,
        Instrument: [METER],
        TrialRun: [RUN],
        SoundPlace: [cabin()] if spots is None else spots,
        SoundLevel: readings,
        Planned: (),
    }
    return evidence({**base, **(tables or {})}, specification=specification(*mine), unread=unread, hull=Hull())


def found_of(*readings, **more):
    return judged(how_loud, sounding(*readings, **more))


def three(level, **more):
    return [reading(number, level, **more) for number in (1, 2, 3)]


def test_readings_are_joined_by_their_energy():
    """70, 65 and 60 dB of equal length: 66.74 dB (worked example, calculated by hand)."""
    found = one(found_of(*(reading(n, level) for n, level in enumerate((70.0, 65.0, 60.0), 1))))
    assert value(found) == near(66.74, abs=0.005)


def test_a_longer_reading_counts_more():
    """40 dB for 90 s and 50 dB for 10 s, of 100 s: 10 lg(0.9 + 1.0) above 40 dB is 42.79 dB (by hand)."""
    found = one(found_of(reading(1, 40.0, duration=90.0), reading(2, 50.0, duration=10.0)))
    assert value(found) == near(42.79, abs=0.005)
    assert found.verdict is INCONCLUSIVE  # 10 s are less than 15 s
    assert said(found, "less than 15 s")


@pytest.mark.parametrize(
    ("background", "level", "kind"),
    [
        (None, 60.0, Kind.MEASURED),
        (50.0, 60.0, Kind.MEASURED),  # 10 dB below: nothing is taken off
        (55.0, 58.35, Kind.MEASURED),  # 10 lg(10^6 - 10^5.5) = 58.35
        (57.0, 56.98, Kind.MEASURED),  # 10 lg(10^6 - 10^5.7) = 56.98
        (58.0, 60.0, Kind.AT_MOST),  # nearer than 3 dB: only a bound
    ],
)
def test_what_the_background_adds_is_taken_off(background, level, kind):
    """Practice of sound measurement (from memory), each worked out by hand."""
    found = one(found_of(reading(1, 60.0, background)))
    assert value(found) == near(level, abs=0.005)
    assert found.measured is not None
    assert found.measured.kind is kind


@pytest.mark.parametrize(
    ("level", "verdict"), [(54.0, PASS), (54.5, CONDITIONAL_PASS), (55.5, CONDITIONAL_FAIL), (56.0, FAIL)]
)
def test_vib_11_pass_or_conditional_pass_or_conditional_fail_or_fail_of_a_cabin(level, verdict):
    """Class table: standard cabin, comfort number 2: 55 dB(A). Equal readings: U is that of the meter, 0.8 dB."""
    found = one(found_of(*three(level)))
    assert found.verdict is verdict
    assert expanded(found) == near(0.8)
    assert limit_of(found).high == 55.0


@pytest.mark.parametrize(
    ("space", "comfort", "above", "high", "ships"),
    [
        ("better cabin", "1", "no", 50.0, 60.0),
        ("better cabin", "2", "yes", 56.0, 60.0),  # 53 and 3 above the propellers
        ("lounge", "3", "no", 60.0, 65.0),
        ("open deck, second above the waterline", "2", "yes", 75.0, 75.0),  # no accommodation, so nothing more
        ("open deck, third above the waterline", "1", "no", 63.0, 75.0),
        ("wheelhouse", "2", "no", 62.0, 65.0),
    ],
)
def test_limits_of_the_printed_tables(space, comfort, above, high, ships):
    """Class rules, part 3, chapter 6, table 6.2.2 and its note (read); IMO MSC.337(91), 4.2 (second-hand)."""
    found = found_of(*three(40.0), spots=[cabin(space=space, comfort=comfort, above_propellers=above)])
    assert (limit_of(one(found)).high, limit_of(one(found, role=REFERENCE)).high) == (high, ships)
    assert said(one(found), "a yardstick and no duty")


def test_the_code_for_ships_alone_where_no_number_was_agreed_or_the_table_has_none():
    for spot in (cabin(comfort="none"), cabin(space="galley", comfort="none"), cabin(space="wheelhouse", comfort="3")):
        found = one(found_of(*three(40.0), spots=[spot]))
        assert limit_of(found).high in (60.0, 75.0, 65.0)
        assert limit_of(found).terms[0].source == "IMO-NOISE"


def test_the_builders_own_limit_governs():
    mine = [specified("VIB-11", LEVEL, UNIT, high=50.0, place="V1")]
    found = found_of(*three(52.0), mine=mine)
    assert (one(found).verdict, one(found, role=REFERENCE).verdict) == (FAIL, PASS)
    assert limit_of(one(found, role=REFERENCE)).high == 55.0


def test_vib_11_information_of_a_space_that_was_not_agreed():
    found = one(found_of(*three(52.0), spots=[cabin("V2")]), place="V1")
    assert found.verdict is INFORMATION
    assert said(found, "not agreed")


def test_one_bound_does_not_hide_that_the_others_are_too_loud():
    """The last is only a bound, 2 dB above its background; the others make 60 - 1.76 = 58.24 dB (by hand)."""
    found = one(found_of(reading(1, 60.0), reading(2, 60.0), reading(3, 59.0, 57.0)))
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_LEAST
    assert value(found) == near(58.24, abs=0.005)
    assert found.verdict.missed
    assert said(found, "so the value is a lower bound")
    assert not said(found, "an upper bound")
    fine = one(found_of(reading(1, 50.0), reading(2, 50.0), reading(3, 49.0, 47.0)))
    assert fine.measured is not None
    assert fine.measured.kind is Kind.AT_MOST
    assert said(fine, "an upper bound")
    assert fine.verdict is PASS


def test_a_background_above_the_level_takes_nothing_off():
    """It cannot be its own: the 60 dB stay, and a fault names the cell."""
    given = sounding(*three(60.0, background=95.0))
    found = one(judged(how_loud, given))
    assert (value(found), found.verdict) == (near(60.0), FAIL)
    assert [fault.where.column for fault in background_below_the_level(given)] == ["background [dB]"] * 3


def test_vib_11_inconclusive_of_a_bound_or_a_lost_row_or_an_unknown_meter():
    assert one(found_of(reading(1, 56.0, 54.0))).verdict is INCONCLUSIVE  # it may be less without the rest
    assert one(found_of(reading(1, 50.0, 49.0))).verdict is PASS
    lost = {SoundLevel: [{"place": "V2", "run": "R1", "attempt": 1}]}
    assert one(found_of(*three(50.0), unread=lost), place="V2").verdict is INCONCLUSIVE
    unknown = found_of(*three(50.0), tables={Instrument: [{**METER, "instrument": "SL-02"}]})
    assert one(unknown).verdict is INCONCLUSIVE
    narrow = found_of(*three(50.0), tables={Instrument: [{**METER, "range_low": 55.0, "range_high": 130.0}]})
    assert one(narrow).verdict is INCONCLUSIVE


def test_vib_11_not_measured_or_no_record():
    assert one(found_of(*three(50.0), spots=[cabin(), cabin("V2")]), place="V2").verdict is NOT_MEASURED
    plan = {Planned: [planned("VIB-11", "V2", "sound/levels.csv", 3)]}
    assert one(found_of(*three(50.0), tables=plan), place="V2").verdict is NOT_MEASURED
    assert one(found_of()).verdict is NO_RECORD
    assert one(found_of(spots=[])).verdict is NO_RECORD


def test_an_attempt_without_a_row_is_said():
    found = found_of(*three(50.0, attempt=2))
    assert one(found, attempt=1).verdict is NOT_MEASURED
    assert one(found, attempt=2).verdict is PASS


def test_quiet_readings_beyond_the_plan_do_not_help():
    """Three loud ones were planned: 56 dB fails; four quiet ones beside them would bring the mean below 55 dB."""
    rows = [*three(56.0), *(reading(number, 40.0) for number in (4, 5, 6, 7))]
    plan = {Planned: [planned("VIB-11", "V1", "sound/levels.csv", 3)]}
    assert one(found_of(*rows, tables=plan)).verdict is FAIL


def test_the_chart_says_where_she_is_loudest_against_the_limit():
    given = sounding(*three(54.0), *three(50.0, place="V2"), spots=[cabin(), cabin("V2", "lounge")])
    (chart,) = charts(given, tuple(judged(how_loud, given)))
    assert chart.title == "Sound level by place: highest against its limit is V1 V1, 54.0 dB, at most 55 dB there"
    assert [rule.value for rule in chart.rules] == [55.0, 58.0]
    assert chart.series[0].name == "cruise, run R1"


def test_decibels_stay_decibels():
    assert convert(51.2, "dB(A)", "dB") == 51.2
    assert accepted("dB") == ("dB",)
    for other in ("%", "", "d", "Pa"):
        with pytest.raises(UnitError):
            convert(1.0, other, "dB")
