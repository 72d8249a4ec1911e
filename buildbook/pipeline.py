"""The one place where the stages stand in a row: read, judge, review, assemble; then write."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.assemble import Parts, assemble
from buildbook.chapters import CHAPTERS, CHECKS, TABLES
from buildbook.chapters.looser import looser_limits
from buildbook.chapters.register.check_ids import known_checks
from buildbook.chapters.register.dates import held_by_the_day
from buildbook.chapters.register.hull_facts import held_by_her_dates
from buildbook.chapters.register.plan import Shortage, short_of_plan, shortages
from buildbook.chapters.register.replaced import told_of_parts_gone
from buildbook.chapters.register.review import stand_by_reports
from buildbook.chapters.register.specification import conditioned_limits, placed_limits
from buildbook.chapters.register.stages import held_by_her_stage
from buildbook.chapters.register.unmatched import unmatched_reports
from buildbook.chapters.shared_records import PhotographRecord
from buildbook.claims import claims
from buildbook.core.book import Book, OwnText
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check, Sayable
from buildbook.core.decide import hold
from buildbook.core.evidence import NOT_USED, Evidence, Unread, reasons
from buildbook.core.face import PLAIN, Face, Paper
from buildbook.core.fault import Fault, Severity
from buildbook.core.finding import Finding, Key, Role, Verdict
from buildbook.core.hull import Hull, Specification
from buildbook.core.judging import unjudged
from buildbook.core.published import COLUMNS_FILE, COLUMNS_PAGE
from buildbook.core.record import Record
from buildbook.core.shown_units import ShownUnits
from buildbook.core.where import Where
from buildbook.documents import documents
from buildbook.due import due_by_now, with_waiting_lines
from buildbook.readers.columns_file import read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.gather import Gathered, gather, in_their_files
from buildbook.readers.hull_file import read_hull
from buildbook.readers.left_over import is_index
from buildbook.readers.own_columns import NOTHING_OWN, OfTable, unused
from buildbook.readers.release_keys import may_publish_too_much
from buildbook.readers.table import RawTable
from buildbook.readers.words_told import with_words_told
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.words import words
from buildbook.sources import all_sources, hull_spans, limit_spans
from buildbook.views import looks_of_pictures, pictures, raw_files, table_views, unlistable
from buildbook.waiting import rows_waited_for
from buildbook.withheld_words import withheld_words
from buildbook.withholding import Read, in_part, published, refusal, told_without, withholding, without

if TYPE_CHECKING:
    from buildbook.face.own import Own
    from buildbook.render.package import Written

Progress = Callable[[str], None]
Belongs = Callable[[Evidence, Finding, Unread], bool]  # whether a lost row may be one of a finding's
SHOWN_ROWS = 3


@dataclass(frozen=True, slots=True)
class Made:
    """A book with the files it rests on, by relative name, the evidence as it was judged, and what was found.

    `received` are tables as received, byte for byte, and copies of tables without a withheld column; `pictures` are
    pictures re-encoded and documents, by their names in the output. `not_withheld` are the faults because of which
    something would be published that somebody asked to withhold: such a book is not written. `findings` are all that
    the checks and the review gave, before the book put them in order.
    """

    book: Book
    received: Mapping[str, bytes]
    pictures: Mapping[str, bytes]
    evidence: Evidence
    not_withheld: tuple[Fault, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def files(self) -> Mapping[str, bytes]:
        """What the book publishes besides what it makes itself, as `render.package` wants it."""
        return {**self.received, **self.pictures}


def own_face(theme: Path | None, texts: Path | None, paper: Paper) -> Own:
    """The builder's own face and texts, for the chapters there are; see `face.own.read_own`."""
    from buildbook.face.own import read_own

    chapters = {chapter.key: [check.id for check in chapter.checks] for chapter in CHAPTERS}
    return read_own(theme, texts, paper, chapters, all_sources())


