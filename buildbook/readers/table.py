"""Delimited text to cells: every cell as received, every row with the line it starts in."""

from __future__ import annotations

import codecs
import csv
import io
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from buildbook.core.fault import Fault, Severity
from buildbook.core.stand import FILE_ITSELF, Stand
from buildbook.core.where import Where
from buildbook.readers.refused import Refused

MOST_ROWS = 200_000
MOST_COLUMNS = 500
MOST_TITLE_LINES = 10  # above the heads, looked at to say so
LONGEST_CELL = 10_000  # characters

_NOTHING = "Nothing in this file can be used."
_NOT_USED = "This row is not used."
_DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}
_HEAD = re.compile(r"^(?P<name>[^\[\]]*?)\s*(?:\[(?P<unit>[^\[\]]*)\])?$", re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_ONE_IN = 1000  # more control characters than one in so many: not text
_OTHER_FILES = (
    (b"PK\x03\x04", "a workbook or an archive; name a workbook .xlsx, not .csv"),
    (b"\xd0\xcf\x11\xe0", "an old workbook; save the sheet as CSV"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"RIFF", "a sound or picture file"),
    (codecs.BOM_UTF32_LE, "text in UTF-32; save it as CSV UTF-8"),
    (codecs.BOM_UTF16_LE, "text in UTF-16; save it as CSV UTF-8"),
    (codecs.BOM_UTF16_BE, "text in UTF-16; save it as CSV UTF-8"),
)


@dataclass(frozen=True, slots=True)
class Head:
    """One head: its text as received, the name in one spelling, the unit between brackets (None without brackets).

    Where columns.toml maps it, `said` is the place that does, `name` is ours, and `given` is the unit that it gives.
    `words` are the yard's words for cells below it, in one spelling, each with ours. `doubt` says why nobody can tell
    which column it is, where an entry that names it cannot be used.
    """

    text: str
    name: str
    unit: str | None
    index: int
    said: str = ""
    given: str | None = None
    words: tuple[tuple[str, str], ...] = ()
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row as received. `fault` says why its cells cannot be told apart; empty where they can."""

    line: int
    cells: tuple[str, ...]
    fault: Fault | None = None


@dataclass(frozen=True, slots=True)
class RawTable:
    """One table as received; `delimiter` is the sign itself, `head_line` the line of the heads (0: an empty file).

    `file` is the table's own name, `stands` says where it was found under another. `aliases` are the names that
    columns.toml knows for its columns; `unknown` says why it knows none, where it cannot be read at all. `mark` is the
    decimal mark where the reader knows it (empty where it is in doubt), None where the cells have to tell.
    """

    file: str
    encoding: str
    delimiter: str
    head_line: int
    heads: tuple[Head, ...]
    rows: tuple[RawRow, ...]
    faults: tuple[Fault, ...] = ()
    aliases: tuple[str, ...] = ()
    unknown: str = ""
    stands: Stand = FILE_ITSELF
    mark: str | None = None

    def where(self, line: int | None = None, column: str = "") -> Where:
        """The place of a row or of a head of this table."""
        return Where(self.file, line, column, self.stands.words)

    def below(self, head: Head) -> Iterator[tuple[int, str]]:
        """The filled cells below a head, without outer spaces, each with its line; of rows without a fault."""
        for row in self.rows:
            if row.fault is None and _filled(row, head.index):
                yield row.line, row.cells[head.index].strip()


def folded(name: str) -> str:
    """One spelling for a head or a choice: small letters, spaces and hyphens as underscores.

    >>> folded(" Next-Product ")
    'next_product'
    """
    return re.sub(r"[\s_\-]+", "_", name.strip().lower()).strip("_")


def one_spelling(text: str) -> str:
    """The same for words that two programs wrote: a letter with its accent is one sign or two, a micro is a mu or not.

    >>> one_spelling("Pru\u0308fer") == one_spelling("PR\u00dcFER"), one_spelling("\u00b5m") == one_spelling("\u03bcm")
    (True, True)
    """
    return folded(unicodedata.normalize("NFKC", text))


def read_table(data: bytes, file: str) -> RawTable:
    """Read delimited text: UTF-8 or cp1252; comma, semicolon or tab; quotes; cells over several lines.

    Args:
        data: the bytes of the file.
        file: its name, for messages.
    Returns:
        The table as received, with the faults of its rows and notices about the file.
    Errors:
        Refused where the file is no such text, or holds too much.
    Example:
        >>> read_table(b"place;air [degC]\\nZ1;12,5\\n", "climate.csv").rows[0].cells
        ('Z1', '12,5')
    """
    text, encoding, notices = _decoded(data, file)
    text, first_line = _without_separator_line(text)
    delimiter = _delimiter(text, file)
    rows = _split(text, delimiter, file, first_line)
    start = next(rows, None)
    if start is None:
        return RawTable(file, encoding, delimiter, 0, (), (), notices)
    if start.fault is not None:
        raise Refused(start.fault)
    body = _capped(rows, file)
    heads, notes = heads_of(start, body, file)
    finished = tuple(_fitted(row, heads, len(start.cells), delimiter, file) for row in body)
    faults = (*notices, *notes, *(row.fault for row in finished if row.fault is not None))
    return RawTable(file, encoding, delimiter, start.line, heads, finished, faults)


def _decoded(data: bytes, file: str) -> tuple[str, str, tuple[Fault, ...]]:
    found = next((words for magic, words in _OTHER_FILES if data.startswith(magic)), "")
    if not found and b"\x00" in data:
        found = "zero bytes: this is not text (or it is UTF-16; save it as CSV UTF-8)"
    if found:
        raise _refused(file, None, "a table as text, CSV", found)
    notices: tuple[Fault, ...] = ()
    try:
        text, encoding = data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        text, encoding, notices = *_as_cp1252(data, file), (_cp1252_notice(file, data),)
    if len(_CONTROL.findall(text)) * _ONE_IN > len(text):
        raise _refused(file, None, "a table as text, CSV", "binary data")
    return text, encoding, notices


def _as_cp1252(data: bytes, file: str) -> tuple[str, str]:
    try:
        return data.decode("cp1252"), "cp1252"
    except UnicodeDecodeError:
        raise _refused(file, None, "text in UTF-8 (or cp1252)", "bytes that are neither") from None


def _cp1252_notice(file: str, data: bytes) -> Fault:
    effect = "It was read as cp1252; look at letters with accents and at units such as µm."
    line = _line_of_other(data)
    mixed = any(ord(sign) > 127 and sign != "\ufffd" for sign in data.decode("utf-8", "replace"))
    found = "two encodings in one file" if mixed else "another encoding"
    return Fault(Where(file, line), "text in UTF-8", found, effect, Severity.NOTICE)


def _line_of_other(data: bytes) -> int:
    """The first line that is not UTF-8."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        return len(re.findall(rb"\r\n|\r|\n", data[: error.start])) + 1
    return 1


def _without_separator_line(text: str) -> tuple[str, int]:
    """Spreadsheets may write `sep=;` as a first line of their own."""
    match = re.match(r"\s*sep=[,;\t]?[ ]*(\r\n|\r|\n)", text)
    return (text[match.end() :], 2) if match else (text, 1)


def _delimiter(text: str, file: str) -> str:
    """The sign that parts the heads: counted outside quotes in the first line with any, since a title may be above."""
    lines = [line for line in islice(io.StringIO(text, newline=None), MOST_TITLE_LINES) if line.strip()]
    outside = next((line for line in map(_outside, lines) if any(sign in line for sign in _DELIMITERS)), "")
    counts = {sign: outside.count(sign) for sign in _DELIMITERS}
    most = max(counts.values())
    best = [sign for sign, count in counts.items() if count == most]
    if most and len(best) > 1:
        names = " and ".join(_DELIMITERS[sign] for sign in best)
        raise _refused(file, None, "heads parted by comma, semicolon or tab", f"{names} equally often")
    return best[0]


def _outside(line: str) -> str:
    """A line without what stands between quotes or brackets."""
    return re.sub(r"\[[^\]]*\]", "", re.sub(r'"[^"]*"', "", line))


def _split(text: str, delimiter: str, file: str, line: int) -> Iterator[RawRow]:
    """The rows of the text. After a quote that is never closed nothing more can be told apart."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    offset = line - 1
    while True:
        line = reader.line_num + 1 + offset
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            found = "a quote that is not closed, or more text after a closed one"
            effect = "From this line on the file cannot be read."
            yield RawRow(line, (), Fault(Where(file, line), 'cells, with quotes in pairs ("…")', found, effect))
            return
        if any(cell.strip() for cell in cells):
            yield RawRow(line, tuple(cells))


def _capped(rows: Iterator[RawRow], file: str) -> list[RawRow]:
    kept: list[RawRow] = []
    for row in rows:
        if len(kept) >= MOST_ROWS:
            raise _refused(file, row.line, f"at most {MOST_ROWS} rows", "more")
        kept.append(row)
    return kept


def heads_of(
    start: RawRow, body: list[RawRow], file: str, *, in_a_sheet: bool = False
) -> tuple[tuple[Head, ...], tuple[Fault, ...]]:
    """The heads, and a notice for each column that has cells but no head; of a sheet it names the first such cell."""
    if len(start.cells) > MOST_COLUMNS:
        raise _refused(file, start.line, f"at most {MOST_COLUMNS} columns", f"{len(start.cells)}")
    used = len(start.cells)
    while used and not start.cells[used - 1].strip() and not any(_filled(row, used - 1) for row in body):
        used -= 1
    heads = tuple(head_of(text, index) for index, text in enumerate(start.cells[:used]))
    effect = "Its cells are kept as received and not used."
    notices = tuple(
        Fault(Where(file, start.line), "a head over every column", _no_head(head, first.line, in_a_sheet), effect,
              Severity.NOTICE)
        for head in heads
        if not head.text and (first := next((row for row in body if _filled(row, head.index)), None))
    )  # fmt: skip
    return heads, notices


def _no_head(head: Head, line: int, in_a_sheet: bool) -> str:
    if not in_a_sheet:
        return f"none over column {head.index + 1}"
    column = column_letters(head.index + 1)
    return f"none over column {column}, where {column}{line} is filled in"


def column_letters(number: int) -> str:
    """What a spreadsheet calls a column, counted from 1.

    >>> column_letters(1), column_letters(29)
    ('A', 'AC')
    """
    letters = ""
    while number:
        number, letter = divmod(number - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def _filled(row: RawRow, index: int) -> bool:
    return index < len(row.cells) and bool(row.cells[index].strip())


def head_of(text: str, index: int) -> Head:
    """A cell of the first line as a head.

    >>> head_of("Air  [degC]", 0).name, head_of("Air [degC]", 0).unit
    ('air', 'degC')
    """
    text = " ".join(text.replace("\ufeff", "").split())
    match = _HEAD.match(text)
    if match is None:
        return Head(text, folded(text), None, index)
    unit = match["unit"]
    return Head(text, folded(match["name"]), unit.strip() if unit is not None else None, index)


def _fitted(row: RawRow, heads: tuple[Head, ...], written: int, delimiter: str, file: str) -> RawRow:
    """The row with as many cells as there are heads, or with the fault that keeps its cells from being told apart."""
    if row.fault is not None:
        return row
    cells, wanted = row.cells, len(heads)
    while len(cells) > wanted and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) != wanted:
        found = f"{len(cells)} cells"
        if len(cells) > wanted and delimiter == ",":
            found += " (a comma inside a cell needs quotes around the cell; a decimal comma, a point instead)"
        return RawRow(row.line, row.cells, Fault(Where(file, row.line), f"{wanted} cells", found, _NOT_USED))
    bad = next((bad for bad in (_bad_cell(cell, delimiter, written) for cell in cells) if bad), None)
    if bad:
        return RawRow(row.line, cells, Fault(Where(file, row.line), *bad, _NOT_USED))
    return RawRow(row.line, cells)


def unfit_cell(cell: str) -> tuple[str, str] | None:
    """What was expected and what was found where a cell is too long or no text; None where it can be used."""
    if len(cell) > LONGEST_CELL:
        return f"at most {LONGEST_CELL} characters in a cell", f"{len(cell)}"
    if _CONTROL.search(cell):
        return "text in every cell", "a control character"
    return None


def _bad_cell(cell: str, delimiter: str, written: int) -> tuple[str, str] | None:
    """What was expected and what was found where a cell cannot be trusted; None where it can."""
    if unfit := unfit_cell(cell):
        return unfit
    lines = cell.splitlines()
    if len(lines) > 1 and written > 2 and any(line.count(delimiter) >= written - 1 for line in lines):
        return "a quote closed in its own cell", "a cell that holds whole rows: a quote is missing"
    return None


def _refused(file: str, line: int | None, expected: str, found: str) -> Refused:
    return Refused(Fault(Where(file, line), expected, found, _NOTHING))


def as_text(table: RawTable, rows: Iterable[tuple[int, tuple[str, ...]]], cell: Callable[[str], str] = str) -> bytes:
    """A table as a file of text in UTF-8, every row in its line; what stood between rows is left out.

    Args:
        table: the table, for its heads and for what parts its cells.
        rows: the rows to write, each with its line, in their order.
        cell: what becomes of the text of each cell.
    """
    texts: list[str] = []
    line = 1
    heads = (table.head_line, tuple(head.text for head in table.heads))
    for start, cells in (heads, *rows):
        buffer = io.StringIO(newline="")
        csv.writer(buffer, delimiter=table.delimiter, lineterminator="\n").writerow([cell(text) for text in cells])
        texts.append("\n" * (start - line) + buffer.getvalue())
        line = max(line, start) + buffer.getvalue().count("\n")
    return "".join(texts).encode("utf-8")
