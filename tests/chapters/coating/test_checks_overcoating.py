"""COA-06 overcoating window: every verdict, on synthetic rows.

The window table is that of UFGS 09971, page 28, polyurethane over polyurethane (read): 8 to 48 h at 16 to 21 degC, 6 to
48 h at 22 to 27 degC, 4 to 36 h at 28 to 32 degC; here one line for each band, at 20, 25 and 30 degC. The same page
(read): outside the window remove the gloss with 150 to 200 grit and coat again.
Times are logged to the minute: U = 2 x sqrt(2) x 1 / sqrt(12) min = 0.8165 min = 0.013608 h.
"""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.overcoating import SILENT, SINCE, overcoating
from buildbook.chapters.coating.odd_rows import unclear_reopening
from buildbook.chapters.coating.records import Climate, Coat, Preparation, Window
from buildbook.core.source import Standing
from tests.chapters.evidence_builder import deleted, evidence, record
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    NO_RECORD,
    PASS,
    Tables,
    expanded,
    limit_of,
    one,
    said,
    specification,
    specified,
    value,
)

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


def reopening(grit="P150 to P220"):
    """The same lines of a sheet that says how a window is reopened."""
    return [{**row, "reopened_by": "abrading", "reopening_grit": grit} for row in lines()]


def after(hours, **more):
    """The coat above, so many hours after 2026-03-18 08:00."""
    day, hour = divmod(8 + hours, 24)
    start = f"2026-03-{18 + day} {hour:02}:00"
    return {**BELOW, "coat": "Z1-2", "layer": 2, "mixed": start, "started": start, "finished": start, **more}


def single(*degrees, start=8):
    """One climate reading an hour from 08:00 on."""
    return [
        {"zone": "Z1", "at": f"2026-03-{18 + n // 24} {n % 24:02}:00", "surface": surface, "air": 20, "humidity": 55}
        for n, surface in enumerate(degrees, start)
    ]


def surfaces(*degrees):
    """The same for ten days: the last temperature stays, and no reading is missing."""
    return single(*degrees, *[degrees[-1]] * (310 - len(degrees)))


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


def test_coa_06_pass_inside_the_window():
    """12 h in a window of 8 to 48 h at 20 degC: 4 h from its nearer end."""
    found = one(windowed(after(12)), SINCE, condition="Z1-2")
    assert (found.verdict, value(found), found.margin) == (PASS, 12.0, 4.0)
    assert (limit_of(found).low, limit_of(found).high) == (8, 48)
    assert [term.clause for term in limit_of(found).terms] == ["line 20"]
    assert limit_of(found).standing is Standing.BUILDER
    assert found.working[:2] == (
        "2026-03-18 08:00 to 20:00: 12.00 h",
        "surface from 20 to 20 °C in 13 readings between the coats",
    )


@pytest.mark.parametrize("hours", [8, 48])
def test_coa_06_conditional_pass_on_either_end_of_the_window(hours):
    """Known to the minute: on the end itself the log cannot tell inside from outside."""
    found = one(windowed(after(hours)))
    assert (found.verdict, found.margin) == (CONDITIONAL_PASS, 0.0)
    assert expanded(found) == pytest.approx(0.013608, abs=1e-6)
    assert found.measured is not None
    assert [part.name for part in found.measured.parts] == [
        "resolution of the log, start",
        "resolution of the log, end",
    ]


@pytest.mark.parametrize(("minutes", "verdict"), [(1, FAIL), (0.5, CONDITIONAL_FAIL), (-0.5, CONDITIONAL_PASS)])
def test_coa_06_conditional_fail_or_fail_by_less_than_a_minute_or_more(minutes, verdict):
    """A minute is more than U of 0.8165 min, half a minute is less."""
    stamp = {0.5: "2026-03-20 08:00:30", 1: "2026-03-20 08:01:00", -0.5: "2026-03-20 07:59:30"}[minutes]
    late = after(48, mixed=None, started=stamp, finished=stamp)
    assert one(windowed(late)).verdict is verdict


