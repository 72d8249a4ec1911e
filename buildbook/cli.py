"""Commands; no logic of their own."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from buildbook.core.face import Form, Paper
from buildbook.core.shown_units import ShownUnits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from buildbook.core.book import OwnText
    from buildbook.pipeline import Made
    from buildbook.seal.made_again import Pages

app = typer.Typer(
    name="buildbook",
    help="Turn one hull's folder of quality records into a book: a web site, a PDF and open data.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _folder(words: str | Path) -> Path:
    """A folder as it was named; no words at all would mean the one that the command is given in."""
    if not str(words).strip():
        raise typer.BadParameter("name a folder; '.' is the one you are in")
    return Path(words)


HullFolder = Annotated[
    Path,
    typer.Argument(metavar="FOLDER", parser=_folder, help="Folder with the hull's records (hull.toml and tables)."),
]
Strict = Annotated[
    bool, typer.Option("--strict", help="Exit with 1 when there is a fault, a fail or a conditional fail.")
]

Units = Annotated[
    ShownUnits,
    typer.Option("--units", help="Units that figures are told in; they are judged in those of the columns."),
]

DONE, BAD_NEWS, COULD_NOT = 0, 1, 2


@app.command()
def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", parser=_folder, help="Folder to lay out; made if it is not there.")
    ],
    xlsx: Annotated[
        bool, typer.Option("--xlsx", help="Tables as sheets of workbooks, one for each chapter, instead of CSV.")
    ] = False,
) -> None:
    """Lay out a hull folder: hull.toml and every table empty, each column explained."""
    from buildbook.newfolder import NotOurs, lay_out

    try:
        written = lay_out(folder, xlsx=xlsx)
    except NotOurs as refused:
        _stop(str(refused))
    except OSError as error:
        _stop(f"{folder}: {error.strerror or error}")
    laid = f"{len(written)} {'file' if len(written) == 1 else 'files'} laid out in {folder}"
    typer.echo(f"{laid}. Nothing that was there has been changed.")
    see = "the sheet about in each workbook" if xlsx else "columns.md"
    typer.echo(f"Fill hull.toml first, then the tables you have; see {see}. Then: buildbook check {folder}")


@app.command()
def check(
    folder: HullFolder,
    everything: Annotated[
        bool, typer.Option("--all", help="Also what needs nothing more, and every question with its counts.")
    ] = False,
    form: Annotated[
        Form, typer.Option("--format", help="Text for people, or JSON as docs/reference/check.schema.json says.")
    ] = Form.TEXT,
    watch: Annotated[
        bool, typer.Option("--watch", help="Judge again whenever a file of the folder changes, until Ctrl-C.")
    ] = False,
    units: Units = ShownUnits.METRIC,
    strict: Strict = False,
) -> None:
    """Read and judge; print what is to be done, file by file, with a remedy each. Writes nothing."""
    from buildbook.daily import Daily, daily
    from buildbook.proposed import proposed
    from buildbook.restated.book import restated
    from buildbook.terminal import show, show_watched

    def today(made: Made) -> Daily:
        return daily(restated(made.book), made.not_withheld, proposed(folder))

    def judged() -> Daily | str:
        with _progress() as said:
            made = _made(folder, said, shown=units)
        return made if isinstance(made, str) else today(made)

    if watch and form is Form.JSON:
        _stop("--watch shows text: leave out --format json, or run check each time")
    if watch:
        show_watched(folder, judged, everything=everything)
        raise typer.Exit(DONE)
    with _progress() as said:
        made = _make(folder, said, shown=units)
        now = today(made)
    show(now, form, everything=everything)
    raise typer.Exit(_verdict(made, strict))


@app.command()
def ready(
    folder: HullFolder,
    out: Annotated[
        Path, typer.Option("-o", "--out", metavar="FILE", parser=_folder, help="The page to write; outside the book.")
    ] = Path("readiness.html"),
) -> None:
    """Write one page for the yard's own people: what keeps the book from being shown, and who does what about it."""
    from buildbook.ready.page import write_page

    with _progress() as said, _told(out):
        made = _make(folder, said)
        write_page(made.book, made.not_withheld, folder, out)
    typer.echo(f"Written to {out}. It is for the yard and no part of the book.")


