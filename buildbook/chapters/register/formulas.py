"""The hull number: its form, what it says, and whether its dates can be true.

Neither scheme has a check digit, so a wrong number can look right; only form and consistency are tested.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from buildbook.formulas import Malformed, require_range

Scheme = Literal["ISO 10087", "33 CFR 181"]
CountryStatus = Literal["listed", "user-assigned", "unknown"]

_MONTHS = "ABCDEFGHIJKL"
_SERIAL = re.compile("[A-HJ-NPR-Z0-9]{5}")
_FIRST_TWO_DIGIT_YEAR = 84  # the form with a model year began in 1984: 84 to 99 are of that century
_USER_ASSIGNED = re.compile("AA|Q[M-Z]|X[A-Z]|ZZ")


@dataclass(frozen=True, slots=True)
class HullNumber:
    """A hull number taken apart. Years and months are numbers of the calendar; a country only in the long form.

    `year` is the year of certification or manufacture; None where no year with that last digit lies within
    one year of the model year.
    """

    text: str
    scheme: Scheme
    country: str | None
    manufacturer: str
    serial: str
    month: int
    year_digit: int
    year: int | None
    model_year: int


def parse_hull_number(text: str) -> HullNumber:
    """Take a hull number apart.

    Two forms: twelve characters, with or without "US-" before them, and two letters of a country with a
    hyphen before the twelve. The twelve are manufacturer (3 letters), serial (5 letters or digits, without
    I, O, Q), month (A is January), last digit of the year, and model year (2 digits).

    Args:
        text: the number exactly as written [text].
    Returns:
        Its parts [text and calendar numbers].
    Range:
        Either form, capitals, nothing before, between or after; two-digit model years are 1984 to 2083.
        Everything that is wrong is named at once.
    Source:
        33 CFR 181.25 and 181.27 (read); ISO 10087 (scope read; the hyphen from memory).
    Example:
        >>> number = parse_hull_number("XX-EXY00007H526")
        >>> number.country, number.manufacturer, number.serial, number.month, number.year, number.model_year
        ('XX', 'EXY', '00007', 8, 2025, 2026)
    """
    prefix, body, problems = _split(text)
    if len(body) == 12:
        problems += _body_problems(body)
    if problems:
        raise Malformed("hull number", text, tuple(problems))
    model_year = full_model_year(int(body[10:]))
    return HullNumber(
        text=text,
        scheme="33 CFR 181" if prefix in ("", "US") else "ISO 10087",
        country=prefix or None,
        manufacturer=body[:3],
        serial=body[3:8],
        month=_MONTHS.index(body[8]) + 1,
        year_digit=int(body[9]),
        year=year_near_model_year(int(body[9]), model_year),
        model_year=model_year,
    )


def _split(text: str) -> tuple[str, str, list[str]]:
    """The letters before the hyphen, the rest, and what is wrong with the whole."""
    problems = []
    if text != text.strip() or re.search(r"\s", text):
        problems.append("a hull number holds no blanks")
    if re.search("[a-z]", text):
        problems.append("a hull number is written in capitals")
    strange = sorted(set(re.findall(r"[^A-Za-z0-9\s-]", text)))
    if strange:
        problems.append(f"not allowed in a hull number: {' '.join(strange)}")
    plain = text.strip()
    prefix, hyphen, body = plain[:2], plain[2:3], plain[3:]
    if hyphen != "-":
        prefix, body = "", plain
    elif not re.fullmatch("[A-Za-z]{2}", prefix):
        problems.append(f"before the hyphen stand the two letters of a country, not {prefix}")
    if "-" in body:
        problems.append("the only hyphen stands after the two letters of the country")
    elif len(body) == 14 and not prefix and re.match("[A-Za-z]{5}", body):
        problems.append("a hyphen is missing after the two letters of the country")
    elif len(body) != 12:
        where = " after the hyphen" if prefix else ""
        problems.append(f"{len(body)} characters{where} where there should be 12")
    return prefix, body, problems


def _body_problems(body: str) -> list[str]:
    problems = []
    if not re.fullmatch("[A-Za-z]{3}", body[:3]):
        problems.append(f"characters 1 to 3 are the manufacturer's letters, not {body[:3]}")
    if not _SERIAL.fullmatch(body[3:8].upper()):
        wrong = sorted(set(re.findall("[IOQ]", body[3:8].upper())))
        named = f": {' '.join(wrong)} found" if wrong else f", not {body[3:8]}"
        problems.append(f"characters 4 to 8 are the serial, letters or digits without I, O and Q{named}")
    if body[8].upper() not in _MONTHS:
        problems.append(f"character 9 is the month, A for January to L for December, not {body[8]}")
    if not re.fullmatch("[0-9]", body[9]):
        problems.append(f"character 10 is the last digit of the year, not {body[9]}")
    if not re.fullmatch("[0-9]{2}", body[10:]):
        problems.append(f"characters 11 and 12 are the model year, not {body[10:]}")
    return problems


def full_model_year(two_digits: int) -> int:
    """The four digits of a two-digit model year.

    Args:
        two_digits: 0 to 99 [year of a century].
    Returns:
        1984 to 2083 [calendar year].
    Range:
        0 to 99.
    Source:
        The form with a model year began in August 1984 (from memory); the choice of century is common
        practice.
    Example:
        >>> full_model_year(26), full_model_year(84)
        (2026, 1984)
    """
    require_range("model year", two_digits, "", 0, 99)
    return two_digits + (1900 if two_digits >= _FIRST_TWO_DIGIT_YEAR else 2000)


def year_near_model_year(last_digit: int, model_year: int) -> int | None:
    """The year with a given last digit that lies within one year of the model year.

    Args:
        last_digit: last digit of the year of certification or manufacture, 0 to 9 [1].
        model_year: four digits [calendar year].
    Returns:
        The year, or None where date and model year do not fit [calendar year].
    Range:
        Digit 0 to 9.
    Source:
        House rule (practice): the schemes give no decade.
    Example:
        >>> year_near_model_year(9, 2030), year_near_model_year(2, 2026)
        (2029, None)
    """
    require_range("last digit of the year", last_digit, "", 0, 9)
    for year in (model_year - 1, model_year, model_year + 1):
        if year % 10 == last_digit:
            return year
    return None


def in_model_year(year: int, month: int, model_year: int) -> bool:
    """Whether a month lies in a model year: June of the year before to July of the year that names it.

    A long build can honestly begin before it: outside is a matter to explain, not an error.

    Args:
        year: four digits [calendar year].
        month: 1 to 12 [calendar month].
        model_year: four digits [calendar year].
    Returns:
        True inside the fourteen months [true or false].
    Range:
        Months 1 to 12.
    Source:
        33 CFR 175.3 (read).
    Example:
        >>> in_model_year(2025, 8, 2026), in_model_year(2025, 5, 2026), in_model_year(2026, 8, 2026)
        (True, False, False)
    """
    require_range("month", month, "", 1, 12)
    return (model_year - 1, 6) <= (year, month) <= (model_year, 7)


def country_status(code: str, listed: Collection[str]) -> CountryStatus:
    """Whether a two-letter code stands for a country, for nobody in particular, or for nothing.

    Args:
        code: two letters [text].
        listed: the codes of ISO 3166-1, from the table [text].
    Returns:
        "listed"; "user-assigned" for AA, QM to QZ, XA to XZ and ZZ, which stand for no country; or "unknown"
        [text].
    Range:
        Any text.
    Source:
        ISO 3166-1, user-assigned code elements (from memory); the list from the table handed in.
    Example:
        >>> country_status("IT", {"IT"}), country_status("XX", {"IT"}), country_status("UK", {"IT"})
        ('listed', 'user-assigned', 'unknown')
    """
    if code in listed:
        return "listed"
    return "user-assigned" if _USER_ASSIGNED.fullmatch(code) else "unknown"


def hull_number_notes(number: HullNumber, listed: Collection[str]) -> tuple[str, ...]:
    """What a well-formed hull number still leaves to explain, in words that can be printed.

    Args:
        number: the number taken apart [parts].
        listed: the codes of ISO 3166-1, from the table [text].
    Returns:
        Sentences; none where everything fits [text].
    Range:
        Any parsed number.
    Source:
        33 CFR 175.3 and 181.25 (read), ISO 3166-1 (codes from the table), house rule for the decade
        (practice).
    Example:
        >>> hull_number_notes(parse_hull_number("IT-ABC0007KI525"), {"IT"})
        ('The coded month, 2025-09, lies outside model year 2025 (2024-06 to 2025-07).',)
    """
    notes = []
    status = "listed" if number.country is None else country_status(number.country, listed)
    if status == "user-assigned":
        notes.append(f"{number.country} is a code that stands for no country: a demonstration or private number.")
    if status == "unknown":
        notes.append(f"{number.country} is not a country code of ISO 3166-1.")
    if number.year is None:
        notes.append(
            f"Date and model year do not fit: no year that ends in {number.year_digit} lies within one year of "
            f"{number.model_year}."
        )
    elif not in_model_year(number.year, number.month, number.model_year):
        notes.append(
            f"The coded month, {number.year}-{number.month:02d}, lies outside model year {number.model_year} "
            f"({number.model_year - 1}-06 to {number.model_year}-07)."
        )
    return tuple(notes)
