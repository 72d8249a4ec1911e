"""Colours that are told apart and words that can be read, computed for both schemes.

Contrast: WCAG 2.2, success criteria 1.4.3 (text, AA), 1.4.6 (text, AAA) and 1.4.11 (drawings). How colours look to
people without one kind of cone: Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color
vision deficiency", IEEE TVCG 15 (2009) no. 6, at full severity, by the matrices that colour-science carries (for
tritanomaly the authors call theirs an approximation). Differences are CIEDE2000 by the same library. How far apart
colours must be is common practice, no source: some 2 is seen side by side, 10 at a glance.
"""

from __future__ import annotations

import re
from itertools import combinations, product

import colour
import numpy as np
import pytest

from buildbook.core.chart import Series
from buildbook.core.finding import Verdict
from buildbook.core.hull import Hull
from buildbook.render.drawing_marks import COLOURS, FORBIDDEN, FORBIDDEN_ALPHA, SPAN_ALPHA, looks
from buildbook.render.figures import SIGNS
from buildbook.render.marks import Mark
from buildbook.render.profile import HULL, pictures
from buildbook.render.templates import templates_dir
from tests.render.contrast import Colour, blended, contrast, parts, theme_colours

THEME = templates_dir() / "theme" / "theme.css"
SITE = templates_dir() / "site" / "site.css"
OUTLINED = Hull(length_hull=19.0)
VERDICTS = templates_dir() / "parts" / "verdict.css"
SCHEMES = {"light": 0, "dark": 1}
SIGHTS = ("", "Protanomaly", "Deuteranomaly", "Tritanomaly")
AT_A_GLANCE, SEEN = 10.0, 7.0
MATRICES = colour.blindness.CVD_MATRICES_MACHADO2010
WHITE = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]


def of_theme(name: str, scheme: str) -> str:
    return theme_colours(THEME, name)[SCHEMES[scheme]]


def of_verdict(verdict: Verdict, scheme: str) -> str:
    return theme_colours(VERDICTS, verdict.value.replace(" ", "-"))[SCHEMES[scheme]]


def seen(one: Colour, sight: str) -> np.ndarray:
    """A colour as CIE L*a*b*, as eyes of this sight have it."""
    light = colour.models.eotf_sRGB(np.array(parts(one)) / 255.0)
    if sight:
        light = np.clip(MATRICES[sight][1.0] @ light, 0.0, 1.0)
    return colour.XYZ_to_Lab(colour.RGB_to_XYZ(light, "sRGB"), WHITE)


def apart(one: Colour, other: Colour, sight: str) -> float:
    return float(colour.delta_E(seen(one, sight), seen(other, sight), method="CIE 2000"))


def test_the_simulation_takes_red_for_green() -> None:
    """Red and green of one lightness are far apart for most people and near each other without the middle cones."""
    red, green = "#c4674c", "#848a3c"
    assert apart(red, green, "") > 30.0
    assert apart(red, green, "Deuteranomaly") < 0.4 * apart(red, green, "")
    assert apart("#808080", "#808080", "Protanomaly") == pytest.approx(0.0)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_words_of_charts_and_drawings_can_be_read(scheme: str) -> None:
    """They are in ink: on paper, on forbidden ground, and on the band of a span of time."""
    ink, paper = of_theme("ink", scheme), of_theme("paper", scheme)
    grounds = (paper, blended(FORBIDDEN, paper, FORBIDDEN_ALPHA), blended(ink, paper, SPAN_ALPHA))
    assert min(contrast(ink, ground) for ground in grounds) >= 7.0


@pytest.mark.parametrize(("scheme", "series"), list(product(SCHEMES, COLOURS)))
def test_each_series_stands_out_from_its_ground(scheme: str, series: str) -> None:
    paper = of_theme("paper", scheme)
    assert contrast(series, paper) >= 3.0
    # On forbidden ground the hue stands out as well, and its sign has an edge; a little under 3 is let through.
    assert contrast(series, blended(FORBIDDEN, paper, FORBIDDEN_ALPHA)) >= 2.8


def dark_series() -> dict[str, str]:
    """What the style sheet of the site makes of the series colours on dark pages, for fills and for strokes alike."""
    sheet = SITE.read_text(encoding="utf-8")
    kinds = [
        dict(re.findall(rf'\[style\*="{kind}: (#\w{{6}})"\] {{ {kind}: (#\w{{6}}) !important; }}', sheet))
        for kind in ("fill", "stroke")
    ]
    assert kinds[0] == kinds[1]
    return kinds[0]


def test_series_on_dark_pages_stand_out_from_paper_and_from_forbidden_ground() -> None:
    paper = of_theme("paper", "dark")
    made = dark_series()
    assert tuple(made) == COLOURS
    assert min(contrast(one, ground) for one in made.values() for ground in (paper, dark_forbidden())) >= 4.5


@pytest.mark.parametrize("sight", SIGHTS)
def test_series_on_dark_pages_stay_apart_for_every_sight(sight: str) -> None:
    assert min(apart(one, other, sight) for one, other in combinations(dark_series().values(), 2)) >= 9.0


def dark_forbidden() -> tuple[float, ...]:
    """Forbidden ground of a chart on dark pages."""
    sheet = SITE.read_text(encoding="utf-8")
    (share,) = re.findall(
        r'\[id\$="-forbidden"\] > \* { fill: var\(--forbidden\) !important; opacity: ([\d.]+) !important; }', sheet
    )
    return blended(of_theme("forbidden", "dark"), of_theme("paper", "dark"), float(share))


