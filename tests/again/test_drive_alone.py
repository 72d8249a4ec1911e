"""The recomputation stands alone, and a difference of any kind is told by its key."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.again.drive_rules import Own, Package, Row, differences, few, four_outcomes

HERE = Path(__file__).parent
RUNS_THE_BUILD = "package_folder.py"
MODULES = ("test_propeller", "test_vibration")


def imported(file: Path) -> set[str]:
    """Every module that a file imports, wherever in it."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def test_no_module_of_the_recomputation_imports_the_program() -> None:
    """Only the module that runs the build does; nor is it reached by way of other tests."""
    for file in sorted(HERE.glob("*.py")):
        names = imported(file)
        if file.name != RUNS_THE_BUILD:
            assert not [name for name in names if name.split(".")[0] == "buildbook"], file.name
        outside = [name for name in names if name.startswith("tests") and not name.startswith("tests.again")]
        assert not outside, f"{file.name}: {outside}"


@pytest.mark.parametrize("module", MODULES)
def test_the_recomputation_loads_where_the_program_is_barred(module: str) -> None:
    """In a process of its own in which importing the program is an error."""
    words = (
        f"import sys; sys.modules['buildbook'] = None; import tests.again.{module} as m; print(m.recomputed.__name__)"
    )
    root = HERE.parent.parent
    done = subprocess.run([sys.executable, "-c", words], cwd=root, capture_output=True, text=True, check=False)
    assert done.stdout == "recomputed\n", done.stderr


@dataclass(frozen=True)
class Told(Package):
    """A package whose findings are given."""

    rows: tuple[Row, ...] = ()

    def findings(self) -> list[Row]:
        """The rows that were given."""
        return list(self.rows)


OWN = Own("PRO-01", "local pitch", "P1", "B1", 1, "pass", "governing", 896.0, "mm", 4.6, 2.0, 872.2, 907.8, 11.8, 4.6)
CELLS = (
    *(("check", "PRO-01"), ("quantity", "local pitch"), ("place", "P1"), ("condition", "B1"), ("attempt", "1")),
    *(
        ("role", "governing"),
        ("verdict", "pass"),
        ("value", "896.0"),
        ("unit", "mm"),
        ("U", "4.6"),
        ("coverage", "2.0"),
    ),
    *(("limit_low", "872.2"), ("limit_high", "907.8"), ("limit_low_strict", "False"), ("limit_high_strict", "False")),
    *(("margin", "11.8"), ("guard", "4.6"), ("observed", ""), ("rows", "")),
)
BOOK = dict(CELLS)
CHANGES: tuple[tuple[str, str], ...] = (
    *(
        ("verdict", "fail"),
        ("value", "896.00001"),
        ("value", ""),
        ("unit", "um"),
        ("U", "4.60001"),
        ("coverage", "2.1"),
    ),
    *(("limit_low", "872.20001"), ("limit_high", ""), ("margin", "11.80001"), ("guard", "0.0")),
    *(("observed", "0.7 R"), ("rows", "propeller/pitch.csv:2")),
)


@pytest.mark.parametrize(("column", "cell"), CHANGES)
def test_a_difference_in_any_column_is_told_by_its_name(column: str, cell: str) -> None:
    """One cell is another; the sentence names the key and the column."""
    assert not differences(Told(HERE, (BOOK,)), [OWN], "PRO-", {})
    (told, *_) = differences(Told(HERE, ({**BOOK, column: cell},)), [OWN], "PRO-", {})
    assert "'PRO-01', 'local pitch', 'P1', 'B1', 1" in told
    assert column in told


def test_a_strict_end_is_told() -> None:
    """No limit of these chapters excludes its own end; one that did would be judged otherwise."""
    (told,) = differences(Told(HERE, ({**BOOK, "limit_low_strict": "True"},)), [OWN], "PRO-", {})
    assert "excludes its own end" in told


@pytest.mark.parametrize(
    ("rows", "own", "words"),
    [((BOOK,), [], "not recomputed"), ((), [OWN], "not in the book"), ((BOOK,), [OWN, OWN], "recomputed twice")],
)
def test_a_finding_on_one_side_alone_is_told(rows: tuple[Row, ...], own: list[Own], words: str) -> None:
    """Nothing is skipped on either side."""
    (told, *_) = differences(Told(HERE, rows), own, "PRO-", {})
    assert words in told


@pytest.mark.parametrize(
    ("value", "U", "low", "high", "verdict"),
    [
        (51.0, 0.8, 50.0, None, "pass"),
        (50.5, 0.8, 50.0, None, "conditional pass"),
        (49.5, 0.8, 50.0, None, "conditional fail"),
        (49.0, 0.8, 50.0, None, "fail"),
        (50.0, None, 50.0, None, "pass"),
        (1.0, 0.8, 0.0, 1.5, "inconclusive"),
        (50.0, 0.8, None, None, "information"),
    ],
)
def test_the_four_outcomes(value: float, U: float, low: float, high: float, verdict: str) -> None:
    """ILAC-G8:09/2019, 4.2.3, with w = U."""
    assert four_outcomes(value, U, low, high)[0] == verdict


@pytest.mark.parametrize(("degrees", "k"), [(10, 2.28), (20, 2.13), (50, 2.05)])
def test_the_factor_of_few_readings(degrees: int, k: float) -> None:
    """GUM (JCGM 100:2008), table G.2, column 95.45 %."""
    found: Callable[[float, float, int], tuple[float, float]] = few
    assert round(found(0.0, 1.0, degrees)[1], 2) == k
