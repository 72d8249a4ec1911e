"""The comparison as a page of the site's style, and as a printed document, from the same parts."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from buildbook.core.face import Paper
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.shown_units import ShownUnits
from buildbook.core.source import Standing
from buildbook.core.wording import capital
from buildbook.render.figures import SIGNS
from buildbook.render.pdf import INK, book_pdf, print_styles
from buildbook.render.prose import anchor
from buildbook.render.svg import inked, untold
from buildbook.render.templates import environment, templates_dir
from buildbook.render.theme_sheet import verdict_colours
from buildbook.render.units import SHORT, unbroken
from buildbook.second import said
from buildbook.second.comparing import Compared
from buildbook.second.comparison import Count, Lone, Outcome, Pair
from buildbook.second.signs import outcome_sign
from buildbook.second.strip_of_two import SURVEYOR, YARD, mark_alone, strip_of_two
from buildbook.second.told_together import Told, behind, told_together
from buildbook.second.worked_out import Sums, example, sums

SHEETS = ("style/theme.css", "style/shared.css", "style/verdict.css", "style/pictures.css", "style/site.css")
OWN = "style/comparison.css"
PRINT_OWN = "style/comparison-print.css"
SURVEY_SUMS = "SHA256SUMS.survey"  # the list of the survey’s files, which are not in the folder of a comparison
POLICY = "default-src 'none'; style-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'"
COMBINED = (
    "Combined is less than both added up, since two readings are seldom both off by all they may be: it is the root of "
    "the sum of both squares. An uncertainty of 3 and one of 4 make 5, not 7."
)
NAMED_FIRST = 5  # how many readings of one kind of bad news stand on the first screen
WORDS = {
    Outcome.DO_NOT_AGREE: f"The difference is larger than the combined uncertainty of both readings. {COMBINED}",
    Outcome.NO_UNCERTAINTY: "The difference is shown; nothing says whether it is large.",
    Outcome.NOT_COMPARABLE: "The two readings are not about the same thing, for the reason named. Both are shown.",
    Outcome.AGREE: f"The difference is no larger than the combined uncertainty of both readings. {COMBINED}",
}
EXAMPLE_LIMIT = Limit("%", (Term("invented for the example", Standing.BUILDER, "nobody"),), low=50.0, natural_low=0.0)

# Puts an SVG where it stands: its text alternative if it is to be read, its colour if it has not that of the text.
Place = Callable[..., Markup]


@dataclass(frozen=True, slots=True)
class Shown:
    """One pair as it is shown: its words, its picture (empty where nothing can be drawn) and its lines."""

    pair: Pair
    subject: str
    outcome: str
    en: str
    sums: Sums
    behind: tuple[str, str]
    svg: Markup


@dataclass(frozen=True, slots=True)
class Group:
    """All pairs of one outcome; of those that agree also what is said of several, for print."""

    title: str
    anchor: str
    sign: Markup
    words: str
    shown: tuple[Shown, ...]
    agree: bool
    together: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class OutcomeLine:
    """One outcome with its count, and where its pairs begin; no anchor where there are none."""

    sign: Markup
    count: Count
    anchor: str


@dataclass(frozen=True, slots=True)
class LoneGroup:
    """What only one side has of one quantity, and how many of each verdict."""

    title: str
    counts: str
    lines: tuple[Lone, ...]


def page_html(compared: Compared, files: Sequence[str], units: ShownUnits = ShownUnits.METRIC) -> str:
    """`comparison.html`: the whole comparison on one page that needs no script and nothing from elsewhere.

    Args:
        compared: the comparison with what its pictures are drawn from, told in `units`.
        files: names of the files beside the page, to be linked: PDF, JSON, CSV.
        units: those that its figures are told in.
    """
    words = shown(compared, lambda svg, *_: Markup(svg))
    text = (
        environment()
        .get_template("second/page.html.j2")
        .render(**words, sheets=(*SHEETS, OWN), policy=POLICY, files=files, printed=False, units=units)
    )
    return unbroken(text, around=SHORT, shown=units)


def page_pdf(compared: Compared, paper: Paper, units: ShownUnits = ShownUnits.METRIC) -> bytes:
    """The same, printed.

    Raises:
        NotPossible: a system library is missing.
    """
    pictures: dict[str, bytes] = {}

    def placed(svg: str, words: str = "", colour: str = "") -> Markup:
        """A picture as a file of the document: with words one to be read, without them one beside its words."""
        if not svg:
            return Markup("")
        data = inked(untold(svg), colour or INK).encode("utf-8")
        name = f"pictures/{hashlib.sha256(data).hexdigest()}.svg"
        pictures[name] = data
        if words:
            return Markup('<img class="strip" src="{}" alt="{}">').format(name, words)
        kind = "key" if 'class="strip-key' in svg else "sign"
        return Markup('<span class="{}" style="background-image: url({})"></span>').format(kind, name)

    words = shown(compared, placed)
    own = {PRINT_OWN: (templates_dir() / "second" / "print.css").read_bytes()}
    sheets = ("style/theme.css", "style/shared.css", "style/verdict.css", "style/kept.css", PRINT_OWN)
    html = (
        environment()
        .get_template("second/print.html.j2")
        .render(**words, sheets=sheets, paper=paper.value, printed=True, units=units)
    )
    return book_pdf(unbroken(html, shown=units), {**print_styles(), **own, **pictures}, (), None)


def own_styles() -> dict[str, bytes]:
    """The style sheet of the page besides the site's, by its name in the output folder."""
    return {OWN: (templates_dir() / "second" / "comparison.css").read_bytes()}


