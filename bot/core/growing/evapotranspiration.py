"""Reference evapotranspiration after FAO-56: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO
Irrigation and Drainage Paper 56. Equation numbers are theirs. Valid for a whole day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache

from bot.core.weather.days import Day
from bot.core.weather.sun import extraterrestrial_mj_m2, saturation_kpa, sunset_angle_rad

_ALBEDO = 0.23
_STEFAN_MJ_K4_M2 = 4.903e-9


class Method(StrEnum):
    """How ET0 was reckoned: from radiation, from radiation guessed from cloud, or from temperature alone."""

    PENMAN_MONTEITH = "penman-monteith"
    PENMAN_MONTEITH_CLOUD = "penman-monteith, radiation from cloud"
    HARGREAVES = "hargreaves"


@dataclass(frozen=True, slots=True)
class Et0:
    mm: float
    method: Method


def pressure_kpa(altitude_m: float) -> float:
    """Air pressure at a height above the sea (7)."""
    return 101.3 * math.pow((293.0 - 0.0065 * altitude_m) / 293.0, 5.26)


def psychrometric_kpa_c(pressure_kpa: float) -> float:
    """Psychrometric constant (8)."""
    return 0.665e-3 * pressure_kpa


def slope_kpa_c(air_c: float) -> float:
    """Slope of the saturation vapour pressure curve (13)."""
    return 4098.0 * saturation_kpa(air_c) / (air_c + 237.3) ** 2


def vapour_from_humidity_kpa(min_c: float, max_c: float, humidity_min_pct: float, humidity_max_pct: float) -> float:
    """Actual vapour pressure from extremes of temperature and humidity (17)."""
    return (saturation_kpa(min_c) * humidity_max_pct + saturation_kpa(max_c) * humidity_min_pct) / 200.0


def wind_2m_ms(wind_ms: float, height_m: float = 10.0) -> float:
    """Wind at 2 m over short grass from that at `height_m` (47)."""
    return wind_ms * 4.87 / math.log(67.8 * height_m - 5.42)


@lru_cache(maxsize=1024)  # asked for every planting of a garden on the same few days
def daylight_h(latitude: float, day_of_year: int) -> float:
    """Daylight hours (34): centre of the sun, without refraction, so some minutes short of sunrise to sunset."""
    return 24.0 / math.pi * sunset_angle_rad(latitude, day_of_year)


def sun_from_sunshine_mj_m2(share: float, extraterrestrial_mj_m2: float) -> float:
    """Solar radiation from the share of daylight with sunshine, n/N (35), with a 0.25 and b 0.50."""
    return (0.25 + 0.50 * share) * extraterrestrial_mj_m2


def clear_sky_mj_m2(altitude_m: float, extraterrestrial_mj_m2: float) -> float:
    """Solar radiation of a cloudless day (37)."""
    return (0.75 + 2e-5 * altitude_m) * extraterrestrial_mj_m2


def longwave_mj_m2(min_c: float, max_c: float, vapour_kpa: float, clearness: float) -> float:
    """Net outgoing longwave radiation (39); clearness: solar over clear-sky radiation, held to 1 at most."""
    emitted = _STEFAN_MJ_K4_M2 * ((max_c + 273.16) ** 4 + (min_c + 273.16) ** 4) / 2.0
    return emitted * (0.34 - 0.14 * math.sqrt(vapour_kpa)) * (1.35 * min(1.0, clearness) - 0.35)


def penman_monteith_mm(
    min_c: float,
    max_c: float,
    vapour_kpa: float,
    wind_2m_ms: float,
    net_mj_m2: float,
    altitude_m: float,
    g: float = 0.0,
) -> float:
    """Reference evapotranspiration of a day, mm (6), not below 0. g: heat into the soil, MJ/m2, none over a day."""
    mean_c = (min_c + max_c) / 2.0
    deficit_kpa = (saturation_kpa(min_c) + saturation_kpa(max_c)) / 2.0 - vapour_kpa
    slope, gamma = slope_kpa_c(mean_c), psychrometric_kpa_c(pressure_kpa(altitude_m))
    wet = 0.408 * slope * (net_mj_m2 - g) + gamma * 900.0 / (mean_c + 273.0) * wind_2m_ms * deficit_kpa
    return max(0.0, wet / (slope + gamma * (1.0 + 0.34 * wind_2m_ms)))


def hargreaves_mm(min_c: float, max_c: float, extraterrestrial_mj_m2: float) -> float:
    """Reference evapotranspiration from temperature alone, mm (52), not below 0. Rough in wind and in damp air."""
    mean_c = (min_c + max_c) / 2.0
    return max(0.0, 0.0023 * (mean_c + 17.8) * math.sqrt(max(0.0, max_c - min_c)) * 0.408 * extraterrestrial_mj_m2)


@lru_cache(maxsize=512)
def daily(day: Day, latitude: float, altitude_m: float | None) -> Et0 | None:
    """ET0 of a day by the best method that its values allow; None without its extremes of temperature.

    An unknown altitude is taken as sea level: 300 m change ET0 by less than 1 %.
    """
    if day.min_c is None or day.max_c is None:
        return None
    day_of_year, height_m = _day_of_year(day.on), altitude_m or 0.0
    top_mj_m2 = extraterrestrial_mj_m2(latitude, day_of_year)
    vapour_kpa = _vapour_kpa(day, day.min_c, day.max_c)
    sun_mj_m2 = _sun_mj_m2(day, top_mj_m2)
    if vapour_kpa is None or sun_mj_m2 is None or day.wind_ms is None:
        return Et0(hargreaves_mm(day.min_c, day.max_c, top_mj_m2), Method.HARGREAVES)
    clear = clear_sky_mj_m2(height_m, top_mj_m2)
    longwave = longwave_mj_m2(day.min_c, day.max_c, vapour_kpa, sun_mj_m2 / clear if clear > 0.0 else 1.0)
    net = (1.0 - _ALBEDO) * sun_mj_m2 - longwave
    mm = penman_monteith_mm(day.min_c, day.max_c, vapour_kpa, wind_2m_ms(day.wind_ms), net, height_m)
    return Et0(mm, Method.PENMAN_MONTEITH_CLOUD if day.sun_mj_m2 is None else Method.PENMAN_MONTEITH)


def _vapour_kpa(day: Day, min_c: float, max_c: float) -> float | None:
    if day.dew_c is not None:
        return saturation_kpa(day.dew_c)  # (14)
    if day.humidity_min_pct is None or day.humidity_max_pct is None:
        return None
    return vapour_from_humidity_kpa(min_c, max_c, day.humidity_min_pct, day.humidity_max_pct)


def _sun_mj_m2(day: Day, top_mj_m2: float) -> float | None:
    if day.sun_mj_m2 is not None:
        return day.sun_mj_m2
    if day.cloud_pct is None:
        return None
    return sun_from_sunshine_mj_m2(1.0 - day.cloud_pct / 100.0, top_mj_m2)  # cloud as missing sunshine: an estimate


def _day_of_year(on: date) -> int:
    return on.timetuple().tm_yday
