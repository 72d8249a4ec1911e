"""From a chart's coordinates to numbers, and the ticks of its axes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from buildbook.core.chart import Axis, Chart, Coordinate, Rule, Series
from buildbook.core.wording import plain_number, unit_text

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
EPOCH = datetime(1970, 1, 1)  # what the chart library counts days from
ROOM = 0.06
GROUND = 2.5  # times the room: how far forbidden ground is shown at least
MANY_DECADES = 3.5


@dataclass(frozen=True, slots=True)
class Scale:
    """One axis of a chart as numbers: datetimes as days, categories as 0, 1, 2 …; `low` to `high` is what is shown.

    `downwards` where the first category stands above; `whole` where all readings are whole numbers, so ticks are too.
    """

    axis: Axis
    low: float
    high: float
    categories: tuple[str, ...] = ()
    zone: tzinfo | None = None
    downwards: bool = False
    whole: bool = False

    def number(self, value: Coordinate) -> float:
        """One coordinate as the number it has on this axis."""
        if self.axis.kind == "category":
            return float(self.categories.index(str(value)))
        if isinstance(value, datetime):
            plain = value if value.tzinfo is None else value.astimezone(UTC).replace(tzinfo=None)
            return (plain - EPOCH) / timedelta(days=1)
        number = float(value)
        return math.nan if self.axis.kind == "log" and number <= 0.0 else number

    def fraction(self, number: float) -> float:
        """Where a number stands: 0 at the left or lower end of the axis, 1 at the other."""
        if self.axis.kind == "log":
            number, low, high = math.log10(number), math.log10(self.low), math.log10(self.high)
        else:
            low, high = self.low, self.high
        share = (number - low) / (high - low)
        return 1.0 - share if self.downwards else share

    @property
    def title(self) -> str:
        """The words at the axis, with the unit in brackets and for time the year."""
        unit = unit_text(self.axis.unit)
        words = f"{self.axis.title} [{unit}]" if unit else self.axis.title
        if self.axis.kind != "time":
            return words
        years = {moment(number, self.zone).year for number in (self.low, self.high)}
        return ", ".join(part for part in (words, "–".join(str(year) for year in sorted(years))) if part)


def drawable(chart: Chart) -> Chart:
    """The chart without readings that have no place on its axes: not a number, or zero and less on a logarithmic axis.

    An infinite end of a span stays. Breaks move with the readings that are left.
    """
    return replace(chart, series=tuple(_drawable(series, chart) for series in chart.series))


def _drawable(series: Series, chart: Chart) -> Series:
    def has_place(value: Coordinate, axis: Axis) -> bool:
        if not isinstance(value, int | float) or axis.kind == "category":
            return True
        return (math.isfinite(value) or series.style == "spans") and (axis.kind != "log" or value > 0.0)

    points = list(zip(series.x, series.y, strict=True))
    kept = [index for index, (x, y) in enumerate(points) if has_place(x, chart.x) and has_place(y, chart.y)]
    if len(kept) == len(points):
        return series
    return replace(
        series,
        x=tuple(series.x[index] for index in kept),
        y=tuple(series.y[index] for index in kept),
        y_error=tuple(series.y_error[index] for index in kept) if series.y_error else (),
        labels=tuple(series.labels[index] for index in kept) if series.labels else (),
        breaks=tuple(sum(index < cut for index in kept) for cut in series.breaks),
    )


def scales(chart: Chart) -> tuple[Scale, Scale]:
    """The two axes of a chart, wide enough for everything that is drawn."""
    return _scale(chart, "x"), _scale(chart, "y")


def moment(number: float, zone: tzinfo | None) -> datetime:
    """The date and time of a number on a time axis, to the nearest second."""
    plain = EPOCH + timedelta(seconds=round(number * 86400.0))
    return plain if zone is None else plain.replace(tzinfo=UTC).astimezone(zone)


def _scale(chart: Chart, which: str) -> Scale:
    axis = chart.x if which == "x" else chart.y
    values = [value for series in chart.series for value in (series.x if which == "x" else series.y)]
    if axis.kind == "category":
        values += [end for end in _further(chart, which) if isinstance(end, str)]
        named = dict.fromkeys([*axis.categories, *(str(value) for value in values)])
        return Scale(axis, -0.5, max(len(named), 1) - 0.5, tuple(named), downwards=which == "y")
    zone = next((value.tzinfo for value in values if isinstance(value, datetime)), None)
    plain = Scale(axis, 0.0, 1.0, zone=zone)
    numbers = [number for number in (plain.number(value) for value in values) if math.isfinite(number)]
    whole = bool(numbers) and all(number.is_integer() for number in numbers)
    numbers += [number for number in map(plain.number, _further(chart, which)) if math.isfinite(number)]
    low, high = _ends(axis, numbers, [rule for rule in chart.rules if rule.axis == which])
    return Scale(axis, low, high, zone=zone, whole=whole)


def _further(chart: Chart, which: str) -> Iterable[Coordinate]:
    """What else has to be on the axis: rules, error bars, the foot of bars, spans."""
    other = "y" if which == "x" else "x"
    yield from (rule.value for rule in chart.rules if rule.axis == which)
    for rule in chart.rules:
        if rule.axis == other:
            yield from (end for end in (rule.start, rule.end) if end is not None)
    if which == "x":
        for span in chart.spans:
            yield from (span.start, span.end)
    across = chart.y if which == "x" else chart.x
    for series in chart.series:
        if series.style == "bars" and (across.kind == "category" or which == "y") and chart.y.kind != "log":
            yield 0.0
        if which == "y":
            for value, error in zip(series.y, series.y_error, strict=False):
                if isinstance(value, int | float):
                    yield from (value - error, value + error)


def _ends(axis: Axis, numbers: list[float], rules: Sequence[Rule]) -> tuple[float, float]:
    """The ends of an axis: as given, else with a little room around what is drawn, more where ground is forbidden, so
    that it is seen to go on and words can stand in it.

    An axis of values that are zero or more never begins below zero.
    """
    if not numbers:
        numbers = [1.0, 10.0] if axis.kind == "log" else [0.0, 1.0]
    low, high = min(numbers), max(numbers)
    floors = [float(rule.value) for rule in rules if rule.forbidden == "below"]
    tops = [float(rule.value) for rule in rules if rule.forbidden == "above"]
    if axis.kind == "log":
        room = max(math.log10(high / low) * ROOM, 0.04)
        start = min([low / 10.0**room, *(floor / 10.0 ** (room * GROUND) for floor in floors)])
        end = max([high * 10.0**room, *(top * 10.0 ** (room * GROUND) for top in tops)])
    else:
        alone = 0.25 if axis.kind == "time" else max(abs(high) * 0.1, 0.5)
        room = ROOM * (high - low) / (3.0 if axis.kind == "time" else 1.0) or alone
        start = min([low - room, *(floor - room * GROUND for floor in floors)])
        end = max([high + room, *(top + room * GROUND for top in tops)])
        start = 0.0 if start < 0.0 <= low else start
        end = 0.0 if low < high == 0.0 else end
    return (start if axis.low is None else axis.low, end if axis.high is None else axis.high)


def ticks(scale: Scale, length: float) -> tuple[list[float], list[str]]:
    """Where the ticks of an axis stand and what they say; `length` is the length of the axis [pt]."""
    if scale.axis.kind == "category":
        return [float(index) for index in range(len(scale.categories))], list(scale.categories)
    if scale.axis.kind == "time":
        return _time_ticks(scale, length)
    if scale.axis.kind == "log":
        places = _log_places(scale)
    else:
        from matplotlib.ticker import MaxNLocator

        most = max(3, min(8, round(length / 27.0)))
        locator = MaxNLocator(most, steps=[1, 2, 5, 10], integer=scale.whole)
        places = [float(place) for place in locator.tick_values(scale.low, scale.high)]
    slack = 1e-9 * (scale.high - scale.low)
    places = [place + 0.0 for place in places if scale.low - slack <= place <= scale.high + slack]
    return places, [_grouped(place) for place in places]


def _log_places(scale: Scale) -> list[float]:
    low, high = math.log10(scale.low), math.log10(scale.high)
    if high - low > MANY_DECADES:
        steps: tuple[float, ...] = (1.0,)
    else:
        steps = (1.0, 2.0, 5.0) if high - low > 1.3 else (1.0, 2.0, 3.0, 5.0, 7.0)
    return [step * 10.0**power for power in range(math.floor(low), math.ceil(high) + 1) for step in steps]


def _grouped(value: float) -> str:
    """A tick's number; five digits and more in groups of three."""
    text = plain_number(value, 6)
    whole, point, rest = text.partition(".")
    if len(whole.lstrip("−")) > 4:
        whole = f"{int(whole.replace('−', '-')):,}".replace("-", "−").replace(",", "\u00a0")
    return whole + point + rest


