"""One pass over a record: its mean, the ends it reaches, and where it stood still."""

from __future__ import annotations

import math

from buildbook.core.signal import Signal, Survey


def surveyed(signal: Signal) -> Survey:
    """What a record shows at first sight.

    Args:
        signal: the record, read once from end to end.
    Returns:
        Mean, smallest and largest value [unit of the signal], longest runs of equal samples.
    Errors:
        Refused where the record cannot be read to its end.
    """
    import numpy as np

    sums: list[float] = []
    count, least, most = 0, math.inf, -math.inf
    runs: dict[float, int] = {}  # longest run of equal samples of each value that ever was an end
    run, last, still = 0, math.nan, 0
    for block in signal.blocks():
        sums.append(float(block.sum()))
        count += len(block)
        starts = np.flatnonzero(np.concatenate(([True], block[1:] != block[:-1])))
        lengths = np.diff(np.append(starts, len(block)))
        values = block[starts]
        if run and values[0] == last:
            lengths[0] += run
        for end in (int(values.argmin()), int(values.argmax())):
            longest = int(lengths[values == values[end]].max())
            runs[float(values[end])] = max(runs.get(float(values[end]), 0), longest)
        still = max(still, int(lengths.max()))
        run, last = int(lengths[-1]), float(values[-1])
        least, most = min(least, float(values.min())), max(most, float(values.max()))
    mean = math.fsum(sums) / count if count else math.nan
    return Survey(mean, least, most, max(runs.get(least, 0), runs.get(most, 0)), still)
