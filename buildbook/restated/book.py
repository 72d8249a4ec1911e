"""A whole book in US units: one pure step before the pages. Its data, and how it was judged, stay as they are."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from typing import TypeVar

from buildbook.core.book import Beside, Book, ChapterResult, CheckResult, InstrumentLine, Lenient, Numbered
from buildbook.core.finding import Finding
from buildbook.core.finding_words import finer, reading_text, result_text, sentence_on, shares_of
from buildbook.core.her_marks import HullDrawing, PlaceLine
from buildbook.core.limit import Limit, Term
from buildbook.core.listing import Listing, Saying, Told, Withheld
from buildbook.core.matter import Matter
from buildbook.core.position import position_text
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.shown_units import ShownUnits
from buildbook.core.wording import (
    capital,
    limit_text,
    printed_numbers,
    uncertainty_text,
    unit_text,
)
from buildbook.restated.figures import chart_in, finding_in
from buildbook.restated.pairs import pair_of
from buildbook.restated.received import received
from buildbook.restated.texts import Telling, by_comma

AS_JUDGED = "as judged: "
T = TypeVar("T")


def restated(book: Book) -> Book:
    """The book as its pages tell it: itself where it is told in metric units, else every figure in US units.

    What was received stays: rows, names, the yard's own words, titles of documents, reports; and the working, which is
    arithmetic on the rows as they are.
    """
    if book.shown is ShownUnits.METRIC:
        return book
    return _Restating.of(book).book(book)


@dataclass(frozen=True, slots=True)
class _Restating:
    """The findings of a book as told, by number, and how the words of the whole book and of each check are told.

    `units` are those of the findings before. `exact` has the figures of each check, `own` those of each finding, and
    `together` the findings of a matter by the one that weighs most.
    """

    tell: Telling
    items: Mapping[str, Numbered]
    units: Mapping[str, str]
    exact: Mapping[str, dict[str, str]]
    own: Mapping[str, dict[str, str]]
    together: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, book: Book) -> _Restating:
        tell = Telling(received=received(book))
        told: dict[str, Numbered] = {}
        own: dict[str, dict[str, str]] = {}
        units: dict[str, str] = {}
        exact: dict[str, dict[str, str]] = {}
        everywhere: list[tuple[str, str]] = []
        for check in (check for chapter in book.chapters for check in chapter.checks):
            its = (*check.governing, *check.references)
            values = {item.number: _values(item, tell) for item in its}
            of_check = [value for each in values.values() for value in each]
            everywhere += of_check
            exact[check.id] = _one_way(of_check)
            words, judged = tell.of(check.id, exact[check.id]), _as_judged(its)
            own |= {number: _one_way(each) for number, each in values.items()}
            told |= {item.number: _item(item, words, judged, own[item.number]) for item in its}
            units |= {it.number: it.finding.measured.unit for it in its if it.finding.measured}
        matters = {matter.findings[0]: matter.findings for matter in book.matters}
        return cls(replace(tell, exact=_one_way(everywhere)), told, units, exact, own, matters)

    def telling(self, checks: Iterable[str], findings: Iterable[str] = ()) -> Telling:
        """How words about some checks are told, those of the first one before all others, some findings before them."""
        checks = tuple(dict.fromkeys(checks))
        its = (*(self.own.get(number, {}) for number in findings), *(self.exact.get(check, {}) for check in checks))
        return self.tell.of(checks[0] if checks else "", ChainMap(*its))

    def of_findings(self, numbers: Iterable[str]) -> Telling:
        numbers = tuple(numbers)
        return self.telling((number.partition("/")[0] for number in numbers), numbers)

    def book(self, book: Book) -> Book:
        return replace(
            book,
            identity=tuple((name, self.tell(text)) for name, text in book.identity),
            chapters=tuple(map(self.chapter, book.chapters)),
            exceptions=tuple(map(self.item, book.exceptions)),
            matters=tuple(map(self.matter, book.matters)),
            in_short=self.tell(book.in_short),
            instruments=tuple(map(self.instrument, book.instruments)),
            drawings=tuple(map(self.drawing, book.drawings)),
            references_missed=tuple(map(self.beside, book.references_missed)),
            lenient=tuple(map(self.lenient, book.lenient)),
            runs=tuple(replace(run, words=self.tell(run.words)) for run in book.runs),
            listing=self.listing(book.listing),
            release=_texts(book.release, self.tell),
        )

    def item(self, item: Numbered) -> Numbered:
        return self.items[item.number]

    def beside(self, it: Beside) -> Beside:
        return Beside(self.item(it.reference), self.item(it.counted) if it.counted else None)

    def chapter(self, chapter: ChapterResult) -> ChapterResult:
        tell = self.telling((*_first(chapter.nearest), *(check.id for check in chapter.checks)))
        return replace(
            chapter,
            in_short=tell(chapter.in_short),
            answer=tell(chapter.answer),
            checks=tuple(map(self.check, chapter.checks)),
            nearest=self.item(chapter.nearest) if chapter.nearest else None,
            lead=tell(chapter.lead),
            again=tell(chapter.again),
        )

    def check(self, check: CheckResult) -> CheckResult:
        tell = self.telling((check.id,))
        return replace(
            check,
            question=tell(check.question),
            answer=tell(check.answer),
            governing=tuple(map(self.item, check.governing)),
            references=tuple(map(self.item, check.references)),
            beside=tell(check.beside),
            nearest=self.item(check.nearest) if check.nearest else None,
            charts=tuple(chart_in(chart, tell) for chart in check.charts),
            plain=tell(check.plain),
        )

    def matter(self, matter: Matter) -> Matter:
        tell = self.of_findings(matter.findings)
        return replace(
            matter,
            what=tell(matter.what),
            became=tell(matter.became),
            also=tuple(map(tell, matter.also)),
            in_brief=tell(matter.in_brief),
        )

    def instrument(self, line: InstrumentLine) -> InstrumentLine:
        apart = replace(self.tell, difference=True)
        return replace(
            line, range=self.tell(line.range), resolution=apart(line.resolution), uncertainty=apart(line.uncertainty)
        )

    def drawing(self, drawing: HullDrawing) -> HullDrawing:
        return replace(drawing, says=self.tell(drawing.says), lines=tuple(map(self.place, drawing.lines)))

    def place(self, line: PlaceLine) -> PlaceLine:
        feet = pair_of("m")
        assert feet is not None
        position = position_text(line.x, line.y, line.z, unit=feet.us, per_metre=feet.number(1.0), decimals=1)
        return replace(
            line,
            name=self.tell(line.name),
            position=position if line.position else "",
            unplaced=self.tell(line.unplaced),
        )

    def lenient(self, it: Lenient) -> Lenient:
        tell = self.telling((it.check,))
        return replace(it, what=tell(it.what), limit=tell(it.limit), beside=tell(it.beside))

    def listing(self, sheet: Listing) -> Listing:
        return replace(
            sheet,
            exceptions=self.tell(sheet.exceptions),
            opened=tuple(replace(it, told=tuple(map(self.told, it.told))) for it in sheet.opened),
            summary=tuple(map(self.tell, sheet.summary)),
            facts=tuple(map(self.saying, sheet.facts)),
            sayings=tuple(map(self.saying, sheet.sayings)),
            withheld=tuple(map(self.unsaid, sheet.withheld)),
            validity=tuple(map(self.tell, sheet.validity)),
            cautions=tuple(map(self.tell, sheet.cautions)),
        )

    def told(self, it: Told) -> Told:
        tell = self.of_findings(self.together.get(it.finding, (it.finding,)))
        return replace(it, what=tell(it.what), short=tell(it.short), also=tuple(map(tell, it.also)))

    def unsaid(self, it: Withheld) -> Withheld:
        return _texts(it, self.telling((it.check,)))

    def saying(self, it: Saying) -> Saying:
        made = _texts(it, self.telling((it.check,), (it.finding,)))
        measured, before = self.items[it.finding].finding.measured, self.units[it.finding]
        if measured is None or measured.unit == before or it.unit != unit_text(before):
            return made
        amount, expanded = printed_numbers(measured, finer(self.items[it.finding].finding))
        has_own = it.expanded is not None
        return replace(
            made, amount=amount, expanded=expanded if has_own else None, unit=unit_text(measured.unit), unit_code=""
        )


def _texts(value: T, tell: Telling) -> T:
    """Whatever it is made of: its texts told, everything else as it is."""
    if isinstance(value, Enum):
        return value
    if isinstance(value, str):
        return tell(value)  # type: ignore[return-value]
    if isinstance(value, tuple):
        return tuple(_texts(item, tell) for item in value)  # type: ignore[return-value]
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{field.name: _texts(getattr(value, field.name), tell) for field in fields(value)})
    return value


def _values(item: Numbered, tell: Telling) -> tuple[tuple[str, str], ...]:
    """Its value with an uncertainty, and its U: as they were told, and as they are told when only they are rounded."""
    before = item.finding
    after = finding_in(before, tell.of(before.key.check))
    if not (before.measured and after.measured and before.measured.at_two):
        return ()
    if before.measured.unit == after.measured.unit:
        return ()
    return tuple(zip(_said(before, before.measured), map(by_comma, _said(after, after.measured)), strict=True))


def _one_way(values: Iterable[tuple[str, str]]) -> dict[str, str]:
    """How each value is told, by how it was told.

    Those that were alike when told, and are not once converted, are left out: they are converted as they were told.
    """
    found: dict[str, set[str]] = {}
    for before, after in values:
        found.setdefault(before, set()).add(after)
    return {before: after.pop() for before, after in found.items() if len(after) == 1}


def _said(finding: Finding, measured: Quantity) -> tuple[str, str]:
    """The value without what it is a bound of, and U."""
    return reading_text(finding, replace(measured, kind=Kind.MEASURED)), shares_of(finding).total.partition(" (")[0]


def _as_judged(items: Iterable[Numbered]) -> Mapping[Term, str]:
    """The one limit that a term made, as it was judged; terms that made several are left out."""
    made: dict[Term, set[str]] = {}
    for item in items:
        limit = item.finding.limit
        for term in limit.terms if limit and not limit.in_words and pair_of(limit.unit) else ():
            made.setdefault(term, set()).add(item.limit)
    return {term: limits.pop() for term, limits in made.items() if len(limits) == 1}


def _with_judged(before: Limit | None, after: Limit | None, judged: Mapping[Term, str]) -> Limit | None:
    """A limit whose terms say how it was judged, so that a surveyor finds the figure of the source."""
    if before is None or after is None:
        return after
    both = zip(before.terms, after.terms, strict=True)
    terms = (
        replace(new, words=f"{new.words.removesuffix('.')}. {capital(AS_JUDGED)}{by_comma(judged[old])}.")
        if old in judged
        else new
        for old, new in both
    )
    return replace(after, terms=tuple(terms))


def _item(item: Numbered, tell: Telling, judged: Mapping[Term, str], own: Mapping[str, str]) -> Numbered:
    tell = replace(tell, exact={**tell.exact, **own})
    finding = finding_in(item.finding, tell)
    finding = replace(finding, limit=_with_judged(item.finding.limit, finding.limit, judged))
    subject = tell(item.subject)
    limit = limit_text(finding.limit)
    metric = (
        finding.limit is not None and item.finding.limit is not None and finding.limit.unit != item.finding.limit.unit
    )
    return replace(
        item,
        finding=finding,
        subject=subject,
        value=by_comma(result_text(finding)),
        limit=by_comma(limit),
        source=f"{item.source}; {AS_JUDGED}{by_comma(item.limit)}" if metric and limit != item.limit else item.source,
        sentence=by_comma(sentence_on(finding, subject)),
        told=tuple(map(tell, item.told)),
        uncertainty=by_comma(uncertainty_text(finding.measured, finer(finding))),
    )


def _first(item: Numbered | None) -> tuple[str, ...]:
    return (item.finding.key.check,) if item else ()
