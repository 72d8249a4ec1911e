"""SYS-15: every opening through the hull can be shut, and its hose cannot slip off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.subjects import limits
from buildbook.chapters.systems.records.seacocks import NO_HOSE, Seacock
from buildbook.chapters.systems.subjects import Test, at_once, each_test, tried
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import plain_number

CHECK = "SYS-15"
OPERATED, CLAMPS = "opens and shuts", "clamps on each hose end"
TEST = Test(CHECK, Seacock, (OPERATED, CLAMPS))
ABOVE = "It lies above the waterline; the customary pair of clamps is for hoses below it."
NO_CLAMPS = "No number of clamps is on record."
NOTHING_SAID = "Neither a hose nor a number of clamps is on record. Where no hose is fitted, the row has to say so."
WITHOUT = "No hose is fitted to it."


def seacocks(evidence: Evidence) -> Iterable[Finding]:
    """SYS-15: every seacock as it was worked by hand, and the clamps of its hose."""
    return each_test(evidence, TEST, lambda row: _seacock(evidence, row))


def _seacock(evidence: Evidence, row: Seacock) -> Iterable[Finding]:
    hose = f", {row.hose}" if row.hose and row.hose != NO_HOSE else ""
    lies = "below" if row.below else "above"
    what = f"{row.serves}: {row.material}, {plain_number(row.size)} mm, {lies} the waterline{hose}"
    about = About(method=what, period=at_once(row.at), at=(row.where,))
    key = Key(CHECK, OPERATED, row.place, "", row.attempt)
    met = None if row.operated is None else row.operated == "opens and shuts"
    yield from tried(evidence, key, met, row.operated or "", about)
    yield from _clamps(evidence, replace(key, quantity=CLAMPS), row, about)


def _clamps(evidence: Evidence, key: Key, row: Seacock, about: About) -> Iterable[Finding]:
    wanted = limits(evidence, CHECK, CLAMPS, place=row.place)
    if not row.below and wanted.specified is None:
        wanted, about = replace(wanted, reference=None), replace(about, notes=(ABOVE,))
    if row.hose == NO_HOSE:
        yield unjudged(key, Verdict.NOT_APPLICABLE, WITHOUT, about, wanted)
        return
    if row.clamps is None:
        yield unjudged(key, Verdict.NOT_MEASURED, NO_CLAMPS if row.hose else NOTHING_SAID, about, wanted)
        return
    yield from judge(key, Quantity.count(float(row.clamps)), wanted, about)
