"""REG-05 does the data look real? What a careful reader would ask the yard about, in any table of any chapter.

Nothing here fails anybody: a notice is a question to the yard, and an answer in a report is told beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.register.look import Look, Notice, some
from buildbook.chapters.register.plan import NOT_THERE, plan_lines, planned_and_missing, shortages
from buildbook.chapters.register.repeats import ORDER, RECURS, out_of_order, series_that_recur
from buildbook.chapters.register.rules import missing
from buildbook.chapters.register.series import measured_columns, taken_one_by_one
from buildbook.chapters.register.steps import DIGITS, ON_LIMIT, last_digits, on_limits
from buildbook.chapters.register.twice_shown import PICTURES, pictures_twice
from buildbook.chapters.shared_records import Instrument, Nonconformity, PhotographRecord
from buildbook.core.evidence import NOT_USED, Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge_fact

CHECK = "REG-05"
LOOKS = (RECURS, DIGITS, ORDER, PICTURES, ON_LIMIT)
WHOLE = "whole hull"
FOR_THE_YARD = "For the yard to explain: there may be a good reason that this folder does not tell."


def look_findings(evidence: Evidence, findings: Sequence[Finding]) -> Iterable[Finding]:
    """REG-05: five looks at every table of readings and at the pictures; nothing where there is neither."""
    if not taken_one_by_one(evidence, stepped=True) and not evidence.of(PhotographRecord):
        return
    for look in (
        series_that_recur(evidence),
        last_digits(evidence),
        out_of_order(evidence),
        pictures_twice(evidence),
        on_limits(evidence, findings),
    ):
        yield from _whole(evidence, look)
        for notice in look.notices:
            yield from _asked(evidence, look, notice)


def _whole(evidence: Evidence, look: Look) -> Iterable[Finding]:
    """What was looked at in the whole folder, and how much of it is asked about."""
    asked = len(look.notices)
    files = len({notice.file for notice in look.notices})
    seen = f"{counted(asked, 'thing')} to explain in {counted(files, 'table')}" if asked else "nothing to explain"
    about = About(method=look.method, working=look.working, caps=not_looked_at(evidence, look.quantity))
    yield from judge_fact(Key(CHECK, look.quantity, WHOLE), None, f"{look.looked}: {seen}", Limits(), about)


def not_looked_at(evidence: Evidence, quantity: str) -> tuple[str, ...]:
    """Why a look does not see all that it might: rows lost, planned readings or a planned table that are not there."""
    stepped = quantity == ORDER
    kinds = [
        kind
        for kind, rows in evidence.unread.items()
        if rows and kind.table.judged and not kind.table.logged and measured_columns(kind, stepped=stepped)
    ]
    told = [f"{counted(len(evidence.lost(kind)), 'row')} of {kind.table.file}" for kind in kinds]
    why = [f"Not looked at, since they {NOT_USED}: {some(sorted(told))}."] if told else []
    why += [f"{file} {NOT_THERE}" for file in planned_and_missing(evidence)]
    if quantity in (RECURS, ORDER):
        short = [one for one in shortages(evidence) if one.line.name not in evidence.waiting]
        why += [f"Line {one.name} of the plan could not be read." for one in plan_lines(evidence) if one.why]
        why += [one.reason for one in short if one.line.why or _numbered(evidence, one.line.row.record)]
    if quantity in (DIGITS, ON_LIMIT) and Instrument in evidence.missing:
        why.append(f"{missing(evidence, Instrument)} So the steps of instruments are not known.")
    return tuple(dict.fromkeys(why))


def _numbered(evidence: Evidence, file: str | None) -> bool:
    """Whether a file is a table whose readings bear running numbers."""
    kind = evidence.kind_of(file) if file else None
    return kind is not None and bool(kind.table.number)


def _asked(evidence: Evidence, look: Look, notice: Notice) -> Iterable[Finding]:
    """One question to the yard; what its report says about just this is told beside it."""
    key = Key(CHECK, look.quantity, notice.file, notice.column)
    told = tuple(
        f"The yard explains it in report {row.report}: {row.cause}"
        for row in evidence.of(Nonconformity)
        if row.cause and row.closed_on and row.check == CHECK and row.concerns == key
    )
    caps = () if told else (FOR_THE_YARD,)
    about = About(method=look.method, at=notice.at, working=notice.working, notes=told, caps=caps)
    yield from judge_fact(key, None, notice.words, Limits(), about)
