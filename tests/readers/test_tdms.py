"""TDMS files: put together by hand and read back; then cut, mislabelled and made to lie."""

from __future__ import annotations

import struct
import tracemalloc
from collections.abc import Callable
from datetime import datetime

import numpy as np
import pytest

from buildbook.readers import tdms
from buildbook.readers.refused import Refused
from buildbook.readers.signal import BLOCK
from buildbook.readers.tdms import read_tdms
from tests.readers.synthetic import folder_of
from tests.readers.tdms_bytes import OVER_TIME, RATE, Thing, card, channel, lead_in, path, segment, written

SINE = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(2000) / RATE)


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


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", ["f8", "f4", "i1", "i2", "i4", "i8", "u1", "u2", "u4", "u8"])
def test_every_kind_of_number_comes_back_as_it_was_written(tmp_path, kind, order):
    values = (100.0 * np.abs(SINE)).astype(kind) if kind[0] != "f" else SINE.astype(kind)
    signal = read(tmp_path, written([channel(values)], order=order))
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
    expected = [np.concatenate([first, first + 1, first + 2]), np.concatenate([second, second[:3]]), second]
    for number, values in enumerate(expected, 1):
        assert np.array_equal(whole(read(tmp_path, data, number)), values)
    refused(tmp_path, data, "a channel from 1 to 3", "1 is Deck, a; 2 is Deck, b; 3 is Engine, c", "found 4", number=4)
    refused(tmp_path, data, "a channel from 1 to 3", number=0)


def test_pieces_and_segments_without_a_description_go_on_as_the_last_one_says(tmp_path):
    """A program that goes on recording writes the numbers alone: more pieces in a segment, and more segments."""
    a, b = np.arange(40.0).reshape(5, 8), 100.0 + np.arange(15.0).reshape(5, 3)
    pieces = [one.tobytes() + other.tobytes() for one, other in zip(a, b, strict=True)]
    things = [Thing(path("Deck", "a"), a[0], OVER_TIME), Thing(path("Deck", "b"), b[0], OVER_TIME)]
    data = segment(things, numbers=b"".join(pieces[:2]))
    data += lead_in(0, 0, 88) + pieces[2] + lead_in(0, 0, 176) + pieces[3] + pieces[4]
    for number, values in enumerate((a, b), 1):
        assert np.array_equal(whole(read(tmp_path, data, number)), values.reshape(-1))


def test_channels_are_counted_group_by_group(tmp_path):
    data = written([channel(SINE, "1", "A"), channel(SINE[:20], "1", "B"), channel(SINE[:10], "2", "A")])
    lengths = [read(tmp_path, data, number).length for number in (1, 2, 3)]
    assert lengths == [2000, 10, 20]


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
    refused(tmp_path, written([channel(SINE, "V1")], [channel(["calm"], "V1")]), "a whole TDMS file", "same type")


def test_names_with_every_sign(tmp_path):
    data = written([channel(SINE, "V1 '/' aft", "Owner's deck")])
    assert read(tmp_path, data).name == "channel 1, Owner's deck, V1 '/' aft"


def test_a_name_that_is_not_in_the_code_of_the_format(tmp_path, capsys):
    """Older programs write the signs of their own country; nothing is lost by it, and nothing is told to anybody."""
    data = written([channel(SINE, "V1_aft")]).replace(b"V1_aft", b"V1\xb0aft")
    assert np.array_equal(whole(read(tmp_path, data)), SINE)
    assert capsys.readouterr() == ("", "")


@pytest.mark.parametrize("order", ["<", ">"])
def test_numbers_of_several_channels_in_turn(tmp_path, order):
    kinds = ("f8", "i2", "f4")
    values = [(100.0 * np.random.default_rng(n).standard_normal(5000)).astype(kind) for n, kind in enumerate(kinds)]
    data = written([channel(one, f"V{n}") for n, one in enumerate(values)], order=order, in_turn=True)
    for number, one in enumerate(values, 1):
        assert np.array_equal(whole(read(tmp_path, data, number)), one.astype(float))


