"""Commands; no logic of their own."""

from __future__ import annotations

import io
import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.asked import (
    BAD_NEWS,
    COULD_NOT,
    DONE,
    HullFolder,
    Strict,
    Units,
    book_of,
    book_or_why,
    folder_named,
    progress,
    status_of,
    stop,
    told_in_one_line,
)
from buildbook.core.face import Form, Paper
from buildbook.core.shown_units import ShownUnits

if TYPE_CHECKING:
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


@app.command()
def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", parser=folder_named, help="Folder to lay out; made if it is not there.")
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
        stop(str(refused))
    except OSError as error:
        stop(f"{folder}: {error.strerror or error}")
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
    from buildbook.pipeline import waits
    from buildbook.proposed import proposed
    from buildbook.restated.book import restated
    from buildbook.terminal import show, show_watched

    def today(made: Made) -> Daily:
        return daily(restated(made.book), made.not_withheld, proposed(folder), waits(made))

    def judged() -> Daily | str:
        with progress() as said:
            made = book_or_why(folder, said, shown=units)
        return made if isinstance(made, str) else today(made)

    if watch and form is Form.JSON:
        stop("--watch shows text: leave out --format json, or run check each time")
    if watch:
        show_watched(folder, judged, everything=everything)
        raise typer.Exit(DONE)
    with progress() as said:
        made = book_of(folder, said, shown=units)
        now = today(made)
    show(now, form, everything=everything)
    raise typer.Exit(status_of(made, strict))


@app.command()
def ready(
    folder: HullFolder,
    out: Annotated[
        Path,
        typer.Option("-o", "--out", metavar="FILE", parser=folder_named, help="The page to write; outside the book."),
    ] = Path("readiness.html"),
) -> None:
    """Write one page for the yard's own people: what keeps the book from being shown, and who does what about it."""
    from buildbook.pipeline import waits
    from buildbook.ready.page import write_page

    with progress() as said, told_in_one_line(out):
        made = book_of(folder, said)
        write_page(made.book, made.not_withheld, folder, out, waits(made))
    typer.echo(f"Written to {out}. It is for the yard and no part of the book.")


