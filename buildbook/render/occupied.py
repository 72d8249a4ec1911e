"""What lies in a folder that nothing may be written to: said in words, so that nobody clears away what he needs."""

from __future__ import annotations

from pathlib import Path

from buildbook.render.names import shown
from buildbook.render.place import COMPARISON, MARKER, is_ours

RECORDS = "hull.toml"  # what every folder of records holds
ANOTHER = "Name another folder with -o, one that is not there yet"
KINDS = ((MARKER, "a book"), (COMPARISON, "a comparison"))


def occupied(out: Path, instead: str = ANOTHER) -> str:
    """Why a folder with something in it is left as it is, and what to name instead.

    Nobody is told to empty it: what lies there may be the only records of a hull.

    Args:
        out: the folder, not empty.
        instead: what to do, as the end of the message.
    """
    return f"{out} {_is(out)}. Nothing in it was changed. {instead}"


def _is(out: Path) -> str:
    for mark, what in KINDS:
        if is_ours(out, mark):
            return f"holds {what}, which is another thing"
    if (out / RECORDS).exists():
        return f"was not written by buildbook: it is a folder of records, with {RECORDS} in it"
    around = next((folder for folder in out.absolute().parents if (folder / RECORDS).exists()), None)
    if around is not None:
        return f"was not written by buildbook: it is part of the folder of records {around}"
    first, *more = sorted(entry.name for entry in out.iterdir())
    others = f" and {len(more)} more" if more else ""
    return f"was not written by buildbook: it holds {shown(first)}{others}"
