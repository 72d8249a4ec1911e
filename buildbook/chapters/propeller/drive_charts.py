"""Charts of the propellers as they work: balance before and after, room at the tips, slip by setting."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.charted import charted, interval_of, value_of
from buildbook.chapters.propeller.checks.balance import GRADE
from buildbook.chapters.propeller.checks.clearance import GAP
from buildbook.chapters.propeller.checks.slip import ONE_COURSE, SLIP
from buildbook.chapters.subjects import place_name
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Role, Verdict
from buildbook.core.limit import Limit
from buildbook.core.source import Standing
from buildbook.core.wording import fixed, listed, value_text

BEFORE = "before correction"


def drive_charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Balance before and after, room at the tips beside both references, slip by setting."""
    drawn = (_balance(findings), _room(evidence, findings), _slip(evidence, findings))
    return tuple(chart for chart in drawn if chart is not None)


def _rules(found: Iterable[Finding], names: dict[str, str] | None = None) -> tuple[Rule, ...]:
    """The limits of some findings, each with who set it; over the place of a category where `names` says which."""
    rules: dict[Rule, None] = {}
    for finding in found:
        limit = finding.limit
        at = names.get(_category(finding)) if names else None
        if limit is not None and limit.low is not None:
            rules[Rule(limit.low, f"at least {_number(limit.low)}, {_whose(limit)}", "y", "below", at, at)] = None
        if limit is not None and limit.high is not None:
            rules[Rule(limit.high, f"at most {_number(limit.high)}, {_whose(limit)}", "y", "above", at, at)] = None
    return tuple(rules)


def _number(value: float) -> str:
    return f"{round(value, 1):g}"


def _whose(limit: Limit) -> str:
    if limit.standing is Standing.PRACTICE:
        return "common practice"
    return limit.terms[0].document or "published reference"


def _category(finding: Finding) -> str:
    return finding.key.condition


def _dots(name: str, found: Sequence[tuple[str, Finding]], *, hollow: bool = False) -> Series:
    return Series(
        name,
        tuple(x for x, _ in found),
        tuple(value_of(finding) for _, finding in found),
        "hollow dots" if hollow else "dots",
        y_error=() if hollow else tuple(interval_of(finding) for _, finding in found),
    )


def _balance(findings: Iterable[Finding]) -> Chart | None:
    graded = charted(findings, "PRO-12", GRADE)
    if not graded:
        return None
    ways = {f.key: f"{f.key.place} {f.key.condition.removeprefix('dynamic ')}" for f in graded}
    last = {ways[f.key]: f for f in sorted(graded, key=lambda f: f.key.attempt)}
    now = [(name, last[name]) for name in dict.fromkeys(ways.values())]
    before = [(ways[f.key], f) for f in graded if last[ways[f.key]] is not f]
    worst_name, worst = max(now, key=lambda pair: value_of(pair[1]))
    rules = _rules(f for _, f in now)
    return Chart(
        key="pro-12-balance",
        check="PRO-12",
        title=f"Balance as left: the coarsest is {worst_name}, G {fixed(value_of(worst), 2)} {worst.observed}",
        description=f"Balance grade of {len(now)} balancings with their uncertainty"
        f"{', before and after correction' if before else ''}, and the limit.",
        x=Axis("Propeller and how it was balanced", kind="category", categories=tuple(name for name, _ in now)),
        y=Axis("Balance grade G", "mm/s", low=0.0),
        series=(_dots("as left", now), *((_dots(BEFORE, before, hollow=True),) if before else ())),
        rules=rules,
    )


def _room(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    gaps = charted(findings, "PRO-15", GAP)
    if not gaps:
        return None
    last = {f.key.place: f for f in sorted(gaps, key=lambda f: f.key.attempt)}
    now = [(place_name(evidence, place), finding) for place, finding in last.items()]
    name, least = min(now, key=lambda pair: value_of(pair[1]))
    assert least.measured is not None
    references = charted(findings, "PRO-15", GAP, Role.REFERENCE)
    return Chart(
        key="pro-15-tips",
        check="PRO-15",
        title=f"Room at the blade tips: the least is {value_text(least.measured)} of the diameter, {name}",
        description=f"Tip clearance of {len(now)} propellers in per cent of the diameter, with practice and class.",
        x=Axis("Propeller", kind="category", categories=tuple(name for name, _ in now)),
        y=Axis("Tip clearance, of the diameter", "%", low=0.0),
        series=(_dots("tip clearance", now),),
        rules=tuple(dict.fromkeys((*_rules(f for _, f in now), *_advice(references)))),
    )


def _advice(references: Iterable[Finding]) -> tuple[Rule, ...]:
    """The lines of the references, none of which forbids anything by itself."""
    lines: dict[Rule, None] = {}
    for finding in references:
        limit = finding.limit
        if limit is not None and limit.low is not None:
            words = "common practice" if limit.standing is Standing.PRACTICE else "class recommendation"
            lines[Rule(limit.low, f"{words}, {_number(limit.low)}")] = None
    return tuple(lines)


def _slip(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    found = charted(findings, "PRO-16", SLIP)
    if not found:
        return None
    names = {f.key.condition: _run_as(f) for f in found}
    places = tuple(dict.fromkeys(f.key.place for f in found))
    series = []
    for place in places:
        mine = [(names[f.key.condition], f) for f in found if f.key.place == place]
        sure = [(x, f) for x, f in mine if f.verdict is not Verdict.INCONCLUSIVE]
        doubtful = [(x, f) for x, f in mine if f.verdict is Verdict.INCONCLUSIVE]
        series += [_dots(place_name(evidence, place), sure)] if sure else []
        series += [_dots(place_name(evidence, place), doubtful, hollow=True)] if doubtful else []
    least, most = (chosen(found, key=value_of) for chosen in (min, max))
    return Chart(
        key="pro-16-slip",
        check="PRO-16",
        title=f"Apparent slip on trial: from {fixed(value_of(least), 1)} % to {fixed(value_of(most), 1)} %",
        description=f"Apparent slip of {listed(places)} at {len(names)} engine settings with its uncertainty; "
        "hollow where it is inconclusive.",
        x=Axis("Engine setting", kind="category", categories=tuple(names.values())),
        y=Axis("Apparent slip", "%", low=_from_zero(found)),
        series=tuple(series),
        rules=_rules(found, names),
    )


def _from_zero(found: Iterable[Finding]) -> float | None:
    """Zero where nothing lies below it, so that a slip looks as large as it is; else the axis begins where it must."""
    return 0.0 if all(value_of(finding) >= interval_of(finding) for finding in found) else None


def _run_as(finding: Finding) -> str:
    """The setting, and that it was run on one course only."""
    return f"{finding.key.condition} ({ONE_COURSE})" if finding.method == ONE_COURSE else finding.key.condition
