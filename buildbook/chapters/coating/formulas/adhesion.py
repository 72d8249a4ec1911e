"""Does it stick? Pull-off stress, what tore, and the cross-cut scales."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from buildbook.formulas import Malformed, OutOfRange, require_range

Kind = Literal["cohesive", "adhesive", "glue"]

_GLUE = ("-/Y", "Y", "Y/Z")
_PIECE = re.compile(r"(?P<share>\d+)\s*%\s*(?P<letters>[A-Z-](?:/[A-Z])?)")


@dataclass(frozen=True, slots=True)
class FractureShare:
    """One kind of fracture and the share of the area it took [%]."""

    letters: str
    share: float
    kind: Kind


@dataclass(frozen=True, slots=True)
class FractureSummary:
    """Shares of the torn area [%]: inside a layer, between layers, and in or at the glue. They add to 100."""

    cohesive: float
    adhesive: float
    glue: float


@dataclass(frozen=True, slots=True)
class ClassRow:
    """One cross-cut class: the share of the lattice that came away, above one end and up to the other [%]."""

    rating: int
    detached_above: float
    detached_up_to: float


@dataclass(frozen=True, slots=True)
class SpacingRow:
    """One row of a table of cuts: film above and up to [um], substrate, spacing [mm] and cuts in each direction.

    `substrate` is "hard", "soft" or "any".
    """

    film_above: float
    film_up_to: float
    substrate: str
    spacing: float
    cuts: int


def pull_off_stress(force: float, diameter: float) -> float:
    """Tensile stress under a round dolly at fracture.

    Args:
        force: force at fracture [N].
        diameter: diameter of the dolly [mm].
    Returns:
        Stress over the face of the dolly [MPa].
    Range:
        Force of zero or more; diameter above zero.
    Source:
        ISO 4624:2016 (from memory): force divided by the area of the test cylinder.
    Example:
        >>> round(pull_off_stress(1570.8, 20.0), 2)
        5.0
    """
    require_range("force", force, "N", 0.0)
    require_range("diameter", diameter, "mm", 0.0, above=True)
    return force / (math.pi * diameter**2 / 4.0)


def parse_fracture(text: str) -> tuple[FractureShare, ...]:
    """Read a fracture line such as "30 % B, 70 % B/C" into shares.

    A is the substrate, B the first coat, C the second and so on; X/Y between two of them means that they
    parted. Y is the glue, Z the dolly, "-/Y" the face between last coat and glue.

    Args:
        text: shares of area and letters, separated by commas or semicolons [text].
    Returns:
        The shares in the order written, adding to 100 [%].
    Range:
        Shares above zero in steps of 10 %, each kind once, adding to 100; two letters only where the layers
        touch.
    Source:
        ISO 4624, symbols for the nature of the failure (second-hand: a question-and-answer page that lists
        them); steps of 10 % (from memory).
    Example:
        >>> [(part.letters, part.share, part.kind) for part in parse_fracture("30 % B, 70 % B/C")]
        [('B', 30.0, 'cohesive'), ('B/C', 70.0, 'adhesive')]
    """
    plain = text.replace("–", "-").replace("−", "-")
    pieces = [piece.strip() for piece in re.split("[,;]", plain)]
    matched = [(piece, _PIECE.fullmatch(piece)) for piece in pieces]
    problems = [f"“{piece}” is not a share and letters such as 30 % B/C" for piece, match in matched if match is None]
    parts = [(match["letters"], float(match["share"])) for _, match in matched if match]
    problems += _letter_problems([letters for letters, _ in parts])
    for letters, share in parts:
        if share <= 0 or share % 10:
            problems.append(f"the share of {letters} is {share:g} %, not a step of 10 %")
    total = math.fsum(share for _, share in parts)
    if not problems and total != 100.0:
        problems.append(f"the shares add to {total:g} %, not to 100 %")
    if problems:
        raise Malformed("fracture", text, tuple(problems))
    return tuple(FractureShare(letters, share, _kind(letters)) for letters, share in parts)


def _letter_problems(found: Sequence[str]) -> list[str]:
    problems = [f"{letters} stands there twice" for letters in sorted(set(found)) if found.count(letters) > 1]
    for letters in found:
        if letters in _GLUE:
            continue
        first, _, second = letters.partition("/")
        if not ("A" <= first <= "X" and (not second or (second <= "X" and ord(second) == ord(first) + 1))):
            problems.append(f"{letters} names no layer, or two that do not touch")
    return problems


def _kind(letters: str) -> Kind:
    if letters in _GLUE:
        return "glue"
    return "adhesive" if "/" in letters else "cohesive"


def fracture_summary(shares: Sequence[FractureShare]) -> FractureSummary:
    """Shares of the area that tore inside a layer, between layers, and in or at the glue.

    Args:
        shares: the shares of one test piece, as read from its fracture line [%].
    Returns:
        Cohesive, adhesive and glue shares, adding to 100 [%].
    Range:
        Shares that add to 100.
    Source:
        ISO 4624, symbols for the nature of the failure (second-hand: a question-and-answer page that lists
        them).
    Example:
        >>> fracture_summary(parse_fracture("30 % B, 50 % B/C, 20 % -/Y"))
        FractureSummary(cohesive=30.0, adhesive=50.0, glue=20.0)
    """
    total = {"cohesive": 0.0, "adhesive": 0.0, "glue": 0.0}
    for part in shares:
        total[part.kind] += part.share
    if abs(math.fsum(total.values()) - 100.0) > 1e-9:
        raise OutOfRange("sum of shares", math.fsum(total.values()), "100 %")
    return FractureSummary(**total)


def glue_share(shares: Sequence[FractureShare]) -> float:
    """Share of the area that failed in or at the glue: where it governs, the stress is a lower bound only.

    Args:
        shares: the shares of one test piece, as read from its fracture line [%].
    Returns:
        Share of -/Y, Y and Y/Z together [%].
    Range:
        Shares that add to 100.
    Source:
        ISO 4624, symbols for the nature of the failure (second-hand: a question-and-answer page that lists
        them).
    Example:
        >>> glue_share(parse_fracture("60 % Y, 10 % Y/Z, 30 % C"))
        70.0
    """
    return fracture_summary(shares).glue


def cross_cut_rating(detached: float, rows: Sequence[ClassRow]) -> int:
    """Cross-cut class from the share of the lattice that came away.

    Args:
        detached: share of the lattice that came away [%].
        rows: the printed classes [table].
    Returns:
        Class of the table, 0 best for ISO 2409 [1].
    Range:
        0 to 100 %, as far as the table goes.
    Source:
        ISO 2409, classification of test results (second-hand: a university laboratory's table).
    Example:
        >>> cross_cut_rating(5.0, [ClassRow(0, 0, 0), ClassRow(1, 0, 5), ClassRow(2, 5, 15)])
        1
    """
    require_range("detached share", detached, "%", 0.0, 100.0)
    for row in rows:
        if row.detached_above < detached <= row.detached_up_to or detached == row.detached_up_to:
            return row.rating
    raise OutOfRange("detached share", detached, "shares that the table of classes lists")


def astm_from_iso_rating(rating: int) -> int:
    """ASTM D3359 method B number for an ISO 2409 class: the scales run opposite ways.

    At the edge of a class (5, 15, 35, 65 % detached) the two standards may differ by one.

    Args:
        rating: ISO 2409 class, 0 best [1].
    Returns:
        ASTM D3359 B number, 5 best; printed with a B, "5B" [1].
    Range:
        Whole numbers 0 to 5.
    Source:
        ISO 2409 and ASTM D3359, tables of classes (second-hand: a university laboratory's table).
    Example:
        >>> astm_from_iso_rating(0)
        5
    """
    return _opposite(rating)


def iso_from_astm_rating(rating: int) -> int:
    """ISO 2409 class for an ASTM D3359 method B number: the scales run opposite ways.

    At the edge of a class (5, 15, 35, 65 % detached) the two standards may differ by one.

    Args:
        rating: ASTM D3359 B number, 5 best [1].
    Returns:
        ISO 2409 class, 0 best [1].
    Range:
        Whole numbers 0 to 5.
    Source:
        ISO 2409 and ASTM D3359, tables of classes (second-hand: a university laboratory's table).
    Example:
        >>> iso_from_astm_rating(4)
        1
    """
    return _opposite(rating)


def _opposite(rating: int) -> int:
    if rating not in range(6):
        raise OutOfRange("class", rating, "whole numbers 0 to 5")
    return 5 - rating


def cut_spacing(film: float, substrate: Literal["hard", "soft"], rows: Sequence[SpacingRow]) -> SpacingRow:
    """The row of a table of cuts that a film calls for; plastic counts as soft.

    Args:
        film: thickness of the film to be cut through [um].
        substrate: hard (metal) or soft (wood, plaster, plastic) [text].
        rows: the printed table of one standard [table].
    Returns:
        Row with the spacing [mm] and number of cuts [count].
    Range:
        Films above zero, as far as the table goes; thicker ones need an X-cut or a pull-off test.
    Source:
        ISO 2409 and ASTM D3359, spacing of cuts (second-hand: pages of two makers of testers).
    Example:
        >>> cut_spacing(110.0, "soft", [SpacingRow(60, 120, "any", 2.0, 6)]).spacing
        2.0
    """
    require_range("film", film, "um", 0.0, above=True)
    for row in rows:
        if row.film_above < film <= row.film_up_to and row.substrate in (substrate, "any"):
            return row
    thickest = max((row.film_up_to for row in rows), default=0.0)
    raise OutOfRange("film", film, f"films that the table of cuts lists, up to {thickest:g} um")
