"""Places in the folder: their order is complete, so that nothing printed hangs on chance."""

from __future__ import annotations

from itertools import permutations

from buildbook.core.where import Where


def test_no_two_places_are_alike_in_order():
    places = (
        Where("hull.toml", 12, part="limits[1]"),
        Where("hull.toml", 12, part="limits[2]"),
        Where("plan.xlsx", 12, "check", "one"),
        Where("plan.xlsx", 12, "check", "two"),
    )
    for mixed in permutations(places):
        assert tuple(sorted(mixed, key=lambda place: place.order)) == places
