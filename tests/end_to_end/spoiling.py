"""Copies of the demonstration folder with one thing spoiled, and whether any verdict of theirs is better than before.

Tables are taken apart with the csv module alone, so that the program's own reader is not used to test itself.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
import struct
import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from buildbook import claims, documents, views
from buildbook.chapters import CHAPTERS
from buildbook.chapters.shared_records import Instrument, Nonconformity, PhotographRecord, Place, Planned
from buildbook.core.book import Book
from buildbook.core.chapter import Chapter
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.pipeline import Made, make_book
from buildbook.readers import document_file, first_page, gather, photo
from buildbook.render.banned_words import banned

SHARED = (Instrument, Nonconformity, PhotographRecord, Place, Planned)  # what every chapter may ask for
Spoil = Callable[[str, Callable[[Path], object]], Made]
HULL = Path(__file__).parent.parent.parent / "demo_build" / "hull"


@dataclass(slots=True)
class Sheet:
    """One table as text cells: heads first. `mark` is the decimal mark that goes with its delimiter."""

    path: Path
    encoding: str
    delimiter: str
    rows: list[list[str]]

    @classmethod
    def read(cls, path: Path) -> Sheet:
        """Read a table of the demonstration folder."""
        data = path.read_bytes()
        try:
            text, encoding = data.decode("utf-8-sig"), "utf-8"
        except UnicodeDecodeError:
            text, encoding = data.decode("cp1252"), "cp1252"
        delimiter = ";" if text.splitlines()[0].count(";") else ","
        rows = [row for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter) if any(row)]
        return cls(path, encoding, delimiter, rows)

    @property
    def mark(self) -> str:
        return "," if self.delimiter == ";" else "."

    @property
    def names(self) -> list[str]:
        """The heads without their units."""
        return [head.split("[")[0].strip() for head in self.rows[0]]

    @property
    def body(self) -> list[list[str]]:
        """The rows below the heads; the lists themselves, so that they can be changed."""
        return self.rows[1:]

    def index(self, column: str) -> int:
        return self.names.index(column)

    def values(self, column: str) -> list[str]:
        """The cells of one column."""
        return self.values_at(self.index(column))

    def values_at(self, at: int) -> list[str]:
        """The cells of the column at a place, counted from 0."""
        return [row[at] for row in self.body]

    def pairs(self, one: str, other: str) -> list[tuple[str, str]]:
        """The cells of two columns."""
        return list(zip(self.values(one), self.values(other), strict=True))

    def line(self, row: int) -> int:
        """The line in which a data row (from 0) starts once the table is written; cells may run over lines."""
        return 1 + sum(1 + max(cell.count("\n") for cell in cells) for cells in self.rows[: row + 1])

    def number(self, row: int, column: str) -> float | None:
        """A cell of a data row (from 0) as a number, None where it is none."""
        try:
            return float(self.rows[row + 1][self.index(column)].replace(self.mark, "."))
        except ValueError:
            return None

    def set(self, row: int, column: str, text: str) -> None:
        """Write into a data row, counted from 0."""
        self.rows[row + 1][self.index(column)] = text

    def text(self) -> str:
        out = io.StringIO()
        csv.writer(out, delimiter=self.delimiter, lineterminator="\n").writerows(self.rows)
        return out.getvalue()

    def write(self) -> None:
        """Write it back where it came from."""
        self.path.write_text(self.text(), encoding=self.encoding, errors="replace", newline="")


def copied(folder: Path) -> Path:
    """The demonstration folder in another place, its pictures made small: re-encoding them takes half of the time."""
    shutil.copytree(HULL, folder)
    pictures = sorted((*(folder / "photographs").iterdir(), *(folder / "documents").glob("*.png")))
    for number, picture in enumerate(pictures):  # no two alike: what is withheld is withheld under every name
        picture.write_bytes(small_picture(8 + number))
    return folder


def small_picture(width: int = 8, height: int = 8) -> bytes:
    """A grey PNG, written from its published format (PNG specification, third edition; from memory)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    rows = (b"\x00" + b"\x80" * width) * height
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def a_fifth(cases: Iterable[Any]) -> list[Any]:
    """Cases as parameters: every fifth in each run, the others with the slow tests."""
    values = [case if isinstance(case, tuple) else (case,) for case in cases]
    return [pytest.param(*one, marks=() if at % 5 == 0 else pytest.mark.slow) for at, one in enumerate(values)]


