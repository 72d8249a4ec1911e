"""TDMS files: written by npTDMS, an independent library, and read back; then cut, mislabelled and made to lie."""

from __future__ import annotations

import io
import struct
import tracemalloc
from datetime import datetime
from pathlib import Path

import nptdms
import numpy as np
import pytest
from nptdms import ChannelObject, GroupObject, RootObject, TdmsFile, TdmsWriter
from nptdms.test.scenarios import get_scenarios
from nptdms.test.test_daqmx import daqmx_channel_metadata, daqmx_scaler_metadata, digital_scaler_metadata, segment_toc
from nptdms.test.util import (
    GeneratedFile,
    group_metadata,
    hexlify_value,
    root_metadata,
    segment_objects_metadata,
    string_hexlify,
)

from buildbook.readers import tdms, tdms_layout
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK
from buildbook.readers.tdms import read_tdms
from tests.readers.synthetic import folder_of

RATE = 1024.0
SINE = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(2000) / RATE)
OVER_TIME = {"wf_increment": 1.0 / RATE, "wf_start_offset": 0.0, "unit_string": "m/s2"}
EXAMPLES = Path(nptdms.__file__).parent / "test" / "data"  # of its own tests, from programs and cards


def channel(values, name="V1 vertical", group="Deck", properties=OVER_TIME):
    return ChannelObject(group, name, values, properties)


def written(*segments, version=4712):
    """The bytes of a file with these segments, each a list of objects, by the independent library."""
    out = io.BytesIO()
    with TdmsWriter(out, version=version) as writer:
        for objects in segments:
            writer.write_segment(objects)
    return out.getvalue()


def whole(signal):
    return np.concatenate(list(signal.blocks()))


def read(tmp_path, data, number=1, unit="m/s2", rate=None):
    return read_tdms(folder_of(tmp_path, {"a.tdms": data}), "a.tdms", number, unit, rate)


def refused(tmp_path, data, *words, **more):
    """The reading is refused with the file, and these words stand in the message."""
    with pytest.raises(Refused) as stopped:
        whole(read(tmp_path, data, **more))
    text = str(stopped.value)
    assert text.startswith("a.tdms")
    assert all(word in text for word in words), text


@pytest.mark.parametrize("kind", ["f8", "f4", "i1", "i2", "i4", "i8", "u1", "u2", "u4", "u8"])
def test_every_kind_of_number_comes_back_as_it_was_written(tmp_path, kind):
    values = (100.0 * np.abs(SINE)).astype(kind) if kind[0] != "f" else SINE.astype(kind)
    signal = read(tmp_path, written([channel(values)]))
    assert (signal.rate, signal.unit, signal.length) == (RATE, "m/s2", 2000)
    assert np.array_equal(whole(signal), values.astype(float))
    assert signal.name == "channel 1, Deck, V1 vertical"


def test_many_segments_and_channels_of_different_lengths(tmp_path):
    first, second = np.arange(10.0), np.arange(100.0, 130.0)
    data = written(
        [channel(first, "a"), channel(second, "b")],
        [channel(first + 1, "a")],
        [channel(first + 2, "a"), channel(second[:3], "b"), channel(second, "c", "Engine")],
    )
    oracle = TdmsFile.read(io.BytesIO(data))
    for number, (group, name) in enumerate([("Deck", "a"), ("Deck", "b"), ("Engine", "c")], 1):
        assert np.array_equal(whole(read(tmp_path, data, number)), oracle[group][name][:])
    assert read(tmp_path, data, 1).length == 30
    refused(tmp_path, data, "a channel from 1 to 3", "1 is Deck, a; 2 is Deck, b; 3 is Engine, c", "found 4", number=4)
    refused(tmp_path, data, "a channel from 1 to 3", number=0)


