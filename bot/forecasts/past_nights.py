"""Past nights' minima and days' maxima of a place from Open-Meteo's archive, where nobody has measured near it.

They are of a weather model's grid, reckoned back from what was measured elsewhere (ERA5 and its kin), kilometres wide:
good for when the seasons turn, too mild for a hollow in a clear night. Address and names: open-meteo.com/en/docs/
historical-weather-api, via the manual of the R package openmeteo and other copies, read 2026-11-27.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.core.weather.forecast import ForecastError
from bot.forecasts.reader import Point, check_near, listing, number, parse_json, section, shortened

NAME = "open-meteo-archive"
URL = "https://archive-api.open-meteo.com/v1/archive"
#: How these nights are marked among the garden's minima.
SOURCE = "Open-Meteo archive"
YEARS = 20
_MINIMUM, _MAXIMUM = "temperature_2m_min", "temperature_2m_max"
_COLDEST_C, _WARMEST_C, _HOTTEST_C = -70.0, 45.0, 60.0  # as a line of minima.csv


@dataclass(frozen=True, slots=True)
class Extremes:
    """A day's minimum and maximum, degrees C; max_c: None where the archive has none."""

    min_c: float
    max_c: float | None = None


def query(point: Point, last_year: int) -> dict[str, str]:
    """The parameters of a request for twenty whole years of daily minima and maxima, the last of them `last_year`."""
    point = point.rounded()
    asked = {
        "latitude": f"{point.latitude:g}",
        "longitude": f"{point.longitude:g}",
        "start_date": f"{last_year - YEARS + 1}-01-01",
        "end_date": f"{last_year}-12-31",
        "daily": f"{_MINIMUM},{_MAXIMUM}",
        "timezone": "GMT",
        "temperature_unit": "celsius",
    }
    return asked if point.altitude_m is None else {**asked, "elevation": f"{point.altitude_m:.0f}"}


def parse(body: str, near: Point) -> Mapping[date, Extremes]:
    """By day, without the days that have no minimum. Raises ForecastError."""
    answer = section(parse_json(body))
    check_near(Point(number(answer.get("latitude"), "latitude"), number(answer.get("longitude"), "longitude")), near)
    daily = section(answer, "daily")
    for name in (_MINIMUM, _MAXIMUM):
        unit = section(answer, "daily_units").get(name)
        if unit != "°C":
            raise ForecastError(f"the unit of {name} is {shortened(unit)[:20]!r}, expected °C")
    days, minima, maxima = (listing(daily, name) for name in ("time", _MINIMUM, _MAXIMUM))
    if not len(days) == len(minima) == len(maxima):
        raise ForecastError(
            f"the answer has {len(days)} days, {len(minima)} minima and {len(maxima)} maxima; it is unclear which belong "
            "together"
        )
    found = {
        _day(day): Extremes(number(low, _MINIMUM), None if high is None else number(high, _MAXIMUM))
        for day, low, high in zip(days, minima, maxima, strict=True)
        if low is not None
    }
    if not found or not all(_possible(one) for one in found.values()):
        raise ForecastError("the answer has no minima, or days that no place on earth has had")
    return found


def _possible(day: Extremes) -> bool:
    high_c = day.min_c if day.max_c is None else day.max_c
    return _COLDEST_C <= day.min_c <= _WARMEST_C and day.min_c <= high_c <= _HOTTEST_C


def _day(text: object) -> date:
    try:
        return date.fromisoformat(text if isinstance(text, str) else "")
    except ValueError as error:
        raise ForecastError(f"the day {shortened(text)[:40]!r} is no ISO 8601 day such as 2026-03-05") from error