def test_coa_06_fail_too_early():
    found = one(windowed(after(5)))
    assert (found.verdict, found.margin) == (FAIL, -3.0)  # 5 - 8


def test_coa_06_fail_late_and_not_abraded():
    found = one(windowed(after(60), preparation=[cleaned()]))
    assert (found.verdict, found.margin) == (FAIL, -12.0)  # 48 - 60


RE_KEYED = (
    {**cleaned("sand"), "id": "P-1", "started": "2026-03-20 08:00", "finished": "2026-03-20 09:00"},
    {**cleaned(), "id": "P-2"},
)


def test_coa_06_pass_late_and_abraded_again_as_the_sheet_says():
    found = one(windowed(after(60, abraded="P180"), table=reopening(), preparation=RE_KEYED))
    assert (found.verdict, found.margin) == (PASS, 52.0)  # 60 - 8: only the shortest time binds
    assert limit_of(found).high is None
    assert limit_of(found).standing is Standing.BUILDER
    assert limit_of(found).terms[-1].words == "reopened by abrading, P150 to P220 grade, after the longest time"
    assert limit_of(found).terms[-1].clause == "line 20"
    assert said(found, "Late, and abraded again with P180; the longest time (48 h) is not applied.")


def test_coa_06_pass_shows_the_rows_of_the_re_keying():
    found = one(windowed(after(60, abraded="P180"), table=reopening(), preparation=RE_KEYED))
    assert [where.line for where in found.at if where.file == "coating/preparation.csv"] == [2, 3]


def test_coa_06_pass_late_with_any_grade_where_the_sheet_names_none():
    found = one(windowed(after(60, abraded="P180"), table=reopening("any"), preparation=RE_KEYED))
    assert found.verdict is PASS


def test_coa_06_inconclusive_late_and_abraded_where_the_sheet_does_not_say_that_this_helps():
    """Abrading reopens a window: common practice, no source; it lends the data sheet no words."""
    found = one(windowed(after(60, abraded="P180"), preparation=RE_KEYED))
    assert found.verdict is INCONCLUSIVE
    assert said(found, SILENT)
    last = limit_of(found).terms[-1]
    assert (last.standing, last.source, last.document) == (Standing.PRACTICE, "common-practice", "")
    assert limit_of(found).standing is Standing.PRACTICE


@pytest.mark.parametrize("line", [0, 1, 2])
def test_coa_06_inconclusive_where_one_line_of_the_sheet_does_not_say_it(line):
    table = reopening()
    table[line] |= {"reopened_by": None, "reopening_grit": None}
    assert one(windowed(after(60, abraded="P180"), table=table, preparation=RE_KEYED)).verdict is INCONCLUSIVE


@pytest.mark.parametrize("grade", ["P400", "P80", "180"])
@pytest.mark.parametrize("silent", [0, 2], ids=["every line says it", "two lines are silent"])
def test_coa_06_fail_late_and_abraded_with_another_grade_than_the_sheet_asks_for(grade, silent):
    table = reopening()
    for row in table[:silent]:
        row |= {"reopened_by": None, "reopening_grit": None}
    steps = [{**RE_KEYED[0], "grit": grade}, RE_KEYED[1]]
    found = one(windowed(after(60, abraded=grade), table=table, preparation=steps))
    assert (found.verdict, limit_of(found).high) == (FAIL, 48)
    assert said(found, f"Abraded with {grade}; the data sheet asks for P150 to P220 (coating/windows.csv:")


@pytest.mark.parametrize(
    "step", [None, cleaned("sand"), cleaned(day=17), cleaned(day=22), cleaned(zone="Z2"),
             {**cleaned(), "started": "2026-03-20 07:00"}],
    ids=["nothing", "sanding", "before the coat below", "after the coat", "another zone", "before the abrading"],
)  # fmt: skip
def test_coa_06_inconclusive_late_and_abraded_but_not_shown_to_be_cleaned_after_it(step):
    steps = [RE_KEYED[0], *([step] if step else [])]
    found = one(windowed(after(60, abraded="P180"), table=reopening(), preparation=steps))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "No cleaning after the abrading is in the preparation log.")


