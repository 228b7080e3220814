"""Open-Meteo: what to ask its forecast service, and how to read its answers.

Its times carry no zone. They are the answer's `utc_offset_seconds` ahead of UTC, one fixed offset for the whole
series even across a change to or from summer time (its maintainer in open-meteo/open-meteo issues 261, 488 and
1255, read 2026-11-25), so the named zone's own rules must not be applied to them. We ask for GMT and avoid the matter.

Temperatures, humidity, cloud and mean wind hold at the instant; gusts, precipitation and radiation cover the hour
before it (open-meteo.com/en/docs, via a copy). Thunder is WMO weather code 95, 96 or 99 (the same).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.core.weather.forecast import AirSpread, Forecast, ForecastError, Hour
from bot.forecasts.reader import (
    AIR,
    CODE,
    RAIN,
    SHARE,
    SUN,
    WIND,
    Column,
    Point,
    Quantity,
    check_near,
    column,
    gaps,
    in_order,
    instant,
    listing,
    lost_steps,
    number,
    optional,
    section,
    shortened,
)

NAME = "open-meteo"
URL = "https://api.open-meteo.com/v1/forecast"
ENSEMBLE_NAME = "open-meteo-ensemble"
GUSTS_NAME = "open-meteo-gusts"
ENSEMBLE_URL = "https://ensemble-api.open-meteo.com/v1/ensemble"

#: The licence (open-meteo.com/en/licence, read 2026-11-25) asks for this line as a link beside the data, a link to
#: the licence, and a word that changes were made.
ATTRIBUTION = "Weather data by Open-Meteo.com"
ATTRIBUTION_URL = "https://open-meteo.com/"
LICENCE_URL = "https://creativecommons.org/licenses/by/4.0/"

_NAMES: Mapping[str, tuple[str, Quantity]] = {
    "air_c": ("temperature_2m", AIR),
    "dew_point_c": ("dew_point_2m", AIR),
    "humidity_pct": ("relative_humidity_2m", SHARE),
    "cloud_pct": ("cloud_cover", SHARE),
    "wind_ms": ("wind_speed_10m", WIND),
    "gust_ms": ("wind_gusts_10m", WIND),
    "rain_mm": ("precipitation", RAIN),
    "sun_w_m2": ("shortwave_radiation", SUN),
    "code": ("weather_code", CODE),
    "soil_c": ("soil_temperature_6cm", AIR),
}
_MEMBER = re.compile(r"temperature_2m_member\d+")
_THUNDER = (95, 96, 99)
_DAYS = 11  # the first begins at 00 UTC of today, so eleven hold ten whole days from now
_FARTHEST_OFFSET_S = 15 * 3600
#: The German weather service's 40 members, hourly, seven days ahead (open-meteo.com/en/docs/ensemble-api, via a copy).
_ENSEMBLE, _ENSEMBLE_DAYS = "icon_seamless", 7


def query(point: Point) -> dict[str, str]:
    """The parameters of a request for eleven days at `point`."""
    return _asked(point, ",".join(name for name, _ in _NAMES.values()), _DAYS)


def ensemble_query(point: Point) -> dict[str, str]:
    """The parameters of a request for every member's air temperature at `point`."""
    return {**_asked(point, _NAMES["air_c"][0], _ENSEMBLE_DAYS), "models": _ENSEMBLE}


def gusts_query(point: Point) -> dict[str, str]:
    """The parameters of a request for gusts beside another service's forecast, with the temperature that parse wants."""
    return _asked(point, ",".join(_NAMES[field][0] for field in ("air_c", "gust_ms")), _DAYS)


def _asked(point: Point, hourly: str, days: int) -> dict[str, str]:
    point = point.rounded()
    asked = {
        "latitude": f"{point.latitude:g}",
        "longitude": f"{point.longitude:g}",
        "hourly": hourly,
        "timezone": "GMT",
        "timeformat": "iso8601",
        "temperature_unit": "celsius",
        "wind_speed_unit": "ms",
        "precipitation_unit": "mm",
        "forecast_days": str(days),
    }
    return asked if point.altitude_m is None else {**asked, "elevation": f"{point.altitude_m:.0f}"}


def parse(body: object, *, fetched_at: datetime | None, near: Point | None = None) -> Forecast:
    """The Forecast in an answer of the forecast or ensemble service. Raises ForecastError where there is none.

    near: the place that was asked for; needed to choose from an answer for several places.
    """
    answer = _choose(body, near)
    hourly, units = section(answer, "hourly"), section(answer, "hourly_units")
    point = _point(answer)
    check_near(point, near)
    times = _times(listing(hourly, "time"), units.get("time"), answer)
    columns = {
        field: (column if field == "air_c" else optional)(
            name, _values(hourly, name, len(times)), units.get(name), quantity
        )
        for field, (name, quantity) in _NAMES.items()
    }
    hours = in_order(_hours(times, columns, _members(hourly, units, columns["air_c"])))
    elevation = answer.get("elevation")
    return Forecast(
        source=NAME,
        latitude=point.latitude,
        longitude=point.longitude,
        altitude_m=None if elevation is None else number(elevation, "elevation"),
        zone=_zone(answer.get("timezone")),
        issued_at=None,
        fetched_at=fetched_at,
        hours=hours,
        gaps=gaps(hours, _lost([hour.at for hour in hours])),
    )


