"""SYS-07 to SYS-09: every verdict, on synthetic rows. The figures of the limits are second-hand: see their table."""

from __future__ import annotations

import math

import pytest

from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.systems.checks.electric import (
    AFLOAT,
    BOND,
    DROP,
    INSULATION,
    NO_LEADS,
    bonded,
    dropped,
    insulated,
)
from buildbook.core.quantity import Kind
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    expanded,
    limit_of,
    near,
    one,
    planned,
    said,
    specified,
    value,
)
from tests.chapters.systems.systems_folder import (
    TOOLS,
    Bonding,
    Circuit,
    Insulation,
    Rows,
    VoltageDrop,
    bond,
    circuit,
    drop,
    found,
    insulation,
)

MAINS = circuit(supply="230 V AC", critical=False)


@pytest.mark.parametrize(
    ("net", "verdict"),
    [(0.5, PASS), (0.98, CONDITIONAL_PASS), (1.0, CONDITIONAL_FAIL), (1.02, CONDITIONAL_FAIL), (1.2, FAIL)],
)
def test_sys_07_pass_or_conditional_pass_or_conditional_fail_or_fail_by_the_bond(net, verdict):
    """Leads of 0.2 ohm come off; 0.03 ohm twice is U = 0.0424 ohm (worked by hand). Exactly 1 ohm is not less."""
    at = one(found(bonded, {Bonding: [bond(round(net + 0.2, 6))]}), BOND, "F1")
    assert value(at) == near(net)
    assert expanded(at) == near(0.03 * math.sqrt(2.0), rel=1e-6)
    assert at.verdict is verdict


def calibrated(name, U, step):
    """The tools, of which one has this U and step."""
    changed = {"uncertainty": U, "resolution": step}
    return [{**tool, **changed} if tool["instrument"] == name else tool for tool in TOOLS]


@pytest.mark.parametrize(("resistance", "left"), [(0.21, 0.01 / 0.21), (1.16, 0.96 / 1.16), (20.0, 0.99)])
def test_of_the_calibration_of_one_ohmmeter_the_bond_bears_what_an_error_of_gain_leaves(resistance, left):
    """U = 0.03 ohm times difference over larger reading, and a step of 0.01 ohm twice (worked by hand)."""
    rows: Rows = {Bonding: [bond(resistance)], Instrument: calibrated("OM-01", 0.03, 0.01)}
    at = one(found(bonded, rows), BOND)
    assert expanded(at) == near(math.hypot(0.03 * left, 0.02 * math.sqrt(2.0 / 12.0)), rel=1e-6)
    bound = one(found(bonded, {**rows, Bonding: [bond(0.7, leads=None)]}), BOND)
    assert expanded(bound) == near(2.0 * math.hypot(0.015, 0.01 / math.sqrt(12.0)), rel=1e-6)


def test_a_bond_just_below_an_ohm_is_no_pass_because_its_leads_came_off():
    """0.985 ohm with U = 0.026 ohm: an offset alone, which would cancel, left 0.008 ohm (worked by hand)."""
    rows: Rows = {Bonding: [bond(1.185)], Instrument: calibrated("OM-01", 0.03, 0.01)}
    assert one(found(bonded, rows), BOND).verdict is CONDITIONAL_PASS


@pytest.mark.parametrize(("step", "verdict"), [(0.01, PASS), (None, CONDITIONAL_PASS), (0, CONDITIONAL_PASS)])
def test_a_blank_step_never_makes_a_pass_of_a_bond_or_a_drop(step, verdict):
    for leads in (0.2, None):
        bonds: Rows = {Bonding: [bond(0.5, leads=leads)], Instrument: calibrated("OM-01", 0.03, step)}
        at = one(found(bonded, bonds), BOND)
        assert at.verdict is verdict
        assert said(at, "smallest step of OM-01") is (verdict is CONDITIONAL_PASS)
    drops: Rows = {VoltageDrop: [drop()], Circuit: [circuit()], Instrument: calibrated("VT-01", 0.03, step)}
    assert one(found(dropped, drops), DROP).verdict is verdict
    missed: Rows = {**drops, VoltageDrop: [drop(90.0)]}
    assert one(found(dropped, missed), DROP).verdict is FAIL


def test_the_calibration_of_one_voltmeter_hardly_counts_in_the_drop():
    """Of 100 V and 98 V: steps of 0.1 V by 0.98 and 1 %/V; the calibration, u = 0.15 V, by 0.02 %/V only."""
    rows: Rows = {VoltageDrop: [drop(98.0)], Circuit: [circuit()], Instrument: calibrated("VT-01", 0.3, 0.1)}
    step, ammeter = 0.1 / math.sqrt(12.0), 2.0 * 0.01 / 10.0
    by_hand = 2.0 * math.sqrt((0.98 * step) ** 2 + step**2 + (0.02 * 0.15) ** 2 + ammeter**2)
    assert expanded(one(found(dropped, rows), DROP)) == near(by_hand, rel=1e-6)