@pytest.mark.parametrize("grit", [None, "P150"], ids=["no sanding", "another grade"])
def test_coa_06_inconclusive_where_the_preparation_log_does_not_show_the_abrading(grit):
    steps = [RE_KEYED[1], *([{**RE_KEYED[0], "grit": grit}] if grit else [])]
    found = one(windowed(after(60, abraded="P180"), table=reopening(), preparation=steps))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "No abrading with P180 between the two coats is in the preparation log.")


def test_coa_06_inconclusive_where_a_lost_step_may_have_followed_the_cleaning():
    def with_lost(**cells):
        lost = {Preparation: [cells]}
        return one(windowed(after(60, abraded="P180"), table=reopening(), preparation=RE_KEYED, unread=lost)).verdict

    assert with_lost(zone="Z1", step="sand") is INCONCLUSIVE
    assert with_lost(zone="Z2", step="sand") is PASS


def test_no_lost_row_of_the_re_keying_helps_a_late_coat():
    rows: Tables = {Coat: [BELOW, after(60, abraded="P180")], Window: reopening(), Climate: surfaces(20, 20)}
    rows[Preparation] = list(RE_KEYED)
    given = evidence(rows)
    for index in range(len(RE_KEYED)):
        assert one(overcoating(deleted(given, Preparation, index))).verdict is INCONCLUSIVE
    for index in range(len(LINES)):
        assert one(overcoating(deleted(given, Window, index))).verdict in (PASS, INCONCLUSIVE)


SLIPS = [
    ({"reopened_by": "abrading", "reopening_grit": None}, "reopening_grit", "an empty cell"),
    ({"reopened_by": None, "reopening_grit": "P180"}, "reopened_by", "an empty cell beside 'P180'"),
    ({"reopened_by": "abrading", "reopening_grit": "180"}, "reopening_grit", "'180'"),
    ({"reopened_by": "abrading", "reopening_grit": "P150 to P22O"}, "reopening_grit", "'P150 to P22O'"),
    ({"reopened_by": "abrading", "reopening_grit": "P400 to P180"}, "reopening_grit", "'P400 to P180'"),
]


@pytest.mark.parametrize(("cells", "column", "found"), SLIPS)
def test_coa_06_a_slip_in_the_grade_of_every_line_leaves_the_times_of_the_window(cells, column, found):
    """60 h where 48 are allowed: not abraded a fail still; abraded with P180 a pass no longer."""
    table = [{**row, **cells} for row in lines()]
    assert one(windowed(after(60), table=table)).verdict is FAIL
    assert one(windowed(after(5), table=table)).verdict is FAIL
    assert one(windowed(after(12), table=table)).verdict is PASS
    late = one(windowed(after(60, abraded="P180"), table=table, preparation=RE_KEYED))
    assert late.verdict is INCONCLUSIVE
    assert said(late, "coating/windows.csv:2: which grade the data sheet asks for after the longest time cannot be")
    faults = list(unclear_reopening(evidence({Window: table})))
    assert [(fault.where.line, fault.found, fault.row_kept) for fault in faults] == [
        (n, found, True) for n in (2, 3, 4)
    ]
    assert {str(fault.where).split("column ")[1] for fault in faults} == {f"'{column}'"}


def test_coa_06_a_slip_in_the_grade_of_one_line_is_no_leave_for_another_grade():
    table = reopening()
    table[0]["reopening_grit"] = "P150 to P22O"
    steps = [{**RE_KEYED[0], "grit": "P400"}, RE_KEYED[1]]
    assert one(windowed(after(60, abraded="P400"), table=table, preparation=steps)).verdict is FAIL
    assert one(windowed(after(60, abraded="P180"), table=table, preparation=RE_KEYED)).verdict is INCONCLUSIVE