def test_forbidden_ground_is_seen_in_both_schemes() -> None:
    """Its edge is a firm line with words at it; 1.15 to 1 for a wide tint is common practice, no source."""
    light = blended(FORBIDDEN, of_theme("paper", "light"), FORBIDDEN_ALPHA)
    assert contrast(light, of_theme("paper", "light")) >= 1.15
    assert contrast(dark_forbidden(), of_theme("paper", "dark")) >= 1.4
    assert contrast(of_theme("ink", "dark"), dark_forbidden()) >= 7.0


MARK_RULES = (
    ".hull .mark :is(circle, rect) { fill: var(--paper); stroke: currentColor; }",
    ".hull .mark text { fill: currentColor; }",
    ".hull .mark.full :is(circle, rect) { fill: currentColor; }",
    ".hull .mark.full text { fill: var(--paper); }",
)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_marks_on_her_stand_out_and_their_figures_can_be_read(scheme: str) -> None:
    """By the rules of the site a mark has the colour of its verdict; a ring and the figure on a full mark are paper."""
    sheet = SITE.read_text(encoding="utf-8")
    assert all(rule in sheet for rule in MARK_RULES)
    paper = of_theme("paper", scheme)
    line = HULL if scheme == "light" else of_theme("reading", scheme)
    assert ':is(.hull *, .hull-form, .hull-part)[fill="#0077bb"] { fill: var(--reading); }' in sheet
    hull = blended(line, paper, 0.1)
    for verdict in Verdict:
        mark = of_verdict(verdict, scheme)
        assert contrast(mark, paper) >= 7.0, "figure in a ring, and figure on a full mark"
        assert min(contrast(mark, paper), contrast(mark, hull)) >= 4.5, "the mark on her and beside her"
    drawn = pictures(OUTLINED, "profile", [Mark(1, "a", x=4.0, z=0.5, verdict=Verdict.FAIL)]).whole
    assert re.search(r'class="mark full square is-fail"', drawn)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_fail_is_as_conspicuous_on_her_as_anything_else(scheme: str) -> None:
    """No mark of another verdict stands out more than one and a half times as much from her."""
    hull = blended(HULL if scheme == "light" else of_theme("reading", scheme), of_theme("paper", scheme), 0.1)
    fail = contrast(of_verdict(Verdict.FAIL, scheme), hull)
    assert max(contrast(of_verdict(verdict, scheme), hull) for verdict in Verdict) <= 1.5 * fail


@pytest.mark.parametrize("sight", SIGHTS)
def test_series_stay_apart_for_every_sight(sight: str) -> None:
    assert min(apart(one, other, sight) for one, other in combinations(COLOURS, 2)) >= 9.0


def test_series_differ_in_more_than_colour() -> None:
    drawn = looks([Series(str(number), (1.0,), (1.0,)) for number in range(len(COLOURS))])
    assert len({look.marker for look in drawn}) == len(COLOURS)


@pytest.mark.parametrize(("scheme", "sight"), list(product(SCHEMES, SIGHTS)))
def test_a_pass_is_never_taken_for_anything_worse(scheme: str, sight: str) -> None:
    """By colour alone; word and sign come on top of it."""
    worse = [it for it in Verdict if it.judged and it is not Verdict.PASS]
    assert len(worse) >= 3
    assert min(apart(of_verdict(Verdict.PASS, scheme), of_verdict(it, scheme), sight) for it in worse) >= SEEN


@pytest.mark.parametrize(("scheme", "sight"), list(product(SCHEMES, SIGHTS)))
def test_verdicts_stay_apart_by_colour_or_by_their_sign(scheme: str, sight: str) -> None:
    for one, other in combinations(Verdict, 2):
        if apart(of_verdict(one, scheme), of_verdict(other, scheme), sight) < AT_A_GLANCE:
            assert shapes(one) ^ shapes(other), (one, other)


def shapes(verdict: Verdict) -> set[str]:
    """What the sign of a verdict is drawn from, without colour."""
    return set(re.findall(r"<(?:rect|path|circle)[^>]*>", str(SIGNS[verdict].svg)))


def test_every_sign_is_its_own_and_without_colour() -> None:
    """In grey print nothing but the sign is left beside the word."""
    for one, other in combinations(Verdict, 2):
        assert shapes(one) ^ shapes(other), (one, other)
    assert not any(re.search(r"#[0-9a-f]{3}", str(SIGNS[verdict].svg)) for verdict in Verdict)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_words_over_the_shade_of_a_wide_table_can_be_read(scheme: str) -> None:
    """The shade is `--line` at the very edge and fades over one rem: the least contrast is on the plain colour."""
    assert "linear-gradient(to right, var(--line), transparent)" in (templates_dir() / "site" / "site.css").read_text()
    texts = [of_theme(name, scheme) for name in ("ink", "soft", "accent")]
    texts += [of_verdict(verdict, scheme) for verdict in Verdict]
    assert min(contrast(text, of_theme("line", scheme)) for text in texts) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_mark_of_the_focus_is_seen(scheme: str) -> None:
    grounds = [of_theme(name, scheme) for name in ("paper", "raised")]
    assert min(contrast(of_theme("accent", scheme), ground) for ground in grounds) >= 3.0
