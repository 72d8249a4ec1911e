"""Where the templates and the fonts lie, in a checkout and in an installed wheel, and how templates are read."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


def templates_dir(package: Path | None = None) -> Path:
    """Folder of the templates.

    A wheel carries them inside the package as `_templates`; in a checkout they lie beside the package, where
    a builder can replace them.

    Args:
        package: folder of the package; by default the one this module was loaded from.

    Returns:
        `<package>/_templates` if that folder exists, else `<package>/../templates`.

    Raises:
        FileNotFoundError: neither folder exists, so the installation is incomplete.

    Example:
        >>> (templates_dir() / "theme").is_dir()
        True
    """
    package = package or Path(__file__).resolve().parent.parent
    places = (package / "_templates", package.parent / "templates")
    for place in places:
        if place.is_dir():
            return place
    raise FileNotFoundError(
        f"the templates are missing: neither {places[0]} nor {places[1]} is a folder; install buildbook again"
    )


def fonts_dir(package: Path | None = None) -> Path:
    """Folder of the fonts that pages, book and charts use; nothing relies on the system's own.

    Args:
        package: folder of the package, as for `templates_dir`.

    Returns:
        `theme/fonts` inside the templates.

    Raises:
        FileNotFoundError: the folder does not exist.

    Example:
        >>> sorted(path.name for path in fonts_dir().glob("IBMPlexSans-*.ttf"))
        ['IBMPlexSans-Regular.ttf', 'IBMPlexSans-SemiBold.ttf']
    """
    fonts = templates_dir(package) / "theme" / "fonts"
    if not fonts.is_dir():
        raise FileNotFoundError(f"the fonts are missing: {fonts} is not a folder; install buildbook again")
    return fonts


def environment(package: Path | None = None) -> Environment:
    """How templates are read: everything is escaped whatever the file is called, and an undefined name is an error.

    Each template is compiled once in a process, and again only when its file changes.

    Args:
        package: folder of the package, as for `templates_dir`.

    Returns:
        An environment that loads from the folder of the templates; the same one for all, so never change it.

    Example:
        >>> environment().from_string("{{ note }}").render(note="<script>")
        '&lt;script&gt;'
    """
    return _reading(templates_dir(package), escaped=True)


def plain_environment(package: Path | None = None) -> Environment:
    """As `environment`, for templates of plain text: nothing is escaped."""
    return _reading(templates_dir(package), escaped=False)


@lru_cache(maxsize=8)
def _reading(folder: Path, escaped: bool) -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(folder, encoding="utf-8"),
        autoescape=escaped,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
