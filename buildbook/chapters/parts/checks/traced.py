"""PAR-02 from each part to its batches and to her number, and from each batch back to the parts that hold it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.batch_records import Batch, lacks_hardener
from buildbook.chapters.parts.records import Part, PartBatch, Stock
from buildbook.chapters.parts.subjects import batch_name, every, few, printed, used_numbers, with_name
from buildbook.chapters.subjects import absent
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge_fact, unjudged
from buildbook.core.record import Record

CHECK = "PAR-02"
FORWARD, BACK, HULL = "batches behind each part", "parts behind each batch", "hull number on each part"
NO_HARDENER = (
    "Resin or gelcoat is named without the batch of its hardener for {}. Look it up on the card of the day or the "
    f"receipts of the store, and give it a row in {PartBatch.table.file}."
)


def both_ways(evidence: Evidence) -> Iterable[Finding]:
    """PAR-02: part to batch, batch to part, part to hull; each once for the whole register."""
    parts = used_numbers(evidence)
    if not parts:
        asked: tuple[tuple[str, type[Record]], ...] = ((FORWARD, Part), (BACK, Stock), (HULL, Part))
        for quantity, kind in asked:
            words = "No part is in the register."
            key = Key(CHECK, quantity)
            yield absent(evidence, kind, key, Verdict.NO_RECORD, words, printed(CHECK, quantity))
        return
    yield _forward(evidence, parts)
    yield _back(evidence)
    yield from _hull(evidence, [row for row in parts if row.state == "fitted"])


def _forward(evidence: Evidence, parts: Sequence[Part]) -> Finding:
    """Every part names a batch, every batch it names has a row, and what needs a hardener has one."""
    wanted, key = printed(CHECK, FORWARD), Key(CHECK, FORWARD)
    by_part = {row.part: evidence.of(PartBatch, part=row.part) for row in parts}
    bare = [row for row in parts if not by_part[row.part]]
    named = [link for its in by_part.values() for link in its]
    unknown = [link for link in named if not evidence.of(Batch, batch=link.batch)]
    soft = [row for row in parts if lacks_hardener(_known(evidence, by_part[row.part]))]
    lines = tuple(
        f"{with_name(evidence, row)}: {', '.join(link.batch for link in by_part[row.part]) or 'no batch'}"
        for row in parts
    )
    about = About(method="each number looked up in the table of batches", at=every((*parts, *named)), working=lines)
    if not (bare or unknown or soft):
        observed = f"{len(parts)} parts, {len(named)} links, each to a batch on record"
        return judge_fact(key, True, observed, wanted, about)[0]
    words = []
    if bare:
        words.append(f"No batch is named for {few(with_name(evidence, row) for row in bare)}.")
    if unknown:
        told = few(f"{link.batch} (in {link.part})" for link in unknown)
        words.append(f"The table of batches has no usable row of {told}.")
    if soft:
        words.append(NO_HARDENER.format(few(with_name(evidence, row) for row in soft)))
    lost = any(evidence.lost(PartBatch, part=row.part) for row in (*bare, *soft))
    lost = lost or any(evidence.lost(Batch, batch=link.batch) for link in unknown)
    return unjudged(key, Verdict.INCONCLUSIVE if lost else Verdict.NO_RECORD, " ".join(words), about, wanted)


def _known(evidence: Evidence, links: Sequence[PartBatch]) -> tuple[Batch, ...]:
    """The rows of the batches that some links name."""
    return tuple(row for link in links for row in evidence.of(Batch, batch=link.batch))


def _back(evidence: Evidence) -> Finding:
    """Every batch of the kinds that parts are made of went into a part, or somebody says where it is."""
    wanted, key = printed(CHECK, BACK), Key(CHECK, BACK)
    known = evidence.of(Batch)
    if not known:
        return absent(evidence, Batch, key, Verdict.NO_RECORD, "No batch is on record.", wanted)
    holds: dict[str, list[PartBatch]] = {}
    for link in evidence.of(PartBatch):
        holds.setdefault(link.batch, []).append(link)
    kinds = {row.kind for row in known if row.batch in holds}
    asked = [row for row in known if row.kind in kinds]
    if not asked:
        return unjudged(key, Verdict.NO_RECORD, "No part names a batch of this table.", About(at=every(known)), wanted)
    kept = {row.batch: row for row in evidence.of(Stock)}
    lines = tuple(f"{batch_name(row)}: {_whereabouts(row, holds, kept)}" for row in asked)
    used = [link for row in asked for link in holds.get(row.batch, ())]
    at = (*every((*asked, *used)), *(kept[row.batch].where for row in asked if row.batch in kept))
    about = About(method="the links turned about: each batch with its parts", at=at, working=lines)
    gone = [row for row in asked if row.batch not in holds and row.batch not in kept]
    if not gone:
        apart = sum(1 for row in asked if row.batch not in holds)
        observed = f"{len(asked)} batches: {len(asked) - apart} in parts, {apart} accounted for elsewhere"
        return judge_fact(key, True, observed, wanted, about)[0]
    words = f"Nothing says where {few(batch_name(row) for row in gone)} went."
    if Stock in evidence.missing:
        words += f" {Stock.table.file}: {evidence.missing[Stock]}."
    lost = any(evidence.lost(kind, batch=row.batch) for row in gone for kind in (PartBatch, Stock))
    return unjudged(key, Verdict.INCONCLUSIVE if lost else Verdict.NO_RECORD, words, about, wanted)


def _whereabouts(row: Batch, holds: dict[str, list[PartBatch]], kept: dict[str, Stock]) -> str:
    parts = ", ".join(link.part for link in holds.get(row.batch, ()))
    rest = f"{kept[row.batch].where_now}, seen {kept[row.batch].seen_on.isoformat()}" if row.batch in kept else ""
    return "; ".join(words for words in (parts, rest) if words) or "nowhere on record"


def _hull(evidence: Evidence, fitted: Sequence[Part]) -> Iterable[Finding]:
    """Every part fitted bears her number."""
    wanted, key, own = printed(CHECK, HULL), Key(CHECK, HULL), evidence.hull.number
    about = About(method="compared letter by letter", at=every(fitted))
    if not own:
        yield unjudged(key, Verdict.NO_RECORD, "hull.toml gives no hull number to compare with.", about, wanted)
        return
    if not fitted:
        yield unjudged(key, Verdict.NO_RECORD, "No part of the register is fitted.", about, wanted)
        return
    other = [row for row in fitted if row.hull is not None and row.hull != own]
    bare = [row for row in fitted if row.hull is None]
    unmarked = f"No hull number is on record for {few(with_name(evidence, row) for row in bare)}."
    if other:
        observed = f"another number: {few(f'{with_name(evidence, row)} has {row.hull}' for row in other)}"
        said = About(about.method, at=about.at, notes=(unmarked,) if bare else ())
        yield from judge_fact(key, False, observed, wanted, said)
    elif bare:
        yield unjudged(key, Verdict.NO_RECORD, unmarked, about, wanted)
    else:
        yield from judge_fact(key, True, f"{len(fitted)} parts fitted, all with {own}", wanted, about)
