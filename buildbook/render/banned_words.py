"""Words that no page and no listing may use, from `templates/words/banned.toml`, and where a text uses them."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache

from buildbook.core.letters import searched
from buildbook.render.templates import templates_dir


@dataclass(frozen=True, slots=True)
class Banned:
    """One word that may not stand there: its line in the text (from 1), the word as written, and why not."""

    line: int
    word: str
    reason: str


def banned(text: str) -> tuple[Banned, ...]:
    """The banned words of a text, in its order, however they are spaced, hyphenated or written.

    Args:
        text: any text; a line break counts as a space, as it does on a page.

    Returns:
        Each banned word with its line and the reason.

    Example:
        >>> [(it.line, it.word) for it in banned("One line.\\nThe best\\nworld class hull.")]
        [(2, 'best'), (3, 'world class')]
    """
    plain, at = searched(text)
    found = [
        (at[match.start()], Banned(text.count("\n", 0, at[match.start()]) + 1, match.group(), reason))
        for reason, pattern in _patterns()
        for match in pattern.finditer(plain)
    ]
    return tuple(it for _, it in sorted(found, key=lambda pair: pair[0]))


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Reason and pattern of each group."""
    text = (templates_dir() / "words" / "banned.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text)["group"]
    return tuple((it["reason"], re.compile(rf"\b(?:{'|'.join(it['words'])})\b", re.IGNORECASE)) for it in groups)
