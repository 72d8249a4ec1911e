"""What of a builder's own face nobody can hold: a typeface can draw letters otherwise, a logo can show anything."""

from __future__ import annotations

from collections.abc import Collection

from buildbook.core.published import OWN_FACE

TYPEFACE = "A typeface of the builder's own is in use: NOT compared; letters may be drawn otherwise"
LOGO = "A logo of the builder's own is in use: NOT compared"
BOTH = "A typeface and a logo of the builder's own are in use: NOT compared; letters may be drawn otherwise"


def own_face(names: Collection[str]) -> str:
    """A sentence on the builder's own typeface and logo among the files of a folder; empty where there is neither.

    Example:
        >>> own_face(["index.html"]), own_face(["style/own/logo.svg"])
        ('', "A logo of the builder's own is in use: NOT compared")
    """
    own = [name.removeprefix(OWN_FACE).lower() for name in names if name.startswith(OWN_FACE)]
    typeface, logo = any(name.endswith(".woff2") for name in own), any(name.startswith("logo.") for name in own)
    return BOTH if typeface and logo else TYPEFACE if typeface else LOGO if logo else ""
