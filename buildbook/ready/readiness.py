"""What keeps a book from being shown, in the order in which it matters, with who has to do what."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from buildbook.chapters.register.records import Document
from buildbook.core.book import Book
from buildbook.core.grammar import counted
from buildbook.core.listing import NOT_WORDED
from buildbook.core.wording import capital, listed
from buildbook.daily import Daily, Kind, Task
from buildbook.readers.persons import MAY_BE_A_NAME
from buildbook.remedies import Who

HULL_FILE = "hull.toml"
PICTURES = (".png", ".jpg", ".jpeg", ".webp")
QUALITY, OFFICE, SALES = Who.QUALITY.value, Who.OFFICE.value, "whoever writes the listing"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing: what it is, who has to do what about it, and where; `todo` is empty where it is only to be known.

    `row` are the words that a report about it has, where one may be written.
    """

    what: str
    who: str = ""
    todo: str = ""
    where: str = ""
    row: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the page. `none` says that it has no items, `more` what is only counted.

    `bars`: its items keep the book from being shown.
    """

    key: str
    title: str
    lead: str
    items: tuple[Item, ...]
    none: str
    bars: bool
    more: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """One chapter: how many of its questions are whole, out of how many, and the counts of its findings in words."""

    title: str
    questions: int
    of: int
    counts: str

    @property
    def whole(self) -> bool:
        """Whether all of it can be shown."""
        return self.questions == self.of


@dataclass(frozen=True, slots=True)
class Readiness:
    """Whether a book may be shown, in words; what keeps it from that, part by part; and what can be shown already."""

    answer: str
    parts: tuple[Part, ...]
    chapters: tuple[Shown, ...]


def readiness(book: Book, today: Daily) -> Readiness:
    """What keeps a book from being shown.

    Args:
        book: the book of the folder.
        today: what is to be done in the folder.
    """
    parts = tuple(part(book, today) for part in PARTS)
    return Readiness(_answer(parts, book), parts, tuple(_whole(book, today)))


def _answer(parts: Iterable[Part], book: Book) -> str:
    barring = [part for part in parts if part.bars and part.items]
    if not barring:
        done = "Nothing that this program can see keeps her book from being shown."
        return f"{done} {book.hull.unfinished}".strip()
    told = [f"{len(part.items)} under “{part.title.lower()}”" for part in barring]
    return f"Not as it is. What stands in the way: {listed(told)}."


def _tasks(today: Daily, wanted: Callable[[Task], bool]) -> tuple[Item, ...]:
    return tuple(
        Item(capital(f"{task.what}. {task.why}".strip()), task.who.value, task.remedy, str(task.at), task.row)
        for task in today.tasks
        if wanted(task)
    )


def _open(_: Book, today: Daily) -> Part:
    items = _tasks(today, lambda task: task.kind is Kind.OPEN and bool(task.reports))
    return Part("open", "Open matters", "A report says that something is not right, and nobody has closed it.", items,
                "No report is open.", bars=True)  # fmt: skip


def _unreported(_: Book, today: Daily) -> Part:
    items = _tasks(today, lambda task: task.kind is Kind.OPEN and not task.reports)
    return Part("unreported", "Failed without a report", "A limit was missed, and nothing says what was done about it.",
                items, "Every fail has its report.", bars=True)  # fmt: skip


def _gaps(_: Book, today: Daily) -> Part:
    items = _tasks(today, lambda task: task.kind in (Kind.MISSING, Kind.UNDECIDED, Kind.OVERDUE))
    lead = "Not there, not decided, or read with an instrument whose calibration is not shown. The plan asks for it " \
           "by now, or a check looks for it wherever it was not done."  # fmt: skip
    return Part("gaps", "Gaps that are due", lead, items, "Nothing that is due is missing.", bars=True)


def _staying(_: Book, today: Daily) -> Part:
    items = _tasks(today, lambda task: task.kind is Kind.STAYS)
    lead = "A closed report tells each of these, and nothing can fill it any more. The book tells it openly; it does " \
           "not keep her from being shown."  # fmt: skip
    return Part("stays", "Gaps that stay", lead, items, "No gap has to stay.", bars=False)


def _faults(_: Book, today: Daily) -> Part:
    items = _tasks(today, lambda task: task.kind in (Kind.STOPS, Kind.FAULT))
    lead = "What cannot be read hides data: what rests on it is called no better than inconclusive."
    return Part("faults", "Faults that hide data", lead, items, "Every entry of the folder can be read.", bars=True)


def _private(book: Book, today: Daily) -> Part:
    named = tuple(
        Item(f"A name of a person may stand here: {fault.found}.", OFFICE, "Write a role and initials, such as QA KL.",
             str(fault.where))
        for fault in book.faults
        if MAY_BE_A_NAME in fault.found
    )  # fmt: skip
    number = len(book.withheld)
    held = f"{number} {'thing is' if number == 1 else 'things are'} withheld." if number else "Nothing is withheld."
    lead = f"{held} Names in pictures and in PDF documents no program can see: look at each before it is shown."
    return Part("private", "Private things still visible", lead, named, "No cell looks like a name.", bars=True)


def _state(book: Book, today: Daily) -> Part:
    items = []
    if book.hull.demonstration:
        items.append(
            Item(book.hull.demonstration, SALES, "Never show it as a real boat.", "hull.toml, hull.demonstration")
        )
    if book.hull.unfinished:
        items.append(Item(book.hull.unfinished, SALES, "Say so wherever it is shown.", "hull.toml, stage"))
    items.append(
        Item(
            "Every page says Draft until somebody vouches for the book.",
            QUALITY,
            "Build it, and sign it: buildbook sign.",
        )
    )
    return Part("state", "What kind of book it is", "This is said on every page of it.", tuple(items), "", bars=False)


def _pictures(book: Book, today: Daily) -> Part:
    same = [photo for photo in book.photographs if photo.alternative.strip().lower() == photo.caption.strip().lower()]
    items = [
        Item(f"{photo.file}: its words for those who cannot see it are the caption again.", OFFICE,
             "Say in `alternative` what the picture shows.", str(photo.at))
        for photo in same
    ]  # fmt: skip
    items += [
        Item(f"{name} lies in the folder and has no row.", OFFICE, "Add a row with caption and alternative, or take "
             "the picture out.", "photographs.csv")
        for name in book.unused_files
        if name.lower().endswith(PICTURES)
    ]  # fmt: skip
    return Part("pictures", "Photographs without words", "Each picture needs words for those who cannot see it.",
                tuple(items), "Every picture has its words.", bars=True)  # fmt: skip


def _documents(book: Book, today: Daily) -> Part:
    table = next((view for view in book.tables if view.file == Document.table.file), None)
    rows = [(row, table.cells(row)) for row in table.rows if not row.fault] if table else []
    items = tuple(
        Item(f"{cells.get('document', '')} {cells.get('title', '')}, {cells.get('issued_by', '')}".strip(" ,"), OFFICE,
             "Put the file into the folder and name it in `file`, or be ready to show it.",
             f"{Document.table.file}:{row.line}")
        for row, cells in rows
        if not cells.get("file", "").strip()
    )  # fmt: skip
    lead = "A limit or a report rests on these, and the folder only names them. The book is whole without them; a " \
           "buyer may ask."  # fmt: skip
    return Part("documents", "Documents that are only named", lead, items, "Every document is in the folder.",
                bars=False)  # fmt: skip


def _sentences(book: Book, today: Daily) -> Part:
    worded = [one for one in book.listing.withheld if NOT_WORDED not in one.reasons]
    items = tuple(
        Item(f"{one.check} {one.quantity}: {' '.join(one.reasons)}", SALES, "Say nothing of it.",
             ", ".join(one.findings[:1]))
        for one in worded
    )  # fmt: skip
    rest = len(book.listing.withheld) - len(worded)
    usable = counted(len(book.listing.sayings), "sentence")
    lead = f"{usable} may be used without a change; these may not, each for its reasons."
    more = f"For {rest} other characteristics no sentence is worded at all." if rest else ""
    return Part("sentences", "Sentences that may not be used", lead, items, "Every sentence there is may be used.",
                bars=False, more=more)  # fmt: skip


def _later(book: Book, today: Daily) -> Part:
    items = tuple(
        Item(f"From {later.stage}: {counted(later.findings, 'finding')} of {listed(later.checks)}.")
        for later in today.later
    )
    return Part("later", "Not due yet", book.not_due_in_short or "Everything is due.", items,
                "Nothing waits for a later stage.", bars=False)  # fmt: skip


Written = Callable[[Book, Daily], Part]
PARTS: Sequence[Written] = (
    _open, _unreported, _gaps, _faults, _private, _state, _staying, _pictures, _documents, _sentences, _later,
)  # fmt: skip


def _whole(book: Book, today: Daily) -> Iterable[Shown]:
    """How many questions of each chapter are whole: nothing about them is open, missing, unread or waiting."""
    busy = {number.partition("/")[0] for task in today.tasks if task.kind is not Kind.NOTICE for number in task.numbers}
    busy |= {item.finding.key.check for item in book.not_due}
    unread = {task.at.file for task in today.tasks if task.kind in (Kind.STOPS, Kind.FAULT)}
    for chapter in book.chapters:
        hidden = bool(unread & {*chapter.tables, HULL_FILE})
        whole = 0 if hidden else sum(check.id not in busy for check in chapter.checks)
        counts = ", ".join(count.of() for count in chapter.counts)
        yield Shown(chapter.title, whole, len(chapter.checks), counts)
