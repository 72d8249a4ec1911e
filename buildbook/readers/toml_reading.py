"""A TOML file while it is read: where its keys stand, and what was wrong with it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from buildbook.core.fault import Fault, Severity
from buildbook.core.spelling import did_you_mean
from buildbook.core.where import Where
from buildbook.readers.refused import Refused
from buildbook.readers.toml_lines import nearest_line
from buildbook.readers.toml_slips import said_again, slip_in

_NOT_USED = "It is not used."
_LARGEST = 1e300
DEEPEST = 50  # parts in each other
LONGEST_SHOWN = 60  # characters
_NUMBER_IN_TEXT = re.compile(r"\s*([+-]?[0-9]{1,20})(?:[.,]([0-9]{1,20}))?\s*")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_TWICE = ("Cannot overwrite", "Cannot declare")  # how the parser begins to say that something stands there twice
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")


class Files(Protocol):
    """Files by name, such as those of a folder."""

    def read(self, name: str, most: int) -> bytes:
        """The bytes of a file of at most `most` bytes; `Refused` for anything else."""
        ...


def toml_text(folder: Files, name: str, most: int, effect: str) -> str:
    """The text of a TOML file with plain line ends.

    Args:
        folder: where it lies.
        name: its name in the folder.
        most: how large it may be [bytes].
        effect: what follows where it cannot be read, for the message.
    Errors:
        Refused for a file that is not there, too large, no ordinary file, or not UTF-8.
    """
    return decoded(folder.read(name, most), name, effect)


def decoded(data: bytes, name: str, effect: str) -> str:
    """The text of the bytes of a TOML file, as `toml_text` gives it; Refused where they are not UTF-8."""
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise Refused(Fault(Where(name, line), "text in UTF-8", "another encoding", effect)) from None


def toml_content(text: str, name: str, effect: str) -> dict[str, Any]:
    """What a TOML text holds; Refused, with line and character where they can be told, for one that is not TOML."""
    try:
        content = tomllib.loads(text)
        if _too_deep(content):
            raise RecursionError
        return content
    except RecursionError:
        raise Refused(Fault(Where(name), "a few brackets or parts in each other", "too many", effect)) from None
    except ValueError as error:
        words = str(error)
        at = _AT.search(words)
        line = int(at[1]) if at and at[1] else len(text.splitlines()) if at else None
        slip = slip_in(text, int(at[1]) if at and at[1] else None)
        if line is not None and words.startswith(_TWICE):
            slip = said_again(line, text.split("\n")[line - 1])
        part = f"character {at[2]}" if at and at[2] else ""
        if slip is not None:
            here = Where(name, slip.line, part=part if slip.line == line else "")
            raise Refused(Fault(here, slip.expected, slip.found, effect)) from None
        found = f"a mistake: {_AT.sub('', words)}{_comma_hint(text, line)}"
        raise Refused(Fault(Where(name, line, part=part), "TOML", found, effect)) from None


def _too_deep(content: dict[str, Any]) -> bool:
    """Whether parts lie in each other deeper than anybody writes: keys with dots nest without any bracket."""
    level: list[Any] = [content]
    for _ in range(DEEPEST):
        level = [inner for one in level for inner in (one.values() if isinstance(one, dict) else one)]
        level = [one for one in level if isinstance(one, dict | list)]
    return bool(level)


def _comma_hint(text: str, line: int | None) -> str:
    """What to do about a decimal comma in the line of a mistake."""
    found = text.split("\n")[line - 1 : line] if line else []
    match = _COMMA.search(found[0]) if found else None
    return f" (a decimal comma? write {match[1]}.{match[2]}, with a decimal point)" if match else ""


@dataclass(slots=True)
class Reading:
    """The file's name, the lines of its keys, and the faults found so far."""

    file: str
    lines: Mapping[str, int]
    faults: list[Fault] = field(default_factory=list)

    def where(self, path: str) -> Where:
        """The place of a key or table; entries of an array of tables are counted from 1."""
        return Where(self.file, nearest_line(self.lines, path), part=path)

    def blame(self, path: str, expected: str, found: str, effect: str = _NOT_USED) -> str:
        """Add a fault; the reason in words is given back."""
        self.faults.append(Fault(self.where(path), expected, found, effect))
        return f"{self.where(path)}: expected {expected}; found {found}"

    def notice(self, path: str, expected: str, found: str, effect: str, *, of_a_limit: bool = False) -> None:
        """Add a notice; `of_a_limit` as in `Fault`."""
        self.faults.append(Fault(self.where(path), expected, found, effect, Severity.NOTICE, of_a_limit=of_a_limit))


def quoted(text: str) -> str:
    """Text as TOML holds it between quotes (TOML 1.0: basic strings).

    >>> print(quoted('5 "long"'))
    "5 \\"long\\""
    """
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign if sign.isprintable() else f"\\u{ord(sign):04x}" for sign in escaped) + '"'


def near(word: str, choices: Sequence[str]) -> str:
    """The words that suggest the nearest of some choices; empty where none is near."""
    return did_you_mean(word, choices)


def shown(value: Any) -> str:
    """A value as a message shows it, short and on one line."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= _LARGEST:
        return "a number far too large"
    text = f"'{value}'" if isinstance(value, str) else str(value) if _is_small(value) else "something far too large"
    text = " ".join(text.split())
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}…"


def plain(value: Any) -> str:
    """A value of a table of free words as the book prints it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value.strip()
    return str(value) if _is_small(value) else shown(value)


def is_number(value: Any) -> bool:
    """Whether a TOML value is a finite number; whole numbers may be longer than a computer's floating-point ones."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) < _LARGEST


def decimal_hint(value: Any) -> str:
    """What to do about a text that is a number with a decimal comma, or a number between quotes; empty for all else.

    >>> decimal_hint("3,0")
    ' (write 3.0: a decimal point and no quotes)'
    """
    match = _NUMBER_IN_TEXT.fullmatch(value) if isinstance(value, str) else None
    return f" (write {match[1]}{'.' + match[2] if match[2] else ''}: a decimal point and no quotes)" if match else ""


def _is_small(value: Any) -> bool:
    """Whether a value can be written out: whole numbers of thousands of digits cannot."""
    if isinstance(value, dict):
        return all(map(_is_small, value.values()))
    if isinstance(value, list):
        return all(map(_is_small, value))
    return not isinstance(value, int) or abs(value) < _LARGEST
