"""PAR-05 every batch was in date on the day it was used."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.batch_records import Batch, unsaid
from buildbook.chapters.parts.formulas.days import days_left
from buildbook.chapters.parts.records import PartBatch
from buildbook.chapters.parts.subjects import every, few
from buildbook.chapters.subjects import absent, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import capital

CHECK = "PAR-05"
DAYS, UNDATED = "days left on the last day of use", "materials without a use-before date"
KEEPS = "The makers of these materials give no use-before date, and they are of kinds that keep in the store"


def on_the_day(evidence: Evidence) -> Iterable[Finding]:
    """PAR-05: one finding for each batch with a date or in need of one, and one for all that need none."""
    numbers = evidence.values(PartBatch, "batch")
    if not numbers:
        words = "No batch is named for any part."
        yield absent(evidence, PartBatch, Key(CHECK, DAYS), Verdict.NO_RECORD, words, limits(evidence, CHECK, DAYS))
    undated: list[Batch] = []
    for number in numbers:
        rows, key = evidence.of(Batch, batch=number), Key(CHECK, DAYS, "", number)
        wanted = limits(evidence, CHECK, DAYS, condition=number)
        used = evidence.of(PartBatch, batch=number)
        dated = [row for row in rows if row.expires is not None]
        if not rows:
            words = f"The table of batches has no row of {number}."
            yield absent(evidence, Batch, key, Verdict.NO_RECORD, words, wanted)
        elif dated and used:
            yield from _days(evidence, key, dated, used)
        elif not used:
            yield absent(evidence, PartBatch, key, Verdict.INCONCLUSIVE, "The day of use cannot be read.", wanted)
        elif rows[0].lacks_date:
            goes_off = f"{capital(rows[0].material)} goes off, and no use-before date of it is on record."
            words = goes_off if rows[0].goes_off else unsaid([number])
            yield unjudged(key, Verdict.NO_RECORD, words, About(at=every((*rows, *used))), wanted)
        else:
            undated += rows
    if undated:
        kinds = dict.fromkeys(row.kind for row in undated)
        told = "; ".join(f"{kind} {', '.join(row.batch for row in undated if row.kind == kind)}" for kind in kinds)
        words = f"{KEEPS}: {told}."
        yield unjudged(Key(CHECK, UNDATED), Verdict.NOT_APPLICABLE, words, About(at=every(undated)))


def _days(evidence: Evidence, key: Key, dated: Sequence[Batch], used: Sequence[PartBatch]) -> Iterable[Finding]:
    """The last use of a batch against its date; of two dates the earlier counts."""
    batch = min(dated, key=lambda row: (row.expires or row.made or used[0].used_on, row.where.order))
    assert batch.expires is not None
    left = {link.part: days_left(batch.expires, link.used_on) for link in used}
    last = max(used, key=lambda link: link.used_on)
    late = [part for part, days in left.items() if days < 0]
    observed = f"{batch.material}, {few(late or [last.part])}"
    about = About(
        method="day of use in the part against the date on the batch",
        at=every((*dated, *used)),
        working=(
            f"good to {batch.expires.isoformat()}, by its maker",
            *(f"{link.part}: used {link.used_on.isoformat()}, {left[link.part]} d left" for link in used),
        ),
    )
    measured = Quantity.count(float(min(left.values())), "d")
    yield from judge(key, measured, limits(evidence, CHECK, DAYS, condition=key.condition), about, observed=observed)