def test_without_its_leads_the_value_is_an_upper_bound():
    low, high = (one(found(bonded, {Bonding: [bond(r, leads=None)]}), BOND) for r in (0.7, 1.4))
    assert low.measured is not None
    assert low.measured.kind is Kind.AT_MOST
    assert (low.verdict, high.verdict) == (PASS, INCONCLUSIVE)
    assert said(low, NO_LEADS)


def test_sys_07_inconclusive_with_the_hull_in_the_water():
    at = one(found(bonded, {Bonding: [bond(ashore=False)]}), BOND)
    assert at.verdict is INCONCLUSIVE
    assert said(at, AFLOAT)


def test_sys_07_not_measured_where_planned():
    line = planned("SYS-07", "F9", "systems/bonding.csv")
    assert one(found(bonded, {Bonding: [bond()], Planned: [line]}), BOND, "F9").verdict is NOT_MEASURED


def test_sys_07_no_record_without_a_table():
    assert one(found(bonded, {Bonding: []}), BOND).verdict is NO_RECORD


@pytest.mark.parametrize(
    ("resistance", "verdict"), [(2.0, PASS), (1.1, CONDITIONAL_PASS), (0.9, CONDITIONAL_FAIL), (0.5, FAIL)]
)
def test_sys_08_pass_or_conditional_pass_or_conditional_fail_or_fail_for_the_mains(resistance, verdict):
    at = one(found(insulated, {Insulation: [insulation(resistance)], Circuit: [MAINS]}), INSULATION, "E1")
    assert (limit_of(at).low, expanded(at)) == (1.0, near(0.2))
    assert at.verdict is verdict


def test_a_reading_beyond_the_range_is_more_than_its_end():
    at = one(found(insulated, {Insulation: [insulation(200.0, beyond=True)], Circuit: [MAINS]}), INSULATION)
    assert at.measured is not None
    assert at.measured.kind is Kind.AT_LEAST
    assert at.verdict is PASS
    assert at.working[0].startswith("more than 200 MΩ at 500 V")
    assert at.observed == "more than the tester can read"


def test_sys_08_inconclusive_at_a_lower_test_voltage():
    row = insulation(voltage=250.0)
    assert one(found(insulated, {Insulation: [row], Circuit: [MAINS]}), INSULATION).verdict is INCONCLUSIVE
    assert one(found(insulated, {Insulation: [row], Circuit: [circuit()]}), INSULATION).verdict is INFORMATION


def test_sys_08_information_for_low_voltage():
    assert one(found(insulated, {Insulation: [insulation()], Circuit: [circuit()]}), INSULATION).verdict is INFORMATION


def test_sys_08_inconclusive_where_nobody_says_what_the_circuit_is_for():
    """A circuit of the mains that is no longer in the table must not look like one that no limit is for."""
    unlisted: Rows = {Insulation: [insulation(0.5)], Circuit: []}
    at = one(found(insulated, unlisted), INSULATION)
    assert (at.limit, at.verdict) == (None, INCONCLUSIVE)
    assert said(at, "no published limit belongs to it")
    mine = [specified("SYS-08", INSULATION, "Mohm", low=1.0)]
    assert one(found(insulated, unlisted, mine), INSULATION).verdict is FAIL


def test_sys_08_not_measured_where_planned():
    line = planned("SYS-08", "E9", "systems/insulation.csv")
    rows: Rows = {Insulation: [insulation()], Circuit: [MAINS], Planned: [line]}
    assert one(found(insulated, rows), INSULATION, "E9").verdict is NOT_MEASURED


def test_sys_08_no_record_without_a_table():
    assert one(found(insulated, {Insulation: []}), INSULATION).verdict is NO_RECORD


@pytest.mark.parametrize(
    ("load", "verdict"), [(98.0, PASS), (97.2, CONDITIONAL_PASS), (96.8, CONDITIONAL_FAIL), (95.0, FAIL)]
)
def test_sys_09_pass_or_conditional_pass_or_conditional_fail_or_fail_on_a_critical_circuit(load, verdict):
    """Of 100 V; 0.3 V twice is U = 0.3 sqrt(1 + (load/100)^2) %, and 0.02 A of 10 A of the drop (worked by hand)."""
    at = one(found(dropped, {VoltageDrop: [drop(load)], Circuit: [circuit()]}), DROP, "E1")
    assert value(at) == near(100.0 - load)
    volts, amperes = 0.3 * math.hypot(1.0, load / 100.0), (100.0 - load) * 0.002
    assert expanded(at) == near(math.hypot(volts, amperes), rel=1e-6)
    assert limit_of(at).high == 3.0
    assert at.verdict is verdict


