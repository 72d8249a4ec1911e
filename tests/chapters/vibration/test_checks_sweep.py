"""VIB-07: every verdict, on sweeps whose humps are seen with the naked eye."""

from __future__ import annotations

import pytest

from buildbook.chapters.shared_records import Instrument, Planned
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.charts import charts
from buildbook.chapters.vibration.checks.sweep import CLEAR, HUMPS, NAMED, speeds_to_avoid
from buildbook.chapters.vibration.formulas.sweep import humps
from buildbook.chapters.vibration.records import SweepReading
from buildbook.core.evidence import Evidence
from buildbook.core.hull import Hull
from buildbook.formulas import OutOfRange
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    NOT_MEASURED,
    PASS,
    Tables,
    instrument,
    limit_of,
    one,
    planned,
    said,
    specification,
)
from tests.chapters.vibration.shaking import RUN, judged

METER = instrument("VM-02", "weighted vibration", "mm/s", 0.06)
HUMPED = {700: 0.8, 760: 1.0, 820: 1.3, 880: 1.5, 940: 1.3, 1000: 1.5, 1060: 1.7}
SMOOTH = {700: 0.8, 760: 1.0, 820: 1.15, 880: 1.25, 940: 1.35, 1000: 1.5, 1060: 1.7}


def sweep(levels, *, cruise=985.0, rule=False, tables=None, unread=None) -> Evidence:
    """A sweep at V1 with these levels over the speed, and one run called cruise."""
    rows = [
        {"position": "V1", "axis": "vertical", "number": n, "shaft_speed": s, "level": level, "instrument": "VM-02"}
        for n, (s, level) in enumerate(levels.items(), 1)
    ]
    base: Tables = {
        SweepReading: rows,
        Instrument: [METER],
        TrialRun: [RUN],
        ShaftSpeed: [{"run": "R1", "propeller": p, "shaft_speed": cruise} for p in ("P1", "P2")],
        Planned: (),
    }
    chosen = specification(VIB_07=CLEAR) if rule else specification()
    return evidence({**base, **(tables or {})}, specification=chosen, unread=unread, hull=Hull())


# --- humps --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("levels", "tops"),
    [
        ((1.0, 1.1, 1.2, 1.3, 1.4), []),
        ((1.0, 1.5, 1.2, 1.3, 1.4), [2]),
        ((1.0, 1.25, 1.2, 1.3, 1.4), []),  # falls by 0.05 only, within 0.1
        ((1.5, 1.2, 1.3, 1.4, 1.5), []),  # the first level has no side below it
        ((1.0, 1.4, 1.36, 1.28, 1.5), [2]),  # falls in two steps
        ((1.0, 1.4, 1.4, 1.2, 1.5), [2]),  # of two equal tops the first
        ((1.0, 1.4, 1.1, 1.5, 1.2), [2, 4]),
        ((1.0, 1.4, 1.35, 1.45, 1.2), [4]),  # a dent smaller than the uncertainty parts no hump
    ],
)
def test_humps_by_eye(levels, tops):
    """Each worked out by hand: lower by more than 0.1 on both sides before it rises above the top."""
    assert [hump.speed for hump in humps([1, 2, 3, 4, 5], levels, [0.1] * 5)] == tops


def test_a_sweep_out_of_order_is_refused():
    with pytest.raises(OutOfRange):
        humps([700, 690, 800], [1.0, 1.0, 1.0], [0.1] * 3)
    with pytest.raises(OutOfRange):
        humps([700, 750, 800], [1.0, 1.0], [0.1] * 3)


# --- VIB-07 -------------------------------------------------------------------------------------------------------


def test_vib_07_information_of_a_hump_and_of_a_cruise_on_it_where_the_builder_set_no_rule():
    """The top at 880 r/min falls by 0.2 mm/s to both sides; U is 0.06 mm/s. 900 lies between 820 and 940."""
    found = judged(speeds_to_avoid, sweep(HUMPED, cruise=900.0))
    assert one(found, HUMPS).observed == "1 hump, at 880 r/min (1.50 mm/s)"
    assert one(found, HUMPS).working == (
        "1.50 mm/s at 880 r/min; it falls to 0.80 mm/s below and 1.30 mm/s above it before it rises again",
    )
    assert one(found, NAMED).observed == "cruise, 900 r/min: on the hump at 880 r/min"
    assert {finding.verdict for finding in found} == {INFORMATION}
    told = "no hump in readings from 700 r/min to 1060 r/min"
    assert one(judged(speeds_to_avoid, sweep(SMOOTH)), HUMPS).observed == told


