"""Vibration and sound on trial: raw records, their spectra, and the levels where people are."""

from __future__ import annotations

from buildbook.chapters.trial_records import TABLES as TRIAL_TABLES
from buildbook.chapters.vibration.charts import charts
from buildbook.chapters.vibration.checks import CHECKS
from buildbook.chapters.vibration.cross import CROSS_CHECKS
from buildbook.chapters.vibration.opening import opened
from buildbook.chapters.vibration.records import TABLES, VibrationRecord
from buildbook.chapters.vibration.sound_records import SOUND_TABLES
from buildbook.core.chapter import Chapter
from buildbook.core.stage import Stage

CHAPTER = Chapter(
    key="vibration",
    title="Vibration and sound",
    tables=(*TRIAL_TABLES, *TABLES, *SOUND_TABLES),
    checks=CHECKS,
    charts=charts,
    cross_checks=CROSS_CHECKS,
    opens={VibrationRecord: opened},
    due=Stage.ON_TRIAL,
)
