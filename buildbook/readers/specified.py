"""The limits and rules of hull.toml: each with who set it, in which document, or not used at all."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import partial
from typing import Any, TypeVar

from buildbook.core.check import Sayable, Span
from buildbook.core.hull import ChosenRule, SpecifiedLimit
from buildbook.core.limit import Limit, Term
from buildbook.core.source import Standing
from buildbook.core.spelling import nearest_word
from buildbook.readers.toml_reading import Reading, decimal_hint, is_number, near, shown
from buildbook.readers.units import UnitError, apply, converter

_ENDS = ("low", "high", "natural_low", "natural_high")
_FLAGS = ("low_strict", "high_strict")
_TEXTS = ("check", "quantity", "place", "condition", "unit", "words", "set_by", "document", "revision", "clause")
_LIMIT = (*_TEXTS, *_ENDS, *_FLAGS, "guard")
_RULE = ("check", "rule", "set_by", "document", "revision", "clause")
_SOURCE = ("set_by", "document", "revision")
_NO_SOURCE = "who set it, in which document and revision: a limit that nobody set is not a limit"
_EFFECT = "This entry is not used; what it would have limited is no better than inconclusive."
_DIFFERENCE = "K"  # a quantity in kelvin is a difference of temperatures
_LIKE = 0.8  # likeness of two words from which one is taken for a misspelling of the other

ANY_GUARD = Span(0.0, math.inf)

_WHOLE_GUARD = "the whole uncertainty as guard band (no `guard`, or guard = 1), or a reason in the document"
_CONVERTED = "It is converted; look whether that is meant."
_NARROW = "A value near this limit is called a pass more often; each finding under it says so."

Known = Mapping[str, Sayable]
Entry = Mapping[str, Any]
Lost = tuple[str, str]
Item = TypeVar("Item", SpecifiedLimit, ChosenRule)


class _Unusable(Exception):
    """An entry that cannot be used: which key, what was expected, what was found."""

    def __init__(self, key: str, expected: str, found: str) -> None:
        super().__init__(expected)
        self.key, self.expected, self.found = key, expected, found


def read_specification(
    content: Mapping[str, Any], known: Known, reading: Reading, guard: Span = ANY_GUARD
) -> tuple[tuple[SpecifiedLimit, ...], tuple[ChosenRule, ...], tuple[Lost, ...]]:
    """The limits and rules of a specification.

    Args:
        content: the TOML file, parsed.
        known: by check id, what a specification may say about it.
        reading: takes the faults.
        guard: the plausible range of a guard-band factor.
    Returns:
        The usable limits, in the units of `known`; the usable rules; (check or prefix, reason) for all others. An entry
        under a wrong check holds the check that it fits as well: that one misses it.
    """
    lost: list[Lost] = []
    limits = _usable(content, "limits", partial(_limit, guard=guard), known, reading, lost)
    rules = _once(_usable(content, "rules", _rule, known, reading, lost), reading, lambda it: it.check, lost)
    chosen = {rule.check: rule.rule for rule in rules}
    judged = [(path, item) for path, item in limits if _is_judged(path, item, known, chosen, reading, lost)]
    kept = _once(judged, reading, lambda it: (it.check, it.quantity, it.place, it.condition), lost)
    return kept, rules, tuple(lost)


def _is_judged(
    path: str, item: SpecifiedLimit, known: Known, chosen: Mapping[str, str], reading: Reading, lost: list[Lost]
) -> bool:
    """Whether the rule of the check judges this quantity; the limit of another one would be set and never used."""
    choices = known[item.check].chosen
    judged = chosen.get(item.check, choices[0] if choices else "")
    if item.quantity not in choices or item.quantity == judged:
        return True
    expected = f"a limit on '{judged}', or a rule '{item.quantity}' for {item.check} under [[rules]]"
    lost.append((item.check, reading.blame(f"{path}.quantity", expected, shown(item.quantity), _EFFECT)))
    return False


def _usable(
    content: Mapping[str, Any],
    name: str,
    read: Callable[[str, Entry, Known, Reading], Item],
    known: Known,
    reading: Reading,
    lost: list[Lost],
) -> list[tuple[str, Item]]:
    """The entries of one array of tables that can be used, each with its path."""
    entries = content.get(name, [])
    if not isinstance(entries, list):
        found = f"one table; write [[{name}]]" if isinstance(entries, dict) else shown(entries)
        lost.append(("", reading.blame(name, f"entries under [[{name}]]", found, _EFFECT)))
        return []
    kept = []
    for number, entry in enumerate(entries, start=1):
        path = f"{name}[{number}]"
        try:
            if not isinstance(entry, dict):
                raise _Unusable("", f"an entry under [[{name}]]", shown(entry))
            kept.append((path, read(path, entry, known, reading)))
        except _Unusable as why:
            reason = reading.blame(f"{path}.{why.key}" if why.key else path, why.expected, why.found, _EFFECT)
            lost.extend((check, reason) for check in _concerned(entry, known))
    return kept


def _once(
    items: Sequence[tuple[str, Item]], reading: Reading, key: Callable[[Item], Hashable], lost: list[Lost]
) -> tuple[Item, ...]:
    """Entries about the same thing contradict each other: none of them is used."""
    first: dict[Hashable, str] = {}
    doubled: set[Hashable] = set()
    for path, item in items:
        earlier = first.setdefault(key(item), path)
        if earlier != path:
            doubled.add(key(item))
            found = f"another one for the same thing in line {reading.where(earlier).line}"
            effect = "Neither is used; what they would have limited is no better than inconclusive."
            lost.append((item.check, reading.blame(path, "one entry for each thing", found, effect)))
    return tuple(item for _, item in items if key(item) not in doubled)


def _limit(path: str, entry: Entry, known: Known, reading: Reading, guard: Span) -> SpecifiedLimit:
    _known_keys(entry, _LIMIT)
    texts = {key: _text(entry, key) for key in _TEXTS}
    check = _check(texts["check"], known)
    quantity, own_unit = _quantity(check, texts["quantity"], known)
    ends = {key: _end(entry, key) for key in _ENDS}
    if ends["low"] is None and ends["high"] is None and not texts["words"]:
        raise _Unusable("", "`low`, `high` or both (or a requirement in `words`)", "neither")
    scale, offset = _to_own_unit(texts["unit"], own_unit, ends)
    converted = {key: None if end is None else apply(end, scale, offset) for key, end in ends.items()}
    _in_order(converted)
    _plausible(entry, converted, known[check], quantity, texts["unit"])
    flags = {key: _flag(entry, key) for key in _FLAGS}
    factor = _end(entry, "guard")
    if factor is not None and not guard.holds(factor):
        raise _Unusable("guard", f"a guard-band factor from {guard.low:g} to {guard.high:g}", shown(entry["guard"]))
    _said(path, entry, converted, own_unit, reading)
    term = _term(path, texts, texts["words"] or quantity, reading)
    limit = Limit(
        unit=own_unit,
        terms=(term,),
        guard=1.0 if factor is None else factor,
        words=texts["words"],
        **converted,  # type: ignore[arg-type]
        **flags,
    )
    return SpecifiedLimit(check, quantity, limit, texts["place"], texts["condition"])


def _said(path: str, entry: Entry, converted: Mapping[str, float | None], own_unit: str, reading: Reading) -> None:
    """Notices about what a usable entry may say and a reader should look at: a narrow guard band, another unit."""
    if entry.get("guard", 1.0) < 1.0:
        reading.notice(f"{path}.guard", _WHOLE_GUARD, shown(entry["guard"]), _NARROW, of_a_limit=True)
    for key in ("low", "high"):
        value = converted[key]
        if value is not None and value != entry[key]:
            words = f"{shown(entry[key])} {_text(entry, 'unit')}, which is {value:g} {own_unit}"
            reading.notice(f"{path}.{key}", f"a limit in {own_unit}", words, _CONVERTED)


def _rule(path: str, entry: Entry, known: Known, reading: Reading) -> ChosenRule:
    _known_keys(entry, _RULE)
    texts = {key: _text(entry, key) for key in _RULE}
    check = _check(texts["check"], known)
    rule = texts["rule"]
    if not rule:
        raise _Unusable("rule", "the rule that was chosen", "none")
    others = [name for name, other in known.items() if name != check and rule in other.rules]
    if others:
        raise _Unusable("check", f"the check that this rule belongs to, {' or '.join(others)}", shown(check))
    if not known[check].rule_in_words and rule not in known[check].rules:
        choices = ", ".join(f"'{name}'" for name in known[check].rules) or "none: this check takes no rule"
        raise _Unusable("rule", f"a rule of {check} ({choices})", shown(rule) + near(rule, known[check].rules))
    return ChosenRule(check, rule, _term(path, texts, rule, reading))


def _term(path: str, texts: Mapping[str, str], words: str, reading: Reading) -> Term:
    absent = [key for key in _SOURCE if not texts[key]]
    if absent:
        raise _Unusable("", _NO_SOURCE, f"no {', no '.join(absent)}")
    return Term(
        words,
        Standing.BUILDER,
        set_by=texts["set_by"],
        document=texts["document"],
        revision=texts["revision"],
        clause=texts["clause"],
        at=reading.where(path),
    )


def _known_keys(entry: Entry, keys: Sequence[str]) -> None:
    for key in entry:
        if key not in keys:
            raise _Unusable(key, f"one of {', '.join(keys)}", f"'{key}'{near(key, keys)}")


def _text(entry: Entry, key: str) -> str:
    """A text; whole numbers count as one (revision = 3)."""
    value = entry.get(key, "")
    if isinstance(value, int) and is_number(value):
        return str(value)
    if not isinstance(value, str):
        raise _Unusable(key, 'text between quotes ("…")', shown(value))
    return value.strip()


def _end(entry: Entry, key: str) -> float | None:
    if key not in entry:
        return None
    if not is_number(entry[key]):
        raise _Unusable(key, "a finite number without quotes", shown(entry[key]) + decimal_hint(entry[key]))
    return float(entry[key])


def _plausible(entry: Entry, ends: Mapping[str, float | None], says: Sayable, quantity: str, unit: str) -> None:
    """Only ends that a limit of this quantity may have, each in its plausible range."""
    span, own = says.spans.get(quantity), says.quantities[quantity]
    if span is None:
        return
    for key in ("low", "high"):
        value = ends[key]
        if value is None:
            continue
        if key not in span.ends:
            only = " and ".join(f"`{end}`" for end in span.ends)
            raise _Unusable(key, f"{only} alone: '{quantity}' is limited from that side", f"`{key}`")
        if not span.holds(value):
            found = shown(entry[key]) + (f" {unit}, which is {value:g} {own}" if unit not in (own, "") else "")
            meant = f" (is it in {own}?)" if unit != own and span.holds(float(entry[key])) else " (a typing error?)"
            words = f"a limit of '{quantity}' from {span.low:g} to {span.high:g} {own}"
            raise _Unusable(key, words.removesuffix(" 1"), found + meant)


def _flag(entry: Entry, key: str) -> bool:
    value = entry.get(key, False)
    if not isinstance(value, bool):
        raise _Unusable(key, "true or false", shown(value))
    return value


def _check(check: str, known: Known) -> str:
    if check not in known:
        raise _Unusable("check", "the id of a check, like 'COA-04'", shown(check) + near(check.upper(), tuple(known)))
    return check


def _quantity(check: str, quantity: str, known: Known) -> tuple[str, str]:
    """The quantity and the unit that the check judges it in."""
    quantities = known[check].quantities
    if quantity not in quantities:
        choices = ", ".join(f"'{name}'" for name in quantities) or "none: this check takes no limit"
        others = [name for name, other in known.items() if quantity in other.quantities]
        meant = f", which is one of {' and '.join(others)}" if others else near(quantity, tuple(quantities))
        raise _Unusable("quantity", f"a quantity of {check} ({choices})", shown(quantity) + meant)
    return quantity, quantities[quantity]


def _to_own_unit(unit: str, own_unit: str, ends: Mapping[str, float | None]) -> tuple[float, float]:
    """Scale and offset from the unit given to the unit of the check."""
    if not unit and all(end is None for end in ends.values()):
        return 1.0, 0.0
    if not unit:
        raise _Unusable("unit", f"the unit of the limit, like '{own_unit}'", "none")
    try:
        return converter(unit, own_unit, difference=own_unit == _DIFFERENCE)
    except UnitError as error:
        raise _Unusable("unit", f"a unit for this quantity ({error.accepted or own_unit})", error.found) from None


def _in_order(ends: Mapping[str, float | None]) -> None:
    pairs = (
        *(("low", "high"), ("natural_low", "natural_high"), ("natural_low", "low"), ("high", "natural_high")),
        *(("natural_low", "high"), ("low", "natural_high")),
    )
    for lower, upper in pairs:
        low, high = ends[lower], ends[upper]
        if low is not None and high is not None and low > high:
            raise _Unusable(lower, f"`{lower}` not above `{upper}`", f"{low:g} above {high:g}")


def _concerned(entry: Any, known: Known) -> tuple[str, ...]:
    """The checks an entry concerns: the one it names and those it fits; the beginning of the id where the rest is not
    known; empty: every check.
    """
    check = entry.get("check") if isinstance(entry, dict) else None
    if not isinstance(check, str):
        return ("",)
    if check in known and _fits(entry, known[check]):
        return (check,)
    fitting = [name for name, says in known.items() if name != check and _fits(entry, says)]
    if check in known:
        return (check, *fitting)
    prefix = check.partition("-")[0] + "-"
    prefix = prefix if any(name.startswith(prefix) for name in known) else ""
    return (prefix, *(name for name in fitting if not name.startswith(prefix)))


def _fits(entry: Entry, says: Sayable) -> bool:
    """Whether the quantity or the rule of an entry is a word of a check, or nearly."""
    quantity, rule = (str(entry.get(key, "")) for key in ("quantity", "rule"))
    words = [(quantity, tuple(says.quantities)), (rule, says.rules)]
    return any(word and nearest_word(word, choices, _LIKE) for word, choices in words)
