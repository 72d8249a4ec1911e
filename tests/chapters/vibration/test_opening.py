"""Rows of the survey and the files that they name: whose unit holds, and whose instrument is asked."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.io import wavfile

from buildbook.chapters.register.instruments import readings_by_instrument
from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.vibration.checks.comfort import where_people_are
from buildbook.chapters.vibration.opening import opened
from buildbook.chapters.vibration.records import VibrationRecord
from buildbook.core.finding import Verdict
from buildbook.core.record import about
from buildbook.readers.refused import Refused
from buildbook.readers.signal import HIGHEST_RATE, LOWEST_RATE
from tests.chapters.evidence_builder import record, spoiled
from tests.chapters.small_folder import instrument, one, said
from tests.chapters.vibration.shaking import CHAIN, RATE, judged, row, sine, survey
from tests.readers.mat_bytes import written as matlab
from tests.readers.synthetic import folder_of
from tests.readers.tdms_bytes import channel
from tests.readers.tdms_bytes import written as tdms
from tests.readers.test_uff import BY_HAND, SINE, packed

TEXT = "acceleration [m/s2]\n" + "0.25\n-0.25\n" * 50
BOTH = [CHAIN, instrument("VM-01", "velocity", "%", 3.0)]


def sound() -> bytes:
    """A WAV file of halves of full scale."""
    out = io.BytesIO()
    wavfile.write(out, int(RATE), np.tile(np.array([16384, -16384], np.int16), 500))
    return out.getvalue()


def opens(tmp_path, name, data, **cells):
    """The signal of a row that names this file."""
    return opened(folder_of(tmp_path, {name: data}), record(VibrationRecord, row(file=name, **cells)))


def test_a_sound_file_has_its_calibration_in_its_row(tmp_path):
    assert next(opens(tmp_path, "a.wav", sound(), calibration=20.0).blocks())[0] == 10.0


@pytest.mark.parametrize(("name", "data", "rate"), [("a.csv", TEXT, 100.0), ("a.uff", BY_HAND, None)])
def test_a_calibration_beside_a_file_with_units_of_its_own(tmp_path, name, data, rate):
    assert opens(tmp_path, name, data, rate=rate).survey is not None
    with pytest.raises(Refused) as stopped:
        opens(tmp_path, name, data, rate=rate, calibration=0.1)
    assert all(words in str(stopped.value) for words in (name, "an empty cell `calibration`", "0.1"))


def test_a_calibration_does_not_stand_for_the_unit_of_a_text(tmp_path):
    with pytest.raises(Refused, match="a head with its unit"):
        opens(tmp_path, "a.csv", TEXT.replace(" [m/s2]", ""), rate=100.0, calibration=20.0)


def test_a_text_of_another_quantity_than_its_row(tmp_path):
    with pytest.raises(Refused, match="a unit for mm/s"):
        opens(tmp_path, "a.csv", TEXT, rate=100.0, quantity="velocity")


def test_the_column_of_the_rate_and_the_readers_have_one_range():
    ends = {type(one).__name__: one for one in VibrationRecord.model_fields["rate"].metadata}
    assert (ends["Ge"].ge, ends["Le"].le) == (LOWEST_RATE, HIGHEST_RATE)


def test_a_chain_that_is_not_listed_for_velocity():
    """A sine of 1 mm/s as acceleration; the same numbers typed as velocity are no pass where the chain has none."""
    records = [(row(), sine(1.0))]
    assert one(judged(where_people_are, survey(records))).verdict is Verdict.PASS
    records = [(row(quantity="velocity"), sine(1.0))]
    found = one(judged(where_people_are, survey(records)))
    assert found.verdict is Verdict.INCONCLUSIVE
    assert said(found, "Instrument VM-01 (velocity) is not in the instrument table")
    assert one(judged(where_people_are, survey(records, tables={Instrument: BOTH}))).verdict is Verdict.PASS


def test_what_a_chain_measured_is_what_each_row_says():
    records = [(row("A-01"), sine(1.0)), (row("A-02", quantity="velocity"), sine(1.0))]
    found = readings_by_instrument(survey(records))
    assert [len(found["VM-01", quantity]) for quantity in ("acceleration", "velocity")] == [1, 1]
    given = survey(records, tables={Instrument: BOTH})
    lost = readings_by_instrument(spoiled(given, VibrationRecord, 1, ["quantity"]))
    assert [[one.sure for one in lost["VM-01", quantity]] for quantity in ("acceleration", "velocity")] == [
        [True, False],
        [False],
    ]
    lost = readings_by_instrument(spoiled(given, VibrationRecord, 1, ["channel"]))
    assert [[one.lost for one in lost["VM-01", quantity]] for quantity in ("acceleration", "velocity")] == [
        [False],
        [True],
    ]
    assert about(VibrationRecord.model_fields["instrument"], "measures")["file"].name == "quantity"


def test_a_rate_that_the_file_contradicts_is_refused(tmp_path):
    """A WAV says its rate; another one beside it may be the one that is meant."""
    for rate in (None, RATE):
        assert opens(tmp_path, "a.wav", sound(), calibration=20.0, rate=rate).rate == RATE
    with pytest.raises(Refused, match="found 2048 Hz"):
        opens(tmp_path, "a.wav", sound(), calibration=20.0, rate=2048.0)


def test_a_number_of_the_row_rounded_to_seven_digits_is_the_same_rate(tmp_path):
    data = tdms([channel(SINE, properties={"wf_increment": 1 / 1651.612903, "unit_string": "m/s2"})])
    assert opens(tmp_path, "a.tdms", data, rate=1651.613).rate == pytest.approx(1651.612903)
    with pytest.raises(Refused, match="found 1651 Hz"):
        opens(tmp_path, "a.tdms", data, rate=1651.0)


def test_cells_that_a_kind_of_file_has_no_use_for(tmp_path):
    with pytest.raises(Refused, match="an empty cell `variable`"):
        opens(tmp_path, "a.tdms", tdms([channel(SINE)]), variable="acc")
    with pytest.raises(Refused, match="an empty cell `calibration`"):
        opens(tmp_path, "a.tdms", tdms([channel(SINE)]), calibration=2.0)
    with pytest.raises(Refused, match="1 in the cell `channel`"):
        opens(tmp_path, "a.mat", matlab(acc=SINE), variable="acc", rate=RATE, calibration=1.0, channel=2)
    with pytest.raises(ValueError, match=r"beside every record in a text or \.mat file"):
        opens(tmp_path, "a.mat", matlab(acc=SINE), variable="acc", calibration=1.0)


def test_one_record_in_five_kinds_of_file_gives_one_finding(tmp_path):
    """A sine of 1 mm/s and a little noise, in numbers that every kind holds exactly: sixteen bits of 16 m/s2."""
    full, values = 16.0, sine(1.0) + 0.01 * np.random.default_rng(1).standard_normal(len(sine(1.0)))
    whole = np.round(values / full * 2**15).astype(np.int16)
    exact = whole * (full / 2**15)
    heard = io.BytesIO()
    wavfile.write(heard, int(RATE), whole)
    text = "acceleration [m/s2]\n" + "".join(f"{value:.12f}\n" for value in exact)
    said = {"wf_increment": 1.0 / RATE, "unit_string": "m/s2"}
    kinds: dict[str, tuple[bytes, dict[str, Any]]] = {
        "a.wav": (heard.getvalue(), {"calibration": full}),
        "a.csv": (text.encode(), {"rate": RATE}),
        "a.uff": (packed(exact).replace(b"1.00000e-03", b"9.76562e-04"), {}),
        "a.tdms": (tdms([channel(exact, properties=said)]), {}),
        "b.mat": (matlab(True, acc=exact), {"rate": RATE, "variable": "acc", "calibration": 1.0}),
        "c.mat": (matlab(acc=whole), {"rate": RATE, "variable": "acc", "calibration": full / 2**15}),
    }
    given = survey([(row(), exact)])
    (where,) = given.signals
    found = {}
    for name, (data, cells) in kinds.items():
        signal = opens(tmp_path, name, data, **cells)
        assert np.array_equal(np.concatenate(list(signal.blocks())), exact), name
        found[name] = one(judged(where_people_are, replace(given, signals={where: signal})))
    assert len({repr(each) for each in found.values()}) == 1
    measured = found["a.wav"].measured
    assert measured is not None
    assert measured.value == pytest.approx(1.0, rel=0.05)


@pytest.mark.parametrize(
    ("name", "data", "found"),
    [
        ("vibration/raw", b"", "without an ending"),
        ("a.jpg", b"", "ends in .jpg"),
        ("a.wav", b"", "an empty file"),
        ("a.uff", b"", "an empty file"),
        ("a.tdms", b"", "an empty file"),
        ("a.tdms_index", b"TDSh" + bytes(24), "its index"),
        ("a.csv", "time [s];acceleration [m/s2]\n0;1\n", "no column of times"),
    ],
)
def test_a_file_that_is_no_record_is_refused_with_what_it_is(tmp_path, name, data, found):
    with pytest.raises(Refused, match=found):
        opens(tmp_path, name, data, calibration=20.0 if name == "a.wav" else None, rate=RATE)
