"""Opens the file that a row of the survey names, by its ending."""

from __future__ import annotations

import math
from dataclasses import replace

from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.signal import Signal
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.mat import read_mat
from buildbook.readers.signal import read_wav, refused
from buildbook.readers.survey import surveyed
from buildbook.readers.tdms import read_tdms
from buildbook.readers.text_record import read_column
from buildbook.readers.uff import read_uff

UNITS = {"acceleration": "m/s2", "velocity": "mm/s"}
SAME_RATE = 1e-6  # of the rate: typed with seven digits it is the same


def opened(folder: Folder, row: VibrationRecord) -> Signal:
    """The record of a row with its survey; Refused where the file is of no known kind or cannot be read to its end."""
    signal = _read(folder, row)
    return replace(signal, survey=surveyed(signal))


def _read(folder: Folder, row: VibrationRecord) -> Signal:
    unit, ending = UNITS[row.quantity], row.file.lower().rpartition(".")[2]
    if ending == "mat":
        return _only_channel(row, read_mat(folder, row.file, row.variable, unit, row.rate or 0.0, row.calibration))
    _without_variable(row)
    if ending == "wav":
        return _at_its_rate(row, read_wav(folder, row.file, unit, row.calibration, row.channel))
    if ending in ("csv", "txt"):
        return _as_it_says(row, read_column(folder, row.file, row.rate or 0.0, unit))
    if ending in ("uff", "unv", "u58"):
        return _at_its_rate(row, _as_it_says(row, read_uff(folder, row.file, row.channel, unit)))
    if ending in ("tdms", "tdms_index"):
        return _at_its_rate(row, _as_it_says(row, read_tdms(folder, row.file, row.channel, unit, row.rate)))
    expected = "a file that ends in .uff, .unv, .u58, .tdms, .mat, .wav, .csv or .txt"
    found = f"one that ends in .{ending[:20]}" if "." in row.file.rpartition("/")[2] else "one without an ending"
    raise refused(Where(row.file), expected, found)


def _only_channel(row: VibrationRecord, signal: Signal) -> Signal:
    """The signal of a file whose records have names; Refused where the row counts to another one."""
    if row.channel != 1:
        expected = "1 in the cell `channel` of its row: a .mat file has one record under each name"
        raise refused(Where(row.file), expected, f"{row.channel}")
    return signal


def _without_variable(row: VibrationRecord) -> None:
    """Refused where a row names a variable of a file that has none."""
    if row.variable is not None:
        expected = "an empty cell `variable` in its row, since only a .mat file has such names"
        raise refused(Where(row.file), expected, f"'{row.variable}'")


def _as_it_says(row: VibrationRecord, signal: Signal) -> Signal:
    """The signal of a file that names its unit; Refused where the row has a calibration as well, which may be meant."""
    if row.calibration is not None:
        expected = "an empty cell `calibration` in its row, since this file says the unit of its numbers itself"
        raise refused(Where(row.file), expected, f"{row.calibration:g}")
    return signal


def _at_its_rate(row: VibrationRecord, signal: Signal) -> Signal:
    """The signal of a file that says its rate; Refused where the row says another, since one of them is wrong."""
    if row.rate is not None and not math.isclose(row.rate, signal.rate, rel_tol=SAME_RATE):
        expected = f"{signal.rate:g} Hz in the cell `rate` of its row, as this file says, or an empty one"
        raise refused(Where(row.file), expected, f"{row.rate:g} Hz")
    return signal
