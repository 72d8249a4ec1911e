"""Files that lie beside the tables: documents, raw records, and what the yard withholds from publication."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from buildbook.core.where import Where

RECEIVED = "evidence/received/"  # hull.toml, columns.toml and the tables as received stand here in the output
COLUMNS_FILE = "columns.toml"  # what a yard's own heads and words mean
COLUMNS_PAGE = "columns.md"  # our own list of all columns, laid beside it for people; nothing reads it
IN_PART = "evidence/in-part/"  # and here the tables without a withheld column
# Names in the output: the list whose digest is printed, the list of everything else, who signed that, the data.
SUMS, RELEASE, SIGNATURE, JSON = "SHA256SUMS", "SHA256SUMS.release", "SHA256SUMS.release.sig", "book.json"
OWN_FACE = "style/own/"  # what a builder's own theme brings
CELL = "withheld"  # what a withheld cell says


@dataclass(frozen=True, slots=True)
class RawFile:
    """A file of long records that figures were computed from: its size and its hash. It is in the evidence package.

    `at` are the rows that name it.
    """

    file: str
    bytes: int
    sha256: str
    at: tuple[Where, ...]


@dataclass(frozen=True, slots=True)
class Support:
    """One thing that a document supports: what it is in words, and the row of the table of links that says so.

    `instrument` is its id, `findings` are the numbers of those it supports, `row` is a row of a table, or a
    whole table by its file alone; empty or None where the link is to another kind of thing.
    """

    words: str
    at: Where
    instrument: str = ""
    findings: tuple[str, ...] = ()
    row: Where | None = None


@dataclass(frozen=True, slots=True)
class DocumentFile:
    """One document that the folder holds as a file: where it is in the output, and what it supports.

    `bytes` and `sha256` are those of the file as given, `out_sha256` the hash of what is published: a PDF as it is, a
    picture re-encoded. `out` and `out_sha256` are empty where the yard withholds it. `at` is its row. `picture` is a
    small picture of its first page in the output, `picture_sha256` its hash; both are empty where there is none.
    """

    document: str
    title: str
    revision: str
    kind: str
    file: str
    out: str
    bytes: int
    sha256: str
    out_sha256: str
    supports: tuple[Support, ...]
    at: Where
    picture: str = ""
    picture_sha256: str = ""


class WithheldKind(StrEnum):
    """What kind of thing a yard withholds."""

    TABLE = "table"
    COLUMN = "column of a table"
    DOCUMENT = "document"
    RAW = "raw record"


@dataclass(frozen=True, slots=True)
class Withheld:
    """One thing that the yard withholds: its file, with size and hash of the original, and whom to ask for it.

    `column` is the head of the column where only that is withheld; then `instead` names the copy without it. `name` is
    what the original is called in the list of digests. `at` is the place in hull.toml that says so.
    """

    kind: WithheldKind
    file: str
    column: str
    name: str
    instead: str
    bytes: int
    sha256: str
    ask: str
    at: Where

    @property
    def words(self) -> str:
        """What it is, in words: `column 'supplier' of coating/batches.csv`."""
        return f"column '{self.column}' of {self.file}" if self.column else f"{self.kind.value} {self.file}"
