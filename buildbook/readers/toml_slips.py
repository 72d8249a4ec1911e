"""Slips of a hand that stop a TOML file from being read: what was meant, in words. Never for values."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildbook.readers.as_typed import date_remedy

_LONGEST = 60  # characters of what was typed
_ENTRY = re.compile(r"\s*(?P<key>[A-Za-z0-9_.\"'-]+)\s*=\s*(?P<value>.*?)\s*")
_NO_EQUALS = re.compile(r"\s*(?P<key>[A-Za-z][A-Za-z0-9_-]*)(?:\s*(?:->|[:;])\s*|\s+)(?P<value>[^=\s].*)")
_DATE = re.compile(r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{1,4}|[0-9]{1,2}\.? +[A-Za-z]{3,9}\.?,? +[0-9]{4}")
_WITH_UNIT = re.compile(r"(?P<number>[+-]?[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>[^\W\d_][\w/²³.]*|[%°][A-Z]?|µm)", re.ASCII)
_BARE = re.compile(r"[^\W\d][^\"'\[\]{}=]*")
_NO_QUOTES = re.compile(r"\s*(?P<key>[^\"'=#\[\]\s][^\"'=#]*?)\s*=\s*(?P<value>[\"'].*)")
_BARE_KEY = re.compile(r"[A-Za-z0-9_.-]+")
_QUOTED_KEY = re.compile(r"""\s*(?P<key>"[^"]*"|'[^']*')\s*(?:->|=>|[:;,→])?\s*(?P<value>[^\s=].*)""")
_TABLE = re.compile(r"""\s*\[(?P<file>[^"'\[\]]+\.\w+)\.(?P<rest>(?:heads|words)[\w.]*)\]\s*(?:#.*)?""")
_CURLY = re.compile("[\u201c\u201d\u201e\u00ab\u00bb]")


@dataclass(frozen=True, slots=True)
class Slip:
    """Where a hand slipped, what stands there rightly, and what was found, as the phrases of a message."""

    line: int
    expected: str
    found: str


def slip_in(text: str, line: int | None) -> Slip | None:
    """What was meant in the line where a TOML text cannot be read on; None where nobody can tell.

    Args:
        text: the whole text, with plain line ends.
        line: the line that the parser names, None where it names none.
    Example:
        >>> slip_in("beam = 5.10 m", 1)
        Slip(line=1, expected='a number without its unit', found='5.10 m; write 5.10')
    """
    lines = text.split("\n")
    if line is not None and line <= len(lines) and lines[line - 1].strip():
        return _in_line(line, lines[line - 1])
    opened = next((slip for number, one in enumerate(lines, 1) if (slip := _open_quote(number, one))), None)
    last = len(text.rstrip().split("\n"))
    return opened or _in_line(last, lines[last - 1])


def said_again(line: int, typed: str) -> Slip:
    """An entry or a part that stands there a second time."""
    if typed.lstrip().startswith("["):
        return Slip(line, "each part once", f"{_short(typed.strip())} again; put the lines of both below one")
    name = _short(typed.partition("=")[0].strip())
    return Slip(line, "each entry once in its part", f"{name} again; take one of the two out")


def _in_line(line: int, typed: str) -> Slip | None:
    entry = _ENTRY.fullmatch(typed)
    if entry is None:
        return _of_name(line, typed)
    if _CURLY.search(typed):
        return Slip(line, 'straight quotation marks (")', _short(entry["value"]))
    if entry["key"].count('"') % 2:
        return Slip(line, "quotation marks in pairs", _short(typed.strip()))
    unclosed = _open_quote(line, typed)
    if unclosed is not None:
        return unclosed
    value = _without_note(entry["value"])
    return _of_value(line, entry["key"], value)


def _of_name(line: int, typed: str) -> Slip | None:
    """A name that stops its line before the value is reached."""
    part, unquoted = _TABLE.fullmatch(typed), _NO_QUOTES.fullmatch(typed)
    quoted, bare = _QUOTED_KEY.fullmatch(typed), _NO_EQUALS.fullmatch(typed)
    if _CURLY.search(typed):
        return Slip(line, 'straight quotation marks (")', _short(typed.strip()))
    if part:
        written = f'["{part["file"]}".{part["rest"]}]'
        return Slip(line, "the name of a table between quotes", f"{_short(typed.strip())}; write {written}")
    if unquoted and not _BARE_KEY.fullmatch(unquoted["key"]):
        written = f'"{unquoted["key"]}" = {unquoted["value"]}'
        return Slip(line, "a name with such signs between quotes", f"{unquoted['key']}; write {_short(written)}")
    if quoted and typed.count('"') % 2:
        return Slip(line, "quotation marks in pairs", _short(typed.strip()))
    if typed.lstrip().startswith("[") and not typed.lstrip().startswith("[[") and "]" not in typed:
        return Slip(line, "a closing bracket ] behind the name", _short(typed.strip()))
    named = quoted or bare
    return Slip(line, f"an equals sign behind {named['key']}", _short(typed.strip())) if named else None


def _of_value(line: int, key: str, value: str) -> Slip | None:
    united = _WITH_UNIT.fullmatch(value)
    if not value:
        return Slip(line, f"a value behind {key} =, or no such line", "none")
    if _DATE.fullmatch(value):
        return Slip(line, "a date as YYYY-MM-DD", f"{value}; {date_remedy(value)}")
    if united:
        return Slip(line, "a number without its unit", f"{value}; write {united['number'].replace(',', '.')}")
    if value.count('"') == 1 and value.endswith('"'):
        return Slip(line, "text between quotes", f"{_short(value)}; the opening quotation mark is missing")
    if _BARE.fullmatch(value):
        return Slip(line, "text between quotes", f'{_short(value)}; write "{_short(value)}"')
    return None


def _open_quote(line: int, typed: str) -> Slip | None:
    """A text that is opened and not closed in its line."""
    entry = _ENTRY.fullmatch(typed)
    value = entry["value"] if entry else ""
    mark = value[:1]
    if (
        not mark
        or mark not in "\"'"
        or value.startswith(mark * 3)
        or value.replace("\\" + mark, "").count(mark) % 2 == 0
    ):
        return None
    return Slip(line, "text between quotes", f"{_short(value)}; the closing quotation mark is missing")


def _without_note(value: str) -> str:
    """A value without the note behind it."""
    return value if value[:1] in "\"'" else value.partition("#")[0].rstrip()


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
