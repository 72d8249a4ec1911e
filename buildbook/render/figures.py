"""The pictures of the book: strips, signs, charts and her profile, made once for page and print."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from buildbook.core.book import Book, Numbered
from buildbook.core.chart import Chart
from buildbook.core.decide import decide
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.her_marks import HullDrawing, PlaceLine
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.core.wording import limit_text, value_text
from buildbook.render.at_places import later_there
from buildbook.render.drawing import chart_svg
from buildbook.render.marks import Mark
from buildbook.render.profile import VIEWS, drawn, pictures
from buildbook.render.prose import anchor
from buildbook.render.readout import readout
from buildbook.render.ruler import RULERS
from buildbook.render.strip import sign, strip
from buildbook.render.strip_fact import is_fact


@dataclass(frozen=True, slots=True)
class Half:
    """A half of a drawing of her: its name, the SVG, and its share of the width of the whole."""

    name: str
    svg: Markup
    share: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One picture: its file name in the printed book, the SVG that a page shows inline, and its text alternative.

    `halves` are what a page shows instead, side by side or, where it is narrow, one below the other; none for a picture
    that stays whole. `kind` is a class of the picture besides the one that its place gives it: `strip-fact`. `curve` is
    what its curves say, reading by reading, for the script of the site (`readout`); empty for a picture without curves.
    """

    name: str
    svg: Markup
    alternative: str
    kind: str = ""
    curve: str = ""
    halves: tuple[Half, ...] = ()


@dataclass(frozen=True, slots=True)
class Example:
    """One strip of the worked example, with the words that stand beside it."""

    strip: Figure
    verdict: Verdict
    value: str
    limit: str


# The readings of the worked example on the page "How readings are judged": invented, glass content by mass.
EXAMPLE_READINGS = (51.2, 50.5, 49.6, 49.0)
EXAMPLE_LIMIT = Limit("%", (Term("invented for the example", Standing.BUILDER, "nobody"),), low=50.0, natural_low=0.0)
EXAMPLE_EXPANDED = 0.8
PROFILE_WIDTH = 380.0


def strip_figure(item: Numbered, earlier: Numbered | None, among: Iterable[Numbered], prefix: str = "") -> Figure:
    """The margin strip of a finding; `prefix` keeps ids apart where a finding stands twice on a page."""
    key = f"{prefix}{item.anchor}"
    before = earlier.finding if earlier else None
    drawn = strip(item.finding, before, key=key, words=item.sentence, among=tuple(a.finding for a in among))
    kind = "strip-fact" if is_fact(item.finding) else ""
    return Figure(f"strips/{key}.svg", Markup(drawn), item.sentence, kind)


def sign_figure(verdict: Verdict) -> Figure:
    """The sign of a verdict; the word always stands beside it, so it needs no text of its own."""
    return Figure(f"signs/{anchor(verdict.value)}.svg", Markup(sign(verdict)), "")


@lru_cache(maxsize=256)
def chart_figure(chart: Chart) -> Figure:
    """One chart, drawn once for the printed book and the site."""
    drawn = Markup(chart_svg(chart))
    return Figure(f"charts/{anchor(chart.key)}.svg", drawn, chart.description, curve=readout(chart))


def profile_figure(book: Book) -> Figure:
    """Her profile, drawn to scale, without marks."""
    return Figure(
        "profile.svg",
        Markup(pictures(book.hull, "profile", width=PROFILE_WIDTH, ruler=RULERS[book.shown]).whole),
        _view_words(book, "Profile"),
    )


def _mark(it: PlaceLine, anchor: str, later: str) -> Mark:
    words = f"{it.name} ({it.place})"
    return Mark(
        it.number,
        words,
        anchor,
        it.x,
        it.y,
        it.z,
        it.verdict,
        put_right=it.put_right,
        accepted=it.accepted,
        position=it.position,
        later=later,
    )


def hull_figures(book: Book, drawing: HullDrawing, anchors: Mapping[int, str]) -> tuple[Figure, ...]:
    """Her profile and her plan with the marks of a drawing, as far as they can be drawn.

    `anchors` gives what each number leads to on the page of the drawing.
    """
    marks = [_mark(it, anchors[it.number], later_there(book, drawing, it)) for it in drawing.lines if not it.unplaced]
    made = []
    for what in VIEWS:
        if not drawn(book.hull, what):
            continue
        name = f"{drawing.key}-{what}"
        shown = pictures(book.hull, what, marks, key=name, close=bool(drawing.file), ruler=RULERS[book.shown])
        words = f"{what.capitalize()}. {drawing.title}. {drawing.says}"
        halves = (
            Half("Aft half", Markup(shown.aft), f"{shown.cut:.4f}"),
            Half("Forward half", Markup(shown.forward), f"{1.0 - shown.cut:.4f}"),
        )
        made.append(Figure(f"{name}.svg", Markup(shown.whole), words, halves=halves))
    return tuple(made)


def _view_words(book: Book, view: str) -> str:
    return f"{view} of {book.hull.name or 'the hull'}"


def examples() -> tuple[Example, ...]:
    """The strips of the worked example, judged by the same rule as every reading of the book."""
    made = []
    readings = [Quantity(value, "%", EXAMPLE_EXPANDED) for value in EXAMPLE_READINGS]
    findings = []
    for reading in readings:
        judged = decide(reading, EXAMPLE_LIMIT)
        key = Key("", "glass")
        findings.append(Finding(key, judged.verdict, reading, EXAMPLE_LIMIT, margin=judged.margin, guard=judged.guard))
    for number, (finding, reading) in enumerate(zip(findings, readings, strict=True), 1):
        value, limit, name = value_text(reading), limit_text(EXAMPLE_LIMIT), f"example-{number}"
        words = f"{value}, {limit}: {finding.verdict.value}"
        drawn = strip(finding, None, key=name, words=words, among=findings)
        figure = Figure(f"strips/{name}.svg", Markup(drawn), words)
        made.append(Example(figure, finding.verdict, value, limit))
    return tuple(made)


SIGNS = {verdict: sign_figure(verdict) for verdict in Verdict}
