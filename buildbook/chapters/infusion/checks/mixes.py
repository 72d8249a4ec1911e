"""INF-04 filled before gel, INF-05 hardener of each mix."""

from __future__ import annotations

from collections.abc import Iterable

from buildbook.chapters.infusion.formulas.resin import hardener_share
from buildbook.chapters.infusion.formulas.vacuum import MINUTE
from buildbook.chapters.infusion.records import Infusion, Mix, ResinSheet
from buildbook.chapters.infusion.subjects import minute_step, parts, sheet_limit, sheet_of
from buildbook.chapters.looser import looser_note
from buildbook.chapters.readings import carried
from buildbook.chapters.subjects import absent, limits, used
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period, Verdict
from buildbook.core.judging import About, Limits, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number

MARGIN = "gel time over time to draw in"
HARDENER = "hardener by mass"
SAMPLE = "The gel time is that of a beaker beside the mould; in a thin laminate on a cool mould gel comes later."


def _mixes(evidence: Evidence, check: str, quantity: str) -> Iterable[tuple[Key, Mix | None]]:
    """Every mix of every part with its key; None where a part has none, or its row cannot be used."""
    for part in parts(evidence, check):
        names = [row.mix for row in evidence.of(Mix, part=part)]
        names += [row.get("mix") for row in evidence.lost(Mix) if row.get("part") == part and row.get("mix")]
        for mix in dict.fromkeys(names):
            yield Key(check, quantity, part, mix), evidence.one(Mix, part=part, mix=mix)
        if not names:
            yield Key(check, quantity, part), None


def filled_before_gel(evidence: Evidence) -> Iterable[Finding]:
    """INF-04: every mix was drawn in well before it would gel."""
    for key, row in _mixes(evidence, "INF-04", MARGIN):
        wanted = limits(evidence, key.check, MARGIN, place=key.place, condition=key.condition)
        if row is None:
            yield absent(evidence, Mix, key, Verdict.NO_RECORD, "No usable row of a mix.", wanted)
        elif row.closed is None or row.gelled is None:
            what = "when the last of it was drawn in" if row.closed is None else "when its beaker gelled"
            words = f"It was not written down {what}."
            yield unjudged(key, Verdict.NO_RECORD, words, About(at=(row.where,)), wanted)
        else:
            draw, gel = (row.closed - row.mixed) / MINUTE, (row.gelled - row.mixed) / MINUTE
            share = gel / draw
            step = minute_step()
            made = (
                Part("minute of the gel", step / draw),
                Part("minute of the last of it", step * share / draw),
                Part("minute of mixing", step * abs(share - 1.0) / draw),
            )
            about = About(
                method=f"clock in the mix sheet, {row.station}",
                period=Period(row.mixed, max(row.closed, row.gelled)),
                at=(row.where,),
                working=(f"{plain_number(gel)} min to gel / {plain_number(draw)} min to draw in = {fixed(share, 2)}",),
                notes=(SAMPLE, *looser_note(wanted)),
            )
            yield from judge(key, Quantity.combined(share, "1", made), wanted, about)


def hardener(evidence: Evidence) -> Iterable[Finding]:
    """INF-05: each mix got as much hardener as the maker of the resin asks for."""
    for key, row in _mixes(evidence, "INF-05", HARDENER):
        wanted, caps = _wanted(evidence, key)
        if row is None:
            yield absent(evidence, Mix, key, Verdict.NO_RECORD, "No usable row of a mix.", wanted)
            continue
        resin = used(evidence, [row], "resin_balance", "mass", "kg", "resin_mass")
        other = used(evidence, [row], "hardener_balance", "mass", "kg", "hardener_mass")
        share = hardener_share(row.hardener_mass, row.resin_mass)
        made: tuple[Part, ...] = ()
        if resin.parts and other.parts:
            made = carried(
                hardener_share,
                {
                    "hardener": (row.hardener_mass, other.parts, "balance of the hardener"),
                    "resin": (row.resin_mass, resin.parts, "balance of the resin"),
                },
            )
        about = About(
            method="both weighed",
            period=Period(row.mixed, row.mixed),
            instruments=tuple(dict.fromkeys((*resin.instruments, *other.instruments))),
            at=(row.where,),
            working=(f"100 × {row.hardener_mass:g} kg / {row.resin_mass:g} kg = {fixed(share, 3)} %",),
            notes=(*resin.notes, *other.notes),
            caps=(*caps, *resin.caps, *other.caps),
        )
        yield from judge(key, Quantity.combined(share, "%", made), wanted, about)


def _wanted(evidence: Evidence, key: Key) -> tuple[Limits, tuple[str, ...]]:
    """The builder's limit, else the range of the resin's data sheet; and why none may be known."""
    specified = evidence.specification.limit(key.check, HARDENER, place=key.place, condition=key.condition)
    if specified is not None:
        return Limits(specified), ()
    sheet = sheet_of(evidence, key.place)
    if sheet is not None:
        words = "hardener by the data sheet of the resin"
        limit = sheet_limit(sheet, "hardener_low", "%", words, sheet.hardener_low, sheet.hardener_high)
        return Limits(limit), ()
    if evidence.one(Infusion, part=key.place) is None:
        return Limits(), ("Which resin the part was infused with is not known.",)
    return Limits(), (f"Its resin has no usable row in {ResinSheet.table.file}.",)
