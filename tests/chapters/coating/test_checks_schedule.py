"""COA-06 overcoating window, COA-07 pot life and batches, COA-15 people and days: every verdict, on synthetic rows.

The window table is that of UFGS 09971, page 28, polyurethane over polyurethane (read): 8 to 48 h at 16 to 21 degC, 6 to
48 h at 22 to 27 degC, 4 to 36 h at 28 to 32 degC; here one line for each band, at 20, 25 and 30 degC.
"""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.schedule import (
    BATCHES,
    EFFORT,
    POT,
    SINCE,
    effort,
    overcoating,
    pot_life_and_batches,
)
from buildbook.chapters.coating.records import Batch, Climate, Coat, Effort, Preparation, Product, Window
from buildbook.core.source import Standing
from tests.chapters.coating.small_folder import (
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    PASS,
    Tables,
    limit_of,
    one,
    said,
    specification,
    specified,
    value,
)
from tests.chapters.evidence_builder import evidence

LINES = ((20, 8, 48), (25, 6, 48), (30, 4, 36))
BELOW = {
    "coat": "Z1-1",
    "zone": "Z1",
    "layer": 1,
    "product": "PU-T",
    "mixed": "2026-03-18 07:30",
    "started": "2026-03-18 07:45",
    "finished": "2026-03-18 08:00",
}


def lines(*given):
    return [
        {
            "product": "PU-T",
            "next_product": "PU-T",
            "surface": surface,
            "shortest": shortest,
            "longest": longest,
            "no_longest": None if longest else "always abraded",
            "sheet": "TDS-PU-T",
            "clause": f"line {surface}",
        }
        for surface, shortest, longest in given or LINES
    ]


def after(hours, **more):
    """The coat above, so many hours after 2026-03-18 08:00."""
    day, hour = divmod(8 + hours, 24)
    start = f"2026-03-{18 + day} {hour:02}:00"
    return {**BELOW, "coat": "Z1-2", "layer": 2, "mixed": start, "started": start, "finished": start, **more}


def surfaces(*degrees, start=8):
    """One climate reading an hour from 08:00 on."""
    return [
        {"zone": "Z1", "at": f"2026-03-18 {start + hour:02}:00", "surface": surface, "air": 20, "humidity": 55}
        for hour, surface in enumerate(degrees)
    ]


def cleaned(step="wipe", day=20, zone="Z1"):
    return {
        "zone": zone,
        "step": step,
        "started": f"2026-03-{day} 09:00",
        "finished": f"2026-03-{day} 10:00",
        "grit": "P180",
    }


def windowed(*coats, table=None, climate=None, preparation=(), unread=None, **more):
    rows: Tables = {
        Coat: [BELOW, *coats],
        Window: lines() if table is None else table,
        Climate: surfaces(20, 20) if climate is None else climate,
        Preparation: list(preparation),
    }
    return list(overcoating(evidence(rows, unread=unread, **more)))


# COA-06


def test_coa_06_pass_inside_the_window():
    """12 h in a window of 8 to 48 h at 20 degC: 4 h from its nearer end."""
    found = one(windowed(after(12)), SINCE, condition="Z1-2")
    assert (found.verdict, value(found), found.margin) == (PASS, 12.0, 4.0)
    assert (limit_of(found).low, limit_of(found).high) == (8, 48)
    assert [term.clause for term in limit_of(found).terms] == ["line 20"]
    assert limit_of(found).standing is Standing.BUILDER
    assert found.working[:2] == (
        "2026-03-18 08:00 to 2026-03-18 20:00: 12.00 h",
        "surface from 20 to 20 °C in 2 readings between the coats",
    )


@pytest.mark.parametrize("hours", [8, 48])
def test_coa_06_pass_on_either_end_of_the_window(hours):
    assert one(windowed(after(hours))).verdict is PASS


def test_coa_06_fail_too_early():
    found = one(windowed(after(5)))
    assert (found.verdict, found.margin) == (FAIL, -3.0)  # 5 - 8


def test_coa_06_fail_late_and_not_abraded():
    found = one(windowed(after(60), preparation=[cleaned()]))
    assert (found.verdict, found.margin) == (FAIL, -12.0)  # 48 - 60


