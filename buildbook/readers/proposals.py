"""What a yard's heads and words may stand for: suggestions for columns.toml, of which nothing is ever applied."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from buildbook.core.record import Record, about, head
from buildbook.readers.alike_heads import Likeness, likeness
from buildbook.readers.cells import readable
from buildbook.readers.choices import Choices, choices_of
from buildbook.readers.columns import as_column
from buildbook.readers.table import Head, RawTable, folded, one_spelling
from buildbook.readers.toml_reading import quoted
from buildbook.readers.trade_terms import readings

T = TypeVar("T")
LIKE_ENOUGH = 0.64  # of two names, so that one is suggested for the other
NEAR_WORD = 0.75  # likeness of two words of a coded column
SPELLINGS = 2  # of one word, so that a column may still be a coded one
TRIED = 200  # cells of a column that are looked at
READABLE = 0.8  # of the cells that must be readable as the column
MOST_WORDS = 12  # words of one column that are told


@dataclass(frozen=True, slots=True)
class Proposal:
    """One line for columns.toml: a head, or a word of `column`, and what it may stand for; empty where nobody can tell.

    `why` says what speaks for it, as the remark behind the line. `line` is where it stands in the file.
    """

    table: str
    line: int
    theirs: str
    ours: str
    why: str
    column: str = ""


def proposals(kind: type[Record], raw: RawTable) -> tuple[Proposal, ...]:
    """Suggestions for one table.

    Args:
        kind: its record class.
        raw: the table, its heads mapped already as far as columns.toml does.
    Returns:
        A head that no column has, for the one missing column that it looks like, or that it alone can be; and each
        word of a coded column that is none of ours. A head or column for which two would do gets no suggestion.
    """
    known = {folded(name): name for name in kind.columns()}
    strangers = [
        item for item in raw.heads if item.name and item.name not in known and not item.doubt and not item.said
    ]
    there = {item.name for item in raw.heads}
    missing = [name for key, name in known.items() if key not in there]
    found = _paired(kind, raw, strangers, missing)
    heads = [
        Proposal(raw.file, raw.head_line, item.text, _with_its_unit(kind, name, item), why)
        for item, (name, why) in found.items()
    ]
    named = {item: replace(item, name=folded(name)) for item, (name, _) in found.items()}
    coded = (named.get(item, item) for item in raw.heads)
    words = [one for item in coded if item.name in known for one in _words(kind, known[item.name], item, raw)]
    return (*heads, *words)


def _paired(
    kind: type[Record], raw: RawTable, strangers: Sequence[Head], missing: Sequence[str]
) -> dict[Head, tuple[str, str]]:
    """Each head with the missing column that it may be and why: first those that look alike, then what is left."""
    fits = {item: [name for name in missing if _fits(kind, name, item, raw)] for item in strangers}
    alike = {(item, name): likeness(item.text, name) for item, names in fits.items() for name in names}
    found: dict[Head, tuple[str, str]] = {}
    for item, names in fits.items():
        best = _only_best({name: alike[item, name] for name in names})
        if best and _only_best({other: alike[other, best] for other in strangers if best in fits[other]}) == item:
            found[item] = (best, f"looks like '{head(kind, best)}'{alike[item, best].words}")
    taken = {name for name, _ in found.values()}
    left = {item: [name for name in names if name not in taken] for item, names in fits.items() if item not in found}
    for item, names in left.items():
        only = _only_one(kind, item, names, raw)
        if only and not any(only in others for other, others in left.items() if other is not item):
            found[item] = (only, f"the only column missing that it can be, '{head(kind, only)}'")
    return {item: found[item] for item in strangers if item in found}


def _only_best(alike: Mapping[T, Likeness]) -> T | None:
    """The one that is most alike, where it is alike enough and no other is as much so."""
    ranked = sorted(alike.values(), key=lambda one: -one.degree)
    if not ranked or ranked[0].degree < LIKE_ENOUGH or (len(ranked) > 1 and ranked[1].degree >= ranked[0].degree):
        return None
    return next(one for one, its in alike.items() if its is ranked[0])


def _only_one(kind: type[Record], item: Head, names: Sequence[str], raw: RawTable) -> str:
    """The one column that unit or place leaves; empty for text, which fits anywhere."""
    telling = [name for name in names if about(kind.columns()[name], "unit") and item.unit is not None]
    if len(telling) == 1:
        return telling[0]
    order = [folded(name) for name in kind.columns()]
    before = raw.heads[item.index - 1].name if item.index else ""
    after = raw.heads[item.index + 1].name if item.index + 1 < len(raw.heads) else ""
    between = [name for name in telling if _neighbours(order, folded(name)) == (before, after)]
    return between[0] if len(between) == 1 else ""


def _neighbours(order: Sequence[str], name: str) -> tuple[str, str]:
    at = order.index(name)
    return (order[at - 1] if at else "", order[at + 1] if at + 1 < len(order) else "")


def _fits(kind: type[Record], name: str, item: Head, raw: RawTable) -> bool:
    """Whether unit and cells of a head could be those of a column."""
    info = kind.columns()[name]
    own, cells = about(info, "unit") or "", tuple(_cells(item, raw))
    column = as_column(kind, name, replace(item, name=folded(name), unit=item.unit or own or None), raw)
    if column.lost:
        return False
    choices = choices_of(info)
    if choices.choices:
        few = len(set(map(folded, cells))) <= SPELLINGS * len(choices.choices)
        return few and not any(cell.replace(",", ".").replace(".", "").isdigit() for cell in cells)
    return sum(readable(column.parse, cell) for cell in cells) >= READABLE * len(cells)


def _cells(item: Head, raw: RawTable) -> dict[str, int]:
    """Different cells below a head, each with its first line, some of them."""
    found: dict[str, int] = {}
    for line, cell in raw.below(item):
        found.setdefault(cell, line)
        if len(found) >= TRIED:
            break
    return found


def _with_its_unit(kind: type[Record], name: str, item: Head) -> str:
    """Our name as columns.toml writes it: with our unit where the file gives none, to be looked at by the yard."""
    return head(kind, name) if item.unit is None else name


def _words(kind: type[Record], name: str, item: Head, raw: RawTable) -> Iterator[Proposal]:
    """The words of a coded column that are none of ours."""
    choices, said = choices_of(kind.columns()[name]), dict(item.words)
    if not choices.choices:
        return
    strange: dict[str, tuple[str, int]] = {}
    for cell, line in _cells(item, raw).items():
        if not choices.has(cell) and one_spelling(cell) not in said:
            strange.setdefault(one_spelling(cell), (cell, line))
    for cell, line in list(strange.values())[:MOST_WORDS]:
        ours, why = meant(cell, choices)
        yield Proposal(raw.file, line, cell, ours, why or f"which of: {', '.join(choices.choices)}?", name)


def meant(cell: str, choices: Choices) -> tuple[str, str]:
    """The one choice that a word may stand for, and why; nothing where none or several may."""
    means = {choice: one.language for one in readings(cell) for choice in choices.choices if _same(one.words, choice)}
    if len(means) == 1:
        ((choice, language),) = means.items()
        return choice, f"{language} for '{choice}'" if language else f"looks like '{choice}'"
    near = difflib.get_close_matches(folded(cell), map(folded, choices.choices), 2, NEAR_WORD)
    if means or len(near) != 1:
        return "", ""
    return next(choice for choice in choices.choices if folded(choice) == near[0]), "spelled alike"


def _same(words: Sequence[str], choice: str) -> bool:
    return sorted(words) == sorted(folded(choice).split("_"))


def block(found: Iterable[Proposal], there: Iterable[str] = ()) -> tuple[str, ...]:
    """The suggestions as lines that can be copied into columns.toml as they stand.

    Args:
        found: the suggestions, by table.
        there: the paths of the parts that columns.toml has already.
    """
    parts: dict[str, list[str]] = {}
    for one in found:
        part = f"{quoted(one.table)}.heads" if not one.column else f"{quoted(one.table)}.words.{one.column}"
        entry = f"{quoted(' '.join(one.theirs.split()))} = {quoted(one.ours)}"
        parts.setdefault(part, []).append(f"{'' if one.ours else '# '}{entry}  # line {one.line}: {one.why}")
    have = set(there)
    lines: list[str] = []
    for part, its in parts.items():
        has = part.replace('"', "") in have
        lines += [f"# below [{part}], which is there already:" if has else f"[{part}]", *its, ""]
    return tuple(lines)
