"""Tables of a package whose yard writes its own heads and words: read by the columns.toml that lies beside them.

Written from the page "Filling a hull's folder", section "Your own heads and words", and from datapackage.json, which
says which columns take a few words only. Nothing here imports the program.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SAME_UNIT = {"°C": "degC", "µm": "um"}  # other spellings that the tests write


def fold(text: str) -> str:
    """Capitals and spaces do not count."""
    return " ".join(text.replace("_", " ").replace("-", " ").split()).casefold()


@dataclass(frozen=True)
class Said:
    """What columns.toml says, and the columns with few words of each table."""

    columns: Mapping[str, Any]
    coded: Mapping[str, frozenset[str]]

    def head(self, file: str, text: str) -> str:
        """A head as the book calls it, with its unit."""
        name, _, unit = (part.strip() for part in text.rstrip("] ").partition("["))
        for part in (self.columns.get(file, {}), self.columns):
            for theirs, ours in part.get("heads", {}).items():
                if fold(theirs) in (fold(text), fold(name)):
                    own, _, given = (one.strip() for one in ours.rstrip("] ").partition("["))
                    unit = SAME_UNIT.get(unit or given, unit or given)
                    return f"{own} [{unit}]" if unit else own
        return text

    def cell(self, file: str, column: str, text: str) -> str:
        """A cell as the book takes it."""
        if column not in self.coded.get(file, ()):
            return text
        for part in (self.columns.get(file, {}), self.columns):
            words = part.get("words", {})
            for scope in (words.get(column, {}), words):
                for theirs, ours in scope.items():
                    if isinstance(ours, str) and fold(theirs) == fold(text):
                        return ours
        return text


def said(root: Path) -> Said:
    """What the unpacked package says; nothing where its yard writes the heads of the book."""
    path = root / "data/evidence/received/columns.toml"
    if not path.exists():
        return Said({}, {})
    described = json.loads((root / "data/datapackage.json").read_text("utf-8"))
    coded = {
        resource["path"].removeprefix("tables/"): frozenset(
            one["name"]
            for one in resource["schema"]["fields"]
            if one["type"] == "boolean" or "enum" in one.get("constraints", {})
        )
        for resource in described["resources"]
        if "schema" in resource
    }
    return Said(tomllib.loads(path.read_text("utf-8")), coded)
