"""LAM-08: what the lay-up of a skin lets one expect of a panel, set beside what its coupons showed."""

from __future__ import annotations

import math
import statistics
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from buildbook.chapters.laminate.checks.weighings import unsound
from buildbook.chapters.laminate.formulas.burn_off import glass_content, volume_from_mass
from buildbook.chapters.laminate.formulas.stiffness import (
    Lamina,
    Solid,
    bending_stiffness,
    parallel_fibres,
    random_fibres,
    stretching_stiffness,
)
from buildbook.chapters.laminate.formulas.thickness import skin_thickness
from buildbook.chapters.laminate.records import BurnOff, Ply, StrengthTest
from buildbook.chapters.laminate.records.tests import STIFFNESS_READ
from buildbook.chapters.laminate.subjects import (
    Layers,
    glass_density,
    last_burns,
    layers,
    no_schedule,
    resin_density,
    rule,
    rule_term,
)
from buildbook.chapters.subjects import limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.limit import Limit
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed
from buildbook.formulas.uncertainty import from_certificate, from_repeats
from buildbook.sources import table, term

STIFFNESS = "stiffness"
LIKE_NONE = "none"  # the word of a panel that was laid up like no skin of the schedule
TENS = 10  # MPa: the ends are rounded inwards, so no verdict is better for it
SIDEWAYS = "Poisson's ratio of "
COVERAGE = 2.0  # of the uncertainty that the laboratory states
NO_DEGREES = "A direction of the load or of a ply is not a number of degrees, so the lay-up is not worked out."
NOT_LIKE_A_SKIN = "The panel was laid up like no skin of the schedule, so nothing is set beside the lay-up."
LOST_BURNS = "A row of a burned coupon of this skin cannot be used, so its glass content is not sure."
UNSOUND_BURNS = "A burned coupon of this skin is in doubt (LAM-09), so its glass content is not sure."
NOT_READ = "No specimen of this series gives a stiffness."
BOTH_READINGS = "The lay-up is worked out with usual figures for fibres and resin, so the window is wide."


@dataclass(frozen=True, slots=True)
class Expected:
    """The skin that a panel was laid up like: its schedule, its mean glass content [%], or why they are not known.

    `doubts` say why nothing better than inconclusive may rest on it; there are none where every row says that the panel
    is like none of the skins.
    """

    found: Layers | None = None
    glass: float = 0.0
    why_not: str = ""
    doubts: tuple[str, ...] = ()

    @classmethod
    def of(cls, evidence: Evidence, rows: Sequence[StrengthTest]) -> Expected:
        """What the rows of one series name, if they all name the same."""
        named = {(row.zone, row.skin) for row in rows}
        if all(row.skin == LIKE_NONE for row in rows):
            return cls(why_not=NOT_LIKE_A_SKIN)
        zone, skin = rows[0].zone, rows[0].skin
        found = layers(evidence, zone, skin)
        burned = last_burns(evidence.of(BurnOff, zone=zone, skin=skin))
        why_not = ""
        if len(named) > 1:
            why_not = "Its rows name several skins, so what its lay-up was is not known."
        elif found is None or found.caps:
            why_not = no_schedule(evidence) if found is None else " ".join(found.caps)
        elif not burned:
            why_not = f"No coupon of the {skin} was burned, so its glass content is not known."
        if why_not:
            return cls(why_not=why_not, doubts=(why_not,))
        glass = statistics.fmean(glass_content(row.crucible, row.full, row.residue) for row in burned)
        lost = (LOST_BURNS,) if evidence.lost(BurnOff, zone=zone, skin=skin) else ()
        unsure = (UNSOUND_BURNS,) if any(unsound(evidence, row) for row in burned) else ()
        return cls(found, glass, "", (*lost, *unsure))


