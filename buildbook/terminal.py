"""What the commands print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from buildbook.chapters import CHAPTERS
from buildbook.core.book import Book
from buildbook.core.check import Check, formula_words
from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.core.wording import counts_text
from buildbook.render.templates import templates_dir
from buildbook.sources import all_sources
from buildbook.withholding import refusal

if TYPE_CHECKING:
    from buildbook.render.package import Written
    from buildbook.second.write import Done

WIDTH = 110
FEWEST_ALIKE = 3  # faults of one column that are told together
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def plain(text: str) -> str:
    """Words from a folder without signs that would command the terminal."""
    return CONTROL.sub("\ufffd", text)


def told(text: str) -> str:
    """Words from a folder as they are printed: no commands to the terminal, no markup."""
    return escape(plain(text))


def _console() -> Console:
    console = Console(highlight=False)
    return console if console.is_terminal else Console(highlight=False, width=WIDTH)


def show(book: Book, not_withheld: Sequence[Fault] = ()) -> None:
    """Why no book would be written; other faults; files that nothing uses; exceptions and gaps; a line per chapter."""
    console = _console()
    console.print(told(book.title), style="bold")
    if book.hull.demonstration:
        console.print(told(book.hull.demonstration), style="italic")
    if not_withheld:
        console.print(told(f"\n{refusal(not_withheld)}"), style="bold", soft_wrap=True)
    _show_faults(console, [fault for fault in book.faults if fault not in not_withheld])
    _show_unused(console, book)
    _show_exceptions(console, book)
    _show_checks(console, book)
    console.print(told(book.summary))


def _show_faults(console: Console, faults: Sequence[Fault]) -> None:
    for severity, title in ((Severity.FAULT, "Faults in the folder"), (Severity.NOTICE, "Notices")):
        its = [fault for fault in faults if fault.severity is severity]
        if its:
            console.print(f"\n{title}: {len(its)}", style="bold")
        for first, *others in alike(its):
            console.print(told(f"  {first}"), soft_wrap=True)
            if others:
                lines = " | ".join(f"{_place(fault.where)}: {fault.found}" for fault in others)
                console.print(told(f"      likewise {lines}"), soft_wrap=True, style="dim")


def _place(where: Where) -> str:
    return where.part if where.sheet and where.part else f"line {where.line}"


def alike(faults: Sequence[Fault]) -> list[list[Fault]]:
    """Faults that are told together, in the order given: three or more of one column in which the same was expected."""
    groups: dict[object, list[Fault]] = {}
    for fault in faults:
        where = replace(fault.where.row, line=None, column=fault.where.column)
        groups.setdefault((where, fault.expected, fault.effect) if fault.where.line else fault, []).append(fault)
    told_together = [its for its in groups.values() if len(its) >= FEWEST_ALIKE]
    alone = [[fault] for its in groups.values() if len(its) < FEWEST_ALIKE for fault in its]
    places = {id(fault): place for place, fault in enumerate(faults)}
    return sorted((*told_together, *alone), key=lambda its: places[id(its[0])])


def _show_unused(console: Console, book: Book) -> None:
    if book.unused_files:
        console.print(f"\nFiles that nothing uses: {len(book.unused_files)}", style="bold")
    for name in book.unused_files:
        console.print(told(f"  {name}"), soft_wrap=True)


def _show_exceptions(console: Console, book: Book) -> None:
    console.print(f"\nExceptions and gaps: {len(book.exceptions)}", style="bold")
    for item in book.exceptions:
        console.print(told(f"  {item.number}  {item.sentence}"), soft_wrap=True)
        for note in item.finding.notes:
            console.print(told(f"      {note}"), soft_wrap=True, style="dim")
        if item.finding.at:
            rows = ", ".join(str(where) for where in item.finding.at[:3])
            more = f" and {len(item.finding.at) - 3} more" if len(item.finding.at) > 3 else ""
            console.print(told(f"      rows: {rows}{more}"), soft_wrap=True, style="dim")


def _show_checks(console: Console, book: Book) -> None:
    table = Table(show_header=True, header_style="bold", box=None, pad_edge=False)
    for head in ("check", "question", "findings"):
        table.add_column(head, no_wrap=head == "check")
    for chapter in book.chapters:
        for result in chapter.checks:
            counts = counts_text([(c.verdict, c.number) for c in result.counts], len(result.governing))
            table.add_row(result.id, told(result.question), counts)
    console.print()
    console.print(table)


def show_written(book: Book, written: Written, out: Path) -> None:
    """Where the book is, what could not be written, and how it stands."""
    console = _console()
    faults = len(book.unusable)
    console.print(told(f"{book.title}"), style="bold")
    console.print(told(book.summary))
    if faults:
        console.print(f"{faults} faults in the folder: see exceptions.html, or run buildbook check.", soft_wrap=True)
    for words in written.notices:
        console.print(told(words), soft_wrap=True)
    console.print(told(f"Written to {out}: open {out / 'index.html'}"), soft_wrap=True)
    console.print(told(f"Digest {written.digest}"), soft_wrap=True)


def show_comparison(done: Done, out: Path) -> None:
    """What does not agree, how often two measurements do, what could not be told, and where the comparison is."""
    from buildbook.second import said
    from buildbook.second.comparison import Outcome

    console = _console()
    comparison = done.comparison
    console.print(told(f"Surveyor beside yard, hull {comparison.hull_number}"), style="bold")
    if comparison.demonstration:
        console.print(told(comparison.demonstration), style="italic")
    everything = (*comparison.pairs, *comparison.in_words)
    outside = [pair for pair in everything if pair.both_outside]
    apart = [pair for pair in comparison.pairs if pair.outcome is Outcome.DO_NOT_AGREE]
    bad = (said.outside_text(everything), *map(said.alternative, outside))
    alone = said.outside_apart(comparison.pairs)
    named = (*map(said.alternative, apart), said.outside_apart_text(comparison.pairs), *map(said.alternative, alone))
    good = said.agreement_text(comparison.pairs)
    for words in (*bad, said.disagreement_text(comparison.pairs), *filter(None, (*named, good))):
        console.print(told(words), soft_wrap=True)
    for count in (count for count in comparison.counts if count.words != said.BOTH_OUTSIDE):  # told above
        console.print(told(f"{count.number} of {count.of} {count.words}"), soft_wrap=True)
    console.print(told(comparison.time), soft_wrap=True)
    for words in (*comparison.faults, *done.notices):
        console.print(told(words), soft_wrap=True)
    console.print(told(comparison.limitations[0]), soft_wrap=True)
    console.print(told(f"Written to {out}: open {out / 'comparison.html'}"), soft_wrap=True)


def explain(check_id: str) -> bool:
    """Print what a check is; False where there is none of this id. `ALL` lists them."""
    checks = {check.id: (chapter, check) for chapter in CHAPTERS for check in chapter.checks}
    console = _console()
    if check_id == "ALL":
        for name, (_, check) in checks.items():
            console.print(told(f"{name}  {check.question}"), soft_wrap=True)
        return True
    if check_id not in checks:
        return False
    chapter, check = checks[check_id]
    prose = (templates_dir() / "chapters" / chapter.key / f"{check_id}.md").read_text(encoding="utf-8")
    console.print(told(f"{check.id}: {check.question}"), style="bold")
    console.print(told(_without_marks(prose)))
    _show_facts(console, check)
    return True


def _without_marks(prose: str) -> str:
    """The words of a prose page, without its title (the question is told already) and the line of its sources."""
    kept = [line for line in prose.splitlines() if not line.startswith(("[sources]:", "# "))]
    paragraphs = re.sub(r"(?<!\n)\n(?![\n#*-])", " ", "\n".join(kept))
    return re.sub(r"^#+ ", "", paragraphs, flags=re.MULTILINE).strip()


def _show_facts(console: Console, check: Check) -> None:
    console.print("\nFormula and range", style="bold")
    console.print(told(_formulas(check) or "Dates and entries are compared with each other; there is no formula."))
    console.print("\nRests on", style="bold")
    for kind in check.tables:
        console.print(told(f"  {kind.table.file}: {kind.table.title.lower()}"), soft_wrap=True)
    console.print("\nQuantities a specification may limit", style="bold")
    for quantity, unit in check.sayable().quantities.items():
        console.print(told(f"  {quantity} [{unit}]{_reference(check.id, quantity)}"), soft_wrap=True)
    verdicts = ", ".join(verdict.value for verdict in sorted(check.verdicts, key=lambda v: (v.rank, v.value)))
    console.print(told(f"\nCan say: {verdicts}"), soft_wrap=True)


def _formulas(check: Check) -> str:
    """The docstrings of the formulas of a check, without their examples."""
    return "\n\n".join(f"{formula.__name__}: {formula_words(formula)}" for formula in check.formulas)


def _reference(check: str, quantity: str) -> str:
    from buildbook.core.wording import limit_text, source_text
    from buildbook.sources import reference_limit

    limit = reference_limit(check, quantity)
    return f": published reference {limit_text(limit)} ({source_text(limit, all_sources())})" if limit else ""
