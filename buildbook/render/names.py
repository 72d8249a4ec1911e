"""Which names a file of the output may have: the one rule for what is written and for what is read back."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

LEADS_OUT = re.compile(r"[\\:\x00-\x1f\x7f\ud800-\udfff]")
NO_NAME = (
    "{name!r} cannot be listed: a name in the lists has no colon, no backslash and no control character; rename the "
    "file, in the folder and where its name is written"
)


def stays_inside(name: str) -> bool:
    """Whether a name is that of a file inside the folder, written the one way there is.

    >>> stays_inside("evidence/received/hull.toml"), stays_inside("../secret"), stays_inside("/etc/passwd")
    (True, False, False)
    >>> stays_inside("raw/V1:R1.wav"), stays_inside("raw/V1\\\\R1.wav")  # no names on every system
    (False, False)
    """
    parts = PurePosixPath(name).parts
    plain = not LEADS_OUT.search(name) and name == "/".join(parts)
    return bool(parts) and plain and ".." not in parts and not name.startswith("/")


def file_name(number: str) -> str:
    """What the files of a hull are named after: her number, in signs that every machine can write.

    >>> file_name("XX-EXY00007H526"), file_name("7/26 B"), file_name("")
    ('XX-EXY00007H526', '7-26-B', 'hull')
    """
    return re.sub(r"[^A-Za-z0-9]+", "-", number).strip("-") or "hull"


def package_name(number: str) -> str:
    """What the evidence package of a hull is called."""
    return f"{file_name(number)}-evidence.zip"


def shown(text: str) -> str:
    r"""Words or a name as one line that cannot end early, turn about or command a terminal: odd signs written out.

    >>> shown("a\nb\x1b[2J"), shown("x\u202e.csv")
    ('a\\nb\\x1b[2J', 'x\\u202e.csv')
    """
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii") for sign in text)
