"""Until when the sheet may be used: the day of its data, and when its readings are older than twelve months."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from buildbook.core.hull import Hull
from buildbook.core.listing import Saying
from buildbook.core.wording import listed


def a_year_after(day: date) -> date:
    """The same day of the next year; 1 March after 29 February.

    >>> a_year_after(date(2024, 2, 29))
    datetime.date(2025, 3, 1)
    """
    try:
        return day.replace(year=day.year + 1)
    except ValueError:
        return date(day.year + 1, 3, 1)


def older_than_a_year(day: date, as_of: date) -> bool:
    """Whether a day lies more than twelve months before another.

    >>> older_than_a_year(date(2025, 6, 15), date(2026, 6, 15)), older_than_a_year(date(2025, 6, 14), date(2026, 6, 15))
    (False, True)
    """
    return as_of > a_year_after(day)


def validity(sayings: Sequence[Saying], hull: Hull, frames: Mapping[str, str]) -> tuple[str, ...]:
    """Of what days the readings behind the texts are, and when they are older than twelve months."""
    as_of = hull.as_of
    said = [frames["dated"].format(as_of=as_of.isoformat()) if as_of else frames["undated"]]
    if not sayings:
        return (*said, frames["none"])
    first, last = min(one.first_day for one in sayings), max(one.last_day for one in sayings)
    said.append(frames["span"].format(first=first.isoformat(), last=last.isoformat()))
    delivered = hull.date_of("delivered")
    if delivered is not None and last < delivered:
        said.append(frames["before"].format(delivered=delivered.isoformat()))
    if as_of is None:
        return tuple(said)
    old = [one for one in sayings if older_than_a_year(one.first_day, as_of)]
    if old:
        names = listed(one.name for one in old)
        said.append(frames["old"].format(as_of=as_of.isoformat(), old=len(old), total=len(sayings), names=names))
    else:
        until = a_year_after(first) + timedelta(days=1)
        said.append(frames["fresh"].format(as_of=as_of.isoformat(), until=until.isoformat()))
    return tuple(said)
