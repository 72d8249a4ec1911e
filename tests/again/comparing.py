"""Findings of the book set beside those that were recomputed: every difference is told by its key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from tests.again.common_rules import SAME, Key, Limit, Own

Tolerance = tuple[float, float]  # relative, of the value and of U
SAME_U = 1e-8  # of U and guard: the book takes its sensitivities from finite differences, good to some 1e-9


def differences(
    book: Mapping[Key, Mapping[str, str]],
    own: Mapping[Key, Own],
    tolerances: Mapping[str, Tolerance] = MappingProxyType({}),
    otherwise: Tolerance = (SAME, SAME_U),
) -> list[str]:
    """Everything in which the book and the recomputation differ, one line each; a finding nobody recomputed is one.

    `tolerances` are those of value and of U, by check; `otherwise` those of every other check.
    """

    def allowed(key: Key) -> Tolerance:
        return tolerances.get(key.check, otherwise)

    found = [f"{key}: not recomputed; the book says {book[key]['verdict']}" for key in book if key not in own]
    found += [f"{key}: recomputed as {own[key].verdict}, not in the book" for key in own if key not in book]
    both_have = [key for key in book if key in own]
    return found + [
        f"{key}: {said}"
        for key in both_have
        for said in _compared(book[key], own[key], tolerances.get(key.check, otherwise))
    ]


def by_key(lines: Iterable[dict[str, str]], chapter: str) -> dict[Key, dict[str, str]]:
    """The book's findings of one chapter by key."""
    return {
        Key(line["check"], line["quantity"], line["place"], line["condition"], int(line["attempt"]), line["role"]): line
        for line in lines
        if line["check"].startswith(chapter)
    }


def _compared(line: Mapping[str, str], own: Own, tolerance: Tolerance) -> Iterable[str]:
    if line["verdict"] != own.verdict:
        yield f"verdict {line['verdict']} in the book, {own.verdict} here"
    limit = own.limit or Limit()
    numbers = {
        "value": own.value.value if own.value else None,
        "U": own.value.u if own.value else None,
        "limit_low": limit.low,
        "limit_high": limit.high,
        "margin": own.margin,
        "guard": own.guard,
    }
    if own.value and own.value.u is not None:
        numbers["coverage"] = own.value.k
    scale = max((abs(n) for n in (numbers["value"], limit.low, limit.high) if n is not None), default=0.0)
    for name, number in numbers.items():
        said = line[name]
        if (said == "") != (number is None):
            yield f"{name} {said or 'none'} in the book, {number} here"
        elif number is not None and abs(float(said) - number) > _allowed(name, number, scale, tolerance):
            yield f"{name} {said} in the book, {number!r} here"
    for end, strict in (("limit_low_strict", limit.low_strict), ("limit_high_strict", limit.high_strict)):
        if own.limit and (line[end].lower() in ("true", "yes")) != strict:
            yield f"{end} {line[end]} in the book, {strict} here"
    yield from _words_compared(line, own)


def _words_compared(line: Mapping[str, str], own: Own) -> Iterable[str]:
    if own.value and own.value.unit is not None and line["unit"] != own.value.unit:
        yield f"unit {line['unit']} in the book, {own.value.unit} here"
    for words in own.seen:
        if words not in line["observed"]:
            yield f"observed {line['observed']!r} in the book, without {words!r}"
    if own.observed is not None and line["observed"] != own.observed:
        yield f"observed {line['observed']!r} in the book, {own.observed!r} here"
    if own.rows is not None:
        rows = frozenset(line["rows"].split("; ")) if line["rows"] else frozenset()
        if rows != own.rows:
            yield f"rows: only in the book {sorted(rows - own.rows)[:8]}, only here {sorted(own.rows - rows)[:8]}"


def _allowed(name: str, number: float, scale: float, tolerance: Tolerance) -> float:
    """How far two numbers may be apart. A margin is a difference, so it is a share of what was subtracted."""
    of_value, of_u = tolerance
    if name in ("U", "guard"):
        return of_u * abs(number)
    if name == "margin":
        return of_value * max(abs(number), scale)
    return (of_value if name == "value" else SAME) * abs(number)
