"""What the coating chapter draws; each title says what was found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from itertools import pairwise

from buildbook.chapters.charted import charted, findings_of
from buildbook.chapters.coating.checks.climate import MARGIN, Watched, margins_of, watch
from buildbook.chapters.coating.checks.film import NOMINAL, SMALLEST, film_rule, rule_rows
from buildbook.chapters.coating.checks.overcoating import (
    SINCE,
    coat_below,
    ends_of,
    limit_between,
    missed_end,
    time_since,
)
from buildbook.chapters.coating.checks.preparation import sequences
from buildbook.chapters.coating.records import Climate, Coat, FilmReading, Gloss, Preparation
from buildbook.chapters.coating.subjects import painted_zones
from buildbook.chapters.subjects import attempts, place_name
from buildbook.core.chart import Axis, Chart, Rule, Series, Span
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Role, Verdict
from buildbook.core.finding_words import result_text
from buildbook.core.wording import limit_text, listed, moment, plain_number, value_text
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


def _grits(evidence: Evidence) -> Chart | None:
    sizes = {row["grade"]: float(row["mean_size"]) for row in table("grit_sizes")}
    series, steps = [], 0
    for zone in painted_zones(evidence, (Preparation, "zone")):
        for order, run in enumerate(sequences(evidence, zone), start=1):
            grades = [step.grit for step in run if step.grit in sizes]
            if len(grades) < 2:
                continue
            steps = max(steps, len(grades))
            values = tuple(sizes[grade] for grade in grades if grade is not None)
            name = place_name(evidence, zone) + (f"{LAYER}{order}" if order > 1 else "")
            places = tuple(float(i) for i in range(1, len(values) + 1))
            labels = tuple(grade or "" for grade in grades)
            series.append(Series(name, places, values, "line and dots", labels=labels))
    if not series:
        return None
    return Chart(
        key="coa-03-grits",
        check="COA-03",
        title=f"Grit by grit: {_widest_step(series)}",
        description=f"Mean grain size of the abrasive, step by step, for {len(series)} sanding sequences.",
        x=Axis("Step of the sequence", low=0.6, high=steps + 0.9),
        y=Axis("Mean grain size", "µm", kind="log"),
        series=_alike_joined(series),
    )


def _widest_step(series: Iterable[Series]) -> str:
    """What the steps between grains come to, in words."""
    steps = [
        (before / after, f"{names[0]} to {names[1]}")
        for one in series
        for (before, after), names in zip(pairwise(one.y), pairwise(one.labels), strict=True)
        if isinstance(before, float) and isinstance(after, float)
    ]
    ratio, widest = max(steps)
    coarser = [name for step, name in steps if step <= 1.0]
    told = f"the widest step, {widest}, makes the grain {plain_number(ratio, 3)} times finer"
    return f"{told}; {coarser[0]} is not finer" if coarser else told


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
    found = [finding for finding in charted(findings, "COA-04", MARGIN) if finding.period]
    if not found:
        return None
    series = []
    for zone in sorted({finding.key.place for finding in found}):
        its = sorted((f for f in found if f.key.place == zone), key=lambda f: f.period.start if f.period else "")
        series.append(
            Series(
                place_name(evidence, zone),
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
        title=f"Smallest dew-point margin of each coat: the least that was read is {value_text(least.measured)}",
        description=f"Smallest dew-point margin of {len(found)} coats with its uncertainty, against the limit.",
        x=Axis("Start of the coat", kind="time"),
        y=Axis("Surface above dew point", "K", low=min(0.0, least.measured.value)),
        series=tuple(series),
        rules=_rules_of(found),
    )


def _rules_of(findings: Iterable[Finding]) -> tuple[Rule, ...]:
    """The lower limits that some findings were judged by, each once."""
    limits = [finding.limit for finding in findings if finding.limit is not None and finding.limit.low is not None]
    rules = [
        Rule(limit.low, f"{limit_text(limit)} ({limit.terms[0].document or limit.terms[0].source})", forbidden="below")
        for limit in limits
        if limit.low is not None
    ]
    return tuple(dict.fromkeys(rules))


def _one_coat(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    """The coat that needs looking at: the worst verdict, then the smallest margin."""
    found = charted(findings, "COA-04", MARGIN)
    if not found:
        return None
    worst = min(found, key=lambda f: (-f.verdict.rank, f.measured.value if f.measured else 0.0, f.key.condition))
    coat = evidence.one(Coat, coat=worst.key.condition)
    if coat is None:
        return None
    watched = watch(evidence, coat)
    zone = sorted(evidence.of(Climate, zone=coat.zone), key=lambda row: row.at)
    around = [row for row in zone if coat.started - 2 * HOUR <= row.at <= watched.end + 2 * HOUR]
    pairs, _ = margins_of(around)
    if len(pairs) < 2:
        return None
    rows, margins = [row for _, row in pairs], tuple(margin for margin, _ in pairs)
    gaps = tuple(Span(gap.start, gap.end, "no reading", "gap") for gap in watched.gaps)
    stages = (
        Span(coat.started, coat.finished, "coat applied"),
        Span(coat.finished, watched.end, "first cure"),
    )
    return Chart(
        key="coa-04-coat",
        check="COA-04",
        title=_one_title(watched, place_name(evidence, coat.zone), worst),
        description=f"Dew-point margin over time around coat {coat.coat}, {len(rows)} readings.",
        x=Axis("Time", kind="time"),
        y=Axis("Surface above dew point", "K", low=min(0.0, *margins)),
        series=(
            Series(
                "dew-point margin",
                tuple(row.at for row in rows),
                margins,
                "line and dots",
                breaks=_breaks(rows, watched),
            ),
        ),
        rules=_rules_of([worst]),
        spans=(*stages, *gaps),
    )


def _one_title(watched: Watched, zone: str, worst: Finding) -> str:
    coat = f"Coat {watched.coat.coat}, {zone}"
    if watched.gaps and worst.verdict is Verdict.INCONCLUSIVE:
        gap = max(watched.gaps, key=lambda one: one.hours)
        return f"{coat}: no reading from {moment(gap.start)[11:]} to {moment(gap.end)[11:]}, and a gap is no pass"
    return f"{coat}: {result_text(worst)} at its smallest, {limit_text(worst.limit)}: {worst.verdict.value}"


def _breaks(rows: Sequence[Climate], watched: Watched) -> tuple[int, ...]:
    return tuple(i for i in range(1, len(rows)) if (rows[i].at - rows[i - 1].at) / HOUR > watched.agreed.hours)


def _windows(evidence: Evidence) -> Chart | None:
    names: list[str] = []
    spans: list[float] = []
    readings: list[float] = []
    told: list[str] = []
    for coat in sorted(evidence.of(Coat), key=lambda row: (row.zone, row.layer)):
        below = coat_below(evidence, coat)
        limit = limit_between(evidence, below, coat) if below is not None else None
        if below is None or limit is None:
            continue
        since = time_since(below, coat)
        names.append(coat.coat)
        spans += ends_of(limit)
        readings.append(since.value)
        again = " and abraded again" if coat.abraded else ""
        told += {"early": [f"{coat.coat} was too early"], "late": [f"{coat.coat} was late{again}"]}.get(
            missed_end(since, limit), []
        )
    if not names:
        return None
    what = "1 coat against its window" if len(names) == 1 else f"{len(names)} coats against their windows"
    return Chart(
        key="coa-06-windows",
        check="COA-06",
        title=f"{what}: {listed(told) if told else 'every coat inside its window'}",
        description=f"Time since the coat below for {len(names)} coats, with the window of each as a bar.",
        x=Axis("Time since the coat below was finished", "h", low=0.0),
        y=Axis("Coat", kind="category", categories=tuple(names)),
        series=(
            Series("window at the temperature read", tuple(spans), _twice(names), "spans"),
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
    for zone in sorted(evidence.values(FilmReading, "zone")):
        for attempt in attempts(evidence, FilmReading, zone=zone):
            rows = evidence.of(FilmReading, zone=zone, attempt=attempt)
            if not rows:
                continue
            names.append(_survey_name(zone, attempt))
            xs += [names[-1]] * len(rows)
            ys += [row.thickness for row in rows]
            rules += _film_rules(evidence, zone, names[-1])
    if not names:
        return None
    return Chart(
        key="coa-08-film",
        check="COA-08",
        title=f"Film thickness, {len(ys)} readings: {_film_told(findings)}",
        description=f"Dry film thickness of {len(names)} surveys, each reading a dot, against the nominal film.",
        x=Axis("Zone", kind="category", categories=tuple(names)),
        y=Axis("Dry film thickness", "µm", low=0.0),
        series=(Series("reading", tuple(xs), tuple(ys), "dots"),),
        rules=tuple(rules),
    )


def _survey_name(zone: str, attempt: int) -> str:
    """A zone, and which survey of it: `Z3`, `Z3 again`, `Z3 again (3)`."""
    return zone + ("" if attempt == 1 else " again" if attempt == 2 else f" again ({attempt})")


def _film_rules(evidence: Evidence, zone: str, name: str) -> list[Rule]:
    """The nominal film of a zone, and the share of it that the rule allows a single reading."""
    nominal = evidence.specification.limit("COA-08", NOMINAL, place=zone)
    if nominal is None or nominal.low is None:
        return []
    rules = [Rule(nominal.low, "nominal", start=name, end=name)]
    share = next((number(row["factor"]) for row in rule_rows(film_rule(evidence)) if row["quantity"] == SMALLEST), None)
    if share is not None and share != 1.0:
        words = f"{plain_number(share * 100)} %"
        rules.append(Rule(share * nominal.low, words, start=name, end=name, forbidden="below"))
    return rules


def _film_told(findings: Iterable[Finding]) -> str:
    """What became of the rule, zone by zone: the last survey of a zone tells whether it is met now."""
    its = [f for f in findings if f.key.check == "COA-08" and f.key.role is Role.GOVERNING and f.measured is not None]
    last = {f.key.place: max(other.key.attempt for other in its if other.key.place == f.key.place) for f in its}
    missed = {f.key.place for f in its if f.verdict.missed}
    still = {f.key.place for f in its if f.verdict.missed and f.key.attempt == last[f.key.place]}
    parts = [f"{listed(sorted(missed - still))} missed the rule at first"] if missed - still else []
    parts += [f"{listed(sorted(still))} missed the rule"] if still else []
    if parts:
        return listed(parts)
    judged = its and all(f.verdict in (Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.NOT_APPLICABLE) for f in its)
    return "every zone meets its rule" if judged else "not every zone could be judged"


def _gloss(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    rows = sorted(evidence.of(Gloss), key=lambda row: (row.zone, row.attempt))
    names = tuple(dict.fromkeys(_survey_name(row.zone, row.attempt) for row in rows))
    if not names:
        return None
    series = []
    for angle in (60, 20, 85):
        its = [row for row in rows if row.angle == angle]
        if its:
            xs, ys = tuple(_survey_name(row.zone, row.attempt) for row in its), tuple(row.gloss for row in its)
            series.append(Series(f"at {angle}°", xs, ys, "dots"))
    rules = []
    for angle in (60, 20):
        limits = {
            (f.limit.low, limit_text(f.limit)) for f in findings_of(findings, "COA-11", f"gloss at {angle}°") if f.limit
        }
        rules += [Rule(low, f"{angle}°: {words}") for low, words in sorted(limits, key=str) if low is not None]
    lowest = min((row.gloss for row in rows if row.angle == 60), default=None)
    told = (
        f"lowest single reading at 60° {plain_number(lowest)} units; means are judged"
        if lowest is not None
        else "not read at 60°"
    )
    return Chart(
        key="coa-11-gloss",
        check="COA-11",
        title=f"Gloss by zone, {len(rows)} readings: {told}",
        description=f"Gloss readings of {len(names)} surveys at each angle, every reading a dot.",
        x=Axis("Zone", kind="category", categories=names),
        y=Axis("Gloss", "gloss units"),
        series=tuple(series),
        rules=tuple(rules),
    )
