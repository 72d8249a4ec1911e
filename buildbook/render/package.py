"""The output folder: everything is made in memory, written aside, and put in place at once."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from buildbook.core.book import Book
from buildbook.core.face import PLAIN, Face
from buildbook.core.published import JSON, RECEIVED, RELEASE, SIGNATURE, SUMS
from buildbook.render.html import Facts, site
from buildbook.render.jsonfile import book_json, schema_json
from buildbook.render.names import NO_NAME, file_name, package_name, shown, stays_inside
from buildbook.render.occupied import ANOTHER, occupied
from buildbook.render.place import MARKER, MARKER_START, Refused, is_ours, put
from buildbook.render.sheet import sheet_files
from buildbook.render.streamed import Packed, Streamed, streamed
from buildbook.render.sums import list_of_sums, read_sums, withheld_lines
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.restated.book import restated

MARKER_TEXT = f"{MARKER_START} The next build replaces it whole: keep nothing else in it.\n"
SCHEMA = "book.schema.json"


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: the folder, the names of its files, the digest, the PDF's name if any, what to tell."""

    out: Path
    files: tuple[str, ...]
    digest: str
    pdf: str
    notices: tuple[str, ...]


def silent(_: str) -> None:
    """Progress that nobody watches."""


def write(
    book: Book,
    files: Mapping[str, bytes],
    out: Path,
    *,
    hull_root: Path | None = None,
    progress: Callable[[str], None] = silent,
    pdf: bool = True,
    face: Face = PLAIN,
    packed: Packed | None = None,
    force: bool = False,
) -> Written:
    """Render a book and put it in place.

    Nothing in `out` is touched before everything is rendered and written beside it.

    Args:
        book: the finished book.
        files: the tables and hull.toml as received, by their names in the hull folder, and each published picture
            (re-encoded) by its `Photograph.out`. Pictures as received are not published and not given. Published
            documents by their `DocumentFile.out`, their first pages by `DocumentFile.picture`, tables in place of a
            file as received by their `Book.copies`.
        out: the folder to write; absent, empty, or written by an earlier build.
        hull_root: the hull folder, which `out` must neither hold nor lie in.
        progress: told what is being made.
        pdf: whether to make the PDF.
        face: the builder's own colours, type and logo, and the paper.
        packed: what makes the evidence package from its name and the files that go into it; None for none.
        force: replace a book that somebody has signed, too.

    Returns:
        What was written; `notices` says what could not be made and what to install.

    Raises:
        Refused: `out` is not ours to replace, a file name could lead out of it, or the PDF would not be without error.
    """
    check_out(out, hull_root, force=force)
    out = Path(os.path.abspath(out))
    made, facts, notices = _made(book, files, progress=progress, pdf=pdf, face=face, packed=packed)
    progress("putting the files in place")
    put(made.everything, out, lambda: check_out(out, hull_root, force=force))
    return Written(out, tuple(sorted(made.everything)), facts.digest, facts.pdf, notices)


def contents(
    book: Book,
    files: Mapping[str, bytes],
    *,
    progress: Callable[[str], None] = silent,
    pdf: bool = True,
    face: Face = PLAIN,
) -> tuple[dict[str, bytes], str, str, tuple[str, ...]]:
    """Every file of the output folder by its name, the digest, the name of the PDF (or empty), and notices.

    Args:
        book: the finished book.
        files: as for `write`.
        progress: told what is being made.
        pdf: whether to make the PDF.
        face: as for `write`.

    Returns:
        Files, digest, PDF name, notices.

    Raises:
        Refused: a name could lead out of the folder, two files have one name, or the PDF would not be without error.
    """
    made, facts, notices = _made(book, files, progress=progress, pdf=pdf, face=face)
    return made.content, facts.digest, facts.pdf, notices


def digest_of(book: Book, files: Mapping[str, bytes]) -> str:
    """The digest that every page of a book prints, without making the pages; `files` as for `write`."""
    return _evidence(book, files, _inputs(book, files), _Files(), silent, None).digest