def test_coa_06_pass_late_abraded_again_and_cleaned():
    """UFGS 09971, page 28 (read): outside the window remove the gloss with 150 to 200 grit and coat again."""
    found = one(windowed(after(60, abraded="P180"), preparation=[cleaned()]))
    assert (found.verdict, found.margin) == (PASS, 52.0)  # 60 - 8: only the shortest time binds
    assert limit_of(found).high is None
    assert said(found, "Late, and abraded again. The longest time does not bind after abrading")
    assert said(found, "abraded with P180")


@pytest.mark.parametrize(
    "step", [None, cleaned("sand"), cleaned(day=17), cleaned(day=22), cleaned(zone="Z2")],
    ids=["nothing", "sanding", "before the coat below", "after the coat", "another zone"],
)  # fmt: skip
def test_coa_06_inconclusive_late_and_abraded_but_not_shown_to_be_cleaned(step):
    found = one(windowed(after(60, abraded="P180"), preparation=[step] if step else []))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "No cleaning after the abrading is in the preparation log.")


def test_coa_06_pass_in_the_window_needs_no_abrading_or_cleaning():
    found = one(windowed(after(12, abraded="P400"), climate=surfaces(*[20] * 12)))
    assert (found.verdict, found.notes) == (PASS, ())


def test_coa_06_pass_between_two_lines_the_stricter_of_both_holds():
    """22 to 27 degC: shortest max(8, 6) by the coldest, longest min(48, 36) by the warmest: 8 to 36 h."""
    found = one(windowed(after(12), climate=surfaces(22, 27, 24)))
    assert (found.verdict, limit_of(found).low, limit_of(found).high) == (PASS, 8, 36)
    assert found.working[1] == "surface from 22 to 27 °C in 3 readings between the coats"


@pytest.mark.parametrize(("hours", "climate"), [(40, (22, 27)), (7, (22, 27))])
def test_coa_06_fail_by_the_stricter_of_two_lines(hours, climate):
    assert one(windowed(after(hours), climate=surfaces(*climate))).verdict is FAIL


@pytest.mark.parametrize("climate", [(20, 31), (19, 20)])
def test_coa_06_inconclusive_beyond_the_window_table(climate):
    """No number is made up beyond a printed table."""
    found = one(windowed(after(12), climate=surfaces(*climate)))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "the printed table, 20 to 30 degC")


def test_coa_06_inconclusive_without_a_temperature_between_the_coats():
    assert one(windowed(after(12), climate=surfaces(20, start=7))).verdict is INCONCLUSIVE


@pytest.mark.parametrize("hour", [8, 20])
def test_coa_06_pass_by_a_temperature_read_as_one_coat_ended_or_the_other_began(hour):
    assert one(windowed(after(12), climate=surfaces(20, start=hour))).verdict is PASS


@pytest.mark.parametrize("moment", ["2026-03-18 08:00", "2026-03-20 20:00"])
def test_coa_06_pass_cleaned_as_one_coat_ended_or_the_other_began(moment):
    step = {**cleaned(), "started": moment, "finished": moment}
    assert one(windowed(after(60, abraded="P180"), preparation=[step])).verdict is PASS


def test_coa_06_inconclusive_where_cold_and_heat_leave_no_window():
    """20 h needed at 15 degC, 12 h allowed at 30 degC: no time fits both."""
    found = one(windowed(after(14), table=lines((15, 20, 60), (30, 4, 12)), climate=surfaces(15, 30)))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "the table gives no window for so wide a range")


def test_coa_06_inconclusive_when_a_line_of_the_table_is_lost():
    lost = {Window: [{"product": "PU-T", "next_product": "PU-T", "surface": None}]}
    found = one(windowed(after(12), unread=lost))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "a line of the window table for these products cannot be used")
    other = {Window: [{"product": "EP-S", "next_product": "PU-T"}]}
    assert one(windowed(after(12), unread=other)).verdict is PASS


def test_coa_06_fail_stays_a_fail_when_a_line_of_the_table_is_lost():
    lost = {Window: [{"product": "PU-T", "next_product": "PU-T", "surface": None}]}
    assert one(windowed(after(5), unread=lost)).verdict is FAIL


@pytest.mark.parametrize("table", [[], [{**row, "next_product": "PU-X"} for row in lines()]], ids=["none", "others"])
def test_coa_06_no_record_of_a_window(table):
    found = one(windowed(after(12), table=table))
    assert found.verdict is NO_RECORD
    assert found.notes == ("coating/windows.csv holds no usable window for PU-T on PU-T.",)


def test_coa_06_pass_where_the_sheet_sets_no_longest_time():
    found = one(windowed(after(300), table=lines((20, 8, None))))
    assert (found.verdict, limit_of(found).high) == (PASS, None)


