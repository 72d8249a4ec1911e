"""What to do next about a fault, in one line: which cell, row, entry, sheet or file to correct or to add."""

from __future__ import annotations

import re

from buildbook.chapters import TABLES
from buildbook.core.fault import Fault, Severity
from buildbook.core.published import COLUMNS_FILE
from buildbook.core.where import Where
from buildbook.readers.choices import choices_of
from buildbook.readers.left_over import FILE
from buildbook.readers.rows import A_READING
from buildbook.readers.standing import MAY_HOLD, NONE_READABLE
from buildbook.readers.table import folded, head_of

NOTHING = ("nothing", "none", "an empty cell", "no such file")
OLD_BOOKS, BOOKS = (".xls", ".ods", ".xlsm"), (".xlsx", ".xlsm", ".xls", ".ods")
LOOK = "Look whether this is meant; nothing else has to be done."
OWN_HEAD = f"say in {COLUMNS_FILE} which head of yours it is"

# What was expected, by how it begins, and what is then to be done: for what a cell alone does not put right.
BY_EXPECTED = (
    (r"this table in one place", "Take one of the two out."),
    (r"this table as (?P<name>\S+)", "Name it {name}."),
    (r"a sheet '(?P<name>[^']+)'", "Rename the sheet: '{name}'."),
    (r"a column '(?P<name>[^']+)'", f"Add the column '{{name}}', or {OWN_HEAD}."),
    (r"a row of (?P<name>\S+\.csv) that leads", "Correct the rows of {name} about it."),
    (r"a row of (?P<name>\S+\.csv) that says", "Add a row about it to {name}."),
    (r"ids from (?P<name>\S+\.csv)", "Add the rows to {name}."),
    (r"an id from (?P<name>\S+\.csv)", "Correct this cell, or add the row to {name}."),
    (r"one row for each ", "Correct one of the two rows, or take it out."),
    (r"\d+ cells$", "Give this row as many cells as there are heads, or take it out if it is no reading."),
    (A_READING, "Take this line out if it is no reading; else fill in its empty cells."),
    (r"no, or a time ", "Correct this cell, or the time in this row; if both are right, the launch in hull.toml."),
    (r"another position, direction, run or attempt", "Correct the one of the four that is wrong, here or there."),
)
# What a raw record lacks, by a word of what was expected or found.
OF_RECORDS = (
    (r"property `wf_increment` of the channel, or", "Fill in this cell, or save {file} again with its step of time."),
    (r"property `unit_string`", "Save {file} again with the unit of this channel in its property `unit_string`."),
    (r"property `\w+`", "Save {file} again with that property of this channel put right."),
    (r"an empty cell `", "Empty this cell."),
    (r"in the cell `rate` .* or an empty one", "Correct this cell, or empty it."),
    (r"cell `channel`", "Correct this cell; see which channels {file} has."),
    (r"cell `\w+` of its row.* none", "Fill in this cell."),
    (r"cell `\w+` of its row", "Correct this cell; see what {file} holds."),
    (r"ends early|as its head says|whole samples", "Copy {file} again from where it was recorded; it is not whole."),
    (r"\brate\b|step of time", "Correct the rate in this row, or save {file} again with the right one."),
    (r"\bunit\b", "Save {file} again with its unit, or correct the quantity in this row if that is wrong."),
)
THEIR_ROWS = "Put {name} right first; what is to be done stands there."
# What was found, where that tells more than what was expected.
BY_FOUND = (
    (r": see (?P<place>.+?)(?:, column .*)?$", "Put {place} right; this waits for it."),
    (
        r"^'[^';,|]*(?P<sign>[;,|])[^';,|]*(?P=sign).*' and nothing that is a head of it$",
        "Split each row at each '{sign}' into cells; now a whole row stands in one cell.",
    ),
    (r"\(there is '(?P<name>[^']+)'\)", THEIR_ROWS),
)
RECORD = re.compile(r"\((?P<file>[^()]+?\.\w+)(?:[:,][^()]*|\s[^()]*)?\)$")


