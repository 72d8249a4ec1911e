"""The drawings of her with their marks: one of all places for the first page, those of each chapter for its page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.chapters.register.plan import CHECK as PLAN_CHECK
from buildbook.chapters.register.reports import CHECK as REPORT_CHECK
from buildbook.chapters.register.reports import REPORTED
from buildbook.chapters.shared_records import Nonconformity, Place, Planned
from buildbook.core.book import Numbered
from buildbook.core.chapter import Chapter
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Key, Role, Verdict
from buildbook.core.her_marks import HullDrawing, PlaceLine, RowsThere
from buildbook.core.hull import Hull, encloses
from buildbook.core.lists import in_a_row
from buildbook.core.matter import Matter, State, is_past
from buildbook.core.record import Record
from buildbook.core.wording import listed
from buildbook.positions import Marks, Thing, named_places

MOST = 60  # marks on one drawing, so that their numbers stay legible on a phone; more are parted
EVERYWHERE = "Places on her"
OF_THE_CHAPTER = "Places this chapter speaks of"


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands at each thing, by its number: governing findings, and the numbers of the exceptions there.

    `found` gives of each finding how its matter stands (None where it is in none) and its verdict.
    """

    found: Mapping[int, Sequence[tuple[State | None, Verdict]]]
    exceptions: Mapping[int, Sequence[str]]

    def today(self, number: int) -> list[Verdict]:
        """The verdicts of what is not past."""
        return [verdict for state, verdict in self.found.get(number, ()) if not is_past(state)]

    def put_right(self, number: int) -> bool:
        """Whether a limit was missed there and that was put right."""
        return any(state is State.PUT_RIGHT and verdict.missed for state, verdict in self.found.get(number, ()))

    def accepted(self, number: int) -> bool:
        """Whether a miss, or what only a report tells, was accepted or settled otherwise, and nothing is open."""
        its = [(state, verdict) for state, verdict in self.found.get(number, ()) if state is None or state.stands]
        settled = [state in (State.ACCEPTED, State.SETTLED) for state, _ in its]
        return any(settled) and not any(verdict.missed for (_, verdict), so in zip(its, settled, strict=True) if not so)


@dataclass(frozen=True, slots=True)
class Found:
    """What the drawings are made of: all findings, the exceptions among them, and what was put right since."""

    evidence: Evidence
    given: Mapping[Key, Numbered]
    exceptions: Sequence[Numbered]
    matters: Sequence[Matter]
    marks: Marks


def drawings(found: Found, chapters: Iterable[Chapter]) -> tuple[HullDrawing, ...]:
    """Every drawing of the book: the first page's first, then each chapter's places and its positions by table."""
    hull = found.evidence.hull
    everywhere = _standing(found, None)
    lines = [_line(it, everywhere, {}) for it in found.marks.things if it.kind is Place]
    made = _drawn(hull, "where", "", EVERYWHERE, lines)
    seen: set[type[Record]] = {Place}
    for chapter in chapters:
        if Place in chapter.tables:
            continue  # its places are those of the first page
        made += _of_chapter(found, chapter, seen)
        seen |= set(chapter.tables)
    return tuple(made)


def _of_chapter(found: Found, chapter: Chapter, seen: set[type[Record]]) -> list[HullDrawing]:
    """The places a chapter speaks of, then the positions of each of its tables that no earlier chapter showed."""
    hull, things = found.evidence.hull, found.marks.things
    here = _standing(found, frozenset(check.id for check in chapter.checks))
    there = _rows_there(chapter, found.marks)
    places = [it for it in things if it.kind is Place and (it.number in there or it.number in here.found)]
    lines = [_line(it, here, there) for it in places]
    made = _drawn(hull, f"{chapter.key}-places", chapter.key, OF_THE_CHAPTER, lines)
    for kind in chapter.tables:
        lines = [_line(it, here, there) for it in things if it.kind is kind and kind not in seen]
        made += _drawn(hull, _key(kind), chapter.key, kind.table.title, lines, kind.table.file)
    return made


def _key(kind: type[Record]) -> str:
    return kind.table.file.removesuffix(".csv").replace("/", "-").replace("_", "-")


def _standing(found: Found, checks: frozenset[str] | None) -> Standing:
    """What stands at each thing by the findings of some checks, of all where none are named.

    A line of the plan and a report count with the check they are about, so that a place looks alike in every drawing.
    """
    states = {number: matter.state for matter in found.matters for number in matter.findings}
    numbers, about = _numbers_of(found), _checks_of(found.evidence)
    stands: dict[int, list[tuple[State | None, Verdict]]] = {}
    told: dict[int, list[str]] = {}
    for key, item in found.given.items():
        if key.role is Role.GOVERNING and (checks is None or about(key) in checks):
            for number in numbers(item):
                stands.setdefault(number, []).append((states.get(item.number), item.finding.verdict))
    for item in found.exceptions:
        if checks is None or about(item.finding.key) in checks:
            for number in numbers(item):
                told.setdefault(number, []).append(item.number)
    return Standing(stands, told)


def _checks_of(evidence: Evidence) -> Callable[[Key], str]:
    """The check that a finding is about: its own; of one about the plan or a report, the check that its row names."""
    named = {row.line: row.check for row in evidence.of(Planned)}
    for row in evidence.of(Nonconformity):
        named[row.report] = named.get(row.place or "") or row.check or ""

    def check(key: Key) -> str:
        if key.check == REPORT_CHECK and key.quantity == REPORTED:
            return key.condition.partition(",")[0]
        return (named.get(key.place) if key.check in (PLAN_CHECK, REPORT_CHECK) else None) or key.check

    return check


