"""Charts of the tests with the whole boat: her speed on trial, and her engines against their maker's limits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.chapters.charted import charted, interval_of, measured_of, value_of
from buildbook.chapters.subjects import place_name
from buildbook.chapters.systems.checks import engine, trial_fuel, trial_speed
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict
from buildbook.core.wording import fixed, listed, plain_number, value_text

EACH = 100.0  # per cent
WHOLE_LIMIT = Rule(EACH, "the maker's limit", "y", "above")


def whole_boat_charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Speed by setting, and the engine installation."""
    drawn = (_speed(findings), _engines(evidence, findings))
    return tuple(chart for chart in drawn if chart is not None)


def _dots(
    name: str,
    found: Sequence[tuple[str, float, float]],
    style: str = "dots",
    digits: int | None = None,
    unit: str = "",
) -> Series:
    """Readings by category; with `digits` each bears its value."""
    return Series(
        name,
        tuple(x for x, _, _ in found),
        tuple(y for _, y, _ in found),
        "hollow dots" if style == "hollow dots" else "dots",
        y_error=tuple(u for _, _, u in found),
        labels=tuple(f"{fixed(y, digits)}{unit}" for _, y, _ in found) if digits is not None else (),
    )


def _speed(findings: Iterable[Finding]) -> Chart | None:
    found = charted(findings, trial_fuel.CHECK, trial_speed.SPEED)
    if not found:
        return None
    points = [(f, (f.key.condition, value_of(f), interval_of(f))) for f in found]
    sure = [point for f, point in points if f.verdict is not Verdict.INCONCLUSIVE]
    doubtful = [point for f, point in points if f.verdict is Verdict.INCONCLUSIVE]
    series = [_dots("there and back", sure, digits=2, unit=" kn")] if sure else []
    series += [_dots("one course only, or in doubt", doubtful, "hollow dots", 2, " kn")] if doubtful else []
    fastest = max(found, key=value_of)
    settings = tuple(f.key.condition for f in found)
    low = fastest.limit.low if fastest.limit is not None else None
    asked = f", at least {plain_number(low)} kn asked for" if low is not None else ""
    rules = tuple(
        Rule(f.limit.low, f"at least {f.limit.low:g} kn, {f.limit.terms[0].document or 'the builder'}", "y", "below",
             f.key.condition, f.key.condition)
        for f in found
        if f.limit is not None and f.limit.low is not None
    )  # fmt: skip
    return Chart(
        key="sys-13-speed",
        check=trial_fuel.CHECK,
        title=f"Speed on trial: {value_text(measured_of(fastest))} at the setting {fastest.key.condition}{asked}",
        description=f"Mean speed over ground at {len(found)} engine settings with its uncertainty; "
        "hollow where it is inconclusive.",
        x=Axis("Engine setting", kind="category", categories=settings),
        y=Axis("Speed", "kn", low=0.0),
        series=tuple(series),
        rules=rules,
    )


def _engines(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    """Every quantity that the sheet limits from above alone, as a share of that limit, as last read."""
    last: dict[tuple[str, str], Finding] = {}
    for asked in engine.ASKED:
        for f in sorted(charted(findings, engine.CHECK, asked.quantity), key=lambda f: f.key.attempt):
            if f.limit is not None and f.limit.low is None and f.limit.high:
                last[f.key.place, asked.quantity] = f
    if not last:
        return None
    shares = {
        at: (at[1], EACH * value_of(f) / f.limit.high, EACH * interval_of(f) / f.limit.high)
        for at, f in last.items()
        if f.limit is not None and f.limit.high
    }
    places = tuple(dict.fromkeys(place for place, _ in shares))
    nearest = max(shares, key=lambda at: shares[at][1])
    names = {place: place_name(evidence, place) for place in places}
    title = f"Engine installation: nearest to its limit is the {nearest[1]} of {names[nearest[0]]}"
    return Chart(
        key="sys-16-engines",
        check=engine.CHECK,
        title=f"{title}, {fixed(shares[nearest][1], 0)} % of it",
        description=f"{listed(names.values())}: each quantity with its uncertainty in per cent of what the engine "
        "maker's sheet allows.",
        x=Axis("Quantity", kind="category", categories=tuple(dict.fromkeys(quantity for _, quantity in shares))),
        y=Axis("Of the maker's limit", "%", low=0.0),
        series=tuple(
            _dots(names[place], [share for at, share in shares.items() if at[0] == place]) for place in places
        ),
        rules=(WHOLE_LIMIT,),
    )
