"""The recomputation stands on its own: nothing of the program is imported, and a wrong book is noticed."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import pytest

from tests.again import laminate_burned
from tests.again.common_rules import Key, Limit, Own, Package, Value, verdict
from tests.again.comparing import by_key, differences

HERE = Path(__file__).parent
RUNS_THE_PROGRAM = "package_folder.py"
LAY_OUT = ("conftest.py", "test_other_limits.py")
MODULES = sorted(path for path in HERE.glob("*.py") if path.name != RUNS_THE_PROGRAM)


def imported(path: Path) -> set[str]:
    """Every module that a file names in an import, wherever it stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: imports are absolute, so that they can be read here"
            found.add(str(node.module))
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_no_module_imports_the_program(path: Path) -> None:
    assert not {name for name in imported(path) if name.split(".")[0] == "buildbook"}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_only_what_lays_out_the_package_reaches_the_program(path: Path) -> None:
    """What a script imports of the tests lies in this folder; the layout is for the fixture and for changed hulls."""
    own = {name for name in imported(path) if name.split(".")[0] == "tests"}
    assert all(name.startswith("tests.again") for name in own)
    assert path.name in LAY_OUT or "tests.again.package_folder" not in own


WORKED = Limit(low=50.0)  # the example of the page "How readings are judged": glass, at least 50.0 %, U 0.8 %


@pytest.mark.parametrize(
    ("reading", "outcome"),
    [(51.2, "pass"), (50.8, "pass"), (50.5, "conditional pass"), (49.6, "conditional fail"), (49.0, "fail")],
)
def test_the_rule_gives_the_outcomes_of_the_worked_example(reading: float, outcome: str) -> None:
    assert verdict(Value(reading, 0.8), WORKED)[0] == outcome


def test_the_rule_gives_what_the_page_says_of_pitch_and_of_voids() -> None:
    assert verdict(Value(716.5, 3.0), Limit(711 - 7.1, 711 + 7.1))[0] == "conditional pass"
    assert verdict(Value(0.6, 1.8), Limit(high=1.0, natural_low=0.0))[0] == "inconclusive"


def changed(line: dict[str, str], **cells: str) -> dict[str, str]:
    """A finding of the book with other cells."""
    return {**line, **cells}


def test_each_number_and_the_verdict_of_a_wrong_book_are_noticed() -> None:
    """Every cell of a finding is changed in turn, numbers by a millionth; each is told by name."""
    key = Key("LAM-01", "glass content by mass", "L1", "C-01")
    own = {key: Own("pass", Value(67.9, 0.006), Limit(62.0, 74.0), 5.9, 0.006, ("upper edge",))}
    right = {"verdict": "pass", "value": "67.9", "U": "0.006", "coverage": "2.0", "margin": "5.9", "guard": "0.006"}
    right |= {"limit_low": "62.0", "limit_high": "74.0", "limit_low_strict": "False", "limit_high_strict": "False"}
    right |= {"observed": "of the upper edge"}
    assert differences({key: right}, own) == []
    wrong = {name: str(float(cell) * 1.000001) for name, cell in right.items() if cell[0].isdigit()}
    wrong |= {"verdict": "fail", "limit_low_strict": "True", "observed": "of the lower edge"}
    for name, cell in wrong.items():
        (said,) = differences({key: changed(right, **{name: cell})}, own)
        assert name in said
    (said,) = differences({key: changed(right, U="")}, own)
    assert "U none" in said


def test_a_finding_that_nobody_recomputed_and_one_that_the_book_lacks_are_told(unpacked: Path) -> None:
    package = Package(unpacked)
    own = laminate_burned.recomputed(package)
    book = {key: line for key, line in by_key(package.findings, "LAM").items() if key in own}
    first, second = list(own)[:2]
    told = differences(
        {key: line for key, line in book.items() if key != first}, {k: own[k] for k in own if k != second}
    )
    assert len(told) == 2
    assert any(str(second) in words and "not recomputed" in words for words in told)
    assert any(str(first) in words and "not in the book" in words for words in told)


def test_a_weighing_changed_by_a_milligram_changes_what_is_recomputed(unpacked: Path, tmp_path: Path) -> None:
    """The values come from the tables as received, so that a book made of other tables does not agree with them."""
    received = tmp_path / "data" / "evidence" / "received"
    for name in (
        "instruments.csv",
        "laminate/burn_off.csv",
        "laminate/schedule.csv",
        "laminate/materials.csv",
        "hull.toml",
    ):
        (received / name).parent.mkdir(parents=True, exist_ok=True)
        (received / name).write_bytes((unpacked / "data/evidence/received" / name).read_bytes())
    table = received / "laminate/burn_off.csv"
    assert table.read_text().count("30.4849") == 1
    table.write_text(table.read_text().replace("30.4849", "30.4859"))
    key = Key("LAM-01", "glass content by mass", "L1", "C-01")
    before, after = (laminate_burned.recomputed(Package(root))[key].value for root in (unpacked, tmp_path))
    assert before
    assert after
    assert math.isclose(after.value - before.value, 100 * 0.001 / 11.0216, rel_tol=1e-6)
