"""From a forecast to the minima of each coming night, at 2 m and at the ground, with every step kept.

Forecast minimum -> altitude (not on clear still nights) -> lie of the land and what the site has taught -> error by
lead time -> ground.

How far a temperature forecast is off, by how many hours ahead it looks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from statistics import pstdev

from bot.core.weather.forecast import AirSpread, Forecast, Hour
from bot.core.weather.ground import NightKind, Weather, fall_from_c, ground_estimate, night_kind
from bot.core.weather.learn import LIE_RANGES_C, Correction, Fit
from bot.core.weather.night import Night, Site
from bot.core.weather.odds import Estimate, Step, StepCode
from bot.core.weather.sun import extraterrestrial_mj_m2, night_bounds, saturation_kpa
from bot.core.weather.timeline import (
    Day,
    air_at,
    covered_hours,
    days,
    hours_in_order,
    known_share,
    local_midnight,
    mean_over,
    spans_between,
)

# Mean absolute errors of published temperature forecasts 1 to 3 days ahead: 1.03, 1.15, 1.36 C (MetGIS, Schmittenhoehe,
# Austria, winter 2011/12, 300 forecasts, metgis.com, read 2026-11-25), times sqrt(pi/2) for the standard deviation of a
# normal error. Its 1.82 and 2.32 of days 4 and 5 are a mountain's: at sites without a bias 1.90 and 2.17 C were measured
# (docs/cold.md). Beyond five days about the last slope goes on, up to the 4 C of a guess by season.
_LEAD_SD_C = (1.29, 1.44, 1.70, 1.90, 2.17)
_LEAD_SLOPE_C, _LEAD_CAP_C = 0.3, 4.0


def lead_error_c(lead_h: float) -> float:
    """Standard deviation of a forecast's temperature so many hours ahead, degrees C."""
    day = max(lead_h / 24.0, 1.0) - 1.0
    whole = int(day)
    if whole >= len(_LEAD_SD_C) - 1:
        return min(_LEAD_SD_C[-1] + _LEAD_SLOPE_C * (day - len(_LEAD_SD_C) + 1), _LEAD_CAP_C)
    return _LEAD_SD_C[whole] + (day - whole) * (_LEAD_SD_C[whole + 1] - _LEAD_SD_C[whole])


def lead_growth(lead_h: float) -> float:
    """How many times greater the error is than a day ahead, 1 or more."""
    return lead_error_c(lead_h) / _LEAD_SD_C[0]


LAPSE_C_PER_M = 0.0065  # International Standard Atmosphere
_HOUR = timedelta(hours=1)
_LEAST_SHARE = 0.5
_DAY_SHARE = 0.75
_LAST_KNOWN = timedelta(hours=3)
_FULL_DAY_N = 18  # hours that a day must have for its maximum to be trusted
_LEAST_SD_C = 0.5
_MJ_A_DAY_PER_W = 0.0864
_LEAST_TOP_MJ_M2 = 1.0
_Z90 = 1.2815516
# Squared errors against an ensemble's variance, Innsbruck 2000-07, 1,173 nights: 4.32 + 0.57 * variance, of 4.86 in the
# mean. So 0.88 of a night's doubt is there however much the members agree; a night on which they differ has more.
_STEADY, _PER_VARIANCE = 0.88, 0.57


def nights(forecast: Forecast, site: Site, correction: Correction, now: datetime) -> tuple[Night, ...]:
    """The nights that are not over at `now` and that the forecast knows well enough, ascending.

    Well enough: at least half of what is left of the night lies between known instants at most six hours apart, and
    the last three hours before sunrise are reached. Any other night is left out: it is unknown, not mild.
    """
    hours = hours_in_order(forecast)
    if not hours:
        return ()
    by_day = {day.on: day for day in days(forecast, site.zone)}
    first_on = hours[0].at.astimezone(site.zone).date() - timedelta(days=1)
    count_n = (hours[-1].at.astimezone(site.zone).date() - first_on).days + 1
    evenings = (first_on + timedelta(days=index) for index in range(count_n))
    found = (_night(forecast, hours, by_day, site, correction, evening_on, now) for evening_on in evenings)
    return tuple(night for night in found if night is not None)