def _made(
    book: Book,
    files: Mapping[str, bytes],
    *,
    progress: Callable[[str], None],
    pdf: bool,
    face: Face,
    packed: Packed | None = None,
) -> tuple[_Files, Facts, tuple[str, ...]]:
    """Every file, in the order in which one needs the other."""
    made = _Files()
    inputs = _inputs(book, files)
    facts = _evidence(book, files, inputs, made, progress, packed)
    facts = replace(facts, face=face, pdf=f"{file_name(book.hull.number)}-book.pdf" if pdf else "")
    notices: tuple[str, ...] = ()
    book = restated(book)  # from here on only pages are made
    if pdf:
        data, notices = _pdf(book, facts, made.content, progress)
        if data:
            made.add(facts.pdf, data)
        else:
            facts = replace(facts, pdf="")
    styles = {**assets(templates_dir()), **theme_files(face)}
    sheets, more = sheet_files(
        book, facts, f"{file_name(book.hull.number)}-listing", made.content.get(facts.pdf, b""), styles
    )
    facts = replace(facts, sheets=tuple(sheets))
    for name, data in sheets.items():
        made.add(name, data)
    for name, text in site(book, facts, progress):
        made.add(name, text.encode("utf-8"))
    for name, data in styles.items():
        made.add(name, data)
    made.add(MARKER, MARKER_TEXT.encode("utf-8"))
    released = {name: data for name, data in made.everything.items() if name not in inputs and name != JSON}
    made.add(RELEASE, list_of_sums(released))
    return made, facts, (*notices, *more)


def _evidence(
    book: Book,
    files: Mapping[str, bytes],
    inputs: Mapping[str, bytes],
    made: _Files,
    progress: Callable[[str], None],
    packed: Packed | None,
) -> Facts:
    """The files that the digest names, the digest, then documents, pictures and the package of all evidence."""
    _check_pictures(book, files)
    for name, data in inputs.items():
        made.add(name, data)
    progress(JSON)
    made.add(JSON, book_json(book))
    sums = list_of_sums(made.content) + _withheld(book)
    made.add(SUMS, sums)
    made.add(SCHEMA, schema_json())
    for document in book.documents:
        if document.out:
            made.add(document.out, files[document.out])
    parcel = package_name(book.hull.number) if packed else ""
    if packed:
        progress(parcel)
        made.stream(parcel, streamed(packed(parcel.removesuffix(".zip"), dict(made.content))))
    for picture in _pictures(book):
        made.add(picture, files[picture])
    received = {name.removeprefix(RECEIVED): data for name, data in inputs.items() if name.startswith(RECEIVED)}
    return Facts(hashlib.sha256(sums).hexdigest(), received, "", parcel=parcel)


