"""INF-04, INF-05, INF-06 and INF-09: every verdict, on synthetic rows."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from buildbook.chapters.infusion.checks.mixes import HARDENER, MARGIN, filled_before_gel, hardener
from buildbook.chapters.infusion.checks.resin import RATIO, SPEED, fill_against_darcy, resin_used
from buildbook.chapters.infusion.records import Area, Infusion, LogReading, Mix, ResinSheet
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.chapters.shared_records import Instrument, Place
from buildbook.core.finding import Finding
from buildbook.core.quantity import Kind
from tests.chapters.infusion.infusion_folder import SHEET, TOOLS, area, at, folder, infusion, mix
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    PASS,
    expanded,
    instrument,
    limit_of,
    near,
    one,
    said,
    specified,
    value,
)


def clock(*mixes: dict[str, Any], mine: Any = (), **more: Any) -> list[Finding]:
    return list(filled_before_gel(folder({Mix: list(mixes)}, mine, **more)))


def shares(tables: Any = None, mine: Any = (), **more: Any) -> list[Finding]:
    return list(hardener(folder(tables, mine, **more)))


def ratio(tables: Any = None, mine: Any = (), **more: Any) -> Finding:
    return one(list(resin_used(folder(tables, mine, **more))), RATIO, "P")


def speed(tables: Any = None, mine: Any = (), **more: Any) -> Finding:
    return one(list(fill_against_darcy(folder(tables, mine, **more))), SPEED, "P")


# --- INF-04 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gel", "verdict"), [(160, PASS), (151, CONDITIONAL_PASS), (149, CONDITIONAL_FAIL), (140, FAIL)]
)
def test_inf_04_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_clock(gel, verdict):
    """100 minutes to draw in; the step of a minute is 0.289 min at k = 1, at three moments (worked by hand)."""
    row = mix(closed=at(8) + timedelta(minutes=100), gelled=at(8) + timedelta(minutes=gel))
    found = one(clock(row), MARGIN, "P", "A")
    share = gel / 100.0
    step = 1.0 / math.sqrt(12.0) / 100.0
    assert value(found) == near(share)
    assert expanded(found) == near(2.0 * step * math.sqrt(1.0 + share**2 + (share - 1.0) ** 2))
    assert limit_of(found).low == 1.5
    assert found.verdict is verdict


def test_each_mix_has_its_own_clock_and_may_have_its_own_limit():
    rows = (mix(), mix("B", gelled=at(8, 40)))
    found = clock(*rows, mine=[specified("INF-04", MARGIN, "1", low=1.2)])
    assert [one(found, MARGIN, condition=name).verdict for name in ("A", "B")] == [PASS, PASS]
    assert one(clock(*rows), MARGIN, condition="B").verdict is FAIL


@pytest.mark.parametrize("name", ["closed", "gelled"])
def test_inf_04_no_record_of_a_moment(name: str) -> None:
    left_out: dict[str, Any] = {name: None}
    assert one(clock(mix(**left_out)), MARGIN).verdict is NO_RECORD
    assert one(clock(), MARGIN).verdict is NO_RECORD


def test_inf_04_inconclusive_where_the_row_of_a_mix_is_lost():
    lost = list(filled_before_gel(folder(unread={Mix: [{"part": "P", "mix": "C"}]})))
    assert one(lost, MARGIN, condition="C").verdict is INCONCLUSIVE


# --- INF-05 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mass", "verdict"), [(0.88, PASS), (0.8995, CONDITIONAL_PASS), (0.9005, CONDITIONAL_FAIL), (0.92, FAIL)]
)
def test_inf_05_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_data_sheet(mass, verdict):
    """At most 3 % of 30 kg. U of both weighings 2 g: of the share 100 * 0.002 / 30 = 0.0067 % (resin adds 0.04 %)."""
    found = one(shares({Mix: [mix(hardener_mass=mass)]}), HARDENER)
    assert value(found) == near(100.0 * mass / 30.0)
    assert expanded(found) == near(0.2 / 30.0, rel=1e-3)
    assert (limit_of(found).low, limit_of(found).high) == (1.0, 3.0)
    assert limit_of(found).terms[0].set_by == "resin maker"
    assert found.verdict is verdict


def test_the_builder_may_set_a_closer_range():
    found = one(shares(mine=[specified("INF-05", HARDENER, "%", low=1.4, high=1.6)], tables={Mix: [mix()]}), HARDENER)
    assert found.verdict is FAIL


def test_inf_05_inconclusive_without_data_sheet_or_balance():
    assert one(shares({ResinSheet: []}), HARDENER, condition="A").verdict is INCONCLUSIVE
    assert one(shares({Infusion: []}), HARDENER, condition="A").verdict is INCONCLUSIVE
    bare = one(shares({Mix: [mix(hardener_balance=None)]}), HARDENER)
    assert bare.verdict is INCONCLUSIVE
    assert bare.measured is not None
    assert bare.measured.expanded is None


def test_inf_05_no_record_without_a_mix():
    assert one(shares({Mix: []}), HARDENER).verdict is NO_RECORD


# --- INF-06 -------------------------------------------------------------------------------------------------------

# 60 kg predicted. Areas 0.1 % of 60 kg = 0.06; glass 10 * 8.4 / 0.36 * 0.0005 = 0.1167;
# mesh 4 kg * 0.2 / sqrt 3 = 0.4619;
# balances 2 * (0.001 + 0.001) = 0.004 kg, and 0.001 kg of what was left over:
# u = 0.4802 kg, U = 0.01601 of the ratio (worked by hand).
U_RATIO = 2.0 * math.sqrt(0.06**2 + (10.0 * 8.4 / 0.36 * 0.0005) ** 2 + (0.8 / math.sqrt(3.0)) ** 2) / 60.0


@pytest.mark.parametrize(
    ("left", "verdict"), [(1.2, PASS), (-4.2, CONDITIONAL_PASS), (-5.4, CONDITIONAL_FAIL), (-9.0, FAIL)]
)
def test_inf_06_pass_or_conditional_pass_or_conditional_fail_or_fail_by_a_tenth(left, verdict):
    """61.2 kg mixed; what is above 60 kg is left over, or more is mixed. Where nothing is left, no balance counts."""
    more = mix("B", resin_mass=30.0 - min(left, 0.0))
    found = ratio({Infusion: [infusion(left_over=max(left, 0.0))], Mix: [mix(), more]})
    used = 61.2 - left
    assert value(found) == near(used / 60.0)
    scale = math.hypot(U_RATIO * used / 60.0, 2.0 * math.hypot(0.004, 0.001 if left > 0.0 else 0.0) / 60.0)
    assert expanded(found) == near(scale, rel=1e-9)
    assert found.verdict is verdict


def test_what_was_left_over_is_as_unsure_as_its_balance():
    """U of 0.6 kg at k = 2 is 0.3 kg of 60 kg, beside 0.004 kg of two mixes (worked by hand)."""
    coarse = [*TOOLS, instrument("BB", "mass", "kg", 0.6, range_low=0, range_high=300)]
    rows = [mix(), mix("B", resin_mass=30.0)]
    found = ratio({Infusion: [infusion(left_balance="BB")], Mix: rows, Instrument: coarse})
    assert found.measured is not None
    made = {part.name: part.standard for part in found.measured.parts}
    assert made["balance of what was left over"] == near(0.3 / 60.0)
    assert made["balances, 2 mixes"] == near(2 * (0.001 + 0.001) / 60.0)
    assert "BB" in found.instruments
    assert not said(found, "not taken to cancel")
    same = ratio({Mix: rows})
    assert said(same, "not taken to cancel")
    assert expanded(found) == near(math.hypot(expanded(same), 2.0 * math.sqrt(0.3**2 - 0.001**2) / 60.0))


@pytest.mark.parametrize(
    ("balance", "words"), [(None, "Which balance weighed what was left over"), ("XX", "not in the instrument table")]
)
def test_inf_06_inconclusive_where_nobody_knows_the_balance_of_what_was_left_over(balance, words):
    found = ratio({Infusion: [infusion(left_balance=balance)], Mix: [mix(), mix("B", resin_mass=30.0)]})
    assert found.verdict is INCONCLUSIVE
    assert said(found, words)
    assert found.measured is not None
    assert found.measured.expanded is None


def test_a_balance_is_not_needed_where_nothing_was_left_over():
    rows = [mix(), mix("B", resin_mass=28.8)]
    found = ratio({Infusion: [infusion(left_over=0.0, left_balance=None)], Mix: rows})
    assert value(found) == near(60.0 / 60.0)
    assert expanded(found) == near(math.hypot(U_RATIO, 2.0 * 0.004 / 60.0))
    assert found.verdict is PASS


@pytest.mark.parametrize(("due", "shown"), [("2025-10-02", True), ("2025-10-01", False)])
def test_what_was_left_over_is_weighed_after_gel_and_its_balance_is_held_to_that_day(due, shown):
    """Bagged on 2025-10-01, gelled on the next day; the calibration is good to the one or the other."""
    rest = instrument("BB", "mass", "kg", 0.002, range_low=0, range_high=300)
    tools = [*TOOLS, {**rest, "calibrated": "2025-01-01", "due": due}]
    later = infusion(left_balance="BB", gelled=at(10) + timedelta(days=1), released=at(16) + timedelta(days=1))
    found = ratio({Infusion: [later], Instrument: tools, Mix: [mix(), mix("B")]})
    assert said(found, "Instrument calibration not shown: BB") is not shown


def test_cuts_and_holes_of_the_core_take_resin():
    """W23 at 1.2 g/cm3 in place of 1.15: (1.533 + 0.0452) * 1.2 / 1.15 = 1.6471 kg/m2, on 10 m2 16.47 kg."""
    cored = area(
        core_thickness=20.0,
        cut_width=1.0,
        cut_depth=20.0,
        cut_spacing=30.0,
        hole_diameter=2.0,
        hole_pitch=40.0,
        surface=0.3,
    )
    found = ratio({Area: [cored]})
    assert value(found) == near(60.0 / (60.0 + 16.471 + 3.0), rel=1e-4)
    assert found.verdict is FAIL


def test_the_glass_content_of_all_zones_is_one_figure():
    """Two zones of 5 m2 are as unsure of their glass as one of 10 m2: 0.1167 kg, where 5 and 5 by squares are 0.0825.

    The part of the areas is smaller: each of 0.1 % of 30 kg, 0.03 kg, and both 0.0424 kg (worked by hand).
    """
    halves = [area(area=5.0), area(zone="M", area=5.0)]
    plies = [
        {"zone": zone, "skin": "single skin", "ply": n, "of": 2, "material": "GLASS"} for zone in "LM" for n in (1, 2)
    ]
    zones = [{"place": name, "name": name, "kind": "part", "painted": "no"} for name in ("P", "L", "M")]
    found = ratio({Area: halves, Ply: plies, Place: zones})
    assert found.measured is not None
    made = {part.name: part.standard for part in found.measured.parts}
    assert made["glass content reckoned with"] == near(10.0 * 8.4 / 0.36 * 0.0005 / 60.0)
    assert made["areas"] == near(math.hypot(0.03, 0.03) / 60.0)
    assert said(found, "one figure for all zones")


def test_the_prediction_cites_schedule_and_materials_and_gives_its_figures():
    found = ratio()
    assert {"laminate/schedule.csv", "laminate/materials.csv"} <= {where.file for where in found.at}
    assert any("resin of 1.2 g/cm³" in line for line in found.working)
    assert any("8.400 kg/m² of glass at 60 %" in line for line in found.working)


def test_inf_06_inconclusive_where_estimates_are_most_of_it():
    """1 m2 and 30 kg in hoses: u = 6 / sqrt 3 kg of 36 kg, U = 19 %: no ratio could show a clear pass."""
    small = ratio({Area: [area(area=1.0)], Infusion: [infusion(left_over=25.2, lines=30.0)]})
    assert small.verdict is INCONCLUSIVE
    assert said(small, "too coarse")
    assert value(small) == near(1.0)


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ({Ply: [{"zone": "L", "skin": "single skin", "ply": 1, "of": 2, "material": "GLASS"}]}, "1 of 2 plies"),
        ({Infusion: [infusion(lines=None)]}, "hoses and channels is not on record"),
        ({Infusion: [infusion(left_over=80.0)]}, "More was left over"),
        ({Area: [area(core_thickness=9.0, cut_width=3.0, cut_depth=9.0, cut_spacing=5.0)]}, "spacing of the cuts"),
    ],
)
def test_inf_06_inconclusive_where_the_prediction_is_not_whole(tables, words):
    found = ratio(tables)
    assert found.verdict.rank >= INCONCLUSIVE.rank
    assert said(found, words)


@pytest.mark.parametrize(
    "plies",
    [
        [{"zone": "L", "skin": "single skin", "ply": 1, "of": 2, "material": "GLASS"}],
        [{"zone": "L", "skin": "single skin", "ply": n, "of": 2, "material": ("GLASS", "GONE")[n - 1]} for n in (1, 2)],
    ],
)
def test_a_prediction_that_is_not_whole_is_a_least_value_and_never_a_fail_for_too_much(plies):
    """One ply of 4.2 kg/m2 on 10 m2 at 60 % takes 28 kg, with 4 kg of mesh 32 kg or more: 60 kg are at most 1.88 of
    it, and 25 kg at most 0.78, which is below nine tenths whatever the other ply takes (worked by hand).
    """
    found = ratio({Ply: plies})
    assert found.measured is not None
    assert found.measured.kind is Kind.AT_MOST
    assert value(found) == near(60.0 / 32.0)
    assert found.verdict is INCONCLUSIVE
    assert "at least 32.0 kg predicted" in found.observed
    assert said(found, "not on record, so the part should take more")
    little = ratio({Ply: plies, Infusion: [infusion(left_over=36.2)]})
    assert value(little) == near(25.0 / 32.0)
    assert little.verdict is FAIL


@pytest.mark.parametrize("kind", [Ply, Material])
def test_inf_06_no_record_and_no_number_where_schedule_or_materials_are_not_there(kind):
    found = ratio({kind: []})
    assert found.verdict is NO_RECORD
    assert found.measured is None
    assert said(found, kind.table.file)


@pytest.mark.parametrize("kind", [Ply, Material])
def test_inf_06_inconclusive_and_no_number_where_no_row_of_schedule_or_materials_can_be_used(kind):
    held = folder({kind: []}, unread={kind: [{}]})
    found = one(list(resin_used(replace(held, missing={}))), RATIO, "P")
    assert found.verdict is INCONCLUSIVE
    assert found.measured is None
    assert said(found, "nobody can say how much resin")


def test_inf_06_no_record_of_what_it_needs():
    for kind in (Infusion, Mix, Area):
        assert ratio({kind: []}).verdict is NO_RECORD
    assert ratio({Infusion: [infusion(left_over=None)]}).verdict is NO_RECORD


@pytest.mark.parametrize(("name", "words"), [("media", "flow mesh"), ("surface", "open cells")])
def test_inf_06_inconclusive_where_a_figure_of_the_designer_is_lost(name: str, words: str) -> None:
    """Without it the part seems to need less resin: a ratio that was too low would come near one."""
    gone: dict[str, Any] = {name: None}
    found = ratio({Area: [area(**gone)]})
    assert found.verdict.rank >= INCONCLUSIVE.rank
    assert said(found, words)
    plain = ratio({Area: [area(core=None)]})
    assert not said(plain, "open cells of its core")


def test_a_density_that_is_not_on_record_is_said():
    bare = [{"material": "GLASS", "name": "cloth", "kind": "stitched", "weight": 4200.0}]
    bare.append({"material": "VE-INF", "name": "resin", "kind": "resin"})
    found = ratio({Material: bare})
    assert found.verdict is INCONCLUSIVE
    assert said(found, "density of VE-INF")


# --- INF-09 -------------------------------------------------------------------------------------------------------


def test_inf_09_information_by_darcy():
    """Glass 60 % by mass at 2.5 and 1.2 g/cm3 is 0.24 / (0.24 + 0.3333) = 41.86 % by volume; 983.25 mbar, 1 m.

    0.5814 * 0.25 * 1 / (2 * 7.3628e-11 * 98325) = 10 038.6 s = 167.3 min; filled in 60 min (worked by hand).
    """
    found = speed({ResinSheet: [{**SHEET, "viscosity": 250.0}]})
    assert found.verdict is INFORMATION
    assert value(found) == near(167.3 / 60.0, rel=1e-3)
    assert said(found, "10 to 100 times")
    assert any("permeability of plain mat 7.36e-11 m²" in line for line in found.working)


@pytest.mark.parametrize(
    "tables",
    [
        {Infusion: []},
        {Infusion: [infusion(filled=None)]},
        {Infusion: [infusion(flow_length=None)]},
        {ResinSheet: [SHEET]},
        {ResinSheet: [{**SHEET, "viscosity": 250.0}], LogReading: []},
        {ResinSheet: [{**SHEET, "viscosity": 250.0}], Area: []},
    ],
)
def test_inf_09_no_record_of_what_it_needs(tables):
    assert speed(tables).verdict is NO_RECORD


def test_a_balance_in_other_words_is_said():
    tools = [*TOOLS[:-1], instrument("BA", "force", "N", 1.0)]
    found = one(shares({Instrument: tools}), HARDENER, condition="A")
    assert found.verdict is INCONCLUSIVE


def test_inf_09_inconclusive_where_the_row_of_the_infusion_is_lost():
    lost = folder({Infusion: [infusion(part="Q")]}, unread={Infusion: [{"part": "P"}]})
    assert one(list(fill_against_darcy(lost)), SPEED, "P").verdict is INCONCLUSIVE
