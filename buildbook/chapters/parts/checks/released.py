"""PAR-03 each part was released by inspection before it was fitted."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.parts.records import Part
from buildbook.chapters.parts.subjects import item_name, printed
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, judge_fact, unjudged
from buildbook.core.wording import moment

CHECK, RELEASED = "PAR-03", "release before fitting"
BESIDE = ("in stock", "scrapped", "not used")  # what is not aboard has nothing to be fitted before


def before_fitting(evidence: Evidence) -> Iterable[Finding]:
    """PAR-03: one finding for each number that is fitted, or whose state cannot be made out."""
    numbers = evidence.values(Part, "part")
    if not numbers:
        words = "No part is in the register."
        yield absent(evidence, Part, Key(CHECK, RELEASED), Verdict.NO_RECORD, words, printed(CHECK, RELEASED))
    for number in numbers:
        row = evidence.one(Part, part=number)
        if row is None:
            if any(lost.get("state") not in BESIDE for lost in evidence.lost(Part, part=number)):
                key, words = Key(CHECK, RELEASED, number), "Its row cannot be used."
                yield absent(evidence, Part, key, Verdict.INCONCLUSIVE, words, printed(CHECK, RELEASED))
        elif row.state == "fitted":
            yield from _released(evidence, row)


def _released(evidence: Evidence, row: Part) -> Iterable[Finding]:
    key, wanted = Key(CHECK, RELEASED, row.part), printed(CHECK, RELEASED)
    placed = evidence.one(Place, place=row.part) is not None  # then the finding bears its name already
    name = "" if placed else item_name(evidence, row)
    about = About(method="times in the register compared", at=(row.where,))
    if row.released_on is None or row.fitted_on is None:
        lacking = [
            words
            for words, value in (("when it was released", row.released_on), ("when it was fitted", row.fitted_on))
            if value is None
        ]
        words = f"{name or 'This part'}: the register does not say {' or '.join(lacking)}."
        yield unjudged(key, Verdict.NO_RECORD, words, about, wanted)
        return
    ends = sorted((row.released_on, row.fitted_on))
    by = f" by {row.released_by}" if row.released_by else ""
    observed = f"released {moment(row.released_on)}{by}, fitted {moment(row.fitted_on)}"
    observed = f"{name}: {observed}" if name else observed
    notes = () if row.released_by else ("Nobody is named who released it.",)
    notes = (*notes, *((f"The register notes: {row.note.rstrip('.')}.",) if row.note else ()))
    about = About(about.method, Period(ends[0], ends[1]), at=about.at, notes=notes)
    yield from judge_fact(key, row.released_on <= row.fitted_on, observed, wanted, about)