def default_beside(like: Expected, wanted: Limits, rows: Sequence[StrengthTest]) -> tuple[Limits, tuple[str, ...]]:
    """The limits of a series and, as the reference, what a designer may count on of this glass without any test.

    Beside them why nothing better than inconclusive may be said, where the reference alone governs and is in doubt.
    """
    kind = rows[0].kind
    doubts = like.doubts if wanted.specified is None else ()
    if like.found is None or len({row.kind for row in rows}) > 1:
        return wanted, doubts
    row = next(row for row in table("laminate_defaults") if row["kind"] == kind)
    share, printed = rule("untested laminate"), default_strength(kind, like.glass)
    glass = f"{fixed(like.glass, 1)} % glass ({_polynomial(row)})"
    words = f"{row['words']} Here {fixed(printed, 1)} MPa at {glass}, times {share:g}."
    terms = (replace(term(row), words=words), rule_term("untested laminate"))
    return Limits(wanted.specified, Limit("MPa", terms, low=round(share * printed, 1))), doubts


def _polynomial(row: Mapping[str, str]) -> str:
    """A line of the printed table as it is worked out, with ψ for the share of glass by mass."""
    terms = ((float(row["constant"]), ""), (float(row["linear"]), " ψ"), (float(row["square"]), " ψ²"))
    said = " ".join(f"{'−' if value < 0 else '+'} {abs(value):g}{letter}" for value, letter in terms if value)
    return f"{said.removeprefix('+ ')}, ψ its share"


def default_strength(kind: str, glass: float) -> float:
    """Strength that the small-craft standard gives an E-glass laminate of mixed fabrics without any test [MPa].

    `kind` is a kind of test in its table, `glass` the glass content by mass [%].
    """
    row = next(row for row in table("laminate_defaults") if row["kind"] == kind)
    share = glass / 100.0
    return float(row["square"]) * share**2 + float(row["linear"]) * share + float(row["constant"])


def stiffness_of(
    evidence: Evidence, like: Expected, rows: Sequence[StrengthTest], strength: About
) -> Iterable[Finding]:
    """The mean stiffness of a series against the designer's limit, and against the lay-up.

    `strength` is what the findings about its strength say: method, place and doubts are the same. Where no stiffness
    was read: a finding that says so if one is asked for, else nothing.
    """
    read = [row for row in rows if row.modulus is not None]
    key = Key("LAM-08", STIFFNESS, rows[0].zone, rows[0].series)
    wanted = limits(evidence, key.check, STIFFNESS, place=key.place, condition=key.condition)
    if not read:
        if stiffness_asked(evidence, key, {row.kind for row in rows}):
            yield unjudged(key, Verdict.NOT_MEASURED, NOT_READ, About(at=strength.at), wanted)
        return
    values = [row.modulus or 0.0 for row in read]
    expected, words, unworked = _expected(evidence, like, rows[0])
    doubts = (*like.doubts, *unworked) if wanted.specified is None else ()
    some = (f"{len(read)} of {len(rows)} specimens give a stiffness.",) if len(read) < len(rows) else ()
    about = replace(
        strength,
        at=tuple(row.where for row in read),
        working=(
            f"stiffness in MPa, {', '.join(f'{row.number}: {row.modulus:g}' for row in read)}",
            f"mean {fixed(statistics.fmean(values), 0)} MPa",
            *words,
        ),
        notes=(BOTH_READINGS,) if expected else (),
        caps=(*strength.caps, *some, *doubts),
    )
    measured = Quantity.combined(statistics.fmean(values), "MPa", _parts(read, values))
    yield from judge(key, measured, Limits(wanted.specified, expected), about)


def stiffness_asked(evidence: Evidence, key: Key, kinds: Collection[str]) -> bool:
    """Whether a series should have a stiffness: its kind of test reads one, and somebody limits or reads stiffness.

    Args:
        evidence: the folder, read.
        key: check, quantity, zone and series.
        kinds: the kinds of test of the rows of the series, as far as they can be made out; with none it may be any.
    """
    if kinds and not any(kind in STIFFNESS_READ for kind in kinds):
        return False
    if evidence.specification.limit(key.check, key.quantity, place=key.place, condition=key.condition) is not None:
        return True
    return any(modulus is not None for modulus in evidence.values(StrengthTest, "modulus"))


