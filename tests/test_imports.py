"""Who may import whom, read from the source text; and what a command loads, read from Python's own import log."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "buildbook"
MODULES = sorted(PACKAGE.rglob("*.py"))
HEAVY = ("pandas", "matplotlib", "nptdms", "scipy", "weasyprint")

# Folder of the package: what it may import of the project besides itself.
ALLOWED = {
    "core": (),
    "formulas": (),
    "sources": ("core",),
    "readers": ("core",),
    "restated": ("core",),
    "render": ("core", "restated"),
    "parcel": ("core", "render"),
    "sheet": ("core", "sources", "chapters"),
    "face": ("core", "readers", "render"),
    "ready": ("core", "readers", "chapters", "render", "daily", "remedies"),
    "seal": ("core", "render"),
    "second": ("core", "readers", "sources", "formulas", "chapters", "render", "parcel", "pipeline", "restated", ""),
}
SHARED_BY_CHAPTERS = (
    "batch_records",
    "contradictions",
    "charted",
    "looser",
    "machine_records",
    "readings",
    "schedule_records",
    "shared_records",
    "subjects",
    "surplus",
    "trial_records",
)  # what two chapters ask of the same table
CHAPTER_MAY = ("core", "readers", "formulas", "sources")
TOP = {
    "pipeline": {"asked", "cli", "second"},
    "asked": {"cli"},
    "assemble": {"pipeline"},
    "claims": {"pipeline"},
    "cli": {"__main__", "command_page"},
}  # module: who may import it


def dotted(path: Path) -> str:
    """The module's name: `buildbook.core.decide`."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


@cache
def imported(path: Path) -> frozenset[str]:
    """Every module of the project that a file names in an import, wherever it stands and for whatever reason."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute, so that they can be read here"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    known = {dotted(other) for other in MODULES}
    return frozenset(_module(name, known) for name in found if name.split(".")[0] == "buildbook")


def _module(name: str, known: set[str]) -> str:
    """The module a name comes from: `buildbook.core.decide.cap` is of `buildbook.core.decide`."""
    while name not in known:
        name = name.rpartition(".")[0]
    return name


def layer(module: str) -> str:
    """The folder or file directly below the package."""
    return module.split(".")[1] if "." in module else ""


def chapter(module: str) -> str:
    """The chapter a module belongs to, empty for none."""
    parts = module.split(".")
    own = len(parts) > 2 and parts[1] == "chapters" and (PACKAGE / "chapters" / parts[2]).is_dir()
    return parts[2] if own else ""


def test_imports_are_read_at_all():
    """Of a file whose imports are known, so that an empty set cannot pass for a clean one."""
    found = imported(PACKAGE / "pipeline.py")
    assert {"buildbook.assemble", "buildbook.chapters", "buildbook.core.decide", "buildbook.render.package"} <= found
    assert chapter("buildbook.chapters.coating.checks.film") == "coating"
    assert chapter("buildbook.chapters.shared_records") == ""


@pytest.mark.parametrize("path", [path for path in MODULES if layer(dotted(path)) in ALLOWED], ids=dotted)
def test_a_layer_imports_only_what_it_may(path):
    own = layer(dotted(path))
    others = {name for name in imported(path) if layer(name) not in (own, *ALLOWED[own])}
    assert others == set()


@pytest.mark.parametrize("path", [path for path in MODULES if layer(dotted(path)) == "chapters"], ids=dotted)
def test_a_chapter_never_imports_another_chapter(path):
    own = chapter(dotted(path))
    for name in imported(path):
        if layer(name) != "chapters":
            assert layer(name) in CHAPTER_MAY, name
        elif own:
            assert chapter(name) == own or name.split(".")[-1] in SHARED_BY_CHAPTERS, name
        elif dotted(path) != "buildbook.chapters":
            assert name.split(".")[-1] in SHARED_BY_CHAPTERS, name


@pytest.mark.parametrize("name", TOP)
def test_what_puts_the_stages_in_a_row_is_imported_by_nothing_below_it(name):
    users = {layer(dotted(path)) for path in MODULES if f"buildbook.{name}" in imported(path)}
    assert users == TOP[name]


# Why a module may import a heavy library at its top; it is then itself imported only inside functions.
EXCUSES = {"buildbook.render.fetcher": "its class is made from one of weasyprint's"}


@cache
def at_the_top(path: Path) -> frozenset[str]:
    """What a file imports as soon as it is loaded."""
    found: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(found)


def test_heavy_libraries_are_imported_inside_the_function_that_uses_them():
    heavy = {dotted(path) for path in MODULES if any(name.split(".")[0] in HEAVY for name in at_the_top(path))}
    assert heavy == set(EXCUSES), "a module without an excuse, or an excuse no longer needed"
    for path in MODULES:
        assert not any(name.startswith(excused) for name in at_the_top(path) for excused in EXCUSES), path


def loaded(*arguments: str) -> set[str]:
    """The packages a command loads, by Python's own log; the command must succeed."""
    command = [sys.executable, "-X", "importtime", "-m", "buildbook", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False, timeout=120)
    assert done.returncode == 0, done.stderr[-2000:]
    lines = [line for line in done.stderr.splitlines() if line.startswith("import time:")]
    return {line.rpartition("|")[2].strip().split(".")[0] for line in lines}


def test_help_loads_no_heavy_library():
    found = loaded("--help")
    assert {"buildbook", "typer"} <= found
    assert found & {*HEAVY, "pydantic", "pint"} == set()


def test_check_loads_no_library_for_drawing_or_printing_nor_for_a_format_that_is_not_there():
    found = loaded("check", "demo_build/hull")
    assert {"buildbook", "pydantic", "pint"} <= found
    assert found & {"weasyprint", "matplotlib", "jinja2", "nptdms"} == set()