def test_coa_06_inconclusive_when_the_coat_below_has_no_usable_row():
    third = after(12, coat="Z1-3", layer=3)
    found = windowed(third)
    assert one(found, condition="Z1-3").verdict is INCONCLUSIVE
    assert said(one(found, condition="Z1-3"), "Coat 2 of this zone has no usable row")
    assert one(found, condition="layer 2").verdict is INCONCLUSIVE
    lost = windowed(third, unread={Coat: [{"coat": "Z1-2", "zone": "Z1", "layer": 2}]})
    assert {finding.key.condition: finding.verdict for finding in lost} == {"Z1-3": INCONCLUSIVE, "Z1-2": INCONCLUSIVE}


def test_coa_06_a_first_coat_has_no_window():
    assert windowed() == []


def test_coa_06_pass_by_the_window_the_builder_set():
    """The builder's own 4 to 24 h come before the sheet's 8 to 48 h."""
    mine = specification(specified("COA-06", SINCE, "h", 4.0, 24.0))
    assert one(windowed(after(5), specification=mine)).verdict is PASS
    assert one(windowed(after(30), specification=mine)).verdict is FAIL
    assert one(windowed(after(30, abraded="P180"), specification=mine, preparation=[cleaned(day=19)])).verdict is PASS


def test_coa_06_a_temperature_known_for_a_small_part_of_the_time_is_said():
    found = one(windowed(after(12), climate=surfaces(20, 20)))
    assert said(found, "The surface temperature is known for 1.0 of the 12.0 h between the coats.")


# COA-07: pot life. Halves for every 10 degC (UFGS 09971, page 26, read).

SHEET = {"product": "PU-T", "pot_life": 3, "pot_life_at": 20}
BATCH_ROWS = (
    {"batch": "B-1", "product": "PU-T", "component": "base", "expires": "2026-12-01"},
    {"batch": "H-1", "product": "PU-T", "component": "hardener", "expires": "2026-03-18"},
    {"batch": "T-1", "product": "PU-T", "component": "thinner", "expires": "2026-03-17"},
)
TINS = {"base_batch": "B-1", "hardener_batch": "H-1"}


def mixed(minutes, air=20.0, sheet=SHEET, batches=BATCH_ROWS, climate=None, unread=None, mine=None, **more):
    """A coat mixed at 08:00, begun at 08:00 and finished so many minutes later."""
    end = f"2026-03-18 {8 + minutes // 60:02}:{minutes % 60:02}"
    coat = {**BELOW, "mixed": "2026-03-18 08:00", "started": "2026-03-18 08:00", "finished": end, **TINS, **more}
    weather = [{"zone": "Z1", "at": "2026-03-18 08:10", "air": air, "surface": air}] if climate is None else climate
    rows: Tables = {Coat: [coat], Product: [sheet] if sheet else [], Batch: batches, Climate: weather}
    return list(pot_life_and_batches(evidence(rows, unread=unread, specification=mine)))


def test_coa_07_pass_used_within_the_pot_life():
    found = one(mixed(120), POT)
    assert (found.verdict, value(found), found.margin) == (PASS, 2.0, 1.0)  # 3 h at 20 degC
    assert [term.standing for term in limit_of(found).terms] == [Standing.BUILDER, Standing.READ]


@pytest.mark.parametrize(("air", "life"), [(30.0, 1.5), (10.0, 6.0), (25.0, 2.1213)])  # 3 x 2^-((T - 20) / 10)
def test_coa_07_pass_or_fail_by_the_pot_life_at_the_warmest_air(air, life):
    found = one(mixed(120, air=air), POT)
    assert limit_of(found).high == pytest.approx(life, abs=5e-5)
    assert found.verdict is (PASS if life >= 2.0 else FAIL)


def test_coa_07_fail_used_too_long():
    found = one(mixed(120, air=30.0), POT)
    assert found.verdict is FAIL
    assert found.margin == pytest.approx(-0.5)  # 1.5 - 2


def test_coa_07_fail_by_the_warmest_reading_of_several():
    climate = [{"zone": "Z1", "at": f"2026-03-18 08:{m}0", "air": air} for m, air in ((0, 20), (3, 30), (5, 20))]
    assert one(mixed(120, climate=climate), POT).verdict is FAIL