@pytest.mark.parametrize("turn", [False, True])
def test_what_a_large_record_takes(tmp_path, turn):
    """One piece is held at once: three times the file where numbers stand in turn, as DEVELOPERS.md says."""
    values = np.random.default_rng(1).standard_normal((3_000_000, 2))
    data = written([channel(values[:, 0], "V0"), channel(values[:, 1], "V1")], in_turn=turn)
    folder = folder_of(tmp_path, {"a.tdms": data})
    tracemalloc.start()
    blocks = [len(block) for block in read_tdms(folder, "a.tdms", 2, "m/s2").blocks()]
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert blocks == [*[BLOCK] * (3_000_000 // BLOCK), 3_000_000 % BLOCK]
    assert most < (3.05 if turn else 1.05) * values.nbytes
    assert np.array_equal(whole(read_tdms(folder, "a.tdms", 2, "m/s2")), values[:, 1])


def test_a_record_in_more_parts_than_one(tmp_path, monkeypatch):
    monkeypatch.setattr(tdms, "_AT_ONCE", 700)
    data = written([channel(SINE)], [channel(SINE[:900])])
    assert np.array_equal(whole(read(tmp_path, data)), np.concatenate([SINE, SINE[:900]]))


def test_the_caps(tmp_path, monkeypatch):
    data = written([channel(SINE)])
    monkeypatch.setattr(tdms, "MOST_HEADS", 100)
    refused(tmp_path, data, "of descriptions", "a length that cannot be")
    monkeypatch.setattr(tdms, "MOST_BYTES", 10_000)
    refused(tmp_path, data, "at most 0.01 MB", "save a longer record in parts, or as WAV")


Said = dict[str, object]
SCALES: dict[str, tuple[Said, Callable[[np.ndarray], np.ndarray]]] = {
    "line": ({"NI_Scale[0]_Scale_Type": "Linear", "NI_Scale[0]_Linear_Slope": 0.5,
              "NI_Scale[0]_Linear_Y_Intercept": 0.25}, lambda x: 0.5 * x + 0.25),
    "polynomial": ({"NI_Scale[0]_Scale_Type": "Polynomial", "NI_Scale[0]_Polynomial_Coefficients_Size": 3,
                    **{f"NI_Scale[0]_Polynomial_Coefficients[{n}]": one for n, one in enumerate((0.1, 2.0, 0.3))}},
                   lambda x: 0.1 + 2.0 * x + 0.3 * x**2),
    "table": ({"NI_Scale[0]_Scale_Type": "Table",
               "NI_Scale[0]_Table_Pre_Scaled_Values_Size": 3, "NI_Scale[0]_Table_Scaled_Values_Size": 3,
               **{f"NI_Scale[0]_Table_Pre_Scaled_Values[{n}]": one for n, one in enumerate((-0.05, 0.0, 0.2))},
               **{f"NI_Scale[0]_Table_Scaled_Values[{n}]": one for n, one in enumerate((-1.0, 0.0, 3.0))}},
              lambda x: np.where(x < 0, np.maximum(20.0 * x, -1.0), 15.0 * x)),
}  # fmt: skip
SCALES["line of a line"] = (
    SCALES["line"][0] | {
        "NI_Scale[1]_Scale_Type": "Linear", "NI_Scale[1]_Linear_Slope": 3.0, "NI_Scale[1]_Linear_Y_Intercept": 1.0,
        "NI_Scale[1]_Linear_Input_Source": 0},
    lambda x: 3.0 * (0.5 * x + 0.25) + 1.0)  # fmt: skip
LINE, POLYNOMIAL, TABLE = (SCALES[kind][0] for kind in ("line", "polynomial", "table"))


@pytest.mark.parametrize("where", ["channel", "group", "file"])
@pytest.mark.parametrize("kind", SCALES)
def test_scales_are_worked_out(tmp_path, kind, where):
    said, meant = SCALES[kind]
    said = {**said, "NI_Number_Of_Scales": 1 + ("line of" in kind), "NI_Scaling_Status": "unscaled"}
    groups = [Thing("/", said=said if where == "file" else {}), Thing("/'Deck'", said=said if where == "group" else {})]
    data = written([*groups, channel(SINE, "V1", properties={**OVER_TIME, **(said if where == "channel" else {})})])
    assert whole(read(tmp_path, data)) == pytest.approx(meant(SINE), rel=1e-12)


def test_numbers_that_are_scaled_already(tmp_path):
    said = {**OVER_TIME, **LINE, "NI_Number_Of_Scales": 1, "NI_Scaling_Status": "scaled"}
    assert np.array_equal(whole(read(tmp_path, written([channel(SINE, properties=said)]))), SINE)


EXPORT = "or export it with its values worked out"


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"NI_Number_Of_Scales": 1, "NI_Scale[0]_Scale_Type": "Thermocouple"}, ("'Thermocouple'", "export")),
        ({"NI_Number_Of_Scales": 1, "NI_Scale[0]_Scale_Type": "Cubes"}, ("'Cubes'", "export")),
        ({"NI_Number_Of_Scales": 1, "NI_Scale[0]_Scale_Type": "Linear"}, (EXPORT, "NI_Scale[0]_Linear")),
        ({"NI_Number_Of_Scales": 1}, (EXPORT,)),
        ({"NI_Number_Of_Scales": 4_000_000_000}, ("at most 50 scales", "4000000000")),
        ({"NI_Number_Of_Scales": "two"}, ("at most 50 scales", "'two'")),
        ({"NI_Scale[999999999]_Scale_Type": "Linear"}, ("at most 50 scales",)),
        ({**LINE, "NI_Scale[0]_Linear_Input_Source": 0}, (EXPORT, "recursion")),
        ({**LINE, "NI_Scale[0]_Linear_Input_Source": 7}, (EXPORT,)),
        ({**LINE, "NI_Scale[0]_Linear_Slope": "half"}, (EXPORT,)),
        ({**POLYNOMIAL, "NI_Scale[0]_Polynomial_Coefficients_Size": 4_000_000_000}, (EXPORT,)),
        ({**TABLE, "NI_Scale[0]_Table_Scaled_Values_Size": 2}, (EXPORT,)),
        ({**TABLE, "NI_Scale[0]_Table_Pre_Scaled_Values[1]": 0.5}, (EXPORT,)),
    ],
)
def test_a_scale_that_cannot_be_used(tmp_path, said, words):
    refused(tmp_path, written([channel(SINE, properties={**OVER_TIME, **said})]), *words)