def test_vib_07_pass_or_fail_by_the_builders_rule():
    for levels, cruise, verdict in ((HUMPED, 900.0, FAIL), (HUMPED, 985.0, PASS), (SMOOTH, 900.0, PASS)):
        found = one(judged(speeds_to_avoid, sweep(levels, cruise=cruise, rule=True)), NAMED)
        assert found.verdict is verdict
        assert limit_of(found).words == CLEAR


@pytest.mark.parametrize(("port", "starboard"), [(900.0, 985.0), (985.0, 900.0), (821.0, 985.0)])
def test_one_shaft_on_a_hump_is_enough(port, starboard):
    """The hump reaches from 820 to 940 r/min; the mean of 900 and 985 r/min lies clear of it (by hand)."""
    shafts = [{"run": "R1", "propeller": p, "shaft_speed": n} for p, n in (("P1", port), ("P2", starboard))]
    found = one(judged(speeds_to_avoid, sweep(HUMPED, rule=True, tables={ShaftSpeed: shafts})), NAMED)
    assert found.verdict is FAIL
    low, high = sorted((round(port), round(starboard)))
    assert found.observed == f"cruise, {low} r/min to {high} r/min: on the hump at 880 r/min"


def test_every_run_of_a_setting_counts():
    """Runs at 900 and 1050 r/min: their mean of 975 r/min lies clear of the hump, one of them on it."""
    shafts = [
        {"run": run, "propeller": p, "shaft_speed": n} for run, n in (("R1", 900.0), ("R2", 1050.0)) for p in "PS"
    ]
    runs = {TrialRun: [RUN, {**RUN, "run": "R2"}], ShaftSpeed: shafts}
    assert one(judged(speeds_to_avoid, sweep(HUMPED, rule=True, tables=runs)), NAMED).verdict is FAIL


def test_vib_07_inconclusive_where_a_setting_or_a_shaft_has_no_speed():
    """The run on the hump without its speeds, and with one of two."""
    runs = [RUN, {**RUN, "run": "R2", "setting": "slow"}]
    known = [{"run": "R1", "propeller": p, "shaft_speed": 985.0} for p in ("P1", "P2")]
    for shafts in (known, [*known, {"run": "R2", "propeller": "P1", "shaft_speed": 1000.0}]):
        given = sweep(HUMPED, rule=True, tables={TrialRun: runs, ShaftSpeed: shafts})
        found = one(judged(speeds_to_avoid, given), NAMED)
        assert found.verdict is INCONCLUSIVE
        assert said(found, "The speed of the shaft of P2 in run R2 is not on record.")
    assert (
        "slow, no shaft speed on record: not covered"
        in one(
            judged(speeds_to_avoid, sweep(HUMPED, rule=True, tables={TrialRun: runs, ShaftSpeed: known})), NAMED
        ).observed
    )


def test_a_hump_within_the_uncertainty_of_the_meter_is_none():
    """1.5 to 1.3 mm/s on both sides; U is 0.3 mm/s. Without a stated U any fall counts."""
    coarse = sweep(HUMPED, cruise=900.0, tables={Instrument: [{**METER, "uncertainty": 0.3}]})
    assert one(judged(speeds_to_avoid, coarse), HUMPS).observed.startswith("no hump")
    silent = sweep(HUMPED, tables={Instrument: [instrument("VM-02", "weighted vibration", "mm/s", None)]})
    assert one(judged(speeds_to_avoid, silent), HUMPS).observed.startswith("1 hump")


