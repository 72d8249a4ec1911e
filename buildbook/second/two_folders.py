"""Which of two folders is the yard's and which the surveyor's; neither is ever taken for the other."""

from __future__ import annotations

from pathlib import Path

from buildbook.chapters.shared_records import Nonconformity, Planned
from buildbook.readers.folder import Folder
from buildbook.readers.hull_file import HULL_FILE, MOST_BYTES
from buildbook.readers.toml_reading import toml_content, toml_text

SHEET = "sheet_of"  # the entry of hull.toml that only a sheet has: the number of the hull it was laid out for
OF_A_HULL = ("dimensions", "outline", "dates", "machinery", "release", "limits", "rules")
KEPT_BY_A_YARD = (Planned.table.file, Nonconformity.table.file)
ORDER = "Give the hull folder first and the survey second: buildbook compare HULL_FOLDER SURVEY."


class Swapped(Exception):
    """One of the folders is not what its place asks for; the message says which, how that is known, and what to do."""


def told_apart(yard: Folder, survey: Folder, names: tuple[Path, Path]) -> None:
    """Raise `Swapped` where the first folder is no hull folder, the second is one, or both are one folder.

    Args:
        yard: the folder given first.
        survey: the folder given second.
        names: both as they were named.

    A survey says in hull.toml who she is and the day, no more: what was promised, her sizes and her dates are the
    yard's, and so are plan and reports. `Refused` for a hull.toml that cannot be read.
    """
    if SHEET in _entries(yard):
        known = f"its {HULL_FILE} has the entry {SHEET}"
        raise Swapped(
            f"{names[0]} is a re-measurement sheet, not a hull folder: {known}. Nothing was compared. {ORDER}"
        )
    signs = _signs(survey)
    if signs:
        raise Swapped(
            f"{names[1]} is a hull folder, not a survey: it has {', '.join(signs)}. Nothing was compared. {ORDER} "
            f"A survey has of {HULL_FILE} only as_of and [hull]: the yard's limits and dates are used."
        )
    if yard.root == survey.root:
        raise Swapped(f"{names[0]} and {names[1]} are one folder, a survey. Nothing was compared. {ORDER}")
    if not _signs(yard):
        tables = ", ".join(f"[{name}]" for name in OF_A_HULL)
        raise Swapped(
            f"{names[0]} is not known as a hull folder: it has none of {tables} in {HULL_FILE}, and no "
            f"{' or '.join(KEPT_BY_A_YARD)}. Nothing was compared. {ORDER}"
        )


def _signs(folder: Folder) -> list[str]:
    """By what a folder is known as a hull's."""
    entries = _entries(folder)
    signs = [f"[{name}] in {HULL_FILE}" for name in OF_A_HULL if name in entries]
    return signs + [name for name in KEPT_BY_A_YARD if folder.holds(name)]


def _entries(folder: Folder) -> frozenset[str]:
    """The names of the entries of hull.toml, none where there is no such file."""
    if not folder.holds(HULL_FILE):
        return frozenset()
    text = toml_text(folder, HULL_FILE, MOST_BYTES, "Nothing was compared.")
    return frozenset(toml_content(text, HULL_FILE, "Nothing was compared."))
