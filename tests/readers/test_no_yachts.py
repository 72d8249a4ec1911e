"""The readers import the core and each other, nothing else of the project."""

import ast
from pathlib import Path

import pytest

import buildbook.readers

FILES = sorted(Path(buildbook.readers.__file__).parent.glob("*.py"))


def test_the_readers_are_there():
    assert len(FILES) > 10


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_reader_imports_core_and_readers_only(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    names += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    own = [name for name in names if name.startswith("buildbook")]
    assert [name for name in own if not name.startswith(("buildbook.core", "buildbook.readers"))] == []
    assert not any(isinstance(node, ast.ImportFrom) and node.level for node in ast.walk(tree))


def test_reading_tables_loads_no_heavy_library():
    import subprocess
    import sys

    code = (
        "import sys, buildbook.readers.gather, buildbook.readers.hull_file, buildbook.readers.photo,"
        " buildbook.readers.signal; print([m for m in ('pandas','numpy','scipy','matplotlib','PIL','pint','weasyprint')"
        " if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