def _numbers_of(found: Found) -> Callable[[Numbered], list[int]]:
    """Where a finding stands: at its place, and at a position of its own if it rests on the rows there alone."""
    marks, named = found.marks, named_places(found.evidence)
    at = {(row.file, row.line): thing.number for thing in marks.things if thing.kind is not Place for row in thing.rows}

    def numbers(item: Numbered) -> list[int]:
        place = item.finding.key.place
        number = marks.by_place.get(named.get(place) or place)
        own = {at[where.file, where.line] for where in item.finding.at if (where.file, where.line) in at}
        return [*([number] if number is not None else []), *(own if len(own) == 1 else ())]

    return numbers


def _rows_there(chapter: Chapter, marks: Marks) -> dict[int, tuple[RowsThere, ...]]:
    """The rows of a chapter's tables by their numbers."""
    files = frozenset(kind.table.file for kind in chapter.tables)
    lines: dict[tuple[int, str], list[int]] = {}
    for (file, line), numbers in marks.by_row.items():
        if file in files and line is not None:
            for number in numbers:
                lines.setdefault((number, file), []).append(line)
    found: dict[int, list[RowsThere]] = {}
    for (number, file), its in sorted(lines.items()):
        found.setdefault(number, []).append(RowsThere(file, min(its), len(its)))
    return {number: tuple(tables) for number, tables in found.items()}


def _line(thing: Thing, standing: Standing, there: Mapping[int, tuple[RowsThere, ...]]) -> PlaceLine:
    own = thing.rows[0]
    return PlaceLine(
        number=thing.number,
        place=thing.place,
        name=thing.name,
        x=thing.x,
        y=thing.y,
        z=thing.z,
        verdict=_worst(standing.today(thing.number)),
        findings=tuple(standing.exceptions.get(thing.number, ())),
        at=own,
        position=thing.position,
        unplaced=thing.unplaced,
        put_right=standing.put_right(thing.number),
        accepted=standing.accepted(thing.number),
        rows=there.get(thing.number, (RowsThere(own.file, own.line or 1, len(thing.rows)),)),
    )


def _worst(verdicts: Sequence[Verdict]) -> Verdict | None:
    """The worst of some verdicts; of those without a rank a pass before what nobody judged."""
    return max(verdicts, key=lambda verdict: (verdict.rank, verdict.judged), default=None)


def _drawn(
    hull: Hull, key: str, chapter: str, title: str, lines: Sequence[PlaceLine], file: str = ""
) -> list[HullDrawing]:
    """One drawing, or several where it would have too many marks; none without anything to list."""
    pieces = [tuple(lines[start : start + MOST]) for start in range(0, len(lines), MOST)]
    if len(pieces) == 1:
        return [HullDrawing(key, chapter, title, says(hull, pieces[0]), file, pieces[0])]
    return [
        HullDrawing(f"{key}-{part}", chapter, f"{title}, part {part} of {len(pieces)}", says(hull, piece), file, piece)
        for part, piece in enumerate(pieces, start=1)
    ]


def says(hull: Hull, lines: Sequence[PlaceLine]) -> str:
    """What a drawing shows, in words for somebody who does not see it: how many marks, which are missed, what is not.

    >>> says(Hull(), ())
    'She is not drawn: neither an outline nor her length is on record. The places are listed here.'
    """
    form = _form(hull)
    if not form:
        return "She is not drawn: neither an outline nor her length is on record. The places are listed here."
    marked = [line for line in lines if not line.unplaced]
    missed = [line for line in lines if line.accepted or (line.verdict is not None and line.verdict.missed)]
    open_ones = [line for line in lines if line.verdict is not None and line.verdict.rank == Verdict.INCONCLUSIVE.rank]
    unmarked = [line for line in lines if line.unplaced]
    count = f"{len(marked)} numbered {'mark' if len(marked) == 1 else 'marks'}"
    told = [f"Profile and plan to scale, {form}, with {count}."]
    mended = [line for line in marked if line.put_right]
    told += [_missed(missed, judged=any(line.verdict is not None for line in lines), mended=bool(mended))]
    told += [f"Missed at first and put right: {_numbers(mended)}."] if mended else []
    told += [f"Not measured or not decided: {_numbers(open_ones)}."] if open_ones else []
    told += [f"Only in the list, without a mark: {_numbers(unmarked)}."] if unmarked else []
    return " ".join(told)


def _missed(missed: Sequence[PlaceLine], *, judged: bool, mended: bool) -> str:
    open_ones, accepted = ([line for line in missed if line.accepted is so] for so in (False, True))
    told = [f"Missed and open today: {_numbers(open_ones)}."] if open_ones else []
    told += [f"Missed, and accepted or settled otherwise: {_numbers(accepted)}."] if accepted else []
    if told:
        return " ".join(told)
    if not judged:
        return "None of them was judged by itself."
    return "Every limit that was missed here was put right." if mended else "No limit was missed here."


def _form(hull: Hull) -> str:
    """From what she is drawn; empty where nothing allows it."""
    own = [name for name, outline in (("profile", hull.outline), ("plan", hull.plan_outline)) if encloses(outline)]
    plain = "a plain form from her main dimensions (schematic)"
    if len(own) == 2:
        return "from her own outline"
    if hull.length_hull is None:
        return f"the {own[0]} from her own outline, the other view not on record" if own else ""
    return f"the {own[0]} from her own outline, the other view {plain}" if own else plain


def _numbers(lines: Iterable[PlaceLine]) -> str:
    return listed(runs(sorted(line.number for line in lines)))


def runs(numbers: Sequence[int]) -> tuple[str, ...]:
    """Numbers in order as words; three or more in a row as their first and last.

    >>> runs((2, 3, 5, 6, 7, 9))
    ('2', '3', '5 to 7', '9')
    """
    told = [
        [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run] for run in in_a_row(numbers)
    ]
    return tuple(words for some in told for words in some)
