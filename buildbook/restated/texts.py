"""Figures in running words: each number with a unit behind it is told in US units, in exact decimal arithmetic.

How many digits: the last one is worth no more than the last one of the number as it stood, so that neighbours stay
apart. There are three at least, so that a limit hardly moves, and five at most, since only computed limits have more.
Zeros at the end go, but for numbers that had them. A whole number that comes out exact with one decimal stays exact
(3 K are 5.4 °F). Source: the rule of NIST SP 811 (2008), clause B.7 (from memory), made a little finer, because limits
are read from these words too.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType

from buildbook.core.wording import MINUS, decimals_of, fixed, thousands_apart, unit_text
from buildbook.restated.pairs import FOLDER, Pair, pair_of, pairs, printed

FEWEST_DIGITS, MOST_DIGITS = 3, 5
NUMBER = r"[−-]?(?:[0-9]{1,3}(?: [0-9]{3})+|[0-9]+)(?:\.[0-9]+)?"
BETWEEN = r" to | and | or |, then |–| - "
SIDES = (" × ", " x ", " by ")  # between the sides of something; before another quantity than a length a factor
SUMS = (" + ", " − ")
JOINS = rf"{BETWEEN}|{'|'.join(re.escape(one) for one in (*SIDES, *SUMS))}| of |, "
# Behind a number and one of these nobody can tell whether it has the unit of the next one.
UNCLEAR = re.compile(r"(?<![\w.])[0-9][0-9. ]*(?:\s*[÷/*·=<>≤≥~…]\s*|\s[:+−-]\s?| (?:in|plus|minus|times|per|over) )$")
QUOTED = re.compile(r"“[^”]*”|‘[^’]*’|\"[^\"]*\"|(?<!\w)'[^'\n]*'(?!\w)")
GROUPED = re.compile(
    r"(?<![\w.,/-])(?:[1-9][0-9]{1,2}[ \u00a0][0-9]{3}|[1-9](?:[ \u00a0][0-9]{3}){2,})(?![\w,]|[ \u00a0][0-9])"
)
# Behind these, or before those, a number of degrees is how far apart two temperatures are.
APART = re.compile(
    r"(?:\bwithin|give or take|plus or minus|±|\b(?:every|each|by|per|U|uncertainty|resolution)(?: =| of)?|"
    r"\b(?:differs?|differences?|drops?|falls?|rises?|changes?|steps?|margins?)(?: of)?(?: at (?:most|least))?)\s*$",
    re.IGNORECASE,
)
APART_BEFORE = re.compile(
    r"\s+(?:either way|apart|warmer|colder|hotter|cooler|higher|lower|more|less|(?:above|below|over|under) the)\b"
)


@dataclass(frozen=True, slots=True)
class Telling:
    """How words are told: of which check they speak, what stands for some values exactly, and what stays as received.

    `exact` are values with their uncertainty as they were told, and as they are told when only the converted value is
    rounded. `received` finds texts of the folder in the words. `difference` takes every temperature for a difference.
    """

    check: str = ""
    exact: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    received: re.Pattern[str] | None = None
    difference: bool = False

    def of(self, check: str, exact: Mapping[str, str] | None = None) -> Telling:
        """The same for the words of a check."""
        return replace(self, check=check, exact=self.exact if exact is None else exact)

    def __call__(self, text: str) -> str:
        """A text in US units; what was received, and what stands in quotes, stays.

        >>> Telling("COA-05")("10 to 35 °C, at least 3 K above the dew point; 280 µm")
        '50 to 95 °F, at least 5.4 °F above the dew point; 11.02 mil'
        >>> Telling()("mean 298 ± 22 µm on 1.5 m² of “7 mm plate”, 3, 5 and 7 mm thick")
        'mean 11.73 ± 0.87 mil on 16.1 ft² of “7 mm plate”, 0.118, 0.197 and 0.276 in thick'
        """
        if not (_figures().search(text) or _phrased().search(text) or GROUPED.search(text)):
            return text
        made, end = [], 0
        for start, stop in self._kept(text):
            made += [self._told(text[end:start]), text[start:stop]]
            end = stop
        return "".join((*made, self._told(text[end:])))

    def _kept(self, text: str) -> list[tuple[int, int]]:
        """The stretches of a text that stay as they are, in order."""
        found = [match.span() for match in QUOTED.finditer(text)]
        found += [match.span() for match in self.received.finditer(text)] if self.received else []
        kept: list[tuple[int, int]] = []
        for span in sorted(found):
            if not kept or span[0] >= kept[-1][1]:
                kept.append(span)
        return kept

    def _told(self, text: str) -> str:
        """Phrases by their own wording, whose figures stand; between them each figure."""
        made, end = [], 0
        for phrase in _phrased().finditer(text):
            told = _as(phrase[0], _phrases()[" ".join(phrase[0].lower().split())])
            made += [_figures().sub(self._figure, text[end : phrase.start()]), told]
            end = phrase.end()
        return by_comma("".join((*made, _figures().sub(self._figure, text[end:]))))

    def _figure(self, match: re.Match[str]) -> str:
        """One figure: a value with its uncertainty, a list or a range with one unit, or a number with a unit."""
        before, unit = match.string[: match.start()], " ".join(match["unit"].split())
        pair = pair_of(unit, self.check, float(max(abs(_decimal(one)) for one in re.findall(NUMBER, match["numbers"]))))
        parted = _parted(match["numbers"], before, pair) if pair is not None else None
        if pair is None or parted is None or UNCLEAR.search(before):
            return match[0]
        apart, joined = parted
        if match["within"] and re.fullmatch(NUMBER, joined) is None:
            return match[0]
        words = f" {unit_text(pair.us)}"
        told_exactly = self.exact.get(f"{before.endswith('U = ') * 'U = '}{match['numbers']} {unit}")
        if told_exactly and not match["within"]:
            return told_exactly.removeprefix("U = ")
        if match["within"]:
            given = self.exact.get(f"{joined} ± {match['within']} {unit}")
            return apart + (given or value_and_uncertainty(_decimal(joined), _decimal(match["within"]), pair) + words)
        difference = self.difference or _is_difference(before, joined, match.string[match.end() :])
        told = re.sub(NUMBER, lambda one: thousands_apart(plain(one[0], pair, difference=difference)), joined)
        return apart + told + words


def _parted(numbers: str, before: str, pair: Pair) -> tuple[str, str] | None:
    """What of joined numbers has no unit, and what has it; None where nobody can tell, so that all stay as they are.

    Two numbers with a comma between are no list: behind a word the first is the number of something (class 2, 127 mm).
    A factor stays, and a sum of temperatures is left alone, since one of them may be a difference.
    """
    last = re.search(rf"{NUMBER}$", numbers)
    joins = re.split(NUMBER, numbers)[1:-1]
    if last is None or not joins:
        return "", numbers
    if joins == [", "]:
        return (numbers[: last.start()], last[0]) if re.search(r"[^\W\d_]\s$", before) else None
    if set(joins) & set(SUMS) and pair.unit in ("degC", "K"):
        return None
    if set(joins) & set(SIDES) and pair.unit not in ("mm", "m", "cm", "um"):
        return (numbers[: last.start()], last[0]) if len(joins) == 1 else None
    return "", numbers


def _is_difference(before: str, numbers: str, behind: str) -> bool:
    """Whether degrees tell how far apart two temperatures are; `within 15 to 25 °C` tells between which one is."""
    found = APART.search(before)
    between = found is not None and found[0].strip().lower() == "within" and re.search(BETWEEN, numbers)
    return bool((found and not between) or APART_BEFORE.match(behind))


def by_comma(text: str) -> str:
    """Words with the thousands of their numbers apart by a comma, where a space kept them apart: five digits and more.

    >>> by_comma("76 059 lb, 9500 lb; −1 234 567.8 psi"), by_comma("readings 12 345 of 5")
    ('76,059 lb, 9500 lb; −1,234,567.8 psi', 'readings 12,345 of 5')
    """
    return GROUPED.sub(lambda number: re.sub(r"[ \u00a0]", ",", number[0]), text)


def value_and_uncertainty(value: Decimal, expanded: Decimal, pair: Pair) -> str:
    """A value and its uncertainty without their unit: two significant digits of the uncertainty.

    >>> value_and_uncertainty(Decimal("19.40"), Decimal("0.40"), pair_of("degC"))
    '66.92 ± 0.72'
    """
    across = float(pair.of(expanded, difference=True))
    decimals = decimals_of(across)
    return thousands_apart(f"{fixed(float(pair.of(value)), decimals)} ± {fixed(across, decimals)}")


def plain(text: str, pair: Pair, *, difference: bool = False, value: Decimal | None = None, finer: int = 0) -> str:
    """A number as written, told in the other unit; without its unit. `value` is it with all its digits, if known.

    `finer` digits more than usual are told where the usual ones would contradict a verdict.

    >>> [plain(number, pair_of("mm")) for number in ("25.4", "50", "881.575", "0.3")]
    ['1', '1.97', '34.708', '0.0118']
    """
    number = _decimal(text)
    exact = pair.of(number if value is None else value, difference=difference)
    step = max(0, -int(number.as_tuple().exponent))  # decimals as written
    if not step and exact == round(exact, 1):
        return _shortest(exact)
    last = pair.of(Decimal(1).scaleb(-step), difference=True)
    digits = FEWEST_DIGITS - 1 - exact.adjusted() if exact else 0
    decimals = max(0, min(max(math.ceil(-last.log10()), digits), digits + MOST_DIGITS - FEWEST_DIGITS)) + finer
    told = exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    padded = "." in text and text.endswith("0")
    return f"{told:f}".replace("-", MINUS) if padded and decimals > digits else _shortest(told)


def _shortest(number: Decimal) -> str:
    text = f"{number:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return ("0" if not number else text).replace("-", MINUS)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(MINUS, "-").replace(" ", ""))


def _as(word: str, told: str) -> str:
    """A word with a capital where the one had it that it stands for."""
    return told[:1].upper() + told[1:] if word[:1].isupper() else told


@cache
def _phrases() -> dict[str, str]:
    """Wordings in which a unit stands without a number in figures, or figures have to be round, by the metric one."""
    with (FOLDER / "phrases.csv").open(encoding="utf-8", newline="") as file:
        return {row["metric"].lower(): row["us"] for row in csv.DictReader(file)}


def _over_lines(words: str) -> str:
    """Words as a pattern, also where a line of the source ends between them."""
    return re.escape(words).replace("\\ ", r"\s+")


@cache
def _phrased() -> re.Pattern[str]:
    longest = sorted(_phrases(), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(_over_lines, longest))})(?![\w-])", re.IGNORECASE)


@cache
def _figures() -> re.Pattern[str]:
    units = {printed(pair.unit) for pair in pairs()}
    longest = "|".join(_over_lines(unit) for unit in sorted(units, key=lambda unit: (-len(unit), unit)))
    several = rf"{NUMBER}(?:(?:{JOINS}){NUMBER})*"
    return re.compile(
        rf"(?<![\w.,/-])(?P<numbers>{several})(?: ± (?P<within>{NUMBER}))?[ \u00a0\n](?P<unit>{longest})"
        r"(?![\w²³/·-])(?! of the diameter)"
    )


def figures_in(text: str) -> str:
    """A text without its figures.

    >>> figures_in("plate 16 mm")
    'plate '
    """
    return _figures().sub("", text)