def test_texts_times_and_truths_are_no_channels(tmp_path):
    moments = np.array([datetime(2026, 5, 20, 10, 16)] * 3, "datetime64[us]")
    data = written(
        [
            channel(["calm", "wind"], "notes"),
            channel(moments, "at"),
            channel(np.array([True, False]), "running"),
            channel(SINE, "V1"),
            channel(np.array([1 + 2j]), "transfer"),
        ]
    )
    signal = read(tmp_path, data)
    assert signal.name == "channel 1, Deck, V1"
    assert np.array_equal(whole(signal), SINE)
    refused(tmp_path, data, "a channel from 1 to 1", number=2)
    refused(tmp_path, written([channel(["calm"], "notes")]), "a channel of numbers", "none in this file")


def test_numbers_in_one_segment_and_texts_in_the_next(tmp_path):
    data = written([channel(SINE, "V1")], [channel(["calm"], "V1")])
    refused(tmp_path, data, "numbers alone in Deck, V1", "texts or times")


def test_names_with_every_sign(tmp_path):
    data = written([channel(SINE, "V1 '/' aft", "Owner's deck")])
    assert read(tmp_path, data).name == "channel 1, Owner's deck, V1 '/' aft"


TORN = {
    "less_data_than_expected": "ends early",
    "incomplete_last_segment": "closed after recording",
    "incomplete_last_row_of_interleaved_data": "closed after recording",
}


@pytest.mark.parametrize(("file", "expected"), get_scenarios())
def test_layouts_that_the_library_tests_itself_with(file, expected, request, tmp_path):
    """Every layout of its test suite: segments without heads, in turn, in chunks, repeated, padded. Raw numbers."""
    with file.get_tempfile() as opened:
        data = opened.read()
    numbers = {key: np.asarray(values) for key, values in expected.items() if np.asarray(values).dtype.kind in "iuf"}
    numbers = {key: values for key, values in numbers.items() if len(values)}
    if request.node.callspec.id in TORN:
        refused(tmp_path, data, TORN[request.node.callspec.id])
        return
    found = {one.path: one for one in tdms._channels(io.BytesIO(data), "a.tdms")}
    assert len(found) == len(numbers)
    for (group, name), values in numbers.items():
        mine = found[f"/'{group}'/'{name}'"]
        parts = [tdms._scale(mine, "", "")(part) for part in tdms._numbers(io.BytesIO(data), "a.tdms", mine.path)]
        assert np.array_equal(np.concatenate(parts), values.astype(float))


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.glob("*.tdms")))
def test_files_of_programs_and_measuring_cards(name):
    """Those that come with the library: big end first, raw numbers of cards with scales, numbers of lines."""
    data = (EXAMPLES / name).read_bytes()
    oracle = TdmsFile.read(io.BytesIO(data))
    found = tdms._channels(io.BytesIO(data), name)
    assert found
    for one in found:
        group, channel_name = tdms_layout.parts(one.path)
        scale = tdms._scale(one, name, "")
        values = np.concatenate([scale(part) for part in tdms._numbers(io.BytesIO(data), name, one.path)])
        assert np.array_equal(values, np.asarray(oracle[group][channel_name][:], float))


def test_there_are_such_files():
    assert len(list(EXAMPLES.glob("*.tdms"))) >= 3
    assert len(get_scenarios()) >= 20


def turned(data: bytes) -> bytes:
    """A file of one channel of doubles with no properties, big end first, after the published layout of the format."""
    values = np.frombuffer(data, "<f8")
    path = b"/'Deck'/'V1'"
    head = struct.pack(">I", 1) + struct.pack(">I", len(path)) + path
    head += struct.pack(">IIIQ", 20, 10, 1, len(values))
    said = [(b"wf_increment", 10, struct.pack(">d", 1 / RATE)), (b"unit_string", 0x20, struct.pack(">I", 4) + b"m/s2")]
    head += struct.pack(">I", len(said))
    for key, kind, value in said:
        head += struct.pack(">I", len(key)) + key + struct.pack(">I", kind) + value
    numbers = values.astype(">f8").tobytes()
    lead = b"TDSm" + struct.pack("<I", 2 | 4 | 8 | 64) + struct.pack(">IQQ", 4713, len(head) + len(numbers), len(head))
    return lead + head + numbers