def test_a_line_that_says_how_it_is_reopened_or_says_nothing_is_no_fault():
    assert list(unclear_reopening(evidence({Window: [*lines(), *reopening(), *reopening("any")]}))) == []


def test_the_grades_that_reopen_a_window():
    def grades(text):
        return record(Window, {**lines()[0], "reopened_by": "abrading", "reopening_grit": text}).reopening_grades

    assert (grades("P320 to P400"), grades("P320"), grades("any")) == ((320, 400), (320, 320), None)


def test_coa_06_pass_in_the_window_needs_no_abrading_or_cleaning():
    found = one(windowed(after(12, abraded="P400"), climate=surfaces(20)))
    assert (found.verdict, found.notes) == (PASS, ())


def test_coa_06_pass_between_two_lines_the_stricter_of_both_holds():
    """22 to 27 degC: shortest max(8, 6) by the coldest, longest min(48, 36) by the warmest: 8 to 36 h."""
    found = one(windowed(after(12), climate=surfaces(22, 27, 24)))
    assert (found.verdict, limit_of(found).low, limit_of(found).high) == (PASS, 8, 36)
    assert found.working[1] == "surface from 22 to 27 °C in 13 readings between the coats"


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
    assert one(windowed(after(12), climate=single(20, start=7))).verdict is INCONCLUSIVE


@pytest.mark.parametrize("hour", [8, 20])
def test_coa_06_pass_by_a_temperature_read_as_one_coat_ended_or_the_other_began(hour):
    rare = specification(specified("COA-04", "interval between readings", "h", high=12.0))
    assert one(windowed(after(12), climate=single(20, start=hour), specification=rare)).verdict is PASS


@pytest.mark.parametrize("moment", ["2026-03-20 09:00", "2026-03-20 20:00"])
def test_coa_06_pass_cleaned_as_the_abrading_ended_or_the_next_coat_began(moment):
    step = {**cleaned(), "started": moment, "finished": moment}
    found = one(windowed(after(60, abraded="P180"), table=reopening(), preparation=[RE_KEYED[0], step]))
    assert found.verdict is PASS


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


@pytest.mark.parametrize(("table", "verdict"), [(reopening(), PASS), (lines(), INCONCLUSIVE), ([], INCONCLUSIVE)])
def test_coa_06_pass_or_inconclusive_late_by_the_builders_window_and_abraded_as_the_sheet_says(table, verdict):
    """The builder's longest time says nothing of abrading; only the sheet can."""
    mine = specification(specified("COA-06", SINCE, "h", 4.0, 24.0))
    found = windowed(after(60, abraded="P180"), specification=mine, table=table, preparation=RE_KEYED)
    assert one(found).verdict is verdict


def test_coa_06_inconclusive_where_the_surface_was_not_read_for_longer_than_agreed():
    """Readings at 08:00 and 09:00, then none to 20:00; half-hourly agreed instead of hourly, none counts."""
    found = one(windowed(after(12), climate=single(20, 20)))
    words = "For 11.0 of the 12.0 h between the coats the surface temperature is not known. The longest stretch without"
    assert said(found, f"{words} a reading between them is from 2026-03-18 09:00 to 2026-03-18 20:00.")
    assert found.verdict is INCONCLUSIVE
    assert one(windowed(after(5), climate=single(20, 20))).verdict is FAIL  # 5 h where 8 are asked for
    mine = specification(specified("COA-04", "interval between readings", "h", high=0.5))
    assert said(one(windowed(after(12), climate=single(20, 20), specification=mine)), "For 12.0 of the 12.0 h")


def test_coa_06_the_hot_rows_of_the_log_deleted_give_no_pass():
    """40 h: late at 30 degC (36 h), in time at 20 degC (48 h)."""
    rows = single(*[20] * 6, 30, 30, 30, *[20] * 40)
    assert one(windowed(after(40), climate=rows)).verdict is FAIL
    assert one(windowed(after(40), climate=[row for row in rows if row["surface"] == 20])).verdict is INCONCLUSIVE