def _parts(rows: Sequence[StrengthTest], values: Sequence[float]) -> tuple[Part, ...]:
    """What the laboratory states, the same in all specimens, and the scatter of the mean."""
    stated = [row.modulus_uncertainty for row in rows if row.modulus_uncertainty is not None]
    if len(stated) < len(rows):
        return ()
    own = Part("as the laboratory states", from_certificate(max(stated), COVERAGE))
    if len(values) < 2:
        return (own,)
    return (own, Part(f"scatter of {len(values)} specimens", from_repeats(values), len(values) - 1))


def _expected(
    evidence: Evidence, like: Expected, first: StrengthTest
) -> tuple[Limit | None, tuple[str, ...], tuple[str, ...]]:
    """The window about the stiffness of the lay-up, how it is worked out, and why it cannot be (empty where it can)."""
    if like.found is None:
        return None, (like.why_not,), ()
    glass, resin = glass_density(like.found), resin_density(evidence, like.found)
    load = _degrees(first.direction)
    readable = load is not None and all(_angles(ply) for ply, _ in like.found.plies)
    why_not = glass.why_not or resin.why_not or ("" if readable else NO_DEGREES)
    if why_not or load is None:
        return None, (why_not,), (why_not,)
    stack = _stack(like.found, like.glass, (glass.value, resin.value), load)
    bent = first.kind == "flexure"
    value = bending_stiffness(stack) if bent else stretching_stiffness(stack)
    slack = rule("stiffness of the lay-up")
    low = TENS * math.ceil(value * (1.0 - slack / 100.0) / TENS)
    high = TENS * math.floor(value * (1.0 + slack / 100.0) / TENS)
    how = "bent" if bent else "pulled"
    words = (
        f"the lay-up at {fixed(like.glass, 1)} % glass, {counted(len(stack), 'layer')}, {how}: {fixed(value, 0)} MPa"
    )
    limit = Limit("MPa", (*like.found.terms, rule_term("stiffness of the lay-up")), float(low), float(high))
    return limit, (words, _usual_figures()), ()


def _usual_figures() -> str:
    """The stiffness and the sideways share that the layers are worked out with."""
    fibre = f"{rule('stiffness of glass fibre'):g} MPa and {rule(f'{SIDEWAYS}glass fibre'):g}"
    resin = f"{rule('stiffness of the cured resin'):g} MPa and {rule(f'{SIDEWAYS}the cured resin'):g}"
    return (
        f"layers of fibres with {fibre}, resin with {resin}, by Halpin and Tsai; limits rounded inwards to {TENS} MPa"
    )


def _stack(found: Layers, glass: float, densities: tuple[float, float], load: float) -> list[Lamina]:
    """The layers of a schedule, each fabric split into its directions, at the mean glass content of the skin [%]."""
    fibre = Solid(rule("stiffness of glass fibre"), rule(f"{SIDEWAYS}glass fibre"))
    resin = Solid(rule("stiffness of the cured resin"), rule(f"{SIDEWAYS}the cured resin"))
    layer = parallel_fibres(volume_from_mass(glass, *densities), fibre, resin)
    stack = []
    for ply, material in found.plies:
        angles = _angles(ply)
        thick = skin_thickness((material.weight or 0.0) / 1000.0, glass, *densities) / len(angles)
        kind = random_fibres(layer) if material.kind == "mat" else layer
        stack += [Lamina(kind, thick, angle - load) for angle in angles]
    return stack


def _angles(ply: Ply) -> tuple[float, ...]:
    """The directions of a ply [degrees]; one of no matter for a mat, none where a word cannot be read."""
    if ply.angle.strip().casefold() in ("none", "random", "mat"):
        return (0.0,)
    read = [_degrees(piece) for piece in ply.angle.split("/")]
    return tuple(angle for angle in read if angle is not None) if None not in read else ()


def _degrees(text: str) -> float | None:
    try:
        angle = float(text.strip().rstrip("°"))
    except ValueError:
        return None
    return angle if math.isfinite(angle) else None
