"""The documents that the folder holds as files, and what each supports; both ends of every link are looked up."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import PurePosixPath
from typing import Any

from buildbook.chapters.register.records import WHOLE_TABLE, Document, Support
from buildbook.chapters.shared_records import Instrument
from buildbook.core.book import Book
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.published import DocumentFile, Withheld
from buildbook.core.published import Support as Link
from buildbook.core.record import Record, head
from buildbook.core.spelling import did_you_mean
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.document_file import NOT_SHOWN, publishable
from buildbook.readers.first_page import first_page
from buildbook.readers.folder import Folder, why_absent
from buildbook.readers.refused import Refused

OUT = "documents/"
FIRST_PAGES = f"{OUT}first-page/"
NO_LINK = "The document is shown, but beside nothing."
LINK_LOST = "This link is not shown."
ROUNDED = 1e-12  # relative


@dataclass(frozen=True, slots=True)
class Documents:
    """The documents, the bytes of those that are published and of their pictures by name in the output, the faults."""

    files: tuple[DocumentFile, ...]
    content: dict[str, bytes]
    faults: tuple[Fault, ...]


def documents(folder: Folder, evidence: Evidence, book: Book, held: Iterable[Withheld]) -> Documents:
    """Every document that the list names with a file.

    A file that is absent or cannot be published, a link that leads nowhere, and a document with a file that supports
    nothing are faults; no row is lost by them.
    """
    content: dict[str, bytes] = {}
    hidden = {it.file for it in held}
    links: dict[str, list[Link]] = {}
    faults: list[Fault] = []
    for row in evidence.of(Support):
        link = _link(row, evidence, book)
        if link is None:
            continue
        if isinstance(link, Fault):
            faults.append(link)
        else:
            links.setdefault(row.document, []).append(link)
    lost = _lost_links(evidence)
    files: list[DocumentFile] = []
    for document in evidence.of(Document):
        if document.file is None:
            continue
        if document.document not in links:
            faults.append(_unlinked(document, lost.get(document.document, ())))
        try:
            file = _file(document, folder, tuple(links.get(document.document, ())), content, hidden)
        except Refused as refused:
            faults.append(replace(refused.fault, where=document.cell("file"), effect=NOT_SHOWN))
            faults += (_of_no_file(link.at, document) for link in links.get(document.document, ()))
            continue
        try:
            files.append(_with_picture(file, content))
        except Refused as refused:
            files.append(file)
            faults.append(replace(refused.fault, where=document.cell("file")))
    return Documents(tuple(files), content, tuple(faults))


def _lost_links(evidence: Evidence) -> dict[str, tuple[Where, ...]]:
    """The rows of links that name each document, readable or not."""
    rows = [(row.where, row.document) for row in evidence.of(Support)]
    rows += [(row.where, str(row.get("document"))) for row in evidence.unread.get(Support, ())]
    found: dict[str, tuple[Where, ...]] = {}
    for where, document in sorted(set(rows), key=lambda row: row[0].order):
        found[document] = (*found.get(document, ()), where)
    return found


def _unlinked(document: Document, rows: Sequence[Where]) -> Fault:
    """Why a document with a file stands beside nothing: no row names it, or none of those leads anywhere."""
    file = Support.table.file
    if not rows:
        return Fault(document.cell("document"), f"a row of {file} that says what it supports", "none", NO_LINK)
    lines = listed([str(where.line) for where in rows])
    found = f"none: what {file}, {_lines(rows)} {lines}, names cannot be found"
    return Fault(document.cell("document"), f"a row of {file} that leads from it to something", found, NO_LINK)


def _lines(rows: Sequence[Where]) -> str:
    return "line" if len(rows) == 1 else "lines"


def _of_no_file(at: Where, document: Document) -> Fault:
    """A link from a document that is not shown."""
    found = f"'{document.document}', whose file '{document.file}' is not shown: see {document.cell('file')}"
    return Fault(replace(at, column=head(Support, "document")), "a document that is shown", found, LINK_LOST)


def _file(
    row: Document, folder: Folder, links: tuple[Link, ...], content: dict[str, bytes], hidden: set[str]
) -> DocumentFile:
    file = row.file or ""
    if file not in folder.names():
        found = f"'{file}', {why_absent(file, folder, folder.names())}"
        raise Refused(Fault(row.cell("file"), "a file of this folder", found, NOT_SHOWN))
    data = folder.read(file)
    out = copied = ""
    if file not in hidden:
        shown = publishable(data, file)
        out = _name(file, shown.ending, content)
        content[out] = shown.data
        copied = hashlib.sha256(shown.data).hexdigest()
    return DocumentFile(
        document=row.document,
        title=row.title,
        revision=row.revision,
        kind=row.kind or "",
        file=file,
        out=out,
        bytes=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
        out_sha256=copied,
        supports=links,
        at=row.where,
    )


def _with_picture(file: DocumentFile, content: dict[str, bytes]) -> DocumentFile:
    """The same with a small picture of its first page; none of a document that is withheld."""
    if not file.out:
        return file
    data = first_page(content[file.out], file.out.rpartition(".")[2], file.file)
    picture = f"{FIRST_PAGES}{file.out.removeprefix(OUT)}.jpg"
    content[picture] = data
    return replace(file, picture=picture, picture_sha256=hashlib.sha256(data).hexdigest())


def _name(file: str, ending: str, taken: Iterable[str]) -> str:
    """The name of a document in the output: that of its file, in signs that every machine can write."""
    stem = str(PurePosixPath(file.removeprefix(OUT)).with_suffix(""))
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", stem).strip("-.") or "document"
    used = {other.lower() for other in taken}
    names = (f"{OUT}{plain}{again}.{ending}" for again in chain([""], (f"-{n}" for n in range(2, 100_000))))
    return next(name for name in names if name.lower() not in used)


def _link(row: Support, evidence: Evidence, book: Book) -> Link | Fault | None:
    """What a row leads to, or why it leads nowhere; None where that was told when the row was read."""
    document = evidence.one(Document, document=row.document)
    if document is None:
        return _of_unknown(row, evidence)
    if document.file is None:
        found = f"'{row.document}', which {document.cell('document')} names without a file"
        return Fault(row.cell("document"), "a document with a file", found, LINK_LOST)
    if row.instrument is not None:
        return _of_instrument(row, row.instrument, evidence)
    if row.clause is not None:
        return _of_clause(row, row.clause, evidence, book)
    if row.check is not None:
        return _of_findings(row, row.check, book)
    return _of_row(row, evidence)


def _of_unknown(row: Support, evidence: Evidence) -> Fault | None:
    """A link from a document that the list has in rows that cannot be used; of one that it has not, the id was told."""
    file = Document.table.file
    rows = [it.where for it in evidence.unread.get(Document, ()) if it.get("document") == row.document]
    if not rows:
        return None
    lines = listed(list(dict.fromkeys(str(where.line) for where in rows)))
    found = f"'{row.document}', which cannot be used: see {file}, {_lines(rows)} {lines}"
    return Fault(row.cell("document"), f"a document of {file}", found, LINK_LOST)


def _of_instrument(row: Support, instrument: str, evidence: Evidence) -> Link | Fault:
    known = [str(name) for name in evidence.values(Instrument, "instrument")]
    if instrument not in known:
        meant = did_you_mean(instrument, known)
        return _lost(row, "instrument", f"an instrument of {Instrument.table.file}", instrument, meant)
    return Link(f"instrument {instrument}", row.where, instrument=instrument)


def _of_clause(row: Support, clause: str, evidence: Evidence, book: Book) -> Link | Fault:
    """A clause is known where a limit or a rule rests on it: of the specification, or of a finding."""
    wanted = (row.document, clause)
    found = tuple(
        item.number
        for item in book.findings
        for limit in (item.finding.limit,)
        if limit is not None and any((term.document, term.clause) == wanted for term in limit.terms)
    )
    given = evidence.specification
    terms = [term for entry in given.limits for term in entry.limit.terms] + [rule.term for rule in given.rules]
    if not found and all((term.document, term.clause) != wanted for term in terms):
        return _lost(row, "clause", f"a clause of {row.document} that a limit or a rule rests on", clause)
    return Link(f"clause {clause}", row.where, findings=found)


def _of_findings(row: Support, check: str, book: Book) -> Link | Fault:
    asked = [(name, getattr(row, name)) for name in ("quantity", "place", "condition", "attempt")]
    given = [(name, value) for name, value in asked if value is not None]
    found = tuple(
        item.number
        for item in book.findings
        if item.finding.key.check == check and all(getattr(item.finding.key, name) == value for name, value in given)
    )
    words = ", ".join((check, *(f"{name} {value}" for name, value in given)))
    if not found:
        return _lost(row, "check", "a finding of this book", words)
    return Link(words, row.where, findings=found)


def _of_row(row: Support, evidence: Evidence) -> Link | Fault:
    file, key = row.table_file or "", row.row_key or ""
    kind = evidence.kind_of(file)
    if kind is None:
        return _lost(row, "table_file", "a table of this folder", file)
    if key == WHOLE_TABLE:
        if kind in evidence.missing:
            return _lost(row, "table_file", "a table of this folder", file)
        return Link(f"the whole of {file}", row.where, row=Where(file))
    wanted = [part.strip() for part in key.split(";")]
    found = [record.where for record in evidence.of(kind) if _has_key(record, wanted)]
    by = f"row of {file} by its {'; '.join(kind.table.key)}"
    if len(found) > 1:
        lines = listed([str(where.line) for where in found])
        return Fault(row.cell("row_key"), f"one {by}", f"'{key}' in the lines {lines}", LINK_LOST)
    if not found:
        return _lost(row, "row_key", f"a {by}", key)
    return Link(f"row {key} of {file}", row.where, row=found[0])


def _has_key(record: Record, wanted: Sequence[str]) -> bool:
    values = [getattr(record, name) for name in record.table.key]
    return len(values) == len(wanted) and all(map(_is, values, wanted))


def _is(value: Any, text: str) -> bool:
    """Whether a text names this very value; a number may be off by no more than the conversion of a unit rounds."""
    if not isinstance(value, float):
        return ("" if value is None else str(value)) == text
    try:
        return math.isclose(value, float(text), rel_tol=ROUNDED)
    except ValueError:
        return False


def _lost(row: Support, column: str, expected: str, found: str, meant: str = "") -> Fault:
    return Fault(row.cell(column), expected, f"'{found}', which is not there{meant}", LINK_LOST)
