"""Charts of the vibration survey."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from buildbook.chapters.charted import charted, interval_of, measured_of, value_of
from buildbook.chapters.trial_records import TrialRun
from buildbook.chapters.vibration.checks.comfort import UNIT, WEIGHTED
from buildbook.chapters.vibration.checks.loudness import LEVEL as LOUDNESS
from buildbook.chapters.vibration.checks.loudness import UNIT as DECIBEL
from buildbook.chapters.vibration.checks.pairs import CHANGE
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.chapters.vibration.spectrum_chart import blade_spectrum
from buildbook.chapters.vibration.subjects import run_of, setting_of, short_name
from buildbook.chapters.vibration.sweep_chart import sweep_chart
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Verdict
from buildbook.core.wording import fixed, listed, unit_text

Style = Literal["dots", "hollow dots"]


def charts(evidence: Evidence, findings: tuple[Finding, ...]) -> Iterable[Chart]:
    """The levels of every position beside their limits; the spectrum where the blades beat hardest; sweep and sound."""
    levels = (_levels(evidence, findings, check) for check in ("VIB-01", "VIB-02"))
    spectra = (blade_spectrum(evidence, findings), sweep_chart(evidence))
    drawn = (*levels, *spectra, _change(evidence, findings), _sound(evidence, findings))
    return tuple(chart for chart in drawn if chart is not None)


def _levels(evidence: Evidence, findings: Iterable[Finding], check: str) -> Chart | None:
    found = charted(findings, check, WEIGHTED)
    if not found:
        return None
    names = _names(evidence, found)
    settings = _by_setting(evidence, (f for f in found if f.verdict is not Verdict.INCONCLUSIVE))
    undecided = [f for f in found if f.verdict is Verdict.INCONCLUSIVE]
    return Chart(
        key=f"{check.lower()}-levels",
        check=check,
        title=_title("Weighted vibration by position", "guideline", found, names, 2),
        description=f"Every record of {listed(names.values())} in each direction, by engine setting, with its "
        "uncertainty and the guideline of its space.",
        x=Axis("Position", kind="category", categories=tuple(names.values())),
        y=Axis("Weighted vibration", UNIT, low=0.0),
        series=(
            *(_series(setting, mine, names, "dots") for setting, mine in settings.items()),
            *((_series("record not good enough", undecided, names, "hollow dots"),) if undecided else ()),
        ),
        rules=_rules(found, names),
    )


def _by_setting(evidence: Evidence, found: Iterable[Finding]) -> dict[str, list[Finding]]:
    """Findings by the engine setting of their records, as the runs are listed."""
    rows = {row.where: row for row in evidence.of(VibrationRecord)}
    groups: dict[str, list[Finding]] = {run.setting: [] for run in evidence.of(TrialRun)}
    for f in found:
        run = run_of(evidence, rows[f.at[0]].run) if f.at and f.at[0] in rows else None
        groups.setdefault(run.setting if run is not None else "run not on record", []).append(f)
    return {setting: mine for setting, mine in groups.items() if mine}


def _change(evidence: Evidence, findings: tuple[Finding, ...]) -> Chart | None:
    """The levels of the first and the last attempt wherever a place was measured again, beside their guideline."""
    levels = {f.at[0]: f for check in ("VIB-01", "VIB-02") for f in charted(findings, check, WEIGHTED)}
    pairs = [[levels.get(where) for where in f.at] for f in charted(findings, "VIB-09", CHANGE)]
    both = [(last, first) for last, first in pairs if last is not None and first is not None]
    if not both:
        return None
    after, before = ([pair[n] for pair in both] for n in (0, 1))
    names = _names(evidence, after)
    return Chart(
        key="vib-09-change",
        check="VIB-09",
        title="Before and after: "
        + "; ".join(f"{names[a.key.place]} {_shown(b)}, then {_shown(a)} {UNIT}" for a, b in both),
        description=f"Weighted vibration of the first and the last attempt at {listed(names.values())}, with the "
        "uncertainty of each level and the guideline of its space.",
        x=Axis("Position", kind="category", categories=tuple(names.values())),
        y=Axis("Weighted vibration", UNIT, low=0.0),
        series=(_series("first", before, names, "hollow dots"), _series("last", after, names, "dots")),
        rules=_rules(after, names),
    )


def _shown(finding: Finding) -> str:
    return fixed(value_of(finding), 2)


def _sound(evidence: Evidence, findings: Iterable[Finding]) -> Chart | None:
    """The level of every place beside its limit, a kind of dot for each run."""
    found = charted(findings, "VIB-11", LOUDNESS)
    if not found:
        return None
    names = _names(evidence, found)
    runs = dict.fromkeys(f.key.condition for f in found)
    styles: tuple[Style, ...] = ("dots", "hollow dots")
    return Chart(
        key="vib-11-levels",
        check="VIB-11",
        title=_title("Sound level by place", "limit", found, names, 1),
        description=f"The A-weighted level at {listed(names.values())}, with its uncertainty and its limit.",
        x=Axis("Place", kind="category", categories=tuple(names.values())),
        y=Axis("A-weighted sound level", DECIBEL),
        series=tuple(
            _series(setting_of(evidence, run), [f for f in found if f.key.condition == run], names, styles[n % 2])
            for n, run in enumerate(runs)
        ),
        rules=_rules(found, names),
    )


def _names(evidence: Evidence, found: Iterable[Finding]) -> dict[str, str]:
    """The places by their names, those first that come nearest to their limit or lie farthest beyond it."""
    nearest: dict[str, float] = {}
    for f in found:
        nearest[f.key.place] = max(_share(f), nearest.get(f.key.place, 0.0))
    return {place: short_name(evidence, place) for place in sorted(nearest, key=lambda place: (-nearest[place], place))}


def _share(finding: Finding) -> float:
    """A value as a share of its limit; next to nothing where it has none."""
    return value_of(finding) / (_high(finding) or 1e9)


def _title(what: str, limit: str, found: Iterable[Finding], names: dict[str, str], decimals: int) -> str:
    """What was measured, and where it comes nearest to its limit or farthest beyond it."""
    worst = max(found, key=_share)
    high, value = _high(worst), f"{fixed(value_of(worst), decimals)} {unit_text(measured_of(worst).unit)}"
    if measured_of(worst).unit == DECIBEL:
        of = f", at most {high:g} {DECIBEL} there" if high else ""
    else:
        of = f", {fixed(100.0 * value_of(worst) / high, 0)} % of its {limit}" if high else ""
    return f"{what}: highest against its {limit} is {names[worst.key.place]}, {value}{of}"


def _series(words: str, mine: Iterable[Finding], names: dict[str, str], style: Style) -> Series:
    """Readings as dots, the first attempt before the later ones; those at one place bear words that tell them apart."""
    found = tuple(sorted(mine, key=lambda f: f.key.attempt))
    places, values = tuple(names[f.key.place] for f in found), tuple(value_of(f) for f in found)
    labels = tuple(_apart(f, [other for other in found if other.key.place == f.key.place]) for f in found)
    uncertain = tuple(interval_of(f) for f in found)
    return Series(words, places, values, style, y_error=uncertain, labels=labels if any(labels) else ())


def _apart(finding: Finding, alike: Sequence[Finding]) -> str:
    """What of its direction, run and attempt tells a reading from the others of its kind at its place, if any."""
    others = [other for other in alike if other is not finding]
    parts = [part for part in _parts(finding) if any(part not in _parts(other) for other in others)]
    attempts = {other.key.attempt for other in alike}
    if len(attempts) > 1:
        return "first" if finding.key.attempt == min(attempts) else "again"
    return parts[0] if parts else ""


def _parts(finding: Finding) -> list[str]:
    return finding.key.condition.split(", ")


def _rules(found: Iterable[Finding], names: dict[str, str]) -> tuple[Rule, ...]:
    """The limit of each place over its width."""
    rules: dict[Rule, None] = {}
    for f in found:
        high, name = _high(f), names[f.key.place]
        if high is not None:
            rules[Rule(high, f"at most {high:g}", "y", "above", name, name)] = None
    return tuple(rules)


def _high(finding: Finding) -> float | None:
    return finding.limit.high if finding.limit is not None else None
