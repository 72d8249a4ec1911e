"""The style sheets that depend on the builder's face: one for site, print and listing alike, and the paper's size."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields

from buildbook.core.face import Cut, Face, Paper, Scheme, Typeface
from buildbook.render.templates import templates_dir

FOLDER = "style/"
SHEET = f"{FOLDER}theme.css"
PAGE_SHEET = "page.css"
# Space below the label, and width of the profile: the cover is one page, and letter is 18 mm lower than A4.
COVER = {Paper.A4: ("10mm", "88%"), Paper.LETTER: ("5mm", "72%")}
FALLBACK = '"IBM Plex Serif"'  # of the shipped faces: for a sign that the builder's own lacks
_VALUE = re.compile(r"--([a-z-]+): (#[0-9a-f]{6});")


def built_in() -> tuple[Scheme, Scheme]:
    """The colours that come with the program, light and dark."""
    light, dark = _values("theme", "theme.css")
    names = [field.name for field in fields(Scheme)]
    return Scheme(**{name: light[name] for name in names}), Scheme(**{name: dark[name] for name in names})


def verdict_colours() -> tuple[dict[str, str], dict[str, str]]:
    """The colours of the nine verdicts on light and on dark pages, by name; the same in every book."""
    return _values("parts", "verdict.css")


def reading_colours() -> tuple[str, str]:
    """The colour of a reading in a margin strip on light and on dark pages; the same in every book."""
    light, dark = _values("theme", "theme.css")
    return light["reading"], dark["reading"]


def theme_css(face: Face) -> str:
    """The whole theme as a style sheet: for the site, the printed book and the listing sheet.

    Args:
        face: what the builder chose; its colours and files were checked where it was read.

    Returns:
        The sheet that comes with the program and behind it the builder's values, as custom properties and `@font-face`
        rules only. Addresses in it are relative to the folder `style/`.
    """
    own = [rule for typeface in (face.text, face.headings) if typeface for rule in _font_rules(typeface)]
    own += _root(face.light, face.text, face.headings, face.light.paper if face.light else "")
    if face.light or face.dark:  # behind the light values, which else would stand for the dark ones as well
        dark = face.dark or built_in()[1]
        own += ["@media screen and (prefers-color-scheme: dark) {", *_root(dark, None, None, ""), "}"]
    sheet = (templates_dir() / "theme" / "theme.css").read_text(encoding="utf-8")
    return sheet + ("\n/* The builder's own. */\n" + "\n".join(own) + "\n" if own else "")


def theme_files(face: Face) -> dict[str, bytes]:
    """The style sheet of the theme with the files it names and the logo, by their names in the output folder."""
    return {SHEET: theme_css(face).encode("utf-8"), **face.files}


def page_css(paper: Paper) -> str:
    """The size of upright and of broad pages, and of what must fit one page, for a printed document.

    >>> print(page_css(Paper.LETTER))
    @page { size: letter; }
    @page records { size: letter landscape; }
    :root { --cover-gap: 5mm; --cover-profile: 72%; }
    <BLANKLINE>
    """
    gap, profile = COVER[paper]
    return (
        f"@page {{ size: {paper.value}; }}\n"
        f"@page records {{ size: {paper.value} landscape; }}\n"
        f":root {{ --cover-gap: {gap}; --cover-profile: {profile}; }}\n"
    )


def _values(place: str, name: str) -> tuple[dict[str, str], dict[str, str]]:
    """The colours of a shipped style sheet, on light pages and on dark ones."""
    text = (templates_dir() / place / name).read_text(encoding="utf-8")
    light, _, dark = text.partition("@media")
    return dict(_VALUE.findall(light)), dict(_VALUE.findall(dark))


def _root(scheme: Scheme | None, text: Typeface | None, headings: Typeface | None, plate: str) -> list[str]:
    values = [f"--{field.name}: {getattr(scheme, field.name)};" for field in fields(Scheme)] if scheme else []
    values += [f"--plate: {plate};"] if plate else []
    values += [f'--text: "{text.family}", {FALLBACK};'] if text else []
    values += [f'--headings: "{headings.family}", {FALLBACK};'] if headings else []
    return [":root {", *(f"  {value}" for value in values), "}"] if values else []


def _font_rules(typeface: Typeface) -> Iterator[str]:
    for cut in typeface.cuts:
        yield _font_rule(typeface.family, cut)


def _font_rule(family: str, cut: Cut) -> str:
    slope = "italic" if cut.italic else "normal"
    address = cut.file.removeprefix(FOLDER)
    return (
        f'@font-face {{ font-family: "{family}"; font-weight: {cut.weight}; font-style: {slope}; '
        f'src: url("{address}") format("woff2"); }}'
    )
