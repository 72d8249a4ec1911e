"""The nine checks of the infusion chapter, in the order of the work."""

from __future__ import annotations

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.infusion.checks import batches, climate, mixes, resin, vacuum
from buildbook.chapters.infusion.formulas.flow import fill_time, glass_by_volume
from buildbook.chapters.infusion.formulas.resin import (
    hardener_share,
    laminate_resin,
    resin_in_cuts,
    resin_in_holes,
    zone_resin,
)
from buildbook.chapters.infusion.formulas.vacuum import absolute_pressure, rise_rate, stretches
from buildbook.chapters.infusion.records import Area, BatchUsed, DropReading, Infusion, LogReading, Mix, ResinSheet
from buildbook.chapters.infusion.subjects import INTERVAL
from buildbook.chapters.schedule_records import Material, Ply
from buildbook.chapters.shared_records import Instrument
from buildbook.core.check import ANY_RESULT, About, Check
from buildbook.core.finding import Verdict

MEASURED = ANY_RESULT - {Verdict.INFORMATION, Verdict.NOT_MEASURED}
INFORMATION = frozenset({Verdict.INFORMATION})
FACT = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD})
BY_MIX = (Mix, "mix")

CHECKS: tuple[Check, ...] = (
    Check(
        id="INF-01",
        question="Was the bag tight before resin was let in?",
        about=About.WORK,
        judge=vacuum.drop_tests,
        tables=(DropReading, Infusion, Instrument),
        verdicts=(MEASURED | {Verdict.NOT_MEASURED}),
        quantities={vacuum.RISE: "mbar/min"},
        formulas=(absolute_pressure, rise_rate),
    ),
    Check(
        id="INF-02",
        question="Was the vacuum held until the laminate had gelled and cooled?",
        about=About.WORK,
        judge=vacuum.vacuum_held,
        tables=(Infusion, LogReading, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={INTERVAL: "min", vacuum.LARGEST: "mbar", vacuum.AFTER_GEL: "min", vacuum.COOLED: "degC"},
        formulas=(stretches,),
    ),
    Check(
        id="INF-03",
        question="Were shop, mould and resin warm and dry enough?",
        about=About.WORK,
        judge=climate.conditions,
        tables=(Infusion, LogReading, Mix, ResinSheet, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={climate.AIR: "degC", climate.MOULD: "degC", climate.RESIN: "degC", climate.HUMIDITY: "%"},
    ),
    Check(
        id="INF-04",
        question="Was she filled before the resin began to gel?",
        about=About.WORK,
        judge=mixes.filled_before_gel,
        tables=(Mix,),
        verdicts=MEASURED,
        quantities={mixes.MARGIN: "1"},
        conditions={mixes.MARGIN: BY_MIX},
    ),
    Check(
        id="INF-05",
        question="Did each mix get the right share of hardener?",
        about=About.WORK,
        judge=mixes.hardener,
        tables=(Mix, Infusion, ResinSheet, Instrument),
        verdicts=MEASURED,
        quantities={mixes.HARDENER: "%"},
        conditions={mixes.HARDENER: BY_MIX},
        formulas=(hardener_share,),
    ),
    Check(
        id="INF-06",
        question="Did she take as much resin as her lay-up says?",
        judge=resin.resin_used,
        tables=(Infusion, Mix, Area, Ply, Material, Instrument),
        verdicts=MEASURED,
        quantities={resin.RATIO: "1"},
        formulas=(laminate_resin, resin_in_cuts, resin_in_holes, zone_resin),
    ),
    Check(
        id="INF-07",
        question="Did the resin stay cool enough for the foam while it cured?",
        about=About.WORK,
        judge=climate.peaks,
        tables=(Infusion, LogReading, Area, Ply, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={climate.PEAK: "degC"},
    ),
    Check(
        id="INF-08",
        question="Was every batch in date, and can each be traced?",
        about=About.WORK,
        judge=batches.batches,
        tables=(Infusion, BatchUsed, Mix, Area, Ply, Batch),
        verdicts=FACT,
        quantities={batches.IN_DATE: "1", batches.TRACED: "1"},
        facts=(batches.IN_DATE, batches.TRACED),
    ),
    Check(
        id="INF-09",
        question="Did the resin run about as fast as it should?",
        about=About.WORK,
        judge=resin.fill_against_darcy,
        tables=(Infusion, LogReading, Area, Ply, Material, ResinSheet),
        verdicts=INFORMATION | {Verdict.NO_RECORD, Verdict.INCONCLUSIVE},
        quantities={resin.SPEED: "1"},
        facts=(resin.SPEED,),
        formulas=(fill_time, glass_by_volume),
    ),
)
