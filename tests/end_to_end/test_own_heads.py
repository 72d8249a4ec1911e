"""A yard's own heads and words: the demonstration in German and Italian, and every table with strangers for heads.

What has to hold needs no outside number: a book must not depend on how a column is called.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.core.book import Book
from buildbook.core.fault import Severity
from buildbook.core.finding import Finding, Key
from buildbook.core.record import Record, about
from buildbook.pipeline import make_book
from buildbook.proposed import proposed
from buildbook.readers.choices import choices_of
from buildbook.readers.words_told import AS_SAID
from tests.end_to_end.foreign import COLUMNS, HEADS, in_foreign_words
from tests.end_to_end.spoiling import (
    HULL,
    Sheet,
    better,
    book_of,
    copied,
    faults,
    findings,
    reading,
    sound_part,
    tables,
)

KINDS = {kind.table.file: kind for kind in TABLES if (HULL / kind.table.file).is_file()}
OWN = "columns.toml"


@pytest.fixture(scope="module")
def foreign(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration with foreign heads and words in some tables, without columns.toml."""
    folder = copied(tmp_path_factory.mktemp("foreign") / "hull")
    in_foreign_words(folder)
    return folder


@pytest.fixture
def with_columns(foreign: Path) -> Iterator[Path]:
    (foreign / OWN).write_text(COLUMNS, "utf-8")
    yield foreign
    (foreign / OWN).unlink()


def without_words(found: Mapping[Key, Finding]) -> dict[Key, Finding]:
    """Findings without the notes that tell of words of the yard's."""
    return {
        key: replace(finding, notes=tuple(note for note in finding.notes if not note.endswith(AS_SAID)))
        for key, finding in found.items()
    }


def told_of(book: Book) -> list[str]:
    """Everything told of the folder but for what the copy does to the encoding."""
    return [str(fault) for fault in book.faults if "UTF-8" not in fault.expected]


def test_foreign_heads_and_words_give_the_same_findings(with_columns: Path, sound: Book) -> None:
    made = make_book(with_columns)
    assert without_words(findings(made.book)) == findings(sound)
    assert told_of(made.book) == told_of(sound)
    assert made.received[OWN] == COLUMNS.encode("utf-8")
    assert OWN not in made.book.unused_files
    view = next(view for view in made.book.tables if view.file == "places.csv")
    assert [(cell.head, cell.name) for cell in view.columns][:2] == [("Ort", "place"), ("Bezeichnung", "name")]
    painted = next(place for place, cell in enumerate(view.columns) if cell.name == "painted")
    assert {row.cells[painted] for row in view.rows} - {""} == {"i.O.", "n.i.O."}, "cells stay as received"


def test_without_columns_toml_nothing_of_it_is_guessed(foreign: Path, sound: Book) -> None:
    book = book_of(foreign)
    assert better(sound, book) == []
    for file in HEADS:
        assert any(fault.where.file == file for fault in faults(book)), file
        view = next(view for view in book.tables if view.file == file)
        assert all(row.fault for row in view.rows), file


def test_what_check_proposes_is_toml_and_right(foreign: Path) -> None:
    """Every line that it prints for these tables is the one that the yard wrote by hand above, or is left empty."""
    lines = proposed(foreign)
    told = tomllib.loads("\n".join(lines))
    assert set(told) == set(HEADS)
    number = 0
    for file, part in told.items():
        columns = {head: name for name, head in HEADS[file].items()}
        for theirs, ours in part["heads"].items():
            assert ours.partition(" [")[0] == columns[theirs], (file, theirs, ours)
            number += 1
    assert number > 0.8 * sum(map(len, HEADS.values()))
    assert told["coating/climate.csv"]["heads"]["Temperatura aria"] == "air [degC]"
    assert told["laminate/burn_off.csv"]["words"]["skin"]["Außenhaut"] == "outer skin"
    assert told["places.csv"]["words"]["visibility"] == {"hoch": "high", "niedrig": "low"}
    assert '# "abgeschliffen"' not in lines
    (hint,) = [line for line in lines if line.startswith('"Probe"')]
    assert hint == '"Probe" = "coupon"  # line 1: looks like \'coupon\' (German)'


def test_nothing_is_proposed_where_everything_is_ours(with_columns: Path) -> None:
    assert proposed(HULL) == ()
    assert proposed(with_columns) == ()


