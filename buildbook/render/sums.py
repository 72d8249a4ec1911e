"""Lists of SHA-256 sums in the form of `sha256sum`: how they are written, and how they are read, with suspicion."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from buildbook.render.names import stays_inside
from buildbook.render.streamed import Streamed

LINE = re.compile(r"([0-9a-f]{64})  (.+)")
COMMENT = b"#"  # `sha256sum -c` passes over such lines
BAG_LINE = re.compile(r"([0-9a-f]{64})[ \t]+(.+)")
ESCAPES = (("%0A", "\n"), ("%0D", "\r"), ("%25", "%"))  # RFC 8493, 2.1.3


@dataclass(frozen=True, slots=True)
class Sums:
    """The sums of a list by name, and the numbers of the lines that are none.

    `withheld` are those of files that are named in lines which `sha256sum -c` passes over, since they are not given.
    """

    by_name: Mapping[str, str]
    bad: tuple[int, ...]
    withheld: Mapping[str, str] = field(default_factory=dict)


def list_of_sums(content: Mapping[str, bytes] | Mapping[str, bytes | Streamed]) -> bytes:
    """A list of SHA-256 sums as `sha256sum -c` reads it, sorted by name."""
    return list_by_name({name: _sha256(data) for name, data in content.items()})


def list_by_name(sums: Mapping[str, str]) -> bytes:
    """The same list of sums that are known already, by the names of their files."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums)).encode("utf-8")


def _sha256(data: bytes | Streamed) -> str:
    return data.sha256 if isinstance(data, Streamed) else hashlib.sha256(data).hexdigest()


def escaped(name: str) -> str:
    """A name as the manifest of a bag writes it: line ends and the per cent sign as codes (RFC 8493, 2.1.3).

    >>> escaped("data/5% off.csv")
    'data/5%25 off.csv'
    """
    for written, meant in reversed(ESCAPES):
        name = name.replace(meant, written)
    return name


def read_sums(data: bytes, *, bag: bool = False) -> Sums:
    """Take a list apart.

    Args:
        data: the list, UTF-8, lines ended by LF: 64 hexadecimal digits, two spaces, the name.
        bag: whether it is a manifest of a bag (RFC 8493): any white space between, some signs of names escaped.

    Returns:
        The sums by name. A line of any other form, a name that leads out of the folder and a name that comes twice are
        not used; the numbers of their lines are told. Lines that start with `#` are words, or name what is withheld.

    Example:
        >>> read = read_sums(b"e3b0\\n" + b"0" * 64 + b"  a.csv\\n# " + b"1" * 64 + b"  b.csv\\n")
        >>> list(read.by_name), read.bad, list(read.withheld)
        (['a.csv'], (1,), ['b.csv'])
    """
    found: dict[str, str] = {}
    withheld: dict[str, str] = {}
    bad: list[int] = []
    lines = data.split(b"\n")
    if lines[-1] == b"":
        lines.pop()
    for number, raw in enumerate(lines, start=1):
        if raw.startswith(COMMENT) and not bag:
            named = _entry(raw.removeprefix(COMMENT + b" "), bag)
            withheld.update((named,) if named else ())
            continue
        entry = _entry(raw, bag)
        if entry is None or entry[0] in found:
            bad.append(number)
        else:
            found[entry[0]] = entry[1]
    return Sums(found, tuple(bad), withheld)


def _entry(raw: bytes, bag: bool) -> tuple[str, str] | None:
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        return None
    match = (BAG_LINE if bag else LINE).fullmatch(text)
    if match is None:
        return None
    name = match[2]
    for written, meant in ESCAPES if bag else ():
        name = name.replace(written, meant)
    return (name, match[1]) if stays_inside(name) else None
