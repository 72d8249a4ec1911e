"""PAR-01 every item of the parts list stands in the register, as often as the list asks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildbook.chapters.parts.records import ListedPart, Part
from buildbook.chapters.parts.subjects import every, few, printed, used_numbers, with_name
from buildbook.chapters.subjects import absent, by_paper
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge_fact, unjudged
from buildbook.core.limit import Limit
from buildbook.core.wording import capital, listed

CHECK = "PAR-01"
LISTED, BEYOND = "items of the parts list in the register", "parts beyond the parts list"
NO_LIST, NO_PART = "No parts list is on record.", "No part is in the register."
AS_LISTED = "The register holds each item of the parts list, fitted as often as the list asks, no more and no less."


@dataclass(frozen=True, slots=True)
class _Item:
    """One item of the list with its rows in the register."""

    item: ListedPart
    fitted: tuple[Part, ...]
    waiting: tuple[Part, ...]

    @property
    def wrong(self) -> str:
        """What the register shows against the list; empty where nothing does."""
        asked, number = self.item.quantity, len(self.fitted)
        if number > asked:
            return f"{_named(self.item)}: {number} fitted, {asked} listed"
        if self.waiting and number < asked <= number + len(self.waiting):
            return f"{_named(self.item)}: {listed(row.part for row in self.waiting)} made, not fitted"
        return ""

    @property
    def lacking(self) -> str:
        """What the register does not show at all; empty where nothing lacks."""
        asked, number = self.item.quantity, len(self.fitted) + len(self.waiting)
        return f"{_named(self.item)}: {number} of {asked} in the register" if number < asked else ""

    @property
    def line(self) -> str:
        """The item beside its numbers."""
        waiting = f", in stock: {listed(row.part for row in self.waiting)}" if self.waiting else ""
        numbers = listed(row.part for row in self.fitted) or "none"
        return f"{_named(self.item)}: {self.item.quantity} listed, fitted: {numbers}{waiting}"


def _named(item: ListedPart) -> str:
    return f"item {item.item} {item.name}"


def in_the_register(evidence: Evidence) -> Iterable[Finding]:
    """PAR-01: for each group of the list, and for parts that the list does not ask for."""
    groups = evidence.values(ListedPart, "group")
    if not groups:
        yield absent(evidence, ListedPart, Key(CHECK, LISTED), Verdict.NO_RECORD, NO_LIST)
    for group in groups:
        key = Key(CHECK, LISTED, "", group)
        items = evidence.of(ListedPart, group=group)
        if not items:
            yield absent(evidence, ListedPart, key, Verdict.NO_RECORD, "No item of this group can be read.")
        elif not evidence.of(Part):
            yield absent(evidence, Part, key, Verdict.NO_RECORD, NO_PART, _limits(evidence, items))
        else:
            yield from _group(evidence, key, items)
    yield from _beyond(evidence)


def _limits(evidence: Evidence, items: Sequence[ListedPart]) -> Limits:
    """What the list itself asks for, by the papers that its rows name; each is told at its first row of the list."""
    first: dict[tuple[str, str | None], ListedPart] = {}
    for row in evidence.of(ListedPart):
        first.setdefault((row.drawing, row.revision), row)
    papers = dict.fromkeys((row.drawing, row.revision) for row in items)
    terms = tuple(by_paper("parts list", first[paper], "quantity") for paper in papers)
    return Limits(specified=Limit("1", terms, words=AS_LISTED))


def _group(evidence: Evidence, key: Key, items: Sequence[ListedPart]) -> Iterable[Finding]:
    parts = {row.item: evidence.of(Part, item=row.item) for row in items}
    found = [
        _Item(
            row,
            tuple(part for part in parts[row.item] if part.state == "fitted"),
            tuple(part for part in parts[row.item] if part.state == "in stock"),
        )
        for row in items
    ]
    wrong = [one.wrong for one in found if one.wrong]
    lacking = [one.lacking for one in found if one.lacking]
    about = About(
        method="the parts list against the register, item by item",
        at=(*every(items), *every(part for its in parts.values() for part in its)),
        working=tuple(one.line for one in found),
        notes=tuple(f"{capital(words)}." for words in (wrong and lacking) or ()),
    )
    if lacking and not wrong:
        lost = any(evidence.lost(Part, item=one.item.item) for one in found if one.lacking)
        verdict = Verdict.INCONCLUSIVE if lost else Verdict.NO_RECORD
        yield unjudged(key, verdict, f"{capital('; '.join(lacking))}.", about, _limits(evidence, items))
        return
    asked = sum(row.quantity for row in items)
    observed = "; ".join(wrong) or f"{len(items)} items, {asked} parts, all in the register"
    yield from judge_fact(key, not wrong, observed, _limits(evidence, items), about)


def _beyond(evidence: Evidence) -> Iterable[Finding]:
    """Parts of the register whose item the list does not have."""
    key, wanted, parts = Key(CHECK, BEYOND), printed(CHECK, BEYOND), used_numbers(evidence)
    if not parts:
        words = "No part is in the register."
        yield absent(evidence, Part, key, Verdict.NO_RECORD, words, printed(CHECK, BEYOND))
        return
    known = set(evidence.values(ListedPart, "item"))
    if not known:
        yield absent(
            evidence, ListedPart, key, Verdict.NO_RECORD, "No parts list is on record.", printed(CHECK, BEYOND)
        )
        return
    strange = [row for row in parts if row.item not in known]
    said = few(f"{with_name(evidence, row)} (item {row.item})" for row in strange)
    observed = f"not on the list: {said}" if strange else f"{len(parts)} parts, each with an item of the list"
    about = About(method="items in the register looked up in the parts list", at=every(strange or parts))
    yield from judge_fact(key, not strange, observed, wanted, about)
