"""Wet film, dry film, litres and area; what a set of thickness readings says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.formulas import OutOfRange, require_range
from buildbook.formulas.statistics import count_above, count_below, summary

_ON_THE_LINE = 1e-9  # rounding of a division must not add a reading or an area


@dataclass(frozen=True, slots=True)
class SamplingRow:
    """One row of a printed sampling plan, for areas above `above` and up to `up_to` [m2]; infinity where it has no end.

    The row asks for `number` (readings, or areas to be measured). Where `each_further` [m2] is given, every
    such piece of the area beyond `above`, or part of one, adds `further_number`. `repeats` of the readings
    may be repeated, or `repeats_share` [%] of the number asked for where the row prints no count.
    """

    above: float
    up_to: float
    number: int
    repeats: int | None = None
    repeats_share: float = 0.0
    each_further: float | None = None
    further_number: int = 0


@dataclass(frozen=True, slots=True)
class Sampling:
    """How many readings (or areas) a plan asks for [count], and how many readings may be repeated [count]."""

    number: int
    repeats: int


@dataclass(frozen=True, slots=True)
class FilmStatistics:
    """Thickness readings of one place against a nominal film: lengths [um], counts and shares [1].

    `below_nominal` counts every reading under the nominal film, `below_floor` those of them under the floor.
    `above_maximum` is None where no maximum was given, `sd` where there is one reading only.
    """

    n: int
    mean: float
    sd: float | None
    minimum: float
    maximum: float
    below_nominal: int
    share_below_nominal: float
    floor: float
    below_floor: int
    share_below_floor: float
    above_maximum: int | None


@dataclass(frozen=True, slots=True)
class SpotStatistics:
    """Spot means of one area and their mean, with the extremes of spots and of single readings [all um]."""

    spots: tuple[float, ...]
    mean: float
    lowest_spot: float
    highest_spot: float
    lowest_reading: float
    highest_reading: float
    fewest_readings: int


def volume_solids_thinned(volume_solids: float, thinning: float) -> float:
    """Solids by volume of paint to which thinner was added.

    Args:
        volume_solids: solids by volume of the mixed paint as supplied [%].
        thinning: thinner added, in volumes per 100 volumes of mixed paint [%].
    Returns:
        Solids by volume of what is sprayed [%].
    Range:
        Volume solids above 0 and up to 100 %; thinning 0 to 100 %.
    Source:
        Arithmetic of volumes (practice).
    Example:
        >>> round(volume_solids_thinned(60.0, 20.0), 1)
        50.0
    """
    require_range("volume solids", volume_solids, "%", 0.0, 100.0, above=True)
    require_range("thinning", thinning, "%", 0.0, 100.0)
    return volume_solids / (1.0 + thinning / 100.0)


def dry_film_from_wet(wet_film: float, volume_solids: float, thinning: float = 0.0) -> float:
    """Dry film that a wet film leaves.

    Args:
        wet_film: thickness of the wet film [um].
        volume_solids: solids by volume of the mixed paint as supplied [%].
        thinning: thinner added, in volumes per 100 volumes of mixed paint [%].
    Returns:
        Dry film thickness [um].
    Range:
        Wet film of zero or more; solids and thinning as for thinned volume solids.
    Source:
        Paint-company technical note on spreading rate (read).
    Example:
        >>> dry_film_from_wet(100.0, 50.0)
        50.0
    """
    require_range("wet film", wet_film, "um", 0.0)
    return wet_film * volume_solids_thinned(volume_solids, thinning) / 100.0


def wet_film_for_dry(dry_film: float, volume_solids: float, thinning: float = 0.0) -> float:
    """Wet film to put on for a wanted dry film.

    Args:
        dry_film: wanted dry film thickness [um].
        volume_solids: solids by volume of the mixed paint as supplied [%].
        thinning: thinner added, in volumes per 100 volumes of mixed paint [%].
    Returns:
        Wet film thickness [um].
    Range:
        Dry film of zero or more; solids and thinning as for thinned volume solids.
    Source:
        Paint-company technical note on spreading rate (read).
    Example:
        >>> round(wet_film_for_dry(125.0, 71.0))
        176
    """
    require_range("dry film", dry_film, "um", 0.0)
    return 100.0 * dry_film / volume_solids_thinned(volume_solids, thinning)


def wet_film_from_spreading_rate(spreading_rate: float) -> float:
    """Wet film when a litre is spread over so many square metres: 1000 / rate.

    Args:
        spreading_rate: area covered per litre as sprayed [m2/L].
    Returns:
        Mean wet film thickness [um].
    Range:
        Above zero.
    Source:
        Painting-advice page of 2014 (read).
    Example:
        >>> wet_film_from_spreading_rate(8.0)
        125.0
    """
    require_range("spreading rate", spreading_rate, "m2/L", 0.0, above=True)
    return 1000.0 / spreading_rate


def theoretical_spreading_rate(volume_solids: float, dry_film: float) -> float:
    """Area that a litre covers at a dry film thickness, with nothing lost.

    Args:
        volume_solids: solids by volume of the paint as counted in litres [%].
        dry_film: dry film thickness [um].
    Returns:
        Theoretical spreading rate [m2/L].
    Range:
        Volume solids above 0 and up to 100 %; dry film above zero.
    Source:
        Paint-company notes on theoretical spreading rate (read).
    Example:
        >>> round(theoretical_spreading_rate(71.0, 125.0), 1)
        5.7
    """
    require_range("volume solids", volume_solids, "%", 0.0, 100.0, above=True)
    require_range("dry film", dry_film, "um", 0.0, above=True)
    return 10.0 * volume_solids / dry_film


def implied_dry_film(litres: float, area: float, volume_solids: float, loss: float = 0.0) -> float:
    """Mean dry film that the litres used would leave on the painted area.

    Args:
        litres: mixed paint used, before thinner was added [L].
        area: painted area [m2].
        volume_solids: solids by volume of the mixed paint as supplied [%].
        loss: share of the paint that did not end on the surface [%].
    Returns:
        Mean dry film thickness [um].
    Range:
        Litres of zero or more; area above zero; solids above 0 and up to 100 %; loss 0 to 100 %.
    Source:
        Paint-company notes on theoretical spreading rate, solved for the film (read).
    Example:
        >>> round(implied_dry_film(20.0, 100.0, 50.0, 40.0), 1)
        60.0
    """
    require_range("litres", litres, "L", 0.0)
    require_range("area", area, "m2", 0.0, above=True)
    require_range("volume solids", volume_solids, "%", 0.0, 100.0, above=True)
    require_range("loss", loss, "%", 0.0, 100.0)
    return 10.0 * volume_solids * litres * (1.0 - loss / 100.0) / area


def litres_needed(area: float, volume_solids: float, dry_film: float, loss: float = 0.0) -> float:
    """Mixed paint needed for an area at a dry film thickness.

    Args:
        area: area to paint [m2].
        volume_solids: solids by volume of the mixed paint as supplied [%].
        dry_film: wanted dry film thickness [um].
        loss: share of the paint that will not end on the surface [%].
    Returns:
        Mixed paint, before thinner is added [L].
    Range:
        Area of zero or more; solids above 0 and up to 100 %; dry film above zero; loss from 0 to below 100 %.
    Source:
        Paint-company notes on theoretical spreading rate (read).
    Example:
        >>> round(litres_needed(100.0, 50.0, 60.0, 40.0), 1)
        20.0
    """
    require_range("area", area, "m2", 0.0)
    require_range("loss", loss, "%", 0.0, 100.0)
    if loss == 100.0:
        raise OutOfRange("loss", loss, "0 to below 100 %")
    return area / theoretical_spreading_rate(volume_solids, dry_film) / (1.0 - loss / 100.0)


def corrected_for_profile(readings: Sequence[float], correction: float) -> tuple[float, ...]:
    """Readings less the allowance for a blasted profile; nothing on plastic and smooth aluminium.

    Args:
        readings: gauge readings [um].
        correction: allowance for the profile, from the printed table [um].
    Returns:
        Corrected readings, in the same order [um].
    Range:
        Correction of zero or more.
    Source:
        ISO 19840:2012 (second-hand: comparison by an inspector).
    Example:
        >>> corrected_for_profile([120.0, 131.0], 25.0)
        (95.0, 106.0)
    """
    require_range("correction", correction, "um", 0.0)
    return tuple(reading - correction for reading in readings)


def film_statistics(
    readings: Sequence[float], nominal: float, floor_share: float, maximum: float | None = None
) -> FilmStatistics:
    """What a set of thickness readings says against a nominal film: for the 80/20 and 90/10 rules.

    Args:
        readings: dry film thickness readings, corrected, without extra ones taken on thin spots [um].
        nominal: nominal dry film thickness [um].
        floor_share: floor as a share of nominal; 0.8 in an 80/20 rule, 0.9 in a 90/10 rule [1].
        maximum: greatest thickness allowed, if there is one [um].
    Returns:
        Number, mean, extremes, counts and shares [um and 1]; a reading on a limit is not below it.
    Range:
        One reading or more; nominal above zero; floor above 0 and up to 1.
    Source:
        ISO 19840:2012, the quantities of its acceptance rule (second-hand); sample standard deviation.
    Example:
        >>> film_statistics([95.0, 119.0, 126.0, 131.0], 120.0, 0.8).below_nominal
        2
    """
    if not readings:
        raise OutOfRange("number of readings", 0, "1 or more")
    for reading in readings:
        require_range("reading", reading, "um")
    require_range("nominal film", nominal, "um", 0.0, above=True)
    require_range("floor", floor_share, "of nominal", 0.0, 1.0, above=True)
    whole = summary(readings)
    below_nominal = count_below(readings, nominal)
    below_floor = count_below(readings, floor_share * nominal)
    return FilmStatistics(
        n=whole.n,
        mean=whole.mean,
        sd=whole.sd,
        minimum=whole.minimum,
        maximum=whole.maximum,
        below_nominal=below_nominal,
        share_below_nominal=below_nominal / whole.n,
        floor=floor_share * nominal,
        below_floor=below_floor,
        share_below_floor=below_floor / whole.n,
        above_maximum=None if maximum is None else count_above(readings, maximum),
    )


def required_number(area: float, rows: Sequence[SamplingRow]) -> Sampling:
    """Readings (or areas to be measured) that a sampling plan asks for on an area.

    Args:
        area: area under inspection, or length for a plan by length [m2].
        rows: the printed plan, one row per range of area [table].
    Returns:
        Number asked for and number that may be repeated [count].
    Range:
        Areas that the table lists; a larger one must be split first.
    Source:
        ISO 19840:2012, sampling plan (rows from memory, two of them read in a trade journal); SSPC-PA 2 and
        IMO MSC.215(82), annex 3 use the same form (read).
    Example:
        >>> plan = [SamplingRow(30, 100, 30, 6), SamplingRow(100, 1000, 30, None, 20, 100, 10)]
        >>> required_number(500.0, plan)
        Sampling(number=70, repeats=14)
    """
    require_range("area", area, "m2", 0.0, above=True)
    for row in rows:
        if row.above < area <= row.up_to:
            break
    else:
        largest = max((row.up_to for row in rows), default=0.0)
        least = min((row.above for row in rows), default=0.0)
        listed = f"areas the sampling plan lists, above {least:g} and up to {largest:g} m2"
        raise OutOfRange("area", area, listed)
    number = row.number
    if row.each_further is not None:
        require_range("further area of the plan", row.each_further, "m2", 0.0, above=True)
        number += row.further_number * math.ceil((area - row.above) / row.each_further - _ON_THE_LINE)
    repeats = row.repeats if row.repeats is not None else math.floor(number * row.repeats_share / 100.0 + _ON_THE_LINE)
    return Sampling(number, repeats)


def required_spots(area: float, rows: Sequence[SamplingRow], spots_per_area: int) -> int:
    """Spots that SSPC-PA 2 asks for: so many in each of the areas to be measured.

    Args:
        area: coated area [m2].
        rows: the printed plan for the number of areas to be measured [table].
        spots_per_area: spots in each such area [count].
    Returns:
        Number of spots [count].
    Range:
        Areas that the table lists.
    Source:
        SSPC-PA 2 (second-hand: newsletter of its publisher; read there).
    Example:
        >>> small = SamplingRow(0, 30, 0, each_further=10, further_number=1)
        >>> large = SamplingRow(100, math.inf, 3, each_further=100, further_number=1)
        >>> plan = [small, SamplingRow(30, 100, 3), large]
        >>> required_spots(500.0, plan, 5), required_spots(15.0, plan, 5)
        (35, 10)
    """
    require_range("spots per area", spots_per_area, "", 1)
    return required_number(area, rows).number * spots_per_area


def spot_means(spots: Sequence[Sequence[float]]) -> SpotStatistics:
    """Spot and area means of SSPC-PA 2: a spot is the mean of its readings, the area the mean of its spots.

    Args:
        spots: gauge readings of each spot, odd and unrepeatable ones already struck out by the inspector
            [um].
    Returns:
        Spot means, their mean and the extremes [um].
    Range:
        One spot or more, each with one reading or more; `fewest_readings` shows where a spot has less than
        its rule asks.
    Source:
        SSPC-PA 2 (second-hand: newsletter of its publisher; read there).
    Example:
        >>> spot_means([(118.0, 122.0, 120.0), (131.0, 129.0, 130.0)]).mean
        125.0
    """
    import statistics

    if not spots or not all(spots):
        raise OutOfRange("readings of a spot", 0, "1 or more")
    for reading in (reading for spot in spots for reading in spot):
        require_range("reading", reading, "um")
    means = tuple(statistics.fmean(spot) for spot in spots)
    return SpotStatistics(
        spots=means,
        mean=statistics.fmean(means),
        lowest_spot=min(means),
        highest_spot=max(means),
        lowest_reading=min(min(spot) for spot in spots),
        highest_reading=max(max(spot) for spot in spots),
        fewest_readings=min(len(spot) for spot in spots),
    )