@app.command()
def build(
    folder: HullFolder,
    out: Annotated[
        Path,
        typer.Option("-o", "--out", metavar="OUT", parser=_folder, help="Folder for the book; replaced if it is ours."),
    ] = Path("out"),
    theme: Annotated[
        Path | None,
        typer.Option("--theme", metavar="FOLDER", parser=_folder, help="Your own colours, type and logo (theme.toml)."),
    ] = None,
    texts: Annotated[
        Path | None,
        typer.Option("--texts", metavar="FOLDER", parser=_folder, help="Your own prose, such as coating/COA-04.md."),
    ] = None,
    paper: Annotated[
        Paper, typer.Option("--paper", help="Paper of the printed book.", case_sensitive=False)
    ] = Paper.A4,
    previous: Annotated[
        Path | None,
        typer.Option(
            "--previous", metavar="OUT", parser=_folder, help="The release before this one: tell what changed."
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a signed book, too.")] = False,
    strict: Strict = False,
    units: Units = ShownUnits.METRIC,
) -> None:
    """Write the book: web site, PDF and open data."""
    from buildbook.face.refusal import FaceRefused
    from buildbook.pipeline import own_face, released, write_book
    from buildbook.render.package import check_out
    from buildbook.render.pdf import NotClean
    from buildbook.render.place import Refused, restored
    from buildbook.seal.earlier import NotEarlier
    from buildbook.terminal import show_written

    with _progress() as said:
        try:
            if restored(out):
                typer.echo(f"{out}: a build that was stopped had set the earlier book aside. It is back.", err=True)
            check_out(out, folder, force=force)  # before the long part
            if previous is not None and os.path.realpath(previous) == os.path.realpath(out):
                _stop(f"{out} is the release before, and it would be replaced; name another folder with -o")
            own = own_face(theme, texts, paper)
            made = _make(folder, said, own.texts, units)
            made = made if previous is None else released(made, previous)
            written = write_book(made, folder, out, said, own.face, force=force)
        except (Refused, NotClean, FaceRefused, NotEarlier) as refused:
            _stop(str(refused))
        except OSError as error:
            _stop(f"{out}: the book cannot be written there ({error.strerror or error})")
    show_written(made.book, replace(written, notices=(*written.notices, *own.notices)), out)
    raise typer.Exit(_verdict(made, strict))


@app.command()
def explain(check_id: Annotated[str, typer.Argument(metavar="CHECK-ID", help="For example COA-04.")]) -> None:
    """Question, formula, limit, source and range of one check."""
    from buildbook.terminal import explain as tell

    if not tell(check_id.upper()):
        _stop(f"{check_id}: no check has this id. `buildbook explain all` lists them.")


@app.command()
def verify(
    out: Annotated[
        Path,
        typer.Argument(
            metavar="OUT",
            parser=_folder,
            help="A book: its folder, its evidence package (zip or unpacked), or the printed PDF.",
        ),
    ],
    digest: Annotated[
        str | None,
        typer.Option("--digest", metavar="TEXT", help="The digest printed on your own copy: 12 characters or 64."),
    ] = None,
    allowed: Annotated[
        Path | None,
        typer.Option("--allowed", metavar="FILE", parser=_folder, help="Keys you trust (OpenSSH allowed_signers)."),
    ] = None,
    pages: Annotated[
        bool, typer.Option("--pages", help="Make the pages a second time from the data and compare them, too.")
    ] = False,
) -> None:
    """Is this the same book? Name what changed, what is missing, what is extra; and who signed it."""
    from buildbook.exports import differing
    from buildbook.seal.holder import CannotJudge
    from buildbook.seal.stopped import standing
    from buildbook.seal.told import told
    from buildbook.seal.verify import verify as compare
    from buildbook.terminal import plain

    if digest is not None and not digest.strip():
        _stop("--digest is empty: type the characters from your own copy, or leave it out")
    with _progress() as said:
        said("comparing every file with its entry")
        try:
            place, stopped = standing(out)
            checked = compare(place, digest or "", allowed, differing, _pages() if pages else None)
        except CannotJudge as why:
            _stop(str(why))
    for line in told(checked, str(place), stopped):
        typer.echo(plain(line))
    raise typer.Exit(BAD_NEWS if checked.bad else COULD_NOT if checked.not_judged else DONE)


@app.command()
def sign(
    out: Annotated[
        Path, typer.Argument(metavar="OUT", parser=_folder, help="The folder of a book, as build wrote it.")
    ],
    key: Annotated[
        Path,
        typer.Option("--key", metavar="FILE", parser=_folder, help="Private key of OpenSSH, of the kind Ed25519."),
    ],
    identity: Annotated[
        str, typer.Option("--as", metavar="IDENTITY", help="Who signs; if not said, the builder's name from the book.")
    ] = "",
) -> None:
    """Vouch for a book: sign the list of its release, and say so on every page."""
    from buildbook.exports import differing
    from buildbook.render.place import Refused
    from buildbook.seal.holder import CannotJudge
    from buildbook.seal.keys import KeyRefused
    from buildbook.seal.sign import sign as put_name
    from buildbook.seal.told import signed
    from buildbook.terminal import plain

    def passphrase() -> str:
        if not sys.stdin.isatty():
            given = sys.stdin.readline().rstrip("\r\n")
            return given or _stop(f"{key} is locked and no passphrase was given; sign at a terminal")
        return str(typer.prompt(f"Passphrase of {key}", hide_input=True, err=True))

    try:
        done = put_name(out, key, identity, passphrase, differing, _pages())
    except (Refused, CannotJudge, KeyRefused) as refused:
        _stop(str(refused))
    except OSError as error:
        _stop(f"{out}: the signed book cannot be written ({error.strerror or error})")
    for line in signed(done, str(out)):
        typer.echo(plain(line))


def _pages() -> Pages:
    from buildbook.pages import differing_pages

    return differing_pages


def _make(
    folder: Path,
    said: Callable[[str], None],
    texts: tuple[OwnText, ...] = (),
    shown: ShownUnits = ShownUnits.METRIC,
) -> Made:
    made = _made(folder, said, texts, shown)
    return _stop(made) if isinstance(made, str) else made


def _made(
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


def _verdict(made: Made, strict: bool) -> int:
    bad = any(item.finding.verdict.missed for item in made.book.exceptions)
    return BAD_NEWS if strict and (bad or made.book.unusable) else DONE


def _stop(words: str, status: int = COULD_NOT) -> NoReturn:
    from buildbook.terminal import plain

    typer.echo(plain(words), err=True)
    raise typer.Exit(status)


@contextmanager
def _progress() -> Iterator[Callable[[str], None]]:
    """Say what is being done, on a terminal only."""
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield lambda _: None
        return
    with console.status("starting") as status:
        yield status.update


@app.command()
def remeasure(
    folder: HullFolder,
    out: Annotated[
        Path, typer.Option("-o", "--out", metavar="SHEET", parser=_folder, help="Folder for the sheet; a new one.")
    ],
    paper: Annotated[
        Paper, typer.Option("--paper", help="Paper of the printed sheet.", case_sensitive=False)
    ] = Paper.A4,
) -> None:
    """Lay out a sheet for a surveyor: the yard's places and conditions, and room for his readings."""
    from buildbook.second.sheet import NothingToMeasure, write_sheet

    with _progress() as said, _told(out):
        try:
            laid = write_sheet(folder, out, paper, said)
        except NothingToMeasure as nothing:
            _stop(str(nothing))
    for notice in laid.notices:
        typer.echo(notice)
    typer.echo(f"{len(laid.files)} files laid out in {out}. Print sheet.pdf, and fill the tables.")
    typer.echo(f"Then: buildbook compare {folder} {out}")


@app.command()
def compare(
    folder: HullFolder,
    survey: Annotated[
        Path, typer.Argument(metavar="SURVEY", parser=_folder, help="Folder with the surveyor's readings.")
    ],
    out: Annotated[
        Path,
        typer.Option("-o", "--out", metavar="OUT", parser=_folder, help="Folder to write; replaced if it is ours."),
    ] = Path("comparison"),
    paper: Annotated[
        Paper, typer.Option("--paper", help="Paper of the printed comparison.", case_sensitive=False)
    ] = Paper.A4,
    units: Units = ShownUnits.METRIC,
) -> None:
    """Set a surveyor's readings beside the yard's: a page, a PDF and data."""
    from buildbook.second.reading import NothingFilled, NotTheSameHull
    from buildbook.second.two_folders import Swapped
    from buildbook.second.write import write_comparison
    from buildbook.terminal import show_comparison

    with _progress() as said, _told(out):
        try:
            done = write_comparison(folder, survey, out, paper, said, units)
        except (NotTheSameHull, Swapped) as other:
            _stop(str(other))
        except NothingFilled as nothing:
            _stop(str(nothing), BAD_NEWS)
    show_comparison(done, out)


@contextmanager
def _told(out: Path) -> Iterator[None]:
    """Say in one line why a folder could not be read or written, and stop."""
    from buildbook.render.pdf import NotClean
    from buildbook.render.place import Refused
    from buildbook.second.reading import FolderUnreadable

    try:
        yield
    except (Refused, NotClean, FolderUnreadable) as no:
        _stop(str(no))
    except OSError as error:
        _stop(f"{out}: {error.strerror or error}")


def main() -> None:
    """Run the command line. Signs that a terminal cannot show are printed as question marks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    app()


if __name__ == "__main__":
    main()
