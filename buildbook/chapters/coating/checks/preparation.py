"""COA-01 order of work, COA-02 water break, COA-03 grit sequence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from buildbook.chapters.coating.formulas.preparation import GritStep, grade_number, grit_steps
from buildbook.chapters.coating.records import Coat, Preparation, WaterBreak
from buildbook.chapters.coating.subjects import METALS, asked_places, painted_zones
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent, attempts, limits, planned_places, used
from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed, listed, moment, plain_number
from buildbook.formulas import Malformed, OutOfRange
from buildbook.sources import reference_limit, table, term

ORDER = "order of work"
FINER = "each grit finer than the last"
RATIO = "particle size ratio"
NUMBER = "grit number step"
FILM = "time the water film held"
CLEANED = ("wash", "rinse", "de-wax")  # what the water-break check tests


def order_of_work(evidence: Evidence) -> Iterable[Finding]:
    """COA-01: every painted zone was washed and de-waxed before anybody sanded it."""
    for zone in _sanded_zones(evidence, "COA-01"):
        key = Key("COA-01", ORDER, zone)
        steps = sorted(evidence.of(Preparation, zone=zone), key=lambda step: (step.started, -step.finished.timestamp()))
        if _is_metal(evidence, zone):
            yield unjudged(key, Verdict.NOT_APPLICABLE, "A metal part: see the check of metal parts.")
        elif not steps:
            yield absent(evidence, Preparation, key, Verdict.NO_RECORD, "No preparation of this zone is on record.")
        else:
            yield from _order(evidence, key, steps)


def _sanded_zones(evidence: Evidence, check: str) -> tuple[str, ...]:
    """Painted zones, whatever is planned for the check, and every part that was sanded."""
    zones = painted_zones(evidence, (Preparation, "zone"), (Coat, "zone"))
    sanded = {step.zone for step in evidence.of(Preparation, step="sand")}
    return tuple(sorted({*zones, *planned_places(evidence, check), *sanded}))


def _order(evidence: Evidence, key: Key, steps: Sequence[Preparation]) -> Iterable[Finding]:
    first = {name: next((step for step in steps if step.step == name), None) for name in ("wash", "de-wax", "sand")}
    lacking = [name for name, step in first.items() if step is None]
    at = tuple(step.where for step in first.values() if step is not None)
    wanted = _order_limits(evidence)
    wash, wax, sand = first["wash"], first["de-wax"], first["sand"]
    if wash is None or wax is None or sand is None:
        words = f"No record of {listed(_doing(name) for name in lacking)} for this zone."
        yield unjudged(key, Verdict.NO_RECORD, words, About(at=at), wanted)
        return
    ready = max(wash.finished, wax.finished)
    observed = (
        f"washed by {moment(wash.finished)}, de-waxed by {moment(wax.finished)}, first sanded {moment(sand.started)}"
    )
    about = About(
        method="times in the preparation log compared",
        period=Period(min(wash.started, wax.started), sand.started),
        at=at,
        working=(f"first sanding {moment(sand.started)}; washed and de-waxed by {moment(ready)}",),
    )
    yield from judge_fact(key, sand.started >= ready, observed, wanted, about)


def _doing(step: str) -> str:
    return {"wash": "washing", "de-wax": "de-waxing", "sand": "sanding"}[step]


def _order_limits(evidence: Evidence) -> Limits:
    reference = reference_limit("COA-01", ORDER)
    rule = evidence.specification.rule("COA-01")
    specified = Limit("1", (rule.term,), words=rule.rule) if rule else None
    return Limits(specified, reference)


def _is_metal(evidence: Evidence, zone: str) -> bool:
    place = evidence.one(Place, place=zone)
    return place is not None and place.substrate in METALS


def water_break(evidence: Evidence) -> Iterable[Finding]:
    """COA-02: a film of water stayed whole on every painted plastic zone."""
    for zone in asked_places(evidence, "COA-02", (WaterBreak,), (Coat, "zone")):
        if _is_metal(evidence, zone) and zone not in evidence.values(WaterBreak, "zone"):
            continue
        every = attempts(evidence, WaterBreak, zone=zone)
        for attempt in every:
            key = Key("COA-02", FILM, zone, attempt=attempt)
            rows = evidence.of(WaterBreak, zone=zone, attempt=attempt)
            if not rows:
                yield absent(evidence, WaterBreak, key, Verdict.NOT_MEASURED, "No water-break check of this zone.")
                continue
            last = attempt == every[-1]
            yield from _worse(finding for row in rows for finding in _film(evidence, key, row, last=last))


def _film(evidence: Evidence, key: Key, row: WaterBreak, *, last: bool) -> Iterable[Finding]:
    """One row of the check; the last attempt has to show the zone as it was after its last cleaning."""
    steps = _cleanings(evidence, key.place)
    caps = _not_after_cleaning(evidence, row, steps) if last and not _is_metal(evidence, key.place) else ()
    use = used(evidence, [row] if row.instrument else [], "instrument", "time", "s", "watched")
    kind = Kind.AT_LEAST if row.held else Kind.MEASURED
    about = About(
        method="water-break check after ASTM F22, sprayed in place",
        period=Period(row.at, row.at),
        instruments=use.instruments,
        at=(row.where, *(step.where for step in steps[-1:])),
        working=(
            f"watched {row.watched:g} s; film {'whole' if row.held else 'broken'} at the end",
            *(f"last cleaning before the first coat: {_told(step)}" for step in steps[-1:]),
        ),
        notes=use.notes,
        caps=(*use.caps, *caps),
    )
    measured = Quantity.combined(row.watched, "s", use.parts, kind=kind)
    observed = "film whole when the watch ended" if row.held else "film broke"
    yield from judge(key, measured, limits(evidence, "COA-02", FILM, place=key.place), about, observed=observed)


def _cleanings(evidence: Evidence, zone: str) -> list[Preparation]:
    """The steps that cleaned a zone before its first coat, the last one last."""
    first = _first_coat(evidence, zone)
    steps = (step for step in evidence.of(Preparation, zone=zone) if step.step in CLEANED)
    before = [step for step in steps if first is None or step.started < first]
    return sorted(before, key=lambda step: (step.finished, step.started, step.where.order))


def _first_coat(evidence: Evidence, zone: str) -> datetime | None:
    return min((coat.started for coat in evidence.of(Coat, zone=zone)), default=None)


def _told(step: Preparation) -> str:
    return f"{step.step} to {moment(step.finished)} ({step.where})"


def _not_after_cleaning(evidence: Evidence, row: WaterBreak, steps: Sequence[Preparation]) -> tuple[str, ...]:
    """Why a water-break check does not show the zone as it was after its last cleaning and before its first coat."""
    caps, first = [], _first_coat(evidence, row.zone)
    for lost in evidence.lost(Preparation, zone=row.zone):
        if lost.get("step") in (None, *CLEANED):
            caps.append(f"{lost.where}: a step that may be a later cleaning of this zone cannot be used.")
    done = {step.step for step in steps}
    lacking = [_doing(name) for name in ("wash", "de-wax") if name not in done]
    if lacking:
        caps.append(f"No record of {listed(lacking)} before the first coat, so the last cleaning is not known.")
    if steps and row.at < steps[-1].finished:
        caps.append(f"Watched {moment(row.at)}, before the last cleaning: {_told(steps[-1])}. It was not tested again.")
    if first is not None and row.at >= first:
        caps.append(f"Watched {moment(row.at)}, after the first coat had begun ({moment(first)}).")
    return tuple(caps)


def _worse(findings: Iterable[Finding]) -> Iterable[Finding]:
    """One finding for each key: of rows that say different things about one check, the worst stands and names all."""
    by_key: dict[Key, list[Finding]] = {}
    for finding in findings:
        by_key.setdefault(finding.key, []).append(finding)
    for its in by_key.values():
        worst = max(its, key=lambda finding: (finding.verdict.rank, -(finding.margin or 0.0)))
        if len(its) == 1:
            yield worst
            continue
        at = tuple(sorted({where for finding in its for where in finding.at}, key=lambda where: where.order))
        note = f"{len(its)} rows tell of this check; the worst of them stands."
        yield replace(worst, at=at, notes=(*worst.notes, note))


def grit_sequence(evidence: Evidence) -> Iterable[Finding]:
    """COA-03: each grit on a layer took out the scratches of the one before."""
    sizes = {row["grade"]: float(row["mean_size"]) for row in table("grit_sizes")}
    rule = evidence.specification.rule("COA-03")
    quantity = NUMBER if rule is not None and rule.rule == NUMBER else RATIO
    for zone in _sanded_zones(evidence, "COA-03"):
        key = Key("COA-03", quantity, zone)
        sanding = [step for step in evidence.of(Preparation, zone=zone) if step.step == "sand" and step.grit]
        if not sanding:
            yield absent(evidence, Preparation, key, Verdict.NO_RECORD, "No sanding of this zone is on record.")
            continue
        yield from _grits(evidence, key, sequences(evidence, zone), sizes)


def sequences(evidence: Evidence, zone: str) -> tuple[tuple[Preparation, ...], ...]:
    """Sanding steps of a zone in the order of time, cut wherever a new layer (filler, primer, coat) was put on."""
    steps = sorted(evidence.of(Preparation, zone=zone), key=_when_and_grade)
    layers = [step.started for step in steps if step.step in ("fill", "prime", "peel ply")]
    layers += [coat.started for coat in evidence.of(Coat, zone=zone)]
    runs: dict[int, list[Preparation]] = {}
    for step in steps:
        if step.step == "sand" and step.grit:
            runs.setdefault(sum(layer <= step.started for layer in layers), []).append(step)
    return tuple(tuple(run) for _, run in sorted(runs.items()))


def _when_and_grade(step: Preparation) -> tuple[datetime, datetime, int, str]:
    """Order of time, whatever the order of the file; of steps at one time the coarser grade first."""
    grade = step.grit or ""
    return (step.started, step.finished, len(grade), grade)


def _at_one_time(runs: Iterable[Sequence[Preparation]]) -> tuple[str, ...]:
    """Two grades logged for the same time do not tell which came first."""
    return tuple(
        f"{before.grit} and {after.grit} are logged for the same time ({before.where}, {after.where}): "
        f"which came first cannot be told."
        for run in runs
        for before, after in pairwise(run)
        if (before.started, before.finished) == (after.started, after.finished) and before.grit != after.grit
    )


def _grits(
    evidence: Evidence, key: Key, runs: Sequence[Sequence[Preparation]], sizes: dict[str, float]
) -> Iterable[Finding]:
    at = tuple(step.where for run in runs for step in run)
    found: list[GritStep] = []
    try:
        for run in runs:
            found += grit_steps([step.grit or "" for step in run], sizes)
    except (OutOfRange, Malformed) as reason:
        yield unjudged(key, Verdict.INCONCLUSIVE, f"{reason}.", About(at=at))
        return
    start, end = runs[0][0].started, runs[-1][-1].finished
    about = About(
        method="grades in the preparation log against the printed table of grain sizes",
        period=Period(start, end),
        at=at,
        working=tuple(_divided(step, sizes) for step in found),
        caps=_at_one_time(runs),
    )
    yield from _widest(evidence, key, found, about)
    if found:
        coarser = [f"{step.before} to {step.after}" for step in found if not step.finer]
        observed = f"not finer: {listed(coarser)}" if coarser else f"{counted(len(found), 'step')}, each finer"
        fact = Limits(None, reference_limit(key.check, FINER))
        yield from judge_fact(Key(key.check, FINER, key.place), not coarser, observed, fact, about)


def _divided(step: GritStep, sizes: dict[str, float]) -> str:
    before, after = plain_number(sizes[step.before]), plain_number(sizes[step.after])
    return f"{step.before} to {step.after}: {before} / {after} = {fixed(step.size_ratio, 2)}"


def _within(step: GritStep, ends: Limit) -> bool:
    """Whether a step starts from a grade that the number rule speaks of."""
    return decide(Quantity.count(float(grade_number(step.before))), ends).verdict is Verdict.PASS


def _widest(evidence: Evidence, key: Key, found: Sequence[GritStep], about: About) -> Iterable[Finding]:
    """The widest step by the chosen measure; the number rule speaks of steps from grades up to its end only."""
    by_size = key.quantity == RATIO
    ends = Limit("1", (term(table("grit_number_rule")[0]),), high=float(table("grit_number_rule")[0]["ends_at"]))
    counted = [step for step in found if by_size or _within(step, ends)]
    if not counted:
        words = (
            f"Every step starts finer than P{plain_number(ends.high or 0.0)}, where the number rule ends."
            if found
            else "Each layer was sanded with one grade only, so there is no step between grades."
        )
        yield unjudged(key, Verdict.NOT_APPLICABLE, words, about)
        return
    worst = max(counted, key=lambda step: step.size_ratio if by_size else step.number_step)
    value = worst.size_ratio if by_size else float(worst.number_step)
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    yield from judge(key, Quantity.count(value), wanted, about, observed=f"widest step {worst.before} to {worst.after}")