def test_big_end_first(tmp_path):
    data = turned(SINE.tobytes())
    assert np.array_equal(TdmsFile.read(io.BytesIO(data))["Deck"]["V1"][:], SINE)
    assert np.array_equal(whole(read(tmp_path, data)), SINE)


def in_turn(values: np.ndarray, said: bytes = b"") -> bytes:
    """A file of several channels of doubles, one number of each after the other."""
    head = struct.pack("<I", values.shape[1])
    for number in range(values.shape[1]):
        path = f"/'Deck'/'V{number}'".encode()
        head += struct.pack("<I", len(path)) + path + struct.pack("<IIIQI", 20, 10, 1, len(values), 2)
        head += struct.pack("<I", 12) + b"wf_increment" + struct.pack("<Id", 10, 1 / RATE)
        head += struct.pack("<I", 11) + b"unit_string" + struct.pack("<II", 0x20, 4) + b"m/s2"
    numbers = values.astype("<f8").tobytes()
    return b"TDSm" + struct.pack("<IIQQ", 2 | 4 | 8 | 32, 4713, len(head) + len(numbers), len(head)) + head + numbers


def test_numbers_of_several_channels_in_turn(tmp_path):
    values = np.random.default_rng(1).standard_normal((5000, 3))
    data = in_turn(values)
    for number in range(3):
        assert np.array_equal(whole(read(tmp_path, data, number + 1)), values[:, number])
    assert np.array_equal(TdmsFile.read(io.BytesIO(data))["Deck"]["V1"][:], values[:, 1])