def make_book(
    root: Path,
    progress: Progress = lambda _: None,
    *,
    judged: Sequence[Chapter] = CHAPTERS,
    texts: tuple[OwnText, ...] = (),
    shown: ShownUnits = ShownUnits.METRIC,
) -> Made:
    """Read one hull's folder, judge it, gather the book. Raises HullFileUnreadable, and OSError for no folder.

    Every table is read whatever is asked for; `judged` are the chapters whose checks run, all unless told otherwise.
    `texts` are prose in the builder's own words: they are part of what the book says, of its data and of its digest.
    `shown` are the units that pages tell figures in; nothing is judged by them.
    """
    folder = Folder(root)
    progress("reading the folder")
    hull, specification, faults = read_hull(folder, sayable(), hull_spans())
    own = read_columns(folder, TABLES)
    gathered, evidence, unheld = gathered_evidence(folder, hull, specification, own=own.of)
    faults = (*faults, *own.faults, *unused(own, gathered.raw, gathered.evidence.missing))
    progress("judging")
    findings = with_words_told(judge(evidence, judged), gathered.raw)
    progress("gathering the book")
    read = raw_files(folder, evidence)
    held, not_held = withholding(Read(folder, evidence, gathered.raw, read, gathered.named, gathered.stands))
    wrong = filter(may_publish_too_much, faults)
    not_held = (*not_held, *withheld_words(folder, own, gathered.raw, held))
    not_withheld = (*wrong, *(fault for fault in not_held if fault.severity is Severity.FAULT))
    photographs, encoded, picture_faults = pictures(folder, evidence, held)
    whole, received = table_views(folder, gathered, CHAPTERS)
    raw = {kind.table.file: table for kind, table in gathered.raw.items()}
    views = without(whole, raw, held)
    used = {"hull.toml", COLUMNS_FILE, COLUMNS_PAGE, *received, *gathered.used, *gathered.named}
    words_of = claims(views, received)
    faults = (*faults, *unmatched_reports(evidence, findings), *looser_limits(evidence, findings))
    told = (*faults, *gathered.faults, *unheld, *not_held, *picture_faults, *words_of, *unlistable(read, held))
    parts = Parts(
        evidence=evidence,
        findings=findings,
        faults=told_without(in_their_files(dict.fromkeys(told), gathered.raw), held),
        tables=views,
        unused_files=tuple(name for name in folder.names() if name not in used and not is_index(name, used)),
        photographs=photographs,
        raw_files=read,
    )
    book = replace(assemble(parts, judged), own_texts=texts, withheld=held, shown=shown)
    book, papers = _with_papers(book, folder, evidence, gathered.raw, whole=len(judged) == len(CHAPTERS))
    shown_tables = {**published(received, held), **in_part(views, raw, book.copies)}
    return Made(book, shown_tables, {**encoded, **papers}, evidence, not_withheld, findings)


def _with_papers(
    book: Book, folder: Folder, evidence: Evidence, raw: Mapping[type[Record], RawTable | None], *, whole: bool
) -> tuple[Book, Mapping[str, bytes]]:
    """The same book with its documents and its listing sheet, and the bytes of the documents.

    Of a book that is not `whole` most of what documents support is not known, so their faults are not told.
    """
    papers = documents(folder, evidence, book, book.withheld)
    faults = (*book.faults, *(in_their_files(papers.faults, raw) if whole else ()))
    faults = tuple(sorted(faults, key=lambda fault: (fault.where.order, fault.expected)))
    book = replace(book, documents=papers.files, faults=faults)
    return replace(book, listing=listing(book, words(templates_dir()))), papers.content


def gathered_evidence(
    folder: Folder,
    hull: Hull,
    specification: Specification,
    sheets: Mapping[type[Record], tuple[str, ...]] | None = None,
    meant: Callable[[RawTable], RawTable] = lambda raw: raw,
    own: Callable[[type[Record]], OfTable] = lambda _: NOTHING_OWN,
) -> tuple[Gathered, Evidence, tuple[Fault, ...]]:
    """Every table of a folder as gathered, the evidence as it may be judged, and the faults of its specification.

    `sheets`, `meant` and `own` as for `readers.gather.gather`.
    """
    ids = tuple(check.id for check in CHECKS)
    cross = (*(check for chapter in CHAPTERS for check in chapter.cross_checks), known_checks(ids))
    openers = {kind: opener for chapter in CHAPTERS for kind, opener in chapter.opens.items()}
    gathered = gather(
        folder,
        TABLES,
        cross_checks=cross,
        openers=openers,
        hull=hull,
        specification=specification,
        sheets=sheets,
        meant=meant,
        own=own,
    )
    looks = looks_of_pictures(folder, gathered.evidence.of(PhotographRecord))
    seen = replace(gathered.evidence, looks=looks)
    placed, unplaced = placed_limits(held_by_her_stage(held_by_her_dates(held_by_the_day(seen))))
    evidence, unmet = conditioned_limits(placed, CHECKS)
    return gathered, evidence, (*unplaced, *unmet)


def sayable() -> dict[str, Sayable]:
    """What a specification may say about each check, by id."""
    return {check.id: check.sayable(limit_spans(check.id)) for check in CHECKS}


def any_may(_evidence: Evidence, _finding: Finding, _row: Unread) -> bool:
    """Every lost row that the columns of its table do not rule out may belong to a finding."""
    return True


