"""The colours of a theme: what is not said follows from what is, and everything is held against its contrast.

Contrast is that of WCAG 2.2. Text 7:1 is its success criterion 1.4.6, large and small alike; 4.5:1 for links is 1.4.3;
3:1 for what a drawing must show is 1.4.11.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace

from buildbook.core.contrast import contrast, mixed
from buildbook.core.face import Scheme
from buildbook.core.fault import Fault
from buildbook.face.model import Colours, Theme
from buildbook.face.refusal import EFFECT
from buildbook.readers.toml_reading import Reading
from buildbook.render.theme_sheet import built_in, reading_colours, verdict_colours

TEXT, LINK, DRAWN = 7.0, 4.5, 3.0
WHITE = "#ffffff"
RAISED_SHARES = (0.05, 0.03, 0.015, 0.0)  # of the ink in the ground of blocks
SOFT_SHARES = (0.82, 0.9, 1.0)  # of the ink in soft ink
LINE_SHARE = 0.22


@dataclass(frozen=True, slots=True)
class _Pages:
    """Light or dark pages: name, what every book has on them, and the grounds besides paper and raised."""

    name: str
    verdicts: Mapping[str, str]
    reading: str
    printed: bool


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two colours that must be told apart: the key to blame, both in words, the least ratio, the ratio found.

    `of` names the one of several that share these words.
    """

    key: str
    words: str
    least: float
    found: float
    of: str = ""


def schemes(theme: Theme, reading: Reading) -> tuple[Scheme | None, Scheme | None]:
    """The colours of light and of dark pages, None for what the theme leaves alone; faults go into `reading`."""
    made: list[Scheme | None] = []
    kinds = zip(("light", "dark"), built_in(), verdict_colours(), reading_colours(), strict=True)
    for name, base, verdicts, drawn in kinds:
        given: Colours | None = getattr(theme, name)
        pages = _Pages(name, verdicts, drawn, name == "light")
        scheme = _filled(given, base, pages) if given else None
        if given and scheme:
            reading.faults.extend(_faults(given, scheme, pages, reading))
        made.append(scheme)
    return made[0], made[1]


def _filled(given: Colours, base: Scheme, pages: _Pages) -> Scheme:
    """The given colours; the rest as shipped, or made from paper and ink where one of them is given."""
    said = {name: value.lower() for name, value in given.model_dump(exclude_none=True).items()}
    scheme = replace(base, **said)
    if not {"paper", "ink"} & said.keys():
        return scheme
    if "line" not in said:
        scheme = replace(scheme, line=mixed(scheme.ink, scheme.paper, LINE_SHARE))
    if "raised" not in said:
        tries = [replace(scheme, raised=mixed(scheme.ink, scheme.paper, share)) for share in RAISED_SHARES]
        scheme = next((it for it in tries if not _poor(replace(it, soft=it.ink), pages, ("raised",))), tries[-1])
    if "soft" not in said:
        tries = [replace(scheme, soft=mixed(scheme.ink, scheme.paper, share)) for share in SOFT_SHARES]
        scheme = next((it for it in tries if not _poor(it, pages)), tries[-1])
    return scheme


def _poor(scheme: Scheme, pages: _Pages, grounds: tuple[str, ...] = ("paper", "raised")) -> list[_Pair]:
    """The pairs that are too near to each other."""
    values = asdict(scheme)
    on = {name: values[name] for name in grounds if name == "paper" or values["raised"] != values["paper"]}
    on |= {"white": WHITE} if pages.printed and "paper" in grounds else {}
    pairs = []
    inks = [("ink", TEXT), ("accent", LINK), *([("soft", TEXT)] if values["soft"] != values["ink"] else [])]
    for ground, colour in on.items():
        shown = f"white {colour}, the printed page" if ground == "white" else f"`{ground}` {colour}"
        for name, least in inks:
            words = f"between `{name}` {values[name]} and {shown}"
            pairs.append(_Pair(name, words, least, contrast(values[name], colour)))
        if ground != "white":
            pairs += _same(ground, shown, colour, pages)
    return [pair for pair in pairs if pair.found < pair.least]


def _same(ground: str, shown: str, colour: str, pages: _Pages) -> Iterable[_Pair]:
    """What is the same in every book, against a ground of the theme."""
    words = f"between {shown} and the colour of every verdict, which no theme changes"
    for verdict, own in pages.verdicts.items():
        name = f" for '{verdict.replace('-', ' ')}' ({own})"
        yield _Pair(ground, words, TEXT, contrast(own, colour), name)
    words = f"between {shown} and the colour of a reading, {pages.reading}, which no theme changes"
    yield _Pair(ground, words, DRAWN, contrast(pages.reading, colour))


def _faults(given: Colours, scheme: Scheme, pages: _Pages, reading: Reading) -> Iterable[Fault]:
    said = given.model_dump(exclude_none=True)
    found: dict[tuple[str, str], list[str]] = {}
    for pair in _poor(scheme, pages):
        key = pair.key if pair.key in said else next(name for name in ("paper", "ink", *said) if name in said)
        told = found.setdefault((key, f"a contrast of at least {pair.least:g}:1 {pair.words}"), [])
        told.append(f"{math.floor(pair.found * 100) / 100:.2f}:1{pair.of}")
    for (key, expected), ratios in found.items():
        yield Fault(reading.where(f"{pages.name}.{key}"), expected, ", ".join(ratios), EFFECT)