def _night(
    forecast: Forecast,
    hours: Sequence[Hour],
    by_day: Mapping[date, Day],
    site: Site,
    correction: Correction,
    evening_on: date,
    now: datetime,
) -> Night | None:
    sunset_at, sunrise_at = night_bounds(evening_on, site.zone, site.latitude, site.longitude)
    if sunrise_at <= now or not _known(hours, max(sunset_at, now), sunrise_at):
        return None
    instants = [hour for hour in hours if sunset_at <= hour.at <= sunrise_at]
    spans = spans_between(forecast.spans, hours, sunset_at, sunrise_at)
    lows = [(hour.air_c, hour.at) for hour in instants if hour.air_c is not None]
    lows += [(span.min_c, min(span.end_at, sunrise_at)) for span in spans if span.min_c is not None]
    if not lows:
        return None
    raw_c, coldest_at = min(lows)
    wind_ms = mean_over(hours, _wind, sunset_at, sunrise_at, _LEAST_SHARE)
    cloud_pct = mean_over(hours, _cloud, sunset_at, sunrise_at, _LEAST_SHARE)
    kind = night_kind(wind_ms, cloud_pct)
    morning_on = evening_on + timedelta(days=1)
    fit = correction.fit(kind)
    rise_c = 0.0 if kind is NightKind.RADIATION else _altitude_c(forecast, site)
    # To the end of the night, not to the coldest hour: of two hours alike, the colder forecast must not be the surer.
    lead_h = (sunrise_at - (forecast.issued_at or forecast.fetched_at or now)) / _HOUR
    members_c = _member_minima(instants)
    own_sd_c = _percentile_sd_c(next((hour.spread for hour in instants if hour.at == coldest_at), None))
    spread_c = pstdev(members_c) if members_c else own_sd_c
    air = _air(members_c, own_sd_c, spread_c, raw_c, rise_c, lead_h, fit, morning_on)
    ground = ground_estimate(air, _weather(hours, by_day, site, evening_on, raw_c))
    dusk_c = air_at(hours, sunset_at + 2 * _HOUR)
    return Night(
        evening_on=evening_on,
        sunset_at=sunset_at,
        sunrise_at=sunrise_at,
        hours_covered=covered_hours(instants, spans, sunset_at, sunrise_at),
        forecast_min_c=raw_c,
        coldest_at=coldest_at,
        wind_ms=wind_ms,
        cloud_pct=cloud_pct,
        kind=kind,
        lead_h=lead_h,
        untaught_c=raw_c + rise_c,
        dusk_c=None if dusk_c is None else dusk_c + air.mean_c - raw_c,
        air=air,
        ground=ground,
        steps=_steps(forecast, site, kind, fit, raw_c, rise_c, air, ground, morning_on),
        spread_c=spread_c,
    )


def expected_at(forecast: Forecast, night: Night, at: datetime) -> float | None:
    """What a momentary reading at `at` is compared with: that moment's forecast, with the night's altitude step."""
    air_c = air_at(hours_in_order(forecast), at)
    return None if air_c is None else air_c + night.untaught_c - night.forecast_min_c


def _wind(hour: Hour) -> float | None:
    return hour.wind_ms


def _cloud(hour: Hour) -> float | None:
    return hour.cloud_pct


def _humidity(hour: Hour) -> float | None:
    return hour.humidity_pct


def _sun(hour: Hour) -> float | None:
    return hour.sun_w_m2


def _known(hours: Sequence[Hour], start_at: datetime, end_at: datetime) -> bool:
    late_at = max(start_at, end_at - _LAST_KNOWN)
    return known_share(hours, start_at, end_at) >= _LEAST_SHARE and known_share(hours, late_at, end_at) > 0.0


def _altitude_c(forecast: Forecast, site: Site) -> float:
    """The rise owed to the site lying lower than the height that the service has already corrected to."""
    if site.altitude_m is None or forecast.altitude_m is None:
        return 0.0
    return (forecast.altitude_m - site.altitude_m) * LAPSE_C_PER_M


def _air(
    raw_members_c: Sequence[float],
    own_sd_c: float | None,
    spread_c: float | None,
    raw_c: float,
    rise_c: float,
    lead_h: float,
    fit: Fit,
    on: date,
) -> Estimate:
    """The minimum at 2 m: the site's line through the forecast, with the service's own spread where it gives one.

    Members are set about the service's own minimum: of each hour they differ about its forecast, and the least of many
    hours would be lower than that in the mean.
    """
    mean_c = fit.mean_c(raw_c + rise_c, on, spread_c)
    site_c2 = fit.sd_c(on) ** 2 - lead_error_c(0.0) ** 2  # the line's noise was learned about a day ahead
    if not raw_members_c:
        total_c2 = max(site_c2 + (own_sd_c or lead_error_c(lead_h)) ** 2, _LEAST_SD_C**2)
        return Estimate(mean_c, math.sqrt(total_c2))
    middle_c = sum(raw_members_c) / len(raw_members_c)
    members_c = [fit.mean_c(raw_c + member - middle_c + rise_c, on, spread_c) for member in raw_members_c]
    centre_c = sum(members_c) / len(members_c)
    between_c2 = sum((member - centre_c) ** 2 for member in members_c) / len(members_c)
    total_c2 = site_c2 + _STEADY * lead_error_c(lead_h) ** 2 + _PER_VARIANCE * between_c2
    about_c = tuple(mean_c + member - centre_c for member in members_c)
    return Estimate(mean_c, math.sqrt(max(total_c2 - between_c2, _LEAST_SD_C**2)), about_c)