def _choose(body: object, near: Point | None) -> Mapping[str, object]:
    """The one answer, or of several the one nearest to what was asked. Raises ForecastError where none is."""
    answers = [_good(part) for part in (body if isinstance(body, list) else [body])]
    if len(answers) == 1:
        return answers[0]
    if near is None or not answers:
        raise ForecastError(f"the answer holds {len(answers)} places, expected one; say which place is wanted")
    ranked = sorted(answers, key=lambda answer: near.distance_deg(_point(answer)))
    if near.distance_deg(_point(ranked[0])) == near.distance_deg(_point(ranked[1])):
        raise ForecastError(
            "two places in the answer are equally near to the one asked for; ask for one place at a time"
        )
    return ranked[0]


def _good(part: object) -> Mapping[str, object]:
    answer = section(part)
    if answer.get("error"):
        raise ForecastError(f"Open-Meteo says: {shortened(answer.get('reason', 'no reason given'))}")
    return answer


def _point(answer: Mapping[str, object]) -> Point:
    return Point(number(answer.get("latitude"), "latitude"), number(answer.get("longitude"), "longitude"))


def _zone(name: object) -> ZoneInfo | None:
    """The zone that the answer names; GMT is only what we ask for, and says nothing of the place."""
    if not isinstance(name, str) or name in ("GMT", "UTC"):
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def _times(stamps: Sequence[object], form: object, answer: Mapping[str, object]) -> list[datetime]:
    if form == "unixtime":  # always GMT, whatever the answer's offset
        return [datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=number(stamp, "time")) for stamp in stamps]
    if form != "iso8601":
        raise ForecastError(f"time is in {shortened(form)[:40]!r}, expected iso8601 or unixtime")
    offset_s = number(answer.get("utc_offset_seconds"), "utc_offset_seconds")
    if abs(offset_s) > _FARTHEST_OFFSET_S:
        raise ForecastError(f"utc_offset_seconds is {offset_s:g}, expected within {_FARTHEST_OFFSET_S} either way")
    return [instant(stamp, timedelta(seconds=offset_s)) for stamp in stamps]


def _values(hourly: Mapping[str, object], name: str, expected_n: int) -> Sequence[object]:
    """The list under `name`, nulls where the answer has none. Raises ForecastError on another length than time's."""
    if name not in hourly:
        return [None] * expected_n
    values = listing(hourly, name)
    if len(values) != expected_n:
        raise ForecastError(f"{name} has {len(values)} values, expected {expected_n} as of time; ask again later")
    return values


def _members(hourly: Mapping[str, object], units: Mapping[str, object], control: Column) -> list[AirSpread | None]:
    """Of each hour the ensemble's temperatures, the control's first; None where the answer is of a single run."""
    names = sorted(name for name in hourly if _MEMBER.fullmatch(name))
    if not names:
        return [None] * len(control)
    members = [column(name, _values(hourly, name, len(control)), units.get(name), AIR) for name in names]
    rows = [tuple(air_c for air_c in row if air_c is not None) for row in zip(control, *members, strict=True)]
    return [AirSpread(members_c=row) if row else None for row in rows]


def _hours(times: Sequence[datetime], columns: Mapping[str, Column], spreads: Sequence[AirSpread | None]) -> list[Hour]:
    return [
        Hour(
            at=at,
            air_c=columns["air_c"][i],
            dew_point_c=columns["dew_point_c"][i],
            humidity_pct=columns["humidity_pct"][i],
            cloud_pct=columns["cloud_pct"][i],
            wind_ms=columns["wind_ms"][i],
            gust_ms=columns["gust_ms"][i],
            rain_mm=columns["rain_mm"][i],
            sun_w_m2=columns["sun_w_m2"][i],
            thunder=None if (code := columns["code"][i]) is None else code in _THUNDER,
            spread=spreads[i],
            soil_c=columns["soil_c"][i],
        )
        for i, at in enumerate(times)
    ]


def _lost(times: Sequence[datetime]) -> int:
    """The series has one step throughout: the smallest found."""
    steps = [later - at for at, later in pairwise(times)]
    return lost_steps(times, [min(steps)] * len(steps)) if steps else 0
