"""Raw records spoiled at random: every one is read or refused in words, soon, and without filling the memory.

The sound ones are synthetic: a universal file typed by hand, others packed by its published layout, WAV files by the
standard library and scipy, a column of text, TDMS and MATLAB files put together by hand.
"""

from __future__ import annotations

import io
import signal
import tracemalloc
import wave
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.core.signal import Signal
from buildbook.readers.folder import Folder
from buildbook.readers.mat import read_mat
from buildbook.readers.refused import Refused
from buildbook.readers.signal import read_wav
from buildbook.readers.tdms import read_tdms
from buildbook.readers.text_record import read_column
from buildbook.readers.uff import read_uff
from tests.readers.mat_bytes import written as matlab
from tests.readers.tdms_bytes import channel
from tests.readers.tdms_bytes import written as tdms
from tests.readers.test_signal import floats
from tests.readers.test_uff import BY_HAND, SINE, packed

pytestmark = pytest.mark.slow
MOST_MEMORY = 500_000_000  # bytes
MOST_SECONDS = 60  # no timing: a reader that hangs would never end
HEAD = 1200  # bytes in which lengths, rates and kinds stand

TWO = np.stack([SINE[:300], SINE[300:600]], axis=1)
TWO_CHANNELS = [channel(SINE[:300], "a"), channel(SINE[300:600], "b")]
DECK, TURNS = tdms(TWO_CHANNELS), tdms(TWO_CHANNELS, in_turn=True)
TEXT = "P1 [m/s2]\n" + "".join(f"{number % 7 / 10}\n" for number in range(500))


def integers() -> bytes:
    """A WAV file of two channels of 24 bits, 300 frames, written by the standard library."""
    steps = np.round(SINE[:300] * (2**23 - 1)).astype("<i4")
    one = np.frombuffer(steps.tobytes(), np.uint8).reshape(-1, 4)[:, :3]
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(3)
        file.setframerate(8000)
        file.writeframes(np.concatenate([one, one], axis=1).tobytes())
    return out.getvalue()


SOUND: dict[str, tuple[str, bytes, Callable[[Folder, str], Signal]]] = {
    "universal file, text": ("a.uff", BY_HAND.encode(), lambda folder, name: read_uff(folder, name, 1, "m/s2")),
    "universal file, binary": (
        "a.uff",
        packed(SINE[:300], SINE[300:600]),
        lambda folder, name: read_uff(folder, name, 2, "m/s2"),
    ),
    "WAV, integers": ("a.wav", integers(), lambda folder, name: read_wav(folder, name, "m/s2", 9.81, 2)),
    "WAV, floats": ("a.wav", floats(SINE[:300]), lambda folder, name: read_wav(folder, name, "m/s2", 2.0)),
    "text": ("a.csv", TEXT.encode(), lambda folder, name: read_column(folder, name, 100.0, "m/s2")),
    "TDMS": ("a.tdms", DECK, lambda folder, name: read_tdms(folder, name, 2, "m/s2")),
    "TDMS, in turn": ("a.tdms", TURNS, lambda folder, name: read_tdms(folder, name, 2, "m/s2")),
    "MATLAB": ("a.mat", matlab(acc=SINE[:300]), lambda folder, name: read_mat(folder, name, "acc", "m/s2", 100.0, 1.0)),
    "MATLAB, packed": (
        "a.mat",
        matlab(True, fs=100.0, acc=SINE[:300]),
        lambda folder, name: read_mat(folder, name, "acc", "m/s2", 100.0, 1.0),
    ),
}
# Where the numbers of the signal stand, and after how many bytes they repeat: a line, a number, a frame.
NUMBERS = {
    "universal file, text": (BY_HAND.index("   2.00000000000e-02"), BY_HAND.rindex("    -1"), 81),
    "universal file, binary": (packed(SINE[:300]).index(SINE[:300].tobytes()), len(packed(SINE[:300])) - 8, 8),
    "WAV, integers": (integers().index(b"data") + 8, len(integers()), 6),
    "WAV, floats": (floats(SINE[:300]).index(b"data") + 8, len(floats(SINE[:300])), 4),
    "text": (TEXT.index("\n") + 1, len(TEXT), 4),
    "TDMS": (DECK.index(SINE[:300].tobytes()), len(DECK), 8),
    "TDMS, in turn": (TURNS.index(TWO.tobytes()), len(TURNS), 8),
    "MATLAB": (matlab(acc=SINE[:300]).index(SINE[:300].tobytes()), len(matlab(acc=SINE[:300])), 8),
    "MATLAB, packed": (136, 300, 1),  # the first variable is packed whole: its bytes are spoiled as they are
}


