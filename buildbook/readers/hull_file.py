"""hull.toml: who she is, and what her builder promised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from buildbook.core.check import Sayable, Span
from buildbook.core.fault import Fault
from buildbook.core.hull import Hull, Specification
from buildbook.core.stage import EVERYTHING_DUE, Stage
from buildbook.core.where import Where
from buildbook.core.wording import listed
from buildbook.readers.cells import CellError, day
from buildbook.readers.folder import Folder
from buildbook.readers.refused import Refused
from buildbook.readers.release_keys import KEYS, asked_lines, usable, withheld
from buildbook.readers.sizes import fitting, not_contradicting, points, size
from buildbook.readers.specified import ANY_GUARD, read_specification
from buildbook.readers.toml_lines import line_index
from buildbook.readers.toml_reading import Reading, near, plain, shown, toml_content, toml_text

HULL_FILE = "hull.toml"
MOST_BYTES = 1_000_000

_TEXTS = ("name", "number", "builder", "model", "category", "demonstration")
_DIMENSIONS = ("length_hull", "length_waterline", "beam", "draught", "displacement")
_OUTLINES = ("profile", "plan")
_ABOVE = ("as_of", "stage")  # entries that stand in no part
_TABLES = ("as_of", "stage", "hull", "dimensions", "outline", "dates", "machinery", "release", "limits", "rules")
_DAYLESS = "Without it nothing is called better than inconclusive."
_NO_BOOK = "Without this file no book can be made."


class HullFileUnreadable(Refused):
    """hull.toml is there and cannot be read at all; `fault` says why, with line and column where that can be told."""


def read_hull(
    folder: Folder, known: Mapping[str, Sayable], spans: Mapping[str, Span] = MappingProxyType({})
) -> tuple[Hull, Specification, tuple[Fault, ...]]:
    """Read hull.toml.

    Args:
        folder: the hull folder.
        known: by check id, what a specification may say about it.
        spans: the plausible ranges of dimensions and points [m, kg] and of a guard-band factor, by entry
            (`dimensions.beam`, `outline.profile x`, `limits.guard`); an entry that is not named has none.
    Returns:
        The hull, her specification (limits in the units of `known`), the faults. What cannot be used of the
        specification stands in its `unread`, so that no check passes because a limit was not understood.
    Errors:
        HullFileUnreadable for a file that is not TOML, not UTF-8, a link, or too large.
    """
    if not folder.holds(HULL_FILE):
        return _absent(f"no such file{_below(folder)}")
    text, content = _content(folder)
    if not content:
        return _absent("an empty file")
    reading = Reading(HULL_FILE, line_index(text))
    hull = _hull(content, reading, spans)
    asked = withheld(content, text, reading)
    hull = replace(hull, withhold=tuple(asked), lines=(*hull.lines, *asked_lines(asked)))
    lost = _unknown_tables(content, reading)
    limits, rules, unread = read_specification(content, known, reading, spans.get("limits.guard", ANY_GUARD))
    specification = Specification(limits, rules, (*lost, *unread))
    return hull, specification, tuple(sorted(reading.faults, key=lambda fault: fault.where.order))


def _below(folder: Folder) -> str:
    """The folders one level below that hold the file, since one of them was probably meant."""
    held = [name.removesuffix(f"/{HULL_FILE}") for name in folder.names() if name.endswith(f"/{HULL_FILE}")]
    meant = listed([f"'{name}'" for name in held if "/" not in name], "or")
    return f" (did you mean the folder {meant} in this one?)" if meant else ""


def _absent(found: str) -> tuple[Hull, Specification, tuple[Fault, ...]]:
    expected, effect = "the file that says who she is", "No limit of her own is known, so nothing is judged as met."
    reason = f"{HULL_FILE}: expected {expected}; found {found}"
    fault = Fault(Where(HULL_FILE), expected, found, effect)
    return Hull(), Specification(unread=(("", reason),)), (fault,)


def _content(folder: Folder) -> tuple[str, dict[str, Any]]:
    """The text of hull.toml and what it holds."""
    try:
        text = toml_text(folder, HULL_FILE, MOST_BYTES, _NO_BOOK)
        return text, toml_content(text, HULL_FILE, _NO_BOOK)
    except Refused as refusal:
        raise HullFileUnreadable(refusal.fault) from None


def _hull(content: Mapping[str, Any], reading: Reading, spans: Mapping[str, Span]) -> Hull:
    texts = {key: _word(value, f"hull.{key}", reading) for key, value in _section(content, "hull", _TEXTS, reading)}
    sizes = {
        key: size(value, f"dimensions.{key}", reading, spans)
        for key, value in _section(content, "dimensions", _DIMENSIONS, reading)
    }
    outline = {
        key: points(value, f"outline.{key}", reading, spans)
        for key, value in _section(content, "outline", _OUTLINES, reading)
    }
    dates = {key: _date(value, f"dates.{key}", reading) for key, value in _section(content, "dates", (), reading)}
    as_of = _date(content["as_of"], "as_of", reading) if "as_of" in content else None
    not_contradicting(sizes, reading)
    fitting(sizes, outline, reading)
    _wanted(content, texts, reading)
    hull = Hull(
        as_of=as_of,
        outline=outline.get("profile", ()),
        plan_outline=outline.get("plan", ()),
        dates=tuple((key, value) for key, value in dates.items() if value is not None),
        machinery=_free(content, "machinery", reading),
        release=_free(content, "release", reading),
        lines=_key_lines(reading.lines),
        stage=_stage(content["stage"], reading) if "stage" in content else "",
    )
    return replace(hull, **texts, **sizes)  # type: ignore[arg-type]


def _wanted(content: Mapping[str, Any], texts: Mapping[str, str], reading: Reading) -> None:
    """The three things without which she cannot be told from another hull, or from herself on another day."""
    if "as_of" not in content:
        reading.blame("as_of", "the day this book describes, as_of = YYYY-MM-DD", "none", _DAYLESS)
    wrong = [fault.where.part.removeprefix("hull.") for fault in reading.faults]
    for key in ("name", "number"):
        if not texts.get(key) and key not in wrong:
            reading.blame(f"hull.{key}", f"her {key}", "none", f"The book has no {key} to show.")


def _section(
    content: Mapping[str, Any], name: str, keys: Sequence[str], reading: Reading
) -> tuple[tuple[str, Any], ...]:
    """The entries of a table, those with unknown keys left out and told; all are known where no keys are given."""
    section = content.get(name, {})
    if not isinstance(section, dict):
        reading.blame(name, f"a table [{name}]", shown(section))
        return ()
    for key in section:
        if keys and key not in keys:
            reading.blame(f"{name}.{key}", f"one of {', '.join(keys)}", f"'{key}'{_belongs(key) or near(key, keys)}")
    return tuple((key, value) for key, value in section.items() if not keys or key in keys)


def _belongs(key: str) -> str:
    """Where an entry stands rightly that was written into another part, as the end of a message."""
    if key in _ABOVE:
        others = listed([other for other in _ABOVE if other != key])
        return f"; it belongs beside {others}, above the first line in brackets"
    parts = {"hull": _TEXTS, "dimensions": _DIMENSIONS, "outline": _OUTLINES}
    return next((f"; it belongs below [{name}]" for name, keys in parts.items() if key in keys), "")


def _word(value: Any, path: str, reading: Reading) -> str:
    if isinstance(value, str):
        return value.strip()
    reading.blame(path, 'text between quotes ("…")', shown(value))
    return ""


def _date(value: Any, path: str, reading: Reading) -> date | None:
    try:
        if isinstance(value, str):
            return day(value)
        if isinstance(value, date) and not isinstance(value, datetime):
            return day(value.isoformat())
        raise CellError("a date as YYYY-MM-DD, without a time", shown(value))
    except CellError as error:
        reading.blame(path, error.expected, error.found)
        return None


def _stage(value: Any, reading: Reading) -> str:
    """The stage of the build; none where it is not one of those there are, so that nothing is called not due."""
    word = _word(value, "stage", reading).lower().replace("_", " ")
    names = [stage.value for stage in Stage]
    if word in names:
        return word
    if isinstance(value, str):
        expected = f"how far she is: one of {', '.join(names)}"
        reading.blame("stage", expected, f"{shown(value)}{near(word, names)}", EVERYTHING_DUE)
    return ""


def _free(content: Mapping[str, Any], name: str, reading: Reading) -> tuple[tuple[str, str], ...]:
    """A table of free words: each a text, a number, yes or no, a date, or a list of these."""
    kept = []
    for key, value in _section(content, name, KEYS.get(name, ()), reading):
        items = value if isinstance(value, list) else [value]
        if name == "release" and not usable(key, value, reading):
            continue
        if any(isinstance(item, dict | list) for item in items):
            reading.blame(f"{name}.{key}", "text, a number or a list of these", shown(value))
        else:
            kept.append((key, ", ".join(plain(item) for item in items)))
    return tuple(kept)


def _key_lines(lines: Mapping[str, int]) -> tuple[tuple[str, int], ...]:
    """The lines by full path, and by the key alone where it is the first of that name; without limits and rules."""
    own = {path: line for path, line in lines.items() if not path.startswith(("limits", "rules"))}
    found = dict(own)
    for path, line in own.items():
        found.setdefault(path.rpartition(".")[2], line)
    return tuple(found.items())


def _unknown_tables(content: Mapping[str, Any], reading: Reading) -> tuple[tuple[str, str], ...]:
    """Tables that nobody reads; one that may hold limits under another name concerns every check."""
    lost = []
    for key, value in content.items():
        if key in _TABLES:
            continue
        suggestion = _belongs(key) or near(key, _TABLES)
        reason = reading.blame(key, f"one of {', '.join(_TABLES)}", f"'{key}'{suggestion}")
        entries = value if isinstance(value, list) else [value]
        if (
            "limits" in suggestion
            or "rules" in suggestion
            or any(isinstance(e, dict) and "check" in e for e in entries)
        ):
            lost.append(("", reason))
    return tuple(lost)
