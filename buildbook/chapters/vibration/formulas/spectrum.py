"""From a record to its spectrum, block by block, and from the spectrum to levels and tones."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.chapters.vibration.rules import rule
from buildbook.formulas import OutOfRange, require_range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

OVERLAP = 4  # segments that cover each sample: with a Hann window squared their sum is then the same everywhere
FEWEST_NEIGHBOURS = 8  # lines to either side of a low peak, so that a median means something
AT_ONCE = 400_000  # bytes of samples transformed together, or those of one segment: what fits near the processor


@dataclass(frozen=True, slots=True)
class Spectrum:
    """One-sided density of the mean square: `step` between lines [Hz], `density` [unit squared / Hz] from 0 Hz on.

    Times the step the density of all lines adds up to the mean square of the record without its mean. `sharp` is the
    density of the segments that lie wholly inside the record: a tone is a narrow peak there, and an end adds nothing.
    """

    step: float
    density: Array
    sharp: Array

    @property
    def frequency(self) -> Array:
        """The frequency of each line [Hz]."""
        import numpy as np

        return np.arange(len(self.density), dtype=np.float64) * self.step

    def mean_square(self, weight: Callable[[Array], Array] | None = None) -> float:
        """Mean square of the whole [unit squared], each line weighted by the square of a factor of its frequency."""
        counted = self.density if weight is None else self.density * weight(self.frequency) ** 2
        return float(counted.sum() * self.step)

    def between(self, low: float, high: float, weight: Callable[[Array], Array] | None = None) -> float:
        """Mean square between two frequencies [Hz]; a line at an edge counts with the share of it that lies inside."""
        import numpy as np

        edges = self.frequency
        inside = np.clip(
            (np.minimum(edges + self.step / 2, high) - np.maximum(edges - self.step / 2, low)) / self.step, 0, 1
        )
        counted = self.density * inside if weight is None else self.density * inside * weight(edges) ** 2
        return float(counted.sum() * self.step)

    def velocity(self, least: float) -> Spectrum:
        """The spectrum of the velocity that belongs to this acceleration [unit times s]; nothing below `least` [Hz]."""
        import numpy as np

        frequency = self.frequency
        slow = frequency < least
        turned = np.where(slow, 1.0, 2.0 * math.pi * frequency)
        return Spectrum(
            self.step, *(np.where(slow, 0.0, density / turned**2) for density in (self.density, self.sharp))
        )


def spectrum(blocks: Callable[[], Iterable[Array]], length: int, rate: float, seconds: float, mean: float) -> Spectrum:
    """Power spectral density of a record that is read in blocks and never held.

    Segments under a Hann window, each three quarters over the one before (Welch), with nothing put before the first
    sample and behind the last, so that each sample counts alike.

    Args:
        blocks: gives the samples in order [unit].
        length: number of samples [1].
        rate: samples per second [1/s].
        seconds: length of a segment, at most that of the record [s].
        mean: of the record, taken off first [unit].
    Returns:
        The density: of all segments that hold a sample, 2 |X|^2 / (rate x sum of the squares of the window) added up,
        times length of a segment / (4 x length of the record) [unit squared / Hz]. Its lines add up to the mean square
        about the mean, exactly. A level is the root of the sum of density x step x factor^2 over its lines; a line at
        an edge of a band counts with the share of its step that lies inside. Velocity: density / (2 pi f)^2.
    Range:
        Two samples or more in a segment; rate above zero.
    Source:
        P. D. Welch (1967), the averaging of modified periodograms; density scaling (textbooks, from memory).
    Example:
        >>> import numpy as np
        >>> tone = 0.1 * np.sin(2 * np.pi * 10.0 * np.arange(12000) / 200.0)
        >>> round(spectrum(lambda: [tone], 12000, 200.0, 8.0, 0.0).mean_square(), 6)
        0.005
    """
    import numpy as np

    require_range("rate", rate, "1/s", 0.0, above=True)
    hop = max(1, round(min(seconds, length / rate) * rate / OVERLAP))
    size = OVERLAP * hop
    if length < 2:
        raise OutOfRange("number of samples", length, "2 or more")
    window = _hann(size)
    square = 3.0 / 8.0  # mean of the window squared, exact for three points or more: the same on every machine
    inner, ends = np.zeros(size // 2 + 1), np.zeros(size // 2 + 1)
    last = (length - size) // hop  # the whole segments begin at 0, hop, ... up to last * hop
    number = 1 - OVERLAP  # of the next segment, counted from the first that is whole
    for segments in _segments(blocks, size, hop, mean):
        squares = _squares(segments, window)
        first, end = (min(max(one - number, 0), len(squares)) for one in (0, last + 1))
        for some, into in ((squares[:first], ends), (squares[first:end], inner), (squares[max(first, end) :], ends)):
            _add(some, into)
        number += len(squares)
        del squares
    density = (inner + ends) * (2.0 / (rate * OVERLAP * square * length))  # a sample lies in so many segments
    sharp = inner * (2.0 / (rate * square * size * (last + 1))) if last >= 0 else density.copy()
    for one in (density, sharp):
        one[0] /= 2.0
        if size % 2 == 0:
            one[-1] /= 2.0
    return Spectrum(rate / size, density, sharp)


def _hann(size: int) -> Array:
    """The window, made with no more memory than its own."""
    import numpy as np

    window = np.arange(size, dtype=np.float64)
    window *= 2.0 * math.pi / size
    np.cos(window, out=window)
    window *= -0.5
    window += 0.5
    return window


def _squares(segments: Array, window: Array) -> Array:
    """Squares of the real and imaginary part of every line of each segment, side by side."""
    import numpy as np

    lines = np.fft.rfft(segments * window, axis=1).view(np.float64)
    lines *= lines
    return lines


def _add(squares: Array, into: Array) -> None:
    """Add the power of each line of all these segments."""
    if len(squares):
        both = squares.sum(axis=0)
        into += both[0::2]
        into += both[1::2]


def _segments(blocks: Callable[[], Iterable[Array]], size: int, hop: int, mean: float) -> Iterator[Array]:
    """Overlapping segments of the record about its mean, some at a time, with zeros before and behind it.

    They are views of one array, good until the next are asked for.
    """
    import numpy as np

    before = size - hop
    held = np.zeros(before + hop * max(1, AT_ONCE // (8 * size)))
    filled = before
    for block in _with_zeros(blocks, before, hop, mean):
        taken = 0
        while taken < len(block):
            fits = min(len(block) - taken, len(held) - filled)
            held[filled : filled + fits] = block[taken : taken + fits]
            taken, filled = taken + fits, filled + fits
            if filled == len(held):
                yield _cut(held, size, hop)
                held[:before] = held[len(held) - before :]
                filled = before
    if filled > before:
        yield _cut(held[:filled], size, hop)


def _with_zeros(blocks: Callable[[], Iterable[Array]], before: int, hop: int, mean: float) -> Iterator[Array]:
    """The record about its mean, and behind it zeros up to the end of the last segment that holds a sample."""
    import numpy as np

    length = 0
    for block in blocks():
        length += len(block)
        yield block - mean
    yield np.zeros(before + -length % hop)


def _cut(samples: Array, size: int, hop: int) -> Array:
    import numpy as np

    return np.asarray(np.lib.stride_tricks.sliding_window_view(samples, size)[::hop])


@dataclass(frozen=True, slots=True)
class Tone:
    """A line that stands out: its frequency [Hz] and its r.m.s. [unit]."""

    frequency: float
    rms: float


def tones(found: Spectrum, low: float, high: float, *, above: float, share: float) -> tuple[Tone, ...]:
    """The lines that stand out of a spectrum, strongest first.

    Args:
        found: the spectrum [unit squared / Hz].
        low: lowest frequency looked at [Hz].
        high: highest frequency looked at [Hz].
        above: how many times the median of its neighbourhood the amplitude of a peak must be; 4 in this book [1].
        share: of the largest amplitude that a peak must reach; 3 in this book [%].
    Returns:
        Frequency refined by a parabola through three levels in decibels [Hz], r.m.s. from the lines around it, up to
        the middle between two tones [unit]. A tone is three lines wide to either side, its neighbourhood 20 % of its
        frequency and eight lines at least; a peak at most two lines from a stronger one belongs to that one. Only
        segments that lie wholly inside the record count.
    Range:
        Positive frequencies; both factors above zero.
    Source:
        Peak picking of the trade (common practice, no source).
    Example:
        >>> import numpy as np
        >>> time = np.arange(30720) / 512.0
        >>> record = 0.1 * np.sin(2 * np.pi * 58.37 * time) + 0.001 * np.sin(2 * np.pi * 20.0 * time)
        >>> (tone, *_) = tones(spectrum(lambda: [record], 30720, 512.0, 8.0, 0.0), 1.0, 200.0, above=4.0, share=3.0)
        >>> round(tone.frequency, 2), round(tone.rms, 4)
        (58.37, 0.0707)
    """
    import numpy as np

    amplitude = np.sqrt(found.sharp)
    first, last = max(2, math.ceil(low / found.step)), min(len(amplitude) - 2, math.floor(high / found.step))
    if last < first:
        return ()
    inner = np.arange(first, last + 1)
    peaks = inner[(amplitude[inner] > amplitude[inner - 1]) & (amplitude[inner] >= amplitude[inner + 1])]
    least = share / 100.0 * float(amplitude[first : last + 1].max())
    neighbourhood, merged = rule("neighbourhood of a tone") / 100.0, rule("lines that merge")
    kept: list[int] = []
    for line in sorted(peaks[amplitude[peaks] >= least], key=lambda peak: -amplitude[peak]):
        reach = max(FEWEST_NEIGHBOURS, round(neighbourhood * line))
        around = np.median(amplitude[max(1, line - reach) : line + reach + 1])
        apart = all(abs(int(line) - other) > merged for other in kept)
        if apart and amplitude[line] > 0 and amplitude[line] >= above * around:
            kept.append(int(line))
    return tuple(sorted((_tone(found, line, kept) for line in kept), key=lambda tone: -tone.rms))


def _tone(found: Spectrum, line: int, peaks: Iterable[int]) -> Tone:
    """The tone at a peak; where another one is near, each has the lines on its own side of the middle."""
    import numpy as np

    levels = np.log(np.maximum(found.sharp[line - 1 : line + 2], np.finfo(float).tiny))
    bend = float(levels[0] - 2.0 * levels[1] + levels[2])
    off = 0.5 * float(levels[0] - levels[2]) / bend if bend < 0 else 0.0
    middles = [(line + other) / 2.0 for other in peaks if other != line]
    wide = round(rule("lines around a tone"))
    low = max([line - wide, 0, *(math.floor(middle) + 1 for middle in middles if middle < line)])
    high = min([line + wide, *(math.floor(middle) for middle in middles if middle > line)])
    near = found.sharp[low : high + 1]
    return Tone((line + off) * found.step, math.sqrt(float(near.sum()) * found.step))