@contextmanager
def within_bounds() -> Iterator[None]:
    """Stops a reader that hangs, and fails where one takes too much memory."""

    def hangs(*_: object) -> None:
        raise AssertionError(f"not read after {MOST_SECONDS} s")

    before = signal.signal(signal.SIGALRM, hangs)
    signal.alarm(MOST_SECONDS)
    tracemalloc.start()
    try:
        yield
        assert tracemalloc.get_traced_memory()[1] < MOST_MEMORY
    finally:
        tracemalloc.stop()
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize("kind", SOUND)
def test_the_sound_ones_are_read(tmp_path: Path, kind: str) -> None:
    name, data, read = SOUND[kind]
    (tmp_path / name).write_bytes(data)
    assert np.concatenate(list(read(Folder(tmp_path), name).blocks())).size >= 16


def test_a_torn_one_is_refused(tmp_path: Path) -> None:
    name, data, read = SOUND["WAV, integers"]
    (tmp_path / name).write_bytes(data[:1000])
    with pytest.raises(Refused, match="ends early"):
        read(Folder(tmp_path), name)


@pytest.mark.parametrize("kind", SOUND)
def test_spoiled_records(tmp_path_factory: pytest.TempPathFactory, kind: str) -> None:
    """Every one is read or refused in words; many are read, so what decodes them is spoiled too, and not only heads."""
    ends: Counter[bool] = Counter()

    @settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
    @given(data=st.data())
    def one(data: st.DataObject) -> None:
        name, sound, read = SOUND[kind]
        folder = tmp_path_factory.mktemp("record")
        anywhere = data.draw(st.booleans())
        (folder / name).write_bytes(spoiled(sound, data) if anywhere else other_numbers(sound, *NUMBERS[kind], data))
        ends[is_read(folder, name, read)] += 1

    one()
    assert ends[True] > 20, ends
    assert ends[False] > 20, ends


def spoiled(sound: bytes, data: st.DataObject) -> bytes:
    """Bytes overwritten, cut out, doubled, or numbers made huge; mostly where the head stands."""
    given = sound
    for _ in range(data.draw(st.integers(1, 3))):
        most = min(HEAD, len(given)) if data.draw(st.booleans()) else len(given)
        start = data.draw(st.integers(0, max(0, most - 1)))
        length = data.draw(st.one_of(st.integers(0, 8), st.integers(0, 300)))
        put = data.draw(
            st.one_of(
                st.binary(max_size=12),
                st.sampled_from(
                    [b"\xff\xff\xff\x7f", b"\xff\xff\xff\xff", b"999999999", b"-1", b"1e999", b"nan", b"\n"]
                ),
                st.just(given[start : start + length] * 2),
            )
        )
        given = given[:start] + put + given[start + length :]
    return given


def other_numbers(sound: bytes, first: int, end: int, step: int, data: st.DataObject) -> bytes:
    """Numbers behind the head written over each other, or now and then over with anything; no byte more or less."""
    given = sound
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(first, end - step - 1))
        source = start % step + step * data.draw(st.integers(-(-first // step), end // step - 1))
        length = data.draw(st.integers(1, min(300, end - max(start, source))))
        put = given[source : source + length]
        if data.draw(st.integers(0, 5)) == 5:
            put = data.draw(st.binary(min_size=length, max_size=length))
        given = given[:start] + put + given[start + length :]
    assert len(given) == len(sound)
    return given


def is_read(folder: Path, name: str, read: Callable[[Folder, str], Signal]) -> bool:
    """Whether a record is read; one that is refused is named, and nothing else may happen."""
    with within_bounds():
        refused = ""
        try:
            for block in read(Folder(folder), name).blocks():
                assert np.isfinite(block).all()
        except Refused as stopped:
            refused = str(stopped)
            assert refused.startswith(name)
    assert [path.name for path in folder.iterdir()] == [name]
    return not refused