def test_a_circuit_that_is_not_critical_may_lose_ten_per_cent():
    at = one(found(dropped, {VoltageDrop: [drop(93.0)], Circuit: [circuit(critical=False)]}), DROP)
    assert (limit_of(at).high, at.verdict) == (10.0, PASS)


@pytest.mark.parametrize("current", [8.9, None])
def test_sys_09_inconclusive_where_too_little_flowed_or_nobody_knows(current):
    """Nine tenths of the design current: a rule of this book, no source."""
    rows: Rows = {VoltageDrop: [drop(current=current)], Circuit: [circuit()]}
    assert one(found(dropped, rows), DROP).verdict is INCONCLUSIVE
    assert one(found(dropped, {**rows, VoltageDrop: [drop(95.0, current=current)]}), DROP).verdict is FAIL


@pytest.mark.parametrize(
    ("load", "current", "at_full", "verdict"),
    [(98.0, 9.0, 2.0 / 0.9, PASS), (97.1, 9.5, 2.9 / 0.95, CONDITIONAL_FAIL), (96.8, 12.5, 2.56, PASS)],
)
def test_the_drop_is_that_at_the_design_current(load, current, at_full, verdict):
    """In the same wires the drop grows with the current: measured drop x 10 A / current (Ohm's law, by hand)."""
    at = one(found(dropped, {VoltageDrop: [drop(load, current=current)], Circuit: [circuit()]}), DROP)
    assert value(at) == near(at_full)
    volts, amperes = 0.3 * math.hypot(1.0, load / 100.0) * 10.0 / current, at_full * 0.02 / current
    assert expanded(at) == near(math.hypot(volts, amperes), rel=1e-6)
    assert at.verdict is verdict


def test_below_nine_tenths_the_drop_stays_as_measured():
    at = one(found(dropped, {VoltageDrop: [drop(98.0, current=8.9)], Circuit: [circuit()]}), DROP)
    assert (value(at), at.verdict) == (near(2.0), INCONCLUSIVE)


def test_without_the_uncertainty_of_the_ammeter_a_drop_passes_conditionally_at_best():
    rows: Rows = {VoltageDrop: [drop(ammeter=None)], Circuit: [circuit()]}
    at = one(found(dropped, rows), DROP)
    assert at.verdict is CONDITIONAL_PASS
    assert said(at, "ammeter")
    gone = [tool for tool in TOOLS if tool["instrument"] != "AM-01"]
    unlisted: Rows = {VoltageDrop: [drop()], Circuit: [circuit()], Instrument: gone}
    assert one(found(dropped, unlisted), DROP).verdict is INCONCLUSIVE


def test_sys_09_inconclusive_where_nobody_says_what_the_circuit_is_for():
    mine = [specified("SYS-09", DROP, "%", high=5.0)]
    unlisted: Rows = {VoltageDrop: [drop()], Circuit: []}
    at = one(found(dropped, unlisted), DROP)
    assert at.limit is None
    assert at.verdict is INCONCLUSIVE  # the load is not known either
    assert limit_of(one(found(dropped, unlisted, mine), DROP)).high == 5.0


def test_sys_09_information_of_alternating_current_without_a_figure_of_the_builder():
    """The shares were published for direct current: 23 V lost of 230 V must not pass by them."""
    rows: Rows = {VoltageDrop: [drop(source=230.0, load=209.0)], Circuit: [circuit(supply="230 V AC", critical=False)]}
    at = one(found(dropped, rows), DROP)
    assert (at.verdict, at.limit) == (INFORMATION, None)
    assert said(at, "alternating current")
    mine = [specified("SYS-09", DROP, "%", high=5.0)]
    (judged,) = [it for it in found(dropped, rows, mine) if it.key.quantity == DROP]
    assert judged.verdict is FAIL
    assert limit_of(judged).high == 5.0


def test_sys_09_not_measured_where_planned():
    line = planned("SYS-09", "E9", "systems/voltage_drop.csv")
    rows: Rows = {VoltageDrop: [drop()], Circuit: [circuit()], Planned: [line]}
    assert one(found(dropped, rows), DROP, "E9").verdict is NOT_MEASURED


def test_sys_09_no_record_without_a_table():
    assert one(found(dropped, {VoltageDrop: []}), DROP).verdict is NO_RECORD


def test_the_ammeter_is_named_where_the_row_names_it():
    for named, shown in (("AM-01", ("VT-01", "AM-01")), (None, ("VT-01",))):
        rows: Rows = {VoltageDrop: [drop(ammeter=named)], Circuit: [circuit()]}
        assert one(found(dropped, rows), DROP).instruments == shown