def test_vib_07_inconclusive_of_a_speed_that_the_sweep_does_not_cover():
    beyond = one(judged(speeds_to_avoid, sweep(SMOOTH, cruise=1200.0, rule=True)), NAMED)
    assert beyond.verdict is INCONCLUSIVE
    assert beyond.observed == "cruise, 1200 r/min: not covered by the sweep"
    sparse = sweep({700: 0.8, 760: 1.0, 940: 1.3, 1000: 1.5}, cruise=900.0, rule=True)
    assert one(judged(speeds_to_avoid, sparse), NAMED).verdict is INCONCLUSIVE
    assert "no reading between 760 r/min and 940 r/min" in one(judged(speeds_to_avoid, sparse), HUMPS).working[0]


def test_vib_07_inconclusive_where_rows_are_lost_or_too_few_or_the_meter_is_not_known():
    few = judged(speeds_to_avoid, sweep({700: 0.8, 900: 1.0}, rule=True))
    assert {one(few, name).verdict for name in (HUMPS, NAMED)} == {INCONCLUSIVE}
    lost = {SweepReading: [{"position": "V2", "axis": "vertical"}]}
    assert one(judged(speeds_to_avoid, sweep(SMOOTH, unread=lost)), HUMPS, place="V2").verdict is INCONCLUSIVE
    found = one(judged(speeds_to_avoid, sweep(SMOOTH, rule=True, unread={ShaftSpeed: [{"run": "R2"}]})), NAMED)
    assert found.verdict is INCONCLUSIVE
    assert said(found, "a speed she is used at may be missing")
    narrow = sweep(SMOOTH, rule=True, tables={Instrument: [{**METER, "range_low": 0.1, "range_high": 1.6}]})
    assert one(judged(speeds_to_avoid, narrow), NAMED).verdict is INCONCLUSIVE
    unknown = sweep(SMOOTH, rule=True, tables={Instrument: [{**METER, "instrument": "VM-03"}]})
    assert one(judged(speeds_to_avoid, unknown), NAMED).verdict is INCONCLUSIVE


def test_vib_07_no_record_without_a_sweep_or_a_run():
    assert one(judged(speeds_to_avoid, sweep({})), HUMPS).verdict is NO_RECORD
    silent = sweep(SMOOTH, tables={ShaftSpeed: []})
    assert one(judged(speeds_to_avoid, silent), NAMED).verdict is NO_RECORD


def test_vib_07_not_measured_where_a_sweep_was_planned():
    plan = {Planned: [planned("VIB-07", "V2", "vibration/sweep.csv", 7)]}
    assert one(judged(speeds_to_avoid, sweep(SMOOTH, tables=plan)), HUMPS, place="V2").verdict is NOT_MEASURED


def test_of_two_readings_at_one_speed_the_higher_counts():
    rows = [(700, 0.8), (760, 1.0), (820, 1.3), (880, 1.2), (880, 1.6), (940, 1.3), (1000, 1.7)]
    twice = [
        {"position": "V1", "axis": "vertical", "number": n, "shaft_speed": s, "level": level, "instrument": "VM-02"}
        for n, (s, level) in enumerate(rows, 1)
    ]
    found = one(judged(speeds_to_avoid, sweep({}, tables={SweepReading: twice})), HUMPS)
    assert found.observed == "1 hump, at 880 r/min (1.60 mm/s)"


def test_the_chart_says_where_the_hump_is_and_marks_the_speeds():
    (chart,) = charts(sweep(HUMPED), ())
    assert chart.title == "Level while she speeds up: a hump near 880 r/min at V1"
    assert [(rule.words, rule.value) for rule in chart.rules] == [("cruise, 985 r/min", 985.0)]
    assert chart.series[0].y == tuple(HUMPED.values())
    (smooth,) = charts(sweep(SMOOTH), ())
    assert smooth.title == "No hump while she speeds up"
    both = [*sweep(HUMPED).records[SweepReading], *sweep(HUMPED).records[SweepReading]]
    rows = [{**one.model_dump(exclude={"where"}), "position": f"V{1 + n // 7}"} for n, one in enumerate(both)]
    (chart,) = charts(sweep({}, tables={SweepReading: rows}), ())
    assert chart.title == "Level while she speeds up: a hump near 880 r/min at V1 and V2"
