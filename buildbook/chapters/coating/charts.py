"""What the coating chapter draws; each title says what was found."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import timedelta

from buildbook.chapters.coating.checks.climate import MARGIN, Watched, watch
from buildbook.chapters.coating.checks.film import NOMINAL, SHARE, SMALLEST, film_rule, rule_rows
from buildbook.chapters.coating.checks.preparation import sequences
from buildbook.chapters.coating.checks.schedule import SINCE, coat_below, hours_since, window_of
from buildbook.chapters.coating.formulas.climate import dew_point_margin
from buildbook.chapters.coating.records import Climate, Coat, FilmReading, Gloss
from buildbook.chapters.coating.subjects import attempts, painted_zones
from buildbook.chapters.shared_records import Place
from buildbook.core.chart import Axis, Chart, Rule, Series, Span
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Role, Verdict
from buildbook.core.wording import limit_text, listed, moment, plain_number
from buildbook.sources import number, table

HOUR = timedelta(hours=1)
LAYER = ", layer "


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """Grit sequence, dew-point margin (all coats; the coat to look at), overcoating windows, film thickness, gloss."""
    drawn = (
        _grits(evidence),
        _margins(evidence, findings),
        _one_coat(evidence, findings),
        _windows(evidence),
        _film(evidence, findings),
        _gloss(evidence, findings),
    )
    return tuple(chart for chart in drawn if chart is not None)


def _governing(findings: Iterable[Finding], check: str, quantity: str) -> list[Finding]:
    wanted = (check, quantity, Role.GOVERNING)
    return [finding for finding in findings if (finding.key.check, finding.key.quantity, finding.key.role) == wanted]


def _zone_name(evidence: Evidence, zone: str) -> str:
    place = evidence.one(Place, place=zone)
    return place.name if place is not None else zone


def _grits(evidence: Evidence) -> Chart | None:
    sizes = {row["grade"]: float(row["mean_size"]) for row in table("grit_sizes")}
    series, steps = [], 0
    for zone in painted_zones(evidence):
        for order, run in enumerate(sequences(evidence, zone), start=1):
            grades = [step.grit for step in run if step.grit in sizes]
            if len(grades) < 2:
                continue
            steps = max(steps, len(grades))
            values = tuple(sizes[grade] for grade in grades if grade is not None)
            name = _zone_name(evidence, zone) + (f"{LAYER}{order}" if order > 1 else "")
            places = tuple(float(i) for i in range(1, len(values) + 1))
            labels = tuple(grade or "" for grade in grades)
            series.append(Series(name, places, values, "line and dots", labels=labels))
    if not series:
        return None
    return Chart(
        key="coa-03-grits",
        check="COA-03",
        title="Grit by grit: mean grain size of each sanding step",
        description=f"Mean grain size of the abrasive, step by step, for {len(series)} sanding sequences.",
        x=Axis("Step of the sequence", low=0.6, high=steps + 0.9),
        y=Axis("Mean grain size", "µm", kind="log"),
        series=_alike_joined(series),
    )


def _alike_joined(series: Sequence[Series]) -> tuple[Series, ...]:
    """Sequences with the same grades are one line, named after all their zones."""
    joined: dict[tuple[object, ...], list[Series]] = {}
    for one in series:
        joined.setdefault((one.x, one.y, one.labels), []).append(one)
    return tuple(
        Series(
            same[0].name
            if len(same) == 1
            else f"{len(same)} sequences alike{LAYER}{same[0].name.partition(LAYER)[2]}".removesuffix(LAYER),
            same[0].x,
            same[0].y,
            "line and dots",
            labels=same[0].labels,
        )
        for same in joined.values()
    )


def _margins(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    found = [finding for finding in _governing(findings, "COA-04", MARGIN) if finding.measured and finding.period]
    if not found:
        return None
    series = []
    for zone in sorted({finding.key.place for finding in found}):
        its = sorted((f for f in found if f.key.place == zone), key=lambda f: f.period.start if f.period else "")
        series.append(
            Series(
                _zone_name(evidence, zone),
                tuple(f.period.start for f in its if f.period),
                tuple(f.measured.value for f in its if f.measured),
                "dots",
                y_error=tuple((f.measured.at_two or 0.0) for f in its if f.measured),
            )
        )
    least = min(found, key=lambda finding: finding.measured.value if finding.measured else 0.0)
    assert least.measured is not None
    return Chart(
        key="coa-04-margins",
        check="COA-04",
        title=f"Smallest dew-point margin of each coat: never below {least.measured.value:.1f} K where it was read",
        description=f"Smallest dew-point margin of {len(found)} coats with its uncertainty, against the limit.",
        x=Axis("Start of the coat", kind="time"),
        y=Axis("Surface above dew point", "K", low=0.0),
        series=tuple(series),
        rules=_rule_of(least),
    )


def _rule_of(finding: Finding) -> tuple[Rule, ...]:
    limit = finding.limit
    if limit is None or limit.low is None:
        return ()
    term = limit.terms[0]
    who = term.document or term.source
    return (Rule(limit.low, f"{limit_text(limit)} ({who})", forbidden="below"),)


def _one_coat(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    """The coat that needs looking at: the worst verdict, then the smallest margin."""
    found = [finding for finding in _governing(findings, "COA-04", MARGIN) if finding.measured]
    if not found:
        return None
    worst = min(found, key=lambda f: (-f.verdict.rank, f.measured.value if f.measured else 0.0, f.key.condition))
    coat = evidence.one(Coat, coat=worst.key.condition)
    if coat is None:
        return None
    watched = watch(evidence, coat)
    zone = sorted(evidence.of(Climate, zone=coat.zone), key=lambda row: row.at)
    rows = [row for row in zone if coat.started - 2 * HOUR <= row.at <= watched.end + 2 * HOUR]
    if len(rows) < 2:
        return None
    margins = tuple(dew_point_margin(row.surface, row.air, row.humidity) for row in rows)
    gaps = tuple(Span(gap.start, gap.end, "no reading", "gap") for gap in watched.gaps)
    stages = (
        Span(coat.started, coat.finished, "coat applied"),
        Span(coat.finished, watched.end, "first cure"),
    )
    return Chart(
        key="coa-04-coat",
        check="COA-04",
        title=_one_title(watched, _zone_name(evidence, coat.zone), min(margins)),
        description=f"Dew-point margin over time around coat {coat.coat}, {len(rows)} readings.",
        x=Axis("Time", kind="time"),
        y=Axis("Surface above dew point", "K", low=0.0),
        series=(
            Series(
                "dew-point margin",
                tuple(row.at for row in rows),
                margins,
                "line and dots",
                breaks=_breaks(rows, watched),
            ),
        ),
        rules=_rule_of(worst),
        spans=(*stages, *gaps),
    )


def _one_title(watched: Watched, zone: str, least: float) -> str:
    coat = f"Coat {watched.coat.coat}, {zone}"
    if watched.gaps:
        gap = max(watched.gaps, key=lambda one: one.hours)
        return f"{coat}: no reading from {moment(gap.start)[11:]} to {moment(gap.end)[11:]}, and a gap is no pass"
    return f"{coat}: the nearest to its limit, {least:.1f} K at its smallest"


def _breaks(rows: Sequence[Climate], watched: Watched) -> tuple[int, ...]:
    return tuple(i for i in range(1, len(rows)) if (rows[i].at - rows[i - 1].at) / HOUR > watched.interval)


def _windows(evidence: Evidence) -> Chart | None:
    names: list[str] = []
    spans: list[float] = []
    readings: list[float] = []
    late: list[str] = []
    for coat in sorted(evidence.of(Coat), key=lambda row: (row.zone, row.layer)):
        below = coat_below(evidence, coat)
        found = window_of(evidence, below, coat) if below is not None else ""
        if below is None or isinstance(found, str):
            continue
        window, _ = found
        hours = hours_since(below, coat)
        names.append(coat.coat)
        spans += [window.minimum, window.maximum if window.maximum is not None else math.inf]
        readings.append(hours)
        if window.maximum is not None and hours > window.maximum:
            late.append(f"{coat.coat} was late{' and abraded again' if coat.abraded else ''}")
    if not names:
        return None
    told = f"{listed(late)}" if late else "every coat inside its window"
    return Chart(
        key="coa-06-windows",
        check="COA-06",
        title=f"{len(names)} coats against their windows: {told}",
        description=f"Time since the coat below for {len(names)} coats, with the window of the data sheet as a bar.",
        x=Axis("Time since the coat below was finished", "h", low=0.0),
        y=Axis("Coat", kind="category", categories=tuple(names)),
        series=(
            Series("window of the data sheet at the temperature read", tuple(spans), _twice(names), "spans"),
            Series(SINCE, tuple(readings), tuple(names), "dots"),
        ),
    )


def _twice(names: Iterable[str]) -> tuple[str, ...]:
    """Each name for both ends of its bar."""
    return tuple(name for name in names for _ in range(2))


def _film(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    names: list[str] = []
    xs: list[str] = []
    ys: list[float] = []
    rules: list[Rule] = []
    share = next((number(row["factor"]) for row in rule_rows(film_rule(evidence)) if row["quantity"] == SMALLEST), None)
    for zone in painted_zones(evidence, (FilmReading, "zone")):
        nominal = evidence.specification.limit("COA-08", NOMINAL, place=zone)
        for attempt in attempts(evidence, FilmReading, zone=zone):
            rows = evidence.of(FilmReading, zone=zone, attempt=attempt)
            if not rows:
                continue
            name = zone if attempt == 1 else f"{zone} again"
            names.append(name)
            xs += [name] * len(rows)
            ys += [row.thickness for row in rows]
            if nominal is not None and nominal.low is not None:
                rules.append(Rule(nominal.low, "nominal", start=name, end=name))
                if share is not None and share != 1.0:
                    floor = share * nominal.low
                    rules.append(Rule(floor, f"{plain_number(share * 100)} %", start=name, end=name, forbidden="below"))
    if not names:
        return None
    missed = sorted({f.key.place for f in findings if _missed(f)})
    told = f"{listed(missed)} missed the rule at first" if missed else "every zone meets its rule"
    return Chart(
        key="coa-08-film",
        check="COA-08",
        title=f"Film thickness, {len(ys)} readings: {told}",
        description=f"Dry film thickness of {len(names)} surveys, each reading a dot, against the nominal film.",
        x=Axis("Zone", kind="category", categories=tuple(names)),
        y=Axis("Dry film thickness", "µm", low=0.0),
        series=(Series("reading", tuple(xs), tuple(ys), "dots"),),
        rules=tuple(rules),
    )


def _missed(finding: Finding) -> bool:
    key = finding.key
    bad = finding.verdict in (Verdict.FAIL, Verdict.CONDITIONAL_FAIL)
    return (
        key.check == "COA-08"
        and key.role is Role.GOVERNING
        and bad
        and key.quantity in (SMALLEST, SHARE, "mean film thickness")
    )


def _gloss(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    rows = evidence.of(Gloss)
    zones = tuple(dict.fromkeys(row.zone for row in sorted(rows, key=lambda row: row.zone)))
    if not zones:
        return None
    series = []
    for angle in (60, 20, 85):
        its = [row for row in rows if row.angle == angle]
        if its:
            xs, ys = tuple(row.zone for row in its), tuple(row.gloss for row in its)
            series.append(Series(f"at {angle}°", xs, ys, "dots"))
    rules = []
    for angle in (60, 20):
        limits = {
            (f.limit.low, limit_text(f.limit)) for f in _governing(findings, "COA-11", f"gloss at {angle}°") if f.limit
        }
        rules += [Rule(low, f"{angle}°: {words}") for low, words in sorted(limits, key=str) if low is not None]
    lowest = min((row.gloss for row in rows if row.angle == 60), default=None)
    told = f"at 60° never below {lowest:g} units" if lowest is not None else "not read at 60°"
    return Chart(
        key="coa-11-gloss",
        check="COA-11",
        title=f"Gloss by zone, {len(rows)} readings: {told}",
        description=f"Gloss readings of {len(zones)} zones at each angle, every reading a dot.",
        x=Axis("Zone", kind="category", categories=zones),
        y=Axis("Gloss", "gloss units"),
        series=tuple(series),
        rules=tuple(rules),
    )
