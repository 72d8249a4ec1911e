"""A theme folder to the values of a face."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from buildbook.core.face import Cut, Face, Logo, Paper, Typeface
from buildbook.core.fault import Fault
from buildbook.core.published import OWN_FACE
from buildbook.face import font_file, logo_svg
from buildbook.face.model import HeadingsEntry, TextEntry, Theme
from buildbook.face.refusal import EFFECT, FaceRefused
from buildbook.face.schemes import schemes
from buildbook.face.theme_file import THEME_FILE, read_theme_file
from buildbook.readers.folder import Folder
from buildbook.readers.photo import re_encode
from buildbook.readers.refused import Refused
from buildbook.readers.toml_reading import Files, Reading
from buildbook.render.banned_words import banned

MOST_LOGO = 1_000_000
MOST_PUBLISHED = 16_000_000  # a painted logo as its pixels alone can be larger than the file it was made from
MOST_LOGO_PIXELS = 4_000_000
_PNG = b"\x89PNG\r\n\x1a\n"
_WEIGHTS = {"regular": (400, False), "italic": (400, True), "semibold": (600, False)}


@dataclass(slots=True)
class _Taken:
    """What has been taken so far, by its name in the output folder, and which files were named.

    `published` tells that the files are those of a book: there each has the name that it has in the output.
    """

    folder: Files
    reading: Reading
    published: bool = False
    files: dict[str, bytes] = field(default_factory=dict)
    named: set[str] = field(default_factory=set)

    def read(self, key: str, name: str, out: str, most: int) -> bytes | None:
        """The bytes of a file that a key names, `out` in the output; None, and a fault, where it is not to be read."""
        self.named.add(name)
        try:
            return self.folder.read(out if self.published else name, most)
        except Refused as refused:
            self.blame(key, refused.fault.expected, f"'{name}': {refused.fault.found}")
            return None

    def blame(self, key: str, expected: str, found: str) -> None:
        self.reading.faults.append(Fault(self.reading.where(key), expected, found, EFFECT))


def read_theme(root: Path, paper: Paper = Paper.A4) -> tuple[Face, tuple[str, ...]]:
    """Read a theme folder.

    Args:
        root: a folder with theme.toml and the files that it names.
        paper: what the book is printed on.

    Returns:
        The face, and notices of what lies in the folder and is not used.

    Raises:
        FaceRefused: the theme cannot be used; every fault, with line and key.
    """
    try:
        folder = Folder(root)
    except Refused as refused:
        raise FaceRefused([refused.fault]) from None
    face, named = _face(folder, paper, published=False)
    return face, _notices(folder, named)


def published_theme(files: Files) -> Face:
    """The theme of a book that was built, held to what is asked of a theme folder: contrast, names, kinds.

    Args:
        files: what lies below `style/own/`, by the names that it has there.

    Raises:
        FaceRefused: no build takes such a theme; every fault.
    """
    return _face(files, Paper.A4, published=True)[0]


def _face(folder: Files, paper: Paper, *, published: bool) -> tuple[Face, set[str]]:
    """The face of a theme, and which files theme.toml names."""
    read = read_theme_file(folder)
    taken = _Taken(folder, read.reading, published, {f"{OWN_FACE}{THEME_FILE}": read.data}, {THEME_FILE})
    light, dark = schemes(read.theme, read.reading)
    logo = _logo(read.theme, taken)
    text = _typeface(read.theme.text, "text", taken) if read.theme.text else None
    headings = _typeface(read.theme.headings, "headings", taken) if read.theme.headings else None
    if read.reading.faults:
        raise FaceRefused(read.reading.faults)
    return Face(paper, light, dark, text, headings, logo, taken.files), taken.named


def _notices(folder: Folder, named: set[str]) -> tuple[str, ...]:
    unused = [f"{name}: not named in {THEME_FILE}, not used" for name in folder.names() if name not in named]
    left = [str(fault) for fault in folder.left_out() if fault.where.file not in named]
    return (*unused, *left)


def _typeface(entry: TextEntry | HeadingsEntry, table: str, taken: _Taken) -> Typeface:
    cuts = []
    for cut, (weight, italic) in _WEIGHTS.items():
        name = getattr(entry, cut, None)
        own = f"{table}-{cut}.woff2"
        data = taken.read(f"{table}.{cut}", name, own, font_file.MOST_BYTES) if name else None
        if name and data is not None:
            for expected, found in font_file.font_faults(data, entry.family, italic=italic, weight=weight):
                taken.blame(f"{table}.{cut}", expected, f"'{name}': {found}")
            out = f"{OWN_FACE}{own}"
            taken.files[out] = data
            cuts.append(Cut(weight, italic, out))
    return Typeface(entry.family, tuple(cuts))


def _logo(theme: Theme, taken: _Taken) -> Logo | None:
    if theme.logo is None:
        return None
    for it in banned(theme.logo.alternative):
        taken.blame("logo.alternative", "words that records can bear", f"'{it.word}' ({it.reason})")
    ending = theme.logo.file.rpartition(".")[2].lower()
    most = MOST_PUBLISHED if taken.published else MOST_LOGO
    data = taken.read("logo.file", theme.logo.file, f"logo.{ending}", most)
    if data is None:
        return None
    makers: dict[str, Callable[[bytes, str, _Taken], bytes]] = {"svg": _drawn, "png": _painted}
    out = f"{OWN_FACE}logo.{ending}"
    taken.files[out] = makers[ending](data, theme.logo.file, taken)
    return Logo(out, theme.logo.alternative)


def _drawn(data: bytes, name: str, taken: _Taken) -> bytes:
    clean, faults = logo_svg.cleaned_logo(data, name)
    taken.reading.faults.extend(faults)
    if len(clean) > logo_svg.MOST_BYTES:
        taken.blame("logo.file", f"at most {logo_svg.MOST_BYTES // 1000} kB", f"'{name}': more, cleaned")
    return clean


def _painted(data: bytes, name: str, taken: _Taken) -> bytes:
    """The pixels of a PNG alone."""
    if not data.startswith(_PNG):
        taken.blame("logo.file", "a PNG file", f"'{name}': another file")
        return b""
    if int.from_bytes(data[16:20]) * int.from_bytes(data[20:24]) > MOST_LOGO_PIXELS:
        taken.blame("logo.file", f"at most {MOST_LOGO_PIXELS // 1_000_000} million pixels", f"'{name}': more")
        return b""
    try:
        return re_encode(data, name).data
    except Refused as refused:
        taken.blame("logo.file", refused.fault.expected, f"'{name}': {refused.fault.found}")
        return b""
