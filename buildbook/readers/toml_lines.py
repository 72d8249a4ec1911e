"""Which line of a TOML text each table and key stands in; the parser itself does not say.

Made for text that the parser has accepted: headers, keys, strings of all four kinds, arrays over several lines and
comments are told apart, nothing else is understood.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
_PATH = rf"{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*"
_HEADER = re.compile(rf"[ \t]*(?P<open>\[\[?)[ \t]*(?P<path>{_PATH})[ \t]*\]")
_ENTRY = re.compile(rf"[ \t]*(?P<path>{_PATH})[ \t]*=")
_WORD = re.compile(_KEY)
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"""+|\'\'\'.*?\'\'\'+|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}]|\n|[^"\'#\[\]{}\n]+|.',
    re.DOTALL,
)


def line_index(text: str) -> dict[str, int]:
    """The line of every table and key, by its path; entries of an array of tables are counted from 1.

    >>> line_index('a = 1\\n[[limits]]\\nlow = 2 # of the first\\n')
    {'a': 1, 'limits[1]': 2, 'limits[1].low': 3}
    """
    lines: dict[str, int] = {}
    counts: Counter[str] = Counter()
    table, position, line = "", 0, 1
    while position < len(text):
        header, entry = _HEADER.match(text, position), _ENTRY.match(text, position)
        if header:
            table = _path(header["path"])
            if header["open"] == "[[":
                counts[table] += 1
                table = f"{table}[{counts[table]}]"
            lines.setdefault(table, line)
            position = header.end()
        elif entry:
            key = _path(entry["path"])
            lines.setdefault(f"{table}.{key}" if table else key, line)
            position = entry.end()
        position, line = _end_of_statement(text, position, line)
    return lines


def item_lines(text: str, path: str) -> tuple[int, ...]:
    """The line of each item of a list; empty where the path is not there or is no list.

    >>> item_lines('[release]\\nwithhold = ["a", # first\\n  5, [\\n"c", "d"]]\\n', "release.withhold")
    (2, 3, 3)
    """
    start = line_index(text).get(path)
    if start is None:
        return ()
    kept = "\n".join(text.split("\n")[start - 1 :])
    position, line, depth, inside = kept.index("=") + 1, start, 0, False
    found: list[int] = []
    while token := _TOKEN.match(kept, position):
        position, sign = token.end(), token.group()
        bare = sign[0] not in "\"'#[]{}\n"
        for piece in sign.split(",") if depth == 1 and bare else ():
            if piece.strip() and not inside:
                found.append(line)
            inside = bool(piece.strip())
        if depth == 1 and sign[0] in "\"'[{":
            if not inside:
                found.append(line)
            inside = True
        line += sign.count("\n")
        depth += (sign in "[{") - (sign in "]}")
        if depth <= 0 and sign in "]}\n":
            break
    return tuple(found)


def nearest_line(lines: Mapping[str, int], path: str) -> int | None:
    """The line of a path, or of the nearest thing that holds it; None where nothing does.

    >>> nearest_line({'limits[1]': 2}, 'limits[1].low')
    2
    """
    while path:
        found = lines.get(path, lines.get(f"{path}[1]"))
        if found is not None:
            return found
        path = path.rpartition(".")[0]
    return None


def _path(text: str) -> str:
    return ".".join(word.strip("\"'") for word in _WORD.findall(text))


def _end_of_statement(text: str, position: int, line: int) -> tuple[int, int]:
    """The start of the next statement: behind the line end that stands outside strings and brackets."""
    depth = 0
    while position < len(text):
        token = _TOKEN.match(text, position)
        if token is None:
            return len(text), line
        position, sign = token.end(), token.group()
        line += sign.count("\n")
        depth += (sign in "[{") - (sign in "]}")
        if sign == "\n" and depth <= 0:
            break
    return position, line
