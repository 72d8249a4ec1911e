"""Copies of the demonstration folder with one thing spoiled, and whether any verdict of theirs is better than before.

Tables are taken apart with the csv module alone, so that the program's own reader is not used to test itself.
"""

from __future__ import annotations

import csv
import io
import shutil
import struct
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from buildbook.core.book import Book
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.pipeline import Made, make_book

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
        at = self.index(column)
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
    for picture in sorted((folder / "photographs").iterdir()):
        picture.write_bytes(small_picture())
    return folder


def small_picture(width: int = 8, height: int = 8) -> bytes:
    """A grey PNG, written from its published format (PNG specification, third edition; from memory)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    rows = (b"\x00" + b"\x80" * width) * height
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def tables(folder: Path) -> list[str]:
    """The names of all tables, below the folder."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.csv"))


def findings(book: Book) -> dict[Key, Finding]:
    """Every finding of a book, governing and reference."""
    every = (
        item for chapter in book.chapters for check in chapter.checks for item in (*check.governing, *check.references)
    )
    return {item.finding.key: item.finding for item in every}


def faults(book: Book) -> list[Fault]:
    """The faults, without the notices."""
    return [fault for fault in book.faults if fault.severity is Severity.FAULT]


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

    A finding that is gone may not have been the only bad news of its check, and a new one says nothing about an old.
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
    return moved


def book_of(folder: Path) -> Book:
    """The book of a folder."""
    return make_book(folder).book


def made_after(folder: Path, name: str, how: Callable[[Path], object]) -> Made:
    """Change one file, make the book, put the file back whatever came of it."""
    path = folder / name
    data = path.read_bytes() if path.exists() else None
    try:
        how(path)
        return make_book(folder)
    finally:
        if path.is_symlink() or (data is None and path.exists()):
            path.unlink()
        if data is not None:
            path.write_bytes(data)


def spoiled(folder: Path, sound: Book, name: str, how: Callable[[Path], object]) -> Made:
    """The book after one file was changed; no verdict may be better than in the sound book."""
    made = made_after(folder, name, how)
    assert better(sound, made.book) == []
    return made


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


def in_table(how: Callable[[Sheet], object]) -> Callable[[Path], None]:
    """A change of the cells of a table."""

    def change(path: Path) -> None:
        sheet = Sheet.read(path)
        how(sheet)
        sheet.write()

    return change


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
