"""Past nights' minima of a place from Open-Meteo's archive, where nobody has measured near it.

They are of a weather model's grid, reckoned back from what was measured elsewhere (ERA5 and its kin), kilometres wide:
good for when the seasons turn, too mild for a hollow in a clear night. Address and names: open-meteo.com/en/docs/
historical-weather-api, via the manual of the R package openmeteo and other copies, read 2026-11-27.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from bot.core.weather.forecast import ForecastError
from bot.forecasts.reader import Point, check_near, listing, number, parse_json, section, shortened

__all__ = ["NAME", "SOURCE", "URL", "YEARS", "parse", "query"]

NAME = "open-meteo-archive"
URL = "https://archive-api.open-meteo.com/v1/archive"
#: How these nights are marked among the garden's minima.
SOURCE = "Open-Meteo archive"
YEARS = 20
_MINIMUM = "temperature_2m_min"
_COLDEST_C, _WARMEST_C = -70.0, 45.0  # as a line of minima.csv


def query(point: Point, last_year: int) -> dict[str, str]:
    """The parameters of a request for twenty whole years of night minima, the last of them `last_year`."""
    point = point.rounded()
    asked = {
        "latitude": f"{point.latitude:g}",
        "longitude": f"{point.longitude:g}",
        "start_date": f"{last_year - YEARS + 1}-01-01",
        "end_date": f"{last_year}-12-31",
        "daily": _MINIMUM,
        "timezone": "GMT",
        "temperature_unit": "celsius",
    }
    return asked if point.altitude_m is None else {**asked, "elevation": f"{point.altitude_m:.0f}"}


def parse(body: str, near: Point) -> Mapping[date, float]:
    """Minima by day, degrees C, without the days that have none. Raises ForecastError."""
    answer = section(parse_json(body))
    check_near(Point(number(answer.get("latitude"), "latitude"), number(answer.get("longitude"), "longitude")), near)
    daily, unit = section(answer, "daily"), section(answer, "daily_units").get(_MINIMUM)
    if unit != "°C":
        raise ForecastError(f"the unit of {_MINIMUM} is {shortened(unit)[:20]!r}, expected °C")
    days, minima = listing(daily, "time"), listing(daily, _MINIMUM)
    if len(days) != len(minima):
        raise ForecastError(
            f"the answer has {len(days)} days and {len(minima)} minima; it is unclear which belong together"
        )
    found = {_day(day): number(low, _MINIMUM) for day, low in zip(days, minima, strict=True) if low is not None}
    if not found or not all(_COLDEST_C <= low <= _WARMEST_C for low in found.values()):
        raise ForecastError("the answer has no minima, or some that no place on earth has had")
    return found


def _day(text: object) -> date:
    try:
        return date.fromisoformat(text if isinstance(text, str) else "")
    except ValueError as error:
        raise ForecastError(f"the day {shortened(text)[:40]!r} is no ISO 8601 day such as 2026-03-05") from error
