"""The reference page of the commands, made from the commands themselves."""

from __future__ import annotations

import inspect
import typing
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

INTRODUCTION = """\
# Commands

Every command with all it takes. `buildbook COMMAND --help` prints the same on a terminal.

Exit status 0: done. 1: done, and the answer is bad news. 2: could not, and the last line says why.
"""


@dataclass(frozen=True, slots=True)
class Taken:
    """One argument or option of a command: its spellings, what stands behind it, its meaning, what holds without it."""

    spellings: tuple[str, ...]
    value: str
    words: str
    default: str = ""
    required: bool = False

    @property
    def argument(self) -> bool:
        """Whether it stands by its place and not by its name."""
        return not self.spellings


def commands_page() -> str:
    """Every command: what it does, how it is written, and each argument and option with its meaning and default."""
    from buildbook.cli import app

    commands = {command.callback.__name__: command.callback for command in app.registered_commands if command.callback}
    sections = [_section(name, commands[name]) for name in sorted(commands)]
    return "\n".join((INTRODUCTION, *sections)).rstrip() + "\n"


def _section(name: str, command: Callable[..., Any]) -> str:
    everything = tuple(taken(command))
    arguments = [item for item in everything if item.argument]
    options = [item for item in everything if not item.argument]
    written = " ".join(["buildbook", name, *(item.value for item in arguments), *(["[OPTIONS]"] if options else [])])
    lines = [f"## `{name}`", "", _one_line(command.__doc__), "", f"    {written}", ""]
    lines += [f"- `{item.value}`: {item.words}" for item in arguments]
    for item in options:
        spelled = ", ".join(f"`{f'{spelling} {item.value}'.strip()}`" for spelling in item.spellings)
        without = " It has to be given." if item.required else f" Without it: `{item.default}`." if item.default else ""
        lines.append(f"- {spelled}: {item.words}{without}")
    return "\n".join((*lines, ""))


def taken(command: Callable[..., Any]) -> Iterator[Taken]:
    """The arguments and options of a command, in the order of its signature."""
    from typer.models import OptionInfo

    hints = typing.get_type_hints(command, include_extras=True)
    for name, parameter in inspect.signature(command).parameters.items():
        kind, info = typing.get_args(hints[name])
        if not isinstance(info, OptionInfo):
            yield Taken((), str(info.metavar), _one_line(info.help))
            continue
        choices = "|".join(str(item.value) for item in kind) if _is_choice(kind) else str(info.metavar)
        value = "" if kind is bool else choices
        spellings = (str(info.default), *(info.param_decls or ()))  # typer keeps the first where a default would stand
        required = parameter.default is inspect.Parameter.empty
        yield Taken(spellings, value, _one_line(info.help), _told(parameter.default), required)


def _is_choice(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, StrEnum)


def _told(default: Any) -> str:
    value = getattr(default, "value", default)
    return "" if value in (None, "", False, inspect.Parameter.empty) else str(value)


def _one_line(text: str | None) -> str:
    return " ".join(inspect.cleandoc(text or "").split())