def tables(folder: Path) -> list[str]:
    """The names of all tables, below the folder; a raw record as text is none."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.csv") if path.parent.name != "raw")


def findings(book: Book) -> dict[Key, Finding]:
    """Every finding of a book, governing and reference."""
    every = (
        item for chapter in book.chapters for check in chapter.checks for item in (*check.governing, *check.references)
    )
    return {item.finding.key: item.finding for item in every}


def faults(book: Book) -> list[Fault]:
    """The faults, without the notices."""
    return [fault for fault in book.faults if fault.severity is Severity.FAULT]


def verdicts(book: Book) -> dict[Key, Verdict]:
    """The verdict of every finding of a book."""
    return {key: finding.verdict for key, finding in findings(book).items()}


def worst(found: Mapping[Key, Finding]) -> dict[str, Verdict]:
    """The worst governing verdict of each check."""
    by_check: dict[str, Verdict] = {}
    for key, finding in found.items():
        if key.role is Role.GOVERNING:
            so_far = by_check.setdefault(key.check, finding.verdict)
            if finding.verdict.rank > so_far.rank:
                by_check[key.check] = finding.verdict
    return by_check


def better(before: Book, after: Book) -> list[str]:
    """What looks better after something was spoiled: one line for each verdict that moved to the left.

    A finding that is gone may not have been the only bad news of its check; a new one must not be one more pass of it.
    """
    old, new = findings(before), findings(after)
    moved = [
        f"{key}: {old[key].verdict.value} became {new[key].verdict.value}"
        for key in old
        if key in new and new[key].verdict.rank < old[key].verdict.rank
    ]
    checks = worst(new)
    moved += [
        f"{check}: worst was {verdict.value}, is {checks[check].value if check in checks else 'silence'}"
        for check, verdict in worst(old).items()
        if check not in checks or checks[check].rank < verdict.rank
    ]
    passed = _number_of(new, Verdict.PASS)
    known = _number_of(old, Verdict.PASS, Verdict.INFORMATION)
    moved += [
        f"{check}: {passed[check]} passes, {known[check]} before" for check in passed if passed[check] > known[check]
    ]
    return moved


def _number_of(found: Mapping[Key, Finding], *wanted: Verdict) -> Counter[str]:
    """How many things of each check have one of some verdicts.

    Before, what has no limit counts with the passes: a part that was replaced is told so, and without the report of
    that its reading passes as it did. A line of the plan that stands twice is judged twice, each by its line.
    """
    keys = {
        replace(key, place=re.sub(r" \(line [0-9]+\)$", "", key.place))
        for key, finding in found.items()
        if key.role is Role.GOVERNING and finding.verdict in wanted
    }
    return Counter(key.check for key in keys)


def book_of(folder: Path) -> Book:
    """The book of a folder."""
    return make_book(folder).book


def reading(*names: str) -> tuple[Chapter, ...]:
    """The chapters that files can bear upon: those whose checks rest on the tables, with the register; else all.

    The other chapters do not read them, so that leaving their checks out changes nothing and saves most of the time.
    """
    wanted = {"register"}
    for name in names:
        own = [one.key for one in CHAPTERS for check in one.checks for kind in check.tables if name == kind.table.file]
        if not own or set(own) == {"register"} or any(name == kind.table.file for kind in SHARED):
            return CHAPTERS
        wanted |= set(own)
    return tuple(one for one in CHAPTERS if one.key in wanted)


def made_after(folder: Path, name: str, how: Callable[[Path], object], judged: Sequence[Chapter] = CHAPTERS) -> Made:
    """Change one file, make the book, put the file back whatever came of it."""
    path = folder / name
    data = path.read_bytes() if path.exists() else None
    try:
        how(path)
        return make_book(folder, judged=judged)
    finally:
        if path.is_symlink() or (data is None and path.exists()):
            path.unlink()
        if data is not None:
            path.write_bytes(data)


def spoiled(folder: Path, sound: Book, name: str, how: Callable[[Path], object]) -> Made:
    """The book after one file was changed; no verdict may be better than in the sound book."""
    made = made_after(folder, name, how, reading(name))
    assert better(sound_part(folder, sound, name), made.book) == []
    return made


def sound_part(folder: Path, sound: Book, *names: str) -> Book:
    """The sound book as far as the chapters go that files can bear upon, made once for each folder."""
    judged = reading(*names)
    if len(judged) == len(CHAPTERS):
        return sound
    key = (folder, tuple(one.key for one in judged))
    if key not in _SOUND_PARTS:
        _SOUND_PARTS[key] = make_book(folder, judged=judged).book
    return _SOUND_PARTS[key]


_SOUND_PARTS: dict[tuple[Path, tuple[str, ...]], Book] = {}


class Copy:
    """A copy of the folder with its sound book; no dataclass, since tests print what they were given."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.sound = book_of(folder)

    def __repr__(self) -> str:
        return f"Copy({self.folder.name})"

    def spoiled(self, name: str, how: Callable[[Path], object]) -> Made:
        """The book after one file was spoiled; nothing in it is better."""
        return spoiled(self.folder, self.sound, name, how)

    @contextmanager
    def kept(self, *names: str) -> Iterator[None]:
        """Several files that are put back at the end, whatever was done to them."""
        before = {name: (self.folder / name).read_bytes() for name in names}
        try:
            yield
        finally:
            for name, data in before.items():
                (self.folder / name).write_bytes(data)


