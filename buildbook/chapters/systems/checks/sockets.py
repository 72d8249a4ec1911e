"""SYS-17: residual-current devices that trip in time, and sockets with their wires the right way round."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.shared_records import Instrument
from buildbook.chapters.subjects import limits, used
from buildbook.chapters.systems.records.sockets import ResidualCurrentDevice, Socket
from buildbook.chapters.systems.subjects import Test, at_once, each_test, tried
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Verdict
from buildbook.core.judging import About, Limits, judge, judge_fact, unjudged
from buildbook.core.quantity import Quantity
from buildbook.core.wording import plain_number

CHECK = "SYS-17"
TRIPS, TRIP = "trips at rated residual current", "trip time at rated residual current"
WIRES = "wires of the socket"
DEVICES, SOCKETS = Test(CHECK, ResidualCurrentDevice, (TRIPS, TRIP)), Test(CHECK, Socket, (WIRES,))
NOT_TESTED, NO_TIME = "Not tested.", "It tripped, and its time was not read."
TRIPPED, DID_NOT_TRIP = "tripped", "It did not trip."
NOT_SAID = "A time is on record, and whether it tripped is not."
RESIDUAL = "residual current"  # what a tester is calibrated for besides the time, in the words of the instrument table
CLAIMED = "That this current flowed is what {} itself says: no uncertainty of its residual current is on record."
OTHER_CURRENT = "It was tested with another current than its rated one, which says nothing about this limit."


def sockets(evidence: Evidence) -> Iterable[Finding]:
    """SYS-17: every residual-current device and every socket."""
    yield from each_test(evidence, DEVICES, lambda row: _device(evidence, row))
    yield from each_test(evidence, SOCKETS, lambda row: _socket(evidence, row))


def _device(evidence: Evidence, row: ResidualCurrentDevice) -> Iterable[Finding]:
    words = f"rated {plain_number(row.rated)} mA, tested with {plain_number(row.current)} mA"
    other = () if row.current == row.rated else (OTHER_CURRENT,)
    about = About(method=words, period=at_once(row.at), at=(row.where,), caps=other, notes=_claimed(evidence, row))
    for quantity, judged in ((TRIPS, _trips), (TRIP, _time)):
        key = Key(CHECK, quantity, row.place, "", row.attempt)
        wanted = limits(evidence, CHECK, quantity, place=row.place)
        if row.tripped is None and row.time is None:
            yield unjudged(key, Verdict.NOT_MEASURED, NOT_TESTED, about, wanted)
        elif row.tripped is None:
            yield unjudged(key, Verdict.INCONCLUSIVE, NOT_SAID, about, wanted)
        elif row.tripped is False and row.current < row.rated:  # below its rated current it need not trip
            yield unjudged(key, Verdict.INCONCLUSIVE, OTHER_CURRENT, about, wanted)
        else:
            yield from judged(evidence, key, row, wanted, about)


def _claimed(evidence: Evidence, row: ResidualCurrentDevice) -> tuple[str, ...]:
    """That nothing but the tester itself says how much current it lets flow; empty where it is calibrated for it."""
    known = evidence.one(Instrument, instrument=row.instrument, quantity=RESIDUAL)
    return () if known is not None and known.uncertainty is not None else (CLAIMED.format(row.instrument),)


def _trips(evidence: Evidence, key: Key, row: ResidualCurrentDevice, wanted: Limits, about: About) -> Iterable[Finding]:
    """A device that tripped, as it is there to do, or did not."""
    return judge_fact(key, row.tripped, TRIPPED if row.tripped else DID_NOT_TRIP, wanted, about)


def _time(evidence: Evidence, key: Key, row: ResidualCurrentDevice, wanted: Limits, about: About) -> Iterable[Finding]:
    """How long it took; nobody but the builder says how long that may be. What did not trip has no time."""
    if row.tripped is False:
        yield unjudged(key, Verdict.NOT_APPLICABLE, f"{DID_NOT_TRIP} So there is no time.", about, wanted)
        return
    if row.time is None:
        yield unjudged(key, Verdict.INCONCLUSIVE, NO_TIME, about, wanted)
        return
    use = used(evidence, [row], "instrument", "trip time", "s", "time")
    notes = (*about.notes, *use.notes)
    about = replace(about, instruments=use.instruments, notes=notes, caps=(*about.caps, *use.caps))
    yield from judge(key, Quantity.combined(row.time, "s", use.parts), wanted, about)


def _socket(evidence: Evidence, row: Socket) -> Iterable[Finding]:
    key = Key(CHECK, WIRES, row.place, "", row.attempt)
    about = About(method="socket tester", period=at_once(row.at), at=(row.where,))
    met = None if row.wiring is None else row.wiring == "right"
    yield from tried(evidence, key, met, row.wiring or "", about)
