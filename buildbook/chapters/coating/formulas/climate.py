"""Air, surface and dew point: was the surface dry when it was painted?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from buildbook.formulas import OutOfRange, require_range

# Saturation vapour pressure over water, es = C exp(A t / (B + t)): WMO-No. 8, annex 4.B.
_C_HPA = 6.112
_A = 17.62
_B_DEGC = 243.12
_LOWEST_DEGC = -45.0
_HIGHEST_DEGC = 60.0
# Psychrometer coefficient of the same annex, for a ventilated wet bulb without ice.
_PSYCHROMETER = 6.53e-4
_PSYCHROMETER_PER_K = 0.000944


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of time that no reading covers; `end` is not before `start`."""

    start: datetime
    end: datetime

    @property
    def hours(self) -> float:
        """Length of the gap [h]."""
        return (self.end - self.start).total_seconds() / 3600.0


def saturation_vapour_pressure(temperature: float) -> float:
    """Pressure of water vapour over a flat surface of liquid water, also below 0 degC.

    Args:
        temperature: temperature of the water or of saturated air [degC].
    Returns:
        Saturation vapour pressure [hPa].
    Range:
        -45 to 60 degC.
    Source:
        WMO-No. 8, annex 4.B, constants (read in a manual that quotes it); range (from memory).
    Example:
        >>> round(saturation_vapour_pressure(20.0), 2)
        23.33
    """
    require_range("temperature", temperature, "degC", _LOWEST_DEGC, _HIGHEST_DEGC)
    return _C_HPA * math.exp(_A * temperature / (_B_DEGC + temperature))


def dew_point(air_temperature: float, relative_humidity: float) -> float:
    """Temperature at which the moisture of the air condenses on a surface (over water, not the frost point).

    Args:
        air_temperature: dry-bulb temperature [degC].
        relative_humidity: relative humidity over water [%].
    Returns:
        Dew point [degC].
    Range:
        Air -45 to 60 degC; humidity above 0 and up to 100 %; a dew point below -45 degC is refused.
    Source:
        WMO-No. 8, annex 4.B, constants and form (read in a manual that quotes it); range (from memory).
    Example:
        >>> round(dew_point(20.0, 60.0), 1)
        12.0
    """
    require_range("air temperature", air_temperature, "degC", _LOWEST_DEGC, _HIGHEST_DEGC)
    require_range("relative humidity", relative_humidity, "%", 0.0, 100.0, above=True)
    g = math.log(relative_humidity / 100.0) + _A * air_temperature / (_B_DEGC + air_temperature)
    result = _B_DEGC * g / (_A - g)
    if result < _LOWEST_DEGC:
        require_range("dew point of this air", result, "degC", _LOWEST_DEGC, _HIGHEST_DEGC)
    return result


def dew_point_from_wet_bulb(air_temperature: float, wet_bulb: float, pressure: float = 1013.25) -> float:
    """Dew point from a ventilated psychrometer: two thermometers, one in a wet sleeve.

    Args:
        air_temperature: dry-bulb temperature [degC].
        wet_bulb: wet-bulb temperature, sleeve not frozen [degC].
        pressure: air pressure at the place [hPa].
    Returns:
        Dew point [degC].
    Range:
        Wet bulb from 0 degC to the air temperature; air up to 60 degC; pressure 800 to 1100 hPa (practice);
        air so dry that no vapour pressure is left, or a dew point below -45 degC, is refused.
    Source:
        WMO-No. 8, annex 4.B: pressure factor (read in a ship-observation document), psychrometer coefficient
        (from memory).
    Example:
        >>> round(dew_point_from_wet_bulb(20.0, 15.0), 1)
        11.6
    """
    require_range("air temperature", air_temperature, "degC", 0.0, _HIGHEST_DEGC)
    require_range("wet bulb", wet_bulb, "degC", 0.0, air_temperature)
    require_range("pressure", pressure, "hPa", 800.0, 1100.0)
    factor = 1.0016 + 3.15e-6 * pressure - 0.074 / pressure
    drying = _PSYCHROMETER * (1.0 + _PSYCHROMETER_PER_K * wet_bulb) * pressure * (air_temperature - wet_bulb)
    vapour = factor * saturation_vapour_pressure(wet_bulb) - drying
    least = factor * saturation_vapour_pressure(_LOWEST_DEGC)
    if vapour < least:
        raise OutOfRange("wet bulb", wet_bulb, f"air with a dew point of {_LOWEST_DEGC:g} degC or more")
    x = math.log(vapour / (_C_HPA * factor))
    return _B_DEGC * x / (_A - x)


def dew_point_margin(surface_temperature: float, air_temperature: float, relative_humidity: float) -> float:
    """How much warmer the surface is than the dew point. A difference: 1 K is 1.8 degF, never 33.8 degF.

    Args:
        surface_temperature: temperature of the part being painted [degC].
        air_temperature: dry-bulb temperature beside it [degC].
        relative_humidity: relative humidity over water [%].
    Returns:
        Surface temperature less dew point; at zero or below the surface is wet [K].
    Range:
        As for the dew point; surface -45 to 60 degC.
    Source:
        ISO 8502-4:2017, the quantity it estimates (title and scope read); formula as for the dew point.
    Example:
        >>> round(dew_point_margin(18.0, 20.0, 60.0), 1)
        6.0
    """
    require_range("surface temperature", surface_temperature, "degC", _LOWEST_DEGC, _HIGHEST_DEGC)
    return surface_temperature - dew_point(air_temperature, relative_humidity)