@contextmanager
def tables_remembered() -> Iterator[None]:
    """Each table is taken apart once while its bytes stay the same, as nearly all of a spoiled folder do.

    Its words are searched for claims once, too, and each picture is looked at and encoded once. All of it depends on
    nothing but what it is given, and is never changed.
    """
    with ExitStack() as patched:
        for module, name, once in _ONCE:
            patched.enter_context(patch.object(module, name, once))
        yield


@contextmanager
def tables_anew() -> Iterator[None]:
    """Each table is taken apart whenever it is read, as the program itself does."""
    with patch.object(gather, "parsed", _PARSED.__wrapped__):
        yield


_PARSED = lru_cache(maxsize=200)(gather.parsed)
_ENCODED = lru_cache(maxsize=200)(photo.re_encode)
_ONCE = (
    (gather, "parsed", _PARSED),
    (claims, "banned", lru_cache(maxsize=20_000)(banned)),
    (views, "look", lru_cache(maxsize=200)(photo.look)),
    (views, "re_encode", _ENCODED),
    (document_file, "re_encode", _ENCODED),
    (documents, "first_page", lru_cache(maxsize=200)(first_page.first_page)),
)


def in_table(how: Callable[[Sheet], object]) -> Callable[[Path], None]:
    """A change of the cells of a table."""

    def change(path: Path) -> None:
        sheet = Sheet.read(path)
        how(sheet)
        sheet.write()

    return change


def with_limits(folder: Path, *limits: tuple[Key, str, str]) -> None:
    """More limits in hull.toml: for the place or the condition of each key, with its unit and its ends as lines."""
    text = ""
    for key, unit, ends in limits:
        scope = "".join(
            f'{name} = "{word}"\n' for name, word in (("place", key.place), ("condition", key.condition)) if word
        )
        text += f'\n[[limits]]\ncheck = "{key.check}"\nquantity = "{key.quantity}"\n{scope}{ends}\nunit = "{unit}"\n'
        text += 'set_by = "builder"\ndocument = "SPEC-05"\nrevision = "D"\n'
    hull = folder / "hull.toml"
    hull.write_text(hull.read_text(encoding="utf-8") + text, encoding="utf-8")


def cell(row: int, column: str, text: str) -> Callable[[Path], None]:
    """Another text in one cell of a table; rows count from 0."""
    return in_table(lambda sheet: sheet.set(row, column, text))


def without_row(row: int) -> Callable[[Path], None]:
    """A table without one of its rows, counted from 0."""
    return in_table(lambda sheet: sheet.rows.pop(row + 1))


def told(made: Made, file: str, line: int | None = None, *words: str) -> list[str]:
    """The faults of a file, or of one line of it, that hold some words."""
    places = (f"{file}:{line},", f"{file}:{line}:") if line is not None else (f"{file}:", f"{file},")
    return [
        text for text in map(str, faults(made.book)) if text.startswith(places) and all(word in text for word in words)
    ]
