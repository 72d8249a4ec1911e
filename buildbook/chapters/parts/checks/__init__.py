"""The checks of parts and materials."""

from __future__ import annotations

from buildbook.chapters.batch_records import Batch
from buildbook.chapters.parts.checks import in_date, listed, released, remade, traced
from buildbook.chapters.parts.formulas.days import days_left
from buildbook.chapters.parts.formulas.numbering import part_number, runs
from buildbook.chapters.parts.records import ListedPart, Part, PartBatch, Stock
from buildbook.chapters.shared_records import Nonconformity
from buildbook.core.check import About, Check
from buildbook.core.finding import Verdict
from buildbook.core.stage import Stage

FACT = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD})

CHECKS: tuple[Check, ...] = (
    Check(
        id="PAR-01",
        question="Is every part of the parts list in the register, once?",
        due=Stage.LAUNCHED,
        judge=listed.in_the_register,
        tables=(ListedPart, Part),
        verdicts=FACT,
        quantities={listed.LISTED: "1", listed.BEYOND: "1"},
        facts=(listed.LISTED, listed.BEYOND),
    ),
    Check(
        id="PAR-02",
        question="Does each part lead to its batches and its hull, and each batch back to its parts?",
        judge=traced.both_ways,
        tables=(Part, PartBatch, Batch, Stock),
        verdicts=FACT,
        quantities={traced.FORWARD: "1", traced.BACK: "1", traced.HULL: "1"},
        facts=(traced.FORWARD, traced.BACK, traced.HULL),
    ),
    Check(
        id="PAR-03",
        question="Was each part released before it was fitted?",
        about=About.WORK,
        judge=released.before_fitting,
        tables=(Part,),
        verdicts=FACT,
        quantities={released.RELEASED: "1"},
        facts=(released.RELEASED,),
    ),
    Check(
        id="PAR-04",
        question="Is every scrapped and remade number accounted for?",
        judge=remade.accounted,
        tables=(Part, Nonconformity),
        verdicts=FACT,
        quantities={remade.FOLLOWED: "1", remade.RUN: "1"},
        facts=(remade.FOLLOWED, remade.RUN),
        formulas=(part_number, runs),
    ),
    Check(
        id="PAR-05",
        question="Was every material in date on the day it was used?",
        about=About.WORK,
        judge=in_date.on_the_day,
        tables=(PartBatch, Batch),
        verdicts=FACT | {Verdict.NOT_APPLICABLE},
        quantities={in_date.DAYS: "d", in_date.UNDATED: "1"},
        facts=(in_date.UNDATED,),
        conditions={in_date.DAYS: (PartBatch, "batch")},
        formulas=(days_left,),
    ),
)
