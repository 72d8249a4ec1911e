"""What is to be done today, as lines of text: the same on a terminal and in a pipe."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from buildbook.core.grammar import counted
from buildbook.core.stage import stage_named
from buildbook.core.wording import listed
from buildbook.daily import Daily, InFile, Kind, Task
from buildbook.watching import Change, Look

WIDTH, NARROWEST = 80, 40
MOST_IN_FILE = 6  # things told of one file, and
MOST_CHANGED = 5  # things mended, and as many new ones, that a look names
MOST_WAITING = 6  # findings that wait for rows told as faults, before the rest is only counted
MOST_UNUSED = 5  # files that nothing uses, before the rest is only counted
ALL = "--all"
ROW = "the words of that report"
BRIEF = 300  # letters of a reason that is told whole


@dataclass(frozen=True, slots=True)
class Line:
    """One line and how it is printed: `bold`, `italic`, `dim` or plain."""

    text: str
    style: str = ""


def lines(today: Daily, *, everything: bool = False, width: int = WIDTH) -> Iterator[Line]:
    """The folder in lines: who she is, counts, what is to be done file by file, what is not due, the next thing.

    Args:
        today: what is to be done.
        everything: with what is left out otherwise: more of each file, what needs nothing more, each question.
        width: letters on a line.
    """
    page = _Page(max(width, NARROWEST))
    yield from page.wrapped(today.title, style="bold")
    yield from page.wrapped(today.label, style="italic")
    yield Line("")
    for words in _counts(today):
        yield from page.wrapped(words)
    if today.stops:
        yield Line("")
        for words in today.stops.splitlines():
            yield from page.wrapped(words, style="bold")
    for file in today.files if everything else _to_do(today.files):
        yield Line("")
        yield from _whole_file(page, file) if everything else _of_file(page, file)
    yield from _unused(page, today, everything)
    if everything:
        yield from _behind(page, today)
        yield from _questions(page, today)
    yield from _later(page, today)
    yield from _proposals(page, today)
    yield Line("")
    yield from page.wrapped(today.summary)
    if not everything:
        yield from page.wrapped(
            f"With {ALL}: what needs nothing more, and every question with its counts.", style="dim"
        )
    yield from page.wrapped(f"Next: {today.next}", style="bold")


def look_lines(look: Look, *, everything: bool = False, width: int = WIDTH) -> Iterator[Line]:
    """One look in lines: what changed since the one before, then the files in which it did, then the next thing.

    The first look, and each with `everything`, shows the whole folder.
    """
    page = _Page(max(width, NARROWEST))
    today, change = look.today, look.change
    if today is None:
        yield from page.wrapped(look.trouble, style="bold")
        yield Line("Nothing can be judged until it can be read again. Still watching; Ctrl-C ends.", "dim")
        return
    if change is not None:
        yield from _changed(page, change)
    if change is None or everything:
        yield from lines(today, everything=everything, width=width)
    else:
        yield from _touched(page, today, change.files)
    yield Line("Watching; Ctrl-C ends.", "dim")


def _changed(page: _Page, change: Change) -> Iterator[Line]:
    """What is mended and what is new, faults first; what only waits for rows, or did, is counted in one line."""
    mended, new = ([task for task in its if not task.waits] for its in (change.mended, change.new))
    yield Line(f"mended: {len(mended)}, new: {len(new)}", "bold")
    for task in _pressing(mended):
        yield from page.wrapped(f"mended  {task.at.stands_in}: {task.what}", "  ", "    ")
    for task in _pressing(new):
        yield from page.wrapped(f"new     {task.at}: {task.what}", "  ", "    ")
    if waiting := [task for task in change.new if task.waits]:
        yield from page.wrapped(_waiting(waiting), "  ", "    ", style="dim")
    if followed := len(change.mended) - len(mended):
        yield from page.wrapped(
            f"{_things_wait(followed)} no longer for rows that were told as faults", "  ", "    ", style="dim"
        )
    yield Line("")


def _pressing(tasks: Iterable[Task]) -> list[Task]:
    return sorted(tasks, key=lambda task: task.kind.order)[:MOST_CHANGED]


def _touched(page: _Page, today: Daily, names: Collection[str]) -> Iterator[Line]:
    for words in _counts(today):
        yield from page.wrapped(words)
    for file in _to_do(today.files):
        if file.file in names:
            yield Line("")
            yield from _of_file(page, file)
    yield Line("")
    yield from page.wrapped(f"Next: {today.next}", style="bold")


def _to_do(files: Iterable[InFile]) -> Iterator[InFile]:
    """The files without the gaps that stay, about which nothing is left to do."""
    for file in files:
        tasks = tuple(task for task in file.tasks if task.kind is not Kind.STAYS)
        if tasks:
            yield replace(file, tasks=tasks)


@dataclass(frozen=True, slots=True)
class _Page:
    width: int

    def wrapped(self, text: str, first: str = "", rest: str | None = None, style: str = "") -> Iterator[Line]:
        """A text on as many lines as it needs; nothing where there is none. Names of files are never cut."""
        rest = first if rest is None else rest
        for line in textwrap.wrap(
            text,
            self.width,
            initial_indent=first,
            subsequent_indent=rest,
            break_long_words=False,
            break_on_hyphens=False,
        ):
            yield Line(line, style)


def _counts(today: Daily) -> Iterator[str]:
    """What stands in the way, what changed nothing, and how much is due: a short sentence each."""
    told = [(today.number(kind), kind.value) for kind in Kind if kind.in_the_way]
    there = [f"{number} {words}{'s' if number > 1 and words == Kind.FAULT else ''}" for number, words in told if number]
    yield f"In the way: {', '.join(there)}." if there else "Nothing stands in the way."
    quiet = (
        (today.number(Kind.STAYS), "gap that stays", "gaps that stay"),
        (today.number(Kind.NOTICE), "notice", "notices"),
        (len(today.unused), "unused file", "unused files"),
        (len(today.behind), "matter that needs nothing more", "matters that need nothing more"),
    )
    said = [f"{number} {one if number == 1 else many}" for number, one, many in quiet if number]
    if said:
        yield f"Nothing to do about: {', '.join(said)}."
    if today.due < today.findings:
        yield f"Due: {today.due} of {today.findings} findings. Not due yet: {today.findings - today.due}."


def _whole_file(page: _Page, file: InFile) -> Iterator[Line]:
    yield Line(file.file, "bold")
    for task in file.tasks:
        yield from _of_task(page, task)


def _of_file(page: _Page, file: InFile) -> Iterator[Line]:
    """What is most pressing in a file; what only waits for rows that are told as faults is one line."""
    yield Line(file.file, "bold")
    waiting = [task for task in file.tasks if task.waits]
    own = [task for task in file.tasks if not task.waits]
    for task in own[:MOST_IN_FILE]:
        yield from _of_task(page, task)
    left = own[MOST_IN_FILE:]
    if left:
        kinds = [(sum(task.kind is kind for task in left), kind.value) for kind in Kind]
        told = listed([f"{number} {words}" for number, words in kinds if number])
        yield from page.wrapped(f"and {told} more ({ALL})", "  ", style="dim")
    if waiting:
        yield from page.wrapped(_waiting(waiting), "  ", "    ", style="dim")


def _waiting(tasks: Sequence[Task]) -> str:
    named = [number for task in tasks for number in task.numbers[:1]]
    more = f" and {len(named) - MOST_WAITING} more" if len(named) > MOST_WAITING else ""
    return (
        f"{_things_wait(len(tasks))} for rows that are told as faults: {', '.join(named[:MOST_WAITING])}{more} ({ALL})"
    )


def _things_wait(number: int) -> str:
    return counted(number, "thing waits", "things wait")


def _of_task(page: _Page, task: Task) -> Iterator[Line]:
    at = task.at
    place = ", ".join(part for part in (at.short, at.column or (at.part if at.part != at.short else "")) if part)
    head = f"{place}: {task.kind.value}. " if place else f"{task.kind.value.capitalize()}. "
    number = f"{task.numbers[0]} " if task.numbers else ""
    yield from page.wrapped(f"{head}{number}{task.what}", "  ", "    ")
    if task.alike:
        yield from page.wrapped(f"likewise {' | '.join(task.alike)}", "    ", style="dim")
    yield from page.wrapped(textwrap.shorten(task.why, BRIEF, placeholder=" …"), "    ", style="dim")
    yield from page.wrapped(f"-> {task.remedy}", "    ", "       ")
    if task.row:
        yield from page.wrapped(f"{ROW}: {task.row}", "       ")


def _unused(page: _Page, today: Daily, everything: bool) -> Iterator[Line]:
    if not today.unused:
        return
    yield Line("")
    yield Line(f"Files that nothing uses: {len(today.unused)}", "bold")
    shown = today.unused if everything else today.unused[:MOST_UNUSED]
    for name in shown:
        yield from page.wrapped(name, "  ")
    if len(shown) < len(today.unused):
        yield from page.wrapped(f"and {len(today.unused) - len(shown)} more ({ALL})", "  ", style="dim")


def _proposals(page: _Page, today: Daily) -> Iterator[Line]:
    """Lines that a yard may copy into columns.toml, each as it stands there."""
    if not today.proposals:
        return
    yield Line("")
    yield Line("Heads and words that are not ours", "bold")
    words = "What is right can be copied into columns.toml. Nothing of it is used until it stands there."
    yield from page.wrapped(words)
    yield Line("")
    yield from map(Line, today.proposals)


def _behind(page: _Page, today: Daily) -> Iterator[Line]:
    if not today.behind:
        return
    yield Line("")
    yield Line(f"Needs nothing more: {len(today.behind)}", "bold")
    for matter in today.behind:
        number = f"{matter.findings[0]} " if matter.findings else ""
        yield from page.wrapped(f"{number}{matter.what}: {matter.state.value}", "  ", "    ")


def _questions(page: _Page, today: Daily) -> Iterator[Line]:
    yield Line("")
    yield Line("Every question", "bold")
    for check in today.checks:
        yield from page.wrapped(f"{check.id}  {check.question} {check.counts}", "  ", "          ")


def _later(page: _Page, today: Daily) -> Iterator[Line]:
    stage = stage_named(today.stage)
    if not today.later or stage is None:
        return
    yield Line("")
    head = f"Not due yet, since she is {stage.words}: {today.findings - today.due} of {today.findings}"
    yield from page.wrapped(head, style="bold")
    for later in today.later:
        yield from page.wrapped(f"from {later.stage}: {later.findings} ({_in_chapters(later.checks)})", "  ", "    ")


def _in_chapters(checks: Iterable[str]) -> str:
    """Checks with the letters of each chapter told once: `COA-01, 02, 03; SYS-04`."""
    found: dict[str, list[str]] = {}
    for check in checks:
        letters, _, number = check.partition("-")
        found.setdefault(letters, []).append(number)
    return "; ".join(f"{letters}-{', '.join(numbers)}" for letters, numbers in found.items())
