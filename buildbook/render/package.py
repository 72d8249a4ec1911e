"""The output folder: everything is made in memory, written aside, and put in place at once."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from buildbook.core.book import Book
from buildbook.core.face import PLAIN, Face
from buildbook.render.html import Facts, site
from buildbook.render.jsonfile import book_json
from buildbook.render.links import RECEIVED
from buildbook.render.sheet import sheet_files
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files

MARKER = ".buildbook"
MARKER_START = "This folder was written by buildbook."
MARKER_TEXT = f"{MARKER_START} The next build replaces it whole: keep nothing else in it.\n"
SUMS, RELEASE, JSON = "SHA256SUMS", "SHA256SUMS.release", "book.json"


class Refused(Exception):
    """The book cannot be written to this folder, or not as it is; the message says why and what to do."""


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
) -> Written:
    """Render a book and put it in place.

    Nothing in `out` is touched before everything is rendered and written beside it.

    Args:
        book: the finished book.
        files: the tables and hull.toml as received, by their names in the hull folder, and each published picture
            (re-encoded) by its `Photograph.out`. Pictures as received are not published and not given.
        out: the folder to write; absent, empty, or written by an earlier build.
        hull_root: the hull folder, which `out` must neither hold nor lie in.
        progress: told what is being made.
        pdf: whether to make the PDF.
        face: the builder's own colours, type and logo, and the paper.

    Returns:
        What was written; `notices` says what could not be made and what to install.

    Raises:
        Refused: `out` is not ours to replace, a file name could lead out of it, or the PDF would not be without error.
    """
    check_out(out, hull_root)
    out = Path(os.path.abspath(out))
    content, digest, name, notices = contents(book, files, progress=progress, pdf=pdf, face=face)
    progress("putting the files in place")
    _put(content, out)
    return Written(out, tuple(sorted(content)), digest, name, notices)


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
    made = _Files()
    pictures = {photograph.out for photograph in book.photographs}
    received = {name: data for name, data in files.items() if name not in pictures}
    _check_pictures(book, files)
    for name, data in received.items():
        made.add(RECEIVED + name, data)
    progress(JSON)
    made.add(JSON, book_json(book))
    sums = _sums(made.content)
    digest = hashlib.sha256(sums).hexdigest()
    made.add(SUMS, sums)
    for name in sorted(pictures):
        made.add(name, files[name])
    facts = Facts(digest, received, f"{_file_name(book)}-book.pdf" if pdf else "", face)
    notices: tuple[str, ...] = ()
    if pdf:
        data, notices = _pdf(book, facts, made.content, progress)
        if data:
            made.add(facts.pdf, data)
        else:
            facts = Facts(digest, received, "", face)
    styles = {**assets(templates_dir()), **theme_files(face)}
    sheets, more = sheet_files(book, facts, f"{_file_name(book)}-listing", made.content.get(facts.pdf, b""), styles)
    facts = replace(facts, sheets=tuple(sheets))
    for name, data in sheets.items():
        made.add(name, data)
    for name, text in site(book, facts, progress):
        made.add(name, text.encode("utf-8"))
    for name, data in styles.items():
        made.add(name, data)
    made.add(MARKER, MARKER_TEXT.encode("utf-8"))
    signed = {f"{RECEIVED}{name}" for name in received} | {JSON}
    made.add(RELEASE, _sums({name: data for name, data in made.content.items() if name not in signed}))
    return made.content, digest, facts.pdf, (*notices, *more)


class _Files:
    """Files by name; a name that could lead out of the folder, or that comes twice, is refused."""

    def __init__(self) -> None:
        self.content: dict[str, bytes] = {}

    def add(self, name: str, data: bytes) -> None:
        parts = PurePosixPath(name).parts
        plain = not re.search(r"[\\:\x00-\x1f\x7f]", name)
        if not plain or name != "/".join(parts) or ".." in parts or name.startswith("/") or not parts:
            raise Refused(f"a file called {name!r} cannot be written: its name could lead out of the folder")
        if name in self.content:
            raise Refused(f"two files of the book are called {name!r}")
        self.content[name] = data


def _check_pictures(book: Book, files: Mapping[str, bytes]) -> None:
    for photograph in book.photographs:
        if photograph.out not in files:
            raise Refused(f"the picture {photograph.file} ({photograph.out}) was not given")
        if photograph.file != photograph.out and photograph.file in files:
            raise Refused(f"{photograph.file} is a picture as received: only its re-encoded copy is published")


def _file_name(book: Book) -> str:
    return re.sub(r"[^A-Za-z0-9]+", "-", book.hull.number).strip("-") or "hull"


def _sums(content: Mapping[str, bytes]) -> bytes:
    """A list of SHA-256 sums as `sha256sum -c` reads it, sorted by name."""
    lines = [f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(content.items())]
    return "".join(lines).encode("utf-8")


def check_out(out: Path, hull_root: Path | None, *, mark: str = MARKER) -> None:
    """Raise `Refused` where a book may not be put in this place; nothing is made or changed.

    `mark` is the name of the marker of what may be replaced: a book by default.
    """
    out = Path(os.path.abspath(out))
    if out.is_symlink():
        raise Refused(f"{out} is a symbolic link; name the folder itself")
    if hull_root is not None:
        real, root = Path(os.path.realpath(out)), Path(os.path.realpath(hull_root))
        if real == root or real.is_relative_to(root) or root.is_relative_to(real):
            raise Refused(f"{out} and the hull folder {hull_root} must not lie inside each other")
    if not out.exists():
        return
    if not out.is_dir():
        raise Refused(f"{out} exists and is not a folder")
    if not any(out.iterdir()):
        return
    marker = out / mark
    if marker.is_symlink() or not marker.is_file() or not marker.read_bytes().startswith(MARKER_START.encode()):
        raise Refused(f"{out} exists and was not written by buildbook; name another folder or empty it")
    _check_nothing_foreign(out)


def _check_nothing_foreign(out: Path) -> None:
    """Nobody else's file may be lost when the folder is replaced."""
    listed = {RELEASE}
    for name in (SUMS, RELEASE):
        sums = out / name
        if sums.is_file() and not sums.is_symlink():
            listed |= {line.split("  ", 1)[-1] for line in sums.read_text("utf-8", "replace").splitlines()}
    for folder, folders, names in os.walk(out):
        for name in sorted([*names, *(entry for entry in folders if (Path(folder) / entry).is_symlink())]):
            relative = (Path(folder) / name).relative_to(out).as_posix()
            if relative not in listed:
                raise Refused(f"{out / relative} was not written by buildbook; move it away first")


