"""Rows that do not fit the others of their survey: another layer, scale, light or angle, most likely a typing error.

Such a row is still a reading. It is named as a fault and judged with the others, and the check that uses it says that
nothing better than inconclusive can be told. So a slip in a word never hides a number that failed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from itertools import groupby
from statistics import fmean
from typing import Any

from buildbook.chapters.coating.formulas.adhesion import parse_fracture
from buildbook.chapters.coating.records import Appearance, Colour, CrossCut, FilmReading, Gloss, PullOff, Window
from buildbook.chapters.shared_records import Moisture
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.record import Record
from buildbook.core.spelling import did_you_mean
from buildbook.core.wording import listed
from buildbook.formulas import Malformed
from buildbook.sources import table

KEPT = "The reading is judged with the others, and nothing better than inconclusive is said of them."
NOTHING = "nothing"
WHITE = 100.0  # L* of the perfect white, by the definition of CIELAB
LEFT_OUT = "The reading is left out where others remain, and nothing better than inconclusive is said of them."
FRACTURE_KEPT = "The strength is judged without it, and nothing better than inconclusive is said of it."
WINDOW_KEPT = (
    "The shortest and the longest time hold; that abrading helped a late coat is never better than inconclusive."
)
FEWEST_AROUND = 3  # readings at one angle that make a single one at another look like a slip

# Table, the columns that make a survey, the column whose word is one for all of it, the reading it belongs to.
ALIKE: tuple[tuple[type[Record], tuple[str, ...], str, str], ...] = (
    (FilmReading, ("zone", "attempt"), "system", "thickness"),
    (CrossCut, ("zone", "attempt"), "scale", "rating"),
    (Moisture, ("place",), "meter_scale", "reading"),
    (Colour, ("zone",), "illuminant", "lightness"),
    (Colour, ("zone",), "geometry", "lightness"),
    (Appearance, ("zone", "attempt"), "image_method", "image"),
    (Appearance, ("zone", "attempt"), "peel_scale", "orange_peel"),
)


def words_of(rows: Iterable[Any], column: str) -> tuple[str, ...]:
    """The different words in a column, those of most rows first; an empty cell counts as `nothing`."""
    counted = Counter(getattr(row, column) or NOTHING for row in rows)
    return tuple(word for word, _ in sorted(counted.items(), key=lambda pair: (pair[0] == NOTHING, -pair[1])))


def unlike_words(evidence: Evidence) -> Iterable[Fault]:
    """Every row of a survey whose word differs from that of most rows."""
    for kind, survey, column, reading in ALIKE:
        for rows in _surveys([row for row in evidence.of(kind) if getattr(row, reading) is not None], survey):
            usual, *others = words_of(rows, column)
            if not others and usual != NOTHING:
                continue
            for row in rows:
                word = getattr(row, column) or NOTHING
                if word != usual or word == NOTHING:
                    where = listed(f"{name} {getattr(row, name)}" for name in survey)
                    wanted = f"'{usual}'" if usual != NOTHING else "a word"
                    expected = f"{wanted}, one for all readings of {where}"
                    found = word if word == NOTHING else f"'{word}'"
                    yield Fault(row.cell(column), expected, found, KEPT, row_kept=True)


@cache
def colour_words(column: str) -> tuple[str, ...]:
    """The illuminants with their observer, or the geometries, that this book knows.

    >>> "D65/10" in colour_words("illuminant"), "d/8 included" in colour_words("geometry")
    (True, True)
    """
    return tuple(row["word"] for row in table("colour_conditions") if row["column"] == column)


def beyond_white(row: Colour) -> bool:
    """Whether a reading is lighter than white, where the formula of colour differences ends."""
    return row.lightness > WHITE


def doubtful_colours(evidence: Evidence) -> Iterable[Fault]:
    """Every reading of colour whose light or geometry is not one of the known words, or that is lighter than white."""
    for row in evidence.of(Colour):
        if beyond_white(row):
            found = f"{row.lightness:g} (is this a typing error?)"
            yield Fault(row.cell("lightness"), f"L* of at most {WHITE:g}", found, LEFT_OUT, row_kept=True)
        for column in ("illuminant", "geometry"):
            word, known = getattr(row, column), colour_words(column)
            usual = words_of(evidence.of(Colour, zone=row.zone), column)[0]
            if word not in known and word == usual:  # else it is told as unlike the others
                found = f"'{word}'{did_you_mean(word, known)}"
                yield Fault(row.cell(column), listed(known, "or"), found, KEPT, row_kept=True)


def unreadable_fractures(evidence: Evidence) -> Iterable[Fault]:
    """Every pull-off test whose fracture cannot be read."""
    for row in evidence.of(PullOff):
        try:
            parse_fracture(row.fracture)
        except Malformed as reason:
            expected = "shares of the area and letters, adding to 100 %, such as 30 % B, 70 % B/C"
            found = f"'{row.fracture}': {'; '.join(reason.problems)}"
            yield Fault(row.cell("fracture"), expected, found, FRACTURE_KEPT, row_kept=True)


def unclear_reopening(evidence: Evidence) -> Iterable[Fault]:
    """Every line of the window table whose grade for abrading a late coat cannot be made out.

    Both times of such a line are still the data sheet's: a slip in the grade must not hide a coat that came too late.
    """
    for row in evidence.of(Window):
        if row.reopening_unclear and row.reopening_grit is None:
            expected = "the grade the sheet asks for beside every `reopened_by`, or any"
            yield Fault(row.cell("reopening_grit"), expected, "an empty cell", WINDOW_KEPT, row_kept=True)
        elif row.reopening_unclear and row.reopened_by is None:
            found = f"an empty cell beside '{row.reopening_grit}'"
            yield Fault(row.cell("reopened_by"), "abrading beside every grade", found, WINDOW_KEPT, row_kept=True)
        elif row.reopening_unclear:
            expected = "a grade, the coarsest and the finest (P320 to P400), or any"
            yield Fault(row.cell("reopening_grit"), expected, f"'{row.reopening_grit}'", WINDOW_KEPT, row_kept=True)


def odd_angles(rows: Sequence[Gloss]) -> tuple[Gloss, ...]:
    """The readings of one gloss survey that most likely carry the wrong angle.

    One that stands alone at its angle, or between readings at another one; or, of two series, the reading where they
    meet, if by its value it belongs to the shorter one and would make both equally long.

    >>> odd_angles([])
    ()
    """
    alone, runs = _alone(rows, "angle")
    if not alone and len(runs) == 2 and abs(len(runs[0]) - len(runs[1])) == 2:
        first, second = runs
        longer, shorter = (first, second) if len(first) > len(second) else (second, first)
        meeting = longer[-1] if longer is first else longer[0]
        rest = [row.gloss for row in longer if row is not meeting]
        if abs(meeting.gloss - fmean(row.gloss for row in shorter)) < abs(meeting.gloss - fmean(rest)):
            alone.append(meeting)
    return tuple(alone)


def odd_roles(rows: Sequence[Colour]) -> tuple[Colour, ...]:
    """The readings of colour that stand alone, as master panel or as surface, between readings of the other.

    >>> odd_roles([])
    ()
    """
    alone, runs = _alone(rows, "role")
    return tuple(row for row in alone if sum(run[0].role == row.role for run in runs) > 1)


def _alone(rows: Sequence[Any], column: str) -> tuple[list[Any], list[tuple[Any, ...]]]:
    """Rows that stand alone with their word while others come in series, and the series in the order of numbers."""
    ordered = sorted(rows, key=lambda row: row.number)
    runs = [tuple(run) for _, run in groupby(ordered, key=lambda row: getattr(row, column))]
    alone = []
    for run in runs:
        others = [other for other in runs if other is not run]
        same = [other for other in others if getattr(other[0], column) == getattr(run[0], column)]
        longest = max((len(other) for other in others), default=0)
        if len(run) == 1 and longest >= FEWEST_AROUND and all(len(other) > 1 for other in same):
            alone.append(run[0])
    return alone, runs


def colour_of_another_role(evidence: Evidence) -> Iterable[Fault]:
    """Every reading of colour that is most likely one of the other side."""
    for rows in _surveys(evidence.of(Colour), ("zone",)):
        for row in odd_roles(rows):
            other = "sample" if row.role == "reference" else "reference"
            found = f"{row.role}, between readings of the other"
            yield Fault(row.cell("role"), f"{other}, as the readings beside it", found, KEPT, row_kept=True)


def gloss_at_another_angle(evidence: Evidence) -> Iterable[Fault]:
    """Every gloss reading that most likely carries the wrong angle."""
    for rows in _surveys(evidence.of(Gloss), ("zone", "attempt")):
        for row in odd_angles(rows):
            others = listed((f"{angle}°" for angle in sorted({r.angle for r in rows if r.angle != row.angle})), "or")
            expected = f"the angle of the readings beside it ({others})"
            yield Fault(row.cell("angle"), expected, f"{row.angle}°, not in its series", KEPT, row_kept=True)


def _surveys(rows: Iterable[Record], columns: Sequence[str]) -> list[list[Any]]:
    found: dict[tuple[Any, ...], list[Any]] = {}
    for row in rows:
        found.setdefault(tuple(getattr(row, name) for name in columns), []).append(row)
    return list(found.values())