def judge(evidence: Evidence, chapters: Sequence[Chapter], belongs: Belongs = any_may) -> tuple[Finding, ...]:
    """All findings of all chapters: judged, held where rows are lost, parts gone or reports speak, then reviewed.

    `belongs` may rule out more lost rows than the columns of their tables do.
    """
    checks = {check.id: check for chapter in chapters for check in chapter.checks}
    first = [finding for check in checks.values() for finding in check.judge(evidence)]
    held = stand_by_reports(evidence, told_of_parts_gone(evidence, _held(evidence, checks, first, belongs)))
    seen = with_waiting_lines(evidence, chapters, held)
    added = [finding for chapter in chapters if chapter.review for finding in chapter.review(seen, held)]
    everything = stand_by_reports(evidence, (*held, *_held(evidence, checks, added, belongs)))
    governed = {finding.key.check for finding in everything if finding.key.role is Role.GOVERNING}
    silent = [_silent(evidence, check) for check in checks.values() if check.id not in governed]
    return due_by_now(evidence, chapters, _once((*everything, *silent)))


def _held(
    evidence: Evidence, checks: Mapping[str, Check], findings: Iterable[Finding], belongs: Belongs
) -> tuple[Finding, ...]:
    """The same findings, none better than the rows, the plan and the specification allow."""
    short = shortages(evidence)
    found = ((finding, checks[finding.key.check]) for finding in findings)
    return tuple(
        hold(finding, _reasons(evidence, finding, rows_lost(evidence, check, finding, belongs), short))
        for finding, check in found
    )


def _reasons(evidence: Evidence, finding: Finding, lost: Iterable[str], short: Sequence[Shortage]) -> tuple[str, ...]:
    return (*lost, *short_of_plan(evidence, finding, short), *evidence.specification.unusable(finding.key.check))


def rows_lost(evidence: Evidence, check: Check, finding: Finding, belongs: Belongs = any_may) -> tuple[str, ...]:
    """A sentence for each table of a check with rows that may belong to a finding and could not be used."""
    kept = ([row for row in lost if belongs(evidence, finding, row)] for lost in check.lost(evidence, finding))
    return tuple(_lost(lost) for lost in kept if lost)


def _lost(rows: Sequence[Unread]) -> str:
    told = [f"{replace(rows[0].where, line=line)} ({why})" for line, why in reasons(rows).items()]
    shown = "; ".join(told[:SHOWN_ROWS])
    more = f"; and {len(told) - SHOWN_ROWS} more" if len(told) > SHOWN_ROWS else ""
    count = "1 row" if len(told) == 1 else f"{len(told)} rows"
    return f"{count} that may belong to this {NOT_USED}: {shown}{more}."


def waits(made: Made) -> Mapping[str, tuple[Where, ...]]:
    """The rows that cannot be used and that a finding waits for, by its number; see `waiting.rows_waited_for`."""
    return rows_waited_for(made.evidence, made.book.governing, lambda evidence: judge(evidence, CHAPTERS))


def _silent(evidence: Evidence, check: Check) -> Finding:
    """What a check says when the folder gives it nothing to speak of."""
    missing = [f"{kind.table.file} {evidence.missing[kind]}" for kind in check.tables if kind in evidence.missing]
    words = f"Nothing to judge: {'; '.join(missing)}." if missing else "Nothing in the folder belongs to this check."
    first, *more = check.quantities or ("everything",)
    quantity = f"{first} and {len(more)} more" if more else first
    return unjudged(Key(check.id, quantity, "whole hull"), Verdict.NO_RECORD, words)


def _once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each key once; of two findings with one key the worse one stands."""
    kept: dict[Key, Finding] = {}
    for finding in findings:
        other = kept.get(finding.key)
        if other is None or finding.verdict.rank > other.verdict.rank:
            kept[finding.key] = finding
    return tuple(kept.values())


def released(made: Made, previous: Path) -> Made:
    """The same book as the release after the one in an output folder; see `seal.releases`. Raises NotEarlier."""
    from buildbook.exports import differing
    from buildbook.seal.releases import release_after

    sums = {name: hashlib.sha256(data).hexdigest() for name, data in made.received.items()}
    return replace(made, book=replace(made.book, release=release_after(previous, made.book, sums, differing)))


def write_book(
    made: Made,
    root: Path,
    out: Path,
    progress: Progress = lambda _: None,
    face: Face = PLAIN,
    *,
    pdf: bool = True,
    force: bool = False,
) -> Written:
    """Write the site, the PDF, the data and the evidence package; see `render.package.write`.

    Refused, too, where something would be published that hull.toml asks to withhold.
    """
    from functools import partial

    from buildbook.edition import edition
    from buildbook.parcel.bag import Changed
    from buildbook.parcel.evidence_package import Contents, packed
    from buildbook.render.package import write
    from buildbook.render.place import Refused

    if made.not_withheld:
        raise Refused(refusal(made.not_withheld))
    contents = Contents(made.book, made.evidence, TABLES, CHECKS, Folder(root).open, edition())
    pack = partial(packed, contents)
    try:
        return write(
            made.book, made.files, out, hull_root=root, progress=progress, pdf=pdf, face=face, packed=pack, force=force
        )
    except Changed as changed:
        raise Refused(f"{changed}; build again") from None
