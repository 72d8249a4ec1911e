"""Contrast of a theme, held by the program and looked at again with the formula of the other tests."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.face import Scheme
from buildbook.face.model import Colours, Theme
from buildbook.face.schemes import schemes
from buildbook.readers.toml_reading import Reading
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import built_in, verdict_colours
from tests.render.contrast import contrast

COLOUR = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06x}")
SAID = st.fixed_dictionaries({}, optional=dict.fromkeys(("paper", "ink", "accent", "line", "raised", "soft"), COLOUR))


def judged(light: dict[str, str] | None = None, dark: dict[str, str] | None = None) -> tuple[Scheme | None, ...]:
    made, _ = both(light, dark)
    return made


def both(light: dict[str, str] | None, dark: dict[str, str] | None) -> tuple[tuple[Scheme | None, ...], list[str]]:
    lines = {"light": 1, "dark": 20}
    reading = Reading("theme.toml", lines | {f"light.{name}": n for n, name in enumerate(light or {}, 2)})
    theme = Theme(light=Colours(**light) if light else None, dark=Colours(**dark) if dark else None)
    made = schemes(theme, reading)
    return made, [str(fault) for fault in reading.faults]


def told(light: dict[str, str] | None = None, dark: dict[str, str] | None = None) -> list[str]:
    return both(light, dark)[1]


def poor(scheme: Scheme, number: int) -> list[tuple[str, str]]:
    """The rule written down again: 7:1 for text and verdicts, 4.5:1 for links; light pages are printed on white."""
    values = asdict(scheme)
    grounds = [values["paper"], values["raised"], *(["#ffffff"] if number == 0 else [])]
    texts = [(values["ink"], 7.0), (values["soft"], 7.0), (values["accent"], 4.5)]
    found = [(c, g) for c, least in texts for g in grounds if contrast(c, g) < least]
    return found + [(c, g) for c in verdict_colours()[number].values() for g in grounds[:2] if contrast(c, g) < 7.0]


def test_the_shipped_colours_keep_the_rule_that_a_theme_must_keep() -> None:
    assert [poor(scheme, number) for number, scheme in enumerate(built_in())] == [[], []]
    assert len(verdict_colours()[0]) == len(verdict_colours()[1]) == 9


@given(light=SAID, dark=SAID)
def test_whatever_is_asked_for_is_legible_or_refused(light: dict[str, str], dark: dict[str, str]) -> None:
    made, faults = both(light, dark)
    bad = [poor(scheme, number) for number, scheme in enumerate(made) if scheme]
    if not faults:
        assert not any(bad)
    else:
        assert any(bad) or any("the colour of a reading" in fault for fault in faults)


@given(paper=st.integers(0xF4, 0xFF), ink=st.integers(0, 0x28))
def test_what_is_made_from_paper_and_ink_is_legible_where_they_are(paper: int, ink: int) -> None:
    assert told({"paper": f"#{paper:02x}{paper:02x}{paper:02x}", "ink": f"#{ink:02x}{ink:02x}{ink:02x}"}) == []


def test_the_numbers_are_told() -> None:
    """#777777 on white is 4.478:1 (from memory); a ratio is never rounded up to what it misses."""
    lines = told({"ink": "#777777", "paper": "#ffffff"})
    assert lines[0] == (
        "theme.toml:2, light.ink: expected a contrast of at least 7:1 between `ink` #777777 and `paper` #ffffff; "
        "found 4.47:1. The book is not made."
    )


def test_a_pale_accent_is_refused_on_dark_pages_too() -> None:
    assert told(dark={"accent": "#8ec5e6"}) == []
    lines = told(dark={"accent": "#304050"})
    assert [re.sub(r"#\w+", "#", line) for line in lines] == [
        f"theme.toml:20, dark.accent: expected a contrast of at least 4.5:1 between `accent` # and `{ground}` #; "
        f"found {int(contrast('#304050', colour) * 100) / 100:.2f}:1. The book is not made."
        for ground, colour in (("paper", "#15191e"), ("raised", "#1e242b"))
    ]


def test_a_paper_on_which_verdicts_are_hard_to_read_is_refused() -> None:
    lines = told({"paper": "#d8c8a8", "ink": "#000000", "accent": "#000000"})
    (verdicts,) = [line for line in lines if "every verdict" in line]
    assert "light.paper: expected a contrast of at least 7:1 between `paper` #d8c8a8" in verdicts
    ratio = contrast("#7f3500", "#d8c8a8")
    assert ratio < 7
    assert f"{int(ratio * 100) / 100:.2f}:1 for 'conditional fail' (#7f3500)" in verdicts


def test_light_pages_that_are_dark_would_be_white_on_white_in_print() -> None:
    lines = told({"paper": "#000000", "ink": "#ffffff"})
    assert any("between `ink` #ffffff and white #ffffff, the printed page; found 1.00:1" in line for line in lines)


def test_shades_follow_from_paper_and_ink_unless_they_are_given() -> None:
    light, _ = judged({"paper": "#ffffff", "ink": "#000000"})
    assert light is not None
    assert (light.raised, light.soft, light.line) == ("#f2f2f2", "#2e2e2e", "#c7c7c7")
    light, _ = judged({"paper": "#ffffff", "ink": "#000000", "raised": "#fafafa", "soft": "#404040", "line": "#999999"})
    assert light is not None
    assert (light.raised, light.soft, light.line) == ("#fafafa", "#404040", "#999999")
    light, _ = judged({"accent": "#000000"})
    assert light == Scheme(**asdict(built_in()[0]) | {"accent": "#000000"})


def test_the_shipped_sheets_are_read_in_both_schemes() -> None:
    sheet = (templates_dir() / "theme" / "theme.css").read_text(encoding="utf-8")
    light, dark = built_in()
    for name, value in asdict(light).items():
        assert sheet.index(f"--{name}: {value};") < sheet.index("@media")
    for name, value in asdict(dark).items():
        assert sheet.rindex(f"--{name}: {value};") > sheet.index("@media")


def test_an_example_for_the_guide_is_legible() -> None:
    from buildbook.face.theme import read_theme

    face, _ = read_theme(Path(__file__).parents[2] / "docs/guide/example-face/theme")
    assert face.light is not None
    assert face.dark is not None
    assert poor(face.light, 0) + poor(face.dark, 1) == []


@pytest.mark.parametrize("value", ["#12345", "#1234567", "red", "rgb(1,2,3)", "#12345g", "#123456\n", 7])
def test_a_colour_is_six_digits(value: object) -> None:
    with pytest.raises(ValueError, match="ink"):
        Colours(ink=value)  # type: ignore[arg-type]