@pytest.mark.parametrize("turn", [False, True])
def test_a_large_record_is_not_held(tmp_path, turn):
    values = np.random.default_rng(1).standard_normal((1_500_000, 2))
    data = in_turn(values) if turn else written([channel(values[:, 0], "V0"), channel(values[:, 1], "V1")])
    folder = folder_of(tmp_path, {"a.tdms": data})
    tracemalloc.start()
    blocks = [block[-1] for block in read_tdms(folder, "a.tdms", 2, "m/s2").blocks()]
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(blocks) == -(-1_500_000 // BLOCK)
    assert most < 0.4 * values.nbytes  # some parts of 1 MB and their copies, however long the record
    assert np.array_equal(whole(read_tdms(folder, "a.tdms", 2, "m/s2")), values[:, 1])


SCALES = {
    "line": {"NI_Scale[0]_Scale_Type": "Linear", "NI_Scale[0]_Linear_Slope": 0.5,
             "NI_Scale[0]_Linear_Y_Intercept": 0.25},
    "polynomial": {"NI_Scale[0]_Scale_Type": "Polynomial", "NI_Scale[0]_Polynomial_Coefficients_Size": 3,
                   **{f"NI_Scale[0]_Polynomial_Coefficients[{n}]": one for n, one in enumerate((0.1, 2.0, 0.3))}},
    "table": {"NI_Scale[0]_Scale_Type": "Table",
              "NI_Scale[0]_Table_Pre_Scaled_Values_Size": 3, "NI_Scale[0]_Table_Scaled_Values_Size": 3,
              **{f"NI_Scale[0]_Table_Pre_Scaled_Values[{n}]": one for n, one in enumerate((-0.2, 0.0, 0.2))},
              **{f"NI_Scale[0]_Table_Scaled_Values[{n}]": one for n, one in enumerate((-1.0, 0.0, 3.0))}},
}  # fmt: skip
SCALES["line of a line"] = SCALES["line"] | {
    "NI_Scale[1]_Scale_Type": "Linear", "NI_Scale[1]_Linear_Slope": 3.0, "NI_Scale[1]_Linear_Y_Intercept": 0.0,
    "NI_Scale[1]_Linear_Input_Source": 0}  # fmt: skip


@pytest.mark.parametrize("where", ["channel", "group", "file"])
@pytest.mark.parametrize("kind", SCALES)
def test_scales_as_the_library_applies_them(tmp_path, kind, where):
    said = {**SCALES[kind], "NI_Number_Of_Scales": 1 + ("line of" in kind), "NI_Scaling_Status": "unscaled"}
    objects = [RootObject(said if where == "file" else {}), GroupObject("Deck", said if where == "group" else {})]
    data = written([*objects, channel(SINE, "V1", properties=OVER_TIME | (said if where == "channel" else {}))])
    oracle = TdmsFile.read(io.BytesIO(data))["Deck"]["V1"][:]
    assert not np.array_equal(oracle, SINE)
    assert whole(read(tmp_path, data)) == pytest.approx(oracle, rel=1e-12)


def test_numbers_that_are_scaled_already(tmp_path):
    said = {**SCALES["line"], "NI_Number_Of_Scales": 1, "NI_Scaling_Status": "scaled"}
    assert np.array_equal(whole(read(tmp_path, written([channel(SINE, properties=OVER_TIME | said)]))), SINE)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"NI_Number_Of_Scales": 1, "NI_Scale[0]_Scale_Type": "Thermocouple"}, ("'Thermocouple'", "export")),
        ({"NI_Number_Of_Scales": 1, "NI_Scale[0]_Scale_Type": "Linear"}, ("NI_Scale[0]_Linear_Slope", "none")),
        ({"NI_Number_Of_Scales": 1}, ("one raw number",)),
        ({"NI_Number_Of_Scales": 4000}, ("at most 50 scales", "4000")),
        ({**SCALES["line"], "NI_Scale[0]_Linear_Input_Source": 0}, ("rests on itself",)),
        ({**SCALES["line"], "NI_Scale[0]_Linear_Input_Source": 7}, ("scale 7",)),
        ({**SCALES["polynomial"], "NI_Scale[0]_Polynomial_Coefficients_Size": 100_000}, ("up to 1000",)),
        ({**SCALES["table"], "NI_Scale[0]_Table_Scaled_Values_Size": 2}, ("as many values",)),
        ({**SCALES["table"], "NI_Scale[0]_Table_Pre_Scaled_Values[1]": 0.5}, ("only rise",)),
    ],
)
def test_a_scale_that_cannot_be_used(tmp_path, said, words):
    refused(tmp_path, written([channel(SINE, properties=OVER_TIME | said)]), *words)


def without(key):
    return {name: value for name, value in OVER_TIME.items() if name != key}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (without("unit_string"), ("one unit of the numbers", "`unit_string`", "found none")),
        (OVER_TIME | {"NI_UnitDescription": "g"}, ("'m/s2' and 'g'",)),
        (OVER_TIME | {"unit_string": "degC"}, ("a unit for m/s2",)),
        (without("wf_increment"), ("`wf_increment`", "the cell `rate`", "neither")),
        (OVER_TIME | {"wf_increment": 0.0}, ("a step of time above zero",)),
        (OVER_TIME | {"wf_increment": float("nan")}, ("a step of time above zero",)),
        (OVER_TIME | {"wf_increment": "1 ms"}, ("a step of time above zero", "1 ms")),
        (OVER_TIME | {"wf_increment": 1e-9}, ("a rate from 1 to",)),
        (OVER_TIME | {"wf_xunit_string": "Hz"}, ("a record over time", "'Hz'")),
    ],
)
def test_properties_that_do_not_say_what_is_needed(tmp_path, said, words):
    refused(tmp_path, written([channel(SINE, properties=said)]), *words)


def test_the_row_says_the_rate_where_the_file_does_not(tmp_path):
    data = written([channel(SINE, properties=without("wf_increment"))])
    assert read(tmp_path, data, rate=512.0).rate == 512.0