def test_what_is_proposed_can_be_copied_and_leaves_less_to_say(foreign: Path, sound: Book) -> None:
    before = len(faults(book_of(foreign)))
    (foreign / OWN).write_text("\n".join(proposed(foreign)), "utf-8")
    try:
        book = book_of(foreign)
        assert not [fault for fault in book.faults if fault.where.file == OWN]
        assert len(faults(book)) < before / 2
        assert better(sound, book) == []
    finally:
        (foreign / OWN).unlink()


BROKEN = (
    ('"hoch" = "high"', '"hoch" = "hgh"'),  # runs quickly, the others with the slow tests
    ('"Datum" = "at"', '"Datum" = "att"'),
    ('"gefüllt" = "filled"', '"gefüllt" = "fild"'),
    ('"Wasser" = "water"', '"Wasser" = "water [kg]"'),
    ('"ja" = "yes"', '"ja" = "yep"'),
    ('"Superficie" = "surface"', '"Superficie" = "air"'),
    ('["coating/climate.csv".heads]', '["coating/climat.csv".heads]'),
    ('"Ofen" = "furnace"', '"Ofen" = "furnace'),
    ("[heads]", "[head]"),
    (COLUMNS, 'heads = "all of them"'),
    (COLUMNS, "[coating/climate.csv.heads]"),
    (COLUMNS, ""),
)


@pytest.mark.parametrize(
    ("old", "new"), [BROKEN[0], *(pytest.param(*entry, marks=pytest.mark.slow) for entry in BROKEN[1:])]
)
def test_a_broken_entry_never_makes_anything_better(foreign: Path, sound: Book, old: str, new: str) -> None:
    assert old in COLUMNS
    (foreign / OWN).write_text(COLUMNS.replace(old, new), "utf-8")
    try:
        assert better(sound, book_of(foreign)) == []
    finally:
        (foreign / OWN).unlink()


def test_broken_entries_of_columns_that_may_be_left_out_make_nothing_better(hull: Path, sound: Book) -> None:
    """Without the limit that stands in such a column a reading outside it would be mere information."""
    file = "systems/engine_sheet.csv"
    sheet, info = Sheet.read(hull / file), KINDS[file].columns()
    before, entries = sheet.path.read_bytes(), []
    for at, name in enumerate(sheet.names):
        if not info[name].is_required():
            head = f"Spalte {at}{sheet.rows[0][at].removeprefix(name)}"
            sheet.rows[0][at] = head
            entries.append(f'"{head}" = "{name} or so"')
    expected = sound_part(hull, sound, file)
    try:
        sheet.write()
        (hull / OWN).write_text("\n".join([f'["{file}".heads]', *entries, ""]), "utf-8")
        book = make_book(hull, judged=reading(file)).book
    finally:
        sheet.path.write_bytes(before)
        (hull / OWN).unlink(missing_ok=True)
    assert better(expected, book) == []
    assert len([fault for fault in book.faults if fault.where.file == OWN]) == len(entries) > 3


@pytest.mark.slow
def test_a_file_that_cannot_be_read_at_all_is_told_once(foreign: Path, sound: Book) -> None:
    (foreign / OWN).write_text(COLUMNS.replace('"Ofen" = "furnace"', '"Ofen" = furnace'), "utf-8")
    try:
        book = book_of(foreign)
    finally:
        (foreign / OWN).unlink()
    (fault,) = [fault for fault in book.faults if fault.where.file == OWN]
    assert (fault.where.line, fault.found) == (24, 'furnace; write "furnace"')
    assert not [fault for fault in book.faults if fault.where.file in HEADS and "column" in fault.expected]
    for file in HEADS:
        view = next(view for view in book.tables if view.file == file)
        assert all(row.fault for row in view.rows), file
        assert view.rows or view.state, file


def strangers(kind: type[Record], sheet: Sheet) -> str:
    """Give every head of a table another name, and each coded cell another word; return what maps them back."""
    file, heads, words = kind.table.file, [], []
    for at, (name, head) in enumerate(zip(sheet.names, sheet.rows[0], strict=True)):
        unit = head.partition("[")[2]
        theirs = f"Kopf {at} ü." + (f" [{unit}" if unit else "")
        heads.append(f'"{theirs}" = "{name}"')
        sheet.rows[0][at] = theirs
        info = kind.columns().get(name)
        if info is None or not choices_of(info).choices:
            continue
        words.append(f'["{file}".words.{name}]')
        for number, word in enumerate(dict.fromkeys(filter(None, sheet.values_at(at)))):
            words.append(f'"Wort-{number}, x." = "{word}"')
            for row in sheet.body:
                row[at] = f" wort {number}, X. " if row[at] == word else row[at]
    return "\n".join([f'["{file}".heads]', *heads, *words, ""])