def without(key):
    return {name: value for name, value in OVER_TIME.items() if name != key}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (without("unit_string"), ("one unit of the numbers", "`unit_string`", "found none")),
        ({**OVER_TIME, "NI_UnitDescription": "g"}, ("'m/s2' and 'g'",)),
        ({**OVER_TIME, "unit_string": "degC"}, ("a unit for m/s2",)),
        (without("wf_increment"), ("`wf_increment`", "the cell `rate`", "neither")),
        ({**OVER_TIME, "wf_increment": 0.0}, ("a step of time above zero",)),
        ({**OVER_TIME, "wf_increment": float("nan")}, ("a step of time above zero",)),
        ({**OVER_TIME, "wf_increment": "1 ms"}, ("a step of time above zero", "1 ms")),
        ({**OVER_TIME, "wf_increment": 1e-9}, ("a rate from 1 to",)),
        ({**OVER_TIME, "wf_xunit_string": "Hz"}, ("a record over time", "'Hz'")),
    ],
)
def test_properties_that_do_not_say_what_is_needed(tmp_path, said, words):
    refused(tmp_path, written([channel(SINE, properties=said)]), *words)


def test_the_row_says_the_rate_where_the_file_does_not(tmp_path):
    data = written([channel(SINE, properties=without("wf_increment"))])
    assert read(tmp_path, data, rate=512.0).rate == 512.0


