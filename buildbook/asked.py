"""What the commands share: what they take, how they end, and how a folder becomes a book for them."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from buildbook.core.shown_units import ShownUnits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from buildbook.core.book import OwnText
    from buildbook.pipeline import Made

DONE, BAD_NEWS, COULD_NOT = 0, 1, 2


def folder_named(words: str | Path) -> Path:
    """A folder as it was named; no words at all would mean the one that the command is given in."""
    if not str(words).strip():
        raise typer.BadParameter("name a folder; '.' is the one you are in")
    return Path(words)


HullFolder = Annotated[
    Path,
    typer.Argument(
        metavar="FOLDER", parser=folder_named, help="Folder with the hull's records (hull.toml and tables)."
    ),
]
Strict = Annotated[
    bool, typer.Option("--strict", help="Exit with 1 when there is a fault, a fail or a conditional fail.")
]

Units = Annotated[
    ShownUnits,
    typer.Option("--units", help="Units that figures are told in; they are judged in those of the columns."),
]


def book_of(
    folder: Path,
    said: Callable[[str], None],
    texts: tuple[OwnText, ...] = (),
    shown: ShownUnits = ShownUnits.METRIC,
) -> Made:
    """The book of a folder; where that cannot be read, says why and stops."""
    made = book_or_why(folder, said, texts, shown)
    return stop(made) if isinstance(made, str) else made


def book_or_why(
    folder: Path,
    said: Callable[[str], None],
    texts: tuple[OwnText, ...] = (),
    shown: ShownUnits = ShownUnits.METRIC,
) -> Made | str:
    """The book, or why the folder cannot be read."""
    from buildbook.pipeline import make_book
    from buildbook.readers.hull_file import HullFileUnreadable
    from buildbook.readers.refused import Refused

    try:
        return make_book(folder, said, texts=texts, shown=shown)
    except HullFileUnreadable as unreadable:
        return str(unreadable)
    except Refused as refused:
        return f"{folder}{str(refused).removeprefix('.')}"
    except OSError as error:
        return f"{folder}: {error.strerror or error}"


def status_of(made: Made, strict: bool) -> int:
    """How a command ends that made a book: bad news only where it was asked for."""
    bad = any(item.finding.verdict.missed for item in made.book.exceptions)
    return BAD_NEWS if strict and (bad or made.book.unusable) else DONE


def stop(words: str, status: int = COULD_NOT) -> NoReturn:
    """Say why nothing can be done, and end."""
    from buildbook.terminal import plain

    typer.echo(plain(words), err=True)
    raise typer.Exit(status)


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Say what is being done, on a terminal only."""
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield lambda _: None
        return
    with console.status("starting") as status:
        yield status.update


@contextmanager
def told_in_one_line(out: Path) -> Iterator[None]:
    """Say in one line why a folder could not be read or written, and stop."""
    from buildbook.render.pdf import NotClean
    from buildbook.render.place import Refused
    from buildbook.second.reading import FolderUnreadable

    try:
        yield
    except (Refused, NotClean, FolderUnreadable) as no:
        stop(str(no))
    except OSError as error:
        stop(f"{out}: {error.strerror or error}")