@app.command()
def build(
    folder: HullFolder,
    out: Annotated[
        Path,
        typer.Option(
            "-o", "--out", metavar="OUT", parser=folder_named, help="Folder for the book; replaced if it is ours."
        ),
    ] = Path("out"),
    theme: Annotated[
        Path | None,
        typer.Option(
            "--theme", metavar="FOLDER", parser=folder_named, help="Your own colours, type and logo (theme.toml)."
        ),
    ] = None,
    texts: Annotated[
        Path | None,
        typer.Option(
            "--texts", metavar="FOLDER", parser=folder_named, help="Your own prose, such as coating/COA-04.md."
        ),
    ] = None,
    paper: Annotated[
        Paper, typer.Option("--paper", help="Paper of the printed book.", case_sensitive=False)
    ] = Paper.A4,
    previous: Annotated[
        Path | None,
        typer.Option(
            "--previous", metavar="OUT", parser=folder_named, help="The release before this one: tell what changed."
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

    with progress() as said:
        try:
            if restored(out):
                typer.echo(f"{out}: a build that was stopped had set the earlier book aside. It is back.", err=True)
            check_out(out, folder, force=force)  # before the long part
            if previous is not None and os.path.realpath(previous) == os.path.realpath(out):
                stop(f"{out} is the release before, and it would be replaced; name another folder with -o")
            own = own_face(theme, texts, paper)
            made = book_of(folder, said, own.texts, units)
            made = made if previous is None else released(made, previous)
            written = write_book(made, folder, out, said, own.face, force=force)
        except (Refused, NotClean, FaceRefused, NotEarlier) as refused:
            stop(str(refused))
        except OSError as error:
            stop(f"{out}: the book cannot be written there ({error.strerror or error})")
    show_written(made.book, replace(written, notices=(*written.notices, *own.notices)), out)
    raise typer.Exit(status_of(made, strict))


@app.command()
def explain(check_id: Annotated[str, typer.Argument(metavar="CHECK-ID", help="For example COA-04.")]) -> None:
    """Question, formula, limit, source and range of one check."""
    from buildbook.terminal import explain as tell

    if not tell(check_id.upper()):
        stop(f"{check_id}: no check has this id. `buildbook explain all` lists them.")


@app.command()
def verify(
    out: Annotated[
        Path,
        typer.Argument(
            metavar="OUT",
            parser=folder_named,
            help="A book: its folder, its evidence package (zip or unpacked), or the printed PDF.",
        ),
    ],
    digest: Annotated[
        str | None,
        typer.Option("--digest", metavar="TEXT", help="The digest printed on your own copy: 12 characters or 64."),
    ] = None,
    allowed: Annotated[
        Path | None,
        typer.Option(
            "--allowed", metavar="FILE", parser=folder_named, help="Keys you trust (OpenSSH allowed_signers)."
        ),
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
        stop("--digest is empty: type the characters from your own copy, or leave it out")
    with progress() as said:
        said("comparing every file with its entry")
        try:
            place, stopped = standing(out)
            checked = compare(place, digest or "", allowed, differing, _pages() if pages else None)
        except CannotJudge as why:
            stop(str(why))
    for line in told(checked, str(place), stopped):
        typer.echo(plain(line))
    raise typer.Exit(BAD_NEWS if checked.bad else COULD_NOT if checked.not_judged else DONE)


@app.command()
def sign(
    out: Annotated[
        Path, typer.Argument(metavar="OUT", parser=folder_named, help="The folder of a book, as build wrote it.")
    ],
    key: Annotated[
        Path,
        typer.Option("--key", metavar="FILE", parser=folder_named, help="Private key of OpenSSH, of the kind Ed25519."),
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
            return given or stop(f"{key} is locked and no passphrase was given; sign at a terminal")
        return str(typer.prompt(f"Passphrase of {key}", hide_input=True, err=True))

    try:
        done = put_name(out, key, identity, passphrase, differing, _pages())
    except (Refused, CannotJudge, KeyRefused) as refused:
        stop(str(refused))
    except OSError as error:
        stop(f"{out}: the signed book cannot be written ({error.strerror or error})")
    for line in signed(done, str(out)):
        typer.echo(plain(line))


def _pages() -> Pages:
    from buildbook.pages import differing_pages

    return differing_pages


@app.command()
def remeasure(
    folder: HullFolder,
    out: Annotated[
        Path, typer.Option("-o", "--out", metavar="SHEET", parser=folder_named, help="Folder for the sheet; a new one.")
    ],
    paper: Annotated[
        Paper, typer.Option("--paper", help="Paper of the printed sheet.", case_sensitive=False)
    ] = Paper.A4,
) -> None:
    """Lay out a sheet for a surveyor: the yard's places and conditions, and room for his readings."""
    from buildbook.second.sheet import NothingToMeasure, write_sheet

    with progress() as said, told_in_one_line(out):
        try:
            laid = write_sheet(folder, out, paper, said)
        except NothingToMeasure as nothing:
            stop(str(nothing))
    for notice in laid.notices:
        typer.echo(notice)
    typer.echo(f"{len(laid.files)} files laid out in {out}. Print sheet.pdf, and fill the tables.")
    typer.echo(f"Then: buildbook compare {folder} {out}")


@app.command()
def compare(
    folder: HullFolder,
    survey: Annotated[
        Path, typer.Argument(metavar="SURVEY", parser=folder_named, help="Folder with the surveyor's readings.")
    ],
    out: Annotated[
        Path,
        typer.Option(
            "-o", "--out", metavar="OUT", parser=folder_named, help="Folder to write; replaced if it is ours."
        ),
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

    with progress() as said, told_in_one_line(out):
        try:
            done = write_comparison(folder, survey, out, paper, said, units)
        except (NotTheSameHull, Swapped) as other:
            stop(str(other))
        except NothingFilled as nothing:
            stop(str(nothing), BAD_NEWS)
    show_comparison(done, out)


def main() -> None:
    """Run the command line. Signs that a terminal cannot show are printed as question marks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    app()


if __name__ == "__main__":
    main()
