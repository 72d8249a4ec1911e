"""How loud the invented yacht is: places with their space, and the levels a meter showed."""

from __future__ import annotations

from datetime import datetime, timedelta

from buildbook.chapters.vibration.sound_records import SoundLevel, SoundPlace
from demo_build.evidence_maker.tables import here
from demo_build.evidence_maker.vibration_work import PLAN

_PLACES = (
    ("V1", "better cabin", "2", False),
    ("V2", "lounge", "2", False),
    ("V3", "wheelhouse", "2", False),
    ("V4", "open deck, second above the waterline", "2", True),
    ("V6", "standard cabin", "2", False),
    ("V7", "standard cabin", "2", False),
)
_LEVELS: dict[tuple[str, str], tuple[tuple[float, ...], float | None]] = {  # readings, and the machinery stopped [dB]
    ("V1", "R3"): ((51.4, 51.1, 51.6), 43.8),
    ("V2", "R3"): ((57.2, 57.5, 57.1), 45.6),
    ("V3", "R3"): ((59.6, 59.9, 59.5), 46.2),
    ("V4", "R3"): ((72.4, 72.9, 72.6), None),
    ("V6", "R3"): ((54.6, 54.9, 54.5), 44.1),
    ("V7", "R3"): ((53.2, 53.5, 53.1), 44.0),
    ("V1", "R1"): ((52.6, 52.9, 52.4), 43.8),
    ("V4", "R1"): ((74.3, 74.6, 74.0), None),
}
_START = {"R1": datetime(2026, 5, 20, 9, 43), "R3": datetime(2026, 5, 20, 10, 17)}


def places() -> tuple[SoundPlace, ...]:
    """Every place with its space as the plan says."""
    names = ("place", "space", "comfort", "above_propellers")
    rest = {"drawing": PLAN, "revision": "A", "where": here(SoundPlace)}
    return tuple(SoundPlace.model_validate({**dict(zip(names, row, strict=True)), **rest}) for row in _PLACES)


def levels() -> tuple[SoundLevel, ...]:
    """Three readings of half a minute at each place."""
    rows, times = [], dict(_START)
    for (place, run), (readings, background) in _LEVELS.items():
        for number, level in enumerate(readings, 1):
            values = {"place": place, "run": run, "attempt": 1, "number": number, "level": level}
            rest = {"background": background, "duration": 30.0, "instrument": "SL-01", "by": "TR HB"}
            rows.append(SoundLevel.model_validate({**values, **rest, "at": times[run], "where": here(SoundLevel)}))
            times[run] += timedelta(seconds=30)
    return tuple(rows)
