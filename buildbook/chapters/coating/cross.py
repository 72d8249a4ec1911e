"""Rows of the coating tables that contradict each other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from buildbook.chapters.coating.odd_rows import (
    colour_of_another_role,
    doubtful_colours,
    gloss_at_another_angle,
    unclear_reopening,
    unlike_words,
    unreadable_fractures,
)
from buildbook.chapters.coating.records import Batch, Coat, MetalPart
from buildbook.chapters.coating.subjects import METALS
from buildbook.chapters.contradictions import EFFECT
from buildbook.chapters.shared_records import Place
from buildbook.chapters.surplus import more_than_planned
from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import listed, moment

BY_BOTH = "The part is judged by the limits of both metals, and nothing better than inconclusive is said of it."


def coats_in_order(evidence: Evidence) -> Iterable[Fault]:
    """Coats on one zone follow each other: one layer number each, and no coat starts before the one below ended."""
    by_zone: dict[str, list[Coat]] = {}
    for coat in evidence.of(Coat):
        by_zone.setdefault(coat.zone, []).append(coat)
    for coats in by_zone.values():
        ordered = sorted(coats, key=lambda coat: (coat.layer, coat.where.order))
        for below, above in pairwise(ordered):
            if below.layer == above.layer:
                for coat, other in ((below, above), (above, below)):
                    words = f"one coat with layer {coat.layer} on zone {coat.zone}"
                    yield Fault(coat.cell("layer"), words, f"another in line {other.where.line}", EFFECT)
            elif above.started < below.finished:
                for coat, name, words in (
                    (below, "finished", f"a time not after the next coat started ({moment(above.started)})"),
                    (above, "started", f"a time not before the coat below was finished ({moment(below.finished)})"),
                ):
                    other = above if coat is below else below
                    found = f"{moment(getattr(coat, name))} (see line {other.where.line})"
                    yield Fault(coat.cell(name), words, found, EFFECT)


def batches_of_their_product(evidence: Evidence) -> Iterable[Fault]:
    """The batch of a coat is a batch of its product (thinners may serve several products)."""
    for coat in evidence.of(Coat):
        for name in ("base_batch", "hardener_batch"):
            number = getattr(coat, name)
            others = (
                sorted({row.product for row in evidence.of(Batch, batch=number)} - {coat.product}) if number else []
            )
            if others:
                words = f"a batch of {coat.product}"
                yield Fault(coat.cell(name), words, f"{number}, a batch of {listed(others)}", EFFECT)


def metal_of_its_place(evidence: Evidence) -> Iterable[Fault]:
    """A metal part is of the metal that the list of places names."""
    for row in evidence.of(MetalPart):
        place = evidence.one(Place, place=row.part)
        if place is not None and place.substrate in METALS and place.substrate != row.metal:
            words = f"{place.substrate}, as in {place.where}"
            yield Fault(row.cell("metal"), words, row.metal, BY_BOTH, row_kept=True)


CROSS_CHECKS = (
    coats_in_order,
    batches_of_their_product,
    metal_of_its_place,
    unlike_words,
    doubtful_colours,
    unreadable_fractures,
    unclear_reopening,
    gloss_at_another_angle,
    colour_of_another_role,
    more_than_planned,
)
