"""What the commands print."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape

from buildbook.chapters import CHAPTERS
from buildbook.core.book import Book
from buildbook.core.check import Check, formula_words
from buildbook.core.face import Form
from buildbook.core.grammar import counted
from buildbook.core.stage import Stage
from buildbook.daily import Daily
from buildbook.daily_text import WIDTH, Line, lines, look_lines
from buildbook.render.jsonfile import canonical
from buildbook.render.templates import templates_dir
from buildbook.sources import all_sources
from buildbook.watching import changes, looks, scanned

if TYPE_CHECKING:
    from buildbook.render.package import Written
    from buildbook.second.write import Done

WIDE = 110  # letters on a line of what the other commands say in a pipe
NO_FORMULA = "None but sums, means and differences: what is done with the readings stands under how it was measured."
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def plain(text: str) -> str:
    """Words from a folder without signs that would command the terminal."""
    return CONTROL.sub("\ufffd", text)


def told(text: str) -> str:
    """Words from a folder as they are printed: no commands to the terminal, no markup."""
    return escape(plain(text))


def _console() -> Console:
    console = Console(highlight=False)
    return console if console.is_terminal else Console(highlight=False, width=WIDE)


def show(today: Daily, form: Form = Form.TEXT, *, everything: bool = False) -> None:
    """What is to be done in a folder, file by file; see `daily_text.lines`, or the whole of it as JSON."""
    if form is Form.JSON:
        print(plain(canonical(today).decode("utf-8")))
        return
    console, width = _page()
    _print(console, lines(today, everything=everything, width=width))


def show_watched(folder: Path, judged: Callable[[], Daily | str], *, everything: bool = False) -> None:
    """A folder looked at again whenever a file of it changes, until Ctrl-C; see `daily_text.look_lines`."""
    try:
        for look in looks(judged, changes(partial(scanned, folder), time.sleep)):
            console, width = _page()
            _print(console, look_lines(look, everything=everything, width=width))
    except KeyboardInterrupt:
        print()


def _page() -> tuple[Console, int]:
    console = Console(highlight=False)
    return console, console.width if console.is_terminal else WIDTH


def _print(console: Console, told_lines: Iterable[Line]) -> None:
    for line in told_lines:
        console.print(told(line.text), style=line.style or None, soft_wrap=True)


def show_written(book: Book, written: Written, out: Path) -> None:
    """Where the book is, what could not be written, and how it stands."""
    console = _console()
    faults = len(book.unusable)
    console.print(told(f"{book.title}"), style="bold")
    console.print(told(book.summary))
    if faults:
        said = f"{counted(faults, 'fault')} in the folder: see exceptions.html, or run buildbook check."
        console.print(said, soft_wrap=True)
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
    _show_facts(console, check, chapter.due_of(check))
    return True


def _without_marks(prose: str) -> str:
    """The words of a prose page, without its title (the question is told already) and the line of its sources."""
    kept = [line for line in prose.splitlines() if not line.startswith(("[sources]:", "# "))]
    paragraphs = re.sub(r"(?<!\n)\n(?![\n#*-])", " ", "\n".join(kept))
    return re.sub(r"^#+ ", "", paragraphs, flags=re.MULTILINE).strip()


def _show_facts(console: Console, check: Check, due: Stage) -> None:
    console.print("\nFormula and range", style="bold")
    console.print(told(_formulas(check) or NO_FORMULA))
    console.print("\nRests on", style="bold")
    for kind in check.tables:
        console.print(told(f"  {kind.table.file}: {kind.table.title.lower()}"), soft_wrap=True)
    console.print("\nQuantities a specification may limit", style="bold")
    for quantity, unit in check.sayable().quantities.items():
        console.print(told(f"  {quantity} [{unit}]{_reference(check.id, quantity)}"), soft_wrap=True)
    verdicts = ", ".join(verdict.value for verdict in sorted(check.verdicts, key=lambda v: (v.rank, v.value)))
    console.print(told(f"\nCan say: {verdicts}"), soft_wrap=True)
    console.print(told(f"Due: once she is {due.words}"), soft_wrap=True)


def _formulas(check: Check) -> str:
    """The docstrings of the formulas of a check, without their examples."""
    return "\n\n".join(f"{formula.__name__}: {formula_words(formula)}" for formula in check.formulas)


def _reference(check: str, quantity: str) -> str:
    from buildbook.core.wording import limit_text, source_text
    from buildbook.sources import reference_limit

    limit = reference_limit(check, quantity)
    return f": published reference {limit_text(limit)} ({source_text(limit, all_sources())})" if limit else ""