@pytest.mark.parametrize("rate", [25600.0, 51200.0, 1651.612903225806])
def test_a_rate_from_its_step(tmp_path, rate):
    data = written([channel(SINE, properties={**OVER_TIME, "wf_increment": 1.0 / rate})])
    assert read(tmp_path, data).rate == pytest.approx(rate, rel=1e-12)
    if rate == round(rate):
        assert read(tmp_path, data).rate == rate


@pytest.mark.parametrize("label", ["g", "gn"])
def test_gravity_is_converted(tmp_path, label):
    data = written([channel(SINE, properties={**OVER_TIME, "unit_string": label})])
    assert whole(read(tmp_path, data)) == pytest.approx(9.80665 * SINE, rel=1e-12)


@pytest.mark.parametrize("cut", [1, 8, 1000, 16_000, 16_010, 16_100, 16_200, 16_227, 20_000, 32_000, -1])
def test_a_file_that_ends_early(tmp_path, cut):
    """Within the numbers, within a description, within the bytes before it: no part of it stands for the whole."""
    data = written([channel(SINE)], [channel(SINE)])
    refused(tmp_path, data[:-cut] if cut > 0 else data[: len(data) // 2 + 20], "ends early", "save it once more")


def test_a_file_that_was_never_closed(tmp_path):
    data = written([channel(SINE)])
    refused(tmp_path, data[:12] + b"\xff" * 8 + data[20:], "was not closed", "save it once more")


def test_an_index_is_no_record(tmp_path):
    data = written([channel(SINE)])
    refused(tmp_path, b"TDSh" + data[4:], "the .tdms file itself", "its index")


def test_an_index_beside_a_record_is_not_read(tmp_path):
    folder = folder_of(tmp_path, {"a.tdms": written([channel(SINE)]), "a.tdms_index": b"TDSh and nothing else"})
    assert np.array_equal(whole(read_tdms(folder, "a.tdms", 1, "m/s2")), SINE)


def put(data: bytes, at: int, kind: str, value: int) -> bytes:
    return data[:at] + struct.pack(kind, value) + data[at + struct.calcsize(kind) :]


ONE = written([channel(SINE, "V1")])
COUNT = ONE.index(struct.pack("<IIIQ", 20, 10, 1, 2000))
NAMED = ONE.index(b"/'Deck'/'V1'") - 4
DAMAGED = ("a whole TDMS file", "or is damaged", "save it once more")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ("an empty file",)),
        (b"at,value\n1,2\n", ("another kind of file",)),
        (put(ONE, 28, "<I", 4_000_000_000), DAMAGED[:1]),
        (put(ONE, NAMED, "<I", 4_000_000_000), ("of descriptions", "a length that cannot be")),
        (put(ONE, COUNT + 12, "<Q", 2**60), DAMAGED),
        (put(ONE, COUNT + 12, "<Q", 2**31), DAMAGED),
        (put(ONE, COUNT + 12, "<Q", 1999), DAMAGED),
        (put(ONE, COUNT + 8, "<I", 2), DAMAGED),
        (put(ONE, COUNT + 4, "<I", 77), DAMAGED),
        (put(ONE, COUNT, "<I", 0), DAMAGED),
        (put(ONE, 20, "<Q", 2**40), DAMAGED),
        (put(ONE, 4, "<I", 8), DAMAGED),
        (ONE + b"more of it than one head" * 2, DAMAGED),
        (ONE + ONE[:10], ("ends early",)),
    ],
)
def test_heads_that_lie(tmp_path, data, words):
    tracemalloc.start()
    refused(tmp_path, data, *words)
    assert tracemalloc.get_traced_memory()[1] < 50_000_000
    tracemalloc.stop()