def put(content: Mapping[str, bytes], out: Path) -> None:
    """Put the files of a folder that `check_out` allows in place, whole or not at all."""
    _put(content, out)


def _put(content: Mapping[str, bytes], out: Path) -> None:
    """Write everything beside `out`, then exchange: a reader sees the old folder or the new one, never a mixture."""
    out.parent.mkdir(parents=True, exist_ok=True)
    aside = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    fresh, old = aside / "new", aside / "old"
    try:
        for name, data in sorted(content.items()):
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        if out.exists():
            out.rename(old)
        fresh.rename(out)
    finally:
        _put_back(old, out)
        shutil.rmtree(aside, ignore_errors=True)


def _put_back(old: Path, out: Path) -> None:
    """Bring the earlier book back where no new one is in place; if that fails too, it stays where it is and is told."""
    if not old.exists() or out.exists():
        return
    try:
        old.rename(out)
    except OSError as error:
        words = f"{out}: the new book cannot be put there ({error.strerror or error})"
        raise Refused(f"{words}; the earlier one is kept in {old}, move it back by hand") from error


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

    progress(facts.pdf)
    try:
        return printed(book, facts, made), ()
    except NotPossible as error:
        return b"", (str(error),)
    except NotClean as error:
        raise Refused(f"the printed book could not be made without an error: {error}") from None