def relative_humidity_at_surface(surface_temperature: float, dew_point_temperature: float) -> float:
    """Relative humidity in the air that touches the surface; 100 % or more means water on it.

    Args:
        surface_temperature: temperature of the part being painted [degC].
        dew_point_temperature: dew point of the air around it [degC].
    Returns:
        Relative humidity at the surface [%].
    Range:
        Both -45 to 60 degC.
    Source:
        Ratio of saturation vapour pressures of WMO-No. 8, annex 4.B (constants read; range from memory).
    Example:
        >>> round(relative_humidity_at_surface(20.0, 17.0))
        83
    """
    vapour = saturation_vapour_pressure(dew_point_temperature)
    return 100.0 * vapour / saturation_vapour_pressure(surface_temperature)


def temperature_difference_from_fahrenheit(difference: float) -> float:
    """A temperature difference in degrees Fahrenheit brought to kelvin: times 5/9, no 32 to subtract.

    Args:
        difference: difference of two temperatures [degF difference].
    Returns:
        The same difference [K].
    Range:
        Any finite number.
    Source:
        Definition of the Fahrenheit scale (practice).
    Example:
        >>> round(temperature_difference_from_fahrenheit(5.0), 2)
        2.78
    """
    require_range("difference", difference, "degF")
    return difference * 5.0 / 9.0


def gaps(times: Sequence[datetime], start: datetime, end: datetime, allowed: timedelta) -> tuple[Gap, ...]:
    """Stretches of a job that no reading covers.

    Two neighbouring readings cover the time between them when they lie no further apart than allowed; the
    first reading of the job covers the time since its start, the last the time to its end, by the same rule.
    A reading before the start or after the end helps only as one of two neighbours.

    Args:
        times: times of the readings, in order [date and time].
        start: start of the job [date and time].
        end: end of the job [date and time].
        allowed: longest interval agreed between readings [time difference].
    Returns:
        The gaps in order, cut to the job; empty when every moment is covered [date and time].
    Range:
        Times in order; end not before start; interval above zero; all times with a time zone or all without.
    Source:
        Common practice, no source: a gap longer than the agreed interval is "not recorded" for that stretch,
        not a pass.
    Example:
        >>> at = lambda hour: datetime(2026, 3, 2, hour)
        >>> found = gaps([at(8), at(9), at(12)], at(8), at(13), timedelta(hours=1))
        >>> [(gap.start.hour, gap.end.hour) for gap in found]
        [(9, 12)]
    """
    if any(later < earlier for earlier, later in pairwise(times)):
        raise OutOfRange("times", "not in order", "times that follow each other")
    if end < start:
        raise OutOfRange("end", end, f"{start} or later")
    if allowed <= timedelta(0):
        raise OutOfRange("allowed interval", allowed, "above zero")
    inside = [time for time in times if start <= time <= end]
    pairs = list(pairwise(times))
    if inside:
        pairs += [(start, inside[0]), (inside[-1], end)]
    covered = [(max(a, start), min(b, end)) for a, b in pairs if b - a <= allowed and a <= end and b >= start]
    return _not_covered(sorted(covered), start, end)


def longest_stretch(times: Sequence[datetime], start: datetime, end: datetime) -> Gap:
    """The longest stretch of a job between two readings that follow each other.

    The start of the job stands for a reading before the first one inside, the end for one after the last, as in
    `gaps`. Where no reading falls inside the job, the stretch runs from the last before it to the first after it, as
    far as there are such readings.

    Args:
        times: times of the readings, in any order [date and time].
        start: start of the job [date and time].
        end: end of the job [date and time].
    Returns:
        The stretch, the first of several that are as long [date and time].
    Range:
        End not before start; all times with a time zone or all without.
    Source:
        Common practice, no source.
    Example:
        >>> at = lambda hour: datetime(2026, 3, 2, hour)
        >>> longest_stretch([at(8), at(9), at(12)], at(8), at(13)).hours
        3.0
    """
    if end < start:
        raise OutOfRange("end", end, f"{start} or later")
    inside = sorted(time for time in times if start <= time <= end)
    if not inside:
        before, after = [time for time in times if time < start], [time for time in times if time > end]
        return Gap(max(before, default=start), min(after, default=end))
    return max((Gap(a, b) for a, b in pairwise([start, *inside, end])), key=lambda gap: gap.hours)


def _not_covered(covered: Sequence[tuple[datetime, datetime]], start: datetime, end: datetime) -> tuple[Gap, ...]:
    if not covered:
        return (Gap(start, end),)
    found: list[Gap] = []
    reached = start
    for begins, ends in covered:
        if begins > reached:
            found.append(Gap(reached, begins))
        reached = max(reached, ends)
    if reached < end:
        found.append(Gap(reached, end))
    return tuple(found)
