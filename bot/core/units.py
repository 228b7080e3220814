"""Conversions by exact definition, and the bound beyond which a wind is an error in the data."""

from __future__ import annotations

MS_PER_MPH = 0.44704  # international mile 1609.344 m / 3600 s, exact
MS_PER_KN = 1852.0 / 3600.0  # nautical mile 1852 m / 3600 s, exact

# The strongest surface gust that the World Meteorological Organization accepts is 113.2 m/s (Barrow Island, 1996;
# from memory, a bound and not a result). Anything above 120 m/s is an error in the data.
GREATEST_WIND_MS = 120.0


def mph_to_ms(mph: float) -> float:
    return mph * MS_PER_MPH


def ms_to_mph(ms: float) -> float:
    return ms / MS_PER_MPH


def kn_to_ms(kn: float) -> float:
    return kn * MS_PER_KN


def ms_to_kn(ms: float) -> float:
    return ms / MS_PER_KN


def plausible_wind_ms(ms: float) -> bool:
    """Whether a mean wind or gust can be real: 0 to 120 m/s. Not-a-number and infinity are refused."""
    return 0.0 <= ms <= GREATEST_WIND_MS
