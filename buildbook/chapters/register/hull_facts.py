"""What hull.toml and the reports say that cannot be so: unknown categories, dates out of order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buildbook.core.evidence import Evidence
from buildbook.core.fault import Fault
from buildbook.core.wording import listed
from buildbook.sources import table

PRINTED = "It is printed as it is."
DATES_HELD = "Whether the coded month of the hull number fits is no better than inconclusive."
HOLDS = "REG-01"


def known_category(evidence: Evidence) -> Iterable[Fault]:
    """A design category that is none of those of the directive."""
    hull, known = evidence.hull, [row["category"] for row in table("design_categories")]
    if hull.category and hull.category not in known:
        capital = hull.category.upper()
        meant = f" (did you mean '{capital}'?)" if capital in known else ""
        expected = f"a design category: {listed(known, 'or')}"
        yield Fault(hull.at("hull.category"), expected, f"'{hull.category}'{meant}", PRINTED)


def events_in_order(evidence: Evidence) -> Iterable[Fault]:
    """Dates of her own that cannot be true beside each other, or that lie after the day of the book."""
    hull = evidence.hull
    for row in table("hull_events"):
        later, earlier = hull.date_of(row["event"]), hull.date_of(row["follows"])
        if later is not None and earlier is not None and later < earlier:
            expected = f"a date not before {row['follows']} ({earlier.isoformat()})"
            yield Fault(hull.at(f"dates.{row['event']}"), expected, later.isoformat(), DATES_HELD)
    for name, day in hull.dates:
        if hull.as_of is not None and day > hull.as_of:
            expected = f"a date up to as_of ({hull.as_of.isoformat()})"
            yield Fault(hull.at(f"dates.{name}"), expected, day.isoformat(), DATES_HELD)


def held_by_her_dates(evidence: Evidence) -> Evidence:
    """The evidence with the check of her identity held where her own dates contradict each other."""
    doubts = tuple((HOLDS, f"{fault.where}: {fault.found}.") for fault in events_in_order(evidence))
    specification = evidence.specification
    return replace(evidence, specification=replace(specification, unread=(*specification.unread, *doubts)))


CROSS_CHECKS = (known_category, events_in_order)