@pytest.mark.parametrize("count", [2**62, 2**31, 1999])
def test_a_count_that_lies_between_two_others(tmp_path, count):
    """The numbers of one segment never reach into the next, whatever its head says; also where they stand in turn."""
    for turn in (False, True):
        two = [channel(SINE, "V1"), channel(SINE, "V2")]
        one, other = written(two, in_turn=turn), written(two, in_turn=turn)
        refused(tmp_path, one + other.replace(struct.pack("<Q", 2000), struct.pack("<Q", count)) + one, *DAMAGED)


CARD = {"NI_Scaling_Status": "unscaled", "NI_Number_Of_Scales": 2, "NI_Scale[1]_Scale_Type": "Linear",
        "NI_Scale[1]_Linear_Slope": 0.25, "NI_Scale[1]_Linear_Y_Intercept": -1.0, "NI_Scale[1]_Linear_Input_Source": 0,
        "unit_string": "m/s2", "wf_increment": 1.0 / RATE}  # fmt: skip
I2, I4 = 3, 5  # as cards count kinds of numbers
TWO = struct.pack("<2h", 1, 2)


def of_cards(*channels: Thing, numbers: bytes) -> bytes:
    return segment([Thing("/"), Thing("/'Group'"), *channels], numbers=numbers)


@pytest.mark.parametrize("times", [1, 3])
def test_two_measuring_cards_with_rows_of_their_own(tmp_path, times):
    """Two buffers: 16 bits twice in a row of one, 32 bits in a row of the other; each with its scale."""
    data = of_cards(
        card("A", 2, [4, 4], [(I2, 0, 0, 0)], CARD),
        card("B", 2, [4, 4], [(I2, 0, 2, 0)], CARD),
        card("C", 2, [4, 4], [(I4, 1, 0, 0)], CARD),
        numbers=(struct.pack("<4h", 1, -1, 3, 4) + struct.pack("<2i", 16, -16)) * times,
    )
    for number, raw in enumerate(([1, 3], [-1, 4], [16, -16]), 1):
        assert whole(read(tmp_path, data, number)).tolist() == [0.25 * one - 1.0 for one in raw] * times


def test_numbers_of_a_card_without_their_scale(tmp_path):
    said = {key: value for key, value in CARD.items() if not key.startswith("NI_")}
    refused(tmp_path, of_cards(card("A", 2, [2], [(I2, 0, 0, 0)], said), numbers=TWO), EXPORT)


@pytest.mark.parametrize(
    ("count", "widths", "scaler"),
    [
        (2, [2], (I2, 0, 1, 0)),  # behind the end of its row
        (2, [2], (I2, 1, 0, 0)),  # in a buffer that is not there
        (2, [2], (77, 0, 0, 0)),  # of an unknown kind
        (2**40, [2], (I2, 0, 0, 0)),
        (2, [2**31], (I2, 0, 0, 0)),
    ],
)
def test_a_card_whose_head_lies(tmp_path, count, widths, scaler):
    refused(tmp_path, of_cards(card("A", count, widths, [scaler], CARD), numbers=TWO), "TDMS file", "or is damaged")


def test_a_card_whose_numbers_take_no_room(tmp_path):
    none, real = card("A", 2**40, [0, 2], [(I2, 0, 0, 0)], CARD), card("B", 2, [0, 2], [(I2, 1, 0, 0)], CARD)
    refused(tmp_path, of_cards(none, real, numbers=TWO), "no more numbers than the file has bytes", f"{2**40}")


def test_values_that_cannot_be(tmp_path):
    for wrong in (np.nan, np.inf, 1e30):
        values = SINE.copy()
        values[1500] = wrong
        refused(tmp_path, written([channel(values)]), "numbers that can be", "1501")
