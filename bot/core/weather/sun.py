"""Sunrise, sunset and civil twilight of a place and day, from astral (NOAA's formulas after Meeus).

Rise and set are of the upper limb at 90.833 degrees from the zenith (34' refraction + 16' radius); civil dawn and dusk
have the centre 6 degrees below the horizon. Within 60 s (rise, set) and 90 s (twilight) of a precise ephemeris at
middle latitudes. A level horizon is assumed: hills and houses bring dusk forward.

The sun above the air and the water in it, after FAO-56: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO
Irrigation and Drainage Paper 56. Equation numbers are theirs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from astral import Observer, SunDirection
from astral.sun import time_at_elevation

_RISE_SET_DEG = -0.8333
_CIVIL_DEG = -6.0
_FALLBACK_SET, _FALLBACK_RISE = time(18), time(6)


@dataclass(frozen=True, slots=True)
class SunDay:
    """The sun on one local day, aware UTC. None where it does not happen: midnight sun, polar night, white nights."""

    dawn_at: datetime | None
    sunrise_at: datetime | None
    sunset_at: datetime | None
    dusk_at: datetime | None


def sun_day(day: date, zone: ZoneInfo, latitude: float, longitude: float) -> SunDay:
    """The sun's moments about the noon of local `day` at latitude, longitude (degrees)."""
    return _sun_day(_solar_date(day, zone, longitude), latitude, longitude)


def night_bounds(evening_on: date, zone: ZoneInfo, latitude: float, longitude: float) -> tuple[datetime, datetime]:
    """Sunset of `evening_on` and the sunrise after it, aware UTC.

    Where the sun does not set or does not rise, 18:00 and 06:00 of local clock time stand in for it.
    """
    today = sun_day(evening_on, zone, latitude, longitude).sunset_at
    morning_on = evening_on + timedelta(days=1)
    tomorrow = sun_day(morning_on, zone, latitude, longitude).sunrise_at
    return (
        today or datetime.combine(evening_on, _FALLBACK_SET, zone).astimezone(UTC),
        tomorrow or datetime.combine(morning_on, _FALLBACK_RISE, zone).astimezone(UTC),
    )


def _solar_date(day: date, zone: ZoneInfo, longitude: float) -> date:
    """The date at the place's own meridian when its sun is highest on local `day`."""
    noon_utc = datetime.combine(day, time(12), zone).astimezone(UTC)
    return (noon_utc + timedelta(hours=longitude / 15.0)).date()


@lru_cache(maxsize=512)
def _sun_day(solar_on: date, latitude: float, longitude: float) -> SunDay:
    observer = Observer(latitude, longitude)

    def moment(elevation_deg: float, direction: SunDirection) -> datetime | None:
        noon_utc = datetime.combine(solar_on, time(12), UTC) - timedelta(hours=longitude / 15.0)
        for date_utc in (solar_on, solar_on - timedelta(days=1), solar_on + timedelta(days=1)):
            try:
                found = time_at_elevation(observer, elevation_deg, date_utc, direction, UTC, with_refraction=False)
            except ValueError:
                continue
            before = noon_utc - found if direction is SunDirection.RISING else found - noon_utc
            if timedelta(hours=-1) <= before <= timedelta(hours=13):
                return found
        return None

    return SunDay(
        dawn_at=moment(_CIVIL_DEG, SunDirection.RISING),
        sunrise_at=moment(_RISE_SET_DEG, SunDirection.RISING),
        sunset_at=moment(_RISE_SET_DEG, SunDirection.SETTING),
        dusk_at=moment(_CIVIL_DEG, SunDirection.SETTING),
    )


_SOLAR_MJ_M2_MIN = 0.0820


def saturation_kpa(air_c: float) -> float:
    """Saturation vapour pressure (11)."""
    return 0.6108 * math.exp(17.27 * air_c / (air_c + 237.3))


def declination_rad(day_of_year: int) -> float:
    """Solar declination (24)."""
    return 0.409 * math.sin(2.0 * math.pi * day_of_year / 365.0 - 1.39)


def sunset_angle_rad(latitude: float, day_of_year: int) -> float:
    """Sunset hour angle (25); 0 in polar night, pi in polar day."""
    cosine = -math.tan(math.radians(latitude)) * math.tan(declination_rad(day_of_year))
    return math.acos(max(-1.0, min(1.0, cosine)))


def extraterrestrial_mj_m2(latitude: float, day_of_year: int) -> float:
    """Radiation at the top of the atmosphere, MJ/m2 a day (21, 23)."""
    distance = 1.0 + 0.033 * math.cos(2.0 * math.pi * day_of_year / 365.0)
    angle, tilt, north = sunset_angle_rad(latitude, day_of_year), declination_rad(day_of_year), math.radians(latitude)
    shape = angle * math.sin(north) * math.sin(tilt) + math.cos(north) * math.cos(tilt) * math.sin(angle)
    return 24.0 * 60.0 / math.pi * _SOLAR_MJ_M2_MIN * distance * shape
