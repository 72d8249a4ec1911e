"""REG-01 and REG-03: the hull number and the instruments, against the calendar and printed examples. All synthetic."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.coating.records import Climate, Colour, FilmReading, MetalPart
from buildbook.chapters.laminate.records import BurnOff
from buildbook.chapters.register.checks import CHECKS
from buildbook.chapters.register.identity import DATES, SAME, WELL_FORMED, identity
from buildbook.chapters.register.instruments import (
    ON_THE_DAY,
    RANGE,
    RESOLUTION,
    instrument_findings,
    readings_by_instrument,
)
from buildbook.chapters.register.records import NumberSeen
from buildbook.chapters.shared_records import Instrument, Moisture
from buildbook.core.finding import Finding, Verdict
from buildbook.core.hull import Hull
from buildbook.core.source import Standing
from buildbook.sources import all_sources
from tests.chapters.evidence_builder import evidence, spoiled

NUMBER = "XX-EXY00007H526"
DEMO = Hull(
    number=NUMBER,
    length_hull=18.95,
    dates=(("lay_up_started", date(2025, 8, 18)), ("delivered", date(2026, 6, 5))),
)


def one(findings, quantity, place=None) -> Finding:
    found = [f for f in findings if f.key.quantity == quantity and place in (None, f.key.place)]
    assert len(found) == 1, [f.key for f in found]
    return found[0]


def of_the_hull(hull, quantity) -> Finding:
    return one(identity(evidence({NumberSeen: []}, hull=hull)), quantity)


def numbered(number, began=None, delivered=None, **more) -> Hull:
    dates = tuple((name, day) for name, day in (("lay_up_started", began), ("delivered", delivered)) if day)
    return Hull(number=number, dates=dates, **more)


# REG-01: form


def test_the_demonstration_number_is_well_formed_and_says_what_xx_means():
    found = of_the_hull(DEMO, WELL_FORMED)
    assert found.verdict is Verdict.PASS
    assert found.notes[0] == "XX is a code that stands for no country: a demonstration or private number."
    assert found.limit is not None
    assert found.limit.standing is Standing.MEMORY  # the hyphen of ISO 10087 is quoted from memory
    assert {term.source for term in found.limit.terms} == {"ISO-10087", "ISO-3166-1"}


@pytest.mark.parametrize(
    ("number", "verdict"),
    [
        # Worked examples of the hull-number rules: 33 CFR 181.25 (read), ISO 10087 (form partly from memory).
        ("ABC0007KE525", Verdict.PASS),
        ("US-ABC0007KE525", Verdict.PASS),
        ("IT-ABC0007KI525", Verdict.PASS),  # the month letter may be I
        ("ABC0007OE525", Verdict.FAIL),  # the letter O in the serial
        ("ABC0007KM525", Verdict.FAIL),  # months end at L
        ("UK-ABC0007KI525", Verdict.FAIL),  # the code of ISO 3166-1 is GB
        ("GB-ABC0007KI525", Verdict.PASS),
        ("ABC-0007KE525", Verdict.FAIL),
        ("", Verdict.NO_RECORD),
    ],
)
def test_form_of_the_number(number, verdict):
    assert of_the_hull(numbered(number), WELL_FORMED).verdict is verdict


def test_a_malformed_number_says_what_is_wrong_and_leaves_the_dates_open():
    assert "without I, O and Q: O found" in of_the_hull(numbered("ABC0007OE525"), WELL_FORMED).notes[0]
    assert of_the_hull(numbered("ABC0007OE525"), DATES).verdict is Verdict.INCONCLUSIVE


def test_twelve_characters_are_judged_by_the_us_rule_alone():
    limit = of_the_hull(numbered("ABC0007KE525"), WELL_FORMED).limit
    assert limit is not None
    assert [term.source for term in limit.terms] == ["33CFR181"]


@pytest.mark.parametrize(("length", "applies"), [(24.0, True), (24.01, False), (None, True)])
def test_above_24_m_no_such_number_is_demanded(length, applies):
    """Scope of ISO 10087: hull length up to 24 m (scope text read)."""
    for quantity in (WELL_FORMED, DATES):
        for number in (NUMBER, ""):
            found = of_the_hull(numbered(number, length_hull=length), quantity)
            assert (found.verdict is not Verdict.NOT_APPLICABLE) == applies
            assert applies or "24 m" in found.notes[0]


# REG-01: dates


def test_dates_of_the_demonstration_hull_fit():
    found = of_the_hull(DEMO, DATES)
    assert found.verdict is Verdict.PASS
    assert found.observed == "coded 2025-08, lay-up began 2025-08-18, delivered 2026-06-05"


@pytest.mark.parametrize(
    ("began", "delivered", "verdict"),
    [
        (date(2025, 8, 31), date(2025, 8, 31), Verdict.PASS),
        (date(2025, 9, 1), date(2026, 6, 5), Verdict.FAIL),  # coded before lay-up began
        (date(2025, 1, 1), date(2025, 7, 31), Verdict.FAIL),  # coded after delivery
        (None, date(2026, 6, 5), Verdict.INCONCLUSIVE),
        (date(2025, 8, 18), None, Verdict.INCONCLUSIVE),
        (None, None, Verdict.INCONCLUSIVE),
        (date(2025, 9, 1), None, Verdict.FAIL),  # one date is enough to show that it cannot be
        (None, date(2025, 7, 31), Verdict.FAIL),
    ],
)
def test_the_coded_month_lies_between_lay_up_and_delivery(began, delivered, verdict):
    assert of_the_hull(numbered(NUMBER, began, delivered), DATES).verdict is verdict


def test_a_month_outside_the_model_year_is_a_note_and_no_fail():
    """`IT-ABC0007KI525`: September 2025, model year 2025 ended in July 2025 (33 CFR 175.3, read): a warning."""
    found = of_the_hull(numbered("IT-ABC0007KI525", date(2025, 3, 1), date(2026, 2, 1)), DATES)
    assert found.verdict is Verdict.PASS
    assert "outside model year 2025" in found.notes[0]
    fits = of_the_hull(numbered("ABC0007KE525", date(2025, 3, 1), date(2026, 2, 1)), DATES)
    assert not any("model year" in note for note in fits.notes)


@pytest.mark.parametrize(
    ("began", "delivered", "verdict"),
    [
        (date(2021, 11, 1), date(2022, 12, 1), Verdict.PASS),  # 2022 ends in 2 and lies between
        (date(2023, 1, 1), date(2026, 6, 5), Verdict.FAIL),  # no such year lies between
        (None, date(2026, 6, 5), Verdict.INCONCLUSIVE),
    ],
)
def test_a_year_digit_that_fits_no_model_year_is_sought_between_lay_up_and_delivery(began, delivered, verdict):
    found = of_the_hull(numbered("ABC0007KE226", began, delivered), DATES)
    assert found.verdict is verdict
    assert "Date and model year do not fit" in found.notes[0]


days = st.dates(date(2024, 12, 1), date(2027, 2, 1))


@given(days, days, st.sampled_from("ABCDEFGHIJKL"), st.sampled_from([5, 6]))
def test_dates_fit_where_a_day_of_the_coded_month_lies_in_the_build(first, second, letter, digit):
    """Oracle: every day from lay-up to delivery is walked through with datetime."""
    began, delivered = sorted((first, second))
    walked = {began + timedelta(days=n) for n in range((delivered - began).days + 1)}
    month = (2020 + digit, "ABCDEFGHIJKL".index(letter) + 1)
    expected = Verdict.PASS if month in {(day.year, day.month) for day in walked} else Verdict.FAIL
    assert of_the_hull(numbered(f"ABC0007K{letter}{digit}26", began, delivered), DATES).verdict is expected


# REG-01: the same everywhere


def everywhere(rows, hull=DEMO):
    return [f for f in identity(evidence({NumberSeen: rows}, hull=hull)) if f.key.quantity == SAME]


def test_every_place_that_bears_the_number_has_its_own_finding():
    found = everywhere([{"seen_on": "plate"}, {"seen_on": "manual", "number": "XX-EXY00008H526"}])
    assert [(f.key.place, f.verdict) for f in found] == [("plate", Verdict.PASS), ("manual", Verdict.FAIL)]
    assert [str(where) for where in found[1].at] == ["hull_number.csv:3"]


def test_us_may_stand_beside_the_number():
    """33 CFR 181.27 allows the country beside the number (read)."""
    hull = numbered("ABC0007KE525")
    assert everywhere([{"number": "US-ABC0007KE525"}], hull)[0].verdict is Verdict.PASS
    assert everywhere([{"number": "IT-ABC0007KE525"}], hull)[0].verdict is Verdict.FAIL


@pytest.mark.parametrize("written", ["xx-exy00007h526", "XX EXY 00007 H5 26", "XXEXY00007H526", "XX-EXY-00007-H526"])
def test_another_spelling_of_the_number_is_not_the_number_and_is_told_as_that(written):
    (found,) = everywhere([{"number": written}])
    assert found.verdict is Verdict.FAIL
    assert "blanks, hyphens or small letters only" in found.notes[0]
    assert everywhere([{"number": "XX-EXY00008H526"}])[0].notes == ()


def test_without_a_number_in_hull_toml_there_is_nothing_to_compare_with():
    assert [f.verdict for f in everywhere([{"seen_on": "a"}, {"seen_on": "b"}], Hull())] == [Verdict.NO_RECORD] * 2
    differ = everywhere([{"seen_on": "a"}, {"seen_on": "b", "number": "XX-EXY00008H526"}], Hull())
    assert [f.verdict for f in differ] == [Verdict.FAIL] * 2


def test_no_table_is_no_record():
    found = everywhere([])
    assert [f.verdict for f in found] == [Verdict.NO_RECORD]
    assert found[0].notes[0].startswith("hull_number.csv")


def test_a_row_that_could_not_be_read_still_counts_against_her_if_its_number_differs():
    rows = [{"seen_on": "plate", "number": "XX-EXY00008H526"}]
    given = spoiled(evidence({NumberSeen: rows}, hull=DEMO), NumberSeen, 0, ["read_on"])
    assert one(identity(given), SAME, "plate").verdict is Verdict.FAIL
    gone = spoiled(evidence({NumberSeen: rows}, hull=DEMO), NumberSeen, 0, ["number"])
    assert one(identity(gone), SAME, "plate").verdict is Verdict.INCONCLUSIVE


# REG-03

GAUGE = {
    "instrument": "UT-01",
    "quantity": "film thickness",
    "certificate": "CAL-7",
    "calibrated": "2025-09-12",
    "due": "2026-03-31",
    "unit": "um",
    "range_low": 40,
    "range_high": 1000,
    "resolution": 1,
    "uncertainty": 6,
    "coverage": 2,
}
FILM = [{"number": n, "at": f"2026-03-30 09:0{n}", "thickness": 180 + n} for n in (1, 2, 3)]


def instruments(film=FILM, unread=None, **changes):
    rows = [{**GAUGE, **changes}]
    return list(instrument_findings(evidence({FilmReading: film, Instrument: rows}, unread=unread)))


def test_an_instrument_in_order_passes_three_times():
    found = instruments()
    assert [(f.key.quantity, f.verdict) for f in found] == [
        (quantity, Verdict.PASS) for quantity in (ON_THE_DAY, RANGE, RESOLUTION)
    ]
    assert {(f.key.place, f.key.condition) for f in found} == {("UT-01", "film thickness")}


def test_a_reading_after_the_due_date_fails_and_is_named():
    late = {"number": 4, "at": "2026-04-01 08:00"}
    found = one(instruments([*FILM, late]), ON_THE_DAY)
    assert found.verdict is Verdict.FAIL
    assert found.observed == "1 of 4 readings outside, on 1 day; calibrated 2025-09-12, due 2026-03-31"
    assert found.working[-1] == "outside: coating/film_thickness.csv:5 (2026-04-01)"
    assert [str(where) for where in found.at] == ["instruments.csv:2", "coating/film_thickness.csv:5"]


def test_a_reading_before_the_first_calibration_fails():
    early = {"number": 4, "at": "2025-09-11 23:59"}
    assert one(instruments([*FILM, early]), ON_THE_DAY).verdict is Verdict.FAIL


@pytest.mark.parametrize(
    "changes", [{"certificate": None}, {"calibrated": None}, {"due": None}, {"calibrated": None, "due": None}]
)
def test_without_certificate_or_dates_there_is_no_record_of_calibration(changes):
    assert one(instruments(**changes), ON_THE_DAY).verdict is Verdict.NO_RECORD


@pytest.mark.parametrize(
    "changes", [{"calibrated": None, "due": "2026-03-29"}, {"due": None, "calibrated": "2026-03-31"}]
)
def test_one_date_is_enough_to_show_a_reading_outside(changes):
    assert one(instruments(**changes), ON_THE_DAY).verdict is Verdict.FAIL


def test_an_instrument_that_readings_name_and_the_table_does_not():
    film = [{**row, "instrument": "UT-09"} for row in FILM]
    found = one(instruments(film), ON_THE_DAY)
    assert (found.key.place, found.verdict) == ("UT-09", Verdict.NO_RECORD)
    assert found.notes == ("3 readings name UT-09 for film thickness, but no row of the instrument table does.",)


def test_an_instrument_known_for_another_quantity_only():
    found = one(instruments(quantity="paint thickness"), ON_THE_DAY)
    assert found.verdict is Verdict.NO_RECORD
    assert "which has it for paint thickness" in found.notes[0]


def test_the_range_is_said_of_the_column_that_is_held_against_it():
    """Of a colour only L* is held against the range: an a* of -0.9 is no reading from 0 to 100."""
    meter = {"instrument": "CM-01", "quantity": "colour", "unit": "1", "range_low": 0.0, "range_high": 100.0}
    colour = {"instrument": "CM-01", "lightness": 93.0, "red_green": -0.9, "yellow_blue": 2.3}
    found = one(instrument_findings(evidence({Colour: [colour], Instrument: [meter]})), RANGE)
    assert (found.verdict, found.observed) == (Verdict.PASS, "1 reading of lightness in 0 to 100")


WEIGHED = {"crucible": 25.0, "full": 30.0, "residue": 28.0, "reheated": 28.0, "in_air": 5.0, "in_water": 2.4}


@pytest.mark.parametrize(
    ("kind", "names", "quantity", "unit", "values", "said"),
    [
        (
            BurnOff,
            "balance",
            "mass",
            "g",
            WEIGHED,
            "6 readings of crucible, full, in air, in water, reheated and residue",
        ),
        (Moisture, "instrument", "moisture", "1", {"dry_reference": 2.4, "reading": 9.5}, "dry reference and reading"),
        (
            MetalPart,
            "salt_instrument",
            "conductivity",
            "uS/cm",
            {"blank_rise": 2.4, "rise": 4.1},
            "blank rise and rise",
        ),
    ],
)
def test_every_value_that_one_instrument_read_in_a_row_is_held_against_its_range(
    kind, names, quantity, unit, values, said
):
    """All six weighings of a coupon, and both readings of a difference: findings rest on each of them."""
    meter = {**GAUGE, "instrument": "ME-01", "quantity": quantity, "unit": unit, "range_low": 0, "range_high": 100}
    for low, verdict in ((0.0, Verdict.PASS), (2.41, Verdict.FAIL)):
        row = {**values, names: "ME-01", **({"water": 22.8} if kind is BurnOff else {})}
        tables = {kind: [row], Instrument: [{**meter, "range_low": low}]}
        found = one(instrument_findings(evidence(tables)), RANGE)
        assert (found.verdict, said in found.observed) == (verdict, True)


def test_a_reading_outside_the_range_fails_in_any_unit():
    thin = {"number": 4, "at": "2026-03-30 10:00", "thickness": 39.9}
    assert one(instruments([*FILM, thin]), RANGE).verdict is Verdict.FAIL
    in_mm = {"unit": "mm", "range_low": 0.04, "range_high": 1.0, "resolution": 0.001, "uncertainty": 0.006}
    assert one(instruments(**in_mm), RANGE).verdict is Verdict.PASS
    assert one(instruments([*FILM, thin], **in_mm), RANGE).verdict is Verdict.FAIL
    assert one(instruments(unit="degC"), RANGE).verdict is Verdict.INCONCLUSIVE
    assert one(instruments(range_low=None, range_high=None), RANGE).verdict is Verdict.NO_RECORD
    assert one(instruments(range_low=None), RANGE).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"resolution": 3, "uncertainty": 6}, Verdict.PASS),  # exactly half
        ({"resolution": 3.1, "uncertainty": 6}, Verdict.FAIL),
        ({"resolution": None}, Verdict.NO_RECORD),
        ({"uncertainty": None, "coverage": None}, Verdict.NO_RECORD),
        ({"uncertainty": 0}, Verdict.INCONCLUSIVE),
    ],
)
def test_the_resolution_is_at_most_half_of_u(changes, verdict):
    """House rule of this book, common practice, no source: resolution at most U / 2."""
    assert one(instruments(**changes), RESOLUTION).verdict is verdict


def test_the_limits_of_this_chapter_own_up_to_whose_they_are():
    for found in instruments():
        assert found.limit is not None
        assert {(t.set_by, t.source, t.standing) for t in found.limit.terms} == {
            ("this book", "house-rule", Standing.PRACTICE)
        }
    assert "house-rule" in all_sources()


def test_one_instrument_may_measure_two_quantities_each_with_its_row():
    rows = [{"at": "2026-03-18 08:00"}, {"at": "2026-03-18 09:00"}]
    uses = readings_by_instrument(evidence({Climate: rows}))
    assert {use: len(readings) for use, readings in uses.items()} == {
        ("ST-01", "surface temperature"): 2,
        ("TH-01", "air temperature"): 2,
        ("TH-01", "relative humidity"): 2,
    }


def test_a_reading_that_could_not_be_read_still_counts_if_its_day_is_known():
    lost = {"instrument": "UT-01", "at": date(2026, 4, 1)}
    assert one(instruments(unread={FilmReading: [lost]}), ON_THE_DAY).verdict is Verdict.FAIL
    assert one(instruments(unread={FilmReading: [lost]}), RANGE).verdict is Verdict.INCONCLUSIVE


@pytest.mark.parametrize("cells", [{"instrument": "UT-01"}, {}])
def test_a_reading_whose_day_or_instrument_is_lost_holds_it_at_inconclusive(cells):
    found = one(instruments(unread={FilmReading: [cells]}), ON_THE_DAY)
    assert found.verdict is Verdict.INCONCLUSIVE
    assert found.notes == ("1 reading may rest on it on a day that cannot be made out.",)


used = st.dates(date(2026, 1, 1), date(2026, 2, 10))


@given(used, st.integers(0, 30), st.lists(used, min_size=1, max_size=5))
def test_in_calibration_on_the_day_is_what_the_calendar_says(calibrated, length, read):
    """Oracle: the covered days are counted out one by one with datetime."""
    due = calibrated + timedelta(days=length)
    covered = {calibrated + timedelta(days=n) for n in range(length + 1)}
    film = [{"number": n + 1, "at": day.isoformat() + " 12:00"} for n, day in enumerate(read)]
    found = one(instruments(film, calibrated=calibrated, due=due), ON_THE_DAY)
    assert found.verdict is (Verdict.PASS if set(read) <= covered else Verdict.FAIL)
    late = [n for n, day in enumerate(read) if day not in covered]
    assert [where.line for where in found.at[1:]] == [n + 2 for n in late]


# The declaration of the checks


def test_check_ids_and_tables():
    assert [check.id for check in CHECKS] == [f"REG-{number:02}" for number in range(1, 8)]
    assert all(check.tables for check in CHECKS)


def test_only_reg_01_answers_before_the_review():
    given = evidence({NumberSeen: [{}], FilmReading: FILM, Instrument: [GAUGE]}, hull=DEMO)
    assert {check.id for check in CHECKS if tuple(check.judge(given))} == {"REG-01"}