def _percentile_sd_c(spread: AirSpread | None) -> float | None:
    if spread is None or spread.p10_c is None or spread.p90_c is None:
        return None
    return max((spread.p90_c - spread.p10_c) / (2.0 * _Z90), _LEAST_SD_C)


def _member_minima(instants: Sequence[Hour]) -> tuple[float, ...]:
    """Each member's own minimum; none unless every known hour has the same members."""
    rows = [hour.spread.members_c if hour.spread else () for hour in instants if hour.air_c is not None]
    if not rows or not rows[0] or any(len(row) != len(rows[0]) for row in rows):
        return ()
    return tuple(min(column) for column in zip(*rows, strict=True))


def _weather(hours: Sequence[Hour], by_day: Mapping[date, Day], site: Site, evening_on: date, raw_c: float) -> Weather:
    """What the ground's formula asks for: means over the 24 h of the morning's day, the fall from both days' maxima."""
    morning_on = evening_on + timedelta(days=1)

    def mean(value: Callable[[Hour], float | None], on: date) -> float | None:
        start_at, end_at = (local_midnight(on + timedelta(days=more), site.zone) for more in (0, 1))
        return mean_over(hours, value, start_at, end_at, _DAY_SHARE)

    pair = [day for on in (evening_on, morning_on) if (day := by_day.get(on)) and day.hours_covered >= _FULL_DAY_N]
    return Weather(
        wind_ms=mean(_wind, morning_on),
        cloud_pct=mean(_cloud, morning_on),
        swing_c=fall_from_c(raw_c, [day.air_max_c for day in pair if day.air_max_c is not None]),
        wind_before_ms=mean(_wind, evening_on),
        vapour_kpa=_vapour_kpa(mean(_humidity, morning_on), next((day for day in pair if day.on == morning_on), None)),
        clearness=_clearness(mean(_sun, morning_on), site.latitude, morning_on),
    )


def _vapour_kpa(humidity_pct: float | None, day: Day | None) -> float | None:
    """From the day's mean humidity and extremes of temperature, the form in which the ground's constants were fitted."""
    if humidity_pct is None or day is None or day.air_min_c is None or day.air_max_c is None:
        return None
    return humidity_pct / 100.0 * 0.5 * (saturation_kpa(day.air_min_c) + saturation_kpa(day.air_max_c))


def _clearness(sun_w_m2: float | None, latitude: float, on: date) -> float | None:
    """Radiation as a share of that at the top of the atmosphere; None in the dark of a polar winter."""
    top_mj_m2 = extraterrestrial_mj_m2(latitude, on.timetuple().tm_yday)
    if sun_w_m2 is None or top_mj_m2 < _LEAST_TOP_MJ_M2:
        return None
    return sun_w_m2 * _MJ_A_DAY_PER_W / top_mj_m2


def _steps(
    forecast: Forecast,
    site: Site,
    kind: NightKind,
    fit: Fit,
    raw_c: float,
    rise_c: float,
    air: Estimate,
    ground: Estimate,
    on: date,
) -> tuple[Step, ...]:
    lie_c, (lie_low_c, lie_high_c) = fit.prior.offset_c, LIE_RANGES_C[site.lay]
    still = kind is NightKind.RADIATION
    lie = Step(StepCode.LIE_OF_LAND, lie_c, lie_low_c, lie_high_c, "common practice, no source")
    altitude = Step(StepCode.ALTITUDE, rise_c, None, None, "International Standard Atmosphere")
    taught_c, sure_c = fit.mean_c(raw_c + rise_c, on) - raw_c - rise_c - lie_c, 1.645 * fit.offset_sd_c(on)
    air_low_c, air_high_c = air.band()
    gap_c, gap_error_c = ground.mean_c - air.mean_c, 1.645 * math.sqrt(ground.sd_c**2 - air.sd_c**2)
    return (
        Step(StepCode.FORECAST, raw_c, None, None, forecast.source),
        lie if still else altitude,
        Step(StepCode.SITE_LEARNED, taught_c, taught_c - sure_c, taught_c + sure_c, f"{fit.count} readings"),
        Step(StepCode.LEAD_ERROR, air.total_sd_c, air_low_c, air_high_c, "MetGIS 2012"),
        Step(StepCode.GROUND, gap_c, gap_c - gap_error_c, gap_c + gap_error_c, "KNMI De Bilt 1980-2004"),
    )
