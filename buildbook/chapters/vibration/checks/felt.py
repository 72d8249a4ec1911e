"""Which tones make up what people feel of one record, and what each is consistent with."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.vibration.checks.tones import NO_DIAGNOSIS, consistent, tones_of
from buildbook.chapters.vibration.lines import lines_of
from buildbook.chapters.vibration.rules import rule
from buildbook.chapters.vibration.subjects import PERCENT, Analysed
from buildbook.core.evidence import Evidence
from buildbook.core.wording import fixed


def felt_most(evidence: Evidence, found: Analysed) -> Iterable[str]:
    """The tones with the largest shares of the weighted mean square, in one sentence; none where no tone stands out."""
    lines = lines_of(evidence, found.row.run)
    said = [
        f"{fixed(share, 0)} % at {fixed(frequency, 1)} Hz, {consistent(frequency, lines, found)}"
        for frequency, share in felt_shares(found)
        if share >= rule("felt share worth naming")
    ]
    if said:
        yield f"Of the movement that people feel, by its energy: {'; '.join(said)}. {NO_DIAGNOSIS}"


def felt_shares(found: Analysed) -> tuple[tuple[float, float], ...]:
    """The tones of a record [Hz] with their shares of the weighted mean square [%], largest first."""
    whole = found.spectrum.mean_square(found.weight)
    room = (rule("lines around a tone") + 0.5) * found.spectrum.step
    shares: dict[float, float] = {}
    for tone in tones_of(found) if whole > 0.0 else ():
        if all(abs(tone.frequency - other) >= 2.0 * room for other in shares):
            within = found.spectrum.between(tone.frequency - room, tone.frequency + room, found.weight)
            shares[tone.frequency] = PERCENT * within / whole
    return tuple(sorted(shares.items(), key=lambda pair: -pair[1]))
