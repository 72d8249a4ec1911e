"""What must be alike before two readings are set against each other: how held, where, how many, and when."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from buildbook.second.comparing import compare
from buildbook.second.comparison import Comparison, Outcome, Pair
from buildbook.second.reading import Party, read_both

DEMO = Path(__file__).parents[2] / "demo_build"
HULL, SURVEY = DEMO / "hull", DEMO / "survey"
HELD = "three-legged plate of 1 kg on the carpet"
NOT_HELD_ALIKE = "how the sensor was held"


@pytest.fixture(scope="module")
def yard() -> Party:
    return read_both(HULL, SURVEY)[0]


def against(yard: Party, survey: Path) -> Comparison:
    return compare(yard, read_both(HULL, survey)[1]).comparison


def changed(folder: Path, name: str, old: str, new: str) -> Path:
    """A copy of the invented survey in which one table reads otherwise."""
    survey = Path(shutil.copytree(SURVEY, folder / "survey"))
    text = (survey / name).read_text(encoding="utf-8")
    assert old in text
    (survey / name).write_text(text.replace(old, new), encoding="utf-8")
    return survey


def about(comparison: Comparison, check: str, place: str) -> list[Pair]:
    return [it for it in comparison.pairs if (it.subject.check, it.subject.place) == (check, place)]


@pytest.mark.parametrize(
    ("held", "why"),
    [
        ("held by hand on the sofa", f"{NOT_HELD_ALIKE}: “{HELD}” (yard), “held by hand on the sofa” (surveyor)"),
        ("", f"{NOT_HELD_ALIKE} not recorded by the surveyor"),
    ],
)
def test_a_sensor_held_otherwise_is_another_method(yard: Party, tmp_path: Path, held: str, why: str) -> None:
    for check in ("VIB-01", "VIB-06"):
        assert all(it.outcome is Outcome.AGREE for it in about(against(yard, SURVEY), check, "V6"))
    comparison = against(yard, changed(tmp_path, "vibration/records.csv", HELD, held))
    pairs = [*about(comparison, "VIB-01", "V6"), *about(comparison, "VIB-06", "V6")]
    assert len(pairs) == 4
    assert all((it.outcome, it.why) == (Outcome.NOT_COMPARABLE, (why,)) for it in pairs)