def of_fault(fault: Fault) -> str:
    """What to do about a fault: which cell, row, entry or file to correct or to add."""
    if fault.severity is Severity.NOTICE:
        return _of_notice(fault)
    if fault.where.file.endswith(".toml"):
        return _of_toml(fault)
    if fault.where.file.lower().endswith(BOOKS) and not fault.where.sheet:
        return _of_workbook(fault)
    record = RECORD.search(fault.found) if _of_a_record(fault) else None
    if record:
        return _of_record(f"{fault.expected} {fault.found[: record.start()]}", record["file"])
    for pattern, remedy in BY_FOUND:
        if found := re.search(pattern, fault.found):
            return remedy.format(**found.groupdict())
    for pattern, remedy in BY_EXPECTED:
        if found := re.match(pattern, fault.expected):
            return _first_there(fault, remedy).format(**found.groupdict())
    return _of_cell(fault)


def _of_a_record(fault: Fault) -> bool:
    """Whether it is about a record that the row names, be it told at the name or at a cell that has to fit it."""
    return (
        head_of(fault.where.column, 0).name == FILE
        or re.search(r"cell `\w+` (?:of|in) its row", fault.expected) is not None
    )


def _first_there(fault: Fault, remedy: str) -> str:
    """Rows of a table that cannot be read are there: they are to be corrected, not added a second time.

    Where the table has no file of its own, the workbooks that may hold it come first.
    """
    _, none, books = fault.found.partition(NONE_READABLE)
    if not none:
        return remedy
    return THEIR_ROWS.format(name=books.removeprefix(MAY_HOLD).removesuffix(")")) if books else THEIR_ROWS


def _of_notice(fault: Fault) -> str:
    if fault.expected == "columns of this table":
        return f"If it is one of our columns, {OWN_HEAD}; else nothing has to be done."
    if fault.where.file.lower().endswith(OLD_BOOKS) and not fault.where.sheet:
        return f"Save it as {_stem(fault.where.file)}.xlsx if tables stand in it; else nothing has to be done."
    return LOOK


def _of_workbook(fault: Fault) -> str:
    file = fault.where.file
    if file.lower().endswith(OLD_BOOKS):
        without = ", without macros" if file.lower().endswith(".xlsm") else ""
        return f"Save it as {_stem(file)}.xlsx{without}."
    if "password" in fault.found:
        return "Take the password off and save it."
    if "colon" in fault.expected:
        return "Rename the file."
    return "Open it in your spreadsheet program and save it anew as .xlsx."


def _of_record(said: str, file: str) -> str:
    remedy = next((remedy for pattern, remedy in OF_RECORDS if re.search(pattern, said)), "")
    return (remedy or "Save {file} again as a record that can be read, or name another file in this row.").format(
        file=file
    )


def _of_cell(fault: Fault) -> str:
    where = fault.where
    if where.column and where.line is not None:
        if head_of(where.column, 0).name == FILE and fault.expected == "a file of this folder":
            return "Correct the name of the file in this cell, or add the file."
        if _no_word_of_ours(fault):
            return f"Write one of our words, or say in {COLUMNS_FILE} which of them yours stands for."
        return "Fill in this cell." if _absent(fault) else "Correct this cell."
    return _done(fault, "the file" if where.line is None else "this row")


def _no_word_of_ours(fault: Fault) -> bool:
    """Whether the cell is to hold one of a few words, and the one found, between quotes, is none of them."""
    word = re.match(r"'(?P<word>[^']*)'(?!, and ')", fault.found)
    name = head_of(fault.where.column, 0).name
    kinds = (kind for kind in TABLES if kind.table.file == fault.where.file)
    columns = (info for kind in kinds for column, info in kind.columns().items() if folded(column) == name)
    known = [words for info in columns if (words := choices_of(info)).choices]
    return word is not None and known != [] and not any(words.has(word["word"]) for words in known)


def _of_toml(fault: Fault) -> str:
    inside = re.search(r"\(did you mean the folder (?P<names>.+) in this one\?\)$", fault.found)
    if inside is not None:
        return f"Give the command the folder {inside['names']} in this one, or add the file here."
    return _done(fault, _entry(fault.where))


def _entry(where: Where) -> str:
    if where.part:
        return f"the entry {where.part}"
    return f"line {where.line}" if where.line is not None else "the file"


def _done(fault: Fault, what: str) -> str:
    return f"Add {what}." if _absent(fault) else f"Correct {what}."


def _absent(fault: Fault) -> bool:
    return fault.found.strip().lower().startswith(NOTHING)


def _stem(file: str) -> str:
    return file.rpartition(".")[0]