@pytest.mark.parametrize("rate", [25600.0, 51200.0, 1651.612903225806])
def test_a_rate_from_its_step(tmp_path, rate):
    data = written([channel(SINE, properties=OVER_TIME | {"wf_increment": 1.0 / rate})])
    assert read(tmp_path, data).rate == pytest.approx(rate, rel=1e-12)
    if rate == round(rate):
        assert read(tmp_path, data).rate == rate


@pytest.mark.parametrize("label", ["g", "gn"])
def test_gravity_is_converted(tmp_path, label):
    data = written([channel(SINE, properties=OVER_TIME | {"unit_string": label})])
    assert whole(read(tmp_path, data)) == pytest.approx(9.80665 * SINE, rel=1e-12)


@pytest.mark.parametrize("share", [0.02, 0.1, 0.5, 0.9, 0.9999])
def test_a_file_that_ends_early(tmp_path, share):
    data = written([channel(SINE)], [channel(SINE)])
    refused(tmp_path, data[: int(share * len(data))], "ends early", "save it once more")


def test_a_file_that_was_never_closed(tmp_path):
    data = written([channel(SINE)])
    refused(tmp_path, data[:12] + b"\xff" * 8 + data[20:], "closed after recording")


def test_an_index_is_no_record(tmp_path):
    data = written([channel(SINE)])
    refused(tmp_path, b"TDSh" + data[4:], "the .tdms file itself", "its index")


def test_an_index_beside_a_record_is_not_read(tmp_path):
    folder = folder_of(tmp_path, {"a.tdms": written([channel(SINE)]), "a.tdms_index": b"TDSh and nothing else"})
    assert np.array_equal(whole(read_tdms(folder, "a.tdms", 1, "m/s2")), SINE)


def put(data: bytes, at: int, kind: str, value: int) -> bytes:
    return data[:at] + struct.pack(kind, value) + data[at + struct.calcsize(kind) :]


ONE = written([ChannelObject("Deck", "V1", SINE, OVER_TIME)])
COUNT = ONE.index(struct.pack("<IIIQ", 20, 10, 1, 2000))
NAMED = ONE.index(b"/'Deck'/'V1'") - 4


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ("an empty file",)),
        (b"at,value\n1,2\n", ("another kind of file",)),
        (put(ONE, 28, "<I", 4_000_000_000), ("at most 1000 groups and channels", "4000000000")),
        (put(ONE, NAMED, "<I", 4_000_000_000), ("a name of 4000000000 bytes",)),
        (put(ONE, COUNT + 12, "<Q", 2**60), ("a whole number of pieces", "its head is wrong")),
        (put(ONE, COUNT + 12, "<Q", 1999), ("a whole number of pieces",)),
        (put(ONE, COUNT + 8, "<I", 2), ("2 dimensions",)),
        (put(ONE, COUNT + 4, "<I", 77), ("an unknown kind (77)",)),
        (put(ONE, COUNT, "<I", 0), ("as before, where nothing was before",)),
        (put(ONE, 20, "<Q", 2**40), ("bytes of description",)),
        (put(ONE, 4, "<I", 8), ("none in the first segment",)),
        (put(ONE, 4, "<I", 2 | 4), ("a channel of numbers",)),
        (ONE + b"more of it than one head" * 2, ("where a segment should start",)),
        (ONE + ONE[:10], ("ends early",)),
    ],
)  # fmt: skip
def test_heads_that_lie(tmp_path, data, words):
    tracemalloc.start()
    refused(tmp_path, data, *words)
    assert tracemalloc.get_traced_memory()[1] < 50_000_000
    tracemalloc.stop()


def of_cards(*channels, numbers: str, times=1):
    """A file of measuring cards by the library's own builders: numbers in hexadecimal, in `times` chunks."""
    file = GeneratedFile()
    head = segment_objects_metadata(root_metadata(), group_metadata(), *channels)
    file.add_segment(segment_toc(), head, numbers * times)
    with file.get_tempfile() as opened:
        return opened.read()


