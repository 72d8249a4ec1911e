"""SHA-03 and SHA-05: how straight a shaft turns, and how its coupling faces meet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from buildbook.chapters.readings import standard_of
from buildbook.chapters.shafting.formulas.line import face_mismatch, run_out_per_metre
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft
from buildbook.chapters.shafting.subjects import (
    Subject,
    about,
    customary,
    not_drawn,
    not_read,
    reading,
    rule,
)
from buildbook.chapters.subjects import Used, limits
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, listed, plain_number

METRE, BEARING, TAPER = "run-out per metre", "run-out at a bearing", "run-out at the taper"
FACES = "mismatch of the coupling faces"
STATIONS = {BEARING: "bearing", TAPER: "taper"}
NOT_TURNED = "The run-out of this shaft was not measured."
NO_GAPS = "The gaps of this coupling were not measured."
NOT_THERE = "No reading was taken there."
NOT_OPPOSITE = "No two gaps were read at opposite places of the rim."
ONE_PAIR = (
    "Gaps were read across one diameter alone. Across the other the faces may gape more, so this is a least value."
)

WHOLE = 3600  # tenths of a degree in a turn

Pair = tuple[CouplingGap, CouplingGap]


def straightness(evidence: Evidence) -> Iterable[Finding]:
    """SHA-03: the run-out of every shaft, attempt by attempt."""
    return Subject("SHA-03", RunOut, (METRE, BEARING, TAPER), NOT_TURNED, _turned).findings(evidence)


def run_outs(rows: Sequence[RunOut]) -> dict[tuple[float, str], tuple[RunOut, ...]]:
    """The readings by station along the shaft, forward first."""
    stations = sorted({(row.along, row.station) for row in rows})
    return {at: tuple(row for row in rows if (row.along, row.station) == at) for at in stations}


def indicated(rows: Sequence[RunOut]) -> float:
    """The total indicator reading of one station: highest less lowest [mm]."""
    values = [row.reading for row in rows]
    return max(values) - min(values)


def of_both(use: Used, names: tuple[str, str], scale: float) -> tuple[Part, ...]:
    """The parts of a difference of two readings of one instrument, times a scale; both are taken as independent."""
    each = abs(scale) * standard_of(use.parts)
    return tuple(Part(name, each) for name in names) if use.parts else ()


def _turned(evidence: Evidence, part: str, attempt: int, rows: Sequence[RunOut]) -> Iterable[Finding]:
    stations, key = run_outs(rows), Key("SHA-03", METRE, part, "", attempt)
    shaft = evidence.one(Shaft, part=part)
    if shaft is None:
        yield not_drawn(evidence, key, rows)
    else:
        yield from _worst(evidence, key, stations, shaft.length)
    for quantity, what in STATIONS.items():
        there = {at: read for at, read in stations.items() if at[1] == what}
        if there:
            yield from _worst(evidence, replace(key, quantity=quantity), there, None)
        else:
            yield not_read(evidence, replace(key, quantity=quantity), rows, NOT_THERE)


def _worst(
    evidence: Evidence, key: Key, stations: dict[tuple[float, str], tuple[RunOut, ...]], length: float | None
) -> Iterable[Finding]:
    """The largest run-out of some stations, for each metre where a length is given."""
    at, read = max(stations.items(), key=lambda item: indicated(item[1]))
    scale, unit = (1.0, "mm") if length is None else (1.0 / length, "mm/m")
    rows = tuple(row for readings in stations.values() for row in readings)
    use = reading(evidence, rows, "reading", "instrument", "run-out")
    measured = Quantity.combined(
        _run_out(read, length), unit, of_both(use, ("highest reading", "lowest reading"), scale)
    )
    words = [f"{plain_number(at[0])} mm from the coupling: {_span(read)}"]
    words += [f"over {plain_number(length)} m between its supports"] if length is not None else []
    told = about(f"dial indicator, largest of {counted(len(stations), 'station')}, {_lay(rows)}", rows, use, words)
    told = replace(told, caps=(*told.caps, *_not_round(stations)))
    wanted = limits(evidence, key.check, key.quantity, place=key.place)
    yield from judge(key, measured, wanted, told, observed=f"{plain_number(at[0])} mm from the coupling")


def _run_out(rows: Sequence[RunOut], length: float | None) -> float:
    """The run-out of one station [mm], for each metre where a length is given [mm/m]."""
    values = [row.reading for row in rows]
    return indicated(rows) if length is None else run_out_per_metre(max(values), min(values), length)


def _lay(rows: Sequence[RunOut]) -> str:
    """How the shaft lay, in the words of the rows."""
    return listed(dict.fromkeys(row.lay for row in rows))


def _span(rows: Sequence[RunOut]) -> str:
    values = sorted(row.reading for row in rows)
    return f"{fixed(values[0], 2)} to {fixed(values[-1], 2)} mm, {fixed(indicated(rows), 2)} mm in all"


def tenths(angle: float) -> int:
    """A place on the rim, to a tenth of a degree: an angle that was converted is off in a late digit."""
    return round(10.0 * angle)


def _angles(rows: Iterable[RunOut]) -> list[int]:
    """The places on the rim that were read, once each, in order [tenths of a degree]."""
    return sorted({tenths(row.angle) % WHOLE for row in rows})


def _not_round(stations: Mapping[tuple[float, str], Sequence[RunOut]]) -> tuple[str, ...]:
    """Of each station why it may run out more than its readings say: they are too few, or do not go all the way round.

    What they show is a least value, so it may still fail.
    """
    why = []
    for (along, _), rows in stations.items():
        angles, there = _angles(rows), f"{plain_number(along)} mm from the coupling"
        unread = _unread(angles)
        if len(angles) < rule("fewest angles"):
            why.append(f"Angles read {there}: {len(angles)}. {customary('fewest angles')}")
        elif unread:
            why.append(
                f"Nothing was read {there} from {unread}, so the shaft may run out more there. Read it again all the "
                f"way round. {customary('widest step')}"
            )
    return tuple(why)


def _unread(angles: Sequence[int]) -> str:
    """The widest part of a turn between two neighbouring angles [tenths]; empty where it is no wider than a step."""
    steps = [(after - before, before, after % WHOLE) for before, after in pairwise([*angles, angles[0] + WHOLE])]
    width, before, after = max(steps)
    if width <= tenths(rule("widest step")):
        return ""
    return f"{plain_number(before / 10.0)}° to {plain_number(after / 10.0)}°"


def faces(evidence: Evidence) -> Iterable[Finding]:
    """SHA-05: the coupling faces of every shaft, attempt by attempt."""
    return Subject("SHA-05", CouplingGap, (FACES,), NO_GAPS, _faced).findings(evidence)


def opposite_pairs(rows: Sequence[CouplingGap]) -> tuple[Pair, ...]:
    """The gaps at opposite places of the rim, each pair once."""
    half = tenths(rule("opposite"))
    by_angle = {tenths(row.angle): row for row in rows}
    return tuple((row, by_angle[angle + half]) for angle, row in sorted(by_angle.items()) if angle + half in by_angle)


def _faced(evidence: Evidence, part: str, attempt: int, rows: Sequence[CouplingGap]) -> Iterable[Finding]:
    key, shaft, pairs = Key("SHA-05", FACES, part, "", attempt), evidence.one(Shaft, part=part), opposite_pairs(rows)
    if shaft is None:
        yield not_drawn(evidence, key, rows)
        return
    wanted = limits(evidence, key.check, FACES, place=part)
    if not pairs:
        at = About(at=tuple(row.where for row in rows))
        yield unjudged(key, Verdict.INCONCLUSIVE, NOT_OPPOSITE, at, wanted)
        return
    found = crossing(pairs)
    use = reading(evidence, rows, "gap", "instrument", "gap")
    measured = Quantity.combined(tilted(found, shaft.flange), "mm/m", _of_tilt(use, found, shaft.flange))
    told = about("feeler at the rim", rows, use, _differences(found, shaft.flange))
    told = replace(told, caps=(*told.caps, *_not_yet(rows), *((ONE_PAIR,) if len(found) < 2 else ())))
    yield from judge(key, measured, wanted, told, observed=_state(rows))


def crossing(pairs: Sequence[Pair]) -> tuple[Pair, ...]:
    """Two pairs at right angles to each other, those that gape most; the widest pair alone where none cross so."""
    right = tenths(rule("opposite")) // 2
    crossed = [
        (one, other) for one in pairs for other in pairs if tenths(other[0].angle) - tenths(one[0].angle) == right
    ]
    if crossed:
        return max(crossed, key=lambda both: math.hypot(*(gape(pair) for pair in both)))
    return (max(pairs, key=lambda pair: abs(gape(pair))),)


def gape(pair: Pair) -> float:
    """One gap less the gap opposite [mm]."""
    return pair[0].gap - pair[1].gap


def tilted(found: Sequence[Pair], flange: float) -> float:
    """The tilt of the faces from one pair or two at right angles [mm/m]."""
    one, other = (*(gape(pair) for pair in found), 0.0)[:2]
    return face_mismatch(one, other, flange)


def _of_tilt(use: Used, found: Sequence[Pair], flange: float) -> tuple[Part, ...]:
    """What both differences bring to the tilt: each by its share of it, alike where there is no tilt [mm/m]."""
    whole = math.hypot(*(gape(pair) for pair in found))
    shares = [gape(pair) / whole if whole else 1.0 / math.sqrt(len(found)) for pair in found]
    names = [(f"gap at {_at(one)}", f"gap at {_at(other)}") for one, other in found]
    return tuple(
        part for share, both in zip(shares, names, strict=True) for part in of_both(use, both, share * 1000.0 / flange)
    )


def _differences(found: Sequence[Pair], flange: float) -> tuple[str, ...]:
    """The gaps that count, and how the tilt follows from them."""
    lines = [
        f"{plain_number(one.gap)} mm at {_at(one)} less {plain_number(other.gap)} mm at {_at(other)}: "
        f"{fixed(one.gap - other.gap, 3)} mm"
        for one, other in found
    ]
    both = f"root of the sum of both squares, over {plain_number(flange)} mm"
    return (*lines, both if len(found) > 1 else f"over {plain_number(flange)} mm")


def _at(row: CouplingGap) -> str:
    return f"{plain_number(row.angle)}°"


def _state(rows: Sequence[CouplingGap]) -> str:
    """Afloat or ashore, for how long, and how loaded, as the rows say."""
    if not all(row.afloat for row in rows):
        return "ashore"
    known = [row.hours for row in rows if row.hours is not None]
    hours = f"afloat for {plain_number(min(known))} h" if len(known) == len(rows) else "afloat, for how long not noted"
    load = next((row.load for row in rows if row.load), "load not noted")
    return f"{hours}, {load}"


def _not_yet(rows: Sequence[CouplingGap]) -> tuple[str, ...]:
    """Why the faces may stand otherwise afloat; empty where she had lain long enough."""
    if not all(row.afloat for row in rows):
        return ("She stood ashore. A hull takes another shape afloat, so this is read again there.",)
    if any(row.hours is None for row in rows):
        return ("How long she had been afloat is not noted.",)
    if any((row.hours or 0.0) < rule("hours afloat") for row in rows):
        return (f"Read too soon. {customary('hours afloat')}",)
    return ()
