"""The recomputation stands alone, and a difference of any kind is told by its key."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest

from tests.again.common_rules import Key, Limit, Own, Value, verdict
from tests.again.comparing import by_key, differences
from tests.again.drive_rules import CLOSED, NO_LIMIT, few, figure, judged, keyed

HERE = Path(__file__).parent
MODULES = ("test_propeller", "test_vibration", "test_systems_second")


@pytest.mark.parametrize("module", MODULES)
def test_the_recomputation_loads_where_the_program_is_barred(module: str) -> None:
    """In a process of its own in which importing the program is an error."""
    words = (
        f"import sys; sys.modules['buildbook'] = None; import tests.again.{module} as m; print(m.recomputed.__name__)"
    )
    root = HERE.parent.parent
    done = subprocess.run([sys.executable, "-c", words], cwd=root, capture_output=True, text=True, check=False)
    assert done.stdout == "recomputed\n", done.stderr


OWN = Own(
    "pass",
    figure(896.0, "mm", 4.6),
    Limit(872.2, 907.8),
    11.8,
    4.6,
    observed="",
    rows=frozenset(),
    key=Key("PRO-01", "local pitch", "P1", "B1"),
)
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


def told_of(lines: Iterable[dict[str, str]], own: Iterable[Own]) -> list[str]:
    """The differences, as the tests of both chapters ask for them."""
    return differences(by_key(lines, "PRO-"), keyed(own), otherwise=CLOSED)


@pytest.mark.parametrize(("column", "cell"), CHANGES)
def test_a_difference_in_any_column_is_told_by_its_name(column: str, cell: str) -> None:
    """One cell is another; the sentence names the key and the column."""
    assert not told_of((BOOK,), [OWN])
    (told, *_) = told_of(({**BOOK, column: cell},), [OWN])
    assert "'PRO-01', quantity='local pitch', place='P1', condition='B1', attempt=1" in told
    assert column in told


def test_a_strict_end_is_told() -> None:
    """No limit of these chapters excludes its own end; one that did would be judged otherwise."""
    (told,) = told_of(({**BOOK, "limit_low_strict": "True"},), [OWN])
    assert "limit_low_strict" in told


@pytest.mark.parametrize(
    ("lines", "own", "words"),
    [((BOOK,), [], "not recomputed"), ((), [OWN], "not in the book")],
)
def test_a_finding_on_one_side_alone_is_told(lines: tuple[dict[str, str], ...], own: list[Own], words: str) -> None:
    """Nothing is skipped on either side."""
    (told, *_) = told_of(lines, own)
    assert words in told


def test_a_finding_that_is_worked_out_twice_is_an_error() -> None:
    """Else the second would stand in for the first."""
    with pytest.raises(AssertionError, match="recomputed twice"):
        keyed([OWN, OWN])


@pytest.mark.parametrize(
    ("value", "limit", "outcome"),
    [
        (figure(51.0, "%", 0.8), Limit(50.0), "pass"),
        (figure(50.5, "%", 0.8), Limit(50.0), "conditional pass"),
        (figure(49.5, "%", 0.8), Limit(50.0), "conditional fail"),
        (figure(49.0, "%", 0.8), Limit(50.0), "fail"),
        (figure(50.0, "%"), Limit(50.0), "conditional pass"),  # nobody stated an uncertainty
        (figure(50.0, "1", kind="counted"), Limit(50.0), "pass"),
        (figure(1.0, "%", 0.8), Limit(0.0, 1.5), "inconclusive"),
        (figure(99.0, "%", 0.8), Limit(low=99.2, natural_high=100.0), "inconclusive"),
        (figure(99.3, "%", 0.7), Limit(low=99.2, natural_high=100.0), "conditional pass"),
        (figure(0.3, "mm", 0.8), Limit(high=0.8, natural_low=0.0), "inconclusive"),
        (figure(51.0, "%", 1.2, 3.0), Limit(50.0), "conditional pass"),  # few readings: U as it is, not U at k = 2
        (figure(50.0, "%", 0.8), NO_LIMIT, "information"),
    ],
)
def test_both_halves_judge_by_one_rule(value: Value, limit: Limit, outcome: str) -> None:
    """ILAC-G8:09/2019, 4.2.3, with w = U; and what the page "How readings are judged" says beside it."""
    assert judged(("", "", "", "", 1), value, limit).verdict == outcome
    assert limit == NO_LIMIT or verdict(value, limit)[0] == outcome


@pytest.mark.parametrize(("degrees", "k"), [(10, 2.28), (20, 2.13), (50, 2.05)])
def test_the_factor_of_few_readings(degrees: int, k: float) -> None:
    """GUM (JCGM 100:2008), table G.2, column 95.45 %."""
    assert round(few(0.0, 1.0, degrees)[1], 2) == k
