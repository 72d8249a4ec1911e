"""Every public formula says what it takes, gives, where it holds, where it comes from, and shows an example."""

from __future__ import annotations

import doctest
import importlib
import inspect
import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import buildbook

ROOT = Path(buildbook.__file__).parent
PARTS = ("Args", "Returns", "Range", "Source", "Example")
UNIT = re.compile(r"\[[^\[\]]+\]")
KNOWN = re.compile(r"\b(read|second-hand|memory|practice)\b")


def _modules() -> list[ModuleType]:
    """Every module of formulas, wherever a chapter keeps them."""
    paths = [p for p in ROOT.rglob("*.py") if p.name == "formulas.py" or p.parent.name == "formulas"]
    names = [".".join(p.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(".__init__") for p in paths]
    return [importlib.import_module(name) for name in sorted(names)]


def _formulas() -> list[Callable[..., Any]]:
    return [
        thing
        for module in _modules()
        for name, thing in vars(module).items()
        if inspect.isfunction(thing) and not name.startswith("_") and thing.__module__ == module.__name__
    ]


FORMULAS = _formulas()


def parts_of(docstring: str) -> dict[str, str]:
    """A docstring cut at its headings."""
    pieces = re.split(rf"^({'|'.join(PARTS)}):\n", inspect.cleandoc(docstring), flags=re.MULTILINE)
    return {"What": pieces[0], **dict(zip(pieces[1::2], pieces[2::2], strict=True))}


def faults_of(formula: Callable[..., Any]) -> list[str]:
    """What a formula's docstring leaves out."""
    parts = parts_of(formula.__doc__ or "")
    faults = [f"no {part}" for part in PARTS if not parts.get(part, "").strip()]
    if faults:
        return faults
    entries = dict(re.findall(r"^ {4}(\w+): (.*(?:\n {5,}.*)*)", parts["Args"], re.MULTILINE))
    parameters = list(inspect.signature(formula).parameters)
    if list(entries) != parameters:
        faults.append(f"arguments {list(entries)} described, {parameters} taken")
    faults += [f"no unit for {name}" for name, words in entries.items() if not UNIT.search(words)]
    if not UNIT.search(parts["Returns"]):
        faults.append("no unit for the result")
    if not KNOWN.search(parts["Source"]):
        faults.append("not said how the source is known")
    if not doctest.DocTestParser().get_examples(parts["Example"]):
        faults.append("no example that runs")
    return faults


def test_formulas_are_found():
    names = {f"{formula.__module__}.{formula.__name__}" for formula in FORMULAS}
    assert "buildbook.chapters.coating.formulas.climate.dew_point" in names
    assert "buildbook.formulas.uncertainty.propagate" in names
    assert "buildbook.chapters.register.formulas.parse_hull_number" in names


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f"{f.__module__.removeprefix('buildbook.')}.{f.__name__}")
def test_docstring_keeps_the_contract(formula):
    assert faults_of(formula) == []


def test_a_poor_docstring_is_caught():
    def poor(length, breadth):
        """Area.

        Args:
            length: how long [m].
            width: how wide.
        Returns:
            Area.
        Range:
            Any.
        Source:
            Somewhere.
        Example:
            None.
        """

    assert faults_of(poor) == [
        "arguments ['length', 'width'] described, ['length', 'breadth'] taken",
        "no unit for width",
        "no unit for the result",
        "not said how the source is known",
        "no example that runs",
    ]
    assert faults_of(lambda x: x) == [f"no {part}" for part in PARTS]


def test_formulas_read_no_files():
    for module in _modules():
        text = inspect.getsource(module)
        assert not re.search(r"\bopen\(|read_text|read_csv|\bPath\b|importlib.resources", text), module.__name__
