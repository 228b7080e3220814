"""The sun above the air and the water in it, after FAO-56: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO
Irrigation and Drainage Paper 56. Equation numbers are theirs.
"""

from __future__ import annotations

import math

__all__ = ["declination_rad", "extraterrestrial_mj_m2", "saturation_kpa", "sunset_angle_rad"]

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