def _time_ticks(scale: Scale, length: float) -> tuple[list[float], list[str]]:
    from matplotlib.dates import AutoDateLocator

    zone = scale.zone
    locator = AutoDateLocator(tz=zone or UTC, minticks=3, maxticks=max(4, round(length / 36.0)))
    ends = (moment(scale.low, zone or UTC), moment(scale.high, zone or UTC))
    places = [float(p) for p in locator.tick_values(*ends) if scale.low <= p <= scale.high]
    moments = [moment(place, zone) for place in places]
    return places, _time_words(moments)


def _time_words(moments: Sequence[datetime]) -> list[str]:
    """Short words for the ticks of a time axis; the day (or year) stands in a second line where it is new.

    >>> _time_words([datetime(2026, 3, 2), datetime(2026, 3, 2, 12), datetime(2026, 3, 3)])
    ['00:00\\n2 Mar', '12:00', '00:00\\n3 Mar']
    """
    clock = "%H:%M:%S" if any(now.second for now in moments) else "%H:%M"
    with_hours = any((now.hour, now.minute, now.second) != (0, 0, 0) for now in moments)
    monthly = len(moments) > 1 and all(now.day == 1 for now in moments) and not with_hours
    words: list[str] = []
    for index, now in enumerate(moments):
        month = MONTHS[now.month - 1]
        first, second = (month, str(now.year)) if monthly else (f"{now.day} {month}", "")
        if with_hours:
            first, second = now.strftime(clock), first
        before = moments[index - 1] if index else None
        same = before is not None and (before.year == now.year if monthly else before.date() == now.date())
        words.append(first if same or not second else f"{first}\n{second}")
    return words
