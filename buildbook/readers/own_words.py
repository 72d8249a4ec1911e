"""The words of columns.toml: each a word of the yard's in a coded column, and the choice of ours that it stands for."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from buildbook.readers.choices import Choices, choices_of, holds
from buildbook.readers.own_columns import OwnWord
from buildbook.readers.table import folded, one_spelling
from buildbook.readers.toml_reading import near, shown
from buildbook.readers.translating import Translating

NOT_USED = "It is not used: a cell with this word cannot be read."
NOTHING_DONE = "It does nothing; take it out."
MOST_NAMED = 12  # columns or choices in one message

Coded = list[tuple[str, str, Choices]]  # table, column, what it takes


def words_of(parts: Iterable[tuple[Any, str, str]], work: Translating) -> tuple[OwnWord, ...]:
    """The entries that can be used; a fault for each other one.

    Args:
        parts: what each part holds, its path in the file, and the table that it is about (empty: every one).
        work: what is known so far.
    """
    found: list[OwnWord | None] = []
    for value, path, table in parts:
        if not isinstance(value, dict):
            work.reading.blame(path, f"words below [{path}], one in each line", shown(value), NOT_USED)
            continue
        every = [
            (kind.table.file, name, choices_of(info))
            for kind in work.within(table)
            for name, info in kind.columns().items()
        ]
        for theirs, ours in value.items():
            at = f"{path}.{theirs}"
            if not isinstance(ours, dict):
                found.append(_entry(theirs, ours, at, (table, ""), every, work))
                continue
            column, its = folded(theirs), [one for one in every if one[1] == folded(theirs)]
            if _has_choices(theirs, at, table, its, every, work):
                found.extend(
                    _entry(word, one, f"{at}.{word}", (table, column), its, work) for word, one in ours.items()
                )
    return tuple(_once([own for own in found if own is not None], work))


def _has_choices(column: str, path: str, table: str, its: Coded, every: Coded, work: Translating) -> bool:
    """Whether a part is about a column of which a few words are taken; a fault where it is not."""
    coded = list(dict.fromkeys(name for _, name, choices in every if choices.choices))
    if any(choices.choices for _, _, choices in its):
        return True
    where = table or "a table"
    if its:
        info = next(kind.columns()[its[0][1]] for kind in work.within(its[0][0]))
        found = f"'{column}', which holds {holds(info)}: no word can stand for another there"
    else:
        found = f"'{column}'{near(folded(column), coded)}"
    work.reading.blame(path, f"a column of {where} that takes a few words only ({_listed(coded)})", found, NOT_USED)
    return False


def _entry(
    theirs: str, ours: Any, path: str, scope: tuple[str, str], columns: Coded, work: Translating
) -> OwnWord | None:
    """One entry; None with a fault or a notice where it cannot be used."""
    if not isinstance(ours, str):
        said = f'{shown(ours)}; write "{"yes" if ours else "no"}"' if isinstance(ours, bool) else shown(ours)
        work.reading.blame(path, 'a word of ours between quotes ("…")', said, NOT_USED)
        return None
    word, own_word = folded(ours), folded(theirs)
    fitting = [one for one in columns if word in one[2].taken]
    if not own_word or not fitting:
        words = list(dict.fromkeys(word for _, _, choices in columns for word in choices.choices))
        of = f"a word of {scope[1] or 'a coded column'} ({_listed(words)})"
        found = f"'{ours}'{near(ours, words)}"
        expected, found = (of, found) if own_word else ("a word between the quotes", "none")
        work.reading.blame(path, expected, found, NOT_USED)
        return None
    meant = fitting[0][2].meant(ours)
    own = next(((table, name, choices) for table, name, choices in fitting if own_word in choices.taken), None)
    if own is not None and own[2].meant(theirs) != meant:
        found = f"'{theirs}', which {own[1]} of {own[0]} takes: no word can change its meaning"
        work.reading.blame(path, "a word that is none of ours", found, NOT_USED)
        return None
    if own is not None:
        work.reading.notice(path, "a word that is none of ours", f"'{theirs}', which is read already", NOTHING_DONE)
        return None
    return OwnWord(theirs, meant, work.reading.where(path), *scope)


def _once(found: Iterable[OwnWord], work: Translating) -> Iterable[OwnWord]:
    """The entries whose word none other of the same columns has; which of two is right nobody can tell."""

    def key(own: OwnWord) -> tuple[str, str, str]:
        return own.table, own.column, one_spelling(own.theirs)

    for _, group in groupby(sorted(found, key=key), key=key):
        first, *others = group
        if not others:
            yield first
        for own in others:
            again = f"'{own.theirs}' again, as in line {first.at.line}; take one of the two out"
            work.reading.blame(own.at.part, "each word once", again, NOT_USED)


def _listed(words: list[str]) -> str:
    more = " …" if len(words) > MOST_NAMED else ""
    return ", ".join(words[:MOST_NAMED]) + more
