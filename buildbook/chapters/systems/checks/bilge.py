"""SYS-06: bilge alarms at the helm, and what the bilge pumps deliver."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import by_paper, limits, period, used
from buildbook.chapters.systems.formulas.bilge import flow_at_outlet
from buildbook.chapters.systems.records.bilge import BilgeAlarm, BilgePump
from buildbook.chapters.systems.subjects import Test, about_row, each_test, planned
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import NOBODY_SET, About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number

AT_HELM, FLOW, PUMPS = "alarm heard and seen at the helm", "flow at the outlet", "pumps that ran"
NOT_TRIED, NOT_RUN = "The alarm of this space was not tried.", "No run of this pump is on record."
ALARMS = Test("SYS-06", BilgeAlarm, (AT_HELM,), NOT_TRIED)
FLOWS = Test("SYS-06", BilgePump, (FLOW,), NOT_RUN)
NOT_TOLD = "The row does not say what was heard or seen."
NO_FLOW = "No usable row of this pump says that water came."
NO_FIGURE = "A flow is asked for, so write the one that the drawing asks for of this pump."


def bilges(evidence: Evidence) -> Iterable[Finding]:
    """SYS-06: every alarm, every pump, and how many pumps ran."""
    yield from each_test(evidence, ALARMS, lambda row: _alarm(evidence, ALARMS.key(row), row))
    yield from each_test(evidence, FLOWS, lambda row: _flow(evidence, FLOWS.key(row), row))
    yield from _counted(evidence)


def _alarm(evidence: Evidence, key: Key, row: BilgeAlarm) -> Iterable[Finding]:
    wanted = limits(evidence, "SYS-06", AT_HELM, place=key.place)
    about = About(method=row.way, period=period([row.at]), at=(row.where,))
    if row.heard is None and row.seen is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NOT_TOLD, about, wanted)
        return
    words = {True: "{}", False: "not {}", None: "not written down whether {}"}
    told = [words[it].format(name) for name, it in (("heard", row.heard), ("seen", row.seen))]
    both = (row.heard, row.seen)
    met = False if False in both else None if None in both else True
    yield from judge_fact(key, met, ", ".join(told), wanted, about)


def _flow(evidence: Evidence, key: Key, row: BilgePump) -> Iterable[Finding]:
    use = used(evidence, [row], "instrument", "volume of water", "L", "collected")
    flow = flow_at_outlet(row.collected, row.time)
    words = f"{plain_number(row.collected)} L in {plain_number(row.time)} s: {fixed(flow, 1)} L/min"
    inputs: dict[str, tuple[float, Sequence[Part], str]] = {
        "volume": (row.collected, use.parts, "water caught"),
        "time": (row.time, (Part("start and stop by hand", row.uncertainty / 2.0),), "time"),
    }
    measured = Quantity.combined(flow, "L/min", carried(flow_at_outlet, inputs) if use.parts else ())
    about = about_row(row, use, f"caught at the outlet; {row.kind}", (words,))
    wanted = _wanted(evidence, key, row)
    if wanted.specified is not None or not _asked_for(evidence):
        yield from judge(key, measured, wanted, about)
        return
    about = replace(about, caps=(*about.caps, f"{row.cell('wanted')}: empty. {NO_FIGURE}"))
    for finding in judge(key, measured, wanted, about):
        yield replace(finding, notes=tuple(note for note in finding.notes if note != NOBODY_SET))


def _asked_for(evidence: Evidence) -> bool:
    """Whether anybody asks for a flow: the drawing of any pump, the plan, or a limit. Then an empty cell is a gap."""
    return bool(evidence.values(BilgePump, "wanted")) or planned(evidence, "SYS-06", BilgePump.table.file, FLOW)


def _wanted(evidence: Evidence, key: Key, row: BilgePump) -> Limits:
    """The limit of the specification, else the figure of the drawing that the row names."""
    own = limits(evidence, "SYS-06", FLOW, place=key.place).specified
    if own is not None or row.wanted is None:
        return Limits(own)
    words = f"At least {plain_number(row.wanted)} L/min at the outlet."
    return Limits(Limit("L/min", (by_paper(words, row, "wanted"),), low=row.wanted, natural_low=0.0, words=words))


def _counted(evidence: Evidence) -> Iterable[Finding]:
    """How many pumps delivered water when they were last run."""
    key, wanted = Key("SYS-06", PUMPS), limits(evidence, "SYS-06", PUMPS)
    if BilgePump in evidence.missing:
        why = f"{BilgePump.table.file}: {evidence.missing[BilgePump]}."
        yield unjudged(key, Verdict.NO_RECORD, why, None, wanted)
        return
    last: dict[str, BilgePump] = {}
    for row in sorted(evidence.of(BilgePump), key=lambda row: row.attempt):
        last[row.pump] = row
    ran = [row for row in last.values() if row.collected > 0.0]
    doubt = tuple(f"{NO_FLOW} {row.why}" for row in evidence.lost(BilgePump)[:1])
    about = About(
        method="pumps counted that delivered water in their last run",
        period=period(row.at for row in last.values()),
        at=tuple(row.where for row in last.values()),
        working=(f"{len(ran)} of {len(last)} pumps delivered water",),
        caps=doubt,
    )
    yield from judge(key, Quantity.count(len(ran)), wanted, about)