def _inputs(book: Book, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """What the book was made from, by name in the output: tables as received, or without a withheld column."""
    apart = {*_pictures(book), *(document.out for document in book.documents)}
    instead = set(book.copies.values())
    return {name if name in instead else RECEIVED + name: data for name, data in files.items() if name not in apart}


def _pictures(book: Book) -> tuple[str, ...]:
    """What the pages show: photographs, and the first pages of documents."""
    first_pages = (document.picture for document in book.documents if document.picture)
    return (*(photograph.out for photograph in book.photographs), *first_pages)


def _withheld(book: Book) -> bytes:
    """Lines that `sha256sum -c` passes over: the digests of what the yard withholds.

    Raises:
        Refused: the name of a file could not be read back from its line.
    """
    for it in book.withheld:
        if not stays_inside(it.name):
            raise Refused(NO_NAME.format(name=it.file))
    return withheld_lines((it.ask, it.sha256, it.name) for it in book.withheld)


class _Files:
    """Files by name; a name that could lead out of the folder, or that comes twice, is refused."""

    def __init__(self) -> None:
        self.content: dict[str, bytes] = {}
        self.streams: dict[str, Streamed] = {}

    @property
    def everything(self) -> dict[str, bytes | Streamed]:
        """Every file, those that are too large to be held among them."""
        return {**self.content, **self.streams}

    def add(self, name: str, data: bytes) -> None:
        """Keep a file."""
        self._check(name)
        self.content[name] = data

    def stream(self, name: str, data: Streamed) -> None:
        """Keep what writes a file."""
        self._check(name)
        self.streams[name] = data

    def _check(self, name: str) -> None:
        if not stays_inside(name):
            raise Refused(f"a file called {name!r} cannot be written: its name could lead out of the folder")
        if name in self.everything:
            raise Refused(f"two files of the book are called {name!r}")


def _check_pictures(book: Book, files: Mapping[str, bytes]) -> None:
    received = files.keys() - {name for it in book.documents for name in (it.out, it.picture)}
    for photograph in book.photographs:
        if photograph.out not in files:
            raise Refused(f"the picture {photograph.file} ({photograph.out}) was not given")
        if photograph.file != photograph.out and photograph.file in received:
            raise Refused(f"{photograph.file} is a picture as received: only its re-encoded copy is published")


def check_out(
    out: Path, hull_root: Path | None, *, mark: str = MARKER, force: bool = False, instead: str = ANOTHER
) -> None:
    """Raise `Refused` where a book may not be put in this place; nothing is made or changed.

    `mark` is the name of the marker of what may be replaced: a book by default; `force` replaces a signed one too.
    `instead` says what to name where the folder is another thing.
    """
    out = Path(os.path.abspath(out))
    if out.is_symlink():
        raise Refused(f"{out} is a symbolic link; name the folder itself")
    if hull_root is not None:
        real, root = Path(os.path.realpath(out)), Path(os.path.realpath(hull_root))
        if real == root or real.is_relative_to(root) or root.is_relative_to(real):
            raise Refused(
                f"{out} and the folder of records {hull_root} must not lie inside each other. Nothing was changed. "
                f"{instead}, beside that folder"
            )
    if not out.exists():
        return
    if not out.is_dir():
        raise Refused(f"{out} exists and is not a folder")
    if not any(out.iterdir()):
        return
    if not is_ours(out, mark):
        raise Refused(occupied(out, instead))
    _check_nothing_foreign(out)
    if os.path.lexists(out / SIGNATURE) and not force:
        raise Refused(
            f"{out} holds a signed book; the new one would be an unsigned draft in its place. Name another folder, "
            "or say --force to replace it"
        )


def _check_nothing_foreign(out: Path) -> None:
    """Nobody else's file may be lost when the folder is replaced."""
    listed = {RELEASE, SIGNATURE}
    for name in (SUMS, RELEASE):
        sums = out / name
        if sums.is_file() and not sums.is_symlink():
            listed |= read_sums(sums.read_bytes()).by_name.keys()
    for folder, folders, names in os.walk(out):
        for name in sorted([*names, *(entry for entry in folders if (Path(folder) / entry).is_symlink())]):
            relative = (Path(folder) / name).relative_to(out).as_posix()
            if relative not in listed:
                foreign = shown(str(out / relative))
                raise Refused(f"{foreign} was not written by buildbook and would be lost; move it elsewhere")


def assets(folder: Path) -> dict[str, bytes]:
    """Style sheets that no theme changes, the script and the shipped fonts, by their names in the output folder."""
    made = {
        "style/shared.css": (folder / "parts" / "shared.css").read_bytes(),
        "style/verdict.css": (folder / "parts" / "verdict.css").read_bytes(),
        "style/pictures.css": (folder / "site" / "pictures.css").read_bytes(),
        "style/site.css": (folder / "site" / "site.css").read_bytes(),
        "style/kept.css": (folder / "parts" / "kept.css").read_bytes(),
        "style/book.js": (folder / "site" / "book.js").read_bytes(),
    }
    for path in sorted((folder / "theme" / "fonts").iterdir()):
        if path.suffix in (".woff2", ".txt"):
            made[f"style/fonts/{path.name}"] = path.read_bytes()
    return made


def _pdf(
    book: Book, facts: Facts, made: Mapping[str, bytes], progress: Callable[[str], None]
) -> tuple[bytes, tuple[str, ...]]:
    """The PDF, or nothing and the sentence that says why."""
    from buildbook.render.pdf import NotClean, NotPossible, printed
    from buildbook.render.pdf_stamp import BOOK, laid_on

    progress(facts.pdf)
    try:
        return laid_on(printed(book, facts, made), BOOK), ()
    except NotPossible as error:
        return b"", (str(error),)
    except NotClean as error:
        raise Refused(f"the printed book could not be made without an error: {error}") from None