def renamed(folder: Path, file: str) -> str:
    sheet = Sheet.read(folder / file)
    text = strangers(KINDS[file], sheet)
    sheet.encoding = "utf-8"
    sheet.write()
    return text


def test_every_table_with_strangers_for_heads_and_words_reads_the_same(tmp_path: Path, sound: Book) -> None:
    folder = copied(tmp_path / "hull")
    text = "".join(renamed(folder, file) for file in tables(folder) if file in KINDS)
    (folder / OWN).write_text(text, "utf-8")
    book = book_of(folder)
    assert without_words(findings(book)) == findings(sound)
    assert told_of(book) == told_of(sound)


@pytest.mark.parametrize(
    ("file", "name"),
    [("plan.csv", "place"), ("systems/engine_sheet.csv", ""), ("instruments.csv", "")],
)
@pytest.mark.slow
def test_optional_columns_with_strangers_for_heads_are_no_better_without_the_map(
    hull: Path, sound: Book, file: str, name: str
) -> None:
    """A column that may be left out counts as empty where it is not there, and empty may be the better news."""
    data, info = (hull / file).read_bytes(), KINDS[file].columns()
    sheet, entries = Sheet.read(hull / file), []
    for at, own in enumerate(sheet.names):
        if own in info and not info[own].is_required() and name in ("", own):
            unit = sheet.rows[0][at].partition("[")[2]
            sheet.rows[0][at] = f"Spalte {at}" + (f" [{unit}" if unit else "")
            entries.append(f'"{sheet.rows[0][at]}" = "{own}"')
    assert entries
    try:
        sheet.write()
        without = make_book(hull, judged=reading(file)).book
        (hull / OWN).write_text("\n".join([f'["{file}".heads]', *entries, ""]), "utf-8")
        book = make_book(hull, judged=reading(file)).book
    finally:
        (hull / file).write_bytes(data)
        (hull / OWN).unlink(missing_ok=True)
    assert better(book, without) == []
    assert [fault for fault in faults(without) if fault.where.file == file]
    if reading(file) == CHAPTERS:
        assert findings(book) == findings(sound)


@pytest.mark.slow
@pytest.mark.parametrize("file", sorted(KINDS))
def test_one_table_with_strangers_reads_the_same_and_without_the_map_no_better(
    hull: Path, sound: Book, file: str
) -> None:
    data = (hull / file).read_bytes()
    try:
        text = renamed(hull, file)
        without = make_book(hull, judged=reading(file)).book
        (hull / OWN).write_text(text, "utf-8")
        book = book_of(hull)
    finally:
        (hull / file).write_bytes(data)
        (hull / OWN).unlink(missing_ok=True)
    assert without_words(findings(book)) == findings(sound)
    assert not any(fault.severity is Severity.FAULT and fault.where.file == OWN for fault in book.faults)
    view = next(view for view in without.tables if view.file == file)
    assert all(row.fault for row in view.rows)


def test_the_demonstration_has_units_and_words_to_rename() -> None:
    """Else the tests above would show little."""
    columns = [info for kind in KINDS.values() for info in kind.columns().values()]
    assert sum(bool(about(info, "unit")) for info in columns) > 100
    assert sum(bool(choices_of(info).choices) for info in columns) > 30


def test_a_word_that_means_what_it_does_by_columns_toml_alone_is_told_beside_its_finding(hull: Path) -> None:
    """`wet` for `no` water inside would turn a leak into a pass without a word."""
    table = hull / "systems/hose_tests.csv"
    before = table.read_bytes()
    try:
        sheet = Sheet.read(table)
        row = next(at for at, inside in enumerate(sheet.values("inside")) if inside == "no")
        sheet.set(row, "inside", "wet")
        sheet.write()
        (hull / OWN).write_text('["systems/hose_tests.csv".words.inside]\n"wet" = "no"\n', "utf-8")
        book = make_book(hull).book
    finally:
        table.write_bytes(before)
        (hull / OWN).unlink(missing_ok=True)
    words = "'wet' in column 'inside' was read as 'no', as columns.toml says."
    told = [finding for finding in findings(book).values() if words in finding.notes]
    assert told
    assert {where.line for finding in told for where in finding.at if where.file == "systems/hose_tests.csv"} >= {
        sheet.line(row)
    }
    (view,) = (view for view in book.tables if view.file == "systems/hose_tests.csv")
    (inside,) = (cell for cell in view.columns if cell.name == "inside")
    assert inside.meaning.endswith("; as columns.toml says, 'wet' is read as 'no'")