def shown(compared: Compared, place: Place) -> dict[str, Any]:
    """What both forms show; `place` puts a picture where it stands."""
    comparison = compared.comparison
    every = (*comparison.pairs, *comparison.in_words)
    lines = {pair.number: _shown(pair, compared, place) for pair in every}
    groups = [_group(outcome, comparison.pairs, lines, place) for outcome in Outcome]
    counts = {count.words: count for count in comparison.counts}
    apart = [lines[pair.number] for pair in comparison.pairs if pair.outcome is Outcome.DO_NOT_AGREE]
    alone = said.outside_apart(every)
    return {
        "comparison": comparison,
        "outside": said.outside_text(every),
        "both_outside": [line for line in lines.values() if line.pair.both_outside],
        "outside_apart": said.outside_apart_text(every),
        "not_comparable_outside": [lines[pair.number] for pair in alone[:NAMED_FIRST]],
        "more_outside": said.more_outside_text(len(alone[NAMED_FIRST:])),
        "disagreement": said.disagreement_text(comparison.pairs),
        "apart": apart[:NAMED_FIRST],
        "agreement": said.agreement_text(comparison.pairs),
        "more_apart": said.more_text(len(apart[NAMED_FIRST:])),
        "pairs_words": said.pairs_text(comparison.pairs),
        "outcomes": [
            OutcomeLine(
                place(outcome_sign(outcome)), counts[outcome.value], anchor(outcome.value) if group.shown else ""
            )
            for outcome, group in zip(Outcome, groups, strict=True)
        ],
        "besides": [counts[words] for words in (said.TOO_COARSE, said.SHARED, said.NOT_CALIBRATED)],
        "groups": [group for group in groups if group.shown],
        "in_words": [lines[pair.number] for pair in comparison.in_words],
        "only_surveyor": lone_groups(comparison.surveyor_only),
        "only_yard": lone_groups(comparison.yard_only),
        "example": place(_example(), EXAMPLE_WORDS),
        "example_words": EXAMPLE_WORDS,
        "steps": example(comparison.pairs),
        "keys": {"surveyor": place(mark_alone(SURVEYOR)), "yard": place(mark_alone(YARD))},
        "verdicts": _signed(place),
        "anchor": anchor,
        "coarse": said.TOO_COARSE,
        "sums": SURVEY_SUMS,
    }


def _group(outcome: Outcome, pairs: Sequence[Pair], lines: Mapping[int, Shown], place: Place) -> Group:
    same = [pair for pair in pairs if pair.outcome is outcome]
    agree = outcome is Outcome.AGREE
    return Group(
        said.heading(outcome),
        anchor(outcome.value),
        place(outcome_sign(outcome)),
        WORDS[outcome],
        tuple(lines[pair.number] for pair in same),
        agree,
        told_together(same) if agree else (),
    )


def _signed(place: Place) -> Mapping[Verdict, Markup]:
    """The signs of the verdicts; where a picture is a file it has its colour in it."""
    colours, _ = verdict_colours()
    return {verdict: place(str(figure.svg), "", colours[anchor(verdict.value)]) for verdict, figure in SIGNS.items()}


def _shown(pair: Pair, compared: Compared, place: Place) -> Shown:
    two, words = compared.drawn[pair.number], said.alternative(pair)
    drawn = strip_of_two(two.yard, two.surveyor, key=f"pair-{pair.number}", words=words) if pair.one_limit else ""
    return Shown(
        pair=pair,
        subject=capital(said.subject_text(pair)),
        outcome=said.outcome_text(pair),
        en=said.en_text(pair),
        sums=sums(pair),
        behind=(behind("Surveyor", pair.surveyor), behind("Yard", pair.yard)),
        svg=place(drawn, words),
    )


def lone_groups(lines: Sequence[Lone]) -> tuple[LoneGroup, ...]:
    """Readings of one side by check and quantity, in the order given."""
    found: dict[str, list[Lone]] = {}
    for line in lines:
        found.setdefault(f"{line.subject.quantity} ({line.subject.check})", []).append(line)
    return tuple(LoneGroup(title, said.verdicts_text(same), tuple(same)) for title, same in found.items())


EXAMPLE_WORDS = "Example, invented: surveyor 49.1 ± 1.2 %, yard 51.4 ± 0.8 %, at least 50 %"


def _example() -> str:
    """Two invented readings of a glass content, drawn as all others are."""
    from buildbook.core.decide import decide

    made = []
    for value, expanded in ((51.4, 0.8), (49.1, 1.2)):
        reading = Quantity(value, "%", expanded)
        judged = decide(reading, EXAMPLE_LIMIT)
        key = Key("", "glass")
        made.append(Finding(key, judged.verdict, reading, EXAMPLE_LIMIT, margin=judged.margin, guard=judged.guard))
    return strip_of_two(made[0], made[1], key="example", words=EXAMPLE_WORDS)
