"""SYS-07 bonding, SYS-08 insulation, SYS-09 voltage drop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.chapters.readings import by_one_instrument, carried, step_unknown
from buildbook.chapters.subjects import Used, limits, used
from buildbook.chapters.systems.formulas.electric import drop_at_full_current, voltage_drop, without_leads
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.systems.subjects import Test, about_row, each_test, meets_rule, rule_limit
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key
from buildbook.core.judging import Limits, judge
from buildbook.core.quantity import Kind, Quantity
from buildbook.core.wording import fixed, plain_number

BOND, INSULATION, DROP = "resistance of the bond", "insulation resistance", "voltage drop"
VOLTAGE = "least test voltage"
CRITICAL, OTHER = "critical", "other"
NOT_BONDED, NOT_INSULATED = (
    "The bond of this fitting was not measured.",
    "The insulation of this circuit was not measured.",
)
BEYOND = "more than the tester can read"
NO_DROP = "The voltage drop of this circuit was not measured."
BONDS = Test("SYS-07", Bonding, (BOND,), NOT_BONDED)
INSULATIONS = Test("SYS-08", Insulation, (INSULATION,), NOT_INSULATED)
DROPS = Test("SYS-09", VoltageDrop, (DROP,), NO_DROP, beside=(Circuit,))
NO_LEADS = "The resistance of the leads is not on record; it is part of the value, which is an upper bound."
AFLOAT = "The hull was in the water, which is a path of its own beside the bond."
NO_SHARE = "The published shares are for direct current; for alternating current none was found."
NOT_LISTED = "What this circuit is for is not on record, so no published limit belongs to it."
NO_CURRENT = "Current measured and current designed for are not both on record, so the load is not known."
NO_AMMETER = "No uncertainty of the ammeter is on record, so it is not part of U."
LIGHT_LOAD = "Only {now} A of {full} A flowed, less than nine tenths. The full drop is larger."


def bonded(evidence: Evidence) -> Iterable[Finding]:
    """SYS-07: every bonded fitting."""
    return each_test(evidence, BONDS, lambda row: _bonded(evidence, BONDS.key(row), row))


def _bonded(evidence: Evidence, key: Key, row: Bonding) -> Iterable[Finding]:
    use = used(evidence, [row], "instrument", "resistance", "ohm", "resistance")
    wanted = limits(evidence, "SYS-07", BOND, place=key.place)
    about = about_row(row, use, "from the fitting to the common point")
    about = replace(about, caps=(*about.caps, *(() if row.ashore else (AFLOAT,))))
    about = replace(about, lacks=step_unknown(evidence, use.instruments, "resistance"))
    if row.leads is None:
        measured = Quantity.combined(row.resistance, "ohm", use.parts, kind=Kind.AT_MOST)
        yield from judge(key, measured, wanted, replace(about, notes=(*about.notes, NO_LEADS)))
        return
    net = without_leads(row.resistance, row.leads)
    both = {"resistance": (row.resistance, "reading with the leads"), "leads": (row.leads, "reading of the leads")}
    measured = Quantity.combined(net, "ohm", by_one_instrument(without_leads, both, use.parts))
    words = f"{plain_number(row.resistance)} Ω less {plain_number(row.leads)} Ω of the leads: {fixed(net, 3)} Ω"
    yield from judge(key, measured, wanted, replace(about, working=(words,)))


def insulated(evidence: Evidence) -> Iterable[Finding]:
    """SYS-08: every circuit under test voltage."""
    return each_test(
        evidence,
        INSULATIONS,
        lambda row: _insulated(evidence, INSULATIONS.key(row), row),
        lambda key: _for_supply(evidence, key),
    )


def _for_supply(evidence: Evidence, key: Key) -> Limits:
    circuit = evidence.one(Circuit, circuit=key.place)
    return limits(evidence, "SYS-08", INSULATION, place=key.place, reference=circuit.supply if circuit else "")


def _insulated(evidence: Evidence, key: Key, row: Insulation) -> Iterable[Finding]:
    values = "" if row.beyond else "resistance"
    use = used(evidence, [row], "instrument", "insulation resistance", "Mohm", values)
    wanted = _for_supply(evidence, key)
    kind = Kind.AT_LEAST if row.beyond else Kind.MEASURED
    measured = Quantity.combined(row.resistance, "Mohm", use.parts, kind=kind)
    more = "more than " if row.beyond else ""
    words = f"{more}{plain_number(row.resistance)} MΩ at {plain_number(row.voltage)} V, {row.between}"
    about = about_row(row, use, f"{plain_number(row.voltage)} V direct voltage", (words,))
    caps = (*about.caps, *(_unlisted(evidence, row.circuit) if wanted.specified is None else ()))
    if wanted.reference is not None and not meets_rule(row.voltage, "V", low=VOLTAGE):
        caps = (*caps, f"Tested at {plain_number(row.voltage)} V only. {rule_limit(VOLTAGE).words}")
    yield from judge(key, measured, wanted, replace(about, caps=caps), observed=BEYOND if row.beyond else "")


def dropped(evidence: Evidence) -> Iterable[Finding]:
    """SYS-09: every circuit under load."""
    return each_test(
        evidence,
        DROPS,
        lambda row: _dropped(evidence, DROPS.key(row), row),
        lambda key: _by_use(evidence, key),
    )


def _by_use(evidence: Evidence, key: Key) -> Limits:
    """The limit of a critical circuit or of another one; a published one only of what is known to be direct current."""
    circuit = evidence.one(Circuit, circuit=key.place)
    if circuit is None or circuit.alternating:
        return Limits(limits(evidence, "SYS-09", DROP, place=key.place).specified)
    use = CRITICAL if circuit.critical else OTHER
    return limits(evidence, "SYS-09", DROP, place=key.place, reference=use)


def _dropped(evidence: Evidence, key: Key, row: VoltageDrop) -> Iterable[Finding]:
    circuit = evidence.one(Circuit, circuit=row.circuit)
    light = _light(row, circuit)
    use = used(evidence, [row], "instrument", "voltage", "V", "source")
    drop = voltage_drop(row.source, row.load)
    words = f"{plain_number(row.source)} V at the source, {plain_number(row.load)} V at the load: {fixed(drop, 2)} %"
    about = about_row(row, use, _method(circuit), (words,), _unlisted(evidence, row.circuit))
    none = (NO_SHARE,) if circuit is not None and circuit.alternating else ()
    about = replace(about, caps=(*about.caps, *light), notes=(*about.notes, *none))
    unknown = step_unknown(evidence, use.instruments, "voltage")
    amperes = used(evidence, [row], "ammeter", "current", "A", "current") if row.ammeter and row.current else None
    if amperes is not None:
        tools = (*about.instruments, *amperes.instruments)
        caps = (*about.caps, *amperes.caps)
        about = replace(about, instruments=tools, notes=(*about.notes, *amperes.notes), caps=caps)
    if light or circuit is None or circuit.current is None or row.current is None:
        measured = Quantity.combined(drop, "%", by_one_instrument(voltage_drop, _volts(row), use.parts))
    else:
        measured, line = _at_full(row, row.current, circuit.current, use, amperes)
        unknown = " ".join(filter(None, (unknown, *(() if amperes is not None and amperes.parts else (NO_AMMETER,)))))
        about = replace(about, working=(*about.working, line))
    yield from judge(key, measured, _by_use(evidence, key), replace(about, lacks=unknown))


def _volts(row: VoltageDrop) -> dict[str, tuple[float, str]]:
    return {"source": (row.source, "voltage at the source"), "load": (row.load, "voltage at the load")}


def _at_full(row: VoltageDrop, current: float, full: float, use: Used, amperes: Used | None) -> tuple[Quantity, str]:
    """The drop at the design current, with what voltmeter and ammeter bring to it, and how it was worked out."""

    def by_volts(source: float, load: float) -> float:
        return drop_at_full_current(source, load, current, full)

    def by_amperes(current: float) -> float:
        return drop_at_full_current(row.source, row.load, current, full)

    parts = by_one_instrument(by_volts, _volts(row), use.parts)
    if parts and amperes is not None and amperes.parts:
        parts = (*parts, *carried(by_amperes, {"current": (current, amperes.parts, "current that flowed")}))
    drop = by_amperes(current)
    line = f"× {plain_number(full)} A / {plain_number(current)} A = {fixed(drop, 2)} % at the design current"
    return Quantity.combined(drop, "%", parts), line


def _method(circuit: Circuit | None) -> str:
    if circuit is None:
        return "measured under load"
    return f"measured under load; {'critical' if circuit.critical else 'not critical'}, {circuit.supply}"


def _unlisted(evidence: Evidence, circuit: str) -> tuple[str, ...]:
    return () if evidence.one(Circuit, circuit=circuit) is not None else (NOT_LISTED,)


def _light(row: VoltageDrop, circuit: Circuit | None) -> tuple[str, ...]:
    """That less flowed than the circuit was designed for, or that nobody can tell; empty where enough flowed."""
    if circuit is None or circuit.current is None or row.current is None:
        return (NO_CURRENT,)
    if meets_rule(100.0 * row.current / circuit.current, "%", low="least load"):
        return ()
    return (LIGHT_LOAD.format(now=plain_number(row.current), full=plain_number(circuit.current)),)