CARD = {"NI_Scaling_Status": (0x20, hexlify_value("<I", 8) + string_hexlify("unscaled")),
        "NI_Number_Of_Scales": (7, hexlify_value("<I", 2)),
        "NI_Scale[1]_Scale_Type": (0x20, hexlify_value("<I", 6) + string_hexlify("Linear")),
        "NI_Scale[1]_Linear_Slope": (10, hexlify_value("<d", 0.25)),
        "NI_Scale[1]_Linear_Y_Intercept": (10, hexlify_value("<d", -1.0)),
        "NI_Scale[1]_Linear_Input_Source": (7, hexlify_value("<I", 0)),
        "unit_string": (0x20, hexlify_value("<I", 4) + string_hexlify("m/s2")),
        "wf_increment": (10, hexlify_value("<d", 1.0 / RATE))}  # fmt: skip


@pytest.mark.parametrize("times", [1, 3])
def test_two_measuring_cards_with_rows_of_their_own(tmp_path, times):
    """Two buffers: 16 bits twice in a row of one, 32 bits in a row of the other; each with its scale."""
    widths = [4, 4]
    data = of_cards(
        daqmx_channel_metadata("A", 2, widths, [daqmx_scaler_metadata(0, 3, 0, 0)], CARD),
        daqmx_channel_metadata("B", 2, widths, [daqmx_scaler_metadata(0, 3, 2, 0)], CARD),
        daqmx_channel_metadata("C", 2, widths, [daqmx_scaler_metadata(0, 5, 0, 1)], CARD),
        numbers="0100 FFFF 0300 0400" + "10000000 F0FFFFFF",
        times=times,
    )
    oracle = TdmsFile.read(io.BytesIO(data))["Group"]
    for number, (name, raw) in enumerate({"A": [1, 3], "B": [-1, 4], "C": [16, -16]}.items(), 1):
        values = whole(read(tmp_path, data, number))
        assert values.tolist() == [0.25 * one - 1.0 for one in raw] * times
        assert np.array_equal(values, oracle[name][:])


def test_numbers_of_a_card_without_their_scale(tmp_path):
    said = {key: value for key, value in CARD.items() if not key.startswith("NI_")}
    data = of_cards(daqmx_channel_metadata("A", 2, [2], [daqmx_scaler_metadata(0, 3, 0)], said), numbers="0100 0200")
    refused(tmp_path, data, "the scale of a measuring card's numbers", "none")


def test_lines_and_several_raw_numbers_of_a_card_are_no_channels(tmp_path):
    lines = daqmx_channel_metadata("L", 2, [2], [digital_scaler_metadata(0, 2, 0)], CARD, digital_line_scaler=True)
    refused(tmp_path, of_cards(lines, numbers="0100 0200"), "a channel of numbers")
    two = [daqmx_scaler_metadata(0, 3, 0), daqmx_scaler_metadata(1, 3, 2)]
    data = of_cards(daqmx_channel_metadata("T", 2, [4], two, CARD), numbers="0100 0200 0300 0400")
    refused(tmp_path, data, "a channel of numbers")


@pytest.mark.parametrize(
    ("widths", "offset", "buffer", "words"),
    [([2], 1, 0, "behind the end of its row"), ([2], 0, 1, "in a buffer that is not there")],
)
def test_a_card_whose_head_lies(tmp_path, widths, offset, buffer, words):
    one = daqmx_channel_metadata("A", 2, widths, [daqmx_scaler_metadata(0, 3, offset, buffer)], CARD)
    refused(tmp_path, of_cards(one, numbers="0100 0200"), words)


def test_values_that_cannot_be(tmp_path):
    for wrong in (np.nan, np.inf, 1e30):
        values = SINE.copy()
        values[1500] = wrong
        refused(tmp_path, written([channel(values)]), "numbers that can be", "1501")
