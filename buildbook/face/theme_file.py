"""theme.toml: read, held against the model, every fault told with line, key, what was expected and what was found."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from buildbook.core.fault import Fault
from buildbook.face.model import Theme
from buildbook.face.refusal import EFFECT, FaceRefused
from buildbook.readers.refused import Refused
from buildbook.readers.toml_lines import line_index
from buildbook.readers.toml_reading import Files, Reading, near, shown, toml_content, toml_text

THEME_FILE = "theme.toml"
MOST_BYTES = 20_000
_KEPT = re.compile(r"verdict|pass|fail|inconclusive|measured|record|applicable|information|sign|exception|gap|caution|"
                   r"source|demonstration|label|digest|forbidden|reading|plain|kept")  # fmt: skip
_SAME = " (verdicts, exceptions, cautions, sources, the demonstration label and the digest look alike in every book)"
_CSS = " (a theme is these values; style sheets are not taken)"


@dataclass(frozen=True, slots=True)
class ThemeFile:
    """theme.toml as read: what it says, its bytes, and where its keys stand."""

    theme: Theme
    data: bytes
    reading: Reading


def read_theme_file(folder: Files) -> ThemeFile:
    """Read theme.toml; FaceRefused with every fault of it."""
    try:
        text = toml_text(folder, THEME_FILE, MOST_BYTES, EFFECT)
        content = toml_content(text, THEME_FILE, EFFECT)
    except Refused as refused:
        fault = refused.fault
        raise FaceRefused([Fault(fault.where, fault.expected, fault.found, EFFECT)]) from None
    reading = Reading(THEME_FILE, line_index(text))
    try:
        theme = Theme.model_validate(content)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _blame(reading, detail)
        raise FaceRefused(reading.faults) from None
    return ThemeFile(theme, folder.read(THEME_FILE, MOST_BYTES), reading)


def _blame(reading: Reading, detail: ErrorDetails) -> None:
    """One complaint of the model in the words of a builder."""
    path = [str(part) for part in detail["loc"]]
    holder = _model_at(path[:-1])
    if detail["type"] == "extra_forbidden":
        choices = list(holder.model_fields)
        hint = near(path[-1], choices) or _why_not(path, detail["input"])
        reading.blame(".".join(path), f"one of: {', '.join(choices)}", f"'{path[-1]}'{hint}", EFFECT)
        return
    field = holder.model_fields[path[-1]]
    found = "nothing" if detail["type"] == "missing" else shown(detail["input"])
    reading.blame(".".join(path), field.description or "another value", found, EFFECT)


def _why_not(path: list[str], value: object) -> str:
    """Why a key is not taken, where it asks for something that no theme may set."""
    inner = list(value) if isinstance(value, Mapping) else []
    words = [word.lower() for word in (*path, *map(str, inner))]
    if any(_KEPT.search(word) for word in words):
        return _SAME
    return _CSS if any("css" in word or "style" in word for word in words) else ""


def _model_at(path: list[str]) -> type[BaseModel]:
    """The part of the model that a path leads to."""
    model: type[BaseModel] = Theme
    for name in path:
        model = _inner(model.model_fields[name])
    return model


def _inner(field: FieldInfo) -> type[BaseModel]:
    kinds = typing.get_args(field.annotation) if isinstance(field.annotation, types.UnionType) else (field.annotation,)
    return next(kind for kind in kinds if isinstance(kind, type) and issubclass(kind, BaseModel))
