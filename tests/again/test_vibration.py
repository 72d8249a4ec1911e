"""Every finding about vibration and sound, worked out again from the evidence package alone."""

from __future__ import annotations

import math

from tests.again import sound_levels, vibration_levels, vibration_sources, vibration_sweep, vibration_trial
from tests.again.common_rules import Own, Package
from tests.again.comparing import by_key, differences
from tests.again.drive_rules import CLOSED, keyed
from tests.again.vibration_whole import levels_whole

ANOTHER_WAY = 0.005  # tones between two lines and ends of bands; the largest difference found is 0.23 %


def recomputed(package: Package) -> list[Own]:
    """What the package says of VIB-01 to VIB-11."""
    groups = vibration_levels.together(package)
    runs = list(dict.fromkeys(run for _, run, _ in groups))
    return [
        *vibration_levels.comfort(package),
        *vibration_trial.quality(package),
        *vibration_trial.conditions(package),
        *vibration_sources.coincidences(package, runs),
        *vibration_sources.told(package, groups),
        *vibration_levels.blades(package),
        *vibration_sweep.sweeps(package),
        *vibration_levels.sides(package),
        *vibration_levels.again(package),
        *vibration_levels.machines(package),
        *sound_levels.loudness(package),
    ]


def test_every_finding_about_vibration_and_sound_is_worked_out_again(package: Package) -> None:
    """Numbers to 1e-9 ; verdicts, words and rows exactly; none is left out on either side."""
    told = differences(by_key(package.findings, "VIB-"), keyed(recomputed(package)), otherwise=CLOSED)
    assert not told, "\n".join(["", *told])


def test_one_transform_of_the_whole_record_gives_the_same_levels(package: Package) -> None:
    """Segments, window and overlap are a choice: a level must not hang on it."""
    book = {}
    for row in package.findings:
        if row["check"] in ("VIB-01", "VIB-02", "VIB-06", "VIB-10") and row["role"] == "governing":
            book[row["check"], row["quantity"], row["place"], row["condition"]] = float(row["value"])
    again = dict(levels_whole(package))
    assert again.keys() == book.keys()
    apart = {key: again[key] / value - 1.0 for key, value in book.items()}
    assert not {key: share for key, share in apart.items() if not math.isclose(share, 0.0, abs_tol=ANOTHER_WAY)}