@pytest.mark.parametrize(("clock", "verdict"), [("08:00", FAIL), ("10:00", FAIL), ("07:59", INCONCLUSIVE)])
def test_coa_07_fail_by_a_reading_at_either_end_of_the_application(clock, verdict):
    climate = [{"zone": "Z1", "at": f"2026-03-18 {clock}", "air": 30, "surface": 30}]
    assert one(mixed(120, climate=climate), POT).verdict is verdict


def test_coa_07_pass_by_the_builders_own_time():
    mine = specification(specified("COA-07", POT, "h", high=2.5))
    assert one(mixed(120, air=30.0, mine=mine), POT).verdict is PASS


@pytest.mark.parametrize(
    "more",
    [
        {"climate": []},
        {"sheet": {"product": "PU-T", "pot_life": None, "pot_life_at": None}},
        {"sheet": None},
        {"air": 42.0},
    ],
    ids=["no air temperature", "no pot life on the sheet", "no sheet", "beyond the rule"],
)
def test_coa_07_inconclusive_when_the_pot_life_is_not_known(more):
    assert one(mixed(120, **more), POT).verdict is INCONCLUSIVE


def test_coa_07_no_record_of_the_time_of_mixing():
    assert one(mixed(120, mixed=None), POT).verdict is NO_RECORD


def test_coa_07_inconclusive_for_a_coat_that_cannot_be_read():
    found = list(pot_life_and_batches(evidence({}, unread={Coat: [{"coat": "Z1-1", "zone": "Z1"}]})))
    assert {finding.key.quantity: finding.verdict for finding in found} == {POT: INCONCLUSIVE, BATCHES: INCONCLUSIVE}


# COA-07: batches


def test_coa_07_pass_every_tin_in_date_on_the_last_day_too():
    found = one(mixed(60), BATCHES)
    assert (found.verdict, found.observed) == (PASS, "earliest use-before date 2026-03-18")
    assert len(found.at) == 3


def test_coa_07_fail_a_tin_used_after_its_date():
    found = one(mixed(60, thinner_batch="T-1"), BATCHES)
    assert (found.verdict, found.observed) == (FAIL, "out of date: T-1")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"base_batch": None}, "No batch number of the base."),
        ({"base_batch": None, "hardener_batch": None}, "No batch number of the base and the hardener."),
        ({"base_batch": "B-9"}, "Batch B-9 has no usable row in coating/batches.csv."),
        ({"batches": [*BATCH_ROWS[1:], {**BATCH_ROWS[0], "expires": None}]}, "Batch B-1 has no date in"),
        ({"batches": []}, "Batch B-1, H-1 has no usable row in coating/batches.csv."),
    ],
)
def test_coa_07_no_record_of_a_batch_or_its_date(more, words):
    found = one(mixed(60, **more), BATCHES)
    assert found.verdict is NO_RECORD
    assert found.notes[0].startswith(words)


def test_coa_07_fail_is_not_hidden_by_a_batch_that_is_not_known():
    found = one(mixed(60, thinner_batch="T-1", base_batch="B-9"), BATCHES)
    assert (found.verdict, found.observed) == (FAIL, "out of date: T-1")
    assert said(found, "Batch B-9 has no usable row")


# COA-15


def days(*given):
    """Day sheets as (day, stage, people, hours each)."""
    return [{"day": f"2026-03-{day:02}", "stage": s, "people": p, "hours": h} for day, s, p, h in given]


def test_coa_15_information_people_times_hours():
    """6 x 8 + 8 x 7.5 = 108 h on two days; another stage is counted apart."""
    found = list(effort(evidence({Effort: days((2, "sand", 6, 8), (3, "sand", 8, 7.5), (3, "mask", 2, 4))})))
    sanding = one(found, EFFORT, condition="sand")
    assert (sanding.verdict, value(sanding), sanding.limit) == (INFORMATION, 108.0, None)
    assert sanding.observed == "6 to 8 people on 2 days"
    assert said(sanding, "Effort shows what was spent, not what came of it")
    masking = one(found, condition="mask")
    assert (value(masking), masking.observed) == (8.0, "2 people on 1 day")


def test_coa_15_no_record_without_day_sheets():
    assert one(effort(evidence({Effort: []}))).verdict is NO_RECORD


def test_coa_15_inconclusive_when_no_day_of_a_stage_can_be_read():
    found = one(effort(evidence({}, unread={Effort: [{"stage": "sand"}]})), condition="sand")
    assert found.verdict is INCONCLUSIVE
