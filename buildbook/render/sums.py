"""Lists of SHA-256 sums in the form of `sha256sum`: how they are written, and how they are read, with suspicion."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from buildbook.render.names import stays_inside
from buildbook.render.streamed import Streamed

LINE = re.compile(r"([0-9a-f]{64})  (.+)")
COMMENT = b"#"  # `sha256sum -c` passes over such lines
HEAD = "# Withheld by the yard, with the SHA-256 of each original; ask {asked}:\n"  # the only words in a list
WORDS = re.compile(HEAD.rstrip("\n").format(asked="[^\n]+").encode("utf-8"))
BAG_LINE = re.compile(r"([0-9a-f]{64})[ \t]+(.+)")
ESCAPES = (("%0A", "\n"), ("%0D", "\r"), ("%25", "%"))  # RFC 8493, 2.1.3


@dataclass(frozen=True, slots=True)
class Sums:
    """The sums of a list by name, and the numbers of the lines that are none.

    `withheld` are those of files that are named in lines which `sha256sum -c` passes over, since they are not given;
    `passed_over` are the numbers of all such lines.
    """

    by_name: Mapping[str, str]
    bad: tuple[int, ...]
    withheld: Mapping[str, str] = field(default_factory=dict)
    passed_over: tuple[int, ...] = ()


def list_of_sums(content: Mapping[str, bytes] | Mapping[str, bytes | Streamed]) -> bytes:
    """A list of SHA-256 sums as `sha256sum -c` reads it, sorted by name."""
    return list_by_name({name: _sha256(data) for name, data in content.items()})


def list_by_name(sums: Mapping[str, str]) -> bytes:
    """The same list of sums that are known already, by the names of their files."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums)).encode("utf-8")


def withheld_lines(held: Iterable[tuple[str, str, str]]) -> bytes:
    """What stands at the end of the first list: the files that the yard withholds, in lines that a check passes over.

    Args:
        held: whom to ask, the SHA-256 of the original and its name, of each.

    Example:
        >>> print(withheld_lines([("the yard", "ab" * 32, "b.csv")]).decode()[:62])
        # Withheld by the yard, with the SHA-256 of each original; ask
    """
    given = tuple(held)
    if not given:
        return b""
    asked = " ".join(", ".join(dict.fromkeys(ask for ask, _, _ in given)).split())
    lines = sorted({f"# {value}  {name}\n" for _, value, name in given})
    return "".join([HEAD.format(asked=asked), *lines]).encode("utf-8")


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
        not used; the numbers of their lines are told. Lines that start with `#` name what is withheld, once each; the
        one with words is that which `withheld_lines` writes before them. Any other is told, too: whoever forges a book
        could write there what he likes until the digest begins as he wants.

    Example:
        >>> read = read_sums(b"e3b0\\n" + b"0" * 64 + b"  a.csv\\n# " + b"1" * 64 + b"  b.csv\\n")
        >>> list(read.by_name), read.bad, list(read.withheld)
        (['a.csv'], (1,), ['b.csv'])
    """
    found: dict[str, str] = {}
    withheld: dict[str, str] = {}
    bad: list[int] = []
    passed_over: list[int] = []
    lines = data.split(b"\n")
    if lines[-1] == b"":
        lines.pop()
    for number, raw in enumerate(lines, start=1):
        if raw.startswith(COMMENT) and not bag:
            named = _entry(raw.removeprefix(COMMENT + b" "), bag) if raw.startswith(COMMENT + b" ") else None
            if named and named[0] not in withheld:
                withheld.update((named,))
            elif withheld or passed_over or not WORDS.fullmatch(raw):
                bad.append(number)
            passed_over.append(number)
            continue
        entry = _entry(raw, bag)
        if entry is None or entry[0] in found:
            bad.append(number)
        else:
            found[entry[0]] = entry[1]
    return Sums(found, tuple(bad), withheld, tuple(passed_over))


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
