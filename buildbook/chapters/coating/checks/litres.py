"""COA-09 litres against area: the film they could have made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from buildbook.chapters.coating.formulas.film import dry_film_from_wet, implied_dry_film
from buildbook.chapters.coating.records import Coat, Product
from buildbook.chapters.coating.subjects import missing_layers, painted_zones
from buildbook.chapters.shared_records import Place
from buildbook.chapters.subjects import absent, limits, period, planned_places
from buildbook.core.evidence import Evidence
from buildbook.core.finding import NO_MEASUREMENT, Finding, Key, Verdict
from buildbook.core.grammar import counted
from buildbook.core.judging import About, judge, unjudged
from buildbook.core.quantity import Part, Quantity
from buildbook.core.wording import fixed, plain_number
from buildbook.formulas import OutOfRange
from buildbook.formulas.uncertainty import rectangular
from buildbook.sources import table

FROM_LITRES = "film from litres"


def film_from_litres(evidence: Evidence) -> Iterable[Finding]:
    """COA-09: the litres that were mixed could have made the film that was measured."""
    for zone in sorted({*painted_zones(evidence, (Coat, "zone")), *planned_places(evidence, "COA-09")}):
        key = Key("COA-09", FROM_LITRES, zone)
        rows = evidence.of(Coat, zone=zone)
        place = evidence.one(Place, place=zone)
        if not rows:
            yield absent(evidence, Coat, key, Verdict.NO_RECORD, "No coat on this zone is on record.")
        elif place is None or place.area is None:
            words = "The area of this zone is not given."
            wanted = limits(evidence, key.check, FROM_LITRES, place=zone)
            yield unjudged(key, Verdict.NO_RECORD, words, About(at=tuple(row.where for row in rows)), wanted)
        else:
            yield from _litres(evidence, key, rows, place.area)


def _litres(evidence: Evidence, key: Key, rows: Sequence[Coat], area: float) -> Iterable[Finding]:
    total, slope, working = 0.0, 0.0, []
    at = tuple(row.where for row in rows)
    wanted = limits(evidence, key.check, FROM_LITRES, place=key.place)
    for row in rows:
        product = evidence.one(Product, product=row.product)
        if product is None or row.litres is None or row.loss is None:
            what = "the data sheet row of its product" if product is None else "litres or loss"
            yield unjudged(key, Verdict.NO_RECORD, f"Coat {row.coat}: {what} not on record.", About(at=at), wanted)
            return
        try:
            film = implied_dry_film(row.litres, area, product.volume_solids, row.loss)
        except OutOfRange as reason:
            yield unjudged(key, Verdict.INCONCLUSIVE, f"Coat {row.coat}: {reason}.", About(at=at), wanted)
            return
        share = f"{product.volume_solids:g} % × {row.litres:g} L × (1 − {row.loss:g} %)"
        working.append(f"{row.coat}: 10 × {share} / {area:g} m² = {fixed(film, 1)} µm")
        total += film
        slope += implied_dry_film(row.litres, area, product.volume_solids) / 100.0
    about = About(
        method="litres mixed before thinner, volume solids and estimated loss over the painted area",
        period=period(row.started for row in rows),
        at=at,
        working=(*working, f"sum of {counted(len(rows), 'coat')}: {fixed(total, 1)} µm", *_by_comb(evidence, rows)),
        notes=(
            f"The loss is the painter's estimate, so {NO_MEASUREMENT} of film.",
            f"It is taken as good to {plain_number(_half_width())} points to either side, half the range a public page "
            "gives for spraying: a rectangle (divided by √3), and the same in all coats. "
            "Litres, solids and area are taken as they stand.",
        ),
        caps=tuple(f"Layer {layer} has no row in the coating log." for _, layer in missing_layers(evidence, key.place)),
    )
    guessed = (Part("estimated loss", slope * rectangular(_half_width())),)
    yield from judge(key, Quantity.combined(total, "um", guessed), wanted, about)


def _half_width() -> float:
    """How far an estimated loss may be off to either side [%]."""
    row = next(row for row in table("loss_ranges") if row["work"] == "spraying")
    return (float(row["high"]) - float(row["low"])) / 2.0


def _by_comb(evidence: Evidence, rows: Sequence[Coat]) -> tuple[str, ...]:
    """The film that the wet-film readings would leave, said beside where every coat has one."""
    films = []
    for row in rows:
        product = evidence.one(Product, product=row.product)
        if product is None or row.wet_film is None:
            return ()
        try:
            films.append(dry_film_from_wet(row.wet_film, product.volume_solids, row.thinning or 0.0))
        except OutOfRange:
            return ()
    return (f"by the wet-film comb, solids and thinning: {fixed(math.fsum(films), 1)} µm",)
