"""Which edition of the program this is, to the byte: its version text alone does not tell one commit from another."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import version
from pathlib import Path

from buildbook.render.sums import list_by_name
from buildbook.render.templates import templates_dir

# What else shapes the bytes of pages and exports; the book's own numbers are in book.json, whoever worked them out.
LIBRARIES = ("jinja2", "markdown-it-py", "matplotlib", "numpy", "openpyxl", "pydantic", "segno")
SUM, SHAPED = "Program-SHA-256", "Program-Libraries"  # labels in bag-info.txt


@cache
def edition() -> tuple[tuple[str, str], ...]:
    """The sum of this program and the libraries it runs with, as `bag-info.txt` says them: label and value."""
    package = Path(__file__).resolve().parent
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return ((SUM, program_sum(package, templates_dir(package))), (SHAPED, libraries))


def program_sum(package: Path, templates: Path) -> str:
    """The SHA-256 of a list of the program's own files, the same for a checkout and for an installed wheel.

    The list is in the form of `sha256sum`, sorted by name: `buildbook/…` for the package, `templates/…` for the
    templates wherever they lie. Caches, hidden files and copies that editors leave (`…~`) are not named.

    Args:
        package: folder of the package.
        templates: folder of the templates, beside the package or in it as `_templates`.
    """
    files = {f"buildbook/{name}": path for name, path in _files(package, templates)}
    files |= {f"templates/{name}": path for name, path in _files(templates)}
    sums = {name: hashlib.sha256(path.read_bytes()).hexdigest() for name, path in files.items()}
    return hashlib.sha256(list_by_name(sums)).hexdigest()


def _files(folder: Path, apart: Path | None = None) -> Iterator[tuple[str, Path]]:
    for path in folder.rglob("*"):
        name = path.relative_to(folder)
        passed = any(part.startswith(".") or part == "__pycache__" for part in name.parts)
        passed = passed or path.name.endswith(("~", ".pyc")) or (apart is not None and path.is_relative_to(apart))
        if path.is_file() and not passed:
            yield name.as_posix(), path


def other_edition(said: tuple[tuple[str, str], ...]) -> str:
    """Why what a package says of the program that wrote it is not this one, in words; empty where it is this one."""
    theirs, ours = dict(said), dict(edition())
    if not theirs.get(SUM):
        return f"its bag-info.txt does not say the sum of the program that wrote it ({SUM})"
    if theirs[SUM] != ours[SUM]:
        return f"the program that wrote it has the sum {theirs[SUM][:12]}…, and this one {ours[SUM][:12]}…"
    if theirs.get(SHAPED) != ours[SHAPED]:
        return f"it was written with the libraries {theirs.get(SHAPED) or 'that it does not name'}; here {ours[SHAPED]}"
    return ""
