"""Opens the file that a row of the survey names, by its ending."""

from __future__ import annotations

from dataclasses import replace

from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.signal import read_wav, refused
from buildbook.readers.survey import surveyed
from buildbook.readers.text_record import read_column
from buildbook.readers.uff import read_uff

UNITS = {"acceleration": "m/s2", "velocity": "mm/s"}


def opened(folder: Folder, row: VibrationRecord) -> Signal:
    """The record of a row with its survey; Refused where the file is of no known kind or cannot be read to its end."""
    signal = _read(folder, row)
    return replace(signal, survey=surveyed(signal))


def _read(folder: Folder, row: VibrationRecord) -> Signal:
    unit, ending = UNITS[row.quantity], row.file.lower().rpartition(".")[2]
    if ending == "wav":
        return _at_its_rate(row, read_wav(folder, row.file, unit, row.calibration, row.channel))
    if ending in ("csv", "txt"):
        return _as_it_says(row, read_column(folder, row.file, row.rate or 0.0, unit))
    if ending in ("uff", "unv", "u58"):
        return _at_its_rate(row, _as_it_says(row, read_uff(folder, row.file, row.channel, unit)))
    expected = "a file that ends in .uff, .unv, .u58, .wav, .csv or .txt"
    found = f"one that ends in .{ending[:20]}" if "." in row.file.rpartition("/")[2] else "one without an ending"
    raise refused(Where(row.file), expected, found)


def _as_it_says(row: VibrationRecord, signal: Signal) -> Signal:
    """The signal of a file that names its unit; Refused where the row has a calibration as well, which may be meant."""
    if row.calibration is not None:
        expected = "an empty cell `calibration` in its row, since this file says the unit of its numbers itself"
        raise refused(Where(row.file), expected, f"{row.calibration:g}")
    return signal


def _at_its_rate(row: VibrationRecord, signal: Signal) -> Signal:
    """The signal of a file that says its rate; Refused where the row says another, since one of them is wrong."""
    if row.rate is not None and row.rate != signal.rate:
        expected = f"{signal.rate:g} Hz in the cell `rate` of its row, as this file says, or an empty one"
        raise refused(Where(row.file), expected, f"{row.rate:g} Hz")
    return signal
