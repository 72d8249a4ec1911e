"""INF-08: every batch in date, and every mix and material traced to a batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from buildbook.chapters.batch_records import Batch, lacks_hardener, unsaid
from buildbook.chapters.infusion.records import Area, BatchUsed, Infusion, Mix
from buildbook.chapters.infusion.subjects import NO_INFUSION, parts
from buildbook.chapters.schedule_records import Ply
from buildbook.chapters.subjects import absent
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.sources import reference_limit

IN_DATE = "batches in date"
TRACED = "traced to batches"
NO_HARDENER = "Resin is named, and none of the batches is a hardener."


def batches(evidence: Evidence) -> Iterable[Finding]:
    """INF-08: of every part, its batches in date on the day, and none missing."""
    for part in parts(evidence, "INF-08"):
        infusion = evidence.one(Infusion, part=part)
        for quantity, judged in ((IN_DATE, _in_date), (TRACED, _traced)):
            key = Key("INF-08", quantity, part)
            wanted = Limits(None, reference_limit("INF-08", quantity))
            if infusion is None:
                yield absent(evidence, Infusion, key, Verdict.NO_RECORD, NO_INFUSION, wanted)
            elif not named(evidence, part):
                words = "No batch of this part is on record."
                yield absent(evidence, BatchUsed, key, Verdict.NO_RECORD, words, wanted)
            elif Batch in evidence.missing:
                yield absent(evidence, Batch, key, Verdict.NO_RECORD, "No batch is on record.", wanted)
            else:
                yield from judged(evidence, key, infusion, wanted)


def named(evidence: Evidence, part: str) -> Mapping[str, tuple[Where, ...]]:
    """Every batch that a mix or the list of the part names, with the rows that do."""
    found: dict[str, list[Where]] = {}
    for row in evidence.of(BatchUsed, part=part):
        found.setdefault(row.batch, []).append(row.where)
    for mix in evidence.of(Mix, part=part):
        for batch in (mix.resin_batch, mix.hardener_batch):
            if batch:
                found.setdefault(batch, []).append(mix.where)
    return {batch: tuple(at) for batch, at in found.items()}


def _about(evidence: Evidence, infusion: Infusion, working: tuple[str, ...], notes: tuple[str, ...] = ()) -> About:
    mine = named(evidence, infusion.part)
    rows = [row for batch in mine for row in evidence.of(Batch, batch=batch)]
    at = (infusion.where, *(where for its in mine.values() for where in its), *(row.where for row in rows))
    return About(
        method="batch numbers of mixes and part against the table of batches",
        at=tuple(dict.fromkeys(at)),
        working=working,
        notes=notes,
    )


def _in_date(evidence: Evidence, key: Key, infusion: Infusion, wanted: Limits) -> Iterable[Finding]:
    day = infusion.started.date()
    rows = [row for batch in named(evidence, key.place) for row in evidence.of(Batch, batch=batch)]
    ends: dict[str, date] = {row.batch: row.expires for row in rows if row.expires is not None}
    late = [batch for batch, end in ends.items() if end < day]
    known = {row.batch for row in rows}
    unknown = [batch for batch in named(evidence, key.place) if batch not in known]
    mixes = evidence.of(Mix, part=key.place)
    bare = [row.mix for row in mixes if not row.resin_batch or not row.hardener_batch]
    undated = [row.batch for row in rows if row.lacks_date and row.goes_off]
    untold = [row.batch for row in rows if row.lacks_date and not row.goes_off]
    free = [row.batch for row in rows if row.expires is None and not row.lacks_date]
    working = tuple(f"batch {batch}: use before {end}, infused {day}" for batch, end in ends.items())
    notes = (f"The maker gives no such date: {listed(free)}.",) if free else ()
    about = _about(evidence, infusion, working, notes)
    lacks = (
        *([f"{listed(undated)} goes off, and no use-before date of it is on record."] if undated else []),
        *([unsaid(untold)] if untold else []),
        *([f"Batch {listed(unknown)} has no usable row in {Batch.table.file}."] if unknown else []),
        *([f"No batch of resin or hardener in mix {listed(bare)}."] if bare else []),
    )
    if lacks and not late:
        yield unjudged(key, Verdict.NO_RECORD, lacks[0], about, wanted)
    elif not ends:
        yield unjudged(key, Verdict.NO_RECORD, "No batch of this part has a use-before date.", about, wanted)
    else:
        earliest = f"earliest use-before date {min(ends.values()).isoformat()}"
        yield from judge_fact(key, not late, f"out of date: {listed(late)}" if late else earliest, wanted, about)


def _traced(evidence: Evidence, key: Key, infusion: Infusion, wanted: Limits) -> Iterable[Finding]:
    mine = named(evidence, key.place)
    rows = [row for batch in mine for row in evidence.of(Batch, batch=batch)]
    day = infusion.started.date()
    early = [row.batch for row in rows if row.received is not None and row.received > day]
    lacks = _lacking(evidence, infusion, mine, rows)
    about = _about(evidence, infusion, (f"{len(mine)} batches named, {len(rows)} in {Batch.table.file}",), lacks)
    if early:
        words = f"came in after the part was infused: {listed(early)}"
        yield from judge_fact(key, False, words, wanted, about)
    elif lacks:
        yield unjudged(key, Verdict.NO_RECORD, lacks[0], _about(evidence, infusion, about.working), wanted)
    else:
        yield from judge_fact(key, True, f"{len(mine)} batches, each material and mix", wanted, about)


def _lacking(
    evidence: Evidence, infusion: Infusion, mine: Mapping[str, object], rows: Iterable[Batch]
) -> tuple[str, ...]:
    """What cannot be traced, in sentences: mixes without a number, batches without a row, materials without a batch."""
    known = list(rows)
    mixes = evidence.of(Mix, part=infusion.part)
    bare = [row.mix for row in mixes if not row.resin_batch or not row.hardener_batch]
    unknown = [batch for batch in mine if batch not in [row.batch for row in known]]
    zones = evidence.of(Area, part=infusion.part)
    needed = {ply.material for zone in zones for ply in evidence.of(Ply, zone=zone.zone)}
    needed |= {infusion.resin, *(zone.core for zone in zones if zone.core)}
    gone = sorted(needed - {row.material for row in known})
    plies = evidence.missing.get(Ply, "")
    return (
        *([] if mixes else ["No mix of this part is on record."]),
        *([] if zones else ["Which zones the part has is not on record, so its materials are not known."]),
        *([f"{Ply.table.file}: {plies}, so its materials are not known."] if plies else []),
        *([f"No batch of resin or hardener in mix {listed(bare)}."] if bare else []),
        *([f"Batch {listed(unknown)} has no usable row in {Batch.table.file}."] if unknown else []),
        *([f"No batch of {listed(gone)} is named for this part."] if gone else []),
        *([NO_HARDENER] if lacks_hardener(known) and not (bare or unknown) else []),
    )
